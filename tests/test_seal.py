"""The checks of the rings: corners against brute force, and how they behave."""

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hobbyclosure import assess, study, words, working
from hobbyclosure.assess import Assessment
from hobbyclosure.checks import each
from hobbyclosure.clashes_seal import ring_clashes
from hobbyclosure.corners import corner, corners, governing
from hobbyclosure.design import DesignError
from hobbyclosure.graph import CHECKS, Values
from hobbyclosure.physics.chart import backup_thickness, chart_band, extrusion_limit
from hobbyclosure.physics.plate import rim_rotation
from hobbyclosure.physics.seal import push_entering, ring_volume, section_stretched
from hobbyclosure.physics.swelling import (
    foundation_number,
    growth_at_ring,
    growth_bound,
    growth_by_pressure,
    shrink_by_pull,
)
from hobbyclosure.physics.vessel import bore_growth
from tests.designs import DEMO

RINGS = tuple(each.RINGS)
JUDGED = [id for id, check in CHECKS.items() if check.part == "seal"]


def changed(**changes) -> Assessment:
    """The demo with fields changed."""
    return Assessment(DEMO.evolved({k.replace("__", "."): v for k, v in changes.items()}))


def test_the_whole_working_of_a_ring_can_be_shown():
    text = working.plain(changed(), "seal.primary.gap")
    assert "Primary ring: growth of the bore at the ring at MEOP" in text
    assert "chart gap(" in text
    assert "guide gap(" in text
    assert "g_lim,pri = " in text


# ---- corners against brute force


TOLERANCED = ("bore", "clearance", "floor", "id", "cs", "wall", "screw", "station", "edge", "width",
              "nose")  # fmt: skip


