"""Rows picked for a part: what heat leaves of them, what they were given for, who vouches."""

import attrs
import numpy as np
import pytest

from hobbyclosure import data, part_inputs, seal_inputs, words
from hobbyclosure.assess import Assessment
from hobbyclosure.data import CLASSES
from hobbyclosure.design import Design, Entry, assumed
from hobbyclosure.graph import CHECKS, QUANTITIES, Values
from hobbyclosure.physics import joint
from hobbyclosure.physics.vessel import burst_mean_diameter
from hobbyclosure.working import working
from tests.designs import DEMO, demo

BURST = CHECKS["case.wall.burst"]


@pytest.mark.parametrize("grade", CLASSES)
def test_screws_lose_strength_with_heat_and_have_no_answer_beyond_their_table(grade):
    hot = CLASSES[grade].hot
    assert hot.T[0] <= 233.15  # a cold morning
    assert hot.ratio("yield", 293.15) == 1
    for name in ("yield", "ultimate", "modulus"):
        assert np.all(np.diff(hot.ratio(name, hot.T)) <= 0)
    assert np.isnan(hot.ratio("yield", hot.T[-1] + 1))


def test_hot_screws_carry_less_and_raise_the_proof():
    cold, hot = (demo(case__metal_temperature=t, closure__metal_temperature=t)
                 for t in ("20 °C", "80 °C"))  # fmt: skip
    left = 1 - 0.75 * 0.08  # 8.8 keeps 0.92 at 100 °C, straight between
    for id in ("screw.shear", "screw.bending.ultimate"):
        assert hot.results[id].capacity < cold.results[id].capacity
    assert hot.results["screw.shear"].capacity == pytest.approx(
        left * cold.results["screw.shear"].capacity
    )
    assert hot.values["screw_slip"] < cold.values["screw_slip"]
    steel = {"case_hot_y": np.ones(1), "case_hot_T": np.array([353.15]),
             "closure_hot_y": np.ones(1), "closure_hot_T": np.array([353.15])}  # fmt: skip
    values = type(hot.values)(hot.inputs | steel)
    assert values["loads_proof_factor"] == pytest.approx(1.3 / left)


HOT_OR_COLD = [("100 °C", "20 °C"), ("20 °C", "100 °C")]


@pytest.mark.parametrize(("tube", "closure"), HOT_OR_COLD)
def test_screws_are_as_hot_as_the_hotter_of_tube_and_closure(tube, closure):
    found = demo(case__metal_temperature=tube, closure__metal_temperature=closure)
    assert found.values["screw_yield_ratio"] == pytest.approx(0.92)  # ISO 898-1 Annex A, 100 °C
    assert found.values["screw_f_ub_hot"] == pytest.approx(0.92 * 800e6)


@pytest.mark.parametrize(("tube", "closure"), HOT_OR_COLD)
def test_the_proof_is_raised_by_the_part_that_heat_costs_most(tube, closure):
    """UG-99, from memory: times cold over hot strength; 6061-T6 keeps 0.900 at 100 °C."""
    found = demo(case__metal_temperature=tube, closure__metal_temperature=closure)
    assert found.values["loads_proof_factor"] == pytest.approx(1.3 / 0.9)


def test_no_part_that_gains_strength_lowers_the_proof():
    gains = {f"{part}_hot_y": np.array([1.2]) for part in ("case", "closure", "screw")}
    warm = {f"{part}_hot_T": np.array([353.15]) for part in ("case", "closure", "screw")}
    assert Values(demo().inputs | gains | warm)["loads_proof_factor"] == pytest.approx(1.3)


@pytest.mark.parametrize(
    ("case_alpha", "tube_T", "apart"),
    [  # per metre of bore; the closure 23.6e-6/K at 80 °C, day from −5 °C, all made at 20 °C
        (30e-6, 353.15, (30e-6 - 23.6e-6) * 60),  # the tube outgrows it, hot
        (12e-6, 353.15, (23.6e-6 - 12e-6) * 25),  # the closure shrinks away from it, cold
        (12e-6, 473.15, 12e-6 * 180 - 23.6e-6 * 60),  # both: the hot gap is the larger
        (12e-6, 423.15, (23.6e-6 - 12e-6) * 25),  # both: the cold one is
    ],
)
def test_tube_and_closure_of_two_metals_grow_apart_hot_or_cold(case_alpha, tube_T, apart):
    two = {"case_alpha": case_alpha, "case_metal_temperature": tube_T}
    assert Values(demo().inputs | two)["screw_gap_heat"] == pytest.approx(76.2e-3 * apart)


