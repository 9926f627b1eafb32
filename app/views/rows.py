"""The rows of a part's fields: label, number, unit, rail, tolerance, measurement, refusal."""

from typing import Any

import numpy as np

from app.views import axis as axes
from app.views import picks, told
from app.views.rails import Rails, around
from app.views.told import Scene
from hobbyclosure import study, units, words
from hobbyclosure.design import Design, Entry, calliper
from hobbyclosure.fields import FIELDS, PARTS, Field
from hobbyclosure.units import COUNT, LENGTH, shown_value

OPENS = "fields:"


def opened(open: tuple[str, ...]) -> str | None:
    """The part whose fields are open, if it is what the panel shows."""
    what = open[-1] if open else ""
    return what.removeprefix(OPENS) if what.startswith(OPENS) else None


def parts() -> list[str]:
    """Parts that have fields, in the order of the switcher."""
    return [part for part in PARTS if fields_of(part)]


def is_number(path: str, value: Any) -> bool:
    """Whether a value sent for a field can be a place on its rail."""
    plain = isinstance(value, int | float) and not isinstance(value, bool)
    return plain and bool(np.isfinite(value)) and FIELDS[path].kind is not None


def fields_of(part: str) -> list[Field]:
    """Fields of a part, as the file lists them."""
    return [field for field in FIELDS.values() if field.part == part]


def frame(scene: Scene, part: str) -> dict[str, Any]:
    """What of the rows stays while their values change."""
    system = scene.system
    return {
        "part": part,
        "parts": [[key, PARTS[key]] for key in parts()],
        "rows": [
            {
                "path": f.path,
                "label": f.label,
                "help": f"{f.help}.",
                "unit": f.shown(system).label if f.kind else "",
                "list": picks.list_name(f) if f.choices else None,
                "optional": f.default is None,
                "usual": _usual(f, system),
                "spread": LENGTH.shown(system).label,
            }
            for f in fields_of(part)
        ],
    }


def _usual(field: Field, system: str) -> str:
    """The tolerance of a dimension that states none."""
    if not field.tol or field.tol.endswith("%"):
        return field.tol
    return shown_value(units.parse(field.tol, LENGTH), LENGTH, system, unit=False)


def fields(scene: Scene, part: str, rails: Rails, before: Design | None = None) -> dict[str, Any]:
    """What of a part's rows may change: by path; `before` is the state that undo goes back to."""
    return {f.path: row(scene, f, rails, before) for f in fields_of(part)}


def row(scene: Scene, field: Field, rails: Rails, before: Design | None) -> dict[str, Any]:
    """One row: a pick with its data, or a number with its rail."""
    path, entry = field.path, scene.shown.design[field.path]
    refused = refusal(scene, field)
    if field.choices:
        key = str(entry.value)
        numbers, source = picks.line(scene.shown.design, field, key, scene.system)
        label = scene.shown.design.choices(field)[key]
        return {
            "key": key, "text": label, "numbers": numbers, "source": source, "refused": refused,
        }  # fmt: skip
    along = rails.rail(scene, path)
    spans = rails.spans(scene, path)
    return {
        "text": ""
        if entry.now is None
        else words.field_number(path, float(entry.now), scene.system),
        "value": along.shown(around(scene, path)),
        "stated": entry.now is not None,
        "rail": along.frame(),
        "meets": [[along.shown(a), along.shown(b)] for a, b in spans],
        "note": note(scene, field, along.stock),
        "dropped": told.dropped(before, scene.shown.design, path, scene.system),
        "refused": refused,
        **(spreads(entry, scene.system) if field.tol else {}),
    }


def spreads(entry: Entry, system: str) -> dict[str, str]:
    """Tolerance, measurement and accuracy of a dimension, as their boxes show them.

    `calliper` is the accuracy that a reading has when none is stated.
    """

    def shown(value: float | None) -> str:
        return "" if value is None else shown_value(value, LENGTH, system, unit=False)

    return {
        "tol": shown(entry.tol),
        "measured": shown(entry.measured),
        "accuracy": shown(entry.accuracy if entry.measured is not None else None),
        "calliper": shown(calliper(float(entry.now or 0.0))),
    }


def refusal(scene: Scene, field: Field) -> str:
    """Why the last text for a field, its measurement or its tolerance was not taken."""
    said = (scene.refused.get(key, "") for key in keys(field.path))
    text = next((s for s in said if s), "").removeprefix(f"{field.label}: ")
    return words.sentence(text.replace(f"Still {field.label} ", "Still "))


def keys(path: str) -> tuple[str, str, str]:
    """Names under which a session tells of a field's refusals."""
    return path, f"{path} measured", f"{path} tol"


def note(scene: Scene, field: Field, sizes: list[tuple[float, str]]) -> str:
    """Words on a value: its stock name, its spacing, or what stands in for it."""
    path, value = field.path, study.now(scene.shown.assessment, field.path)
    peak = float(scene.shown.assessment.values["loads_peak"])
    if scene.shown.design[path].now is None:
        built = words.pressure(value, scene.system)
        if np.isnan(value):
            return "Not stated."
        return f"Not stated: {built} from peak, hot day and scatter."
    if path in scene.axes and (path == study.MEOP or field.kind is COUNT):
        return f"{axes.note(scene.axes[path], value, peak)}."
    if source := scene.shown.design.source(path):
        return f"From {source}."
    found = next((label for size, label in sizes if abs(size - value) < 1e-7), "")
    return f"{words.sentence(found)}." if found else ""
