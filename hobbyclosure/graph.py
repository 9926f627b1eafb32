"""The graph of quantities and checks: a function's parameter names are its wiring.

A quantity is a shared step, computed once and kept; a check is a leaf that returns
`(demand, capacity)`. Inputs are SI floats or arrays that broadcast; every study substitutes arrays.
"""

import inspect
from collections.abc import Callable, Iterator, Mapping
from functools import lru_cache
from operator import itemgetter
from typing import Any

import attrs
import numpy as np

# Weakest last: evidence shown is the weakest of a check, its quantities and its data rows.
EVIDENCE = ("standard", "theory", "practice", "weak")

Limits = Mapping[str, tuple[float, float]]


def _picker(node: "Quantity | Check") -> Callable[[Mapping[str, Any]], tuple[Any, ...]]:
    """Picks a node's arguments out of values, in its order."""
    if len(node.args) > 1:
        return itemgetter(*node.args)
    return lambda values: tuple(values[arg] for arg in node.args)


_PICKS = attrs.Factory(_picker, takes_self=True)


@attrs.frozen(kw_only=True, eq=False)
class Quantity:
    """A shared step: its function, what it needs, and how it is written and founded.

    `limits` are on dimensionless values: outside them the result is nan, and `why` or the limit
    itself is the reason shown. `weak_outside` are ranges outside which the value still stands but
    its evidence is weak.
    """

    name: str
    fn: Callable[..., Any]
    args: tuple[str, ...]
    symbol: str
    title: str
    unit: str
    evidence: str = "standard"
    source: str = ""
    limits: Limits = attrs.field(factory=dict)
    why: str = ""
    weak_outside: Limits = attrs.field(factory=dict)
    picks: Callable[[Mapping[str, Any]], tuple[Any, ...]] = attrs.field(init=False, default=_PICKS)


@attrs.frozen(kw_only=True, eq=False)
class Check:
    """A leaf of the graph: demand, capacity, what is wanted, and the words that go with it.

    `required` is the wanted factor or the name of the value holding it; `remedy` are fields, best
    first.
    `basis` names the pressure that the demand grows with (None for a check of geometry);
    `outcome` says what failure looks like and makes the check a rung of the ladder.
    `says` is the sentence of its verdict: "Screws bend", or for geometry a whole phrase. `told`
    stands in for it where demand does not grow in proportion to pressure. Such phrases tell their
    numbers ({demand}, {capacity}) and the {corner}; one that tells its demand has an upper limit.
    `share` says that the numbers are told in per cent.
    `applies` names values that are above 0 where the check applies, each with the reason why it is
    left out elsewhere. `gravest` is the highest level of its warning: what is never more than a
    "look" is shown, but decides nothing.
    """

    id: str
    fn: Callable[..., Any]
    args: tuple[str, ...]
    title: str
    label: str
    unit: str
    required: str | float
    source: str
    evidence: str
    remedy: tuple[str, ...]
    says: str
    basis: str | None = "loads_meop"
    outcome: str = ""
    limits: Limits = attrs.field(factory=dict)
    applies: Mapping[str, str] = attrs.field(factory=dict)
    gravest: str = "stop"
    told: str = ""
    share: bool = False
    short: str = ""  # the label where room is scarce
    picks: Callable[[Mapping[str, Any]], tuple[Any, ...]] = attrs.field(init=False, default=_PICKS)

    @property
    def part(self) -> str:
        """First word of the id."""
        return self.id.split(".")[0]

    @property
    def brief(self) -> str:
        """The label beside a plot."""
        return self.short or self.label

    @property
    def name(self) -> str:
        """The id with underscores."""
        return self.id.replace(".", "_")


QUANTITIES: dict[str, Quantity] = {}
CHECKS: dict[str, Check] = {}


def _title(fn: Callable[..., Any]) -> str:
    return (inspect.getdoc(fn) or "").split("\n")[0].rstrip(".")


def _args(fn: Callable[..., Any]) -> tuple[str, ...]:
    return tuple(inspect.signature(fn).parameters)


def quantity(symbol: str, unit: str, **about: Any) -> Callable[[Any], Any]:
    """Register a function as the quantity of its own name."""

    def keep(fn: Any) -> Any:
        name = fn.__name__
        QUANTITIES[name] = Quantity(
            name=name, fn=fn, args=_args(fn), symbol=symbol, title=_title(fn), unit=unit, **about
        )
        return fn

    return keep


def check(id: str, **about: Any) -> Callable[[Any], Any]:
    """Register a function as the check of that id; its name is the id with underscores."""

    def keep(fn: Any) -> Any:
        CHECKS[id] = Check(id=id, fn=fn, args=_args(fn), title=_title(fn), **about)
        return fn

    return keep


class Values(dict[str, Any]):
    """Values by name, computed when first asked for; inputs are any shapes that broadcast."""

    def __missing__(self, name: str) -> Any:
        node = QUANTITIES[name]
        value = node.fn(*node.picks(self))
        if node.limits:
            value = _within(node.limits, self, value)
        self[name] = value
        return value

    def demand_and_capacity(self, check: Check) -> tuple[Any, Any]:
        """What the check's function returns; nan outside its limits."""
        demand, capacity = check.fn(*check.picks(self))
        return demand, _within(check.limits, self, capacity)


def _within(limits: Limits, values: Values, result: Any) -> Any:
    for name, (low, high) in limits.items():
        inside = (low <= values[name]) & (values[name] <= high)
        if not (inside.all() if isinstance(inside, np.ndarray) else inside):
            result = np.where(inside, result, np.nan)[()]
    return result


def needs(node: Quantity | Check) -> Iterator[str]:
    """Names of every value behind a node, nearest first, each once."""
    seen: dict[str, None] = {}
    todo = [*node.args, *node.limits]
    todo += node.applies if isinstance(node, Check) else ()
    while todo:
        name = todo.pop(0)
        if name not in seen:
            seen[name] = None
            yield name
            if name in QUANTITIES:
                todo += [*QUANTITIES[name].args, *QUANTITIES[name].limits]


@lru_cache(maxsize=1024)
def touched(names: frozenset[str]) -> tuple[frozenset[str], tuple[str, ...]]:
    """Quantities that any of these values is behind, and ids of such checks in their order."""
    steps, todo = set[str](), [*names]
    while todo:
        fed = {q for q, node in QUANTITIES.items() if {*node.args, *node.limits} & {*todo}}
        todo = [*(fed - steps)]
        steps |= fed
    moved = {*names, *steps}

    def touches(node: Check) -> bool:
        wanted = (node.required,) if isinstance(node.required, str) else ()
        return not moved.isdisjoint((*node.args, *node.limits, *node.applies, *wanted))

    return frozenset(steps), tuple(id for id, node in CHECKS.items() if touches(node))


def weakest(grades: Iterator[str] | list[str]) -> str:
    """The weakest evidence among several."""
    return EVIDENCE[max((EVIDENCE.index(grade) for grade in grades), default=0)]
