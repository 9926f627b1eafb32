"""Numbers of the picked materials and screws, to stand beside a design's other inputs.

`UNITS`, `SYMBOLS` and `TITLES` are for the working, `rows` for the evidence. What a row lacks is
nan; a row picked for a part it was not given for says so, and its evidence is weak.
"""

from typing import Any, Protocol

import attrs
import numpy as np

from hobbyclosure import data
from hobbyclosure.data import Datum, seals
from hobbyclosure.units import LENGTH, shown_value

PARTS = ("case", "closure")
MATERIAL_NUMBERS = (
    "F_ty", "F_tu", "F_su", "F_bry_15", "F_bry_20", "F_bru_15", "F_bru_20", "E", "nu",
)  # fmt: skip
# Standard deviation of a screw's place by how the holes were made to meet; modelled, see sharing.
HOLE_SCATTER = {"together": 2e-5, "guide": 5e-5, "free-hand": 1e-4, "unknown": 1e-4}
SHARING_LEAST = {"unknown": 2.2}  # worst over mean load, at least; practice, no source

UNITS = {
    "screw_d": "m", "screw_P": "m", "screw_f_ub": "Pa", "screw_f_yb": "Pa", "screw_E": "Pa",
    "screw_hole_sigma": "m", "screw_sharing_least": "", "screw_head_k": "m", "screw_head_dk": "m",
} | {
    f"{part}_{name}": "Pa" if name.startswith("F_") or name == "E" else ""
    for part in PARTS for name in MATERIAL_NUMBERS
} | {f"{part}_hot_T": "K" for part in (*PARTS, "screw")}  # fmt: skip
SYMBOLS = {
    "screw_d": "d", "screw_P": "P", "screw_f_ub": "f_ub", "screw_f_yb": "f_yb",
    "screw_E": "E_s", "screw_hole_sigma": "σ", "screw_sharing_least": "k_least",
    "screw_alpha_v": "α_v", "screw_head_k": "k_h", "screw_head_dk": "d_k", "screw_flush": "flush",
    "case_nu": "ν", "closure_nu": "ν_c", "case_E": "E", "closure_E": "E_c",
}  # fmt: skip
TITLES = {
    "screw_d": "Thread diameter", "screw_P": "Thread pitch", "screw_f_ub": "Strength of the class",
    "screw_f_yb": "Yield strength of the class", "screw_E": "Screw's modulus of elasticity",
    "screw_hole_sigma": "Scatter of the holes by how they were made, modelled",
    "screw_sharing_least": "Least that is counted: 2.2 where the method is not known, else 1",
    "screw_alpha_v": "Shear factor of the class", "screw_unified": "1 for a unified thread",
    "screw_threads_in_plane": "1 with threads in the shear plane",
    "screw_flush": "1 for a countersunk head", "screw_head_k": "Head height",
    "screw_head_dk": "Head diameter",
}  # fmt: skip


class Picks(Protocol):
    """What is read of a design: its entries by path, and its materials."""

    def __getitem__(self, path: str) -> Any:
        """What is stated of a field."""
        ...

    def material(self, part: str) -> data.Material:
        """The material of a part."""
        ...

    def compound(self, ring: str) -> seals.Compound:
        """The compound of a ring."""
        ...


def picked(design: Picks) -> tuple[Any, ...]:
    """What decides the rows: the keys picked, and whether each row is used beyond its range."""
    paths = ("case.material", "closure.material", "screw.thread", "screw.strength_class")
    beside = (*(bool(beyond_row(design, part)) for part in PARTS), bool(beyond_class(design)))
    return (*(design[path].value for path in paths), *beside)


def beyond_row(design: Picks, part: str, system: str = "metric") -> str:
    """Why a material's row was not given for the part it is picked for; empty when it was.

    Strengths that the design itself states are given for whatever it is made of.
    """
    row = design.material(part)
    if not any(k.startswith("F_") and x.seen != "stated" for k, x in row.values.items()):
        return ""
    size = {
        "case": design["case.wall"].now,
        "closure": design["closure.length" if row.form == "plate" else "case.bore"].now,
    }[part]
    forms = {"case": ("tube",), "closure": ("bar", "plate")}[part]
    if not any(form in row.form for form in forms):
        return f"strengths of a {row.form}"
    low, high = row.thickness
    if low * (1 - 1e-3) <= size <= high * (1 + 1e-3):
        return ""
    return _range(low, high, shown_value(size, LENGTH, system), system)


