"""Grooves for listed rings, judged by what the whole design says when one of them is taken."""

from collections.abc import Mapping
from functools import cache
from typing import Any

import attrs
import numpy as np

from hobbyclosure import rings, study
from hobbyclosure.assess import Assessment, behind, succeeding
from hobbyclosure.data import seals
from hobbyclosure.design import Design, DesignError
from hobbyclosure.fields import FIELDS
from hobbyclosure.graph import CHECKS
from hobbyclosure.rings import Fit

TRIED = 8  # of the rings that suit the bore best
POINTS = 49  # floors looked at, a third of the section either way of the chart's
STEP = 1e-5  # m: what a groove is cut to
GOOD = ("meets", "close")


@attrs.frozen
class Groove:
    """A ring with its groove: the stops that taking them makes, and why they cannot be taken."""

    fit: Fit
    breaks: tuple[str, ...] = ()
    refused: str = ""

    @property
    def poor(self) -> tuple[bool, int, float]:
        """What puts a groove behind another."""
        return bool(self.refused), len(self.breaks), -self.fit.room


@cache
def of_floor(ring: str) -> tuple[str, ...]:
    """The checks of a ring that its groove's floor has a say in."""
    name = FIELDS[f"seal.{ring}.groove_diameter"].name
    own = (c for c in CHECKS.values() if c.id.startswith(f"seal.{ring}.") and c.gravest == "stop")
    return tuple(c.id for c in own if name in behind(c))


def changes(ring: str, fit: Fit) -> dict[str, Any]:
    """What taking a ring with its groove changes of a design."""
    at = f"seal.{ring}"
    return {
        f"{at}.ring": fit.key, f"{at}.ring_id": None, f"{at}.ring_cs": None,
        f"{at}.groove_diameter": round(fit.floor / STEP) * STEP,
        f"{at}.groove_width": round(fit.width / STEP) * STEP,
    }  # fmt: skip


def grooves(assessment: Assessment, ring: str, fitted: str, most: int) -> list[Groove]:
    """The grooves that do least harm, the best fit first; the fitted ring's is among them."""
    found = rings.grooves_for_rings(assessment.inputs, ring, fitted, TRIED)
    tried = sorted((_judged(assessment, ring, fit) for fit in found), key=lambda g: g.poor)
    kept = tried[:most]
    own = next((g for g in tried if g.fit.key == fitted), None)
    return kept if own is None or own in kept else [*kept[:-1], own]


def groove(assessment: Assessment, ring: str, key: str) -> Groove:
    """The same for one ring."""
    return _judged(assessment, ring, rings.groove_for_ring(assessment.inputs, ring, key))


def _judged(assessment: Assessment, ring: str, fit: Fit) -> Groove:
    """The chart's groove, or where that breaks something one whose floor does not."""
    taken = _taken(assessment.design, changes(ring, fit))
    if isinstance(taken, str):
        return Groove(fit, refused=taken)
    after = succeeding(assessment, taken)
    broken = _breaks(assessment, after, ring)
    if not broken:
        return Groove(fit)
    floor = _floor_that_meets(assessment, after, ring, fit)
    if floor is None:
        return Groove(fit, broken)
    moved = rings.moved_to(assessment.inputs, ring, fit, floor)
    taken = _taken(assessment.design, changes(ring, moved))
    if isinstance(taken, str) or _breaks(assessment, succeeding(after, taken), ring):
        return Groove(fit, broken)
    return Groove(moved)


def _taken(design: Design, new: Mapping[str, Any]) -> Design | str:
    """The design with a groove, or why its geometry does not allow it."""
    try:
        return design.evolved(new)
    except DesignError as error:
        return str(error)


def _asked(before: Assessment, ring: str) -> set[str]:
    """The checks that a groove is to meet: those of its floor, and all that met before."""
    bad = {id for id, state in before.counted.items() if state not in GOOD}
    return {*of_floor(ring), *(id for id in CHECKS if id not in bad)}


def _breaks(before: Assessment, after: Assessment, ring: str) -> tuple[str, ...]:
    """What counts and is short of what is asked, the shortest first."""
    asked, ratios = _asked(before, ring), after.ratios
    new = [id for id, state in after.counted.items() if state not in GOOD and id in asked]
    return tuple(sorted(new, key=lambda id: float(np.nan_to_num(ratios[id], nan=-1.0))))


def _floor_that_meets(before: Assessment, after: Assessment, ring: str, fit: Fit) -> float | None:
    """The middle of the floors next to the chart's at which nothing asked for is short."""
    half = seals.ALL[fit.key].cs / 3
    grid = np.linspace(fit.floor - half, fit.floor + half, POINTS)
    swept = study.swept(after, f"seal.{ring}.groove_diameter", grid)
    asked = _asked(before, ring)
    lines = study.counted({id: y for id, y in swept.items() if id in asked})
    spans = study.meets(grid, lines)
    if not spans:
        return None
    low, high = min(spans, key=lambda s: max(s[0] - fit.floor, fit.floor - s[1]))
    return round((low + high) / 2 / STEP) * STEP