def test_a_hotter_tube_lengthens_the_arm_of_the_screws():
    even, apart = demo(), demo(case__metal_temperature="110 °C")
    grown = 76.2e-3 * 23.6e-6 * 30
    assert apart.values["screw_gap"] - even.values["screw_gap"] == pytest.approx(grown)
    assert demo(case__metal_temperature="40 °C").values["screw_gap"] == even.values["screw_gap"]


@pytest.mark.parametrize("id", ["M4", "M5", "M6", "M8", "#10-32", "1/4-20"])
def test_the_careful_arm_covers_8_of_the_12_per_cent_of_the_stiffness(id):
    """The slip is the set force over the stiffness; the arm is 16 to 20 % over beam elements."""
    thread = data.THREADS[id]
    d_3 = thread.d - 1.2269 * thread.P
    A_s = np.pi / 4 * (thread.d - 0.9382 * thread.P) ** 2
    M_p, V_p = joint.plastic_moment(640e6, d_3), joint.shear_yield_force(640e6, A_s)
    for g in (1e-4, 3e-4, 5e-4):
        arm = joint.bending_arm(g, 3e-3, d_3, 68e9, 205e9)
        true, ours = (joint.proof_bending_force(a, M_p, V_p) for a in (arm / 1.16, arm))
        assert 1.12 / (true / ours) <= 1.04


def test_a_metal_that_hardens_much_bursts_below_the_mean_diameter_form():
    """R = 26/73: Svensson with n = 0.75 (1 − R) gives 0.811 of F_tu ln K, Faupel 0.676, by hand."""
    steel = demo(case__material="304-annealed", case__metal_temperature="20 °C")
    v = steel.values
    plain = burst_mean_diameter(v["case_F_tu_hot"], v["case_r_i"], v["case_r_o"])
    n = float(v["case_hardening"])
    assert n == pytest.approx(0.75 * (1 - 26 / 73))
    assert 0.25 / (n + 0.227) * (np.e / n) ** n == pytest.approx(0.811, abs=5e-4)
    faupel = 2 / np.sqrt(3) * 26 / 73 * (2 - 26 / 73)
    assert faupel == pytest.approx(0.676, abs=5e-4)
    assert steel.results[BURST.id].capacity == pytest.approx(faupel * plain)
    ours = demo().values
    assert demo().results[BURST.id].capacity == pytest.approx(
        burst_mean_diameter(ours["case_F_tu_hot"], ours["case_r_i"], ours["case_r_o"])
    )


def test_svensson_rules_between():
    """R = 0.6, n = 0.3: Svensson 0.918 of F_tu ln K, Faupel 0.970, by hand."""
    own = demo().inputs | {"case_F_ty": 180e6, "case_F_tu": 300e6, "case_metal_temperature": 293.15}
    values = Values(own)
    n = 0.3
    share = 0.25 / (n + 0.227) * (np.e / n) ** n
    assert share == pytest.approx(0.918, abs=1e-3)
    plain = burst_mean_diameter(300e6, values["case_r_i"], values["case_r_o"])
    _, capacity = values.demand_and_capacity(BURST)
    assert capacity == pytest.approx(share * plain)


@pytest.mark.parametrize(
    ("left_y", "left_u", "n"),
    [  # F_ty/F_tu 0.6 cold, n = 0.75 (1 − R) by hand
        (0.5, 0.9, 0.5),  # hot 0.3/0.9, a third: hot metal hardens more
        (0.9, 0.5, 0.3),  # hot 0.54/0.5: cold metal does
    ],
)
def test_a_metal_hardens_as_much_as_it_does_cold_or_hot(left_y, left_u, n):
    """Svensson's burst falls as n grows: the greater exponent is the careful one."""
    own = {"case_F_ty": 180e6, "case_F_tu": 300e6, "case_metal_temperature": 353.15,
           "case_hot_T": np.array([353.15]), "case_hot_y": np.array([left_y]),
           "case_hot_u": np.array([left_u])}  # fmt: skip
    assert Values(demo().inputs | own)["case_hardening"] == pytest.approx(n)


