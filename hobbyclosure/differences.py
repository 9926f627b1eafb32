"""What differs between two designs, field by field, and what that does to their checks."""

from collections.abc import Mapping
from typing import Any

import attrs
import numpy as np

from hobbyclosure.assess import ABSENT, Assessment
from hobbyclosure.design import Design, Entry
from hobbyclosure.fields import FIELDS, Field
from hobbyclosure.graph import CHECKS, Check
from hobbyclosure.units import LENGTH, shown_value


@attrs.frozen
class Difference:
    """One thing that two designs state otherwise: its field's path, its label, both texts."""

    path: str
    label: str
    old: str
    new: str


def differences(old: Design, new: Design, system: str = "metric") -> list[Difference]:
    """All of them in the fields' order, then rows of their own and the name."""
    found = [
        Difference(path, field.label, stated(old, field, system), stated(new, field, system))
        for path, field in FIELDS.items()
        if not old[path].same(new[path])
    ]
    for what in ("material", "compound"):
        mine, theirs = (getattr(d, f"{what}s") for d in (old, new))
        found += [
            Difference(f"{what}.{key}", f"Own {what} {key}", *_rows(mine, theirs, key))
            for key in dict.fromkeys([*mine, *theirs])
            if mine.get(key) != theirs.get(key)
        ]
    if old.name != new.name:
        found.append(Difference("name", "Name", old.name, new.name))
    return found


def _rows(mine: Mapping[str, Any], theirs: Mapping[str, Any], key: str) -> tuple[str, str]:
    if key in mine and key in theirs:
        return "its values", "others"
    return ("stated", "gone") if key in mine else ("none", "stated")


def stated(design: Design, field: Field, system: str, entry: Entry | None = None) -> str:
    """What a design states of a field, or would with another entry: value, tolerance, reading."""
    entry = design[field.path] if entry is None else entry
    if field.kind is None:
        return design.choices(field).get(str(entry.value), str(entry.value))
    if entry.value is None:
        return "not stated"
    said = shown_value(float(entry.value), field.kind, system)
    if entry.tol is not None:
        said += f" ± {shown_value(entry.tol, LENGTH, system)}"
    if entry.measured is not None:
        said += f", measured {shown_value(entry.measured, LENGTH, system)}"
    return said


def lowest(*assessments: Assessment, most: int = 8) -> list[Check]:
    """The checks that are lowest in any of some designs, the very lowest first."""

    def worst(check: Check) -> float:
        found = [
            np.nan_to_num(a.ratios[check.id], nan=0.0)
            for a in assessments
            if a.states[check.id] != ABSENT
        ]
        return float(min(found, default=np.inf))

    counted = [c for c in CHECKS.values() if c.gravest == "stop" and np.isfinite(worst(c))]
    return sorted(counted, key=worst)[:most]
