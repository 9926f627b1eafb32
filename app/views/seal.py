"""The Seal page: gland, rings that fit, corners, pushing in, and three plots of one ring."""

from collections.abc import Callable
from typing import Any

from app.session import Session, Shown
from app.views import axis as axes
from app.views import told_seal, told_seal_plots
from app.views.axis import Axis
from app.views.base import (
    CornersView,
    GlandView,
    PlotView,
    PushView,
    RingsView,
    SwitchView,
    View,
    is_one_of,
)
from app.views.page import Heard, Late, Page
from app.views.told import Scene
from app.views.told_push import push
from app.views.told_rings import rings_list
from app.views.told_seal import Ring
from hobbyclosure import grooves, study
from hobbyclosure.checks.each import RINGS, at
from hobbyclosure.data import seals
from hobbyclosure.fields import FIELDS

FLOOR, CLEARANCE = "floor", "closure.clearance"
PLOTS = (FLOOR, CLEARANCE, study.MEOP)


class Seal(Page):
    """Its views, the ring and the corner looked at, and the axes of its plots."""

    name, label = "seal", "Seal"

    def __init__(self, session: Session, heard: Heard, redraw: Callable[[], None]) -> None:
        super().__init__(session, heard, redraw)
        self.looked = Ring("primary")
        self.axes: dict[str, Axis] = {}
        self._about: tuple[Any, ...] = ()
        self.gland = GlandView(self._gland_heard)
        self.rings = RingsView(self._rings_heard)
        self.corners = CornersView(self._corners_heard)
        self.push = PushView(heard)
        self.switch = SwitchView()
        self.plots = {name: PlotView(self._plot_heard(name)) for name in PLOTS}
        for name, plot in self.plots.items():
            plot.param.watch(self._mover(name), "value")
        self.places: dict[str, tuple[Late, View]] = {
            "gland": (Late(), self.gland), "rings": (Late(), self.rings),
            "corners": (Late(), self.corners), "push": (Late(), self.push),
            "seal_switch": (Late(), self.switch),
            "seal_floor": (Late(), self.plots[FLOOR]),
            "seal_clearance": (Late(), self.plots[CLEARANCE]),
            "seal_meop": (Late(), self.plots[study.MEOP]),
        }  # fmt: skip

    def roots(self) -> dict[str, Any]:
        """Its views by their place in the page's HTML."""
        return {name: late for name, (late, _) in self.places.items()}

    def path(self, name: str) -> str:
        """The field that a plot moves."""
        return f"seal.{self.looked.name}.groove_diameter" if name == FLOOR else name

    # ---- heard from the browser

    def _mover(self, name: str) -> Callable[[Any], None]:
        return lambda event: self._move(name, event.new)

    def _move(self, name: str, shown: float) -> None:
        path = self.path(name)
        self.session.move(path, self.axes[name].si(shown))
        if path in self.session.told:
            self.redraw()

    def _plot_heard(self, name: str) -> Callable[[str, Any], None]:
        def heard(kind: str, payload: Any) -> None:
            if kind == "typed" and isinstance(payload, str):
                self.session.change({self.path(name): payload}, tell=self.path(name))
                if self.path(name) in self.session.told:
                    self.redraw()
            elif kind == "move" and isinstance(payload, int | float):
                self._move(name, float(payload))
            elif kind == "hold":
                self.session.held = bool(payload)
            elif kind == "more":
                self.session.open = (f"warnings:seal {name}",)
            else:
                self.heard(kind, payload)

        return heard

    def _gland_heard(self, kind: str, payload: Any) -> None:
        if kind == "size":
            self.sized("gland", self.gland, payload)
        elif kind == "ring" and is_one_of(payload, RINGS):
            self.looked = self.looked.of(str(payload))
            self.redraw()
        else:
            self.heard(kind, payload)

    def _corners_heard(self, kind: str, payload: Any) -> None:
        if kind == "corner" and (payload is None or (type(payload) is int and 0 <= payload < 12)):
            if payload != self.looked.corner:
                self.looked = self.looked.at(payload)
                self.redraw()
        else:
            self.heard(kind, payload)

    def _rings_heard(self, kind: str, payload: Any) -> None:
        ring = self.looked.name
        if kind == "turn":
            self.looked = self.looked.turned()
            self.redraw()
        elif kind == "compound":
            self.heard("goto", f"seal.{ring}.compound")
        elif kind == "take ring" and is_one_of(payload, seals.ALL):
            self.session.change(self._with(ring, str(payload)), f"{ring} ring")
        else:
            self.heard(kind, payload)

    def _with(self, ring: str, key: str) -> dict[str, Any]:
        """The changes that put a listed ring in, with its own groove when grooves are asked for."""
        if self.looked.grooves:
            return grooves.changes(
                ring, grooves.groove(self.session.shown.assessment, ring, key).fit
            )
        new: dict[str, Any] = {f"seal.{ring}.ring": key}
        return new | {f"seal.{ring}.{k}": None for k in ("ring_id", "ring_cs")}

    # ---- told to the browser

    def foresee(self, scene: Scene) -> None:
        """Work out corners, lines, remedies and pictures."""
        seen = told_seal.seen(scene, self.looked)
        told_seal.gland(scene, seen, self.sizes.get("gland", told_seal.GLAND))
        push(scene)
        for name in self.plots:
            told_seal_plots.plot(scene, seen, self.axes[name], name)

    def tell(self, scene: Scene) -> None:
        """Tell every view what changed."""
        self.looked = self.looked.on(scene)
        self._settle_axes(scene.shown, scene.system)
        seen = told_seal.seen(scene, self.looked)
        self.gland.put(told_seal.gland(scene, seen, self.sizes.get("gland", told_seal.GLAND)))
        looked = self.looked
        listed = rings_list(scene, looked.name, looked.grooves, looked.order)
        if not scene.held:
            self.looked = self.looked.ordered([row["key"] for row in listed["rows"]])
        self.rings.put(listed)
        self.corners.put(told_seal.corner_grid(scene, seen))
        self.push.put(push(scene))
        for name, plot in self.plots.items():
            frame, curves, data = told_seal_plots.plot(scene, seen, self.axes[name], name)
            plot.put({"frame": frame}, "frame")
            plot.put(curves, "curves")
            plot.put(data)
        self.switch.put(told_seal_plots.switch(scene, self.axes))
        for late, view in self.places.values():  # told first: a view draws when it is placed
            late.fill(view)

    def verdict(self, scene: Scene) -> dict[str, Any]:
        """The gravest of the rings."""
        return told_seal.verdict(scene)

    def _settle_axes(self, shown: Shown, system: str) -> None:
        """Axes stay as they are until a value leaves them, or what they are about changes."""
        a, ring = shown.assessment, self.looked.name
        floor = f"seal.{ring}.groove_diameter"
        design = shown.design
        about = (system, ring, design[f"seal.{ring}.ring"].value, design["case.bore"].now)
        changed, self._about = about != self._about, about
        meop, peak = (float(a.values[f"loads_{n}"]) for n in ("meop", "peak"))
        fresh: dict[str, Callable[[], Axis]] = {
            FLOOR: lambda: axes.floor_axis(
                design, system, floor, float(a.values[FIELDS[floor].name]),
                float(a.values[at("seal_section_max", ring)]),
            ),
            CLEARANCE: lambda: axes.clearance_axis(
                system, float(a.values["closure_clearance"])
            ),
            study.MEOP: lambda: axes.meop_axis(design, system, meop, peak),
        }  # fmt: skip
        for name, make in fresh.items():
            axis = self.axes.get(name)
            if changed or axis is None or not axis.holds(study.now(a, self.path(name))):
                self.axes[name] = make()
