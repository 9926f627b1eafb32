"""How a closure swells under pressure: the section's shapes moved as their parts give, exaggerated.

For looking only; no number is made from it. All is elastic, up to the first rung.
Everything moves in proportion to pressure: the tube grows (Lamé), less towards its free end, which
even turns in; the plate bows out like a thin plate held at its rim; the closure slips out on its
screws, which tilt. Millimetres, as in the drawing.
"""

from collections.abc import Callable, Mapping
from typing import Any

import attrs
import numpy as np

from hobbyclosure.drawing import section
from hobbyclosure.physics.sharing import slip_at_yield
from hobbyclosure.physics.vessel import axial_stress, bore_growth, end_force
from hobbyclosure.profile import Sizes
from hobbyclosure.shapes import Drawing, Points, Shape

REACH = 0.08  # farthest movement at the first rung, as a share of the bore: 6 mm on 76 mm
# Longest straight piece of what bends, as a share of the bore; the others move as they are.
FINE = {"tube": 1 / 20, "closure": 1 / 20, "screw": 1 / 40}

# What a name in the section points at moves with its part.
NAMED = {"liner": "tube", "plug": "plug", "pilot hole": "port"}


class Swelling:
    """How far each part of a design moves per pascal, in mm."""

    def __init__(self, v: Mapping[str, Any]) -> None:
        z = self.z = Sizes(v)
        r_i, r_o = z.R / 1e3, z.R_o / 1e3
        E, nu = float(v["case_E"]), float(v["case_nu"])
        n = z.count * z.rows
        self.growth = _known(1e3 * bore_growth(1.0, r_i, r_o, E, nu))
        self.drawn_in = _known(1e3 * nu * axial_stress(1.0, r_i, r_o) * r_i / E)
        self.slip = _known(1e3 * slip_at_yield(end_force(1.0, 2 * r_i) / n, z.d / 1e3, E))
        self.beta = (3 * (1 - nu**2)) ** 0.25 / np.sqrt((z.R + z.t / 2) * z.t)
        self.wet = max(z.rings["primary"][0] - z.x_tube, 0.0)  # the pressure begins at this ring
        self.held = z.x_screws[-1] - z.x_tube  # the end force enters at this row
        self._plate(v)

    def _plate(self, v: Mapping[str, Any]) -> None:
        a, b, h = self.z.R, self.z.hole, 1e3 * float(v["closure_plate"])
        E, nu = float(v["closure_E"]), float(v["closure_nu"])
        stiff = E * h**3 / (12 * (1 - nu**2))
        q = (3 + nu) / (16 * stiff)
        self.hub = max(b, 1e-3 * a)
        self.plate = (
            q * (a**2 + b**2) / (1 + nu),
            q * a**2 * b**2 / (1 - nu),
            1 / (16 * stiff),
        )

    def bow(self, r: Any) -> Any:
        """Deflection of the plate at a radius; thin, held at the bore, plugged: see physics.plate.

        Its slope C₁r + C₂/r − r³/16D leaves no moment at the hole's edge or at the rim.
        """
        a, r = self.z.R, np.clip(r, self.hub, self.z.R)
        c_1, c_2, c_3 = self.plate
        w = c_1 * (a**2 - r**2) / 2 + c_2 * np.log(a / r) - c_3 * (a**4 - r**4) / 4
        return _known(w)

    def swell(self, x: Any) -> Any:
        """Radial movement of the tube at a place along the axis.

        Pressure pushes from the primary ring on; the end force, which draws the tube in, begins at
        the screws.
        """
        s = np.maximum(np.subtract(x, self.z.x_tube), 0) * self.beta
        full = self.growth + self.drawn_in
        return full * _from(s, self.wet * self.beta) - self.drawn_in * _from(
            s, self.held * self.beta
        )

    @property
    def most(self) -> float:
        """The farthest that anything moves per pascal."""
        along = np.linspace(self.z.x_tube, self.z.x_end, 60)
        return float(max(self.slip + self.bow(self.hub), np.abs(self.swell(along)).max()))

    # ---- movements of points, per pascal

    def tube(self, points: Points) -> Points:
        """Out, or in, with the wall."""
        out = np.sign(points[:, 1]) * self.swell(points[:, 0])
        return np.stack([np.zeros_like(out), out], 1)

    def closure(self, points: Points) -> Points:
        """Out of the tube with the screws, bowed."""
        return self._outwards(self.slip + self.bow(np.abs(points[:, 1])))

    def plug(self, points: Points) -> Points:
        """With the edge of its hole, stiff."""
        return self._outwards(self.slip + np.full(len(points), self.bow(self.hub)))

    def port(self, points: Points) -> Points:
        """With the plate where the port sits, stiff."""
        return self._outwards(self.slip + np.full(len(points), self.bow(self.z.R_port)))

    def screw(self, points: Points) -> Points:
        """Built into the closure, held by the wall: bent like a cantilever, its head tilted."""
        z = self.z
        foot = max(z.tip, z.R_c - z.d)
        span = max(z.R_o - foot, 0.1 * z.d)
        u = np.maximum((np.abs(points[:, 1]) - foot) / span, 0)
        near = np.minimum(u, 1)
        back = (3 * near**2 - near**3) / 2 + 1.5 * (u - near)
        lean = self.slip * (3 * near - 1.5 * near**2) / span
        rows = np.array(z.x_screws)
        off = points[:, 0] - rows[np.abs(points[:, :1] - rows).argmin(1)]
        return np.stack([self.slip * (back - 1), -lean * off * np.sign(points[:, 1])], 1)

    def still(self, points: Points) -> Points:
        """Does not move."""
        return np.zeros_like(points)

    @staticmethod
    def _outwards(far: Any) -> Points:
        return np.stack([-far, np.zeros_like(far)], 1)


