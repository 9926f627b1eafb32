"""The design record: what was stated, checked field by field, and the numbers it stands for."""

from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property
from typing import Any

import attrs
import numpy as np

from hobbyclosure import data, part_inputs, seal_inputs, trace, units
from hobbyclosure.clashes import Clash, clashes, tolerance
from hobbyclosure.clashes_seal import ring_clashes
from hobbyclosure.data import seals
from hobbyclosure.fields import FIELDS, Field
from hobbyclosure.fields.base import within
from hobbyclosure.units import LENGTH, InputError


@attrs.frozen
class Problem:
    """One fault of a design: the field, what was typed, and what would be allowed."""

    field: str
    typed: str
    message: str
    said: str = ""  # the same beside the field's own box: its label for its path, no help
    overlap: float = np.nan  # of a clash, m
    place: tuple[float, float] | None = None  # of a clash, as clashes.Clash has it

    def __str__(self) -> str:
        return self.message


class DesignError(ValueError):
    """Every fault found, each a Problem; nothing was changed.

    `attempt` is the design refused for its geometry, so that it can be drawn.
    """

    def __init__(self, problems: Iterable[Problem], attempt: "Design | None" = None) -> None:
        self.problems = tuple(problems)
        self.attempt = attempt
        super().__init__("\n".join(map(str, self.problems)))


def calliper(size: float) -> float:
    """Error of a digital calliper read with care, on a size, both in m. DIN 862, from memory."""
    return 2e-5 if size <= 0.1 else 3e-5


@attrs.frozen
class Entry:
    """What a design states of one field, in SI; `typed` is the nominal's own text.

    A measurement replaces the nominal, its accuracy the tolerance; with none stated, a calliper's.
    """

    value: float | str | None
    typed: str = ""
    tol: float | None = None
    measured: float | None = None
    accuracy: float | None = None

    def says_the_same(self, other: "Entry") -> bool:
        """Whether another entry states the same, however it was typed."""
        mine = (self.value, self.tol, self.measured, self.accuracy)
        return self is other or mine == (other.value, other.tol, other.measured, other.accuracy)

    @property
    def within(self) -> float:
        """How far a measurement may be off."""
        return calliper(self.measured or 0.0) if self.accuracy is None else self.accuracy

    def spread(self, field: Field, nominal: float) -> float:
        """Tolerance of a nominal, m: the one stated, else the usual one of its field."""
        if self.tol is not None:
            return self.tol
        return field.default_tolerance * (nominal if field.tol.endswith("%") else 1.0)

    @property
    def now(self) -> float | str | None:
        """The measured value if there is one, else the nominal."""
        return self.value if self.measured is None else self.measured


Rows = Mapping[str, Mapping[str, Mapping[str, Any]]]  # "material" or "compound", key, as written


