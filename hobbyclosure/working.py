"""Working of a number: its steps, what every symbol is, and what it rests on."""

from collections.abc import Mapping
from functools import cache
from typing import Any

import attrs
import numpy as np

from hobbyclosure import data, part_inputs, seal_inputs
from hobbyclosure.assess import ABSENT, Assessment, provenance
from hobbyclosure.design import Design
from hobbyclosure.fields import FIELDS
from hobbyclosure.formula import TABLE, TYPST, Line, UnreadableError, parameters, steps, value_text
from hobbyclosure.graph import CHECKS, QUANTITIES, Check, Quantity, Values
from hobbyclosure.part_inputs import MATERIAL_NUMBERS
from hobbyclosure.units import NO_ANSWER, Q, significant

DATA_UNITS = part_inputs.UNITS | seal_inputs.UNITS
DATA_SYMBOLS = part_inputs.SYMBOLS | seal_inputs.SYMBOLS
DATA_TITLES = part_inputs.TITLES | seal_inputs.TITLES


@attrs.frozen
class Use:
    """A symbol in the working: what it stands for, its value, and the node it opens, if any."""

    symbol: str
    title: str
    text: str
    opens: str
    maths: str


@attrs.frozen
class Working:
    """How a number comes about: its lines, symbols, and what it rests on."""

    name: str
    title: str
    lines: tuple[Line, ...]
    uses: tuple[Use, ...]
    evidence: str
    source: str
    confirm: tuple[str, ...] = ()
    reason: str = ""


def node_of(name: str) -> Check | Quantity:
    """The check (by id) or quantity of a name. Raises KeyError."""
    return CHECKS.get(name) or QUANTITIES[name]


@cache
def unit_of(name: str) -> str:
    """SI unit of any value by name."""
    if name in QUANTITIES:
        return QUANTITIES[name].unit
    if name in DATA_UNITS:
        return DATA_UNITS[name]
    stem = name.removesuffix("_tol")
    field = next((f for f in FIELDS.values() if f.name == stem), None)
    return field.kind.si if field and field.kind else ""


@cache
def symbol_of(name: str) -> str:
    """How a value is written in formulas."""
    if name in QUANTITIES:
        return QUANTITIES[name].symbol
    if name.endswith("_tol_share"):
        return "share"
    for part in ("case", "closure"):
        stem = name.removeprefix(f"{part}_")
        if stem in MATERIAL_NUMBERS and stem not in ("E", "nu"):
            return stem if part == "case" else f"{stem},c"
    if name in DATA_SYMBOLS:
        return DATA_SYMBOLS[name]
    field = next((f for f in FIELDS.values() if f.name == name.removesuffix("_tol")), None)
    if field is None:
        return name
    return f"Δ{field.symbol}" if name.endswith("_tol") else field.symbol or name


def title_of(name: str) -> str:
    """What a value is, in words."""
    if name in QUANTITIES:
        return QUANTITIES[name].title
    stem = name.split("_", 1)[1] if "_" in name else name
    if stem in data.PROPERTIES:
        return f"{name.split('_')[0].capitalize()} material: {data.PROPERTIES[stem]}"
    if name.endswith("_tol_share"):
        return f"{title_of(name.removesuffix('_share'))}, as a share"
    if name in DATA_TITLES:
        return DATA_TITLES[name]
    field = next((f for f in FIELDS.values() if f.name == name.removesuffix("_tol")), None)
    if field is None:
        return name
    return f"{field.label}, tolerance" if name.endswith("_tol") else field.label


def with_unit(name: str, value: Any) -> Any:
    """A value as Pint quantity; words and tables of ratios stay as they are."""
    if isinstance(value, str):
        return value
    return Q(value, unit_of(name) or "dimensionless")


