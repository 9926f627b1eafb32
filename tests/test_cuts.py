"""Lands, skirt, tapped holes, ligaments, tips and heads: each balanced again by hand."""

import numpy as np
import pytest

from hobbyclosure.assess import ABSENT, Assessment
from hobbyclosure.graph import CHECKS, Values
from hobbyclosure.physics import land, skirt, tear
from tests.designs import BENCH
from tests.designs import bench as demo

FOUND = Assessment(BENCH)
P = 5.2e6 * 1.08 * 1.1  # MEOP of the demo


def of(found: Assessment, id: str) -> tuple[float, float]:
    """Demand and capacity."""
    return float(found.results[id].demand), float(found.results[id].capacity)


# ---- the demo by hand; worst sizes: stations ± 0.1, grooves' floors ± 0.05, plate, nose and skirt
# ± 0.1, bore ± 0.1, clearance ± 0.03, pitch circle ± 0.2


def test_land_between_the_grooves_by_hand():
    # Width 33.4 − 25.5 − 5.0 = 2.9 mm; from the floor at 70.45/2 to 76.25/2 it stands 2.9 mm.
    w, R_f, H = 2.9e-3, 35.225e-3, 38.125e-3 - 35.225e-3
    pieces = np.linspace(0, H, 20001)
    at = (pieces[1:] + pieces[:-1]) / 2
    ring = P * np.diff(pieces) * (R_f + at) / R_f  # force on each ring, per length of the root
    bending, shear = 6 * (ring * at).sum() / w**2, 1.5 * ring.sum() / w
    by_hand = 2.5 * np.sqrt(bending**2 + 3 * shear**2) + 5 * P
    assert of(FOUND, "closure.land.secondary_primary")[0] == pytest.approx(by_hand, rel=1e-6)


def test_land_before_the_nose_and_before_the_liner_groove_by_hand():
    v = FOUND.values
    assert v["closure_nose_land"] == pytest.approx(47.9e-3 - 7.1e-3 - 33.6e-3 - 5.0e-3)
    assert v["closure_liner_land"] == pytest.approx(47.9e-3 - 42.5e-3 - 3.7e-3)
    alone = land.land_stress(P, 34.825e-3, 32.875e-3, 1.7e-3)
    assert of(FOUND, "closure.land.liner")[0] == pytest.approx(alone)


def test_hole_to_groove_by_hand():
    wanted, left = of(FOUND, "closure.land.screw_secondary")
    assert wanted == pytest.approx(4.2e-3)
    assert left == pytest.approx(25.3e-3 - 14.1e-3 - 3e-3)


def test_hole_to_face_by_hand():
    wanted, left = of(FOUND, "closure.land.screw_face")
    assert wanted == pytest.approx(4.2e-3)
    assert left == pytest.approx(13.9e-3 - 3e-3)
    near = demo(closure__screw_station="7.25 mm", case__lead_in="0 mm")
    assert of(near, "closure.land.screw_face")[1] == pytest.approx(7.15e-3 - 3e-3)
    assert near.states["closure.land.screw_face"] == "short"


def test_a_screw_bears_on_the_nearer_side_of_its_hole_when_it_bends():
    near = demo(closure__screw_station="8 mm", case__lead_in="0 mm")  # 7.9 mm to the cold face
    v = near.values
    F_bry = float(v["closure_F_bry_15"]) * (7.9 / 6) / 1.5  # below 1.5 d in proportion
    root = float(v["screw_root"])
    expected = F_bry * float(v["closure_yield_ratio"]) * root
    assert v["screw_closure_bearing"] == pytest.approx(expected)
    assert float(v["closure_edge_distance"]) > 2 * 7.9e-3  # the hot side has metal enough