@attrs.frozen
class Design:
    """A closure as stated: entries by field path; fields not stated take their defaults.

    `runs` are the pressure traces whose figures it was given. `own_rows` is what its file states
    of `materials` and `compounds`, word for word, so that another file can.
    """

    name: str = attrs.field(default="Unnamed", converter=units.one_line)
    entries: Mapping[str, Entry] = attrs.field(factory=dict)
    materials: Mapping[str, data.Material] = attrs.field(factory=dict)
    compounds: Mapping[str, seals.Compound] = attrs.field(factory=dict)
    runs: tuple[trace.Run, ...] = ()
    own_rows: Rows = attrs.field(factory=dict, eq=False, repr=False)

    def __getitem__(self, path: str) -> Entry:
        return self.entries.get(path) or default_entry(path)

    @property
    def system(self) -> str:
        """The system its own texts are mostly written in: "metric" or "inch"."""
        typed = [e.typed for e in self.entries.values()]
        inch = sum(t.endswith(("in", '"', "psi", "°F")) for t in typed)
        metric = sum(t.endswith(("mm", "MPa", "bar", "°C")) for t in typed)
        return "inch" if inch > metric else "metric"

    def says_the_same(self, other: "Design") -> bool:
        """Whether another design states the same values, however they were typed."""
        mine, theirs = ((d.name, d.runs, d.materials, d.compounds) for d in (self, other))
        if mine != theirs:
            return False
        if self.entries.keys() != other.entries.keys():
            return False
        return all(e.says_the_same(other.entries[path]) for path, e in self.entries.items())

    def material(self, part: str) -> data.Material:
        """The material picked for "case" or "closure", the design's own ones first."""
        key = str(self[f"{part}.material"].value)
        return self.materials.get(key) or data.MATERIALS[key]

    def compound(self, ring: str) -> seals.Compound:
        """The compound picked for a ring, the design's own ones first."""
        key = str(self[f"seal.{ring}.compound"].value)
        return self.compounds.get(key) or seals.COMPOUNDS[key]

    def choices(self, field: Field) -> dict[str, str]:
        """Keys and labels that may be picked for a field."""
        assert field.choices is not None
        what = field.path.rpartition(".")[2]
        rows = {"material": self.materials, "compound": self.compounds}.get(what, {})
        own = {key: row.label for key, row in rows.items()}
        return {**own, **field.choices(), **own}  # its own come first, and are what a key means

    def evolved(self, changes: Mapping[str, Any], assume: str | None = "metric") -> "Design":
        """A copy with other values: text as typed, or SI floats.

        A bare number is taken in the unit that readers of the system `assume` see; with None
        text needs its unit.

        A new value of a dimension drops its measurement. Raises DesignError with every fault.
        """
        entries, problems = dict(self.entries), []
        for path, raw in changes.items():
            try:
                entries[path] = attrs.evolve(read(path, raw, self, assume), tol=self[path].tol)
            except DesignError as error:
                problems += error.problems
        if problems:
            raise DesignError(problems)
        return self._with(entries, assume)

    def stated(self, path: str, entry: Entry, assume: str | None = "metric") -> "Design":
        """A copy that states of a field what another design does. Raises DesignError.

        A row of the other's own that this one lacks is refused.
        """
        if FIELDS[path].kind is None:
            _choice(FIELDS[path], entry.value, self)
        return self._with({**self.entries, path: entry}, assume)

    def measured(
        self, path: str, text: str, accuracy: str = "", assume: str | None = "metric"
    ) -> "Design":
        """A copy with what was measured in place of a nominal; empty text takes that away.

        Units as in `evolved`. Raises DesignError.
        """
        field = dimension(path)
        if not text.strip():
            found = attrs.evolve(self[path], measured=None, accuracy=None)
        else:
            value = number(field, text, assume)
            within = spread(field, accuracy, "accuracy", value, assume)
            found = attrs.evolve(self[path], measured=value, accuracy=within)
        return self._with({**self.entries, path: found}, assume)

    def toleranced(self, path: str, text: str, assume: str | None = "metric") -> "Design":
        """A copy with another tolerance of a dimension; empty text goes back to the usual one.

        Units as in `evolved`, or a percentage of the nominal. Raises DesignError.
        """
        entry = self[path] if path in FIELDS else Entry(None)
        tol = spread(dimension(path), text, "tolerance", entry.value, assume)
        return self._with({**self.entries, path: attrs.evolve(entry, tol=tol)}, assume)

    def traced(
        self, runs: Sequence[trace.Run], assume: str | None = "metric", stood: float | None = None
    ) -> "Design":
        """A copy that knows these traces: the largest peak becomes its own.

        Scatter is only ever raised by them: a few runs show less than there is. One that they gave
        goes back to what `stood` before them as they are taken away. What the last trace leaves
        behind is the design's own number. Raises DesignError.
        """
        if stood is not None and len(runs) < len(self.runs) and self.source("loads.scatter"):
            stated = self.evolved({"loads.scatter": stood}, assume)
            return stated.traced(runs, assume)
        kept = attrs.evolve(self, runs=tuple(runs))
        if not runs or (len(runs) < len(self.runs) and not self.source("loads.peak")):
            return kept
        changes = {"loads.peak": max(r.peak for r in runs)}
        shown = trace.scatter_of(runs)
        if shown > float(self["loads.scatter"].now or 0):
            changes["loads.scatter"] = shown
        return kept.evolved(changes, assume)

    def source(self, path: str) -> str:
        """Where a field's value comes from, if a trace gave it: "trace a.csv, 4 812 rows"."""
        found = {
            "loads.peak": lambda: max(r.peak for r in self.runs),
            "loads.scatter": lambda: trace.scatter_of(self.runs),
        }
        value = self[path].now if path in found else None
        if not self.runs or value is None or not np.isclose(float(value), found[path](), rtol=1e-9):
            return ""
        return trace.named(self.runs)

    @cached_property
    def _numbers(self) -> dict[str, Any]:
        return _inputs(self)

    def _with(self, entries: Mapping[str, Entry], system: str | None) -> "Design":
        changed = attrs.evolve(self, entries=entries)
        if faults := collisions(changed, system or self.system):
            raise DesignError(faults, changed)
        return changed


