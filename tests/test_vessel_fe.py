"""The tube against axisymmetric finite elements: a real closed end, read far away from it."""

from functools import cache

import numpy as np
import pytest
from skfem import MeshQuad

from hobbyclosure.physics.vessel import (
    axial_stress,
    bore_growth,
    end_force,
    hoop_bore,
    outside_growth,
    von_mises_bore,
)
from tests.fe import Field, Load, solve_axisymmetric, stops

P, E, NU = 7.0, 68.3e3, 0.33  # MPa, with lengths in mm
TUBES = [(25.0, 26.0), (38.1, 41.275), (25.0, 32.0)]  # K 1.04, 1.08, 1.28


@cache
def capped_tube(r_i: float, r_o: float, across: int) -> Field:
    """Half a tube with a thick flat cap, symmetric about z = 0, pressure on all inner faces."""
    wall = r_o - r_i
    half, cap = 10 * np.sqrt(r_i * wall), 4 * wall  # the cap's bending has died out at z = 0
    r = stops(0.0, r_i - 2 * wall, r_i, size=r_i / 4)[:-1]
    r = np.concatenate([r, stops(r_i, r_o, size=wall / across)])
    z = stops(0.0, half, half + cap, size=wall / across * 2)
    mesh = MeshQuad.init_tensor(r, z)
    mid = mesh.p[:, mesh.t].mean(axis=1)
    mesh = mesh.remove_elements(np.flatnonzero((mid[0] < r_i) & (mid[1] < half)))
    eps = 1e-6
    loads = [
        Load(lambda r, z: (np.abs(r - r_i) < eps) & (z < half), P, 0.0),
        Load(lambda r, z: (np.abs(z - half) < eps) & (r < r_i), 0.0, P),
    ]
    return solve_axisymmetric(mesh, E, NU, loads, lambda r, z: z < eps)


@pytest.mark.parametrize(("r_i", "r_o"), TUBES)
@pytest.mark.parametrize(
    ("form", "stress"),
    [(hoop_bore, "s_t"), (von_mises_bore, "von_mises"), (axial_stress, "s_z")],
)
def test_bore_stress_is_within_one_percent_of_finite_elements(form, stress, r_i, r_o):
    coarse, fine = (capped_tube(r_i, r_o, across) for across in (4, 8))
    found = [field.at(getattr(field, stress), r_i, 0.0) for field in (coarse, fine)]
    assert found[0] == pytest.approx(found[1], rel=0.005)  # the mesh no longer matters
    assert form(P, r_i, r_o) == pytest.approx(found[1], rel=0.01)


@pytest.mark.parametrize(("form", "outside"), [(bore_growth, False), (outside_growth, True)])
@pytest.mark.parametrize(("r_i", "r_o"), TUBES)
def test_growth_far_from_the_ends_is_within_one_percent_of_finite_elements(form, outside, r_i, r_o):
    coarse, fine = (capped_tube(r_i, r_o, across) for across in (4, 8))
    found = [field.at(field.u_r, r_o if outside else r_i, 0.0) for field in (coarse, fine)]
    assert found[0] == pytest.approx(found[1], rel=0.005)
    assert form(P, r_i, r_o, E, NU) == pytest.approx(found[1], rel=0.01)


def test_axial_stress_over_the_wall_carries_the_end_force():
    r_i, r_o = 38.1, 41.275
    wall = np.pi * (r_o**2 - r_i**2)
    assert axial_stress(P, r_i, r_o) * wall == pytest.approx(end_force(P, 2 * r_i))
