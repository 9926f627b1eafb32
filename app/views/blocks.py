"""The three blocks under the stair: trace, factors, heat."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from app.session import Session, Shown
from app.views import rows, told
from app.views.curves import seconds
from app.views.rails import Rails
from app.views.stair import MEETS
from app.views.told import Scene
from hobbyclosure import data, study, trace, words
from hobbyclosure.fields import FIELDS
from hobbyclosure.units import TEMPERATURE, from_si, trimmed

TRACE = "loads.trace"  # under which a session tells why a trace was not taken
METAL = ("case.metal_temperature", "closure.metal_temperature")
HINT = "A trace is a CSV file with units in its header: time [s], pressure [bar]. Gauge pressure."
FEW = 10  # runs that say little about scatter
FACTORS = {  # field, name, what it is for
    "loads.proof_base": ("Proof", "water, cold"),
    "loads.proof_yield_factor": ("Yield at proof", "cold metal"),
    "loads.yield_factor": ("Yield", "at MEOP"),
    "loads.proof_bending_factor": ("Bending at proof", "no set"),
    "loads.ultimate_factor": ("Ultimate", "tube, plate, shear"),
    "loads.bending_factor": ("Screw bending", "at MEOP"),
}
BASIS = "practice"  # what each of them rests on, as its field's help says
PRESSURES = ("loads.peak", "loads.hot_day", "loads.scatter", study.MEOP)
MOST_METAL = 61  # points up to the end of the tables


# ---- trace


def traced(scene: Scene, session: Session) -> dict[str, Any]:
    """The block of the trace: message, what can be done, figures."""
    design = scene.shown.design
    runs = design.runs
    top = max(runs, key=lambda r: r.peak) if runs else None
    mark = "from trace" if design.source("loads.peak") else ""
    unit = scene.unit
    peak = words.field_number("loads.peak", float(design["loads.peak"].now or 0), scene.system)
    lines = [["Peak", f"{peak} {unit}", mark or "your own", "loads.peak"]]
    if top:
        lines += [
            ["Rise, 10 to 90 %", seconds(top.rise), "from trace", ""],
            ["Burn, 10 to 10 %", seconds(top.burn), "from trace", ""],
        ]
    return {
        "soft": _named(runs),
        "add": "Add a trace" if not runs else "Add a run",
        "remove": runs[-1].file if runs else "",
        "several": len(runs) > 1,
        "rows": lines,
        "hint": "" if runs else HINT,
        **_trace_message(scene, session),
    }


def _named(runs: tuple[trace.Run, ...]) -> str:
    if not runs:
        return "none yet"
    if len(runs) > 1:
        return f"{trace.count(len(runs))} runs"
    return "its numbers feed the design"


def _trace_message(scene: Scene, session: Session) -> dict[str, Any]:
    """The gravest thing to be said of the traces, and the peak they show if it is not taken."""
    design = scene.shown.design
    runs = design.runs
    below = words.below_trace(design, scene.system)
    found = {"refused": scene.refused.get(TRACE, ""), "level": None, "evidence": "", "take": ""}
    known = [session.samples[r.fingerprint] for r in runs if r.fingerprint in session.samples]
    remarks = [remark for one in known for remark in one.remarks]
    peak = float(design["loads.peak"].now or 0)
    if below:
        top = words.field_number("loads.peak", max(r.peak for r in runs), scene.system)
        return found | {"level": "look", "text": below, "take": f"Peak {top}"}
    if remarks:
        return found | {"level": "look", "text": remarks[-1]}
    if 1 < len(runs) < FEW:
        text = f"Scatter is read from {trace.count(len(runs))} runs only."
        if not design.source("loads.scatter"):
            shown = trimmed(100 * trace.scatter_of(runs), 1)
            stated = trimmed(100 * float(design["loads.scatter"].now or 0), 1)
            text = (f"{trace.count(len(runs)).capitalize()} runs scatter by {shown} %. "
                    f"The stated {stated} % stands.")  # fmt: skip
        return found | {"level": "know", "text": text, "evidence": "practice"}
    if runs:
        return found | {"text": f"{runs[0].file}, {trace.grouped(runs[0].rows)} rows. "
                        "Nothing is smoothed."}  # fmt: skip
    own = words.pressure(peak, scene.system)
    return found | {"text": f"No trace yet. The peak is your own number, {own}."}


# ---- factors


def factors(scene: Scene, proof: dict[str, Any]) -> dict[str, Any]:
    """The block of the factors; `proof` is its step of the stair."""
    values = scene.shown.assessment.values
    cells = [
        {
            "path": path, "name": name, "for": what, "basis": BASIS,
            "text": f"× {trimmed(float(values[FIELDS[path].name]), 3, 1)}",
        }
        for path, (name, what) in FACTORS.items()
    ]  # fmt: skip
    most = max((high for _, high in proof["meets"]), default=None)
    rest = "No proof factor here meets."
    if most is not None:
        beyond = " and beyond" * (most >= proof["hi"])
        rest = f"Meets with proof up to × {np.floor(100 * most + 1e-6) / 100:.2f}{beyond}."
    here = [w for w in scene.warnings if w.check and w.level != "know" and not _is_hot(scene, w)]
    refused = (_refused(scene, path) for path in (*PRESSURES, *FACTORS))
    return {
        "cells": cells,
        "slot": told.slot(scene, rest, here),
        "refused": next((said for said in refused if said), None),
    }


def _refused(scene: Scene, path: str) -> str:
    """Why a number of the stair was not taken."""
    return scene.refused.get(path, "").replace(f"Still {FIELDS[path].label} ", "Still ")


# ---- heat


def _is_hot(scene: Scene, warning: words.Warning) -> bool:
    """Whether a check has no answer because its metal is hotter than its table goes."""
    a = scene.shown.assessment
    return a.states[warning.check] == "no answer" and bool(too_hot(scene.shown))


def too_hot(shown: Shown) -> list[str]:
    """Parts whose metal is hotter than the table of their strength goes."""
    out = []
    for part in ("case", "closure"):
        hot = shown.design.material(part).hot
        at = float(shown.assessment.values[f"{part}_metal_temperature"])
        if hot is None or at > float(hot.T[-1]) + 1e-9:
            out.append(part)
    return out


def heat_frame(scene: Scene) -> dict[str, Any]:
    """What of the rows of metal temperature stays."""
    parts = {FIELDS[path].part for path in METAL}
    found = {r["path"]: r for part in parts for r in rows.frame(scene, part)["rows"]}
    return {"rows": [found[path] for path in METAL]}


def heat(scene: Scene, session: Session, rails: Rails) -> dict[str, Any]:
    """The block of the metal's temperature, with its rails."""
    before = session.past[-1].design if session.past else None
    fields = {path: rows.row(scene, FIELDS[path], rails, before) for path in METAL}
    hot = too_hot(scene.shown)
    level, said = None, f"Meets with metal up to {metal_up_to(scene)}."
    if hot:
        level, said = "look", _beyond(scene, hot[0])
    elif scene.shown.assessment.state not in MEETS:
        said = _coldest(scene)
    return {"fields": fields, "slot": {"level": level, "text": said, "evidence": ""}}


