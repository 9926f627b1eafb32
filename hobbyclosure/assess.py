"""One design, or many at once, through every check: results, their state, evidence and reasons."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cache, cached_property
from typing import Any

import attrs
import numpy as np
from numpy.typing import NDArray

from hobbyclosure import checks as _register  # noqa: F401 - importing it registers the checks
from hobbyclosure import data, part_inputs, seal_inputs
from hobbyclosure.design import Design, assumed, inputs
from hobbyclosure.fields.base import within
from hobbyclosure.graph import CHECKS, QUANTITIES, Check, Quantity, Values, needs, touched, weakest
from hobbyclosure.units import significant

CLOSE = 1.1  # less than this over the requirement is "close"
STATES = ("no answer", "short", "close", "meets")  # gravest first
ABSENT = "does not apply"  # no state: the check is left out


@attrs.frozen
class Result:
    """One check on one design or many: demand, capacity and required broadcast."""

    check: Check
    demand: Any
    capacity: Any
    required: Any
    applies: Any = True

    @property
    def factor(self) -> Any:
        """Safety factor: capacity over demand; endless where the check does not apply."""
        if isinstance(self.demand, float) and isinstance(self.capacity, float) and self.demand:
            factor = float(self.capacity) / float(self.demand)  # one design: a tenth of the time
        else:
            with np.errstate(divide="ignore", invalid="ignore"):
                factor = np.divide(self.capacity, self.demand)
        everywhere = self.applies is True or np.all(self.applies)
        return factor if everywhere else np.where(self.applies, factor, np.inf)[()]

    @property
    def ratio(self) -> Any:
        """Factor over the factor wanted: 1 is just enough."""
        return self.factor / self.required

    @property
    def state(self) -> Any:
        """State word of each design: meets, close, short or no answer, or that it is left out."""
        ratio = self.ratio
        tests = [~np.asarray(self.applies), np.isnan(ratio), ratio < 1, ratio < CLOSE]
        return np.select(tests, [ABSENT, "no answer", "short", "close"], "meets")[()]


@np.errstate(divide="ignore", invalid="ignore")  # designs that cannot be are swept over, too
def _found(checks: Iterable[Check], values: Values) -> list[Result]:
    """Results of checks; to enter the state costs as much as a check, so it is entered once."""
    return [_result(check, values) for check in checks]


def result(check: Check, values: Values) -> Result:
    """One check on the values given."""
    return _found((check,), values)[0]


def _result(check: Check, values: Values) -> Result:
    required = values[check.required] if isinstance(check.required, str) else check.required
    applies: Any = True
    for name in check.applies:
        applies = applies & (values[name] > 0)
    if applies is not True and np.ndim(applies) == 0:
        if not applies:
            return Result(check, np.nan, np.nan, required, applies=False)
        applies = True
    return Result(check, *values.demand_and_capacity(check), required, applies)


def results(values: Mapping[str, Any], ids: Iterable[str] | None = None) -> list[Result]:
    """Checks (all, or those named) on inputs of any shapes that broadcast."""
    return _found((CHECKS[id] for id in (CHECKS if ids is None else ids)), Values(values))


def ratios_of(
    checks: Sequence[Check], values: Values, shape: tuple[int, ...]
) -> NDArray[np.float64]:
    """Factor over required of checks, shape (checks, *shape); endless where one does not apply.

    The same as `Result.ratio` of each, divided at once.
    """
    demand, capacity, required = np.empty((3, len(checks), *shape))
    applies = np.ones((len(checks), *shape), bool)
    for i, found in enumerate(_found(checks, values)):
        demand[i], capacity[i], required[i] = found.demand, found.capacity, found.required
        if found.applies is not True:
            applies[i] = found.applies
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        return np.where(applies, capacity / demand, np.inf) / required


@attrs.frozen(slots=False, eq=False)
class Assessment:
    """A design with its inputs and the result of every check on it."""

    design: Design

    @cached_property
    def inputs(self) -> dict[str, Any]:
        """The design's numbers, to be substituted in studies."""
        return inputs(self.design)

    @cached_property
    def values(self) -> Values:
        """Inputs, and each quantity once it has been asked for."""
        return Values(self.inputs)

    @cached_property
    def results(self) -> dict[str, Result]:
        """Result by check id."""
        return dict(zip(CHECKS, _found(CHECKS.values(), self.values), strict=True))

    @cached_property
    def ratios(self) -> dict[str, float]:
        """Factor over required by check id; nan where there is no answer, or none is needed."""
        return self._ratios(CHECKS)

    def _ratios(self, ids: Iterable[str]) -> dict[str, float]:
        found = self.results
        return {id: float(found[id].ratio) if found[id].applies else np.nan for id in ids}

    @cached_property
    def states(self) -> dict[str, str]:
        """State word by check id, or that the check does not apply."""
        return self._states(CHECKS)

    def _states(self, ids: Iterable[str]) -> dict[str, str]:
        found, ratios = self.results, self.ratios
        return {id: state_of(ratios[id]) if found[id].applies else ABSENT for id in ids}

    @cached_property
    def counted(self) -> dict[str, str]:
        """States that decide: of checks that apply and may be more than a look."""
        return {
            id: state
            for id, state in self.states.items()
            if state != ABSENT and CHECKS[id].gravest == "stop"
        }

    @property
    def state(self) -> str:
        """The gravest state that counts; one that is short counts before one without an answer."""
        found = set(self.counted.values())
        order = ("short", "no answer", "close", "meets")
        return next(s for s in order if s in found)

    @cached_property
    def lets_go(self) -> dict[str, float]:
        """Pressure at which a check's factor is 1, by id, of those that `study` has looked for."""
        return {}

    @cached_property
    def _assumed(self) -> frozenset[str]:
        return assumed(self.design)

    def evidence(self, node: Check | Quantity) -> str:
        """Weakest evidence of a check or quantity, of all behind it and of the rows it picked."""
        if node.name not in self._weakest:
            self._weakest[node.name] = weakest(self._grades(node))
        return self._weakest[node.name]

    @cached_property
    def _weakest(self) -> dict[str, str]:
        return {}

    @cached_property
    def rows(self) -> dict[str, data.Datum]:
        """Where each number picked from a data row comes from, by its name among the inputs."""
        return provenance(self.design)

    def _grades(self, node: Check | Quantity) -> Iterator[str]:
        yield from self._own_grades(node)
        for name in behind(node):
            if name in self.rows:
                yield data.evidence(self.rows[name])
            elif name in self._assumed:
                yield "practice"
            elif name in QUANTITIES and name not in self.inputs:
                yield from self._own_grades(QUANTITIES[name])

    def _own_grades(self, node: Check | Quantity) -> Iterator[str]:
        yield node.evidence
        if isinstance(node, Quantity):
            for ratio, (low, high) in node.weak_outside.items():
                if not low <= self.values[ratio] <= high:
                    yield "weak"

    def confirm(self, node: Check | Quantity) -> list[str]:
        """Rows behind it that are from memory: to be confirmed against a certificate."""
        rows = self.rows
        found = (rows[n].source for n in behind(node) if n in rows and rows[n].seen == "memory")
        return list(dict.fromkeys(found))

    def reason(self, check: Check) -> str:
        """Why a check has no answer or does not apply; empty when it has one."""
        if self.states[check.id] == ABSENT:
            return next(why for name, why in check.applies.items() if not self.values[name] > 0)
        if not np.isnan(self.ratios[check.id]):
            return ""
        rows = self.rows
        for name in (check.id, *reversed(behind(check))):
            node = CHECKS.get(name) or QUANTITIES.get(name)
            if node and (why := self._broken(node)):
                return why
            if name in rows and np.isnan(rows[name].value):
                return rows[name].source
        return "one of its inputs has no value"

    def _broken(self, node: Check | Quantity) -> str:
        for name, (low, high) in node.limits.items():
            value = float(self.values[name])
            if not low <= value <= high:
                q = QUANTITIES[name]
                return f"{within(q.title)} is {significant(value, 2)}, outside {low:g} to {high:g}"
        if isinstance(node, Quantity) and node.why and np.isnan(self.values[node.name]):
            return node.why
        return ""