def _range(low: float, high: float, size: str, system: str) -> str:
    ends = [shown_value(end, LENGTH, system) for end in (low, high)]
    return f"strengths given for {ends[0]} to {ends[1]}, not {size}"


def beyond_class(design: Picks, system: str = "metric") -> str:
    """Why a strength class was not given for the thread it is picked for; empty when it was."""
    thread, row = _screw(design)
    low, high = row.sizes
    if row.series != thread.series:
        return f"a class of {row.series} threads"
    if low <= thread.d <= high:
        return ""
    return _range(low, high, thread.label, system)


def _screw(design: Picks) -> tuple[data.Thread, data.StrengthClass]:
    thread = data.THREADS[str(design["screw.thread"].value)]
    return thread, data.CLASSES[str(design["screw.strength_class"].value)]


def rows(design: Picks) -> dict[str, Datum]:
    """Every number picked from a data row, with its provenance, by its name among the inputs."""
    out: dict[str, Datum] = {}
    for part in PARTS:
        material = design.material(part)
        known = {
            name: material[name]
            or Datum(np.nan, f"{material.label} states no {data.PROPERTIES[name]}", "memory")
            for name in MATERIAL_NUMBERS
        }
        if material.hot:
            known |= _hot(material.hot)
        if beyond_row(design, part):
            known |= {k: _beyond(v) for k, v in known.items() if k.startswith("F_")}
        out |= {f"{part}_{name}": datum for name, datum in known.items()}
    thread, grade = _screw(design)
    external = thread.provenance["external_major"]
    screw = {n: Datum(getattr(thread, n), external.source, external.seen) for n in "dP"}
    strength = {"f_ub": grade.F_ub, "f_yb": grade.F_yb}
    if beyond_class(design):
        strength = {k: _beyond(v) for k, v in strength.items()}
    screw |= strength | {"alpha_v": grade.alpha_v, "E": grade.E} | _hot(grade.hot)
    return out | {f"screw_{name}": datum for name, datum in screw.items()}


def _beyond(datum: Datum) -> Datum:
    """A row's value used for what the row was not given for; a stated or lacking one as it is."""
    if datum.seen == "stated" or np.isnan(datum.value):
        return datum
    return attrs.evolve(datum, source=f"{datum.source}; beyond what it is given for", beyond=True)


def _hot(hot: data.Hot) -> dict[str, Datum]:
    names = {"hot_y": "yield", "hot_u": "ultimate", "hot_E": "modulus"}
    known = {k: hot.provenance[name] for k, name in names.items()}
    return {k: Datum(1.0, p.source, p.seen) for k, p in known.items()}


def numbers(design: Picks) -> dict[str, Any]:
    """Materials, thread, class and head of the picked screw, in SI."""
    out: dict[str, Any] = {}
    for part in PARTS:
        material = design.material(part)
        out |= {f"{part}_{name}": material.value(name) for name in MATERIAL_NUMBERS}
        out |= _table(part, material.hot)
    thread, grade = _screw(design)
    form, method = str(design["screw.head"].value), str(design["screw.hole_method"].value)
    head = data.HEADS[form][thread.id]
    return out | _table("screw", grade.hot) | {
        "screw_d": thread.d,
        "screw_P": thread.P,
        "screw_unified": float(thread.series == "unified"),
        "screw_f_ub": grade.F_ub.value,
        "screw_f_yb": grade.F_yb.value,
        "screw_alpha_v": grade.alpha_v.value,
        "screw_E": grade.E.value,
        "screw_threads_in_plane": float(design["screw.shear_plane"].value == "threads"),
        "screw_hole_sigma": HOLE_SCATTER[method],
        "screw_sharing_least": SHARING_LEAST.get(method, 1.0),
        "screw_head_form": form,
        "screw_flush": float(head.flush),
        "screw_head_dk": head.d_k,
        "screw_head_k": head.k,
    }  # fmt: skip


def _table(part: str, hot: data.Hot | None) -> dict[str, Any]:
    """Temperatures and ratios to room-temperature values; one point where nothing is known."""
    if hot is None:
        columns = (np.array([293.15]), *(np.array([1.0]),) * 3)
    else:
        columns = (hot.T, hot.yield_, hot.ultimate, hot.modulus)
    return {f"{part}_hot_{k}": column for k, column in zip("TyuE", columns, strict=True)}