def test_a_sharp_groove_corner_is_beyond_the_land_s_form():
    v = FOUND.values  # radius 0.4: lands 2.9 wide and as high, 2.2 of 2.9, 1.7 of 1.95
    shares = [float(v[f"closure_{at}_land_corner"]) for at in ("bore", "nose", "liner")]
    assert shares == pytest.approx([0.4 / 2.9, 0.4 / 2.2, 0.4 / 1.7])
    wide = Values({**FOUND.inputs, "closure_length": 52e-3})
    assert wide["closure_nose_land_corner"] == pytest.approx(0.4 / 2.9)  # 6.2 wide, 2.9 high
    for ring, land_ in (("primary", "secondary_primary"), ("primary", "primary_nose"),
                        ("liner", "liner")):  # fmt: skip
        for radius, answers in (("0.3 mm", True), ("0.1 mm", False), ("0 mm", False)):
            found = demo(**{f"seal__{ring}__corner_radius": radius})
            state = found.states[f"closure.land.{land_}"]
            assert (state != "no answer") == answers, (land_, radius)
            assert (found.states["prove.lands"] != "no answer") == answers


def test_tapped_hole_by_hand():
    v = FOUND.values
    load, capacity = of(FOUND, "closure.shear_out")
    assert load == pytest.approx(float(v["screw_sharing"]) * np.pi / 4 * P * 0.0763**2 / 14)
    planes = 2 * 6e-3 * (25.3e-3 - 14.1e-3 - 3e-3)  # one diameter deep, from rim to groove
    assert capacity == pytest.approx(planes * float(v["closure_F_su_hot"]))
    load, capacity = of(FOUND, "closure.bearing.ultimate")
    e = min((25.3 - 14.1) / 6, 2)
    F_bru = np.interp(e, [1.5, 2.0], [v["closure_F_bru_15"], v["closure_F_bru_20"]])
    assert capacity == pytest.approx(F_bru * float(v["closure_ultimate_ratio"]) * 6e-3 * 6e-3)


def test_skirt_by_hand():
    # Skirt 9.4 mm thick at least: between 28.66 and 38.06 mm less 14 holes of 6 mm, or under the
    # secondary groove between 28.66 and 35.225 mm, which is less.
    holes = np.pi * (38.06**2 - 28.66**2) - 14 * 6 * 9.4
    groove = np.pi * (35.225**2 - 28.66**2)
    force = np.pi / 4 * P * 0.0763**2
    demand, _ = of(FOUND, "closure.skirt")
    assert groove > holes
    assert demand == pytest.approx(force / (min(holes, groove) * 1e-6))
    deep = demo(seal__secondary__groove_diameter="62 mm")
    under = np.pi * (30.975**2 - 28.66**2)
    assert under < holes
    assert of(deep, "closure.skirt")[0] == pytest.approx(force / (under * 1e-6))


def test_fillet_by_hand():
    a, h, b, r_i = 38.15, 17.9, 10.0, 28.66
    flat = 0.75 * P / h**2 * (3.33 * a**2 + 0.67 * b**2)
    sharp = np.sqrt(0.031 * 2 * a / 2.2)
    by_hand = 1.25 * sharp * (0.3 * flat + 2 * P * a**2 / (a**2 - r_i**2))
    assert float(FOUND.values["closure_nu"]) == 0.33
    assert of(FOUND, "closure.fillet.yield")[0] == pytest.approx(by_hand)
    solid = demo(closure__centre_hole="0 mm")
    assert of(solid, "closure.fillet.yield")[0] < 0.8 * by_hand


def test_ligaments_by_hand():
    wanted, left = of(FOUND, "closure.ligament.port_plug")
    assert wanted == pytest.approx((20e-3 + 10.29e-3) / 6)
    assert left == pytest.approx(20.75e-3 - 10e-3 - 5.145e-3)
    smallest = (76.1e-3 - 0.11e-3) / 2
    assert of(FOUND, "closure.ligament.port_rim")[1] == pytest.approx(
        smallest - 9.6e-3 - 20.95e-3 - 5.145e-3
    )
    four = demo(port__count="4")  # on a square: neighbours √2 radii apart
    assert of(four, "closure.ligament.port_port")[1] == pytest.approx(
        np.sqrt(2) * 20.75e-3 - 10.29e-3
    )


