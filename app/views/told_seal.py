"""What each view of the Seal page is told: plain data made from a scene and the ring looked at."""

from typing import Any

import attrs
import numpy as np

from app.views.told import Scene
from app.views.told_rings import percent
from hobbyclosure import corners, gland_svg, words
from hobbyclosure import gland as glands
from hobbyclosure.assess import ABSENT, CLOSE
from hobbyclosure.checks.each import IN_BORE, RINGS
from hobbyclosure.corners import Corner
from hobbyclosure.graph import CHECKS, Values
from hobbyclosure.phrases import corners_of

GLAND = (437, 300)
GRAVITY = ("short", "no answer", "close", "meets")


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
        return self if self.order == tuple(keys) else attrs.evolve(self, order=tuple(keys))

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


def rank(ratio: Any) -> float:
    """A ratio by which checks are ordered: no answer comes first."""
    return float(np.nan_to_num(ratio, nan=-1.0))


def seen(scene: Scene, looked: Ring) -> Seen:
    """All corners of the ring looked at; the one drawn is picked, or the closest check's."""
    return scene.once("seen", lambda: _seen(scene, looked), scene.shown, looked)


def _seen(scene: Scene, looked: Ring) -> Seen:
    values = scene.shown.assessment.values
    found = corners_of(scene.shown.assessment, looked.name)
    deciding = ("squeeze_least", "squeeze_most", "gap", "gap_proof")
    ids = [f"seal.{looked.name}.{what}" for what in deciding]
    what = _closest(scene, ids).rsplit(".", 1)[1].removesuffix("_proof")
    closest = found.index(corners.governing(found, what))
    drawn = closest if looked.corner is None else looked.corner
    inputs, picked = dict(scene.shown.assessment.inputs), looked.corner is not None
    return Seen(looked.name, inputs, values, found, drawn, picked)


def past(scene: Scene, now: Seen) -> Seen | None:
    """The same ring of the design that is kept, if that has it."""
    if scene.kept is None:
        return None
    before = attrs.evolve(scene, shown=scene.kept)
    if now.ring not in present(before):
        return None
    return scene.once(f"seal {now.ring}", lambda: _seen(before, Ring(now.ring)), scene.kept)


def state_of(scene: Scene, ring: str) -> str:
    """The gravest state among a ring's checks."""
    return min((_state(scene, i) for i in checks_of(scene, ring)), key=GRAVITY.index)


def _state(scene: Scene, id: str) -> str:
    """State of a check for its ring: what is never more than a look decides nothing."""
    state = scene.shown.assessment.states[id]
    return state if CHECKS[id].gravest == "stop" or state == "meets" else "close"


def gland(scene: Scene, seen: Seen, size: tuple[int, int]) -> dict[str, Any]:
    """The gland of the corner drawn, with its three numbers."""
    about = (scene.shown, scene.kept, scene.system, seen, size)
    return scene.once("gland picture", lambda: _gland(scene, seen, size), *about)


def _gland(scene: Scene, seen: Seen, size: tuple[int, int]) -> dict[str, Any]:
    corner = seen.corners[seen.drawn]
    pressure = words.pressure(float(corner.pressure), scene.system)
    was = past(scene, seen)
    kept = was and glands.gland(was.values, was.ring, was.corners[seen.drawn])
    picture = gland_svg.svg(
        glands.gland(seen.values, seen.ring, corner), *size, kept=kept,
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
        loose = not least <= c.squeeze <= most
        wide = share is None or share > 1 or float(c.gap) < 0
        return {
            "name": c.name, "squeeze": round(float(c.squeeze) / most, 3),
            "squeezeBad": loose,
            "squeezeText": f"squeeze {percent(c.squeeze)}" + ", short" * bool(loose),
            "gap": None if share is None else round(share, 3),
            "gapBad": wide,
            "gapText": f"gap {scene.length(float(c.gap))} {scene.length_unit}"
            + ", short" * bool(wide),
        }  # fmt: skip

    return {
        "corners": [one(c) for c in seen.corners], "drawn": seen.drawn, "picked": seen.picked,
        "least": least / most, "squeeze": f"squeeze {percent(drawn.squeeze)}",
        "gap": f"gap {scene.length(float(drawn.gap))} {scene.length_unit}",
    }  # fmt: skip


# ---- message


def verdict(scene: Scene) -> dict[str, Any]:
    """The gravest of the rings, or the closest."""
    a, ids = scene.shown.assessment, checks_of(scene)
    of_rings = {i for ring in present(scene) for i in checks_of(scene, ring)}
    ids = [
        i for i in ids
        if CHECKS[i].gravest == "stop" or (i in of_rings and _state(scene, i) != "meets")
    ]  # fmt: skip
    # A rule of geometry that is kept well gives way to the gaps, which pressure opens.
    ids = [i for i in ids if CHECKS[i].outcome or CHECKS[i].basis or not a.ratios[i] >= CLOSE]
    worst = min(ids, key=lambda i: (GRAVITY.index(_state(scene, i)), rank(a.ratios[i])))
    said = words.said_of(a, CHECKS[worst], scene.system)
    return {
        "bold": said.bold, "plain": said.plain, "state": _state(scene, worst),
        "aloud": " ".join(scene.refused.values()),
        "more": [f"Closest of {12 * len(present(scene))} corners", words.ESTIMATE],
        "kept": scene.kept_said,
    }  # fmt: skip