def by_hand(v, ring, signs, hot, load):
    """Gap, squeeze and fill of one combination, every tolerance at either end, from the physics."""
    s = dict(zip(TOLERANCED, signs, strict=True))

    def dim(name, key):
        return v[name] + s[key] * v[f"{name}_tol"]

    bore = dim("case_bore", "bore")
    wall = v["case_wall"] + s["wall"] * v["case_wall"] * v["case_wall_tol_share"]
    r_i, r_o = bore / 2, bore / 2 + wall
    c_closure = dim("closure_clearance", "clearance")
    E, nu, p = v["case_E"], v["case_nu"], v["loads_meop"]
    d = (dim(f"seal_{ring}_station", "station") - dim("closure_screw_station", "screw")
         + dim("case_edge_distance", "edge"))  # fmt: skip
    e = v["case_edge_distance"]
    if ring == "liner":
        housing = v["insulation_liner_bore"] + s["bore"] * v["insulation_liner_bore_tol"]
        c = housing - dim("closure_nose_diameter", "nose")
        u = bore_growth(p, r_i, r_o, E, nu)
        thickest = v["insulation_liner"] + v["insulation_liner_tol"]
        u += p * thickest / v["insulation_liner_modulus"]
    else:
        housing, c = bore, c_closure
        length = np.sqrt((r_i + r_o) / 2 * (r_o - r_i))
        X, Y = (foundation_number(length, nu) * place for place in (d, e))
        tube = p, r_i, r_o, E, nu
        near = growth_at_ring(X, Y, growth_by_pressure(*tube), shrink_by_pull(*tube))
        u = max(near, growth_bound(d / length, bore_growth(*tube)))
    depth_in_plate = (
        v["closure_length"]
        - v["closure_length_tol"]
        - (v[f"seal_{ring}_station"] + v[f"seal_{ring}_station_tol"])
    )
    h = v["closure_plate"] - v["closure_plate_tol"]
    theta = rim_rotation(p, r_i, v["closure_centre_hole"] / 2, h, v["closure_E"], v["closure_nu"])
    rim = max(2 * theta * (h / 2 - depth_in_plate), 0)
    soft_t, soft_c = v["case_E"] / v["case_E_hot"], v["closure_E"] / v["closure_E_hot"]
    firing = hot and load == "MEOP"
    swollen = (2 * u * soft_t + rim * soft_c) if firing else (2 * u + rim)
    times = {"none": 0.0, "MEOP": 1.0, "proof": v["loads_proof_factor"]}[load]
    day = (v["loads_hot"] if hot else v["loads_cold"]) - v["loads_room"]
    apart = (v["case_alpha"] - v["closure_alpha"]) * day
    if hot and load != "proof":
        apart = v["case_alpha"] * (v["case_metal_temperature"] - v["loads_room"])
        apart -= v["closure_alpha"] * (v["closure_metal_temperature"] - v["loads_room"])
    nominal = v["insulation_liner_bore"] if ring == "liner" else v["case_bore"]
    opened = max(apart, 0) * nominal + swollen * times
    if ring == "liner" and times:  # the gas presses the liner out to the tube
        opened += v["insulation_slack"]
    gap = c + opened
    floor = dim(f"seal_{ring}_groove_diameter", "floor")
    inside = v[f"seal_{ring}_std_id"] + s["id"] * v[f"seal_{ring}_std_id_tol"]
    free = v[f"seal_{ring}_std_cs"] + s["cs"] * v[f"seal_{ring}_std_cs_tol"]
    section = section_stretched(inside, free, floor)
    rubber = v[f"seal_{ring}_expansion"] - v["closure_alpha"]
    off_centre = max(c, 0) if ring == "liner" else c
    open_side = (housing - floor) / 2 + off_centre / 2 + opened
    closed_side = (housing - floor) / 2 - off_centre / 2
    thin = section * (1 + rubber * day)
    metals = v["case_metal_temperature"], v["closure_metal_temperature"]
    hottest = max(*metals, v["loads_hot"]) - v["loads_room"] if hot else day
    thick = section * (1 + rubber * hottest)
    width = v[f"seal_{ring}_groove_width"] + s["width"] * v[f"seal_{ring}_groove_width_tol"]
    width -= v[f"seal_{ring}_backups"] * backup_thickness(v[f"seal_{ring}_section_max"])
    groove = np.pi / 4 * (housing**2 - floor**2) * width
    fill = ring_volume(inside, free) * (1 + 3 * rubber * hottest) / groove
    hardness = 90 if v[f"seal_{ring}_backups"] else v[f"seal_{ring}_durometer"]
    limit = extrusion_limit(hardness, chart_band(p * times))
    return {
        "factor": limit / gap if gap > 0 else np.inf, "least": 1 - open_side / thin,
        "most": 1 - closed_side / thick, "fill": fill, "gap": gap,
    }  # fmt: skip


DESIGNS = {
    "demo": ({}, {}),
    "slack behind the liner": ({"insulation__slack": "0.08 mm"}, {}),
    "hard ring alone": ({"seal__liner__backups": "0", "seal__liner__durometer": "90"}, {}),
    "hot tube, two alloys": (
        {"case__metal_temperature": "120 °C", "loads__meop_given": "4 MPa",
                   "loads__cold": "-20 °C", "seal__primary__compound": "NBR"},
        {"case_alpha": 17e-6},
    ),
    "tube far hotter than the closure": ({"case__metal_temperature": "200 °C"}, {}),
    "softened by heat, the same growth": (
        {"case__metal_temperature": "260 °C", "closure__metal_temperature": "260 °C",
         "loads__meop_given": "4 MPa"}, {},
    ),
    "steel closure proved on a hot day": (
        {"case__metal_temperature": "20 °C", "closure__metal_temperature": "20 °C",
         "loads__cold": "15 °C", "loads__hot": "50 °C"},
        {"closure_alpha": 11.7e-6},
    ),
}  # fmt: skip