def test_block_of_two_rows_by_hand():
    two = demo(screw__rows="2", closure__screw_station="8 mm", screw__row_spacing="9 mm",
               case__edge_distance="9 mm")  # fmt: skip
    v = two.values
    t, d, s, e = 0.9 * 3.175e-3 - 0.2e-3, 6.5e-3, 8.9e-3, 8.8e-3
    p = np.pi * (76.2e-3 + 2.8575e-3) / 14
    F_tu, F_ty = float(v["case_F_tu_hot"]), float(v["case_F_ty_hot"])
    inner = F_tu * t * (p - d) + F_ty * 2 * t * (e + s - d / 2) / 3**0.5
    # Across by way of the far hole: two diagonals, each s²/4g longer than straight, g half a pitch.
    outer = F_tu * t * (p - 2 * d + 2 * s**2 / (4 * p / 2)) + F_ty * 2 * t * (e - d / 2) / 3**0.5
    demand, capacity = of(two, "case.block_tear")
    pair = F_tu * t * (p - d) + F_ty * 2 * t * (e - d / 2) / 3**0.5
    assert capacity == pytest.approx(min(inner / 3, outer / 3, pair / 2))
    assert demand == pytest.approx(float(v["screw_load"]))


def test_rows_far_apart_and_far_from_the_end_tear_out_by_two_holes_of_the_inner_row():
    """EN 1993-1-8, 3.10.2: the block before two inner holes takes the outer hole between along."""
    s, e = 25e-3, 60e-3
    v = Values(FOUND.inputs | {"screw_rows": 2.0, "screw_row_spacing": s, "case_edge_distance": e})
    t, d, p = 0.9 * 3.175e-3 - 0.2e-3, 6.5e-3, np.pi * (76.2e-3 + 2.8575e-3) / 14
    F_tu, F_ty = float(v["case_F_tu_hot"]), float(v["case_F_ty_hot"])
    across, along = F_tu * t * (p - d), F_ty * 2 * t * (e - 0.2e-3 - d / 2) / 3**0.5
    s -= 0.1e-3
    inner = across + along + F_ty * 2 * t * s / 3**0.5
    outer = F_tu * t * (p - 2 * d + s**2 / p) + along
    assert inner / 3 < min(outer / 3, (across + along) / 2)
    assert v.demand_and_capacity(CHECKS["case.block_tear"])[1] == pytest.approx(inner / 3)


def test_far_apart_the_outer_row_tears_out_in_pairs():
    two = demo(screw__rows="2", closure__screw_station="9 mm", screw__row_spacing="25 mm",
               case__edge_distance="9 mm", closure__length="70 mm",
               seal__secondary__station="40 mm", seal__primary__station="50 mm",
               seal__liner__station="64.4 mm", closure__plate="30 mm")  # fmt: skip
    one = demo(case__edge_distance="9 mm", closure__screw_station="9 mm")
    assert of(two, "case.block_tear")[1] == pytest.approx(of(one, "case.block_tear")[1])


def test_block_of_one_row_by_hand():
    one = demo()
    t, d, e = 0.9 * 3.175e-3 - 0.2e-3, 6.5e-3, 13.8e-3
    p = np.pi * (76.2e-3 + 2.8575e-3) / 14
    F_tu, F_ty = float(one.values["case_F_tu_hot"]), float(one.values["case_F_ty_hot"])
    demand, capacity = of(one, "case.block_tear")
    pair = F_tu * t * (p - d) + F_ty * 2 * t * (e - d / 2) / 3**0.5
    assert capacity == pytest.approx(pair / 2)
    assert demand == pytest.approx(float(one.values["screw_load"]))


