"""What differs between two designs, field by field."""

from collections.abc import Mapping
from typing import Any

import attrs

from hobbyclosure.design import Design
from hobbyclosure.fields import FIELDS, Field
from hobbyclosure.trace import named
from hobbyclosure.units import LENGTH, one_line, shown_value

OWN = ("material", "compound")
TRACES = "loads.trace"


@attrs.frozen
class Difference:
    """One thing that two designs state otherwise: its field's path, its label, both texts."""

    path: str
    label: str
    old: str
    new: str


def differences(old: Design, new: Design, system: str = "metric") -> list[Difference]:
    """All of them in the fields' order, then traces, rows of their own and the name."""
    paths = [path for path in FIELDS if not old[path].says_the_same(new[path])]
    if old.runs != new.runs:
        paths.append(TRACES)
    for what in OWN:
        mine, theirs = (_own(d, what) for d in (old, new))
        paths += [f"{what}.{key}" for key in dict.fromkeys([*mine, *theirs])
                  if mine.get(key) != theirs.get(key)]  # fmt: skip
    if old.name != new.name:
        paths.append("name")
    return [told(old, new, path, system) for path in paths]


def told(old: Design, new: Design, path: str, system: str = "metric") -> Difference:
    """What two designs state of a path of `differences`, be it otherwise or the same."""
    if field := FIELDS.get(path):
        return Difference(path, field.label, *(stated(d, field, system) for d in (old, new)))
    what, _, key = path.partition(".")
    if what in OWN:
        return Difference(path, f"Own {what} {key}", *_rows(old, new, what, key))
    if path == TRACES:
        return Difference(path, "Traces", *(_traces(d) for d in (old, new)))
    return Difference("name", "Name", old.name, new.name)


def _own(design: Design, what: str) -> Mapping[str, Any]:
    return design.materials if what == "material" else design.compounds


def _traces(design: Design) -> str:
    return named(design.runs) if design.runs else "none"


def _rows(old: Design, new: Design, what: str, key: str) -> tuple[str, str]:
    """What two designs state in a row of their own: of numbers both state, those that differ."""
    rows = [d.own_rows.get(what, {}).get(key, {}) for d in (old, new)]
    there = [key in _own(d, what) for d in (old, new)]
    names = list(dict.fromkeys([*rows[0], *rows[1]]))
    if all(there):
        names = [n for n in names if str(rows[0].get(n)) != str(rows[1].get(n))] or names

    def said(row: Mapping[str, Any]) -> str:
        stated = (f"{n} {row[n]}" if n in row else f"{n} not stated" for n in names)
        return one_line(", ".join(stated), 300) or "stated"

    return said(rows[0]) if there[0] else "none", said(rows[1]) if there[1] else "none"


def stated(design: Design, field: Field, system: str) -> str:
    """What a design states of a field: value, tolerance, reading, how far that may be off."""
    entry = design[field.path]
    if field.kind is None:
        return design.choices(field).get(str(entry.value), str(entry.value))
    if entry.value is None:
        return "not stated"
    said = shown_value(float(entry.value), field.kind, system)
    if entry.tol is not None:
        said += f" ± {shown_value(entry.tol, LENGTH, system)}"
    if entry.measured is not None:
        said += f", measured {shown_value(entry.measured, LENGTH, system)}"
        if entry.accuracy is not None:
            said += f" ± {shown_value(entry.accuracy, LENGTH, system)}"
    return said
