"""What every view is made of: a component with its JSON data, drawn by a script of ours."""

import json
import sys
from collections.abc import Callable, Container
from pathlib import Path
from typing import Any, TypeGuard

import panel as pn
import param
from tornado.ioloop import IOLoop

RECEIPT = 0.002  # seconds that Bokeh takes to say that a value has come, before it is looked at
TOLD = {"frame", "curves", "data"}
STATIC = Path(__file__).parent.parent / "static"

# Gathers the parameters of one message, then draws once; the page counts what it has drawn.
_RENDER = """
export function render({model}) {
  const host = document.createElement('div')
  host.className = 'host'
  const send = (kind, payload) => {
    if (released) { released = false; send('hold', false) }
    model.send_msg({kind, payload: payload === undefined ? null : payload})
  }
  // One unanswered move is under way at a time, the newest waits: a slow server is never flooded.
  // A release waits for the last move, so that a drag stays one step of undo.
  let flying = 0, waiting = null, released = false
  const move = (value) => {
    if (flying) { waiting = value; return }
    flying = setTimeout(landed, 250)
    // After an undo the last value sent may be wanted again, and an equal one is not sent.
    if (model.value === value) model.send_msg({kind: 'move', payload: value})
    else model.value = value
  }
  const landed = () => {
    clearTimeout(flying)
    flying = 0
    if (waiting !== null) { const next = waiting; waiting = null; move(next) }
    else if (released) { released = false; send('hold', false) }
  }
  const view = VIEW(host, (kind, payload) => {
    if (kind === 'move') move(payload)
    else if (kind === 'slide') model.slid = JSON.stringify(payload)
    else if (kind === 'hold' && !payload && flying) released = true
    else send(kind, payload)
  })
  let due = null
  const draw = () => { const sent = due; due = null; view.update(sent)
    if (sent.seq) document.documentElement.dataset.seq = sent.seq }
  const take = (name) => {
    if (flying && name === 'data') landed()
    if (!due) queueMicrotask(draw)
    due = Object.assign(due || {}, JSON.parse(model[name]))
  }
  const names = ['frame', 'curves', 'data']
  for (const name of names) model.on(name, () => take(name))
  for (const name of names) take(name)
  return host
}
"""


def unpacked(text: str) -> Any:
    """What a browser sent as JSON; None where that is none."""
    try:
        return tame(json.loads(text))
    except (ValueError, RecursionError):
        return None


def tame(sent: Any) -> Any:
    """What a browser sent, with None for each number that is no finite float.

    Text is such as can be written: half a character becomes a question mark.
    """
    if isinstance(sent, dict):
        return {tame(key): tame(value) for key, value in sent.items()}
    if isinstance(sent, list):
        return [tame(value) for value in sent]
    if isinstance(sent, str):
        return sent.encode("utf-8", "replace").decode("utf-8")
    if isinstance(sent, int | float) and not abs(sent) <= sys.float_info.max:
        return None
    return sent


def is_one_of(sent: Any, among: Container[str]) -> TypeGuard[str]:
    """Whether what a browser sent is one of these names; it may have sent anything."""
    return isinstance(sent, str) and sent in among


def script(view: str, *files: str) -> str:
    """The module of a view: its files one after another, and the frame that drives it."""
    parts = [(STATIC / "js" / f"{name}.js").read_text(encoding="utf-8") for name in files]
    return "\n".join([*parts, _RENDER.replace("VIEW", view)])


def styles(*files: str) -> str:
    """Stylesheets of a view."""
    return "\n".join((STATIC / f"{name}.css").read_text(encoding="utf-8") for name in files)


def _gathers(document: Any) -> bool:
    """Whether changes are held back to be sent as one, and this is the place to make them."""
    return bool(document and document.callbacks.hold_value) and pn.state._unblocked(document)