def test_a_primary_groove_over_the_skirt_weakens_it_as_a_secondary_one_does():
    # A plate of 12 mm in a closure of 48 puts the skirt's floor at 36 mm, beyond both grooves.
    over = demo(closure__plate="12 mm", seal__primary__groove_diameter="62 mm")
    assert float(over.values["seal_primary_station_min"]) < float(over.values["closure_floor"])
    r_i = float(over.values["closure_pocket_radius"])
    under = np.pi * (0.030975**2 - r_i**2)
    assert over.values["closure_skirt_area"] == pytest.approx(under)
    assert demo(closure__plate="12 mm").values["closure_skirt_area"] > 1.5 * under


def test_the_thickest_wall_gives_the_screw_its_longest_arm():
    thin = {"case__wall": "2 mm", "case__lead_in": "0 mm"}
    arms = [
        float(Assessment(demo(**thin).design.toleranced("case.wall", t)).values["screw_arm"])
        for t in ("0 mm", "0.1 mm", "0.3 mm")
    ]
    assert arms[0] < arms[1] < arms[2]


def test_a_block_of_one_row_lies_between_shear_out_and_net_section():
    """Why one row needs no check of its own: m neighbours tear at a mean of the two."""
    t, e, d, p, f_u, f_y = 2.8e-3, 12e-3, 6.5e-3, 17e-3, 290e6, 240e6
    shear = tear.block_tear_force(f_u, f_y, 0.0, tear.block_shear_area(t, e, d))
    net = tear.block_tear_force(f_u, f_y, tear.block_straight_area(t, p, d), 0.0)
    for m in (2, 3, 7, 30):
        straight = (m - 1) * tear.block_straight_area(t, p, d)
        whole = tear.block_tear_force(f_u, f_y, straight, tear.block_shear_area(t, e, d))
        assert min(shear, net) <= whole / m <= max(shear, net)


def test_screw_tip_by_hand():
    long = demo(screw__length="16 mm")
    # The tip may stand at 38.1 + 2.8575 − 16 = 24.96 mm, the skirt ends at 28.66 mm; the corners
    # of the sensor's hexagon reach 20.95 + 13/√3 mm.
    demand, capacity = of(long, "screw.tip")
    assert demand == pytest.approx((28.66 - 24.9575 + 3) * 1e-3)
    assert capacity == pytest.approx((28.66 - 20.95 - 13 / np.sqrt(3)) * 1e-3)
    assert long.states["screw.tip"] == "short"
    alone = demo(screw__length="16 mm", port__count="0")  # only the plug's 17 mm hexagon is left
    assert of(alone, "screw.tip")[1] == pytest.approx((28.66 - 17 / np.sqrt(3)) * 1e-3)


def test_tip_in_a_solid_closure_stops_before_plug_and_port():
    solid = demo(closure__plate="48 mm")
    assert solid.states["closure.fillet.yield"] == ABSENT
    demand, capacity = of(solid, "screw.tip")
    assert demand == pytest.approx((38.06 - (38.1 + 2.8575 - 12) + 3) * 1e-3)
    assert capacity == pytest.approx((38.06 - 20.95 - 5.145) * 1e-3)


def test_heads_and_countersinks():
    room = demo(screw__head_room="3 mm")
    assert of(room, "screw.head.height") == pytest.approx((3.3e-3, 3e-3))  # ISO 7380-1 M6
    assert room.states["screw.head.height"] == "short"
    assert demo(screw__head_room="3 mm", screw__head="countersunk").states[
        "screw.head.height"] == ABSENT  # fmt: skip
    flush = demo(screw__head="countersunk")
    assert of(flush, "screw.countersink") == pytest.approx((3.72e-3, 2 / 3 * 0.9 * 3.175e-3))


def test_a_countersink_costs_bearing_and_section():
    flush = demo(screw__head="countersunk", case__wall="6 mm")
    plain = demo(case__wall="6 mm")
    left = 5.4e-3 - 0.2e-3 - 3.72e-3 / 2
    assert flush.values["case_bearing_length"] == pytest.approx(left)
    cone = 14 * (13.44e-3 - 6.5e-3) * 3.72e-3 / 2  # a triangle on each side of each hole
    lost = plain.values["case_net_area"] - flush.values["case_net_area"]
    assert float(lost) == pytest.approx(cone)


