"""What the list of rings is told: rings for a groove, or a groove for each ring."""

from typing import Any

import numpy as np

from app.views.told import Scene
from hobbyclosure import rings
from hobbyclosure.checks.each import at
from hobbyclosure.units import from_si, trimmed

ROWS = 5


def percent(share: Any, digits: int = 1) -> str:
    """A share as a reader sees it."""
    value = 100 * float(share)
    return "no answer" if np.isnan(value) else f"{trimmed(value, digits)} %".replace("-", "−")


def rings_list(scene: Scene, ring: str, grooves: bool, order: tuple[str, ...]) -> dict[str, Any]:
    """Rings for the groove, or a groove for each ring, ranked; held in order during a drag."""
    inputs = scene.shown.assessment.inputs
    fitted = str(scene.shown.design[f"seal.{ring}.ring"].value)
    find = rings.grooves_for_rings if grooves else rings.rings_that_fit
    found = find(inputs, ring, fitted, 40 if scene.held else ROWS)
    kept = {fit.key: fit for fit in found}
    if scene.held and order and all(key in kept for key in order):
        found = [kept[key] for key in order]
    found = found[:ROWS]
    low, high = (100 * float(inputs[f"loads_squeeze_{e}"]) for e in ("least", "most"))
    stretch = 100 * float(inputs["loads_stretch_most"])
    key = str(scene.shown.design[f"seal.{ring}.compound"].value)
    compound = scene.shown.design.compound(ring)
    none = all(fit.room < 0 for fit in found)
    return {
        "title": "Grooves for rings" if grooves else "Rings that fit",
        "turn": "Rings for this groove" if grooves else "Grooves for rings",
        "none": "None fits. Closest:" if none else "",
        "refused": scene.refused.get(f"seal.{ring}.ring", ""),
        "scales": [
            {"low": 0, "high": round(high + 5), "wanted": [low, high],
             "ticks": [0, trimmed(low, 1), trimmed(high, 1)]},
            {"low": -4, "high": round(stretch + 3), "wanted": [0, stretch],
             "ticks": [0, trimmed(stretch, 1)]},
        ],
        "rows": [_row(scene, fit, fitted, grooves, (low, high, stretch)) for fit in found],
        "compound": f"{key}, {float(inputs[at('seal_durometer', ring)]):.0f} Shore",
        "range": _range(compound, scene.system),
    }  # fmt: skip


def _range(compound: Any, system: str) -> str:
    unit = "degF" if system == "inch" else "degC"
    low, high = (float(from_si(x.value, unit, "K")) for x in (compound.low, compound.high))
    text = f"{low:.0f} to {high:.0f} °{unit[-1]}"
    return text.replace("-", "−")


def _row(
    scene: Scene, fit: rings.Fit, fitted: str, grooves: bool, limits: tuple[float, ...]
) -> dict[str, Any]:
    low, high, most = limits
    squeezes = [100 * x for x in (fit.squeezes[0], fit.squeeze, fit.squeezes[1])]
    stretches = [100 * x for x in (fit.stretches[0], fit.stretch, fit.stretches[1])]
    bad = [squeezes[0] < low or squeezes[2] > high, stretches[0] < 0 or stretches[2] > most]
    floor, width = scene.length(fit.floor), scene.length(fit.width)
    note = f"⌀ {floor}, {width} wide" if grooves else fit.note
    aloud = (
        f"{fit.label}, {note or 'from the list'}: squeeze {squeezes[0]:.1f} to {squeezes[2]:.1f} "
        f"per cent, stretch {stretches[0]:.1f} to {stretches[2]:.1f} per cent"
    )
    return {
        "key": fit.key, "label": fit.label, "note": note, "on": fit.key == fitted,
        "squeeze": [round(x, 2) for x in squeezes], "stretch": [round(x, 2) for x in stretches],
        "bad": bad, "aloud": aloud,
    }  # fmt: skip