class View(pn.custom.JSComponent):
    """A picture or a control; `data` is JSON, sent only when it differs."""

    frame = param.String(default="{}")
    curves = param.String(default="{}")
    data = param.String(default="{}")
    value = param.Number(default=0.0)
    slid = param.String(default="")

    noticed: Callable[[str, Any], None] | None = None  # who wants to know what is looked at
    foresee: Callable[[float], None] | None = None  # what works a value out before it is acted on

    _debounce = 20
    _busy__ignore = ["value", "slid"]  # Panel's own sign of work is not shown, and costs a message
    _esm = "export function render() {}"
    _bundle_path: Any = None  # not looked for: every script is text

    def __init__(self, heard: Callable[[str, Any], None] | None = None, **params: Any) -> None:
        super().__init__(sizing_mode="stretch_both", **params)
        self._heard = heard
        self._about: dict[str, tuple[Any, ...]] = {}

    def _get_properties(self, doc: Any) -> dict[str, Any]:
        """With a script that is run as it is: else each page would rewrite it as TypeScript."""
        return super()._get_properties(doc) | {"bundle": f"{type(self).__name__} {hash(self._esm)}"}

    def _param_change(self, *events: Any) -> None:
        """What is told while messages are gathered goes straight to the model.

        Panel's own way costs a millisecond a text; it stays wherever nothing is gathered.
        """
        texts = {event.name: event.new for event in events}
        models = [model for model, _ in self._models.values()]
        if texts.keys() <= TOLD and all(_gathers(model.document) for model in models):
            for model in models:
                model.data.update(**texts)
        else:
            super()._param_change(*events)

    def _server_change(
        self, doc: Any, ref: str, subpath: str | None, attr: str, old: Any, new: Any
    ) -> None:
        """A value waits its debounce for a still newer one; the wait is used, as nobody is told."""
        super()._server_change(doc, ref, subpath, attr, old, new)
        if self.foresee and attr == "value":
            IOLoop.current().call_later(RECEIPT, self.foresee, new)

    def _handle_msg(self, data: Any) -> None:
        if not isinstance(data, dict) or not isinstance(kind := data.get("kind"), str):
            return
        try:
            payload = tame(data.get("payload"))
        except RecursionError:
            return
        if self._heard:
            self._heard(kind, payload)
        if self.noticed:
            self.noticed(kind, payload)

    def put(self, data: dict[str, Any], name: str = "data") -> None:
        """Send data if it differs from what was sent last."""
        text = json.dumps(data, separators=(",", ":"), ensure_ascii=False)
        if text != getattr(self, name):
            setattr(self, name, text)

    def renew(self, name: str, make: Callable[[], dict[str, Any]], *about: Any) -> None:
        """Put what is made, unless everything it is about is the very same as the last time."""
        last = self._about.get(name, ())
        if len(last) != len(about) or any(a is not b for a, b in zip(last, about, strict=True)):
            self.put(make(), name)
            self._about[name] = about  # not before: what failed is made again

    def again(self) -> None:
        """Send what was sent last once more: a space more or less tells it from the last."""
        if not self.data:
            return
        self.data = self.data[:-1] if self.data.endswith(" ") else f"{self.data} "


class BarView(View):
    """Pages, the design's name and menu, units, undo and redo."""

    _esm = script("barView", "svg", "bar")
    _stylesheets = [styles("base", "bar")]


class VerdictView(View):
    """The one sentence."""

    _esm = script("verdictView", "svg", "verdict")
    _stylesheets = [styles("base", "verdict")]


class PictureView(View):
    """A drawing of the closure."""

    _esm = script("pictureView", "svg", "cell", "picture")
    _stylesheets = [styles("base", "picture")]


class SectionView(View):
    """The section, and the pressure slider that swells it."""

    _esm = script("sectionView", "svg", "cell", "picture", "swell")
    _stylesheets = [styles("base", "picture", "swell")]


class LadderView(View):
    """What lets go first."""

    _esm = script("ladderView", "svg", "ladder")
    _stylesheets = [styles("base", "ladder")]


class PlotView(View):
    """Safety factors against one field; its axis is the slider of that field."""

    _debounce = 25  # ms; costs no more than 20: a move is worked out meanwhile
    _esm = script("plotView", "svg", "plotframe", "plotnames", "plot")
    _stylesheets = [styles("base", "plot")]


class LeafView(View):
    """The one panel that opens: a working, warnings, faults, or saving under a name."""

    _esm = script("leafView", "svg", "leaf")
    _stylesheets = [styles("base", "leaf")]


class FieldsView(View):
    """The fields of one part: numbers on rails, and lists to pick from."""

    _esm = script("fieldsView", "svg", "fields", "pick")
    _stylesheets = [styles("base", "fields")]


class MapView(View):
    """Wall against screws, in the leaf's place."""

    _esm = script("mapView", "svg", "map")
    _stylesheets = [styles("base", "leaf", "map")]


class GlandView(View):
    """The gland of one ring in one corner."""

    _esm = script("glandView", "svg", "cell", "gland")
    _stylesheets = [styles("base", "picture", "gland", "glandcell")]


class RingsView(View):
    """Rings for a groove, or grooves for rings."""

    _esm = script("ringsView", "svg", "rings")
    _stylesheets = [styles("base", "rings")]


class CornersView(View):
    """The twelve corners of a ring."""

    _esm = script("cornersView", "svg", "corners")
    _stylesheets = [styles("base", "corners")]


class PushView(View):
    """The way in, and the force along it."""

    _esm = script("pushView", "svg", "push")
    _stylesheets = [styles("base", "push")]


class SwitchView(View):
    """Which plot a narrow page shows."""

    _esm = script("switchView", "svg", "switch")
    _stylesheets = [styles("base", "switch")]


class ThumbView(View):
    """The strip at a narrow page's foot: a step down, the value, a step up, keep."""

    _esm = script("thumbView", "svg", "thumb")
    _stylesheets = [styles("base", "thumb")]


class StairView(View):
    """The trace and the stair from peak to MEOP and on."""

    _esm = script("stairView", "svg", "stair", "trace", "loads")
    _stylesheets = [styles("base", "loads")]


class BlocksView(View):
    """Trace, factors and heat, under the stair."""

    _esm = script("blocksView", "svg", "fields", "pick", "blocks")
    _stylesheets = [styles("base", "plot", "fields", "blocks")]
