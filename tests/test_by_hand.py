"""The bench design by hand: every number that a check takes up on its way, written out.

A form may be right and still be fed the wrong dimension; each line here fails when a check takes
the nominal for the worst, a radius for a diameter, cold for hot, or a constant off by 2 %.
"""

import numpy as np
import pytest

from hobbyclosure.graph import CHECKS, Values
from hobbyclosure.part_inputs import HOLE_SCATTER, SHARING_LEAST
from tests.designs import bench

BENCH = bench()
P = 5.2e6 * 1.08 * 1.1  # MEOP
FORCE = np.pi / 4 * P * 76.3e-3**2
KSI = 6.894757e6
YIELD_80, ULTIMATE_80 = (  # 6061-T6 at 80 °C: between the table's 75 and 100 °C
    0.936 - 0.2 * (0.936 - 0.900), 0.929 - 0.2 * (0.929 - 0.894),
)  # fmt: skip


def of(id: str) -> tuple[float, float]:
    """Demand and capacity of a check."""
    found = BENCH.results[id]
    return float(found.demand), float(found.capacity)


def test_hot_strengths_of_tube_and_closure():
    for part in ("case", "closure"):
        assert BENCH.values[f"{part}_F_ty_hot"] == pytest.approx(35 * KSI * YIELD_80, rel=1e-6)
        assert BENCH.values[f"{part}_F_tu_hot"] == pytest.approx(42 * KSI * ULTIMATE_80, rel=1e-6)
        assert BENCH.values[f"{part}_F_su_hot"] == pytest.approx(27 * KSI * ULTIMATE_80, rel=1e-6)


def test_wall():
    r_i, r_o = 38.15e-3, 38.15e-3 + 0.9 * 3.175e-3
    K = r_o / r_i
    demand, capacity = of("case.wall.yield")
    assert demand == pytest.approx(np.sqrt(3) * P * K**2 / (K**2 - 1))
    assert capacity == pytest.approx(35 * KSI * YIELD_80, rel=1e-6)


def test_plate_takes_the_bore_s_largest_radius_and_its_own_least_thickness():
    a, h, b, nu = 38.15e-3, 17.9e-3, 10e-3, 0.33
    s = min(48e-3 - 33.5e-3, 2 / 3 * h)
    bending = 0.75 * P / h**2 * ((3 + nu) * a**2 + (1 - nu) * b**2) * (1 + 2.4 * (h / 2 / a) ** 3)
    wet = bending + 2 * (2 + nu) / 20 * P + 2 * a**2 / (a**2 - b**2) * P * s / h * (4 - 3 * s / h)
    assert of("closure.plate.yield")[0] == pytest.approx(wet)
    demand, capacity = of("closure.plate.limit")
    assert demand == pytest.approx(P)
    assert capacity == pytest.approx(
        1.5 * 42 * KSI * ULTIMATE_80 * h**2 / (a**2 + a * b + b**2), rel=1e-6
    )


def test_engagement_and_what_bears():
    engaged = 12e-3 - 1.1 * 3.175e-3 - 0.11e-3
    assert BENCH.values["screw_engagement"] == pytest.approx(engaged)
    assert BENCH.values["closure_bearing_length"] == pytest.approx(6e-3)  # one diameter at most
    short = bench(screw__length="10 mm")
    assert short.values["closure_bearing_length"] == pytest.approx(engaged - 2e-3 - 1e-3)
    assert bench(screw__length="4 mm").values["closure_bearing_length"] == 0
    assert BENCH.values["case_bearing_length"] == pytest.approx(0.9 * 3.175e-3 - 0.2e-3)


def test_where_no_land_is_left_beside_the_tapped_holes_nothing_holds():
    """Groove 2.3 mm from the screw's axis, rim at 3 mm: 2 t (e − d/2) would be below zero."""
    _, capacity = Values(BENCH.inputs | {"seal_secondary_station": 16.5e-3}).demand_and_capacity(
        CHECKS["closure.shear_out"]
    )
    assert capacity == 0


