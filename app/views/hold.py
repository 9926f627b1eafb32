"""The Hold page: what lets go first, as drawings, a ladder and three factor plots."""

from collections.abc import Callable
from itertools import groupby
from typing import Any

import numpy as np
import panel as pn

from app.session import Session, Shown
from app.views import axis as axes
from app.views import leaves
from app.views.axis import Axis
from app.views.base import BarView, LadderView, LeafView, PictureView, PlotView, VerdictView
from hobbyclosure import drawing, study, svg, words
from hobbyclosure.graph import CHECKS, Check
from hobbyclosure.units import LENGTH, from_si, shown_value

PATHS = ("case.wall", "screw.count", study.MEOP)
PAGES = ("Hold",)
RUNGS = 6
FIVE = 5
SECTION, END_VIEW = (437, 362), (437, 362)
GRAVITY = ("stop", "look", "know")


class Hold:
    """The page of one session: its views, and what they are told after each change."""

    def __init__(self, session: Session) -> None:
        self.session = session
        self.axes: dict[str, Axis] = {}
        self.five: list[str] = []
        self.seq = 0
        self._ladder_top = 0.0
        self._sweeps: dict[str, dict[str, np.ndarray]] = {}
        self.bar = BarView(self._bar_heard)
        self.verdict = VerdictView()
        self.section = PictureView(self._heard)
        self.end_view = PictureView(self._heard)
        self.ladder = LadderView(self._heard)
        self.leaf = LeafView(self._heard)
        self.plots = {path: PlotView(self._plot_heard(path)) for path in PATHS}
        for path, plot in self.plots.items():
            plot.param.watch(self._mover(path), "value")
        session.param.watch(self.redraw, ["shown", "system", "preview", "told", "held"])
        session.param.watch(self._tell_bar, ["saved"])
        session.param.watch(self._tell_leaf, ["open", "faults"])
        self.redraw()

    # ---- heard from the browser

    def _mover(self, path: str) -> Callable[[Any], None]:
        def move(event: Any) -> None:
            self.session.move(path, self.axes[path].si(event.new))
            self._answer(path)

        return move

    def _answer(self, path: str) -> None:
        """A move that changed nothing is answered all the same, so that the page may go on."""
        if path in self.session.told:
            self.redraw()

    def _plot_heard(self, path: str) -> Callable[[str, Any], None]:
        def heard(kind: str, payload: Any) -> None:
            if kind == "typed" and isinstance(payload, str):
                self.session.change({path: payload}, tell=path)
                self._answer(path)
            elif kind == "hold":
                self.session.held = bool(payload)
            elif kind == "more":
                self.session.open = (f"warnings:{path}",)
            else:
                self._heard(kind, payload)

        return heard

    def _heard(self, kind: str, payload: Any) -> None:
        session = self.session
        if kind == "preview":
            session.preview = session.remedy(str(payload))
        elif kind == "leave":
            session.preview = None
        elif kind == "take":
            session.take(str(payload))
        elif kind == "open" and leaves.known(str(payload)):
            session.open = (*session.open, str(payload)) if session.open else (str(payload),)
        elif kind == "back":
            session.open = session.open[:-1]
        elif kind == "close":
            session.open = ()
        elif kind == "save" and isinstance(payload, str):
            leaves.save_as(session, payload)

    def _bar_heard(self, kind: str, payload: Any) -> None:
        session = self.session
        if kind == "undo":
            session.undo()
        elif kind == "redo":
            session.redo()
        elif kind == "units" and payload in ("metric", "inch"):
            session.system = payload
        elif kind == "save":
            if session.path is None:
                session.open = ("save as",)
            else:
                session.save()
        elif kind == "save as":
            session.open = ("save as",)
        elif kind == "opened" and isinstance(payload, dict):
            session.load_text(str(payload.get("text", "")), str(payload.get("name", ""))[:200])
        elif kind == "too large" and isinstance(payload, dict):
            leaves.too_large(session, payload)

    # ---- told to the browser

    def redraw(self, *_: Any) -> None:
        """Tell every view what changed, in one message."""
        shown = self.session.shown
        with pn.io.hold():
            self._settle_axes(shown)
            self._rank(shown)
            warnings = words.warnings(shown.assessment, self.session.system)
            sweeps = self._swept(shown)
            for path, plot in self.plots.items():
                plot.put({"frame": self.axes[path].frame(path == PATHS[0])}, "frame")
                plot.put(self._curves(path, sweeps[path]), "curves")
                plot.put(self._plot(path, shown, sweeps[path], warnings), "data")
            self.ladder.put(self._rungs(shown))
            self._draw(shown, warnings)
            self._tell_bar()
            self._tell_leaf()
            self.seq += 1
            self.verdict.put(self._verdict(shown, warnings) | {"seq": self.seq})

    def _settle_axes(self, shown: Shown) -> None:
        """Axes stay as they are until a value leaves them, the units or a word on them change."""
        system, design = self.session.system, shown.design
        meop, peak = (float(shown.assessment.values[f"loads_{n}"]) for n in ("meop", "peak"))
        fresh = {
            "case.wall": lambda: axes.wall_axis(design, system),
            "screw.count": lambda: axes.count_axis(design),
            study.MEOP: lambda: axes.meop_axis(design, system, meop, peak),
        }
        words_now = (system, design["case.wall_holds"].value, design["screw.thread"].value,
                     design["screw.rows"].now, design["loads.peak"].now,
                     design["case.bore"].typed)  # fmt: skip
        changed = words_now != getattr(self, "_axis_words", None)
        self._axis_words = words_now
        for path, make in fresh.items():
            axis = self.axes.get(path)
            if changed or axis is None or not axis.holds(study.now(shown.assessment, path)):
                self.axes[path] = make()
        if changed or not self._ladder_top:
            self._ladder_top = 4.2 * meop

    def _rank(self, shown: Shown) -> None:
        """The five lowest lines; during a drag they are held."""
        if self.five and self.session.held:
            return
        ratios = {i: r for i, r in shown.assessment.ratios.items() if not np.isnan(r)}
        self.five = sorted(ratios, key=lambda i: ratios[i])[:FIVE]

    def _swept(self, shown: Shown) -> dict[str, dict[str, np.ndarray]]:
        inputs = shown.assessment.inputs
        return {p: study.sweep(inputs, p, self.axes[p].grid) for p in PATHS}

    def _curves(self, path: str, swept: dict[str, np.ndarray]) -> dict[str, Any]:
        axis = self.axes[path]
        xs = [round(axis.shown(x), 5) for x in axis.grid]
        lines = [
            {"id": id, "name": CHECKS[id].label, "part": colour(CHECKS[id]),
             "dash": dash(CHECKS[id]), "y": milli(y)}
            for id, y in swept.items() if not np.all(np.isnan(y))
        ]  # fmt: skip
        return {"xs": xs, "lines": lines}

    def _plot(
        self, path: str, shown: Shown, swept: dict[str, np.ndarray], warnings: list[words.Warning]
    ) -> dict[str, Any]:
        axis, a = self.axes[path], shown.assessment
        value = study.now(a, path)
        spans = (study.whole_meets if axis.whole else study.meets)(axis.grid, list(swept.values()))
        rest = words.rest(path, spans, axis.grid, self.session.system)
        return {
            "value": round(axis.shown(value), 6),
            "text": axis.text(value),
            "note": axes.note(axis, value, float(a.values["loads_peak"])),
            "five": [i for i in self.five if not np.isnan(a.ratios[i])],
            "now": {i: None if np.isnan(r) else round(r, 4) for i, r in a.ratios.items()},
            "meets": [[axis.shown(lo), axis.shown(hi)] for lo, hi in spans],
            "slot": self._slot(rest, [w for w in warnings if w.slot == path]),
            "refused": self.session.told.get(path),
            "kept": None,
            "ghost": self._ghost(path, axis, shown),
        }

    def _slot(self, rest: str, here: list[words.Warning]) -> dict[str, Any]:
        grave = [w for w in here if w.level != "know"]
        if not grave:
            return {"level": None, "text": rest, "more": len(here)}
        worst = min(grave, key=lambda w: GRAVITY.index(w.level))
        return {
            "level": worst.level, "check": worst.check, "text": worst.text,
            "evidence": worst.evidence, "fix": self._fix(worst), "more": len(here) - 1,
        }  # fmt: skip

    def _fix(self, warning: words.Warning) -> dict[str, Any] | None:
        r = warning.remedy
        if r is None:
            return None
        return {
            "text": words.field_value(r.path, r.value, self.session.system),
            "effect": f"fixes {r.fixes}, breaks {r.breaks}",
            "on": r == self.session.preview,
        }

    def _previewed(self, shown: Shown) -> Shown | None:
        r = self.session.preview
        if r is None:
            return None
        return Shown(shown.design.evolved(study.changes(shown.design, r.path, r.value)))

    def _ghost(self, path: str, axis: Axis, shown: Shown) -> dict[str, Any] | None:
        r, changed = self.session.preview, self._previewed(shown)
        if r is None or changed is None or not self.five:
            return None
        ratios = changed.assessment.ratios
        if r.path == path:
            dots = {i: None if np.isnan(ratios[i]) else round(ratios[i], 4) for i in self.five}
            held = axis.holds(r.value)
            return {"value": axis.shown(r.value) if held else None, "text": axis.text(r.value),
                    "dots": dots if held else {}, "line": None}  # fmt: skip
        governing = self.five[0]
        swept = study.sweep(changed.assessment.inputs, path, axis.grid)[governing]
        return {"value": None, "text": "", "dots": {}, "line": milli(swept)}

    def _rungs(self, shown: Shown) -> dict[str, Any]:
        system, a = self.session.system, shown.assessment
        unit = "psi" if system == "inch" else "MPa"

        def at(p: float) -> float | None:
            return None if np.isnan(p) else float(from_si(p, unit, "Pa"))

        changed = self._previewed(shown)
        ghosts = {r.check: r.pressure for r in changed.ladder} if changed else {}
        rungs = [
            {
                "id": r.check.id if r.check else "case.other_end_holds",
                "name": r.check.label if r.check else "other end",
                "outcome": r.check.outcome if r.check else other_end(shown, r),
                "part": colour(r.check) if r.check else "case",
                "at": at(r.pressure),
                "text": words.pressure(r.pressure, system, unit=False),
                "wanted": None if r.wanted is None else at(r.wanted),
                "state": r.state, "either": r.either, "kept": None,
                "ghost": at(ghosts[r.check]) if differs(ghosts.get(r.check), r) else None,
            }
            for r in shown.ladder[:RUNGS]
        ]  # fmt: skip
        high = float(from_si(self._ladder_top, unit, "Pa"))
        step = axes.nice(high / 5)
        pressures = {
            word: {"at": at(float(a.values[name])),
                   "text": f"{word} {words.pressure(float(a.values[name]), system, unit=False)}"}
            for word, name in (("MEOP", "loads_meop"), ("proof", "loads_proof"))
        }  # fmt: skip
        return {
            "rungs": rungs, "meop": pressures["MEOP"], "proof": pressures["proof"], "hi": high,
            "ticks": [round(x, 6) for x in np.arange(0, high + 1e-9, step).tolist()],
            "unit": unit, "title": "What lets go first", "held": self.session.held,
        }  # fmt: skip

    def _draw(self, shown: Shown, warnings: list[words.Warning]) -> None:
        v, system = shown.assessment.inputs, self.session.system

        def fmt(length: float) -> str:
            return shown_value(length, LENGTH, system, unit=False)

        marks = self._marks(v, warnings)
        section = svg.svg(drawing.section(v), *SECTION, marks=marks, fmt=fmt, prefix="s-")
        self.section.put({"svg": section})
        self.end_view.put({"svg": svg.svg(drawing.end_view(v), *END_VIEW, fmt=fmt, prefix="e-")})

    def _marks(self, v: dict[str, Any], warnings: list[words.Warning]) -> list[Any]:
        """A mark at its place for what is wrong; what is only to be known stays out."""
        spots = drawing.places(v)
        marks = []
        for w in warnings:
            if w.level == "know" or not w.check:
                continue
            words_ = w.check.replace("prove.", f"{colour(CHECKS[w.check])}.").split(".")
            names = [".".join(words_[:n]) for n in range(len(words_), 0, -1)]
            spot = next((spots[n] for n in names if n in spots), spots["loads"])
            marks.append((w.level, *spot, w.check))
        return marks

    def _verdict(self, shown: Shown, warnings: list[words.Warning]) -> dict[str, Any]:
        said = words.verdict(shown.assessment, self.session.system)
        counts = [
            f"{len(list(group))} {level}"
            for level, group in groupby(sorted((w.level for w in warnings), key=GRAVITY.index))
        ]
        if any(w.level == "stop" for w in warnings):
            first = ", ".join(counts)
        else:
            closest = self.five[0] if self.five else next(iter(CHECKS))
            ratio = shown.assessment.ratios[closest]
            first = f"Closest: {CHECKS[closest].label}, {ratio:.2f} × what is wanted"
        return {
            "bold": said.bold, "plain": said.plain, "state": said.state,
            "more": [first, words.ESTIMATE],
        }  # fmt: skip

    def _tell_bar(self, *_: Any) -> None:
        s = self.session
        name = f"{s.design.name or 'unnamed'}"
        self.bar.put({
            "pages": [{"name": page, "on": page == "Hold"} for page in PAGES],
            "name": name, "saved": s.saved, "system": s.system,
            "undo": s.past[-1].what if s.past else "",
            "redo": s.future[-1].what if s.future else "",
            "text": s.written() if not s.held else "",
            "file": s.path.name if s.path else "design.toml",
        })  # fmt: skip

    def _tell_leaf(self, *_: Any) -> None:
        self.leaf.put({"html": leaves.content(self.session)})


def milli(ratios: np.ndarray) -> list[int | None]:
    """Factor ÷ required in thousandths; no answer is null, and what is far off the plot is cut."""
    cut = np.rint(np.nan_to_num(np.clip(ratios, -9, 9), nan=-99) * 1000).astype(int).tolist()
    return [None if y == -99000 else y for y in cut]


def colour(check: Check) -> str:
    """The part whose colour a check bears; a proof check bears that of what it proves."""
    return check.remedy[0].split(".")[0] if check.part == "prove" else check.part


def dash(check: Check) -> str:
    """Dash of a check's line within its part."""
    if check.part == "prove":
        return "second"
    last = check.id.split(".")[-1]
    return last if last in ("yield", "limit") else "solid"


def differs(ghost: float | None, rung: study.Rung) -> bool:
    """Whether a previewed rung has moved enough to be drawn."""
    return ghost is not None and abs(ghost - rung.pressure) > 0.002 * rung.pressure


def other_end(shown: Shown, rung: study.Rung) -> str:
    """Outcome of the other end's rung."""
    first = next((r for r in shown.ladder if r.check), None)
    wished = first is None or rung.pressure <= first.pressure
    return "lets go first, as wished" if wished else "holds longer than this end"
