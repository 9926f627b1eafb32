"""What a change does not touch is not computed again, and everything comes out the same."""

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from hobbyclosure import study
from hobbyclosure.assess import Assessment, ratios_of, result, succeeding
from hobbyclosure.design import DesignError
from hobbyclosure.fields import FIELDS
from hobbyclosure.graph import CHECKS, Values, touched
from hobbyclosure.units import COUNT
from tests.designs import DEMO, DESIGNS

DEMO_FOUND = Assessment(DEMO)
study.letting_go(DEMO_FOUND)

NUMBERS = [f.path for f in FIELDS.values() if f.kind is not None]


@pytest.mark.parametrize("path", [*NUMBERS, "case.wall outside", "case.wall stated"])
def test_a_sweep_of_an_assessed_design_is_the_plain_sweep(path):
    design = DEMO.evolved({"case.wall_holds": "outside"}) if "outside" in path else DEMO
    design = design.toleranced("case.wall", "4 %") if "stated" in path else design
    path = path.split()[0]
    field, a = FIELDS[path], Assessment(design)
    _ = a.states
    now = study.now(a, path)
    grid = np.linspace(0.9, 1.1, 5) * now if now == now and now > 0 else np.array(field.range)
    grid = np.clip(np.round(grid) if field.kind is COUNT else grid, *field.range)
    plain, quick = study.sweep(a.inputs, path, grid), study.swept(a, path, grid)
    assert list(plain) == list(quick)
    for id, ratio in plain.items():
        np.testing.assert_array_equal(quick[id], ratio, err_msg=id)


@settings(max_examples=200, deadline=None, database=None, suppress_health_check=list(HealthCheck))
@given(st.lists(DESIGNS, min_size=2, max_size=4))
def test_a_design_after_another_is_assessed_as_it_is_alone(designs):
    found = Assessment(designs[0])
    for design in designs[1:]:
        found = succeeding(found, design)
        _the_same(found, Assessment(design))


@pytest.mark.parametrize("field", FIELDS.values(), ids=[*FIELDS])
def test_a_design_of_which_one_field_moved_is_assessed_as_it_is_alone(field):
    if field.choices:
        values = [c for c in field.choices() if c != str(DEMO[field.path].value)][:3]
    else:
        values = [*field.range] if field.kind else []
    for value in (*values, None):
        try:
            design = DEMO.evolved({field.path: value})
        except DesignError:
            continue
        _the_same(succeeding(DEMO_FOUND, design), Assessment(design))


def _the_same(quick, plain):
    assert quick.states == plain.states
    for id, there in plain.results.items():
        here = quick.results[id]
        for one, other in ((here.demand, there.demand), (here.capacity, there.capacity),
                           (here.required, there.required)):  # fmt: skip
            np.testing.assert_array_equal(one, other, err_msg=id)
    for name in quick.values.keys() & plain.values.keys():
        if isinstance(plain.values[name], float):
            np.testing.assert_array_equal(quick.values[name], plain.values[name], err_msg=name)
    for check in CHECKS.values():
        assert quick.evidence(check) == plain.evidence(check)
    here, there = study.letting_go(quick), study.letting_go(plain)
    assert list(here) == list(there)
    np.testing.assert_array_equal([*here.values()], [*there.values()])


def test_what_a_groove_does_not_touch_of_the_ladder_is_not_looked_for_again():
    study.letting_go(DEMO_FOUND)
    after = succeeding(DEMO_FOUND, DEMO.evolved({"seal.primary.groove_diameter": "70.5 mm"}))
    assert len(after.lets_go) > 5
    assert not succeeding(DEMO_FOUND, DEMO.evolved({"loads.peak": "5.3 MPa"})).lets_go


@pytest.mark.parametrize("check", [c for c in CHECKS.values() if c.outcome], ids=lambda c: c.id)
def test_a_rung_applies_at_any_pressure(check):
    """The ladder asks once whether a check applies, then raises the pressure alone."""
    steps, _ = touched(frozenset({"loads_meop", "loads_meop_given"}))
    assert not {*steps, "loads_meop", "loads_meop_given"} & {*check.applies}


def test_a_row_of_ratios_is_that_of_each_result():
    grid = np.linspace(0.5, 2, 7) * study.now(DEMO_FOUND, "case.wall")
    values = Values(study.moved(DEMO_FOUND.inputs, "case.wall", grid))
    rows = ratios_of([*CHECKS.values()], values, grid.shape)
    for check, row in zip(CHECKS.values(), rows, strict=True):
        alone = np.broadcast_to(result(check, values).ratio, grid.shape)
        np.testing.assert_array_equal(row, alone, err_msg=check.id)