@pytest.mark.parametrize("F_ty", [297e6, 300e6, 310e6])
def test_a_metal_that_does_not_harden_bursts_by_the_mean_diameter_form(F_ty):
    """Yield at the ultimate or over it: 0.75 (1 − R) is no exponent; F_tu ln K, by hand."""
    own = {"case_F_ty": F_ty, "case_F_tu": 300e6, "case_metal_temperature": 293.15}
    values = Values(demo().inputs | own)
    assert values["case_hardening"] == 0.01
    _, capacity = values.demand_and_capacity(BURST)
    assert capacity == pytest.approx(300e6 * np.log(values["case_r_o"] / values["case_r_i"]))


def test_tube_and_closure_give_way_in_series():
    both, steel = demo(), demo(case__material="304-annealed", case__metal_temperature="20 °C",
                               closure__metal_temperature="20 °C")  # fmt: skip
    E_1, E_2 = steel.values["case_E_hot"], steel.values["closure_E_hot"]
    assert steel.values["screw_slip"] == pytest.approx(
        float(steel.values["screw_set_force"]) * (1 / E_1 + 1 / E_2) / 2 / (0.117 * 6e-3) / 1.04
    )
    assert both.values["case_E_hot"] == both.values["closure_E_hot"]


@pytest.mark.parametrize(
    ("screw", "tube", "closure"),
    [  # what heat leaves of the screw's yield strength and of each modulus, when it counts
        (1.0, 0.5, 0.5),  # softened metal gives more way: the cold slip is the lesser
        (0.5, 1.0, 0.9),  # the screw yields at half the force: the hot one is
        (0.5, 0.9, 1.0),
    ],
)
def test_the_lesser_slip_counts_cold_or_hot(screw, tube, closure):
    """F/(0.117 E d), E of tube and closure in series; the 4 % of the beam elements taken off."""
    hot = {"case_metal_temperature": 353.15, "closure_metal_temperature": 353.15}
    for name, left in (("screw_hot_y", screw), ("case_hot_E", tube), ("closure_hot_E", closure)):
        hot |= {name: np.array([left]), f"{name[:-2]}_T": np.array([353.15])}
    hot |= {f"{part}_hot_{k}": np.ones(1) for part in ("case", "closure") for k in "yu"}
    found = Values(demo().inputs | hot | {"case_E": 70e9, "closure_E": 200e9})
    cold = (1 / 70e9 + 1 / 200e9) / 2
    warm = screw * (1 / (70e9 * tube) + 1 / (200e9 * closure)) / 2
    give = float(found["screw_set_force"]) / (0.117 * 6e-3) / 1.04
    assert found["screw_slip"] == pytest.approx(give * min(cold, warm))


def test_a_measurement_without_accuracy_is_as_good_as_a_calliper():
    bare, close = DEMO.measured("case.wall", "3.1 mm"), DEMO.measured("case.wall", "3.1 mm", "0 mm")
    assert Assessment(bare).values["case_wall_min"] == pytest.approx(3.08e-3)
    assert Assessment(close).values["case_wall_min"] == pytest.approx(3.1e-3)


def test_a_tolerance_is_assumed_where_neither_it_nor_an_accuracy_was_stated():
    nominal = DEMO.toleranced("case.bore", "0.1 mm")
    assert "case_bore_tol" in assumed(DEMO)
    assert "case_bore_tol" not in assumed(nominal)
    assert "case_bore_tol" in assumed(nominal.measured("case.bore", "76.2 mm"))
    assert "case_bore_tol" not in assumed(DEMO.measured("case.bore", "76.2 mm", "0.01 mm"))


@pytest.mark.parametrize(
    ("changes", "id", "said"),
    [
        ({"case__wall": "6 mm", "case__material": "6082-T6-tube-thin"}, "case.wall.burst",
         "strengths given for 1 mm to 5 mm, not 6 mm"),
        ({"case__material": "6061-T6-bar"}, "case.wall.yield", "strengths of a bar"),
        ({"closure__material": "6061-T6-extrusion"}, "closure.plate.limit", "strengths of a tube"),
        ({"screw__strength_class": "Grade 8"}, "screw.shear", "a class of unified threads"),
        ({"screw__strength_class": "Grade 8", "screw__thread": "#10-32"}, "screw.shear",
         "strengths given for 6.35 mm to 38.1 mm, not #10-32"),
    ],
)  # fmt: skip
def test_a_row_used_beyond_what_it_was_given_for_is_weak_and_says_so(changes, id, said):
    found = demo(**changes)
    assert found.evidence(CHECKS[id]) == "weak"
    (look,) = [w for w in words.warnings(found, remedied=False) if said in w.text and not w.check]
    assert (look.level, look.evidence) == ("look", "weak")