@pytest.mark.parametrize("ring", RINGS)
@pytest.mark.parametrize("case", DESIGNS)
def test_corners_hold_the_worst_of_every_combination_of_tolerances(case, ring):
    changes, own = DESIGNS[case]
    v = Values({**changed(**changes).inputs, **own})
    ends = list(itertools.product((-1, 1), repeat=len(TOLERANCED)))
    if ring == "liner":  # its growth knows no stations: fewer to try
        ends = [x for x in ends if x[6:9] == (-1, -1, -1)]
    else:
        ends = [x for x in ends if x[10] == -1]
    states = list(itertools.product((False, True), ("none", "MEOP", "proof")))
    every = {(hot, load): [by_hand(v, ring, x, hot, load) for x in ends] for hot, load in states}
    for (hot, load), tried in every.items():
        loose, tight = (corner(v, ring, side, hot, load) for side in (True, False))
        worst_gap = max(t["gap"] for t in tried)
        assert loose.gap == pytest.approx(worst_gap, rel=1e-9)
        assert loose.factor == pytest.approx(min(t["factor"] for t in tried), rel=1e-9, nan_ok=True)
        assert loose.squeeze == pytest.approx(min(t["least"] for t in tried), rel=1e-9, abs=1e-12)
        assert tight.squeeze == pytest.approx(max(t["most"] for t in tried), rel=1e-9)
        assert tight.fill == pytest.approx(max(t["fill"] for t in tried), rel=1e-9)
    # And what the checks say is the worst of the corners.
    named = corners(v, ring)
    results = {r.check.id: r for r in assess.results(v, JUDGED)}
    meop = [c for c in named if c.load == "MEOP"]
    assert min(c.factor for c in meop) == pytest.approx(results[f"seal.{ring}.gap"].factor)
    proof = [c for c in named if c.load == "proof"]
    assert min(c.factor for c in proof) == pytest.approx(results[f"seal.{ring}.gap_proof"].factor)
    least = governing(named, "squeeze_least")
    assert least.squeeze == pytest.approx(results[f"seal.{ring}.squeeze_least"].capacity)
    assert governing(named, "squeeze_most").squeeze == pytest.approx(
        results[f"seal.{ring}.squeeze_most"].demand
    )
    assert governing(named, "fill").fill == pytest.approx(results[f"seal.{ring}.fill"].demand)
    assert governing(named, "stretch").stretch == pytest.approx(
        results[f"seal.{ring}.stretch"].demand
    )


def test_a_corner_is_named_in_words():
    found = corners(changed().values, "primary")
    assert len(found) == 12
    assert governing(found, "gap").name == "loose, cold, proof"
    assert governing(found, "squeeze_most").name == "tight, hot, no pressure"


# ---- behaviour


def test_a_nose_turned_before_the_liner_was_measured_is_short():
    found = changed(closure__nose_diameter="69.6 mm")
    assert {id for id in JUDGED if found.states[id] == "short"} == {
        "seal.liner.gap_proof", "seal.liner.gap", "seal.liner.lead_in",
        "seal.liner.squeeze_least", "seal.liner.squeeze_most",
    }  # fmt: skip


def test_without_chamfers_the_ring_is_cut():
    found = changed(case__lead_in="0 mm", case__hole_chamfer="0 mm").states
    for ring in ("primary", "secondary"):
        assert found[f"seal.{ring}.lead_in"] == "short"
        assert found[f"seal.{ring}.crossing"] == "short"


def test_a_ring_too_large_for_its_floor_is_short_and_a_stretched_one_is_not():
    loose = changed(seal__primary__ring="234")
    assert loose.states["seal.primary.slack"] == "short"
    assert loose.states["seal.primary.stretch"] == assess.ABSENT
    assert changed().states["seal.primary.slack"] == assess.ABSENT
    tight = changed(seal__primary__ring="230")
    assert tight.states["seal.primary.stretch"] == "short"
    assert tight.states["seal.primary.slack"] == assess.ABSENT