def _beyond(scene: Scene, part: str) -> str:
    material = scene.shown.design.material(part)
    if material.hot is None:
        return f"{material.label} has no table of strength when hot."
    return (f"The table of {material.label} ends at {degrees(scene, float(material.hot.T[-1]))}. "
            "No answer beyond.")  # fmt: skip


def _coldest(scene: Scene) -> str:
    return "Cooler metal alone does not make it meet." if not _hottest(scene) else (
        f"Meets with metal up to {metal_up_to(scene)}."
    )  # fmt: skip


def degrees(scene: Scene, kelvin: float, down: bool = False) -> str:
    """A temperature as spoken: "112 °C"."""
    how = TEMPERATURE.shown(scene.system)
    value = float(from_si(kelvin, how.unit, "K"))
    return f"{np.floor(value + 1e-6) if down else np.round(value):.0f} {how.label}"


def metal_up_to(scene: Scene) -> str:
    """The hottest metal, tube and closure alike, with which the whole design meets."""
    found = _hottest(scene)
    if found is None:
        return "no temperature of its tables"
    end = min(_table_ends(scene))
    tail = ", where its table ends" if found >= end - 0.01 else ""
    return degrees(scene, found, down=True) + tail


def _table_ends(scene: Scene) -> list[float]:
    hot = [scene.shown.design.material(part).hot for part in ("case", "closure")]
    return [float(h.T[-1]) for h in hot if h is not None] or [data.ZERO_CELSIUS + 20]


def _hottest(scene: Scene) -> float | None:
    """The same in K, None where it meets at none."""

    def find() -> float | None:
        grid = np.linspace(data.ZERO_CELSIUS + 20, min(_table_ends(scene)), MOST_METAL)
        for path in METAL:
            grid = study.holding(grid, study.now(scene.shown.assessment, path))

        def lines(along: NDArray[np.float64]) -> list[NDArray[np.float64]]:
            both = {FIELDS[path].name: along for path in METAL}
            inputs = {**scene.shown.assessment.inputs, **both}
            return study.counted(study.sweep(inputs, METAL[0], along))

        spans = study.meets(grid, lines(grid), lines)
        return max((high for _, high in spans), default=None)

    return scene.once("hottest metal", find, scene.shown)
