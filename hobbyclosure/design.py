"""The design record: what was stated, checked field by field, and the numbers it stands for."""

from collections.abc import Iterable, Mapping
from typing import Any

import attrs
import numpy as np

from hobbyclosure import data, units
from hobbyclosure.fields import FIELDS, Field
from hobbyclosure.units import LENGTH, InputError


@attrs.frozen
class Problem:
    """One fault of a design: the field, what was typed, and what would be allowed."""

    field: str
    typed: str
    message: str

    def __str__(self) -> str:
        return self.message


class DesignError(ValueError):
    """Every fault found, each a Problem; nothing was changed."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(map(str, self.problems)))


@attrs.frozen
class Entry:
    """What a design states of one field, in SI; `typed` is the nominal's own text.

    A measurement replaces the nominal, its accuracy the tolerance.
    """

    value: float | str | None
    typed: str = ""
    tol: float | None = None
    measured: float | None = None
    accuracy: float | None = None

    @property
    def now(self) -> float | str | None:
        """The measured value if there is one, else the nominal."""
        return self.value if self.measured is None else self.measured


@attrs.frozen
class Design:
    """A closure as stated: entries by field path; fields not stated take their defaults."""

    name: str = "Unnamed"
    entries: Mapping[str, Entry] = attrs.field(factory=dict)
    materials: Mapping[str, data.Material] = attrs.field(factory=dict)

    def __getitem__(self, path: str) -> Entry:
        return self.entries.get(path) or default_entry(path)

    @property
    def system(self) -> str:
        """The system its own texts are mostly written in: "metric" or "inch"."""
        typed = [e.typed for e in self.entries.values()]
        inch = sum(t.endswith(("in", '"', "psi", "°F")) for t in typed)
        metric = sum(t.endswith(("mm", "MPa", "bar", "°C")) for t in typed)
        return "inch" if inch > metric else "metric"

    def material(self, part: str) -> data.Material:
        """The material picked for "case" or "closure", the design's own ones first."""
        key = str(self[f"{part}.material"].value)
        return self.materials.get(key) or data.MATERIALS[key]

    def choices(self, field: Field) -> dict[str, str]:
        """Keys and labels that may be picked for a field."""
        assert field.choices is not None
        own = {k: m.label for k, m in self.materials.items()} if "material" in field.path else {}
        return own | field.choices()

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
        changed = attrs.evolve(self, entries=entries)
        if faults := collisions(changed):
            raise DesignError(faults)
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
    return DesignError([Problem(field.path, typed, f"{field.path}: {reason}")])


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
        raise refused(field, str(raw or ""), f"empty; {_allowed(field)}")
    return Entry(number(field, raw, assume), raw if isinstance(raw, str) else "")


def _choice(field: Field, raw: Any, design: Design) -> Entry:
    allowed = design.choices(field)
    if not isinstance(raw, str) or raw not in allowed:
        listed = ", ".join(list(allowed)[:12]) + (", …" if len(allowed) > 12 else "")
        raise refused(field, str(raw)[:80], f"{units.quoted(str(raw))} is none of {listed}")
    return Entry(raw, raw)


def _allowed(field: Field) -> str:
    return f"must be {field.low} to {field.high} ({field.help[0].lower()}{field.help[1:]})"


def number(field: Field, raw: Any, assume: str | None = None) -> float:
    """SI value of a number field, in range. Raises DesignError."""
    assert field.kind is not None
    typed = raw if isinstance(raw, str) else ""
    if isinstance(raw, str):
        try:
            unit = field.kind.shown(assume).unit if assume else None
            value = units.parse(raw, field.kind, unit)
        except InputError as error:
            raise refused(field, typed, f"{error}; {_allowed(field)}") from None
    else:
        value = float(raw)
    low, high = field.range
    slack = 1e-9 * max(abs(low), abs(high))
    if not low - slack <= value <= high + slack:
        shown = units.quoted(typed) if typed else units.shown_value(value, field.kind)
        raise refused(field, typed, f"{shown} {_allowed(field)}")
    if field.kind is units.COUNT and value != round(value):
        raise refused(field, typed, f"{units.quoted(typed or str(value))} is no whole number")
    return value


def inputs(design: Design) -> dict[str, Any]:
    """SI numbers by name; the field "case.wall" is called case_wall everywhere.

    Choices become the numbers of their data rows; what a row lacks is nan.
    """
    out: dict[str, Any] = {}
    for path, field in FIELDS.items():
        entry = design[path]
        if field.kind is None:
            out[field.name] = entry.value
            continue
        out[field.name] = np.nan if entry.now is None else float(entry.now)
        if field.tol:
            stated = entry.tol if entry.measured is None else entry.accuracy
            if stated is not None:
                out[f"{field.name}_tol"] = stated
            elif field.tol.endswith("%"):
                out[f"{field.name}_tol_share"] = units.parse(field.tol, units.RATIO)
            else:
                out[f"{field.name}_tol"] = units.parse(field.tol, LENGTH)
    for part in ("case", "closure"):
        out |= {f"{part}_{k}": d.value for k, d in material_data(design, part).items()}
        out |= hot_tables(design, part)
    return out | screw_numbers(design) | ring_numbers(design)


# Standard deviation of a screw's place by how the holes were made to meet; modelled, see sharing.
HOLE_SCATTER = {"together": 2e-5, "guide": 5e-5, "free-hand": 1e-4, "unknown": np.nan}
MATERIAL_NUMBERS = (
    "F_ty", "F_tu", "F_su", "F_bry_15", "F_bry_20", "F_bru_15", "F_bru_20", "E", "nu",
)  # fmt: skip