_DEFAULTS: dict[str, Entry] = {}


def default_entry(path: str) -> Entry:
    """The entry of a field nobody stated."""
    if path not in _DEFAULTS:
        field = FIELDS[path]
        value = field.default
        if value is not None and field.kind is not None:
            value = units.parse(value, field.kind)
        _DEFAULTS[path] = Entry(value, field.default or "")
    return _DEFAULTS[path]


def refused(field: Field, typed: str, reason: str) -> DesignError:
    """The one-line refusal of a value."""
    message, said = f"{field.path}: {reason} ({within(field.help)})", f"{field.label}: {reason}"
    return DesignError([Problem(field.path, typed, message, said)])


def read(path: str, raw: Any, design: Design, assume: str | None = None) -> Entry:
    """One field's entry from text or an SI number. Raises DesignError naming field and limits."""
    field = FIELDS.get(path)
    if field is None:
        raise DesignError([Problem(path, str(raw)[:80], f"{path}: no such field")])
    if field.kind is None:
        return _choice(field, raw, design)
    if raw is None or (isinstance(raw, str) and not raw.strip()):
        if field.default is None:
            return Entry(None)
        raise refused(field, str(raw or ""), f"empty; {limits(field, assume)}")
    return Entry(number(field, raw, assume), raw if isinstance(raw, str) else "")


def _choice(field: Field, raw: Any, design: Design) -> Entry:
    allowed = design.choices(field)
    found = spelled(raw, allowed)
    if len(found) != 1:
        listed = ", ".join(list(found or allowed)[:12]) + (
            ", …" if len(found or allowed) > 12 else ""
        )
        says = "may be any of" if found else "is none of"
        raise refused(field, str(raw)[:80], f"{units.quoted(str(raw))} {says} {listed}")
    return Entry(found[0], found[0])


def spelled(raw: Any, allowed: Mapping[str, str]) -> list[str]:
    """Keys of choices (with their labels) that a text names: several if it is not plain which."""
    if not isinstance(raw, str) or raw in allowed:
        return [raw] if isinstance(raw, str) else []
    bare = _bare(raw)
    return [key for key, label in allowed.items() if bare in (_bare(key), _bare(label))]


def _bare(text: str) -> str:
    """A choice as people spell it: "69 x 3.55" for "69 × 3.55", "-232" for ring 232."""
    return text.replace("×", "x").replace(" ", "").lower().removeprefix("-")


def limits(field: Field, system: str | None) -> str:
    """What a number field may be, or that it is picked from a list."""
    if field.kind is None:
        return "it is picked from a list"
    if system != "inch":
        return f"must be {field.low} to {field.high}"
    low, high = (units.shown_value(x, field.kind, system) for x in field.range)
    return f"must be {low} to {high}"


def number(field: Field, raw: Any, assume: str | None = None) -> float:
    """SI value of a number field, in range. Raises DesignError."""
    assert field.kind is not None
    typed = raw if isinstance(raw, str) else ""
    if isinstance(raw, str):
        try:
            unit = (field.shown(assume).unit or None) if assume else None
            value = units.parse(raw, field.kind, unit)
        except InputError as error:
            raise refused(field, typed, f"{error}; {limits(field, assume)}") from None
    else:
        value = float(raw)
    low, high = field.range
    slack = 1e-9 * max(abs(low), abs(high))
    if not low - slack <= value <= high + slack:
        system = assume or "metric"
        shown = units.quoted(typed) if typed else units.shown_value(value, field.kind, system)
        raise refused(field, typed, f"{shown} {limits(field, assume)}")
    if field.kind is units.COUNT and value != round(value):
        shown = units.quoted(typed or str(value))
        raise refused(field, typed, f"{shown} is no whole number; {limits(field, assume)}")
    return value


def dimension(path: str) -> Field:
    """The field of a dimension that can be measured. Raises DesignError for any other."""
    field = FIELDS.get(path)
    if field is None:
        raise DesignError([Problem(path, "", f"{path}: no such field")])
    if field.kind is None or not field.tol:
        raise refused(field, "", "carries no tolerance: give a single value")
    return field


