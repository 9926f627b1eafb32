"""What each view of the Seal page is told: plain data made from a scene and the ring looked at."""

from typing import Any

import attrs
import numpy as np

from app.views import axis as axes
from app.views import told
from app.views.axis import Axis
from app.views.told import Curves, Scene
from app.views.told_rings import percent
from hobbyclosure import corners, gland_svg, rings, study, words
from hobbyclosure import gland as glands
from hobbyclosure.assess import ABSENT, CLOSE
from hobbyclosure.checks.each import IN_BORE, RINGS, SHORT, at
from hobbyclosure.corners import Corner
from hobbyclosure.graph import CHECKS, Values
from hobbyclosure.physics.seal import gland_depth, squeeze

GLAND = (437, 300)
TALLEST = 90  # per cent
GRAVITY = ("short", "no answer", "close", "meets")
# What a plot's message is about; all else stands over the pressure.
SLOTS = {
    "floor": ("squeeze_least", "squeeze_most", "stretch", "slack", "fill", "width", "lead_in"),
    "closure.clearance": ("gap", "gap_proof"),
}  # fmt: skip
FLOOR_LINES = (
    ("loosest", "solid"), ("tightest", "yield"), ("nominal", "thin"), ("stretch", "second"),
)  # fmt: skip
DASHES = {"primary": "solid", "secondary": "second", "liner": "yield"}


@attrs.frozen
class Ring:
    """The ring looked at, the corner picked (None follows the closest), what the list is of."""

    name: str
    corner: int | None = None
    grooves: bool = False
    order: tuple[str, ...] = ()

    def of(self, name: str) -> "Ring":
        """Another ring, its closest corner."""
        return attrs.evolve(self, name=name, corner=None, order=())

    def at(self, corner: int | None) -> "Ring":
        """Another corner."""
        return attrs.evolve(self, corner=corner)

    def turned(self) -> "Ring":
        """The list turned round: rings for the groove, or grooves for the rings."""
        return attrs.evolve(self, grooves=not self.grooves, order=())

    def ordered(self, keys: list[str]) -> "Ring":
        """The list's order as it is to stay while a hand moves something."""
        return attrs.evolve(self, order=tuple(keys))

    def on(self, scene: Scene) -> "Ring":
        """A ring that the design has."""
        return self if self.name in present(scene) else self.of("primary")


@attrs.frozen
class Seen:
    """One ring of a scene in all its corners; `drawn` is the place of the one drawn."""

    ring: str
    inputs: dict[str, Any]
    values: Values
    corners: list[Corner]
    drawn: int
    picked: bool


def present(scene: Scene) -> list[str]:
    """The rings of a design."""
    nose = float(scene.shown.assessment.values["closure_has_nose"]) > 0
    return [ring for ring in RINGS if ring in IN_BORE or nose]


def checks_of(scene: Scene, ring: str = "") -> list[str]:
    """Ids of the checks of one ring, or of all, so far as they apply."""
    states, of = scene.shown.assessment.states, f"seal.{ring}." if ring else "seal."
    return [i for i, state in states.items() if i.startswith(of) and state != ABSENT]


def _closest(scene: Scene, ids: list[str]) -> str:
    """The check that has no answer or the least factor."""
    ratios = scene.shown.assessment.ratios
    return min(ids, key=lambda i: float(np.nan_to_num(ratios[i], nan=0.999)))


def seen(scene: Scene, looked: Ring) -> Seen:
    """All corners of the ring looked at; the one drawn is picked, or the closest check's."""
    values = scene.shown.assessment.values
    found = corners.corners(values, looked.name)
    deciding = ("squeeze_least", "squeeze_most", "gap", "gap_proof")
    ids = [f"seal.{looked.name}.{what}" for what in deciding]
    what = _closest(scene, ids).rsplit(".", 1)[1].removesuffix("_proof")
    closest = found.index(corners.governing(found, what))
    drawn = closest if looked.corner is None else looked.corner
    inputs, picked = dict(scene.shown.assessment.inputs), looked.corner is not None
    return Seen(looked.name, inputs, values, found, drawn, picked)


def state_of(scene: Scene, ring: str) -> str:
    """The gravest state among a ring's checks."""
    states = scene.shown.assessment.states
    return min((states[i] for i in checks_of(scene, ring)), key=GRAVITY.index)


def gland(scene: Scene, seen: Seen, size: tuple[int, int]) -> dict[str, Any]:
    """The gland of the corner drawn, with its three numbers."""
    corner = seen.corners[seen.drawn]
    pressure = words.pressure(float(corner.pressure), scene.system)
    picture = gland_svg.svg(
        glands.gland(seen.values, seen.ring, corner), *size,
        fmt=scene.length, fine=lambda x: fine(x, scene.system), pressure=pressure, prefix="g-",
    )  # fmt: skip
    return {
        "rings": [
            {"id": ring, "label": ring.capitalize(), "state": state_of(scene, ring),
             "on": ring == seen.ring}
            for ring in present(scene)
        ],
        "corner": words.sentence(corner.name),
        "side": "open side" if corner.loose else "closed side",
        "svg": picture,
        "foot": [[what, percent(getattr(corner, what))] for what in ("squeeze", "stretch", "fill")],
    }  # fmt: skip


