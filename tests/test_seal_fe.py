"""Growth of the bore at a ring against axisymmetric finite elements of a tube with a free end.

The gas ends at the ring; the screws pull the whole end force in over a short band of the wall,
half on the inner and half on the outer face, so that the pull acts in the middle, or further out.
"""

from functools import cache

import numpy as np
import pytest
from skfem import MeshQuad

from hobbyclosure.physics.swelling import (
    foundation_length,
    foundation_number,
    growth_at_ring,
    growth_bound,
    growth_by_pressure,
    shrink_by_pull,
)
from hobbyclosure.physics.vessel import bore_growth
from tests.fe import Load, solve_axisymmetric, stops
from tests.support import published

P, E, NU = 6.0, 68.3e3, 0.33  # MPa, with lengths in mm
TUBES = {"thin": (38.1, 41.275), "thinner": (25.0, 26.5), "thick": (30.0, 36.0)}
PLACES = [(0.6, 0.4), (1.2, 1.2), (2.0, 1.2), (3.0, 1.2), (2.4, 0.6)]  # ring, screws, in √(R_m t)


@cache
def growth_found(tube: str, ring: float, screws: float, outward: float, across: int) -> float:
    """Radial growth of the bore at the ring; `outward` is the share of the pull on the outside."""
    r_i, r_o = TUBES[tube]
    t = r_o - r_i
    unit = np.sqrt((r_i + r_o) / 2 * t)
    d, e, end, half = ring * unit, screws * unit, (max(ring, screws) + 7) * unit, 0.15 * unit
    z = stops(0.0, *sorted({d, e - half, e + half}), end, size=t / across * 1.5)
    mesh = MeshQuad.init_tensor(stops(r_i, r_o, size=t / across), z)
    eps = 1e-6
    force = P * r_i**2 / 2  # per radian
    band = {r: force * share / (2 * half * r) for r, share in ((r_i, 1 - outward), (r_o, outward))}

    def on(radius, low, high):
        return lambda r, z: (np.abs(r - radius) < eps) & (z > low) & (z < high)

    loads = [Load(on(r_i, d, end + 1), P, 0.0)]
    loads += [Load(on(r, e - half, e + half), 0.0, -q) for r, q in band.items()]
    field = solve_axisymmetric(mesh, E, NU, loads, lambda r, z: z > end - eps)
    return field.at(field.u_r, r_i, d)


FORMS = (growth_at_ring, foundation_length, foundation_number, growth_by_pressure, shrink_by_pull)


def growth_said(r_i: float, r_o: float, d: float, e: float) -> float:
    """Growth at the ring by the form."""
    beta = foundation_number(foundation_length(r_i, r_o), NU)
    opened, pulled = growth_by_pressure(P, r_i, r_o, E, NU), shrink_by_pull(P, r_i, r_o, E, NU)
    return growth_at_ring(beta * d, beta * e, opened, pulled)


@published(FORMS, "own axisymmetric finite elements of a tube with a free end, this file")
@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize("tube", TUBES)
def test_growth_at_the_ring_is_near_finite_elements_with_the_pull_in_the_middle(tube, place):
    r_i, r_o = TUBES[tube]
    unit = np.sqrt((r_i + r_o) / 2 * (r_o - r_i))
    coarse, fine = (growth_found(tube, *place, 0.5, across) for across in (3, 5))
    assert coarse == pytest.approx(fine, rel=0.01)  # the mesh no longer matters
    form = growth_said(r_i, r_o, place[0] * unit, place[1] * unit)
    assert form == pytest.approx(fine, rel=0.012)


@published(growth_bound, "own axisymmetric finite elements of a tube with a free end, this file")
@pytest.mark.parametrize("outward", [0.5, 5 / 6])
@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize("tube", TUBES)
def test_what_the_check_takes_is_never_below_finite_elements(tube, place, outward):
    r_i, r_o = TUBES[tube]
    unit = np.sqrt((r_i + r_o) / 2 * (r_o - r_i))
    d, e = place[0] * unit, place[1] * unit
    bound = growth_bound(place[0], bore_growth(P, r_i, r_o, E, NU))
    taken = max(growth_said(r_i, r_o, d, e), bound)
    found = growth_found(tube, *place, outward, 3)
    assert found <= 1.005 * taken
    assert 0.35 * bore_growth(P, r_i, r_o, E, NU) < found  # a wrong model would say nothing


def test_far_from_everything_half_the_open_tube_s_growth_is_left():
    r_i, r_o = TUBES["thin"]
    far = growth_said(r_i, r_o, 400.0, 14.0)
    half = growth_by_pressure(P, r_i, r_o, E, NU) / 2 - shrink_by_pull(P, r_i, r_o, E, NU)
    assert far == pytest.approx(half, rel=1e-9)
    whole = growth_by_pressure(P, r_i, r_o, E, NU) - shrink_by_pull(P, r_i, r_o, E, NU)
    assert whole == pytest.approx(bore_growth(P, r_i, r_o, E, NU), rel=1e-12)
