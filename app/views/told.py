"""What each view of the Hold page is told: plain data made from a scene."""

import base64
from collections.abc import Callable
from itertools import groupby
from typing import Any

import attrs
import numpy as np
from numpy.typing import NDArray

from app.session import Shown
from app.views import axis as axes
from app.views.axis import Axis
from hobbyclosure import study, words
from hobbyclosure.assess import alike
from hobbyclosure.design import Design, DesignError
from hobbyclosure.graph import CHECKS, Check
from hobbyclosure.phrases import reached
from hobbyclosure.units import LENGTH, from_si, shown_value

RUNGS = 6
FIVE = 5  # lines of a plot that are named
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
    kept_said: str = ""
    memory: dict[str, tuple[tuple[Any, ...], Any]] = attrs.field(factory=dict)
    raw: bool = False  # factors as they are, not over what is required
    selected: str | None = None  # the part whose fields are open
    refused: dict[str, str] = attrs.field(factory=dict)
    clash: DesignError | None = None  # what was refused for its geometry, to be drawn
    sizes: dict[str, tuple[int, int]] = attrs.field(factory=dict)  # of the pictures' cells
    before: Design | None = None  # what undo goes back to

    def swept(self, path: str, shown: Shown | None = None) -> Curves:
        """Factor over required of every check along an axis."""
        return self.swept_along(self.axes[path], shown)

    def swept_along(self, axis: Axis, shown: Shown | None = None) -> Curves:
        """The same along any axis; the very same as before where only its own field moved."""
        if shown is not None:
            return study.swept(shown.assessment, axis.path, axis.grid)
        assessment, name = self.shown.assessment, f"swept {axis.path}"
        inputs = study.moved(assessment.inputs, axis.path, axis.grid)
        about, found = self.memory.get(name, ((), None))
        if not about or about[0] is not axis or not alike(about[1], inputs):
            found = study.swept(assessment, axis.path, axis.grid)
            self.memory[name] = ((axis, inputs), found)
        return found

    def once(self, name: str, make: Callable[[], Any], *about: Any) -> Any:
        """Something that is made anew only when what it is about is another object."""
        found = self.memory.get(name)
        if found is None or any(a is not b for a, b in zip(found[0], about, strict=True)):
            found = self.memory[name] = (about, make())
        return found[1]

    def required(self, id: str, shown: Shown | None = None) -> float:
        """What the plots' numbers of a check are in parts of: 1, or with raw factors its factor."""
        return float((shown or self.shown).assessment.results[id].required) if self.raw else 1.0

    def pressure(self, value: float) -> float | None:
        """A pressure in the reader's unit, for a picture; no answer is null."""
        return None if np.isnan(value) else float(from_si(value, self.unit, "Pa"))

    def length(self, value: float) -> str:
        """A length in the reader's unit, for a picture."""
        return shown_value(value, LENGTH, self.system, unit=False)

    @property
    def length_unit(self) -> str:
        """The reader's unit of length."""
        return LENGTH.shown(self.system).label

    @property
    def first_ones(self) -> list[study.Rung]:
        """What lets go first at this end, with what cannot be told from it."""
        rungs = [r for r in self.shown.ladder if r.check and not np.isnan(r.pressure)]
        return [r for r in rungs if r.pressure < study.NEAR * rungs[0].pressure]

    @property
    def first(self) -> study.Rung | None:
        """What lets go first at this end."""
        return study.first(self.shown.ladder)

    @property
    def unit(self) -> str:
        """The reader's unit of pressure."""
        return "psi" if self.system == "inch" else "MPa"


# ---- plots


def lowest(shown: Shown) -> list[str]:
    """The five lowest lines; what has no answer has none."""
    a = shown.assessment
    found = study.ranked(a, looks=True)
    return [c.id for c in found if not np.isnan(a.ratios[c.id])][:FIVE]


def frame(axis: Axis, first: bool, raw: bool) -> dict[str, Any]:
    """What of a plot stays on a move: its axis, and how the line of each check is drawn."""
    return {"frame": axis.frame(first, raw) | {"names": NAMES}}


def lines(scene: Scene, swept: Curves) -> dict[str, Any]:
    """Every line of a plot that is seen on it, as a browser takes them."""
    return curves(seen(scene, swept), scaled(scene)["yhi"])


def seen(scene: Scene, swept: Curves) -> Curves:
    """The lines of a plot that are seen on it."""
    top, five = 1.05 * scaled(scene)["yhi"], set(scene.five)  # above it a line is not seen
    drawn = {id: y * scene.required(id) for id, y in swept.items()} if scene.raw else swept
    low = np.any(np.array([*drawn.values()]) < top, axis=1)
    return {id: y for (id, y), on in zip(drawn.items(), low, strict=True) if on or id in five}