def state_of(ratio: float) -> str:
    """State word of a factor over required."""
    if np.isnan(ratio):
        return "no answer"
    return "short" if ratio < 1 else "close" if ratio < CLOSE else "meets"


def substituted(
    assessment: Assessment, others: Mapping[str, Any]
) -> tuple[Values, tuple[str, ...]]:
    """Values of a design with others in place of some, and the ids of the checks these touch.

    What they do not touch is kept, not computed again.
    """
    steps, checks = touched(frozenset(others))
    values = Values(assessment.values)
    for name in steps.difference(assessment.inputs):  # a stated tolerance stands for the usual one
        values.pop(name, None)
    values.update(others)
    return values, checks


def equal(one: Any, other: Any) -> bool:
    """Whether two values of a name are equal; arrays but for the last digit a sum rounds to."""
    if one is other:
        return True
    if isinstance(one, np.ndarray) or isinstance(other, np.ndarray):
        fits = np.shape(one) == np.shape(other)
        return fits and bool(np.all(np.abs(one - other) <= 1e-12 * np.abs(other)))
    return one == other


def alike(one: Mapping[str, Any], other: Mapping[str, Any]) -> bool:
    """Whether two sets of inputs are the same."""
    return one.keys() == other.keys() and all(equal(x, other[k]) for k, x in one.items())


def succeeding(before: Assessment, design: Design) -> Assessment:
    """A design's assessment after another's: what the inputs that differ do not touch is kept."""
    after, inputs_then = Assessment(design), before.inputs
    if after.inputs.keys() != inputs_then.keys():
        return after
    others = {k: x for k, x in after.inputs.items() if not equal(x, inputs_then[k])}
    values, checks = substituted(before, others)
    anew = dict(zip(checks, _found((CHECKS[id] for id in checks), values), strict=True))
    own = vars(after)
    own["values"] = values
    own["results"] = before.results | anew
    own["ratios"] = before.ratios | after._ratios(checks)
    own["states"] = before.states | after._states(checks)
    own["lets_go"] = {id: p for id, p in before.lets_go.items() if id not in anew}
    return after


@cache
def behind(node: Check | Quantity) -> tuple[str, ...]:
    """Names of every value behind a check or quantity, nearest first."""
    wanted = (node.required,) if isinstance(node, Check) and isinstance(node.required, str) else ()
    return (*needs(node), *wanted)


_ROWS: dict[tuple[Any, ...], dict[str, data.Datum]] = {}


def provenance(design: Design) -> dict[str, data.Datum]:
    """Where each number picked from a data row comes from, by its name among the inputs."""
    if design.materials or design.compounds:
        return part_inputs.rows(design) | seal_inputs.rows(design)
    picks = (*part_inputs.picked(design), *seal_inputs.picked(design))
    if picks not in _ROWS:
        _ROWS[picks] = part_inputs.rows(design) | seal_inputs.rows(design)
    return _ROWS[picks]
