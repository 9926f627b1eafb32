"""Numbers of the picked rings and compounds, to stand beside a design's other inputs.

`UNITS`, `SYMBOLS` and `TITLES` are for the working, `rows` for the evidence. What a row lacks is
nan.
"""

from functools import cache
from typing import Any

from hobbyclosure.data import Datum, seals
from hobbyclosure.fields.seal import RING_NAMES
from hobbyclosure.part_inputs import PARTS, Picks

MEGAPASCAL = 1e6

_RING_UNITS = {
    "std_id": "m", "std_id_tol": "m", "std_cs": "m", "std_cs_tol": "m", "cs": "m",
    "expansion": "1/K", "low": "K", "high": "K", "gap_share": "",
}  # fmt: skip
_RING_SYMBOLS = {
    "std_id": "d1_list", "std_id_tol": "Δd1_list", "std_cs": "d2_list", "std_cs_tol": "Δd2_list",
    "cs": "d2",
    "expansion": "α", "low": "T_low", "high": "T_high", "gap_share": "r_gap",
}  # fmt: skip
_RING_TITLES = {
    "std_id": "inside diameter of the list", "std_id_tol": "its tolerance",
    "std_cs": "section of the list", "std_cs_tol": "its tolerance", "cs": "section",
    "expansion": "linear expansion of the compound", "low": "lowest the compound serves at",
    "high": "highest the compound serves at", "gap_share": "share of the chart's gap it bears",
}  # fmt: skip
UNITS = {
    "case_alpha": "1/K", "closure_alpha": "1/K", "seal_chart_top": "Pa", "seal_megapascal": "Pa",
    "seal_push_most": "N",
} | {f"seal_{r}_{k}": u for r in RING_NAMES for k, u in _RING_UNITS.items()}  # fmt: skip
SYMBOLS = {
    "case_alpha": "α_case", "closure_alpha": "α_c", "seal_chart_top": "p_chart",
    "seal_megapascal": "E_1", "seal_push_most": "F_hand",
} | {
    f"seal_{r}_{k}": f"{s},{r[:3]}" if "_" in s else f"{s}_{r[:3]}"
    for r in RING_NAMES for k, s in _RING_SYMBOLS.items()
}  # fmt: skip
TITLES = {
    "case_alpha": "Linear expansion of the tube", "closure_alpha": "Expansion of the closure",
    "seal_chart_top": "Pressure at which the chart ends",
    "seal_megapascal": "One megapascal, the unit of Gent's form",
    "seal_push_most": "Force a hand or a light clamp gives",
} | {
    f"seal_{r}_{k}": f"{name} ring, {t}"
    for r, name in RING_NAMES.items() for k, t in _RING_TITLES.items()
}  # fmt: skip


def picked(design: Picks) -> tuple[str, ...]:
    """Keys of the rings and compounds picked; "" for a ring stated by its own numbers alone."""
    out: list[str] = []
    for name in RING_NAMES:
        own = (design[f"seal.{name}.{size}"].now is not None for size in ("ring_id", "ring_cs"))
        ring = "" if all(own) else str(design[f"seal.{name}.ring"].value)
        out += [ring, str(design[f"seal.{name}.compound"].value)]
    return tuple(out)


def rows(design: Picks) -> dict[str, Datum]:
    """Every number picked from a data row, with its provenance, by its name among the inputs."""
    out: dict[str, Datum] = {}
    for part in PARTS:
        material = design.material(part)
        lacking = Datum(float("nan"), f"{material.label} carries no value for it", "memory")
        out[f"{part}_alpha"] = material["alpha"] or lacking
    out |= {"seal_chart_top": seals.CHART_TOP, "seal_push_most": seals.PUSH_MOST}
    for name, ring in zip(RING_NAMES, picked(design)[::2], strict=True):
        compound = design.compound(name)
        found = _rows(ring, compound) if ring else _rubber(compound)
        out |= {f"seal_{name}_{k}": datum for k, datum in found.items()}
    return out


@cache
def _rows(key: str, compound: seals.Compound) -> dict[str, Datum]:
    ring = seals.ALL[key]
    sizes = {"id": ring.id, "id_tol": ring.id_tol, "cs": ring.cs, "cs_tol": ring.cs_tol}
    listed = {f"std_{k}": Datum(v, ring.source, ring.seen) for k, v in sizes.items()}
    return listed | _rubber(compound)


def _rubber(compound: seals.Compound) -> dict[str, Datum]:
    return {k: getattr(compound, k) for k in seals.COMPOUND_NUMBERS}


@cache
def _sizes(key: str, compound: seals.Compound) -> dict[str, float]:
    found = {k: datum.value for k, datum in _rows(key, compound).items()}
    return found | {"cs": found["std_cs"]}


def numbers(design: Picks) -> dict[str, Any]:
    """Inputs of the seal checks beside those a field states."""
    out: dict[str, Any] = {f"{part}_alpha": design.material(part).value("alpha") for part in PARTS}
    for name in RING_NAMES:
        sizes = _sizes(str(design[f"seal.{name}.ring"].value), design.compound(name))
        out |= {f"seal_{name}_{k}": value for k, value in sizes.items()}
    return out | _CONSTANT


_CONSTANT = {
    "seal_chart_top": seals.CHART_TOP.value, "seal_push_most": seals.PUSH_MOST.value,
    "seal_megapascal": MEGAPASCAL,
}  # fmt: skip
