"""The Loads page: the trace, the stair from peak to MEOP and on, and what stands behind it."""

import json
from collections.abc import Callable
from typing import Any

from app.session import Session, Shown
from app.views import blocks, curves, leaves, rows, stair
from app.views.base import BlocksView, StairView, is_one_of, unpacked
from app.views.page import Heard, Late, Page
from app.views.rails import Rails
from app.views.stair import STEPS, TIED, Stair, Step
from app.views.told import Scene
from hobbyclosure import study, trace, trace_csv, words
from hobbyclosure.fields import FIELDS
from hobbyclosure.trace_csv import TraceError
from hobbyclosure.units import PRESSURE, shown_value

LONGEST = trace_csv.LARGEST


class Loads(Page):
    """Its views, its axis and its rails."""

    name, label = "loads", "Loads"

    def __init__(self, session: Session, heard: Heard, redraw: Callable[[], None]) -> None:
        super().__init__(session, heard, redraw)
        self.places = {"sum": Late(), "blocks": Late()}
        self.stair = Stair()
        self.rails = Rails()
        self.rails.seen = frozenset(blocks.METAL)
        self.views: tuple[StairView, BlocksView] | None = None
        self.answered = {"sum": 0, "blocks": 0}
        self.scene: Scene | None = None

    def roots(self) -> dict[str, Any]:
        """Its places; nothing is in them until the page is opened."""
        return dict(self.places)

    def open(self) -> None:
        """Make the views when the page is first opened."""
        if self.views is None:
            self.views = StairView(self._stair_heard), BlocksView(self._blocks_heard)
            for place, view in zip(("sum", "blocks"), self.views, strict=True):
                view.param.watch(self._slider(place), "slid")
                self.places[place].fill(view)

    # ---- heard from the browser

    def _slider(self, place: str) -> Any:
        return lambda event: self._slid(place, unpacked(event.new))

    def _slid(self, place: str, sent: Any) -> None:
        """A thumb moved: of the stair by its step, of a block by its field."""
        if not isinstance(sent, dict) or self.scene is None:
            return
        value: Any = sent.get("value")
        self._hear(place, sent)
        if place == "sum" and (step := STEPS.get(str(sent.get("id")))):
            if rows.is_number(step.path, value):
                least, most = step.field.range
                found = stair.si(step, float(value), self.session.system)
                self._set(step, min(max(found, least), most))
        elif is_one_of(path := sent.get("path"), blocks.METAL) and rows.is_number(path, value):
            self.session.move(path, self.rails.rail(self.scene, path).si(float(value)))
        self._answer(place)

    def _hear(self, place: str, sent: dict[str, Any]) -> None:
        at = sent.get("at")
        self.answered[place] = at if isinstance(at, int) else 0

    def _set(self, step: Step, value: Any) -> None:
        paths = (step.path,)
        if step.id == "yield" and stair.tied(self.session.shown):
            paths = TIED
        self.session.change(dict.fromkeys(paths, value), tell=step.path)

    def _stair_heard(self, kind: str, payload: Any) -> None:
        session = self.session
        if kind == "hold":
            session.held = bool(payload)
        elif kind == "build":
            session.change({study.MEOP: ""}, "given MEOP")
        elif kind == "typed" and isinstance(payload, dict):
            step = STEPS.get(str(payload.get("id")))
            if step:
                self._hear("sum", payload)
                self._set(step, typed(step, str(payload.get("text", ""))))
                self._answer("sum")
        else:
            self.heard(kind, payload)

    def _blocks_heard(self, kind: str, payload: Any) -> None:
        session = self.session
        if kind == "hold":
            session.held = bool(payload)
        elif kind == "trace" and isinstance(payload, dict):
            self._read(str(payload.get("text", "")), str(payload.get("name", ""))[:200])
        elif kind == "trace too large" and isinstance(payload, int | float):
            self._refuse(trace_csv.too_large(payload))
        elif kind == "more":
            session.open = (f"warnings:{leaves.EVERY}",)
        elif kind == "remove" and session.design.runs:
            self._remove()
        elif kind == "take peak" and session.design.runs:
            session.change({"loads.peak": max(r.peak for r in session.design.runs)})
        elif kind == "field" and isinstance(payload, dict):
            self._hear("blocks", payload)
            if is_one_of(path := payload.get("path"), blocks.METAL):
                session.change({path: str(payload.get("text", ""))}, tell=path)
            self._answer("blocks")
        else:
            self.heard(kind, payload)

    def _read(self, text: str, name: str) -> None:
        """Take the figures of a trace's file, or say what is wrong with it."""
        session = self.session
        try:
            found = trace_csv.read(text, name)
        except TraceError as error:
            self._refuse(f"{trace.plain_name(name)}: {error}")
            return
        least, most = FIELDS["loads.peak"].range
        if not least <= trace.run(found).peak <= most:
            low, high = (shown_value(x, PRESSURE, session.system) for x in (least, most))
            line, top = found.top
            self._refuse(f"{found.name}: {line} holds the peak, {top}. It must be {low} to {high}: "
                         "a spike, or another unit?")  # fmt: skip
            return
        session.samples[found.fingerprint] = found
        runs = session.design.runs
        if any(run.fingerprint == found.fingerprint for run in runs):
            session.told = {k: v for k, v in session.told.items() if k != blocks.TRACE}
            self._again()
            return
        session.trace([*runs, trace.run(found)])

    def _remove(self) -> None:
        """Take the last trace away, and the scatter that it gave."""
        session, design = self.session, self.session.design
        gave = design.source("loads.scatter")
        own = [step.design for step in session.past if step.file is session.file]
        before = [d["loads.scatter"].now for d in own if not d.source("loads.scatter")]
        stood = next((float(x) for x in reversed(before) if isinstance(x, float)), None)
        if session.trace(design.runs[:-1], stood) and gave and stood is None:
            shown = words.field_number("loads.scatter", float(design["loads.scatter"].now or 0))
            self._refuse(f"Scatter stays {shown} %: it was read from "
                         f"{trace.count(len(design.runs))} runs.")  # fmt: skip

    def _refuse(self, said: str) -> None:
        self.session.told = {**self.session.told, blocks.TRACE: said}

    def _answer(self, place: str) -> None:
        """What changed nothing is answered all the same, so that the thumb lets go."""
        if self.scene is not None and self.views is not None:
            view = self.views[0 if place == "sum" else 1]
            if json.loads(view.data).get("at") != self.answered[place]:
                self._again()

    def _again(self) -> None:
        if self.scene is not None:
            self.tell(self.scene)

    # ---- told to the browser

    def tell(self, scene: Scene) -> None:
        """Tell both views what changed."""
        self.scene = scene
        if self.views is None:
            return
        self.stair.settle(scene)
        over, under = self.views
        data = self.stair.data(scene)
        over.put({"frame": self.stair.frame(scene)}, "frame")
        more = self.stair.more(scene)
        over.put({"traces": curves.traces(scene, self.session.samples, more)}, "curves")
        over.put(data | {"at": self.answered["sum"], "held": scene.held})
        proof = next(step for step in data["steps"] if step["id"] == "proof")
        under.put({"frame": blocks.heat_frame(scene)}, "frame")
        under.put({
            "at": self.answered["blocks"],
            "trace": blocks.traced(scene, self.session),
            "factors": blocks.factors(scene, proof),
            "heat": blocks.heat(scene, self.session, self.rails),
            "longest": LONGEST,
        })  # fmt: skip

    def verdict(self, scene: Scene) -> dict[str, Any]:
        """MEOP, and how far up the design meets."""
        said = words.meop_verdict(scene.shown.assessment, self._meets(scene.shown), scene.system)
        runs = scene.shown.design.source("loads.peak")
        return {
            "bold": said.bold, "plain": said.plain, "state": said.state,
            "aloud": " ".join(scene.refused.values()),
            "more": [words.sentence(runs) if runs else "No trace yet", words.ESTIMATE],
            "kept": scene.kept_said,
        }  # fmt: skip

    def _meets(self, shown: Shown) -> list[tuple[float, float]]:
        return self.stair.borne(shown)


def typed(step: Step, text: str) -> str:
    """What was typed at a thumb; "× 1.08" of a share is 8 %."""
    bare = text.strip()
    if not bare.startswith(("×", "x", "X", "*", "+")):
        return bare
    times, bare = bare[0] != "+", bare[1:].strip()
    if not (times and step.share):
        return bare
    try:
        return f"{100 * (float(bare) - 1):.6g} %"
    except ValueError:
        return bare
