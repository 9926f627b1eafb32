"""Every corner a ring meets: loose or tight, cold or hot, without pressure, at MEOP, at proof.

The checks reckon only the corners that can govern; here are all twelve of a ring, for the picture
and to name the one that governs. They come from the physics directly, not from the checks.
In a loose corner the ring is looked at on the open side, in a tight one on the closed side.
"""

from collections.abc import Mapping
from typing import Any

import attrs
import numpy as np

from hobbyclosure.checks.each import at
from hobbyclosure.physics.chart import chart_band, extrusion_limit
from hobbyclosure.physics.seal import (
    gland_depth,
    gland_fill,
    ring_volume,
    section_at,
    section_stretched,
    squeeze,
    stretch,
)

LOADS = ("none", "MEOP", "proof")


@attrs.frozen
class Corner:
    """One corner of a ring: SI numbers, each as bad as that corner makes it."""

    loose: bool
    hot: bool
    load: str
    pressure: Any
    gap: Any
    limit: Any
    depth: Any
    section: Any
    squeeze: Any
    stretch: Any
    fill: Any

    @property
    def factor(self) -> Any:
        """What the ring may bridge over the gap; endless where there is none."""
        some = np.where(self.gap > 0, self.gap, np.nan)
        return np.where(self.gap > 0, self.limit / some, np.inf + 0 * self.limit)[()]

    @property
    def name(self) -> str:
        """The corner in words: "loose, cold, proof"."""
        load = "no pressure" if self.load == "none" else self.load
        return f"{'loose' if self.loose else 'tight'}, {'hot' if self.hot else 'cold'}, {load}"


def corner(values: Mapping[str, Any], ring: str, loose: bool, hot: bool, load: str) -> Corner:
    """One corner; values are those of a design, each of any shape that broadcasts."""

    def v(name: str) -> Any:
        return values[at(name, ring)]

    def end(name: str, larger: bool) -> Any:
        return v(f"{name}_{'max' if larger else 'min'}")

    proof = values["loads_proof_factor"] if load == "proof" else float(load == "MEOP")
    pressure = values["loads_meop"] * proof
    swollen = _swollen(values, ring, hot and load == "MEOP") * proof
    day = "cold" if not hot else "warm" if load == "proof" else "hot"
    clearance = v("seal_clearance_max") if loose else _least_clearance(values, ring)
    behind = (v("seal_pressed_max") - v("seal_clearance_max")) * (load != "none")
    gap = clearance + behind + v(f"seal_thermal_{day}") + swollen
    bore, floor = end("seal_bore", loose), end("seal_groove_diameter", not loose)
    inside, free = end("seal_inside", not loose), end("seal_section", not loose)
    off = v("seal_clearance_max" if loose else "seal_play_tight")
    side = off / 2 + gap - clearance if loose else -off / 2
    depth = gland_depth(bore, floor) + side
    room = values["loads_room"]
    warm = values["loads_hot"] if loose else v("seal_ring_hot")  # rubber lags behind hot metal
    T = warm if hot else values["loads_cold"]
    alpha, metal = v("seal_expansion"), values["closure_alpha"]
    section = section_at(section_stretched(inside, free, floor), alpha, metal, T, room)
    volume = ring_volume(inside, free) * (1 + 3 * (alpha - metal) * (T - room))
    grown = stretch(end("seal_groove_diameter", True), v("seal_inside_min"))
    limit = v("seal_bearing") * extrusion_limit(v("seal_hardness"), chart_band(pressure))
    return Corner(
        loose, hot, load, pressure, gap,
        np.where(pressure <= values["seal_chart_top"], limit, np.nan)[()],
        depth, section, squeeze(section, depth),
        np.maximum(grown - (alpha - metal) * (T - room), 0.0),
        gland_fill(volume, bore, floor, v("seal_room")),
    )  # fmt: skip


def _least_clearance(values: Mapping[str, Any], ring: str) -> Any:
    """Clearance of closure or nose, on the diameter, least."""
    if ring == "liner":
        return values["seal_liner_bore_min"] - values["closure_nose_diameter_max"]
    return values["closure_clearance_min"]


def _swollen(values: Mapping[str, Any], ring: str, hot: bool) -> Any:
    """What MEOP adds to the diametral gap."""
    growth, rim = values[at("seal_growth", ring)], values[at("seal_rim", ring)]
    if not hot:
        return 2 * growth + rim
    tube, closure = values["case_E_hot"], values["closure_E_hot"]
    return 2 * growth * values["case_E"] / tube + rim * values["closure_E"] / closure


def corners(values: Mapping[str, Any], ring: str) -> list[Corner]:
    """All twelve corners of a ring, loose and cold ones first."""
    return [
        corner(values, ring, loose, hot, load)
        for loose in (True, False)
        for hot in (False, True)
        for load in LOADS
    ]


def governing(found: list[Corner], what: str) -> Corner:
    """The corner that decides "gap", "squeeze_least", "squeeze_most", "stretch" or "fill"."""
    if what == "gap":
        return min(found, key=lambda c: float(np.nan_to_num(c.factor, nan=-1.0)))
    if what == "squeeze_least":
        return min(found, key=lambda c: float(c.squeeze))
    return max(found, key=lambda c: float(getattr(c, what.removesuffix("_most"))))