def test_a_softer_ring_and_silicone_bridge_less_and_a_backup_ring_more():
    def limit(**changes):
        bare = {"seal__primary__backups": "0"}
        return float(changed(**bare | changes).values["seal_primary_limit"])

    hard = limit(seal__primary__durometer="90")
    assert limit(seal__primary__durometer="70") < limit() < hard
    assert limit(seal__primary__compound="VMQ") == pytest.approx(limit() / 2)
    assert limit(seal__primary__backups="1") == pytest.approx(hard)
    assert limit(seal__primary__backups="1", seal__primary__compound="VMQ") == pytest.approx(hard)


@pytest.mark.parametrize(("psi", "gap"), [(999.9, 0.018), (1000.1, 0.015)])
def test_each_pressure_is_read_in_its_own_band(psi, gap):
    """90 Shore by the guide: 0.018 in up to 1000 psi, 0.015 above; the trade chart allows more."""
    v = changed().inputs
    times = float(changed().values["loads_proof_factor"])
    at_meop = Values(v | {"loads_meop_given": psi * 6894.757})
    assert at_meop["seal_primary_limit"] == pytest.approx(gap * 0.0254)
    at_proof = Values(v | {"loads_meop_given": psi * 6894.757 / times})
    assert at_proof["seal_primary_limit_proof"] == pytest.approx(gap * 0.0254)


def test_backup_rings_want_a_wider_groove():
    narrow = {"seal__primary__groove_width": "5.3 mm"}
    assert changed(seal__primary__backups="1", **narrow).states["seal.primary.width"] == "short"
    assert changed(seal__primary__backups="0", **narrow).states["seal.primary.width"] == "meets"


def test_above_the_chart_there_is_no_answer_and_it_says_why():
    found = changed(loads__meop_given="21 MPa")
    assert found.states["seal.primary.gap"] == "no answer"
    reason = found.reason(CHECKS["seal.primary.gap"])
    assert "extrusion chart ends" in reason
    assert "outside 0 to 1" in reason


def test_a_ring_outside_the_tube_has_no_answer():
    values = {**changed().inputs, "seal_secondary_station": -0.001}
    (found,) = assess.results(values, ["seal.secondary.gap"])
    assert found.state == "no answer"


def test_a_ring_by_its_numbers_takes_the_place_of_the_list_s():
    own = changed(seal__primary__ring_id="69 mm", seal__primary__ring_cs="3.55 mm")
    assert own.values["seal_primary_section_min"] == pytest.approx(3.45e-3)
    assert own.values["seal_primary_inside_max"] == pytest.approx(69.5e-3)
    measured = Assessment(DEMO.measured("seal.primary.ring_cs", "3.50 mm", "0.02 mm"))
    assert measured.values["seal_primary_section_max"] == pytest.approx(3.52e-3)


def test_cold_rubber_and_another_alloy_open_the_gap():
    cold = Values({**changed(loads__cold="-30 °C").inputs, "case_alpha": 12e-6})
    assert cold["seal_primary_thermal_cold"] > 1e-5  # the aluminium closure shrinks away
    assert cold["seal_primary_thermal_warm"] == 0
    assert changed().values["seal_primary_thermal_cold"] == 0
    hot = changed(case__metal_temperature="130 °C").values
    assert hot["seal_primary_thermal_hot"] == pytest.approx(23.6e-6 * 0.0762 * 50)


@pytest.mark.parametrize(
    ("tube", "closure", "day", "stated", "hottest"),
    [
        ("90 °C", "50 °C", "40 °C", "", 363.15),
        ("50 °C", "90 °C", "40 °C", "", 363.15),
        ("20 °C", "20 °C", "45 °C", "", 318.15),
        ("90 °C", "50 °C", "40 °C", "70 °C", 343.15),  # stated: the builder's own number
    ],
)
def test_a_ring_is_as_hot_as_the_hottest_of_what_it_lies_on(tube, closure, day, stated, hottest):
    found = changed(case__metal_temperature=tube, closure__metal_temperature=closure,
                    loads__hot=day, seal__primary__hot=stated)  # fmt: skip
    assert found.values["seal_primary_ring_hot"] == pytest.approx(hottest)