def fine(value: float, system: str) -> str:
    """A small length: micrometres, or thousandths of an inch."""
    return f"{1e3 * value / 0.0254:.1f} thou" if system == "inch" else f"{1e6 * value:.0f} µm"


# ---- corners and pushing in


def corner_grid(scene: Scene, seen: Seen) -> dict[str, Any]:
    """Squeeze and gap of every corner, as shares of what is allowed."""
    v = seen.values
    least, most = float(v["loads_squeeze_least"]), float(v["loads_squeeze_most"])
    wanted = float(v["loads_gap_factor"])
    drawn = seen.corners[seen.drawn]

    def one(c: Corner) -> dict[str, Any]:
        share = float(c.gap) * wanted / float(c.limit) if c.limit == c.limit else None
        return {
            "name": c.name, "squeeze": round(float(c.squeeze) / most, 3),
            "squeezeBad": not least <= c.squeeze <= most,
            "squeezeText": f"squeeze {percent(c.squeeze)}",
            "gap": None if share is None else round(share, 3),
            "gapBad": share is None or share > 1 or float(c.gap) < 0,
            "gapText": f"gap {scene.length(float(c.gap))}",
        }  # fmt: skip

    return {
        "corners": [one(c) for c in seen.corners], "drawn": seen.drawn, "picked": seen.picked,
        "least": least / most, "squeeze": f"squeeze {percent(drawn.squeeze)}",
        "gap": f"gap {scene.length(float(drawn.gap))} {scene.length_unit}",
    }  # fmt: skip


# ---- plots


def plot(
    scene: Scene, seen: Seen, axis: Axis, name: str
) -> tuple[dict[str, Any], dict[str, Any], dict[str, Any]]:
    """Frame, curves and the rest of one plot."""
    swept = scene.swept_along(axis)
    spans = told.spans_of(scene, axis, swept)
    value = study.now(scene.shown.assessment, axis.path)
    here = [w for w in scene.warnings if slot_of(w) == name]
    data = {
        "value": round(axis.shown(value), 6), "text": axis.text(value),
        "note": _note(scene, seen, axis, name, value), "required": {}, "ghost": None, "kept": None,
        "meets": [[axis.shown(a), axis.shown(b)] for a, b in spans],
        "slot": told.slot(scene, _rest(scene, seen, axis, name, spans), here),
        "refused": scene.refused.get(axis.path),
    }  # fmt: skip
    if name == "floor":
        lines, now = _floor_lines(seen, axis)
        frame = axis.frame(True) | _percent_frame(seen)
    else:
        lines, now = _gap_lines(scene, swept)
        frame = axis.frame(True) | {"zones": [GAP_ZONE], "axis": "gap factor ÷ required"}
        if name == "closure.clearance":
            frame["walls"] = [[axis.low, axis.shown(_least_clearance(seen)), "will not go in"]]
    del frame["raw"]
    curves = {
        "xs": np.round(axis.shown_grid, 5).tolist(),
        "lines": [
            {"id": id, "name": label, "part": "seal", "dash": dash, "y": told.milli(y, TALLEST)}
            for id, label, dash, y in lines
        ],
    }
    return frame, curves, data | {"five": [id for id, *_ in lines], "now": now}


GAP_ZONE = {"low": 0, "high": 1, "text": "squeezes out"}


def _percent_frame(seen: Seen) -> dict[str, Any]:
    low, high = (100 * float(seen.values[f"loads_squeeze_{e}"]) for e in ("least", "most"))
    top = 10 * np.ceil(high / 10 + 0.9)
    return {
        "axis": "squeeze, stretch, %", "yhi": top, "yticks": list(range(0, int(top) + 1, 10)),
        "zones": [{"low": 0, "high": low, "text": "too loose"},
                  {"low": high, "high": top, "text": "too tight"}],
        "reqs": [low, high], "places": 1, "said": " per cent",
    }  # fmt: skip


def _floor_lines(seen: Seen, axis: Axis) -> tuple[list[Any], dict[str, Any]]:
    """Squeeze loosest, tightest and as drawn, and the worst stretch, against the floor."""
    ring, floor = seen.ring, at("seal_groove_diameter", seen.ring)

    def shares(values: Values) -> dict[str, Any]:
        section = (values[at("seal_thin", ring)] + values[at("seal_thick", ring)]) / 2
        depth = gland_depth(values[at("seal_bore", ring)], values[floor])
        return {
            at("seal_loosest", ring): values[at("seal_loosest", ring)],
            at("seal_tightest", ring): values[at("seal_tightest", ring)],
            "drawn": squeeze(section, depth),
            f"seal.{ring}.stretch": values[at("seal_stretched", ring)],
        }  # fmt: skip

    along = shares(Values({**seen.inputs, floor: axis.grid}))
    shown = zip(along.items(), FLOOR_LINES, strict=True)
    lines = [
        (id, label, dash, 100 * np.broadcast_to(y, axis.grid.shape))
        for (id, y), (label, dash) in shown
    ]
    now = {id: round(100 * float(y), 1) for id, y in shares(seen.values).items()}
    return lines, now


