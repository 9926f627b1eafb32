"""Load sharing: the table against a fresh Monte Carlo and against what must hold without one."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hobbyclosure.assess import Assessment
from hobbyclosure.physics.sharing import SHARING, sharing_factor, slip_at_yield
from hobbyclosure.units import Q
from tests.designs import DEMO
from tests.sharing_monte_carlo import (
    CLEARANCE,
    SCREWS,
    SIGMA,
    TRIALS,
    gaps,
    simulated,
    worst_over_mean,
)
from tests.support import published

RATIOS = st.tuples(st.floats(0, 4), st.floats(0, 40), st.floats(2, 48))
FRESH = np.random.default_rng(97).random((TRIALS, 48))  # not the seed of the table


@published(sharing_factor, "Monte Carlo of the same model with another seed, in this test")
@pytest.mark.parametrize(
    ("sigma", "c", "n"),
    [(0.5, 5, 14), (0.8, 4, 6), (1, 3.5, 24), (1, 8, 8), (1.5, 6, 12), (2, 4.5, 48), (0.7, 10, 32)],
)
def test_a_fresh_monte_carlo_finds_the_tabulated_values(sigma, c, n):
    assert (sigma in SIGMA, c in CLEARANCE, n in SCREWS) == (True, True, True)
    # Four standard errors of a 95 % quantile of so many joints, read off the joints themselves.
    k = np.sort(worst_over_mean(gaps(sigma, c, FRESH[:, :n])))
    spread = 4 * np.sqrt(0.05 * 0.95 * TRIALS)
    low, high = k[[round(0.95 * TRIALS - spread), round(0.95 * TRIALS + spread)]]
    assert low - 1e-9 <= SHARING.at(sigma, c, n) <= high + 0.01  # rounded up to 0.01


@pytest.mark.parametrize("seed", range(6))
def test_between_its_points_the_table_is_hardly_ever_low(seed):
    draw = np.random.default_rng(seed)
    sigma, c, n = draw.uniform(0.4, 1.3), draw.uniform(2, 10), int(draw.integers(4, 49))
    k = simulated(sigma, c, [n], FRESH)[0]
    assert SHARING.at(sigma, c, n) == pytest.approx(k, rel=0.05)
    assert SHARING.at(sigma, c, n) > 0.96 * k


def test_the_model_of_one_joint_by_hand():
    # Gaps in δ_y: the first screw fails at u = 3; the others are pressed 3, 0.5 and not at all.
    assert worst_over_mean(np.array([[0, 0, 2.5, 4]])) == pytest.approx(4 / 2.5)


def test_fourteen_screws_with_a_clearance_of_five_slips():
    # Our own earlier study: 1.0, 1.1 to 1.3 and 1.8 to 2.7 for σ 0.02, 0.05 and 0.1 mm, δ_y there
    # 0.06 to 0.09 mm.
    delta_y = 0.075e-3
    together, guide, free = sharing_factor(
        np.array([0.02e-3, 0.05e-3, 0.1e-3]), 5 * delta_y, delta_y, 14
    )
    assert together == pytest.approx(1, abs=0.005)
    assert 1.1 <= guide <= 1.3
    assert 1.8 <= free <= 2.7


@given(st.floats(0, 40), st.floats(2, 48))
def test_perfect_holes_share_evenly(c, n):
    assert SHARING.at(0.0, c, n) == pytest.approx(1, abs=1e-12)


@given(st.floats(0, 4), st.floats(0, 2), st.floats(2, 48))
def test_a_clearance_within_two_slips_shares_evenly(sigma, c, n):
    assert SHARING.at(sigma, c, n) == pytest.approx(1, abs=1e-12)


@given(RATIOS, st.floats(0, 1), st.floats(0, 1))
def test_worse_holes_or_more_clearance_never_help(point, more_sigma, more_c):
    sigma, c, n = point
    k = SHARING.at(sigma, c, n)
    assert 1 <= k <= n + 0.01
    assert k <= SHARING.at(min(sigma + more_sigma, 4), c, n) + 1e-9
    assert k <= SHARING.at(sigma, min(c + more_c, 40), n) + 1e-9


@given(st.lists(RATIOS, min_size=1, max_size=6))
def test_arrays_give_what_scalars_give(points):
    columns = np.array(points).T
    assert np.array_equal(SHARING.at(*columns), [SHARING.at(*p) for p in points])


def test_shapes_broadcast_and_scalars_stay_scalar():
    sigma, c = np.linspace(0, 1e-4, 5)[:, None], np.linspace(0, 5e-4, 3)
    assert sharing_factor(sigma, c, 1e-4, 12).shape == (5, 3)
    assert np.ndim(sharing_factor(5e-5, 5e-4, 1e-4, 12)) == 0


@pytest.mark.parametrize("point", [(4.1, 5, 8), (-0.1, 5, 8), (1, 41, 8), (1, 5, 49), (1, 5, 1)])
def test_outside_the_table_there_is_no_answer(point):
    assert np.isnan(SHARING.at(*point))


def test_lengths_with_units_give_the_same_factor():
    plain = sharing_factor(50e-6, 500e-6, 75e-6, 14)
    assert sharing_factor(Q("50 um"), Q("0.5 mm"), Q(75e-6, "m"), Q(14, "")) == plain


def test_slip_at_yield_of_an_m5_8_8_in_aluminium():
    # 14.2 mm² of 640 MPa in shear over 8 GPa times 5 mm.
    F_y = 14.2e-6 * 640e6 / np.sqrt(3)
    assert slip_at_yield(F_y, 5e-3, 68.3e9) == pytest.approx(F_y / (8e9 * 5e-3), rel=2e-3)


@pytest.mark.parametrize("thread", ["M4", "M5", "M6", "M8", "M12"])
@pytest.mark.parametrize("grade", ["8.8", "12.9", "A2-70"])
def test_a_method_that_is_not_known_is_never_kinder_than_one_that_is(thread, grade):
    base = {"screw.thread": thread, "screw.strength_class": grade, "screw.head": "cap",
            "screw.clearance_hole": f"{float(thread[1:]) + 0.4} mm"}  # fmt: skip

    def shared(method: str) -> float:
        design = DEMO.evolved(base | {"screw.hole_method": method})
        return float(Assessment(design).values["screw_sharing"])

    unknown = shared("unknown")
    assert not unknown < 2.2
    for method in ("together", "guide", "free-hand"):
        assert np.isnan(unknown) or unknown >= shared(method)
