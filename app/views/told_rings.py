"""What the list of rings is told: rings for a groove, or a groove for each ring."""

from typing import Any

import numpy as np

from app.views.told import Scene
from hobbyclosure import rings
from hobbyclosure.checks.each import at
from hobbyclosure.graph import CHECKS
from hobbyclosure.grooves import Groove
from hobbyclosure.grooves import grooves as tried
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
    judged = _grooves(scene, ring, fitted) if grooves else []
    found = [groove.fit for groove in judged] or _rings(scene, ring, fitted, order)
    low, high = (100 * float(inputs[f"loads_squeeze_{e}"]) for e in ("least", "most"))
    stretch = 100 * float(inputs["loads_stretch_most"])
    key = str(scene.shown.design[f"seal.{ring}.compound"].value)
    compound = scene.shown.design.compound(ring)
    none = all(_fault(groove) for groove in judged) and all(fit.room < 0 for fit in found)
    return {
        "title": "Grooves for rings" if grooves else "Rings that fit",
        "turn": "Rings that fit" if grooves else "Grooves for rings",
        "none": "None fits. Closest:" if none else "",
        "refused": scene.refused.get(f"seal.{ring}.ring", ""),
        "scales": [
            {"low": 0, "high": round(high + 5), "wanted": [low, high],
             "ticks": [0, trimmed(low, 1), trimmed(high, 1)]},
            {"low": -4, "high": round(stretch + 3), "wanted": [0, stretch],
             "ticks": [0, trimmed(stretch, 1)]},
        ],
        "rows": [
            _row(scene, fit, fitted, groove, (low, high, stretch))
            for fit, groove in zip(found, judged or [None] * len(found), strict=True)
        ],
        "compound": f"{key}, {float(inputs[at('seal_durometer', ring)]):.0f} Shore",
        "range": _range(compound, scene.system),
    }  # fmt: skip


def _rings(scene: Scene, ring: str, fitted: str, order: tuple[str, ...]) -> list[rings.Fit]:
    """Rings for the groove; held in order during a drag."""
    inputs = scene.shown.assessment.inputs
    found = rings.rings_that_fit(inputs, ring, fitted, 40 if scene.held else ROWS)
    kept = {fit.key: fit for fit in found}
    if scene.held and order and all(key in kept for key in order):
        found = [kept[key] for key in order]
    return found[:ROWS]


def _grooves(scene: Scene, ring: str, fitted: str) -> list[Groove]:
    """A groove for each ring; each is a whole design, so none is tried while a hand drags."""
    name = f"grooves {ring}"
    if scene.held and name in scene.memory:
        return scene.memory[name][1]
    shown = scene.shown
    return scene.once(name, lambda: tried(shown.assessment, ring, fitted, ROWS), shown)


def _fault(groove: Groove) -> str:
    """What taking a groove would spoil, in a word or two."""
    if groove.refused:
        return "does not go"
    if not groove.breaks:
        return ""
    return f"short: {CHECKS[groove.breaks[0]].brief}"


def _range(compound: Any, system: str) -> str:
    unit = "degF" if system == "inch" else "degC"
    low, high = (float(from_si(x.value, unit, "K")) for x in (compound.low, compound.high))
    text = f"{low:.0f} to {high:.0f} °{unit[-1]}"
    return text.replace("-", "−")


def _row(
    scene: Scene, fit: rings.Fit, fitted: str, groove: Groove | None, limits: tuple[float, ...]
) -> dict[str, Any]:
    low, high, most = limits
    squeezes = [100 * x for x in (fit.squeezes[0], fit.squeeze, fit.squeezes[1])]
    stretches = [100 * x for x in (fit.stretches[0], fit.stretch, fit.stretches[1])]
    bad = [squeezes[0] < low or squeezes[2] > high, stretches[0] < 0 or stretches[2] > most]
    floor, width = scene.length(fit.floor), scene.length(fit.width)
    note, told = fit.note, fit.note
    if groove:
        told = note = f"⌀ {floor}, {width} wide"
        fault = _fault(groove)
        more = groove.refused or ", ".join(CHECKS[id].label for id in groove.breaks[1:])
        note, told = fault or note, ", ".join(text for text in (note, fault, more) if text)
    aloud = (
        f"{fit.label}, {told or 'from the list'}: squeeze {squeezes[0]:.1f} to {squeezes[2]:.1f} "
        f"per cent, stretch {stretches[0]:.1f} to {stretches[2]:.1f} per cent"
    )
    return {
        "key": fit.key, "label": fit.label, "note": note, "on": fit.key == fitted,
        "squeeze": [round(x, 2) for x in squeezes], "stretch": [round(x, 2) for x in stretches],
        "bad": bad, "aloud": aloud,
    }  # fmt: skip
