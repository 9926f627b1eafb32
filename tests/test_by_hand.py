"""The bench design by hand: every number that a check takes up on its way, written out.

A form may be right and still be fed the wrong dimension; each line here fails when a check takes
the nominal for the worst, a radius for a diameter, cold for hot, or a constant off by 2 %.
"""

import numpy as np
import pytest

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


def test_scatter_of_the_holes_is_what_the_load_sharing_was_modelled_with():
    assert HOLE_SCATTER == {"together": 2e-5, "guide": 5e-5, "free-hand": 1e-4, "unknown": 1e-4}
    assert SHARING_LEAST == {"unknown": 2.2}
    for method, scatter in HOLE_SCATTER.items():
        assert bench(screw__hole_method=method).inputs["screw_hole_sigma"] == scatter
