"""The notebook: its bar, its panel and its pages, and who is told after each change."""

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, Any

import panel as pn

from app import printing
from app.session import Session, Shown
from app.views import leaves, picks, rows, sharing
from app.views.base import (
    BarView,
    FieldsView,
    LeafView,
    MapView,
    ThumbView,
    VerdictView,
    is_one_of,
    unpacked,
)
from app.views.hold import Hold
from app.views.loads import Loads
from app.views.map import wall_by_count
from app.views.page import Page
from app.views.rails import Rails
from app.views.seal import Seal
from app.views.told import Scene
from hobbyclosure import file, study
from hobbyclosure.fields import FIELDS
from hobbyclosure.fingerprint import fingerprint

if TYPE_CHECKING:
    from app.share import Share


class Notebook:
    """What one browser tab shows: one page at a time, and what every page shares."""

    def __init__(self, session: Session, share: "Share | None" = None) -> None:
        self.session = session
        self.share = share
        self.seq = 0
        self.copies = 0
        self.memory: dict[str, tuple[tuple[Any, ...], Any]] = {}
        self.bar = BarView(self._bar_heard)
        self.verdict = VerdictView(self._heard)
        self.leaf = LeafView(self._heard)
        self.map = MapView(self._heard)
        self.fields = FieldsView(self._fields_heard)
        self.thumb = ThumbView(self._heard)
        self.rails = Rails()
        self._answered = 0
        self._listed: tuple[Any, ...] = ()
        self._asked: tuple[int, str] = (0, "")  # a field to be shown first when its part opens
        self.hold = Hold(session, self._heard, self.redraw)
        self.loads = Loads(session, self._heard, self.redraw)
        self.seal = Seal(session, self._heard, self.redraw)
        pages = (self.loads, self.hold, self.seal)
        self.pages: dict[str, Page] = {page.name: page for page in pages}
        self.page: Page = self.hold
        for page in (self.hold, self.seal):
            for name, plot in page.plots.items():
                plot.foresee = partial(self._foresee, page, name)
        self.fields.param.watch(self._field_slid, "slid")
        session.param.watch(self._turned, ["system"])
        session.param.watch(
            self.redraw,
            ["shown", "system", "preview", "told", "refused", "held", "kept", "raw"],
        )
        session.param.watch(self._tell_bar, ["saved"])
        session.param.watch(self._opened, ["open", "faults"])
        self.redraw()

    def roots(self) -> dict[str, Any]:
        """Every view by its place in the page's HTML."""
        shared = {
            "bar": self.bar, "verdict": self.verdict, "leaf": self.leaf, "map": self.map,
            "fields": self.fields, "thumb": self.thumb,
        }  # fmt: skip
        for page in self.pages.values():
            shared |= page.roots()
        return shared

    def turn(self, name: str) -> None:
        """Show another page."""
        if name in self.pages and self.pages[name] is not self.page:
            self.page = self.pages[name]
            self.page.open()
            self.session.open = ()
            self.redraw()

    # ---- heard from the browser

    def _turned(self, event: Any) -> None:
        """The units turned, and with them those of what stands in boxes."""
        leaves.turned(self.session, event.old, event.new)

    def _field_slid(self, event: Any) -> None:
        """A rail's thumb moved."""
        self._fields_heard("slid", unpacked(event.new))

    def _fields_heard(self, kind: str, payload: Any) -> None:
        """What is done to a field; each is answered, if only with its number."""
        session = self.session
        if kind == "hold":
            session.held = bool(payload)
        elif kind == "seen" and isinstance(payload, list):
            self.rails.seen = frozenset(str(path) for path in payload)
            self._tell_fields(self.scene())
        elif not isinstance(payload, dict):
            self._heard(kind, payload)
        elif is_one_of(path := payload.get("path"), FIELDS):
            at = payload.get("at")
            self._answered = at if isinstance(at, int) else 0
            text = str(payload.get("text", ""))
            if kind == "slid" and rows.is_number(path, payload.get("value")):
                along = self.rails.rail(self.scene(), path)
                session.move(path, along.si(float(payload["value"])))
            elif kind == "field":
                session.change({path: text}, tell=path)
            elif kind == "pick":
                session.pick(path, text)
            elif kind == "measured":
                session.measure(path, text, str(payload.get("accuracy", "")))
            elif kind == "tolerance":
                session.tolerate(path, text)
            self._tell_fields(self.scene())

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
        elif kind == "part" and is_one_of(payload, rows.parts()):
            session.open = (f"{rows.OPENS}{payload}",)
        elif kind == "goto" and is_one_of(payload, FIELDS):
            self._asked = (self._asked[0] + 1, payload)
            session.open = (f"{rows.OPENS}{FIELDS[payload].part}",)
            self._tell_fields(self.scene())
        elif kind == "strength":
            session.open = ("strength",)
        elif kind == "back":
            session.open = session.open[:-1]
        elif kind == "close":  # what is under faults has not been read
            session.open = session.open[:-1] if session.open[-1:] == ("faults",) else ()
        elif kind == "save" and isinstance(payload, str):
            leaves.save_as(session, payload)
        elif kind == "create" and isinstance(payload, dict):
            leaves.create(session, payload, _soon)
        elif kind == "typed" and isinstance(payload, dict):
            leaves.typed(session, payload)
        elif kind == "note" and isinstance(payload, str):
            if session.note(payload):
                session.open = ()
                session.open = ("log",)
        elif kind == "compare" and isinstance(payload, str):
            session.open = ("log", f"compare:{payload}")
        elif kind == "restore" and str(payload)[:9].isdecimal():
            session.restore(int(str(payload)[:9]))
        elif kind == "share" and self.share:
            if payload == "start":
                self.share.start()
            elif payload == "stop":
                self.share.stop()
        elif kind in ("adopt", "refuse") and self.share:
            self.share.settle(session, str(payload), kind == "adopt")

    def _place(self, at: dict[str, Any]) -> None:
        """Take wall and screws from the map, as one step of undo."""
        x, y = at.get("x"), at.get("y")
        if isinstance(x, int | float) and isinstance(y, int | float):
            session = self.session
            wall = session.moved("case.wall", self.hold.axes["case.wall"].si(x))
            session.change(wall | {"screw.count": float(y)}, "map", tell="map")

    @property
    def _map_is_open(self) -> bool:
        return self.session.open[-1:] == ("map",)

    def _bar_heard(self, kind: str, payload: Any) -> None:
        session = self.session
        if kind == "undo":
            session.undo()
        elif kind == "page":
            self.turn(str(payload))
        elif kind == "map":
            self._heard(kind, payload)
        elif kind == "redo":
            session.redo()
        elif kind == "units" and payload in ("metric", "inch"):
            session.system = payload
        elif kind == "save":
            if session.path is None:
                leaves.naming(session)
            else:
                session.save()
        elif kind == "save as":
            leaves.naming(session)
        elif kind in ("new", "log") or (kind in ("share", "handed") and self.share):
            session.open = (kind,)
        elif kind == "copy":
            self.copies += 1
            name = leaves.file_name(session)
            self._tell_bar(copy={"n": self.copies, "text": session.written(), "file": name})
        elif kind in printing.KINDS:
            name = leaves.file_name(session).removesuffix(".toml")
            printing.begin(session, kind, name, self._tell_sheet)
        elif kind == "opened" and isinstance(payload, dict):
            session.load_text(str(payload.get("text", "")), str(payload.get("name", ""))[:200])
        elif kind == "too large" and isinstance(payload, dict):
            leaves.too_large(session, payload)

    # ---- told to the browser

    def redraw(self, *_: Any) -> None:
        """Tell the page and what is round it what changed, in one message."""
        scene = self.scene(settle=True)
        with pn.io.hold():
            self.page.tell(scene)
            self._tell_bar()
            self._tell_leaf()
            self._tell_fields(scene)
            self._tell_map(scene)
            self.thumb.put({"kept": self.session.kept is not None})
            self.seq += 1
            self.verdict.put(self.page.verdict(scene) | {"seq": self.seq})

    def _foresee(self, page: Hold | Seal, name: str, value: float) -> None:
        """Work out what a move of a plot's handle will show, before it is made."""
        path, axis = page.path(name), page.axes.get(name)
        ahead = axis and self.session.foreseen(path, axis.si(value))
        if ahead and page is self.page:
            leaves.foresee(self.session, ahead)
            page.foresee(self.scene(ahead=ahead))

    def scene(self, settle: bool = False, ahead: Shown | None = None) -> Scene:
        """Everything that one redraw shows, of what is shown now or is to be `ahead`."""
        session = self.session
        if settle:
            self.hold.settle(session.shown)
        r = None if ahead else session.preview
        design, shown = session.design, ahead or session.shown
        changed = r and shown.next(design.evolved(study.changes(design, r.path, r.value)))
        return Scene(
            shown,
            session.system,
            self.hold.axes,
            self.hold.five,
            shown.warnings(session.system),
            self.hold.ladder_top,
            held=session.held,
            preview=r,
            previewed=changed,
            kept=session.kept,
            kept_said=session.kept_said,
            memory=self.memory,
            raw=session.raw,
            selected=rows.opened(session.open),
            refused=dict(session.told),
            clash=session.refused,
            sizes=dict(self.page.sizes),
            before=session.past[-1].design if session.past else None,
        )

    def _tell_bar(self, *_: Any, copy: dict[str, Any] | None = None) -> None:
        self.bar.put(self._bar() | {"copy": copy})

    def _bar(self) -> dict[str, Any]:
        """What the bar says, but for a copy that is asked for once."""
        s = self.session
        return {
            "pages": [{"id": page.name, "name": page.label, "on": page is self.page}
                      for page in self.pages.values()],
            "name": s.design.name or "unnamed", "system": s.system,
            "saved": ", ".join(filter(None, (s.saved, sharing.said(self.share)))),
            "undo": s.past[-1].what if s.past else "",
            "redo": s.future[-1].what if s.future else "",
            "share": self.share is not None,
            "handed": len(self.share.handed) if self.share else 0,
            "largest": file.LARGEST, "print": fingerprint(s.design),
        }  # fmt: skip

    def _tell_sheet(self, heard: dict[str, Any]) -> None:
        """The sheet is being made, or here it is."""
        self.copies += 1
        self.bar.put({"sheet": {"n": self.copies, **heard}}, "curves")

    def _opened(self, *_: Any) -> None:
        """What the panel shows changed, and with it perhaps the part that is outlined."""
        scene = self.scene()
        with pn.io.hold():
            self._tell_leaf()
            self._tell_fields(scene)
            self._tell_map(scene)
            self.page.tell_pictures(scene)

    def _tell_fields(self, scene: Scene) -> None:
        part, session = scene.selected, self.session
        if part is None:
            self.fields.put({"open": False, "at": self._answered})
            return
        design = session.design
        listed = (
            part,
            scene.system,
            design["screw.thread"].value,
            design.materials,
            design.compounds,
        )
        if listed != self._listed:
            self._listed = listed
            self.fields.put({"frame": rows.frame(scene, part)}, "frame")
            self.fields.put({"lists": picks.lists(design, part, scene.system)}, "curves")
        self.fields.put({
            "open": True, "at": self._answered, "part": part, "asked": self._asked,
            "rows": rows.fields(scene, part, self.rails, scene.before),
        })  # fmt: skip

    def _tell_map(self, scene: Scene) -> None:
        self.map.put(wall_by_count(scene) if self._map_is_open else {"open": False})

    def _tell_leaf(self, *_: Any) -> None:
        what = "".join(self.session.open[-1:])
        if self.share and what == "share":
            html = sharing.html(self.share)
        elif self.share and what == "handed":
            html = sharing.handed(self.share, self.session)
        else:
            html = leaves.content(self.session)
        # Other words for the same are put in where they belong; these are to be read from the top.
        about = "" if what in ("faults", "log") else what
        self.leaf.put({"html": html, "about": about})

    def shared(self) -> None:
        """Sharing began or ended, or somebody came or went."""
        self._tell_bar()
        self._tell_leaf()


def _soon(act: Callable[[], None]) -> None:
    """Once what was told is on its way to the browser."""
    document = pn.state.curdoc
    if document is None:  # nobody waits: a test, or a script
        act()
    else:
        document.add_timeout_callback(act, 30)
