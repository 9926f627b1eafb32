"""What each view of the Hold page is told: plain data made from a scene, nothing kept."""

from itertools import groupby
from typing import Any

import attrs
import numpy as np
from numpy.typing import NDArray

from app.session import Shown
from app.views import axis as axes
from app.views.axis import Axis
from hobbyclosure import drawing, study, svg, words
from hobbyclosure.graph import CHECKS, Check
from hobbyclosure.units import LENGTH, from_si, shown_value

RUNGS = 6
SECTION = END_VIEW = (437, 362)
GRAVITY = ("stop", "look", "know")
Curves = dict[str, NDArray[np.float64]]


@attrs.frozen(slots=False)
class Scene:
    """Everything one redraw shows: the design, what is compared or previewed, and the axes."""

    shown: Shown
    system: str
    axes: dict[str, Axis]
    five: list[str]
    warnings: list[words.Warning]
    ladder_top: float
    held: bool = False
    preview: study.Remedy | None = None
    previewed: Shown | None = None
    kept: Shown | None = None
    refused: dict[str, str] = attrs.field(factory=dict)

    def swept(self, path: str, shown: Shown | None = None) -> Curves:
        """Factor over required of every check along an axis."""
        inputs = (shown or self.shown).assessment.inputs
        return study.sweep(inputs, path, self.axes[path].grid)

    def pressure(self, value: float) -> float | None:
        """A pressure in the reader's unit, for a picture; no answer is null."""
        return None if np.isnan(value) else float(from_si(value, self.unit, "Pa"))

    @property
    def unit(self) -> str:
        """The reader's unit of pressure."""
        return "psi" if self.system == "inch" else "MPa"


# ---- plots


def curves(axis: Axis, swept: Curves) -> dict[str, Any]:
    """Every line of a plot."""
    lines = [
        {
            "id": id,
            "name": CHECKS[id].label,
            "part": colour(CHECKS[id]),
            "dash": dash(CHECKS[id]),
            "y": milli(y),
        }
        for id, y in swept.items()
        if not np.all(np.isnan(y))
    ]
    return {"xs": [round(axis.shown(x), 5) for x in axis.grid], "lines": lines}


def plot(scene: Scene, path: str, swept: Curves) -> dict[str, Any]:
    """What of a plot may change on a move, its curves apart."""
    axis, a = scene.axes[path], scene.shown.assessment
    value = study.now(a, path)
    spans = (study.whole_meets if axis.whole else study.meets)(axis.grid, list(swept.values()))
    rest = words.rest(path, spans, axis.grid, scene.system)
    return {
        "value": round(axis.shown(value), 6),
        "text": axis.text(value),
        "note": axes.note(axis, value, float(a.values["loads_peak"])),
        "five": [i for i in scene.five if not np.isnan(a.ratios[i])],
        "now": {i: ratio(r) for i, r in a.ratios.items()},
        "meets": [[axis.shown(low), axis.shown(high)] for low, high in spans],
        "slot": slot(scene, rest, [w for w in scene.warnings if w.slot == path]),
        "refused": scene.refused.get(path),
        "kept": kept(scene, path),
        "ghost": ghost(scene, path),
    }


def slot(scene: Scene, rest: str, here: list[words.Warning]) -> dict[str, Any]:
    """The message of a plot: its gravest warning, or its resting sentence."""
    grave = [w for w in here if w.level != "know"]
    if not grave:
        return {"level": None, "text": rest, "more": len(here)}
    worst = min(grave, key=lambda w: GRAVITY.index(w.level))
    r = worst.remedy
    fix = r and {
        "text": words.field_value(r.path, r.value, scene.system),
        "effect": f"fixes {r.fixes}, breaks {r.breaks}",
        "on": r == scene.preview,
    }
    return {
        "level": worst.level,
        "check": worst.check,
        "text": worst.text,
        "evidence": worst.evidence,
        "fix": fix,
        "more": len(here) - 1,
    }


def kept(scene: Scene, path: str) -> dict[str, Any] | None:
    """The kept design in a plot: its place and its lines."""
    if scene.kept is None:
        return None
    axis, swept = scene.axes[path], scene.swept(path, scene.kept)
    at = study.now(scene.kept.assessment, path)
    lines = {i: milli(swept[i]) for i in scene.five}
    return {"value": axis.shown(at) if axis.holds(at) else None, "lines": lines}


def ghost(scene: Scene, path: str) -> dict[str, Any] | None:
    """A remedy in preview: its handle on its own plot, the governing line on the others."""
    r, changed = scene.preview, scene.previewed
    if r is None or changed is None or not scene.five:
        return None
    axis, ratios = scene.axes[path], changed.assessment.ratios
    if r.path != path:
        return {
            "value": None,
            "text": "",
            "dots": {},
            "line": milli(scene.swept(path, changed)[scene.five[0]]),
        }
    on = axis.holds(r.value)
    return {
        "value": axis.shown(r.value) if on else None,
        "text": axis.text(r.value),
        "dots": {i: ratio(ratios[i]) for i in scene.five} if on else {},
        "line": None,
    }


# ---- ladder, drawings, verdict