def curves(lines: Curves, high: float) -> dict[str, Any]:
    """Lines as a browser takes them: 16-bit ten-thousandths of the plot's height, row by row."""
    rows = np.clip(np.array([*lines.values()]) * (1e4 / high), -FARTHEST, FARTHEST)
    whole = np.nan_to_num(np.rint(rows), nan=GAP).astype("<i2")
    return {"ids": [*lines], "ys": base64.b64encode(whole.tobytes()).decode()}


FARTHEST, GAP = 32000, -32768


def spans_of(scene: Scene, axis: Axis, swept: Curves) -> list[tuple[float, float]]:
    """Where the whole design meets along an axis it has been swept along."""
    return scene.once(f"spans {axis.path}", lambda: _spans(scene, axis, swept), axis, swept)


def _spans(scene: Scene, axis: Axis, swept: Curves) -> list[tuple[float, float]]:
    if axis.whole:
        return study.whole_meets(axis.grid, study.counted(swept))
    a = scene.shown.assessment

    def anew(grid: NDArray[np.float64]) -> list[NDArray[np.float64]]:
        return study.counted(study.swept(a, axis.path, grid))

    return study.meets(axis.grid, study.counted(swept), anew)


def scaled(scene: Scene) -> dict[str, Any]:
    """How tall the plots are and what is marked on them."""
    return axes.RAW if scene.raw else axes.OVER_REQUIRED


