"""MathML of the workings, which is Typst's own although the values are put in afterwards."""

import pytest

from app.maths import _compiled, mathml
from app.session import Shown
from hobbyclosure import Assessment
from hobbyclosure.graph import CHECKS, QUANTITIES
from hobbyclosure.working import Working, working
from tests.designs import DEMO

MADE = Assessment(DEMO)


def formulas(found: Working) -> list[str]:
    """What stands in a working's lines."""
    return [formula for line in found.lines for formula in line.maths]


@pytest.mark.parametrize("system", ["metric", "inch"])
@pytest.mark.parametrize("id", [*CHECKS, *QUANTITIES])
def test_every_working_is_typeset_as_if_its_values_had_been_compiled(id: str, system: str) -> None:
    found = working(MADE, id, system)
    made = mathml(formulas(found))
    assert found.lines or found.reason
    assert made == list(_compiled.__wrapped__(tuple(formulas(found))))
    assert all(one.startswith("<math") for one in made)
    assert all(one.startswith("<math") for one in mathml([use.maths for use in found.uses]))


def test_a_move_has_nothing_compiled() -> None:
    shown, id = Shown(DEMO), "case.bearing.ultimate"
    first = mathml(formulas(working(shown.assessment, id, "metric")))
    before = _compiled.cache_info().misses
    moved = shown.next(DEMO.evolved({"case.wall": "3.4 mm"}))
    then = mathml(formulas(working(moved.assessment, id, "metric")))
    assert then != first
    assert _compiled.cache_info().misses == before


def test_what_cannot_be_typeset_is_shown_as_it_stands_with_its_values() -> None:
    assert mathml(['frac("3.2", "5\u2009mm"']) == [
        "<code>frac(&quot;3.2&quot;, &quot;5\u2009mm&quot;</code>"
    ]