def _gap_lines(scene: Scene, swept: Curves) -> tuple[list[Any], dict[str, Any]]:
    """The gap of each ring at MEOP or at proof, whichever is nearer to what it may be."""
    ratios = scene.shown.assessment.ratios
    ids = [
        min((f"seal.{ring}.gap", f"seal.{ring}.gap_proof"), key=lambda i: _rank(ratios[i]))
        for ring in present(scene)
    ]
    ids.sort(key=lambda i: _rank(ratios[i]))
    lines = [(i, _gap_label(i), DASHES[i.split(".")[1]], swept[i]) for i in ids]
    return lines, {i: told.ratio(ratios[i]) for i in ids}


def _rank(ratio: Any) -> float:
    return float(np.nan_to_num(ratio, nan=-1.0))


def _gap_label(id: str) -> str:
    _, ring, what = id.split(".")
    return f"{SHORT[ring]}, proof" if what == "gap_proof" else SHORT[ring]


def _least_clearance(seen: Seen) -> float:
    """The clearance below which the closure at its largest does not go in."""
    values = seen.values
    return float(values["closure_clearance"] - values["closure_clearance_min"])


def _note(scene: Scene, seen: Seen, axis: Axis, name: str, value: float) -> str:
    if name == "floor":
        depth = gland_depth(seen.values[at("seal_bore", seen.ring)], value)
        return f"groove {scene.length(float(depth))} deep"
    if name == "closure.clearance":
        return "on diameter"
    return axes.note(axis, value, float(seen.values["loads_peak"]))


def _rest(scene: Scene, seen: Seen, axis: Axis, name: str, spans: list[tuple[float, float]]) -> str:
    """The resting sentence; a measured bore says what it does to the groove."""
    if name == "floor" and (text := _as_measured(scene, seen)):
        return text
    return words.rest(axis.path, spans, axis.grid, scene.system)


def _as_measured(scene: Scene, seen: Seen) -> str:
    """What a measured bore asks of the groove's floor, for the squeeze as drawn."""
    path = "case.bore" if seen.ring in IN_BORE else "insulation.liner_bore"
    bore, floor = scene.shown.design[path], seen.values[at("seal_groove_diameter", seen.ring)]
    if bore.measured is None or not isinstance(bore.value, float):
        return ""
    wanted = rings.floor_as_measured(bore.value, float(floor), bore.measured)
    off = float(floor) - wanted
    if abs(off) < 5e-6:
        return ""
    do = "remove" if off > 0 else "leave"
    unit = scene.length_unit
    return (
        f"Bore {scene.length(bore.measured)} measured: cut the groove floor to "
        f"{scene.length(wanted)}, {do} {scene.length(abs(off))} {unit} more."
    )


# ---- messages


def slot_of(warning: words.Warning) -> str:
    """The plot of this page at which a warning stands; empty for what is not a ring's."""
    if not warning.check.startswith("seal."):
        return ""
    what = warning.check.rsplit(".", 1)[1]
    return next((name for name, kinds in SLOTS.items() if what in kinds), study.MEOP)


def switch(scene: Scene, along: dict[str, Axis]) -> dict[str, Any]:
    """The plots by name, each with the level of its gravest warning."""
    grave = [(slot_of(w), w.level) for w in scene.warnings if w.level != "know"]
    return {
        "plots": [
            {
                "field": name, "title": "Floor" if name == "floor" else axis.title,
                "level": min((level for at_, level in grave if at_ == name),
                             key=told.GRAVITY.index, default=None),
            }
            for name, axis in along.items()
        ]
    }  # fmt: skip


def verdict(scene: Scene) -> dict[str, Any]:
    """The gravest of the rings, or the closest."""
    a, ids = scene.shown.assessment, checks_of(scene)
    ids = [i for i in ids if CHECKS[i].gravest == "stop"]
    # A rule of geometry that is kept well gives way to the gaps, which pressure opens.
    ids = [i for i in ids if CHECKS[i].outcome or CHECKS[i].basis or not a.ratios[i] >= CLOSE]
    worst = min(ids, key=lambda i: (GRAVITY.index(a.states[i]), _rank(a.ratios[i])))
    said = words.said_of(a, CHECKS[worst], scene.system)
    return {
        "bold": said.bold, "plain": said.plain, "state": said.state,
        "aloud": " ".join(scene.refused.values()),
        "more": [f"Closest of {12 * len(present(scene))} corners", words.ESTIMATE],
        "kept": scene.kept_said,
    }  # fmt: skip
