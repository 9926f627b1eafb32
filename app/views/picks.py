"""Pick lists with their data: what stands behind each choice, and how far it was seen."""

from collections.abc import Mapping
from typing import Any

import numpy as np

from hobbyclosure import data
from hobbyclosure.checks.screw import screw_stress_area
from hobbyclosure.data import seals
from hobbyclosure.design import Design
from hobbyclosure.fields import FIELDS, Field
from hobbyclosure.part_inputs import HOLE_SCATTER, SHARING_LEAST
from hobbyclosure.phrases import amount
from hobbyclosure.units import LENGTH, PRESSURE, TEMPERATURE, from_si, shown_value, trimmed

MEMORY = "from memory: confirm it"
Line = tuple[str, str]  # numbers, and where they come from


def list_name(field: Field) -> str:
    """Fields that are picked from the same list share its name."""
    if field.path.endswith(".material"):
        return "material"
    last = field.path.rpartition(".")[2]
    return last if field.part == "seal" else field.path


def options(design: Design, field: Field, system: str) -> list[list[str]]:
    """Every choice of a field: key, label, numbers, source."""
    return [
        [key, label, *line(design, field, key, system)]
        for key, label in design.choices(field).items()
    ]


def line(design: Design, field: Field, key: str, system: str) -> Line:
    """The data behind one choice."""
    name = list_name(field)
    if name == "material":
        return _material(design.materials.get(key) or data.MATERIALS[key], system)
    if name == "ring":
        return _ring(seals.ALL[key], system)
    if name == "compound":
        return _compound(design.compounds.get(key) or seals.COMPOUNDS[key], system)
    if name == "screw.thread":
        return _thread(data.THREADS[key], system)
    if name == "screw.strength_class":
        return _strength(data.CLASSES[key], system)
    if name == "screw.head":
        return _head(design, key, system)
    if name == "screw.shear_plane":
        return _plane(design, key, system)
    if name == "screw.hole_method":
        scatter = HOLE_SCATTER[key]
        if key in SHARING_LEAST:
            least = f"as free-hand, worst screw {SHARING_LEAST[key]:g} × the mean at least"
            return least, "common practice, no source"
        return f"holes miss by {_length(scatter, system)} (1 σ)", "reckoned, no source"
    return "", ""


def _length(value: float, system: str) -> str:
    return shown_value(value, LENGTH, system)


def _strengths(named: Mapping[str, float], system: str) -> str:
    """Strengths in one unit, said once: "yield 241, ultimate 290 MPa"."""
    how = PRESSURE.shown(system)
    unit, share = ("ksi", 1000) if system == "inch" else (how.label, 1)
    texts = [
        f"{name} {trimmed(float(from_si(x, how.unit, 'Pa')) / share, 1 if share > 1 else 0)}"
        for name, x in named.items()
        if not np.isnan(x)
    ]
    missing = [name for name, x in named.items() if np.isnan(x)]
    lacks = f"; {' and '.join(missing)} not stated" if missing else ""
    return f"{', '.join(texts)} {unit}{lacks}"


def _sources(*items: data.Datum | data.Provenance | None) -> str:
    known = [item for item in items if item]
    said = "; ".join(dict.fromkeys(item.source for item in known))
    recalled = [item for item in known if item.seen == "memory"]
    if not recalled:
        return said
    return f"{said}; {MEMORY if len(recalled) == len(known) else f'in part {MEMORY}'}"


def _material(row: data.Material, system: str) -> Line:
    named = {"yield": "F_ty", "ultimate": "F_tu", "shear": "F_su"}
    numbers = _strengths({said: row.value(name) for said, name in named.items()}, system)
    return numbers, _sources(*(row[name] for name in named.values()))


def _ring(row: data.Ring, system: str) -> Line:
    numbers = f"⌀ {_length(row.id, system)} inside, {_length(row.cs, system)} thick"
    return numbers, _sources(data.Provenance(row.source, row.seen))


def _compound(row: seals.Compound, system: str) -> Line:
    low, high = (shown_value(end.value, TEMPERATURE, system) for end in (row.low, row.high))
    return f"serves from {low} to {high}".replace("-", "−"), _sources(row.low, row.high)


def _thread(row: data.Thread, system: str) -> Line:
    area = screw_stress_area(row.d, row.P, float(row.series == "unified"))
    numbers = (
        f"pitch {_length(row.P, system)}, stress area {amount(float(area), 'm**2', system)}, "
        f"tap drill {_length(row.tap_drill, system)}"
    )
    groups = ("external_major", "tap_drill", "clearance")
    return numbers, _sources(*(row.provenance[g] for g in groups))


def _strength(row: data.StrengthClass, system: str) -> Line:
    numbers = _strengths({"yield": row.F_yb.value, "ultimate": row.F_ub.value}, system)
    shear = f"shear {trimmed(row.alpha_v.value, 2)} of ultimate"
    return f"{numbers}, {shear}", _sources(row.F_yb, row.F_ub, row.alpha_v)


def _head(design: Design, form: str, system: str) -> Line:
    thread = str(design["screw.thread"].value)
    head = data.HEADS[form].get(thread)
    if head is None:
        return f"no table row for {thread}: 1.75 d wide, 0.6 d high", "common practice, no source"
    size = f"⌀ {_length(head.d_k, system)}, {_length(head.k, system)} high"
    flush = ", flush" if head.flush else ""
    return f"for {thread}: {size}{flush}", _sources(data.Provenance(head.source, head.seen))


def _plane(design: Design, plane: str, system: str) -> Line:
    row = data.THREADS[str(design["screw.thread"].value)]
    if plane == "threads":
        area = float(screw_stress_area(row.d, row.P, float(row.series == "unified")))
    else:
        area = np.pi / 4 * row.d**2
    return f"{amount(area, 'm**2', system)} of {row.id} in the plane", ""


def lists(design: Design, part: str, system: str) -> dict[str, Any]:
    """Every list that the fields of a part pick from, by name."""
    fields = [f for f in FIELDS.values() if f.part == part and f.choices]
    return {list_name(f): options(design, f, system) for f in fields}