def working(assessment: Assessment, name: str, system: str = "metric") -> Working:
    """How a check (by id) or quantity comes about. Raises KeyError for an unknown name."""
    node = node_of(name)
    values = _Quantities(assessment.values)
    args = {a: values[a] for a in node.args}
    params = parameters(node.fn)
    scope = dict(zip(params, args.values(), strict=True))
    symbols = dict(zip(params, map(symbol_of, args), strict=True))
    head = ["demand", "capacity"] if isinstance(node, Check) else [node.symbol]
    try:
        lines, found = steps(node.fn, scope, symbols, head, system)
    except UnreadableError:
        whole = values.demand_and_capacity(node) if isinstance(node, Check) else [values[name]]
        lines, found = [], list(whole)
    reason = assessment.reason(node) if isinstance(node, Check) else ""
    if isinstance(node, Check) and assessment.states[node.id] == ABSENT:
        lines = []
    elif isinstance(node, Check):
        lines.append(_factor_line(*found, unanswered=bool(reason), system=system))
    rows = {**provenance(assessment.design), **_traced(assessment.design)}
    uses = tuple(
        _use(a, values[a], rows, system) for a in args if value_text(values[a], system) != TABLE
    )
    confirm, grade = tuple(assessment.confirm(node)), assessment.evidence(node)
    return Working(name, node.title, tuple(lines), uses, grade, node.source, confirm, reason)


def _traced(design: Design) -> dict[str, data.Datum]:
    """The loads that a trace gave, by their names among the inputs."""
    paths = [f.path for f in FIELDS.values() if design.source(f.path)] if design.runs else []
    return {
        FIELDS[path].name: data.Datum(np.nan, f"from {design.source(path)}", "seen")
        for path in paths
    }


def _factor_line(demand: Any, capacity: Any, unanswered: bool, system: str) -> Line:
    """The last step; outside a check's validity it says so whatever the numbers give."""
    factor = float(Q(capacity / demand).to("dimensionless").m)
    texts = [value_text(capacity, system), value_text(demand, system)]
    maths = ('"factor" = frac("capacity", "demand")',
             f"frac({TYPST.value(texts[0])}, {TYPST.value(texts[1])})")  # fmt: skip
    said = NO_ANSWER if unanswered or not np.isfinite(factor) else significant(factor, 3)
    return Line("factor", "capacity / demand", " / ".join(texts), said, maths)


def _use(name: str, value: Any, rows: Mapping[str, data.Datum], system: str) -> Use:
    title = title_of(name)
    if name in rows and rows[name].source:
        title += f" ({rows[name].source}{', from memory' if rows[name].seen == 'memory' else ''})"
    text = value_text(value, system)
    opens = name if name in QUANTITIES else ""
    return Use(symbol_of(name), title, text, opens, TYPST.name(symbol_of(name)))


class _Quantities(Values):
    """A design's values, each with its unit from when it is first asked for."""

    def __init__(self, plain: Values) -> None:
        super().__init__()
        self.plain = plain

    def __missing__(self, name: str) -> Any:
        value = self[name] = with_unit(name, self.plain[name])
        return value


def plain(assessment: Assessment, name: str, system: str = "metric") -> str:
    """Whole working of a check as text: every quantity behind it, then the check."""
    seen: dict[str, Working] = {}

    def gather(at: str) -> None:
        found = working(assessment, at, system)
        for use in found.uses:
            if use.opens and use.opens not in seen:
                gather(use.opens)
        seen[at] = found

    gather(name)
    blocks = []
    for found in seen.values():
        lines = [
            " = ".join(dict.fromkeys(t for t in (x.head, x.formula, x.numbers, x.result) if t))
            for x in found.lines
        ]
        blocks.append("\n  ".join([found.title, *lines]))
    last = seen[name]
    if last.reason:
        states = assessment.states
        blocks.append(f"{states.get(name, 'no answer').capitalize()}: {last.reason}.")
    blocks.append(f"{last.evidence}: {last.source}")
    if last.confirm:
        blocks.append("From memory, confirm: " + "; ".join(last.confirm))
    return "\n".join(blocks)
