"""The Hold page: what is heard from its views, and who is told after each change."""

from collections.abc import Callable
from typing import Any

import numpy as np
import panel as pn

from app.session import Session, Shown
from app.views import axis as axes
from app.views import leaves, told
from app.views.axis import Axis
from app.views.base import BarView, LadderView, LeafView, PictureView, PlotView, VerdictView
from app.views.told import Scene
from hobbyclosure import study, words

PATHS = ("case.wall", "screw.count", study.MEOP)
PAGES = ("Hold",)
FIVE = 5


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
        session = self.session
        self._settle_axes(session.shown)
        self._rank(session.shown)
        scene = self._scene()
        with pn.io.hold():
            for path, plot in self.plots.items():
                swept = scene.swept(path)
                plot.put({"frame": self.axes[path].frame(path == PATHS[0])}, "frame")
                plot.put(told.curves(self.axes[path], swept), "curves")
                plot.put(told.plot(scene, path, swept))
            self.ladder.put(told.ladder(scene))
            section, end = told.pictures(scene)
            self.section.put(section)
            self.end_view.put(end)
            self._tell_bar()
            self._tell_leaf()
            self.seq += 1
            self.verdict.put(told.verdict(scene) | {"seq": self.seq})

    def _scene(self) -> Scene:
        session = self.session
        r = session.preview
        design = session.design
        changed = Shown(design.evolved(study.changes(design, r.path, r.value))) if r else None
        return Scene(
            session.shown,
            session.system,
            self.axes,
            self.five,
            words.warnings(session.shown.assessment, session.system),
            self._ladder_top,
            held=session.held,
            preview=r,
            previewed=changed,
            refused=dict(session.told),
        )

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
