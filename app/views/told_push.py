"""What the view of pushing in is told: the force along the way in, and the drawing over it."""

from collections.abc import Mapping
from typing import Any

import numpy as np

from app.views.told import Scene
from hobbyclosure.push import Push, push_curve, push_drawing
from hobbyclosure.units import from_si, trimmed

MM = 1e3
BEYOND = 4.0  # mm of tube drawn past home
MARKED = {"meets": "chamfer", "holes": "holes", "home": "home"}


def push(scene: Scene) -> dict[str, Any]:
    """Force against the primary ring's place from the tube's end, in the reader's unit."""
    values, system = scene.shown.assessment.values, scene.system
    return scene.once("push", lambda: _push(values, system), scene.shown, system)


def _push(values: Mapping[str, Any], system: str) -> dict[str, Any]:
    found, drawn = push_curve(values), push_drawing(values)
    unit, places = ("lbf", 0) if system == "inch" else ("kN", 2)
    force = np.asarray(from_si(found.force, unit, "N"))
    peak = float(force.max())
    counted = float(from_si(float(values["seal_push_force"]), unit, "N"))
    said = f"peak {peak:.{places}f} {unit}"
    if round(counted, places) > round(peak, places):  # all rings at once, as on no way in
        said += f", {counted:.{places}f} in the check"
    tick = _tick(peak)
    spans = found.spans
    doing = [next((words for a, b, words in spans if x < b), spans[-1][2]) for x in found.x]
    return {
        "xs": np.round(MM * found.x, 3).tolist(),
        "end": MM * found.home + BEYOND, "start": MM * found.peak_at,
        "force": np.round(force, 4).tolist(),
        "words": doing, "unit": unit, "places": places,
        "top": max(1.12 * peak, 1e-3), "tick": tick, "tickText": trimmed(tick, places),
        "zeroText": f"0 {unit}", "peak": round(peak, 4), "peakAt": MM * found.peak_at,
        "peakText": said, "marks": _marks(found),
        "tall": drawn["top"],
        "tube": [_shape("metal", p) for p in (*drawn["tube"], *drawn["liner"])],
        "closure": [_shape("metal", p) for p in drawn["closure"]],
        "rings": [
            {"free": r["free"], "squeezed": r["squeezed"], "meets": float(r["meets"]),
             "in": float(r["in"])}
            for r in drawn["rings"]
        ],
    }  # fmt: skip


def _tick(peak: float) -> float:
    """A round force below the peak."""
    if not peak > 0:
        return 1.0
    power = 10.0 ** np.floor(np.log10(peak))
    return float(max(m * power for m in (1, 2, 3, 5) if m * power <= peak))


def _marks(found: Push) -> list[list[Any]]:
    """Where the primary ring meets chamfer and holes, and home."""
    out = [
        [MM * float(mark.x), MARKED[mark.what]]
        for mark in found.marks
        if mark.what in MARKED and mark.ring in ("primary", "")
    ]
    seen: set[str] = set()
    return [m for m in out if not (m[1] in seen or seen.add(m[1]))]


def _shape(kind: str, points: list[tuple[float, float]]) -> dict[str, Any]:
    return {"kind": kind, "points": points, "closed": True}
