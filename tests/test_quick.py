"""What is quicker than NumPy's own gives what NumPy gives, of numbers, arrays and their mixture."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hobbyclosure import quick
from hobbyclosure.units import Q

FLOATS = st.floats(allow_nan=True, allow_infinity=True)
NUMBERS = st.one_of(
    FLOATS,
    st.integers(-9, 9),
    FLOATS.map(np.float64),
    st.lists(FLOATS, min_size=3, max_size=3).map(np.array),
)


def same(ours, theirs):
    np.testing.assert_array_equal(ours, theirs)
    assert np.shape(ours) == np.shape(theirs)


@given(NUMBERS, NUMBERS)
def test_the_greater_and_the_lesser_are_numpy_s(a, b):
    same(quick.maximum(a, b), np.maximum(a, b))
    same(quick.minimum(a, b), np.minimum(a, b))


@pytest.mark.parametrize("kind", [float, np.float64])
def test_what_has_no_value_stays_without_one(kind):
    for pick in (quick.maximum, quick.minimum):
        for a, b in ((np.nan, 1.0), (1.0, np.nan), (np.nan, np.nan), (np.nan, np.inf)):
            assert np.isnan(pick(kind(a), kind(b)))


@given(st.one_of(st.booleans(), st.booleans().map(np.bool_)), FLOATS, FLOATS)
def test_a_choice_between_two_numbers_is_numpy_s(condition, a, b):
    same(quick.where(condition, a, b), np.where(condition, a, b))


@given(st.lists(st.booleans(), min_size=3, max_size=3).map(np.array), NUMBERS, NUMBERS)
def test_a_choice_for_each_of_many_is_numpy_s(condition, a, b):
    same(quick.where(condition, a, b), np.where(condition, a, b))


def test_of_one_condition_for_all_what_it_takes_comes_as_it_is():
    many = np.arange(3.0)
    assert quick.where(np.True_, many, 0.0) is many
    assert quick.where(np.False_, many, 0.0) == 0.0


def test_units_are_kept():
    assert quick.maximum(Q(1, "mm"), Q(0.5, "cm")) == Q(5, "mm")
    assert quick.where(True, Q(1, "mm"), Q(2, "mm")) == Q(1, "mm")


@pytest.mark.parametrize(
    "nothing", [quick.maximum(0, 0.0), quick.minimum(0, 0), quick.where(True, 0, 1)]
)
def test_to_divide_by_what_comes_of_plain_numbers_raises_nothing(nothing):
    with np.errstate(divide="ignore"):
        assert 1.0 / nothing == np.inf