def test_grooves_begin_past_the_longest_chamfer_of_their_housing():
    """From the tube's end: edge distance less screw station; from the liner's: the nose's step."""
    for ring, station in (("primary", 33.5), ("secondary", 25.4)):
        begins = (station - 0.1) - (14 + 0.1) + (14 - 0.2)
        assert of(f"seal.{ring}.past_lead_in") == pytest.approx((3.6e-3, begins * 1e-3))
    begins = (42.4 - 0.1) - (48 + 0.1 - 6.9)
    assert of("seal.liner.past_lead_in") == pytest.approx((3.2e-3, begins * 1e-3))
    shallow = Values(BENCH.inputs | {"seal_liner_station": 41e-3, "seal_primary_station": 0.0})
    for ring in ("primary", "liner"):  # begins before the mouth
        _, capacity = shallow.demand_and_capacity(CHECKS[f"seal.{ring}.past_lead_in"])
        assert capacity == 0


def test_pitch_and_edge_ask_for_multiples_of_the_hole():
    pitch = np.pi * (76.2e-3 + 0.9 * 3.175e-3) / 14
    assert of("case.pitch") == pytest.approx((2.4, pitch / 6.5e-3))
    assert of("case.edge") == pytest.approx((1.2, 13.8 / 6.5))


def test_mean_load_and_the_worst():
    k = float(BENCH.values["screw_sharing"])
    assert 1 < k < 3
    assert BENCH.values["loads_end_force"] == pytest.approx(FORCE)
    assert BENCH.values["screw_load"] == pytest.approx(k * FORCE / 14)
    proof = 1.3 / min(YIELD_80, 1 - 0.75 * 0.08)
    assert BENCH.values["loads_proof"] == pytest.approx(proof * P, rel=1e-6)
    assert of("screw.bending.proof")[0] == pytest.approx(proof * FORCE / 14, rel=1e-6)


def test_screw_shear_and_bearing():
    load = float(BENCH.values["screw_load"])
    A_s = np.pi / 4 * (6 - 0.9382) ** 2 * 1e-6
    assert of("screw.shear") == pytest.approx((load, 0.6 * 800e6 * 0.94 * A_s), rel=1e-4)
    t = 0.9 * 3.175e-3 - 0.2e-3
    assert of("case.bearing.yield") == pytest.approx(
        (load / (6e-3 * t), 56 * KSI * YIELD_80), rel=1e-6
    )
    area = 2 * t * (13.8e-3 - 3.25e-3)
    assert of("case.shear_out") == pytest.approx((load / area, 27 * KSI * ULTIMATE_80), rel=1e-6)


def test_hot_screw_bends_where_its_section_is_plastic():
    """Own dowel action. In the closure F g + F²/2q_1 + F²/2q_2 = M_p = f_ub d_3³/6; at its surface
    (F g + F²/2q_1)/M_p + (F/V_p)² = 1, V_p = f_ub A_s/√3; or the wall is crushed, q_1 t.
    """
    d_3, A_s, f_ub = 6e-3 - 1.226869e-3, np.pi / 4 * (6 - 0.9382) ** 2 * 1e-6, 800e6 * 0.94
    g = 0.08e-3 + 0.03e-3 + 0.2e-3  # clearance, chamfer; tube and closure are as warm
    F_bry = 49 + 7 * ((25.3 - 14.1) / 6 - 1.5) / 0.5
    q_1, q_2 = 56 * KSI * YIELD_80 * d_3, F_bry * KSI * YIELD_80 * d_3
    F = np.linspace(1000, 12000, 1_100_001)
    M_p, V_p = f_ub * d_3**3 / 6, f_ub * A_s / np.sqrt(3)
    before = F * g + F**2 / (2 * q_1)
    hinge = np.interp(0, before + F**2 / (2 * q_2) - M_p, F)
    surface = np.interp(0, before / M_p + (F / V_p) ** 2 - 1, F)
    crushed = q_1 * (0.9 * 3.175e-3 - 0.2e-3)
    assert hinge < min(surface, crushed)
    assert of("screw.bending.ultimate")[1] == pytest.approx(hinge, rel=1e-5)
    hard = {"closure_F_bry_15": 1e12, "closure_F_bry_20": 1e12, "case_wall": 5e-3}
    values = Values(BENCH.inputs | hard)
    _, capacity = values.demand_and_capacity(CHECKS["screw.bending.ultimate"])
    assert surface < q_1 * (0.9 * 5e-3 - 0.2e-3)
    assert capacity == pytest.approx(surface, rel=1e-5)


def test_a_plain_shank_shears_on_its_whole_diameter():
    """EN 1993-1-8 Table 3.4, α_v = 0.6; f_ub of 8.8 at 80 °C."""
    plain = bench(screw__shear_plane="shank")
    assert plain.results["screw.shear"].capacity == pytest.approx(
        0.6 * 800e6 * 0.94 * np.pi / 4 * 6e-3**2
    )