def ladder(scene: Scene) -> dict[str, Any]:
    """The rungs, lowest first, and their scale."""
    high = float(from_si(scene.ladder_top, scene.unit, "Pa"))
    ticks = np.arange(0, high + 1e-9, axes.nice(high / 5)).tolist()
    values = scene.shown.assessment.values
    lines = {
        word: {
            "at": scene.pressure(float(values[name])),
            "text": f"{word} {words.pressure(float(values[name]), scene.system, unit=False)}",
        }
        for word, name in (("MEOP", "loads_meop"), ("proof", "loads_proof"))
    }
    return {
        "rungs": [rung(scene, r) for r in scene.shown.ladder[:RUNGS]],
        "meop": lines["MEOP"],
        "proof": lines["proof"],
        "hi": high,
        "ticks": [round(x, 6) for x in ticks],
        "unit": scene.unit,
        "title": "What lets go first",
        "held": scene.held,
    }


def rung(scene: Scene, r: study.Rung) -> dict[str, Any]:
    """One way to let go; beside it the kept and the previewed design's own pressure."""

    def other(shown: Shown | None) -> float | None:
        found = next((o for o in shown.ladder if o.check is r.check), None) if shown else None
        if found is None or np.isnan(found.pressure):
            return None
        moved = not abs(found.pressure - r.pressure) <= 0.002 * r.pressure
        return scene.pressure(found.pressure) if moved else None

    return {
        "id": r.check.id if r.check else "case.other_end_holds",
        "name": r.check.label if r.check else "other end",
        "outcome": r.check.outcome if r.check else other_end(scene.shown, r),
        "part": colour(r.check) if r.check else "case",
        "at": scene.pressure(r.pressure),
        "text": words.pressure(r.pressure, scene.system, unit=False),
        "wanted": None if r.wanted is None else scene.pressure(r.wanted),
        "state": r.state,
        "either": r.either,
        "kept": other(scene.kept),
        "ghost": other(scene.previewed),
    }


def other_end(shown: Shown, rung: study.Rung) -> str:
    """Outcome of the other end's rung."""
    first = next((r for r in shown.ladder if r.check), None)
    wished = first is None or rung.pressure <= first.pressure
    return "lets go first, as wished" if wished else "holds longer than this end"


def pictures(scene: Scene) -> tuple[dict[str, Any], dict[str, Any]]:
    """Section and end view."""
    v = scene.shown.assessment.inputs
    past = scene.kept.assessment.inputs if scene.kept else None

    def fmt(length: float) -> str:
        return shown_value(length, LENGTH, scene.system, unit=False)

    section = svg.svg(
        drawing.section(v),
        *SECTION,
        marks=marks(scene),
        kept=drawing.section(past) if past else None,
        fmt=fmt,
        prefix="s-",
    )
    end = svg.svg(
        drawing.end_view(v),
        *END_VIEW,
        kept=drawing.end_view(past) if past else None,
        fmt=fmt,
        prefix="e-",
    )
    return {"svg": section}, {"svg": end}


def marks(scene: Scene) -> list[Any]:
    """A mark at its place for what is wrong; what is only to be known stays out."""
    spots = drawing.places(scene.shown.assessment.inputs)
    out = []
    for w in scene.warnings:
        if w.level == "know" or not w.check:
            continue
        path = w.check.replace("prove.", f"{colour(CHECKS[w.check])}.").split(".")
        names = [".".join(path[:n]) for n in range(len(path), 0, -1)]
        spot = next((spots[n] for n in names if n in spots), spots["loads"])
        out.append((w.level, *spot, w.check))
    return out


def verdict(scene: Scene) -> dict[str, Any]:
    """The sentence, its state, and what stands beside it."""
    said = words.verdict(scene.shown.assessment, scene.system)
    levels = sorted((w.level for w in scene.warnings), key=GRAVITY.index)
    beside = ", ".join(f"{len(list(group))} {level}" for level, group in groupby(levels))
    if "stop" not in levels and scene.five:
        closest = scene.five[0]
        ratio_now = scene.shown.assessment.ratios[closest]
        beside = f"Closest: {CHECKS[closest].label}, {ratio_now:.2f} × what is wanted"
    return {
        "bold": said.bold,
        "plain": said.plain,
        "state": said.state,
        "more": [beside, words.ESTIMATE],
    }


# ---- small words


def milli(ratios: NDArray[np.float64]) -> list[int | None]:
    """Factor over required in thousandths; no answer is null, and what is far off is cut."""
    cut = np.rint(np.nan_to_num(np.clip(ratios, -9, 9), nan=-99) * 1000).astype(int).tolist()
    return [None if y == -99000 else y for y in cut]


def ratio(value: float) -> float | None:
    """One factor over required; no answer is null."""
    return None if np.isnan(value) else round(value, 4)


def colour(check: Check) -> str:
    """The part whose colour a check bears; a proof check bears that of what it proves."""
    return check.remedy[0].split(".")[0] if check.part == "prove" else check.part


def dash(check: Check) -> str:
    """Dash of a check's line within its part."""
    if check.part == "prove":
        return "second"
    last = check.id.split(".")[-1]
    return last if last in ("yield", "limit") else "solid"