def test_the_nose_lies_off_centre_by_its_clearance_and_never_by_less_than_none():
    v = changed(insulation__liner_bore="70.2 mm", closure__nose_diameter="70 mm").inputs
    least = 0.2e-3 - v["insulation_liner_bore_tol"] + v["closure_nose_diameter_tol"]
    assert Values(v)["seal_liner_play_tight"] == pytest.approx(least)
    tight = v | {"closure_nose_diameter": 70.4e-3}  # 0.1 mm and more wider than the liner
    assert Values(tight)["seal_liner_play_tight"] == 0


def test_what_the_liner_s_wall_gives_way_opens_the_gap_of_its_seal():
    """Lamé far from the ends, closed; the liner squashed by p t/E, own form."""
    v = changed().values
    p, E, nu, K = v["loads_meop"], v["case_E"], v["case_nu"], v["case_r_o"] / v["case_r_i"]
    hoop, axial = p * (K**2 + 1) / (K**2 - 1), p / (K**2 - 1)
    swells = v["case_r_i"] / E * (hoop - nu * (axial - p))
    thickest = v["insulation_liner"] + v["insulation_liner_tol"]
    squashed = p * thickest / v["insulation_liner_modulus"]
    assert v["seal_liner_growth"] == pytest.approx(swells + squashed)


@pytest.mark.parametrize(("rows", "middle"), [(1, 8e-3), (2, 9.5e-3), (3, 11e-3)])
def test_the_screws_pull_in_the_middle_of_their_rows(rows, middle):
    """8 mm to the first row, 3 mm between; β = [3(1 − ν²)]^¼/√(R_m t), Timoshenko."""
    own = {"screw_rows": float(rows), "screw_row_spacing": 3e-3, "case_edge_distance": 8e-3}
    v = Values(changed().inputs | own | {"case_nu": 0.33})
    r_i, r_o = float(v["case_r_i"]), float(v["case_r_o"])
    beta = (3 * (1 - 0.33**2)) ** 0.25 / np.sqrt((r_i + r_o) / 2 * (r_o - r_i))
    assert v["case_pull_station"] == pytest.approx(beta * middle)


def test_temperature_counts_both_ways():
    assert changed(loads__cold="-14 °C").states["seal.primary.temperature"] == "close"
    assert changed(loads__cold="-16 °C").states["seal.primary.temperature"] == "short"
    assert changed(seal__primary__compound="NBR").states["seal.primary.temperature"] == "meets"
    hot = changed(seal__primary__compound="NBR", seal__primary__hot="105 °C")
    assert hot.states["seal.primary.temperature"] == "short"


def test_the_ladder_says_where_the_ring_squeezes_out():
    found = changed()
    rungs = {r.check.id: r for r in study.ladder(found) if r.check}
    rung = rungs["seal.primary.gap"]
    assert rung.check.outcome
    at = {**found.inputs, "loads_meop_given": rung.pressure}
    below, above = (
        assess.results({**at, "loads_meop_given": rung.pressure * k}, ["seal.primary.gap"])[0]
        for k in (0.96, 1.04)
    )
    assert above.factor < 1 < below.factor


def test_a_liner_without_a_nose_is_not_judged():
    found = changed(closure__nose="0 mm")
    judged = [id for id in JUDGED if id.startswith("seal.liner.")]
    assert {found.states[id] for id in judged if "collapse" not in id} == {assess.ABSENT}


def test_impossible_rings_are_named():
    def said(**inputs_changed):
        v = {**changed().inputs, **inputs_changed}
        return " ".join(f"{c.field}: {c.says}" for c in ring_clashes(v))

    assert said() == ""
    assert "has no depth" in said(seal_secondary_groove_diameter=0.0762)
    assert "deeper than the plate" in said(seal_primary_groove_diameter=0.019)
    assert "runs into the screw holes" in said(case_lead_in=0.0110)
    assert "does not go into the liner" in said(closure_nose_diameter=0.0703)
    with pytest.raises(DesignError, match=r"nose_diameter: '70.4 mm': the nose does not go"):
        DEMO.evolved({"closure.nose_diameter": "70.4 mm"})


