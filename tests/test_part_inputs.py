"""Rows picked for a part: what heat leaves of them, what they were given for, who vouches."""

import numpy as np
import pytest

from hobbyclosure import data, words
from hobbyclosure.assess import Assessment
from hobbyclosure.data import CLASSES
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


def test_a_measurement_without_accuracy_is_as_good_as_a_calliper():
    bare, close = DEMO.measured("case.wall", "3.1 mm"), DEMO.measured("case.wall", "3.1 mm", "0 mm")
    assert Assessment(bare).values["case_wall_min"] == pytest.approx(3.08e-3)
    assert Assessment(close).values["case_wall_min"] == pytest.approx(3.1e-3)


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


def test_the_demo_s_rows_were_given_for_its_parts():
    assert not [w for w in words.warnings(demo()) if "strengths" in w.text]


def test_a_number_that_is_opened_shows_the_weakest_of_all_behind_it():
    assert QUANTITIES["screw_load"].evidence == "theory"
    assert working(demo(), "screw_load").evidence == "weak"  # the sharing factor is in it
    assert working(demo(), "loads_end_force").evidence == "practice"  # an assumed tolerance
    stated = Assessment(DEMO.toleranced("case.bore", "0.1 mm"))
    assert working(stated, "loads_end_force").evidence == "theory"