def picked(**stated) -> Design:
    """The demo with entries of any size, whether or not they can be made."""
    entries = {path.replace("__", "."): Entry(value) for path, value in stated.items()}
    return Design("any", {**DEMO.entries, **entries})


@pytest.mark.parametrize(
    ("part", "stated", "beyond"),
    [  # thickness each row was given for: see the rows; a size nearer than a thousandth is in
        ("case", {"case__material": "6082-T6-tube-thick", "case__wall": 4.9e-3}, "5 mm to 15 mm"),
        ("case", {"case__material": "6082-T6-tube-thick", "case__wall": 4.996e-3}, ""),
        ("case", {"case__material": "6082-T6-tube-thin", "case__wall": 5.004e-3}, ""),
        ("case", {"case__material": "6082-T6-tube-thin", "case__wall": 5.01e-3}, "1 mm to 5 mm"),
        ("case", {"case__material": "6061-T651-plate"}, "strengths of a plate"),
        # a plate is as thick as the closure is long, a bar as thick as the bore is wide
        ("closure", {"closure__material": "6061-T651-plate", "closure__length": 50e-3}, ""),
        ("closure", {"closure__material": "6061-T651-plate", "closure__length": 52e-3}, "50.8 mm"),
        ("closure", {"closure__material": "7075-T6-bar", "case__bore": 110e-3}, "101.6 mm"),
        ("closure", {"closure__material": "7075-T6-bar", "closure__length": 110e-3}, ""),
    ],
)
def test_a_row_is_held_against_the_size_of_its_part(part, stated, beyond):
    why = part_inputs.beyond_row(picked(**stated), part)
    assert beyond in why
    assert bool(why) == bool(beyond)


def test_values_that_the_design_states_are_held_against_no_size():
    bar = data.MATERIALS["6061-T6-bar"]
    strengths = {name: 3e8 for name in part_inputs.MATERIAL_NUMBERS if name.startswith("F_")}
    own = data.material_from_values("mine", "Mine", strengths, like=bar)
    bare = data.material_from_values("mine", "Mine", {"F_tu": 3e8})
    for part in part_inputs.PARTS:
        for mine in (own, bare):
            entries = picked(**{f"{part}__material": "mine"}).entries
            design = Design("any", entries, {"mine": mine})
            assert part_inputs.beyond_row(design, part) == ""
            assert part_inputs.rows(design)[f"{part}_F_tu"].seen == "stated"
    assert data.evidence(bare["F_tu"]) == "practice"


def test_what_an_own_material_takes_from_its_like_was_given_for_what_that_was():
    bar = data.MATERIALS["6061-T6-bar"]
    own = data.material_from_values("mine", "Mine", {"F_ty": 2.6e8}, like=bar)
    design = Design("any", picked(case__material="mine").entries, {"mine": own})
    assert part_inputs.beyond_row(design, "case") == "strengths of a bar"
    rows = part_inputs.rows(design)
    assert data.evidence(rows["case_F_ty"]) == "practice"
    assert data.evidence(rows["case_F_su"]) == "weak"
    closed = Design("any", picked(closure__material="mine").entries, {"mine": own})
    assert part_inputs.beyond_row(closed, "closure") == ""


def test_a_row_from_memory_is_to_be_confirmed_beyond_its_range_too():
    found = demo(case__material="6082-T6-tube-thin", case__wall="6 mm")
    assert part_inputs.beyond_row(found.design, "case")
    burst = CHECKS["case.wall.burst"]
    assert any("EN 1999-1-1" in source for source in found.confirm(burst))
    assert found.evidence(burst) == "weak"