def test_the_other_end_outlasts_the_proof_and_meop_covers_the_peak():
    proof = 1.3 / min(YIELD_80, 0.94)
    assert of("loads.other_end") == pytest.approx((proof * P, 9.6e6), rel=1e-6)
    assert of("loads.meop_covers") == pytest.approx((5.2e6, P))
    for id in ("loads.other_end", "loads.meop_covers"):
        assert BENCH.results[id].required == 1


def test_holes_tear_by_the_lower_of_the_two_forms():
    """EN 1993-1-8 Table 3.4, min(1.4 p/d − 1.7, 2.5) of F_tu at e/3d; MIL-HDBK-5J, F_bru at 2.0."""
    d, F_tu = 6.5, 42 * KSI * ULTIMATE_80
    pitch = np.pi * (76.2 + 0.9 * 3.175) / 14
    assert of("case.bearing.ultimate")[1] == pytest.approx(
        (1.4 * pitch / d - 1.7) * 13.8 / (3 * d) * F_tu, rel=1e-6
    )
    wide = bench(screw__count="8", case__edge_distance="30 mm")
    assert 2.5 * 42 > 88  # EN's most is more than the handbook's
    assert wide.results["case.bearing.ultimate"].capacity == pytest.approx(
        88 * KSI * ULTIMATE_80, rel=1e-6
    )


def test_a_tube_harder_than_its_hot_screws_bears_what_the_screws_bear():
    """EN 1993-1-8 Table 3.4: α_b is at most f_ub/f_u; k_1 = 1.4 p/d − 1.7 at the bench's pitch."""
    hard = {"case_F_tu": 1200e6, "case_F_bru_15": 9e9, "case_F_bru_20": 9e9}
    _, capacity = Values(BENCH.inputs | hard).demand_and_capacity(CHECKS["case.bearing.ultimate"])
    pitch = np.pi * (76.2 + 0.9 * 3.175) / 14
    assert 800 * 0.94 / (1200 * ULTIMATE_80) < 13.8 / (3 * 6.5) < 0.71
    assert capacity == pytest.approx((1.4 * pitch / 6.5 - 1.7) * 800e6 * 0.94)


def test_scatter_of_the_holes_is_what_the_load_sharing_was_modelled_with():
    assert HOLE_SCATTER == {"together": 2e-5, "guide": 5e-5, "free-hand": 1e-4, "unknown": 1e-4}
    assert SHARING_LEAST == {"unknown": 2.2}
    for method, scatter in HOLE_SCATTER.items():
        assert bench(screw__hole_method=method).inputs["screw_hole_sigma"] == scatter


def test_nose_under_its_groove_at_meop_and_at_proof():
    """Lamé between the centre hole and the groove's deepest floor, pressed from outside."""
    r_i, r_o = 10e-3, (65.8e-3 - 0.05e-3) / 2
    hoop = 2 * P * r_o**2 / (r_o**2 - r_i**2)
    assert of("seal.liner.floor") == pytest.approx((hoop, 35 * KSI * YIELD_80), rel=1e-6)
    proof = float(BENCH.values["loads_proof_factor"])
    assert of("prove.nose") == pytest.approx((hoop * proof, 35 * KSI), rel=1e-6)


def test_the_thinnest_liner_folds_and_none_is_thicker_than_its_room():
    """Two lobes of a long tube, E/4 (t/R)³; between 76.3 mm and 70.18 mm lie 3.06 mm."""
    for stated, t in (("3 mm", 2.9e-3), ("6 mm", 3.06e-3)):
        found = bench(insulation__liner=stated).results["seal.liner.collapse"]
        folds = 5000e6 / 4 * (t / ((76.3e-3 - t) / 2)) ** 3
        assert float(found.demand) == pytest.approx(0.05 * P)
        assert float(found.capacity) == pytest.approx(folds)


def test_a_ring_hangs_loosest_on_the_hottest_day():
    """AS568-234: 2.984 ± 0.024 in inside; it grows by its rubber's expansion less the metal's."""
    found = bench(seal__primary__ring="234")
    v = found.values
    apart = float(v["seal_primary_expansion"] - v["closure_alpha"]) * (40 - 20)
    loose = 1 - 70.45 / (25.4 * (2.984 + 0.024)) + apart
    assert apart > 1e-3
    assert float(found.results["seal.primary.slack"].demand) == pytest.approx(loose)