def plot(scene: Scene, path: str, swept: Curves) -> dict[str, Any]:
    """What of a plot may change on a move, its curves apart."""
    axis, a = scene.axes[path], scene.shown.assessment
    value = study.now(a, path)
    spans = spans_of(scene, axis, swept)
    rest = words.rest(path, spans, axis.grid, scene.system)
    return {
        "value": round(axis.shown(value), 6),
        "text": axis.text(value),
        "note": axes.note(axis, value, float(a.values["loads_peak"])),
        "five": [i for i in scene.five if not np.isnan(a.ratios[i])],
        "now": {i: ratio(a.ratios[i] * scene.required(i)) for i in scene.five},
        "required": {i: scene.required(i) for i in scene.five} if scene.raw else {},
        "meets": [[axis.shown(low), axis.shown(high)] for low, high in spans],
        "slot": beside(
            scene, path, slot(scene, rest, [w for w in scene.warnings if w.slot == path])
        ),
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
    r = words.with_remedy(scene.shown.assessment, worst, scene.system).remedy
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


def beside(scene: Scene, path: str, slot: dict[str, Any]) -> dict[str, Any]:
    """A plot's message, after what its last move did to a measurement."""
    said = dropped(scene.before, scene.shown.design, path, scene.system)
    return {**slot, "text": f"{said} {slot['text']}"} if said else slot


def dropped(before: Design | None, now: Design, path: str, system: str) -> str:
    """Said when the last change gave a measured field a new nominal."""
    if before is None:
        return ""
    was, entry = before[path], now[path]
    if was.measured is None or entry.measured is not None or entry.value == was.value:
        return ""
    return f"Measured {shown_value(was.measured, LENGTH, system)} set aside: Undo brings it back."


def switch(scene: Scene) -> dict[str, Any]:
    """The plots by name, each with the level of its gravest warning."""
    grave = [(w.slot, w.level) for w in scene.warnings if w.level != "know"]
    return {
        "plots": [
            {
                "field": path,
                "title": axis.title,
                "level": min((level for at, level in grave if at == path),
                             key=GRAVITY.index, default=None),
            }
            for path, axis in scene.axes.items()
        ]
    }  # fmt: skip


def kept(scene: Scene, path: str) -> dict[str, Any] | None:
    """The kept design in a plot: its place and its lines."""
    if scene.kept is None:
        return None
    past, axis = scene.kept, scene.axes[path]
    swept = scene.once(path, lambda: scene.swept(path, past), past, axis)
    at = study.now(past.assessment, path)
    lines = {i: swept[i] * scene.required(i, past) for i in scene.five}
    return {
        "value": axis.shown(at) if axis.holds(at) else None,
        **curves(lines, scaled(scene)["yhi"]),
    }


def ghost(scene: Scene, path: str) -> dict[str, Any] | None:
    """A remedy in preview: its handle on its own plot, the governing line on the others."""
    r, changed = scene.preview, scene.previewed
    if r is None or changed is None or not scene.five:
        return None
    axis, ratios = scene.axes[path], changed.assessment.ratios
    if r.path != path:
        first = scene.five[0]
        line = milli(scene.swept(path, changed)[first] * scene.required(first, changed))
        return {"value": None, "text": "", "dots": {}, "line": line}
    on = axis.holds(r.value)
    return {
        "value": axis.shown(r.value) if on else None,
        "text": axis.text(r.value),
        "dots": {i: ratio(ratios[i] * scene.required(i, changed)) for i in scene.five}
        if on
        else {},
        "line": None,
    }


# ---- ladder, verdict


def ladder_top(shown: Shown) -> float:
    """Where the ladder's scale ends, Pa."""
    return 4.2 * float(shown.assessment.values["loads_meop"])


def ladder_holds(shown: Shown, top: float) -> bool:
    """Whether a scale that ends there reaches MEOP and proof and is not far too long for them."""
    values = shown.assessment.values
    return float(values["loads_proof"]) <= top <= 20 * float(values["loads_meop"])


def ladder(scene: Scene) -> dict[str, Any]:
    """The rungs, lowest first, and their scale."""
    high = float(from_si(scene.ladder_top, scene.unit, "Pa"))
    ticks = np.arange(0, high + 1e-9, axes.nice(high / 5)).tolist()
    values = scene.shown.assessment.values
    lines = {
        word: {
            "at": scene.pressure(float(values[name])),
            "text": f"{word} {said(float(values[name]), scene.system, unit=False)}",
        }
        for word, name, said in (
            ("MEOP", "loads_meop", words.pressure),
            ("proof", "loads_proof", reached),
        )
    }
    return {
        "rungs": [rung(scene, r) for r in scene.shown.ladder[:RUNGS]],
        "meop": lines["MEOP"],
        "proof": lines["proof"],
        "hi": high,
        "ticks": [round(x, 6) for x in ticks],
        "unit": scene.unit,
        "title": "What lets go first",
        "note": "≈ weak basis",
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

    assessment = scene.shown.assessment
    weak = bool(r.check) and assessment.evidence(r.check) == "weak" and not np.isnan(r.pressure)
    return {
        "id": r.check.id if r.check else study.OTHER_END,
        "name": r.check.label if r.check else "other end",
        "outcome": r.check.outcome if r.check else words.other_end(assessment, r),
        "part": colour(r.check) if r.check else "case",
        "at": scene.pressure(r.pressure),
        "text": ("≈" if weak else "") + words.pressure(r.pressure, scene.system, unit=False),
        "wanted": None if r.wanted is None else scene.pressure(r.wanted),
        "state": r.state,
        "either": r.either,
        "kept": other(scene.kept),
        "ghost": other(scene.previewed),
    }


def verdict(scene: Scene) -> dict[str, Any]:
    """The sentence, its state, and what stands beside it."""
    said = words.verdict(scene.shown.assessment, scene.system)
    levels = sorted((w.level for w in scene.warnings), key=GRAVITY.index)
    beside = ", ".join(f"{len(list(group))} {level}" for level, group in groupby(levels))
    a = scene.shown.assessment
    counted = [c for c in study.ranked(a) if not np.isnan(a.ratios[c.id])]
    if "stop" not in levels and counted:
        beside = f"Closest: {counted[0].brief}, {a.ratios[counted[0].id]:.2f} × wanted"
    lower = words.lower(a, scene.system)
    return {
        "bold": said.bold,
        "plain": said.plain,
        "state": said.state,
        "aloud": " ".join(scene.refused.values()),
        "more": [lower or beside] + [words.ESTIMATE] * (not (lower and scene.kept_said)),
        "kept": scene.kept_said,
    }


# ---- small words


def cell(size: Any) -> tuple[int, int] | None:
    """Size of a picture's cell as a browser reported it, within reason."""
    try:
        width, height = (min(max(int(x), 120), 1600) for x in size)
    except (TypeError, ValueError, OverflowError):
        return None
    return width, height


ENDLESS = 1e6


def milli(ratios: NDArray[np.float64], most: float = 9) -> list[int | None]:
    """Heights in thousandths; no answer is null, what is far off is cut."""
    cut = np.rint(np.clip(ratios, -most, most) * 1000)
    return [None if y != y else int(y) for y in cut.tolist()]


def ratio(value: float) -> float | None:
    """One factor over required; no answer is null, what is endless is only large."""
    return None if np.isnan(value) else round(min(value, ENDLESS), 4)


def colour(check: Check) -> str:
    """The part whose colour a check bears; a proof check bears that of what it proves."""
    return check.remedy[0].split(".")[0] if check.part == "prove" else check.part


def dash(check: Check) -> str:
    """Dash of a check's line within its part."""
    if check.part == "prove":
        return "second"
    last = check.id.split(".")[-1]
    return last if last in ("yield", "limit") else "solid"


# How the line of each check is drawn: name, part, dash, whether it is no more than a look.
NAMES = {
    id: (check.brief, colour(check), dash(check), check.gravest == "look")
    for id, check in CHECKS.items()
}