def material_data(design: Design, part: str) -> dict[str, data.Datum]:
    """The picked material's numbers with their provenance; a value the row lacks is nan."""
    material = design.material(part)
    lacking = data.Datum(np.nan, f"{material.label} carries no value for it", "memory")
    return {name: material[name] or lacking for name in MATERIAL_NUMBERS}


def hot_tables(design: Design, part: str) -> dict[str, Any]:
    """Temperatures and ratios to room-temperature values; one point where nothing is known."""
    hot = design.material(part).hot
    if hot is None:
        room, alone = np.array([293.15]), np.array([1.0])
        return {
            f"{part}_hot_{k}": v for k, v in zip("TyuE", (room, alone, alone, alone), strict=True)
        }
    return {
        f"{part}_hot_{k}": v
        for k, v in zip("TyuE", (hot.T, hot.yield_, hot.ultimate, hot.modulus), strict=True)
    }


def screw_numbers(design: Design) -> dict[str, Any]:
    """Thread, class and head of the picked screw."""
    thread = data.THREADS[str(design["screw.thread"].value)]
    grade = data.CLASSES[str(design["screw.strength_class"].value)]
    form = str(design["screw.head"].value)
    head = data.HEADS[form].get(thread.id)
    return {
        "screw_d": thread.d,
        "screw_P": thread.P,
        "screw_unified": float(thread.series == "unified"),
        "screw_f_ub": grade.F_ub.value,
        "screw_f_yb": grade.F_yb.value,
        "screw_alpha_v": grade.alpha_v.value,
        "screw_E": grade.E.value,
        "screw_threads_in_plane": float(design["screw.shear_plane"].value == "threads"),
        "screw_hole_sigma": HOLE_SCATTER[str(design["screw.hole_method"].value)],
        "screw_head_form": form,
        "screw_head_dk": head.d_k if head else 1.75 * thread.d,
        "screw_head_k": head.k if head else 0.6 * thread.d,
    }


def ring_numbers(design: Design) -> dict[str, Any]:
    """Cross-sections of the picked rings."""
    return {
        f"seal_{ring}_cs": data.RINGS[str(design[f"seal.{ring}.ring"].value)].cs
        for ring in ("primary", "secondary", "liner")
    }


def collisions(design: Design) -> list[Problem]:
    """Geometry that cannot be made or drawn, each named with its fields and the missing length."""
    v = inputs(design)
    found = []
    for path, missing, says in _clashes(v):
        if missing > 1e-12:
            lacking = units.shown_value(missing, LENGTH)
            typed = design[path].typed
            found.append(Problem(path, typed, f"{path}: {says} by {lacking}"))
    return found


def _clashes(v: Mapping[str, Any]) -> list[tuple[str, float, str]]:
    around = np.pi * v["case_bore"] / v["screw_count"]
    across = np.hypot(v["screw_row_spacing"], around / 2) if v["screw_rows"] > 1 else np.inf
    hole_max = v["screw_clearance_hole"] + _tolerance(v, "screw_clearance_hole")
    edge_min = v["case_edge_distance"] - _tolerance(v, "case_edge_distance")
    wall_min = v["case_wall"] - _tolerance(v, "case_wall")
    tube_end = v["closure_screw_station"] - v["case_edge_distance"]
    last_row = v["closure_screw_station"] + (v["screw_rows"] - 1) * v["screw_row_spacing"]
    mm = LENGTH
    hole = units.shown_value(v["screw_clearance_hole"], mm)
    return [
        (
            "case.wall",
            v["case_wall"] - 0.5 * v["case_bore"],
            f"a wall of {units.shown_value(v['case_wall'], mm)} is thicker than half the bore",
        ),
        (
            "case.edge_distance",
            hole_max / 2 - edge_min,
            f"the screw row runs off the tube: a hole of {hole} breaks through its end",
        ),
        (
            "screw.count",
            hole_max - around,
            f"{v['screw_count']:.0f} holes of {hole} in a row overlap",
        ),
        (
            "screw.row_spacing",
            hole_max - across,
            "the holes of the two rows run into each other",
        ),
        (
            "case.hole_chamfer",
            v["case_hole_chamfer"] - wall_min,
            "the chamfer leaves nothing of the wall to bear on",
        ),
        (
            "screw.clearance_hole",
            v["screw_d"] - v["screw_clearance_hole"],
            "the hole is smaller than the screw",
        ),
        (
            "closure.screw_station",
            v["screw_d"] / 2 - v["closure_screw_station"],
            "the screw row runs off the closure's cold face",
        ),
        (
            "closure.screw_station",
            last_row + v["screw_d"] / 2 - v["closure_length"],
            "the screw row runs off the closure's hot end",
        ),
        (
            "case.edge_distance",
            -tube_end - v["closure_length"],
            "the tube's end stands past the closure",
        ),
        (
            "closure.plate",
            v["closure_plate"] - v["closure_length"],
            "the plate is thicker than the closure is long",
        ),
        (
            "closure.skirt_wall",
            v["closure_skirt_wall"] - 0.5 * v["case_bore"],
            "the skirt is thicker than half the bore",
        ),
        (
            "closure.centre_hole",
            v["closure_centre_hole"] - v["case_bore"],
            "the centre hole is wider than the bore",
        ),
        (
            "closure.clearance",
            v["closure_clearance"] - 0.2 * v["case_bore"],
            "the closure would rattle in the bore: clearance over a fifth of it",
        ),
        *(
            (f.path, _tolerance(v, f.name) - v[f.name], "its tolerance leaves nothing of it,")
            for f in FIELDS.values()
            if f.tol and f.range[0] > 0
        ),
    ]


def _tolerance(v: Mapping[str, Any], name: str) -> float:
    """Tolerance of a dimension among the inputs: a length, or a share of the nominal."""
    tol = v.get(f"{name}_tol")
    return v[name] * v[f"{name}_tol_share"] if tol is None else tol
