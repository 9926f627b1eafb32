"""The Hold page: section, end view, ladder and the three factor plots."""

from collections.abc import Callable
from functools import partial
from typing import Any

from app.session import Session, Shown
from app.views import axis as axes
from app.views import told, told_pictures
from app.views.axis import Axis
from app.views.base import (
    LadderView,
    PictureView,
    PlotView,
    SectionView,
    SwitchView,
    unpacked,
)
from app.views.page import Heard, Page
from app.views.told import Scene
from hobbyclosure import study

PATHS = ("case.wall", "screw.count", study.MEOP)


class Hold(Page):
    """Its views, and the axes and lines they are drawn with."""

    name, label = "hold", "Hold"

    def __init__(self, session: Session, heard: Heard, redraw: Callable[[], None]) -> None:
        super().__init__(session, heard, redraw)
        self.axes: dict[str, Axis] = {}
        self.five: list[str] = []
        self.swell = 0.0
        self.ladder_top = 0.0
        self.scene: Scene | None = None
        self.section = SectionView(self._picture_heard("section"))
        self.end_view = PictureView(self._picture_heard("end"))
        self.ladder = LadderView(heard)
        self.switch = SwitchView()
        self.plots = {path: PlotView(self._plot_heard(path)) for path in PATHS}
        for path, plot in self.plots.items():
            plot.param.watch(self._mover(path), "value")
        self.section.param.watch(self._swelled, "slid")

    def roots(self) -> dict[str, Any]:
        """Its views by their place in the page's HTML."""
        plots = zip(("wall", "count", "meop"), self.plots.values(), strict=True)
        return {
            "section": self.section, "end": self.end_view, "ladder": self.ladder,
            "switch": self.switch, **dict(plots),
        }  # fmt: skip

    # ---- heard from the browser

    def _mover(self, path: str) -> Callable[[Any], None]:
        return lambda event: self._move(path, event.new)

    def _move(self, path: str, shown: float) -> None:
        self.session.move(path, self.axes[path].si(shown))
        self._answer(path)

    def _answer(self, path: str) -> None:
        """A move that changed nothing is answered all the same, so that the page may go on."""
        if path in self.session.told:
            self.redraw()

    def _swelled(self, event: Any) -> None:
        """The swell slider touches the section alone."""
        share = unpacked(event.new)
        if isinstance(share, int | float) and 0 <= share <= 1 and self.scene:
            self.swell = float(share)
            self.section.put(told_pictures.section(self.scene, self.swell))

    def _plot_heard(self, path: str) -> Callable[[str, Any], None]:
        def heard(kind: str, payload: Any) -> None:
            if kind == "typed" and isinstance(payload, str):
                self.session.change({path: payload}, tell=path)
                self._answer(path)
            elif kind == "move" and isinstance(payload, int | float):
                self._move(path, float(payload))
            elif kind == "hold":
                self.session.held = bool(payload)
            elif kind == "more":
                self.session.open = (f"warnings:{path}",)
            else:
                self.heard(kind, payload)

        return heard

    def _picture_heard(self, name: str) -> Callable[[str, Any], None]:
        def heard(kind: str, payload: Any) -> None:
            if kind == "size":
                view = {"section": self.section, "end": self.end_view}[name]
                self.sized(name, view, payload)
            else:
                self.heard(kind, payload)

        return heard

    # ---- told to the browser

    def settle(self, shown: Shown) -> None:
        """Axes and lines for what is shown, before a scene is made of it."""
        self._settle_axes(shown)
        self._rank(shown)

    def foresee(self, scene: Scene) -> None:
        """Work out lines, remedies, pictures and the verdict."""
        for path in self.plots:
            told.spans_of(scene, self.axes[path], scene.swept(path))
            told.slot(scene, "", [w for w in scene.warnings if w.slot == path])
        told_pictures.section(scene, self.swell)
        told_pictures.end_view(scene)
        told.verdict(scene)

    def tell(self, scene: Scene) -> None:
        """Tell every view what changed."""
        for path, plot in self.plots.items():
            axis, raw, swept = self.axes[path], scene.raw, scene.swept(path)
            plot.renew("frame", partial(told.frame, axis, path == PATHS[0], raw), axis, raw)
            plot.renew("curves", partial(told.lines, scene, swept), swept, scene.five, raw)
            plot.put(told.plot(scene, path, swept))
        self.ladder.put(told.ladder(scene))
        self.tell_pictures(scene)
        self.switch.put(told.switch(scene))

    def tell_pictures(self, scene: Scene) -> None:
        """Tell the views on which a selected part is outlined."""
        self.scene = scene
        self.section.put(told_pictures.section(scene, self.swell))
        self.end_view.put(told_pictures.end_view(scene))

    def verdict(self, scene: Scene) -> dict[str, Any]:
        """What lets go first."""
        return told.verdict(scene)

    def _settle_axes(self, shown: Shown) -> None:
        """Axes stay as they are until a value leaves them, the units or a word on them change."""
        system, design = self.session.system, shown.design
        words_now = (system, design["case.wall_holds"].value, design["screw.thread"].value,
                     design["screw.rows"].now, design["loads.peak"].now,
                     design["case.bore"].typed)  # fmt: skip
        changed = words_now != getattr(self, "_axis_words", None)
        self._axis_words = words_now
        for path in PATHS:
            axis = self.axes.get(path)
            if changed or axis is None or not axis.holds(study.now(shown.assessment, path)):
                self.axes[path] = axes.factor_axis(path, shown.assessment, system)
        if changed or not told.ladder_holds(shown, self.ladder_top):
            self.ladder_top = told.ladder_top(shown)

    def _rank(self, shown: Shown) -> None:
        """The five lowest lines, held during a drag."""
        if not (self.five and self.session.held) and (five := told.lowest(shown)) != self.five:
            self.five = five