def test_shell_bending_by_hand():
    r_i, t = 38.15, 0.9 * 3.175
    K = (r_i + t) / r_i
    by_hand = np.sqrt(3) * P * K**2 / (K**2 - 1) + 0.33 * P * (r_i + t / 2) / t
    assert of(FOUND, "case.shell_bending")[0] == pytest.approx(by_hand)
    assert tear.row_bending_stress(P, 0.04, 0.004) == pytest.approx(3.3 * P)


# ---- traps


@pytest.mark.parametrize(
    ("ring", "station", "left"),
    [
        ("secondary", "16 mm", 0.0),  # the hole runs into the groove
        ("secondary", "10 mm", 0.0),
        ("secondary", "18 mm", 0.8e-3),
        ("secondary", "5 mm", 0.8e-3),  # a groove on the cold side counts too
        ("primary", "18 mm", 0.8e-3),
    ],
)
def test_metal_to_a_groove_on_either_side(ring, station, left):
    values = dict(FOUND.inputs) | {f"seal_{ring}_station": float(station[:-3]) * 1e-3}
    inputs = {**values, "seal_secondary_groove_width": 4.9e-3}
    found = float(Values(inputs)["closure_hole_land"])
    assert found == pytest.approx(left, abs=1e-9)


def test_a_groove_over_the_hole_leaves_no_bearing():
    over = Values({**FOUND.inputs, "seal_secondary_station": 12e-3})  # reaches to 16.9 mm
    assert 0 < float(over["closure_edge_distance"]) < 1e-5
    behind = Values({**FOUND.inputs, "seal_secondary_station": 4e-3})  # to 8.9 mm: no matter
    assert float(behind["closure_edge_distance"]) == pytest.approx(33.4e-3 - 14.1e-3)
    between = Values({**FOUND.inputs, "screw_rows": 2.0, "seal_secondary_station": 19e-3,
                      "screw_row_spacing": 14e-3})  # fmt: skip
    assert float(between["closure_edge_distance"]) == pytest.approx(18.9e-3 - 14.1e-3)


def test_land_stress_grows_as_it_must():
    R, R_f = 38e-3, 35e-3
    widths = np.geomspace(0.2e-3, 30e-3, 40)
    stress = land.land_stress(P, R, R_f, widths)
    assert (np.diff(stress) < 0).all()
    assert stress[-1] == pytest.approx(5 * P, rel=0.2)
    assert np.isfinite(land.land_stress(P, R, R_f, -1e-3))
    assert land.land_stress(P, R, R + 1e-3, 3e-3) == pytest.approx(5 * P)  # no groove, no land


def test_fillet_only_grows_below_its_radius():
    blunt, sharp = (
        skirt.skirt_fillet_stress(P, 0.038, 0.029, r, 80e6) for r in (3e-3, 0.031 * 0.076 / 4)
    )
    assert sharp == pytest.approx(2 * blunt)


@pytest.mark.parametrize("changes", [
    {"closure__fillet": "1 mm"}, {"closure__fillet": "4 mm"}, {"closure__skirt_wall": "9 mm"},
    {"closure__skirt_wall": "16 mm"}, {"closure__plate": "11 mm"}, {"closure__plate": "24 mm"},
    {"closure__plate": "43 mm"},
])  # fmt: skip
def test_fillet_outside_its_range_has_no_answer(changes):
    found = demo(**changes)
    assert found.states["closure.fillet.yield"] == found.states["prove.fillet"] == "no answer"
    assert "outside" in found.reason(CHECKS["closure.fillet.yield"])


def test_land_proof_is_the_worst_land():
    cold = max(of(FOUND, f"closure.land.{x}")[0] for x in ("secondary_primary", "primary_nose",
                                                          "liner"))  # fmt: skip
    proof = float(FOUND.values["loads_proof_factor"])
    assert of(FOUND, "prove.lands")[0] == pytest.approx(cold * proof)
    assert demo(closure__nose="0 mm").states["closure.land.liner"] == ABSENT
