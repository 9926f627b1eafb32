"""The Hold page: what is heard from its views, and who is told after each change."""

import json
from collections.abc import Callable
from typing import Any

import numpy as np
import panel as pn

from app.session import Session, Shown
from app.views import axis as axes
from app.views import leaves, picks, rows, told
from app.views.axis import Axis
from app.views.base import (
    BarView,
    FieldsView,
    LadderView,
    LeafView,
    MapView,
    PictureView,
    PlotView,
    SectionView,
    SwitchView,
    ThumbView,
    VerdictView,
)
from app.views.map import wall_by_count
from app.views.rails import Rails
from app.views.told import Scene
from hobbyclosure import study, words
from hobbyclosure.assess import CLOSE
from hobbyclosure.fields import FIELDS
from hobbyclosure.graph import CHECKS

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
        self.copies = 0
        self.swell = 0.0
        self._ladder_top = 0.0
        self.memory: dict[str, tuple[tuple[Any, ...], Any]] = {}
        self.bar = BarView(self._bar_heard)
        self.verdict = VerdictView(self._heard)
        self.sizes: dict[str, tuple[int, int]] = {}
        self.section = SectionView(self._picture_heard("section"))
        self.end_view = PictureView(self._picture_heard("end"))
        self.ladder = LadderView(self._heard)
        self.leaf = LeafView(self._heard)
        self.map = MapView(self._heard)
        self.fields = FieldsView(self._fields_heard)
        self.rails = Rails()
        self._answered = 0
        self._listed: tuple[Any, ...] = ()
        self.switch = SwitchView()
        self.thumb = ThumbView(self._heard)
        self.plots = {path: PlotView(self._plot_heard(path)) for path in PATHS}
        for path, plot in self.plots.items():
            plot.param.watch(self._mover(path), "value")
        self.section.param.watch(self._swelled, "slid")
        self.fields.param.watch(self._field_slid, "slid")
        session.param.watch(
            self.redraw, ["shown", "system", "preview", "told", "refused", "held", "kept", "raw"]
        )
        session.param.watch(self._tell_bar, ["saved"])
        session.param.watch(self._opened, ["open", "faults"])
        self.redraw()

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
        share = json.loads(event.new)
        if isinstance(share, int | float) and 0 <= share <= 1:
            self.swell = float(share)
            self.section.put(told.section(self._scene()))

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
                self._heard(kind, payload)

        return heard

    def _picture_heard(self, name: str) -> Callable[[str, Any], None]:
        def heard(kind: str, payload: Any) -> None:
            if kind != "size":
                self._heard(kind, payload)
            elif (size := told.cell(payload)) and size != self.sizes.get(name):
                self.sizes[name] = size
                self.redraw()

        return heard

    def _field_slid(self, event: Any) -> None:
        """A rail's thumb moved."""
        self._fields_heard("slid", json.loads(event.new))

    def _fields_heard(self, kind: str, payload: Any) -> None:
        """What is done to a field; each is answered, if only with its number."""
        session = self.session
        if kind == "hold":
            session.held = bool(payload)
        elif kind == "seen" and isinstance(payload, list):
            self.rails.seen = frozenset(str(path) for path in payload)
            self._tell_fields(self._scene())
        elif not isinstance(payload, dict):
            self._heard(kind, payload)
        elif (path := payload.get("path")) in FIELDS:
            at = payload.get("at")
            self._answered = at if isinstance(at, int) else 0
            text = str(payload.get("text", ""))
            if kind == "slid" and rows.is_number(path, payload.get("value")):
                along = self.rails.rail(self._scene(), path)
                session.move(path, along.si(float(payload["value"])))
            elif kind in ("field", "pick"):
                session.change({path: text}, tell=path)
            elif kind == "measured":
                session.measure(path, text, str(payload.get("accuracy", "")))
            elif kind == "tolerance":
                session.tolerate(path, text)
            self._tell_fields(self._scene())

    def _heard(self, kind: str, payload: Any) -> None:
        session = self.session
        if kind == "preview":
            session.preview = session.remedy(str(payload))
        elif kind == "leave":
            session.preview = None
        elif kind == "keep":
            session.keep()
        elif kind == "drop":
            session.drop()
        elif kind == "raw":
            session.raw = bool(payload)
        elif kind == "map":
            session.open = () if self._map_is_open else ("map",)
        elif kind == "place" and isinstance(payload, dict):
            self._place(payload)
        elif kind == "take":
            session.take(str(payload))
        elif kind == "open" and leaves.known(str(payload)):
            session.open = (*session.open, str(payload)) if session.open else (str(payload),)
        elif kind == "part" and payload in rows.parts():
            session.open = (f"{rows.OPENS}{payload}",)
        elif kind == "back":
            session.open = session.open[:-1]
        elif kind == "close":
            session.open = ()
        elif kind == "save" and isinstance(payload, str):
            leaves.save_as(session, payload)
        elif kind == "create" and isinstance(payload, dict):
            leaves.create(session, payload)

    def _place(self, at: dict[str, Any]) -> None:
        """Take wall and screws from the map, as one step of undo."""
        x, y = at.get("x"), at.get("y")
        if isinstance(x, int | float) and isinstance(y, int | float):
            session = self.session
            wall = study.changes(session.design, "case.wall", self.axes["case.wall"].si(x))
            session.change(wall | {"screw.count": float(y)}, "map", tell="map")

    @property
    def _map_is_open(self) -> bool:
        return self.session.open[-1:] == ("map",)

    def _bar_heard(self, kind: str, payload: Any) -> None:
        session = self.session
        if kind == "undo":
            session.undo()
        elif kind == "map":
            self._heard(kind, payload)
        elif kind == "redo":
            session.redo()
        elif kind == "units" and payload in ("metric", "inch"):
            session.system = payload
        elif kind == "save":
            if session.path is None:
                session.open = ("save as",)
            else:
                session.save()
        elif kind in ("save as", "new"):
            session.open = (kind,)
        elif kind == "copy":
            self.copies += 1
            file = session.path.name if session.path else "design.toml"
            self._tell_bar(copy={"n": self.copies, "text": session.written(), "file": file})
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
                plot.put({"frame": self.axes[path].frame(path == PATHS[0], scene.raw)}, "frame")
                plot.put(told.curves(scene, self.axes[path], swept), "curves")
                plot.put(told.plot(scene, path, swept))
            self.ladder.put(told.ladder(scene))
            self.section.put(told.section(scene))
            self.end_view.put(told.end_view(scene))
            self._tell_bar()
            self._tell_leaf()
            self._tell_fields(scene)
            self._tell_map(scene)
            self.switch.put(told.switch(scene))
            self.thumb.put({"kept": session.kept is not None})
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
            words.warnings(session.shown.assessment, session.system, remedied=False),
            self._ladder_top,
            held=session.held,
            preview=r,
            previewed=changed,
            kept=session.kept,
            kept_said=session.kept_said,
            memory=self.memory,
            raw=session.raw,
            swell=self.swell,
            selected=rows.opened(session.open),
            refused=dict(session.told),
            clash=session.refused,
            sizes=dict(self.sizes),
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
        """The five lowest lines, held during a drag.

        A rule of geometry that is kept well says nothing about pressure: it stays grey.
        """
        if self.five and self.session.held:
            return
        ratios = {
            i: r
            for i, r in shown.assessment.ratios.items()
            if not np.isnan(r) and (CHECKS[i].basis or r < CLOSE)
        }
        self.five = sorted(ratios, key=lambda i: ratios[i])[:FIVE]

    def _tell_bar(self, *_: Any, copy: dict[str, Any] | None = None) -> None:
        s = self.session
        self.bar.put({
            "pages": [{"name": page, "on": page == "Hold"} for page in PAGES],
            "name": s.design.name or "unnamed", "saved": s.saved, "system": s.system,
            "undo": s.past[-1].what if s.past else "",
            "redo": s.future[-1].what if s.future else "",
            "copy": copy,
        })  # fmt: skip

    def _opened(self, *_: Any) -> None:
        """What the panel shows changed, and with it perhaps the part that is outlined."""
        scene = self._scene()
        with pn.io.hold():
            self._tell_leaf()
            self._tell_fields(scene)
            self._tell_map(scene)
            self.section.put(told.section(scene))
            self.end_view.put(told.end_view(scene))

    def _tell_fields(self, scene: Scene) -> None:
        part, session = scene.selected, self.session
        if part is None:
            self.fields.put({"open": False, "at": self._answered})
            return
        design = session.design
        listed = (part, scene.system, design["screw.thread"].value, design.materials)
        if listed != self._listed:
            self._listed = listed
            self.fields.put({"frame": rows.frame(scene, part)}, "frame")
            self.fields.put({"lists": picks.lists(design, part, scene.system)}, "curves")
        before = session.past[-1].design if session.past else None
        self.fields.put({
            "open": True, "at": self._answered, "part": part,
            "rows": rows.fields(scene, part, self.rails, before),
        })  # fmt: skip

    def _tell_map(self, scene: Scene) -> None:
        self.map.put(wall_by_count(scene) if self._map_is_open else {"open": False})

    def _tell_leaf(self, *_: Any) -> None:
        self.leaf.put({"html": leaves.content(self.session)})