@pytest.mark.parametrize(
    ("backups", "section", "taken"),
    [  # half of what the gland chart widens a groove by for two, in
        (1, None, (0.275 - 0.187) / 2),  # size 232, 0.139 in
        (2, None, 0.275 - 0.187),
        (1, 0.210, (0.410 - 0.281) / 2),  # the ring's own section counts
        (0, None, 0.0),
    ],
)
def test_a_groove_that_its_backup_rings_fill_is_named_by_what_is_lacking(backups, section, taken):
    inch = 0.0254
    v = changed().inputs | {"seal_primary_backups": float(backups)}
    v |= {"seal_primary_ring_cs": section * inch} if section else {}
    lacking = []
    for width in (taken * inch - 1e-5, taken * inch + 1e-5):
        clashes = ring_clashes(v | {"seal_primary_groove_width": width})
        lacking += [c.overlap for c in clashes if "beside its backup rings" in c.says]
    assert lacking == pytest.approx([1e-5])


def test_a_ring_that_cannot_be_stretched_over_its_land_is_named():
    found = changed(seal__primary__ring="223")
    assert found.states["seal.primary.fitting_stretch"] == "short"
    texts = [w.text for w in words.warnings(found, remedied=False)]
    assert "Primary ring cannot be stretched over its land. 88.3 % against 50." in texts


def test_a_gap_that_closes_is_named():
    tight = changed(closure__clearance="0.02 mm")
    assert tight.states["closure.slip"] == "short"
    texts = [w.text for w in words.warnings(tight, remedied=False)]
    assert (
        "The gap round the closure closes by 0.03 mm at its tightest. Up to 0.02 mm is wanted."
        in texts
    )
    hot = changed(closure__metal_temperature="160 °C")  # closure 80 K hotter than the tube
    assert hot.states["closure.slip"] == "short"
    assert float(hot.values["closure_closing"]) == pytest.approx(
        0.03e-3 + 0.0762 * 23.6e-6 * 80, rel=1e-6
    )
    assert changed(closure__nose_diameter="70.15 mm").states["closure.nose_slip"] == "short"


def test_a_chamfer_takes_no_more_of_the_end_than_it_may():
    assert changed(case__lead_in="8 mm").states["case.lead_in_wall"] == "short"
    assert changed(case__lead_in="0 mm").states["case.lead_in_wall"] == assess.ABSENT
    assert changed(insulation__liner_lead_in="9 mm").states["insulation.lead_in_wall"] == "short"


SAID = {
    "seal.primary.gap": ("closure__clearance", "0.4 mm",
                         "Primary ring's gap opens to 0.481 mm, hot. Up to 0.366 mm is wanted."),
    "seal.primary.squeeze_least": ("seal__primary__groove_diameter", "70.3 mm", "'s squeeze drops"),
    "seal.primary.squeeze_most": ("seal__primary__groove_diameter", "71 mm", "'s squeeze rises"),
    "seal.primary.stretch": ("seal__primary__ring", "230", ", cold. Up to 5 % is wanted."),
    "seal.primary.slack": ("seal__primary__ring", "234", " loose on its floor. Up to 2 % is"),
    "seal.primary.fill": ("seal__primary__groove_width", "4.2 mm", " of its groove, hot. Up to 85"),
    "seal.primary.lead_in": ("case__lead_in", "1 mm", "outside the chamfer. It is cut."),
    "seal.primary.temperature": ("loads__cold", "-20 °C",
        "Primary ring leaves its compound's range, cold. FKM serves from −15 to 200 °C."),
    "seal.primary.corner": ("seal__primary__corner_radius", "1 mm", "Up to 0.607 mm is wanted."),
}  # fmt: skip


