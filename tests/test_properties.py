"""What must hold of any design that the fields allow."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hobbyclosure import study, words
from hobbyclosure.assess import ABSENT, STATES, Assessment, results
from hobbyclosure.graph import CHECKS, Values
from hobbyclosure.study import moved
from tests.designs import DEMO, DESIGNS, NUMBERS, moved_one_by_one, row, varied_inputs
from tests.support import case

MANY = settings(deadline=None, max_examples=150)
SOME = settings(deadline=None, max_examples=40)
PRESSED = [c for c in CHECKS.values() if c.basis is not None]


@MANY
@given(DESIGNS, st.sampled_from(["metric", "inch"]))
def test_any_design_is_assessed_and_talked_about(design, system):
    found = Assessment(design)
    assert set(found.states.values()) <= {*STATES, ABSENT}
    verdict = words.verdict(found, system)
    assert verdict.bold.endswith(".")
    assert verdict.state == found.state
    assert "nan" not in f"{verdict}"
    for warning in words.warnings(found, system):
        assert warning.level in ("stop", "look", "know")
        assert warning.text.endswith(".")
        assert "nan" not in warning.text
    for id, state in found.states.items():
        assert found.evidence(CHECKS[id])
        assert (found.reason(CHECKS[id]) != "") == (state in ("no answer", ABSENT))


def nothing_is_negative(design):
    for id, found in Assessment(design).results.items():
        if not found.applies:
            assert found.factor == np.inf
            continue
        if id.endswith("squeeze_least"):  # below zero a ring does not touch: what is left says so
            assert np.isnan(found.capacity) or found.capacity < 1
            continue
        for number in (found.demand, found.capacity, found.factor):
            assert np.isnan(number) or 0 <= number < np.inf, id
        assert found.demand != 0


@MANY
@given(DESIGNS)
def test_no_demand_capacity_or_factor_is_negative(design):
    nothing_is_negative(design)


def test_none_is_with_any_one_number_at_the_ends_of_what_it_may_be():
    for field in NUMBERS:
        low, high = field.range
        near = (low + 1e-5, high - 1e-5) if field.tol and not field.tol.endswith("%") else ()
        for value in (low, *near, high):
            with case(field.path, value):
                nothing_is_negative(moved_one_by_one([(field.path, value)]))


@MANY
@given(DESIGNS)
def test_every_rung_of_the_ladder_is_where_its_factor_is_one(design):
    found = Assessment(design)
    for check, pressure in study.letting_go(found).items():
        if np.isnan(pressure):
            assert check.told or found.states[check.id] == "no answer"
            continue
        values = found.inputs | {"loads_meop": pressure, "loads_meop_given": pressure}
        (there,) = results(values, [check.id])
        if check.told:  # it may jump there, or have no answer beyond
            below, above = (
                results(found.inputs | {"loads_meop_given": pressure * k}, [check.id])[0].factor
                for k in (0.998, 1.002)
            )
            assert not above >= 1
            assert below >= 1 or pressure < 2
        elif pressure > 2:  # below, it never held at all
            assert float(there.factor) == pytest.approx(1, rel=2e-3)
        else:
            assert there.factor <= 1


@SOME
@given(DESIGNS, st.sampled_from(["bore", "outside"]))
def test_more_wall_never_lowers_burst(design, holds):
    values = Assessment(design).inputs | {"case_wall_holds": holds}
    top = values["case_wall"] + (0.3 * values["case_bore"] if holds == "outside" else 0.02)
    grid = np.linspace(values["case_wall"], top, 60)
    burst = study.sweep(values, "case.wall", grid)["case.wall.burst"]
    assert np.all(np.isnan(burst)) or np.all(np.diff(burst) > 0)


@SOME
@given(DESIGNS)
def test_more_pressure_never_raises_a_factor(design):
    grid = np.geomspace(1e5, 6e7, 40)
    swept = study.sweep(Assessment(design).inputs, study.MEOP, grid)
    del swept["loads.meop_covers"]  # the one that asks for more
    for id, ratio in swept.items():
        known = ratio[np.isfinite(ratio)]
        assert np.all(np.diff(known) <= 1e-9 * np.abs(known[1:])), id
        if known.size < ratio.size and not CHECKS[id].told:
            assert known.size == 0 or id.startswith("seal.")


@SOME
@given(DESIGNS)
def test_factor_times_pressure_stays_the_same_where_nothing_else_depends_on_it(design):
    grid = np.array([1e6, 5e6, 2e7])
    swept = study.sweep(Assessment(design).inputs, study.MEOP, grid)
    for check in PRESSED:
        if check.told:
            continue
        ratio = swept[check.id] * grid
        assert np.all(np.isnan(ratio)) or ratio == pytest.approx(ratio[0], rel=1e-9), check.id


@SOME
@given(DESIGNS, st.integers(0, 2**32 - 1))
def test_arrays_give_what_scalars_give(design, seed):
    columns = varied_inputs(design, 5, seed)
    with np.errstate(invalid="ignore"):  # such draws may be no geometry at all
        many = {r.check.id: r for r in results(columns)}
        each = [results(row(columns, i)) for i in range(5)]
    for i in range(5):
        for one in each[i]:
            ratio = np.broadcast_to(many[one.check.id].ratio, 5)[i]
            assert float(one.ratio) == pytest.approx(float(ratio), rel=1e-12, nan_ok=True)
            assert str(one.state) == str(np.broadcast_to(many[one.check.id].state, 5)[i])


@SOME
@given(DESIGNS, st.sampled_from(["case.bore", "case.wall", "screw.count", "closure.plate"]))
def test_a_value_that_is_substituted_is_the_value_of_a_design_changed(design, path):
    grid = np.linspace(*study.FIELDS[path].range, 4).round(4)
    grid = grid.round() if path == "screw.count" else grid
    swept = study.sweep(Assessment(design).inputs, path, grid)
    for i, value in enumerate(grid):
        try:
            there = Assessment(design.evolved(study.changes(design, path, float(value))))
        except study.DesignError:
            continue
        for id, found in there.results.items():
            assert float(found.ratio) == pytest.approx(float(swept[id][i]), rel=1e-9, nan_ok=True)


def test_values_are_reckoned_once():
    shared = Values(moved(Assessment(DEMO).inputs, "case.wall", np.linspace(1e-3, 5e-3, 3)))
    first = shared["case_net_area"]
    assert shared["case_net_area"] is first
    assert np.ndim(shared["loads_end_force"]) == 0  # what does not vary stays a scalar