def spread(field: Field, text: str, what: str, of: Any, assume: str | None = None) -> float | None:
    """A tolerance or accuracy, m: a length or a percentage of a value; None for empty text.

    Raises DesignError.
    """
    bare = text.strip().removeprefix("±").strip()
    if not bare:
        return None
    try:
        if bare.endswith("%"):
            found = units.parse(bare, units.RATIO) * float(of)
        else:
            found = units.parse(bare, LENGTH, LENGTH.shown(assume).unit if assume else None)
    except InputError as error:
        raise refused(field, text, f"{what} {error}, or a percentage") from None
    if not 0 <= found <= field.range[1]:
        most = units.shown_value(field.range[1], LENGTH, assume or "metric")
        limits = f"must not be below zero nor above {most}"
        raise refused(field, text, f"{what} {units.quoted(text)} {limits}")
    return found


def inputs(design: Design) -> dict[str, Any]:
    """SI numbers by name; the field "case.wall" is called case_wall everywhere.

    Choices become the numbers of their data rows; what a row lacks is nan.
    """
    return dict(design._numbers)


def _inputs(design: Design) -> dict[str, Any]:
    out: dict[str, Any] = {}
    for path, field in FIELDS.items():
        entry = design[path]
        if field.kind is None:
            out[field.name] = entry.value
            continue
        out[field.name] = np.nan if entry.now is None else float(entry.now)
        if field.tol:
            if entry.measured is not None:
                out[f"{field.name}_tol"] = entry.within
            elif entry.tol is None and field.tol.endswith("%"):  # follows the nominal in a sweep
                out[f"{field.name}_tol_share"] = field.default_tolerance
            else:
                out[f"{field.name}_tol"] = entry.spread(field, out[field.name])
    return out | part_inputs.numbers(design) | seal_inputs.numbers(design)


def assumed(design: Design) -> frozenset[str]:
    """Names of the tolerances that nobody stated: workshop defaults, a calliper's accuracy."""
    entries = {field.name: design[path] for path, field in FIELDS.items() if field.tol}
    return frozenset(
        f"{name}_tol"
        for name, e in entries.items()
        if (e.tol if e.measured is None else e.accuracy) is None
    )


def collisions(design: Design, system: str = "metric") -> list[Problem]:
    """Geometry that cannot be, each named with its field and the overlap."""
    v = inputs(design)
    found = [
        _problem(design, system, c.field, c.says, c.overlap, c.place, _limit(v, c, system))
        for c in _every(v)
    ]
    for path, field in FIELDS.items():
        if field.tol and field.range[0] > 0:
            left = v[field.name] - tolerance(v, field.name)
            if left <= 0:
                bare = "its tolerance leaves nothing of it" + "," * (left < 0)
                found.append(_problem(design, system, path, bare, -left, None))
    return found


def _every(v: Mapping[str, Any]) -> tuple[Clash, ...]:
    return (*clashes(v), *ring_clashes(v))


def _limit(v: Mapping[str, Any], clash: Clash, system: str) -> str:
    """What the field to blame may be with all else as it is; its range where that is not plain."""
    field = FIELDS[clash.field]
    low, high = field.range
    if field.kind is units.COUNT:
        for fewer in np.arange(v[field.name] - 1, low - 1, -1):
            if all(c.field != clash.field for c in _every({**v, field.name: fewer})):
                return f"; at most {fewer:.0f}"
    for times in (1, 2) if field.kind is LENGTH else ():  # a diameter counts twice
        for sign, word in ((1, "at least"), (-1, "at most")):
            to = units.outward(v[field.name] + sign * times * clash.overlap, sign, LENGTH, system)
            moved = {**v, field.name: to}
            if low <= to <= high and all(c.says != clash.says for c in _every(moved)):
                return f"; {word} {units.shown_value(to, LENGTH, system)}"
    return f"; {limits(field, system)}"


def _problem(
    design: Design,
    system: str,
    path: str,
    says: str,
    length: float,
    place: tuple[float, float] | None,
    limit: str = "",
) -> Problem:
    by = f" by {units.shown_value(length, LENGTH, system)}" if length > 0 else ""
    told = f"{says}{by}{limit}"
    typed, label = design[path].typed, FIELDS[path].label
    now = f"{units.quoted(typed)}: " if typed else ""
    return Problem(path, typed, f"{path}: {now}{told}", f"{label}: {told}", length, place)