def _known(value: Any) -> Any:
    """What a material lacks moves nothing."""
    return np.nan_to_num(value, nan=0.0, posinf=0.0, neginf=0.0)[()]


def _from(s: Any, start: float) -> Any:
    """Movement at s of a long beam on an elastic foundation under a unit load from `start` on.

    Its end, at 0, is free; lengths are times beta. Hetényi, Beams on Elastic Foundation.
    """
    e = np.exp(-np.minimum(start, 50))
    c, b = e * (np.cos(start) - np.sin(start)), e * np.sin(start)
    off = np.minimum(np.abs(s - start), 50)
    step = np.exp(-off) * np.cos(off) / 2
    s = np.minimum(s, 50)
    end = np.exp(-s) * ((c - b) * np.cos(s) + b * np.sin(s)) / 2
    return np.where(s < start, step, 1 - step) + end


def kind(shape: Shape) -> str:
    """Which part a shape of the section moves with."""
    if shape.part == "case":
        return "still" if shape.name == "axis" else "tube"
    if shape.part == "insulation" and shape.name.startswith("liner"):
        return "tube"
    if shape.part in ("plug", "port", "screw"):
        return shape.part
    return "plug" if shape.name == "plug disc" else "closure"


def exaggeration(v: Mapping[str, Any], first: float) -> float:
    """The factor 1, 2 or 5 times a power of ten that draws the first rung's movement in sight."""
    swelling = Swelling(v)
    farthest = swelling.most * first
    if not (np.isfinite(farthest) and farthest > 0):
        return 1.0
    wished = REACH * swelling.z.D / farthest
    power = 10.0 ** np.floor(np.log10(wished))
    steps = np.array([1, 2, 5, 10]) * power
    return float(steps[np.abs(np.log(steps / wished)).argmin()])


def swollen(v: Mapping[str, Any], p: float, factor: float) -> Drawing:
    """The section at pressure p, its movements drawn `factor` times as large."""
    drawn = section(v)
    if not p > 0:
        return drawn
    swelling, scale = Swelling(v), p * factor
    kinds = [kind(shape) for shape in drawn.shapes]
    bent = [
        _finer(shape, FINE[each] * swelling.z.D) if each in FINE else shape
        for shape, each in zip(drawn.shapes, kinds, strict=True)
    ]
    out = list(bent)
    for each in dict.fromkeys(kinds):
        move: Callable[[Points], Points] = getattr(swelling, each)
        at = [i for i, k in enumerate(kinds) if k == each]
        points = np.concatenate([bent[i].points for i in at])
        moved = points + scale * move(points)
        ends = np.cumsum([len(bent[i].points) for i in at])[:-1]
        for i, own in zip(at, np.split(moved, ends), strict=True):
            out[i] = attrs.evolve(bent[i], points=own)
    names = [
        attrs.evolve(name, target=_moved(swelling, name.text, name.target, scale))
        for name in drawn.names
    ]
    return attrs.evolve(drawn, shapes=tuple(out), names=tuple(names))


def _moved(
    swelling: Swelling, text: str, at: tuple[float, float], scale: float
) -> tuple[float, float]:
    move: Callable[[Points], Points] = getattr(swelling, NAMED.get(text, "closure"))
    x, y = (np.array(at) + scale * move(np.array([at]))[0]).tolist()
    return x, y


def _finer(shape: Shape, longest: float) -> Shape:
    """The same outline with its long straight pieces divided, so that it can bend."""
    points = shape.points
    if shape.radius or len(points) < 2:
        return shape
    ends = np.roll(points, -1, axis=0) if shape.closed else points[1:]
    starts = points if shape.closed else points[:-1]
    long = np.hypot(*(ends - starts).T)
    if long.max() <= longest:
        return shape
    pieces = np.maximum(np.ceil(long / longest), 1).astype(int)
    share = np.arange(pieces.sum()) - np.repeat(np.cumsum(pieces) - pieces, pieces)
    share = (share / np.repeat(pieces, pieces))[:, None]
    starts, ends = np.repeat(starts, pieces, axis=0), np.repeat(ends, pieces, axis=0)
    fine = starts + share * (ends - starts)
    return attrs.evolve(shape, points=fine if shape.closed else np.vstack([fine, points[-1:]]))