@pytest.mark.parametrize("id", SAID)
def test_a_ring_s_fault_is_told_with_its_numbers_and_its_corner(id):
    path, value, said = SAID[id]
    found = changed(**{path: value})
    assert found.states[id] == "short"
    text = next(w.text for w in words.warnings(found, remedied=False) if w.check == id)
    assert said in text
    inch = [w.text for w in words.warnings(found, "inch", remedied=False) if w.check == id]
    assert " mm" not in inch[0]


def test_rubber_of_70_shore_is_as_stiff_as_gent_s_form_says():
    """0.0981 (56 + 7.62336 × 70)/[0.137505 (254 − 2.54 × 70)] MPa: 57.8432/10.4779, by hand."""
    found = changed(seal__primary__durometer="70").values["seal_primary_rubber"]
    assert found == pytest.approx(5.5205e6, rel=1e-4)


def test_push_grows_with_hardness_and_friction():
    def force(**changes):
        check = CHECKS["seal.push"]
        return float(changed(**changes).values.demand_and_capacity(check)[0])

    assert force(seal__friction="0.5") > 1.5 * force()
    assert force(seal__primary__durometer="90") > force() > force(seal__primary__durometer="70")
    assert 100 < force() < 3000  # newtons: a press of the hands, not a hydraulic one


# ---- properties


@settings(max_examples=60, deadline=None)
@given(st.floats(0.04e-3, 1.5e-3), st.floats(1e-6, 0.4e-3))
def test_more_clearance_never_improves_the_gap(clearance, more):
    values = changed().inputs
    bore = values["insulation_liner_bore"]
    for ring, name, narrowed in (
        ("primary", "closure_clearance", None), ("secondary", "closure_clearance", None),
        ("liner", "closure_nose_diameter", bore), ("liner", "insulation_slack", None),
    ):  # fmt: skip
        for id in (f"seal.{ring}.gap", f"seal.{ring}.gap_proof"):
            less, wider = (
                assess.results({**values, name: narrowed - c if narrowed else c}, [id])[0].factor
                for c in (clearance, clearance + more)
            )
            assert wider < less, id


@settings(max_examples=60, deadline=None)
@given(st.floats(1e5, 20e6), st.floats(1.0, 1.5))
def test_more_pressure_never_improves_the_gap(p, times):
    values = changed().inputs
    low, high = (
        assess.results({**values, "loads_meop_given": q}, ["seal.primary.gap"])[0].factor
        for q in (p, min(p * times, 20.6e6))
    )
    assert high <= low or p * times > 20.6e6


@settings(max_examples=100, deadline=None)
@given(st.floats(5e-3, 0.4), st.floats(1e-3, 7e-3), st.floats(0.0, 0.5))
def test_a_stretched_ring_keeps_its_volume(inside, section, stretched):
    floor = inside * (1 + stretched)
    thinner = section_stretched(inside, section, floor)
    # The mean circle of the stretched ring runs over the floor at half the free section.
    mean = np.pi * (floor + section)
    kept = np.pi / 4 * thinner**2 * mean
    assert kept == pytest.approx(ring_volume(inside, section), rel=1e-9)


def test_the_push_up_a_chamfer_is_never_negative_and_grows_with_friction():
    pushes = [push_entering(100.0, 0.076, mu, np.radians(45)) for mu in np.linspace(0, 1.5, 31)]
    assert np.all(np.diff(pushes) > 0)
    assert pushes[0] == pytest.approx(100 * np.pi * 0.076)  # no friction: the slope alone


def test_a_nose_without_a_liner_never_meets():
    for found in (changed(insulation__liner="0 mm"),
                  changed(insulation__liner="0 mm", insulation__liner_lead_in="0 mm")):  # fmt: skip
        assert found.state == "short"
        (said,) = (w for w in words.warnings(found) if "No liner" in w.text)
        assert said.level == "look"
