"""One design, or many at once, through every check: results, their state, evidence and reasons."""

from collections.abc import Iterable, Iterator, Mapping
from functools import cache, cached_property
from typing import Any

import attrs
import numpy as np

from hobbyclosure import checks as _register  # noqa: F401 - importing it registers the checks
from hobbyclosure import data, seal_inputs
from hobbyclosure.design import (
    MATERIAL_NUMBERS,
    Design,
    inputs,
    material_data,
)
from hobbyclosure.graph import CHECKS, QUANTITIES, Check, Quantity, Values, needs, weakest
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


def result(check: Check, values: Values) -> Result:
    """One check on the values given."""
    required = values[check.required] if isinstance(check.required, str) else check.required
    applies: Any = True
    for name in check.applies:
        applies = applies & (values[name] > 0)
    if np.ndim(applies) == 0 and not applies:
        return Result(check, np.nan, np.nan, required, applies=False)
    return Result(check, *values.demand_and_capacity(check), required, applies)


def results(values: Mapping[str, Any], ids: Iterable[str] | None = None) -> list[Result]:
    """Checks (all, or those named) on inputs of any shapes that broadcast."""
    shared = Values(values)
    return [result(CHECKS[id], shared) for id in (CHECKS if ids is None else ids)]


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
        return {id: result(check, self.values) for id, check in CHECKS.items()}

    @cached_property
    def ratios(self) -> dict[str, float]:
        """Factor over required by check id; nan where there is no answer, or none is needed."""
        return {id: float(r.ratio) if r.applies else np.nan for id, r in self.results.items()}

    @cached_property
    def states(self) -> dict[str, str]:
        """State word by check id, or that the check does not apply."""
        found = self.results
        return {id: state_of(r) if found[id].applies else ABSENT for id, r in self.ratios.items()}

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

    def evidence(self, check: Check) -> str:
        """Weakest evidence of the check, the quantities behind it and the rows it picked."""
        rows = provenance(self.design)
        return weakest(self._grades(check, rows))

    def _grades(self, check: Check, rows: Mapping[str, data.Datum]) -> Iterator[str]:
        yield check.evidence
        for name in behind(check.id):
            if name in rows:
                yield data.evidence(rows[name])
            elif name in QUANTITIES and name not in self.inputs:
                node = QUANTITIES[name]
                yield node.evidence
                for ratio, (low, high) in node.weak_outside.items():
                    if not low <= self.values[ratio] <= high:
                        yield "weak"

    def confirm(self, check: Check) -> list[str]:
        """Rows behind a check that are from memory: to be confirmed against a certificate."""
        rows = provenance(self.design)
        found = (rows[n].source for n in behind(check.id) if n in rows and rows[n].seen == "memory")
        return list(dict.fromkeys(found))

    def reason(self, check: Check) -> str:
        """Why a check has no answer or does not apply; empty when it has one."""
        if self.states[check.id] == ABSENT:
            return next(why for name, why in check.applies.items() if not self.values[name] > 0)
        if not np.isnan(self.ratios[check.id]):
            return ""
        rows = provenance(self.design)
        for name in (check.id, *reversed(behind(check.id))):
            node = CHECKS.get(name) or QUANTITIES.get(name)
            if node and (why := self._broken(node)):
                return why
            if name in rows and np.isnan(rows[name].value):
                return f"{rows[name].source}: {name.partition('_')[2]}"
        return "one of its inputs has no value"

    def _broken(self, node: Check | Quantity) -> str:
        for name, (low, high) in node.limits.items():
            value = float(self.values[name])
            if not low <= value <= high:
                q = QUANTITIES[name]
                return f"{q.title.lower()} is {significant(value, 2)}, outside {low:g} to {high:g}"
        if isinstance(node, Quantity) and node.why and np.isnan(self.values[node.name]):
            return node.why
        return ""


def state_of(ratio: float) -> str:
    """State word of a factor over required."""
    if np.isnan(ratio):
        return "no answer"
    return "short" if ratio < 1 else "close" if ratio < CLOSE else "meets"


@cache
def behind(id: str) -> tuple[str, ...]:
    """Names of every value behind a check, nearest first."""
    check = CHECKS[id]
    wanted = (check.required,) if isinstance(check.required, str) else ()
    return (*needs(check), *wanted)


_PICKS = ("case.material", "closure.material", "screw.thread", "screw.strength_class")
_ROWS: dict[tuple[Any, ...], dict[str, data.Datum]] = {}


def provenance(design: Design) -> dict[str, data.Datum]:
    """Where each number picked from a data row comes from, by its name among the inputs."""
    if design.materials:
        return _provenance(design)
    picks = (*(design[path].value for path in _PICKS), *seal_inputs.picked(design))
    if picks not in _ROWS:
        _ROWS[picks] = _provenance(design)
    return _ROWS[picks]


def _provenance(design: Design) -> dict[str, data.Datum]:
    rows: dict[str, data.Datum] = {}
    for part in ("case", "closure"):
        known = material_data(design, part)
        rows |= {f"{part}_{name}": known[name] for name in MATERIAL_NUMBERS}
        hot = design.material(part).hot
        if hot:
            for key, name in (("y", "yield"), ("u", "ultimate"), ("E", "modulus")):
                p = hot.provenance[name]
                rows[f"{part}_hot_{key}"] = data.Datum(1.0, p.source, p.seen)
    thread = data.THREADS[str(design["screw.thread"].value)]
    grade = data.CLASSES[str(design["screw.strength_class"].value)]
    external = thread.provenance["external_major"]
    rows |= {
        f"screw_{n}": data.Datum(getattr(thread, n), external.source, external.seen) for n in "dP"
    }
    rows |= {
        "screw_f_ub": grade.F_ub,
        "screw_f_yb": grade.F_yb,
        "screw_alpha_v": grade.alpha_v,
        "screw_E": grade.E,
    }
    return rows | seal_inputs.rows(design)
