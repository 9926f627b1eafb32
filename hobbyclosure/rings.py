"""Which ring for this groove, which groove for this ring, and what a measurement changes.

All rings of the lists go through the checks' own code at once, as arrays.
"""

from collections.abc import Mapping
from functools import cache
from typing import Any

import attrs
import numpy as np
from numpy.typing import NDArray

from hobbyclosure.checks.each import at
from hobbyclosure.data import seals
from hobbyclosure.graph import CHECKS, Values
from hobbyclosure.physics.chart import backup_thickness

Array = NDArray[np.float64]


@attrs.frozen
class Fit:
    """A ring in a groove: squeeze and stretch as drawn and over all corners, SI.

    `room` is the way to the nearest limit over the width of what is wanted: below zero it does not
    fit. `floor` and `width` are the groove's.
    """

    key: str
    label: str
    squeeze: float
    squeezes: tuple[float, float]
    stretch: float
    stretches: tuple[float, float]
    fill: float
    room: float
    floor: float
    width: float
    note: str
    source: str
    seen: str


@cache
def _columns() -> dict[str, Array]:
    rings = list(seals.ALL.values())
    return {
        name: np.array([getattr(r, name) for r in rings])
        for name in ("id", "id_tol", "cs", "cs_tol")
    }


def _with_every_ring(values: Mapping[str, Any], ring: str, **more: Any) -> Values:
    """Inputs with every listed ring in one groove; a ring by its numbers is put aside."""
    every = {f"seal_{ring}_std_{k}": column for k, column in _columns().items()}
    own = dict.fromkeys((f"seal_{ring}_ring_id", f"seal_{ring}_ring_cs"), np.nan)
    return Values({**values, **every, **own, **more})


def _ranked(values: Values, ring: str, fitted: str, most: int, only: str = "") -> list[Fit]:
    """Every ring by its room, the best first, the fitted one always among them; or one `only`."""
    v = {k: values[at(f"seal_{k}", ring)] for k in (
        "std_id", "thin", "thick", "loosest", "tightest", "stretched",
        "inside_min", "inside_max", "bore",
        "groove_diameter", "groove_diameter_min", "groove_diameter_max", "groove_width",
    )}  # fmt: skip
    shape = v["std_id"].shape
    fill = _fill(values, ring)
    section = (v["thin"] + v["thick"]) / 2
    drawn = 1 - (v["bore"] - v["groove_diameter"]) / 2 / section
    stretch = v["groove_diameter"] / v["std_id"] - 1
    least = v["groove_diameter_min"] / v["inside_max"] - 1
    largest = v["groove_diameter_max"] / v["inside_min"] - 1
    # On the coldest day, as the check has it; that is not below zero.
    largest = np.where(v["stretched"] > 0, v["stretched"], largest)
    low, high = values["loads_squeeze_least"], values["loads_squeeze_most"]
    limit, full = values["loads_stretch_most"], values["loads_fill_most"]
    room = np.min(
        [
            (v["loosest"] - low) / (high - low), (high - v["tightest"]) / (high - low),
            (limit - v["stretched"]) / limit, least / limit, (full - fill) / full,
        ],
        axis=0,
    )  # fmt: skip
    keys = list(seals.ALL)
    order = np.argsort(-np.nan_to_num(room, nan=-np.inf), kind="stable")[:most]
    picked = [keys.index(only)] if only else [int(i) for i in order]
    if not only and fitted in keys and keys.index(fitted) not in picked:
        picked = [*picked[: most - 1], keys.index(fitted)]
    floor, width = (np.broadcast_to(v[k], shape) for k in ("groove_diameter", "groove_width"))
    return [
        Fit(
            keys[i], seals.ring_label(keys[i]), float(drawn[i]),
            (float(v["loosest"][i]), float(v["tightest"][i])), float(stretch[i]),
            (float(least[i]), float(largest[i])), float(fill[i]), float(room[i]),
            float(floor[i]), float(width[i]),
            _note(keys[i], fitted, float(stretch[i]), float(v["stretched"][i]), float(limit)),
            seals.ALL[keys[i]].source, seals.ALL[keys[i]].seen,
        )
        for i in picked
    ]  # fmt: skip


def _fill(values: Values, ring: str) -> Array:
    return values.demand_and_capacity(CHECKS[f"seal.{ring}.fill"])[0]


def _note(key: str, fitted: str, stretch: float, stretched: float, limit: float) -> str:
    if stretched > limit:
        return "stretched too far"
    if stretch < 0:
        return "slack on the floor"
    if key == fitted:
        return "fitted"
    return "from memory" if seals.ALL[key].seen == "memory" else ""


def rings_that_fit(
    values: Mapping[str, Any], ring: str, fitted: str = "", most: int = 8
) -> list[Fit]:
    """The rings that suit a design's groove best, by the room to the nearest limit.

    `values` are a design's inputs, `ring` is "primary", "secondary" or "liner". Room below zero:
    none fits, and the closest come first.
    """
    return _ranked(_with_every_ring(values, ring), ring, fitted, most)


def grooves_for_rings(
    values: Mapping[str, Any], ring: str, fitted: str = "", most: int = 8, step: float = 1e-5,
    only: str = "",
) -> list[Fit]:  # fmt: skip
    """A groove for every ring in a design's bore, cut to the gland chart; the best rings first.

    Floor and width are rounded to `step`. With backup rings the groove is no narrower than leaves
    the ring the width it has without them.
    """
    shared = Values(values)
    bore = shared[at("seal_bore", ring)]
    columns = _columns()
    floor = np.round((bore - 2 * seals.chart_depth(columns["cs"])) / step) * step
    floor = np.maximum(floor, 1e-4)
    cs, backups = columns["cs"], int(shared[f"seal_{ring}_backups"])
    bare = seals.chart_width(cs, 0) + backups * backup_thickness(cs)
    width = np.round(np.maximum(seals.chart_width(cs, backups), bare) / step) * step
    grooves = {f"seal_{ring}_groove_diameter": floor, f"seal_{ring}_groove_width": width}
    return _ranked(_with_every_ring(values, ring, **grooves), ring, fitted, most, only)


def groove_for_ring(values: Mapping[str, Any], ring: str, key: str) -> Fit:
    """The chart's groove for one listed ring in a design's bore."""
    return grooves_for_rings(values, ring, key, 1, only=key)[0]


def moved_to(values: Mapping[str, Any], ring: str, fit: Fit, floor: float) -> Fit:
    """A groove for a ring with another floor."""
    groove = {f"seal_{ring}_groove_diameter": floor, f"seal_{ring}_groove_width": fit.width}
    return _ranked(_with_every_ring(values, ring, **groove), ring, "", 1, only=fit.key)[0]


def floor_as_measured(
    bore: float, floor: float, measured_bore: float, cs: float = 1.0, measured_cs: float = 1.0
) -> float:
    """Groove floor that keeps the squeeze as drawn, for the bore and the ring one really has.

    `bore` and `floor` as drawn, m; `cs` and `measured_cs` the ring's section, if it was measured.
    """
    return measured_bore - (bore - floor) * measured_cs / cs
