"""The plate against axisymmetric finite elements: never below them in the stated range."""

from functools import cache

import numpy as np
import pytest
from skfem import MeshQuad

from hobbyclosure.physics.plate import (
    plate_bending,
    plate_dry_stress,
    plate_limit_pressure,
    plate_raised,
    plate_wet_stress,
    rim_rotation,
)
from tests.fe import Field, Load, solve_axisymmetric, stops
from tests.support import published

P, E, NU, A = 1.0, 68.3e3, 0.33, 50.0  # MPa and mm


@cache
def plate(b: float, h: float, s: float, seat: float, through: int) -> Field:
    """Plate with its dry face at z = 0, held by a shear patch h/10 high at depth seat on the rim.

    The pressure acts on the wet face and on the rim from there down to s; the plug's load comes
    as shear on the hole's wall. The patch takes just the total, so the one held point takes none.
    """
    low, high, eps = seat - h / 20, seat + h / 20, 1e-6
    z = stops(*sorted({0.0, low, high, h - s, h}), size=h / through)
    n = 4 * through
    r = np.geomspace(b, A, n + 1) if b > 0 else np.linspace(0.0, A, n + 1)
    loads = [
        Load(lambda r, z: np.abs(z - h) < eps, 0.0, -P),
        Load(
            lambda r, z: (np.abs(r - A) < eps) & (z > low) & (z < high),
            0.0,
            P * A / (2 * (high - low)),
        ),
    ]
    if s > 0:
        loads.append(Load(lambda r, z: (np.abs(r - A) < eps) & (z > h - s), -P, 0.0))
    if b > 0:
        loads.append(Load(lambda r, z: np.abs(r - b) < eps, 0.0, -P * b / (2 * h)))
    held = lambda r, z: (np.abs(r - A) < eps) & (np.abs(z - low) < eps)  # noqa: E731
    return solve_axisymmetric(MeshQuad.init_tensor(r, z), E, NU, loads, held)


def faces(b: float, h: float, s: float) -> tuple[float, float]:
    """Closed forms of the dry and the wet face."""
    raised = plate_raised(plate_bending(P, A, b, h, NU), P, A, b, h, NU)
    dry, wet = (face(raised, P, A, b, h, s) for face in (plate_dry_stress, plate_wet_stress))
    return float(dry), float(wet)


def peak(field: Field, b: float) -> float:
    """Greatest equivalent stress around the middle or the hole, away from the screws."""
    return float(field.von_mises[field.r < b + 0.4 * (A - b)].max())


# Seats from 0.2 h off the dry face to the seal; the pressed part of the rim holds no screw.
CASES = [
    (b, ratio, seal, seat)
    for b in (0.0, 10.0, 20.0)
    for ratio in (0.12, 0.3, 0.5)
    for seal in (0.0, 1 / 3, 2 / 3)
    for seat in (0.2, 0.5, 0.8)
    if seat + 0.05 <= 1 - seal
]
FINE = 0.001  # what the finer mesh may still be off


@published(
    (plate_bending, plate_raised, plate_dry_stress, plate_wet_stress),
    "axisymmetric finite elements in this test: never below them, at most 60 % above",
)
@pytest.mark.parametrize(("b", "ratio", "seal", "seat"), CASES)
def test_larger_face_is_never_below_finite_elements(b, ratio, seal, seat):
    h = 2 * A * ratio
    field = plate(b, h, seal * h, seat * h, 8)
    form = max(faces(b, h, seal * h))
    assert form >= (1 - FINE) * peak(field, b)
    assert form <= 1.6 * peak(field, b)  # safe, not absurd


@pytest.mark.parametrize(("b", "ratio", "seal", "seat"), [c for c in CASES if c[2] < 0.5])
def test_dry_face_is_never_below_finite_elements(b, ratio, seal, seat):
    h = 2 * A * ratio
    field = plate(b, h, seal * h, seat * h, 8)
    assert faces(b, h, seal * h)[0] >= (1 - FINE) * field.at(field.s_t, b, 0.0)


@pytest.mark.parametrize("b", [0.0, 10.0, 20.0])
@pytest.mark.parametrize("ratio", [0.12, 0.5])
def test_mesh_no_longer_matters(b, ratio):
    h = 2 * A * ratio
    coarse, fine = (plate(b, h, h / 3, h / 2, through) for through in (8, 16))
    dry = [field.at(field.s_t, b, 0.0) for field in (coarse, fine)]
    assert dry[0] == pytest.approx(dry[1], rel=0.005)
    assert peak(coarse, b) == pytest.approx(peak(fine, b), rel=0.005)


@pytest.mark.parametrize("b", [0.0, 10.0, 20.0])
def test_thin_plate_is_the_form_itself(b):
    h = 0.04 * 2 * A
    field = plate(b, h, 0.0, h / 2, 4)
    assert faces(b, h, 0.0)[0] == pytest.approx(field.at(field.s_t, b, 0.0), rel=0.005)


@pytest.mark.parametrize("b", [0.0, 10.0, 20.0])
@pytest.mark.parametrize(("ratio", "above"), [(0.04, 0.005), (0.12, 0.05), (0.25, 0.15)])
def test_rim_rotation_is_never_below_finite_elements(b, ratio, above):
    h = 2 * A * ratio
    for seat in (0.2, 0.5, 0.8):
        field = plate(b, h, 0.0, seat * h, 4)
        turn = (field.at(field.u_r, A, 0.0) - field.at(field.u_r, A, h)) / h
        form = rim_rotation(P, A, b, h, E, NU)
        assert (1 - 0.002) * turn <= form <= (1 + above) * turn


@published(plate_limit_pressure, "equilibrium within Tresca's hexagon, integrated in this test")
@pytest.mark.parametrize("b", [0.0, 10.0, 20.0])
def test_limit_pressure_leaves_no_radial_moment_on_the_rim(b):
    """Equilibrium d(r M_r)/dr = M_0 − p r²/2 from the hole to the rim, hoop moment M_0 all over."""
    sigma, h = 260.0, 12.0
    p = plate_limit_pressure(sigma, A, b, h)
    r = np.linspace(b, A, 2001)
    slope = sigma * h**2 / 4 - p * r**2 / 2
    r_M_r = np.concatenate([[0.0], np.cumsum((slope[1:] + slope[:-1]) / 2 * np.diff(r))])
    assert abs(r_M_r[-1]) < 1e-5 * np.abs(r_M_r).max()
    assert (r_M_r[1:-1] > 0).all()
    assert (r_M_r[1:] / r[1:] <= sigma * h**2 / 4 * (1 + 1e-6)).all()  # inside Tresca's hexagon