@pytest.mark.parametrize(
    ("thread", "grade", "beyond"),
    [
        ("1/4-20", "Grade 5", ""),  # SAE J429: from 1/4 in on
        ("#10-32", "Grade 5", "6.35 mm to 25.4 mm, not #10-32"),
        ("#8-32", "A574", ""),
        ("M12", "8.8", ""),
        ("M6", "A574", "a class of unified threads"),
        ("1/4-20", "8.8", "a class of metric threads"),
    ],
)
def test_a_class_is_held_against_its_thread(thread, grade, beyond):
    why = part_inputs.beyond_class(picked(screw__thread=thread, screw__strength_class=grade))
    assert beyond in why
    assert bool(why) == bool(beyond)


def test_the_largest_thread_of_a_class_is_in_it_and_the_next_is_not(monkeypatch):
    to_m6 = attrs.evolve(CLASSES["8.8"], sizes=(1.6e-3, 6e-3))
    monkeypatch.setitem(CLASSES, "8.8", to_m6)
    assert part_inputs.beyond_class(picked(screw__thread="M6")) == ""
    assert part_inputs.beyond_class(picked(screw__thread="M8"))


def test_beyond_its_row_every_strength_is_weak_and_nothing_else():
    rows = part_inputs.rows(demo(case__material="6061-T651-plate").design)
    weak = {name for name, row in rows.items() if row.beyond}
    strengths = {name for name in part_inputs.MATERIAL_NUMBERS if name.startswith("F_")}
    assert len(strengths) == 7
    assert weak == {f"case_{name}" for name in strengths}
    screw = part_inputs.rows(demo(screw__strength_class="Grade 8").design)
    weak = {name for name, row in screw.items() if row.beyond}
    assert weak == {"screw_f_ub", "screw_f_yb"}


def test_hot_ratios_carry_the_source_of_their_own_table():
    rows = part_inputs.rows(DEMO)
    for part, table in (
        ("case", DEMO.material("case").hot),
        ("closure", DEMO.material("closure").hot),
        ("screw", CLASSES["8.8"].hot),
    ):
        for name, what in (("y", "yield"), ("u", "ultimate"), ("E", "modulus")):
            told, row = table.provenance[what], rows[f"{part}_hot_{name}"]
            assert (row.source, row.seen) == (told.source, told.seen)


def test_screws_are_reckoned_with_the_nominal_strengths_of_their_class():
    """ISO 898-1 designation: 10.9 is 1000 and 900 MPa; its minima are 1040 and 940."""
    found = demo(screw__strength_class="10.9").inputs
    assert (found["screw_f_ub"], found["screw_f_yb"]) == pytest.approx((1000e6, 900e6))


def test_each_part_expands_as_its_own_material():
    """304 in the tube, from memory 17.3e-6/K; the closure's 6061, a mill's table, 23.6e-6/K."""
    two = demo(case__material="304-annealed", case__metal_temperature="20 °C")
    rows = seal_inputs.rows(two.design)
    for part, alpha in (("case", 17.3e-6), ("closure", 23.6e-6)):
        assert two.inputs[f"{part}_alpha"] == pytest.approx(alpha)
        assert rows[f"{part}_alpha"].value == pytest.approx(alpha)


def test_each_hot_table_stands_under_its_own_name():
    found = demo().inputs
    at = np.flatnonzero(np.isclose(found["case_hot_T"], 473.15))[0]
    # 6061-T6 at 200 °C: MIL-HDBK-5J Fig. 3.6.2.2.1(b) and (a), modulus EN 1999-1-2 Table 2
    for name, left in (("y", 0.692), ("u", 0.65), ("E", 0.86)):
        assert found[f"case_hot_{name}"][at] == left
    cold = demo(case__material="304-annealed", case__metal_temperature="20 °C").inputs
    for name, value in (("T", 293.15), ("y", 1), ("u", 1), ("E", 1)):
        assert cold[f"case_hot_{name}"] == [value]


def test_the_demo_s_rows_were_given_for_its_parts():
    assert not [w for w in words.warnings(demo()) if "strengths" in w.text]


def test_a_number_that_is_opened_shows_the_weakest_of_all_behind_it():
    assert QUANTITIES["screw_load"].evidence == "theory"
    assert working(demo(), "screw_load").evidence == "weak"  # the sharing factor is in it
    assert working(demo(), "loads_end_force").evidence == "practice"  # an assumed tolerance
    stated = Assessment(DEMO.toleranced("case.bore", "0.1 mm"))
    assert working(stated, "loads_end_force").evidence == "theory"
