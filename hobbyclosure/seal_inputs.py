"""Numbers of the picked rings and compounds, to stand beside a design's other inputs.

`UNITS`, `SYMBOLS` and `TITLES` are for the working, `rows` for the evidence.
"""

from typing import Any

from hobbyclosure.data import Datum, evidence, seals
from hobbyclosure.design import Design
from hobbyclosure.fields_seal import RING_NAMES

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


def rows(design: Design) -> dict[str, Datum]:
    """Every number picked from a data row, with its provenance, by its name among the inputs."""
    out = {
        f"{part}_alpha": design.material(part)["alpha"]
        or Datum(float("nan"), "no expansion in the material's row", "memory")
        for part in ("case", "closure")
    }
    out |= {"seal_chart_top": seals.CHART_TOP, "seal_push_most": seals.PUSH_MOST}
    for name in RING_NAMES:
        ring = seals.ALL[str(design[f"seal.{name}.ring"].value)]
        rubber = seals.COMPOUNDS[str(design[f"seal.{name}.compound"].value)]
        sizes = {"id": ring.id, "id_tol": ring.id_tol, "cs": ring.cs, "cs_tol": ring.cs_tol}
        out |= {f"seal_{name}_std_{k}": Datum(v, ring.source, ring.seen) for k, v in sizes.items()}
        known = ("low", "high", "expansion", "gap_share")
        out |= {f"seal_{name}_{k}": getattr(rubber, k) for k in known}
    return out


def numbers(design: Design) -> dict[str, Any]:
    """Inputs of the seal checks beside those a field states."""
    out: dict[str, Any] = {name: datum.value for name, datum in rows(design).items()}
    for name in RING_NAMES:
        out[f"seal_{name}_cs"] = out[f"seal_{name}_std_cs"]
    return out | {"seal_megapascal": MEGAPASCAL}


def from_memory(design: Design) -> list[str]:
    """Sources of picked rows that are from memory."""
    found = (d.source for d in rows(design).values() if evidence(d) == "practice")
    return list(dict.fromkeys(found))
