"""One ring in its groove in one corner, at true scale: shapes in millimetres.

x along the axis from the groove's cold wall, positive to the hot side; y from the housing's face
(bore or liner) as it stands in that corner, positive outwards. A loose corner is drawn on the open
side: the closure lies against the far wall, so the radial gap here is the diametral gap. A tight
one is drawn on the closed side, where the closure lies against this wall. Neighbouring grooves
are left out, the groove's upper edges are rounded in proportion; the ring's form is a picture, its
area and depth are the corner's own.
"""

from collections.abc import Mapping
from functools import lru_cache
from typing import Any

import attrs
import numpy as np

from hobbyclosure.checks.each import at
from hobbyclosure.corners import Corner
from hobbyclosure.physics.chart import backup_thickness
from hobbyclosure.shapes import Drawing, Pen, Points

FAR = 1e3  # mm: what is cut off by the picture's edge
BULGE = 0.26  # depth of the pressed ring's round side, as a share of the gland's depth


@attrs.frozen(eq=False)
class Gland:
    """A ring in a corner, ready to be drawn: all lengths but those of `corner` in mm.

    `gap` and `depth` are those of the side that is drawn, `start` and `room` what backup rings
    leave of the groove. `zoomed` is the same gland on the open side, for the inset.
    """

    ring: str
    corner: Corner
    drawing: Drawing
    width: float
    depth: float
    gap: float
    section: float
    start: float
    room: float
    reach: float
    wall: float
    floor: float
    backups: int
    pressed: bool
    grown: float
    rest: float
    faults: tuple[str, ...]
    zoomed: "Gland | None" = None

    @property
    def side(self) -> str:
        """Which side of the closure is drawn, in words."""
        return f"drawn on the {'open' if self.corner.loose else 'closed'} side"


def gland(values: Mapping[str, Any], ring: str, corner: Corner) -> Gland:
    """The picture of "primary", "secondary" or "liner" in a corner of a design's values."""
    gap = 1e3 * _known(corner.gap, values[at("seal_clearance_max", ring)])
    drawn_gap = gap if corner.loose else min(gap, _closed_side(values, ring))
    depth = 1e3 * _known(corner.depth, 0.0)
    found = _gland(values, ring, corner, gap=drawn_gap, depth=depth)
    if corner.loose:
        return found
    other = _gland(values, ring, corner, gap=gap, depth=depth + gap - drawn_gap)
    return attrs.evolve(found, zoomed=other)


def _closed_side(values: Mapping[str, Any], ring: str) -> float:
    """Radial gap, mm, where the closure lies against this wall: only a guided nose leaves one."""
    if ring != "liner":
        return 0.0
    least = values["seal_liner_bore_min"] - values["closure_nose_diameter_max"]
    return 1e3 * max(_known((least - values["seal_liner_play_tight"]) / 2, 0.0), 0.0)


def _known(value: Any, otherwise: Any) -> float:
    return float(value) if np.isfinite(value) else float(otherwise)


def swelling(values: Mapping[str, Any], ring: str, corner: Corner) -> tuple[float, float]:
    """What pressure does in a corner, m: growth of the housing's radius, all it adds to the gap.

    Zero where there is no pressure or no answer.
    """
    if corner.load == "none":
        return 0.0, 0.0
    times = float(values["loads_proof_factor"]) if corner.load == "proof" else 1.0
    tube = plate = times
    if corner.hot and corner.load == "MEOP":
        tube = float(values["case_E"] / values["case_E_hot"])
        plate = float(values["closure_E"] / values["closure_E_hot"])
    grown = tube * float(values[at("seal_growth", ring)])
    rim = plate * float(values[at("seal_rim", ring)])
    return _known(grown, 0.0), _known(2 * grown + rim, 0.0)


def _gland(values: Mapping[str, Any], ring: str, corner: Corner, gap: float, depth: float) -> Gland:
    def mm(name: str) -> float:
        return 1e3 * float(values[at(name, ring)])

    width, floor = mm("seal_groove_width"), mm("seal_groove_diameter")
    thin = (values[at("seal_thin", ring)] + values[at("seal_thick", ring)]) / 2
    section = 1e3 * _known(corner.section, thin)
    backups = round(float(values[f"seal_{ring}_backups"]))
    plate = 1e3 * float(backup_thickness(section / 1e3))
    start, room = min(backups, 1) * plate, width - backups * plate
    pressed, touches = corner.load != "none", depth < section
    wall = 1e3 * float(values["insulation_liner" if ring == "liner" else "case_wall"])
    grown, opened = swelling(values, ring, corner)

    edge = min(0.04 * section, 0.1 * width, max(0.6 * gap, 0.01 * section))
    radius = max(min(mm("seal_corner_radius"), 0.45 * width, depth - max(gap, 0.0) - edge), 0.0)
    limit = 1e3 * _known(corner.limit, corner.gap)
    body, reach = ring_section(
        section, depth, room, pressed, radius, 0.0 if backups else max(gap, 0.0), limit, edge
    )
    faults = []
    if not touches:
        faults.append("does not touch")
    if gap < 0 or depth <= 0:
        faults.append("does not go in")
    if touches and reach > room + 1e-6:
        faults.append("does not go into its groove")

    pen, below = Pen(), -max(depth, gap) - FAR
    house = "insulation" if ring == "liner" else "case"
    if ring == "liner":
        _slab(pen, "case", "tube", wall, wall + 1e3 * float(values["case_wall"]), "case")
    _slab(pen, house, "house", 0.0, wall, "liner" if ring == "liner" else "case")
    line = profile(width, -gap, -depth, radius, edge)
    closed = np.concatenate([line, [(FAR, below), (-FAR, below)]])
    pen.one("closure", "fill", "closure", closed, hatch="closure")
    pen.one("closure", "outline", "groove", line, closed=False)
    pen.one(house, "outline", "face", [(-FAR, 0.0), (FAR, 0.0)], closed=False)
    for left in (0.0, width - plate)[:backups]:
        box = [(left, 0.0), (left + plate, 0.0), (left + plate, -depth), (left, -depth)]
        pen.one("seal", "face", "backup", box)
    pen.one("seal", "ring", "ring", body + np.array((start, 0.0)))
    half = section / 2
    middle = (start + half, half - depth)
    pen.one("seal", "free", "free", [middle], radius=half)
    drawing = Drawing(
        "gland", f"{ring} ring, {corner.name}", tuple(pen.shapes), (0.0, width, -depth, 0.0)
    )
    return Gland(
        ring, corner, drawing, width, depth, gap, section, start, room, reach, wall, floor,
        backups, pressed, 1e3 * grown, gap - 1e3 * opened, tuple(faults),
    )  # fmt: skip


def _slab(pen: Pen, part: str, name: str, low: float, high: float, hatch: str) -> None:
    box = [(-FAR, low), (FAR, low), (FAR, high), (-FAR, high)]
    pen.one(part, "fill", name, box, hatch=hatch)
    pen.one(part, "outline", f"{name} edge", [(-FAR, high), (FAR, high)], closed=False)


def profile(width: float, land: float, floor: float, r: float, edge: float) -> Points:
    """Outline of the closure from the cold side to the hot: land, groove, land."""
    if floor >= land:  # a groove without depth
        return np.array([(-FAR, land), (0, land), (0, floor), (width, floor), (width, land),
                         (FAR, land)])  # fmt: skip
    e = min(edge, (land - floor) / 2)
    half = np.concatenate([
        [(-FAR, land)],
        _turn(90, 0, 9) * e + (-e, land - e),
        _turn(180, 270, 7) * r + (r, floor + r),
    ])  # fmt: skip
    return np.concatenate([half, half[::-1] * (-1, 1) + (width, 0)])


@lru_cache(maxsize=32)
def _turn(start: float, end: float, n: int) -> Points:
    a = np.radians(np.linspace(start, end, n))
    return np.stack([np.cos(a), np.sin(a)], 1)


@lru_cache(maxsize=1)
def _round() -> Points:
    """Unit circle as a polygon of the circle's own area."""
    n = 72
    return _turn(90, -270 + 360 / n, n) * np.sqrt(2 * np.pi / n / np.sin(2 * np.pi / n))


@lru_cache(maxsize=1)
def _soft() -> Points:
    """Right half of a superellipse, top to bottom: x from 0 to 1, y from 0 to −1."""
    a = np.linspace(0, np.pi, 31)
    c = np.cos(a)
    return np.stack([np.sin(a), (np.sign(c) * np.abs(c) ** 0.72 - 1) / 2], 1)


def area(points: Points) -> float:
    """Area of a polygon."""
    x, y = points.T
    return float(abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2)


def ring_section(
    d: float, H: float, room: float, pressed: bool, r: float, gap: float, limit: float, edge: float
) -> tuple[Points, float]:
    """Section of a ring of diameter d in a gland of depth H, and how far it reaches, area kept.

    Its cold side lies at x = 0, the housing's face at y = 0. Pressed: flat against cold wall, face
    and floor (corner radius r), with a nib into the gap that grows as the gap nears its limit.
    """
    if not 0.05 * d < H < d:  # does not touch, or has no room at all: round, on the floor
        return _round() * (d / 2) + (d / 2, d / 2 - H), d
    whole = np.pi / 4 * d**2
    if not pressed:
        return _squeezed(whole, H, room)
    nib = _nib(H, min(gap, 0.8 * H), limit, edge, 0.3 * whole)
    corner = min(max(r, 0.1 * H), 0.25 * H)
    foot = _turn(270, 180, 7) * corner + (corner, corner - H)
    bulge = min(BULGE * H, 0.4 * room) if room > 0 else BULGE * H
    body, reach = np.empty((0, 2)), 0.0
    for _ in range(3):
        side = _soft() * (bulge, H)
        body = np.concatenate([side, foot, nib])
        reach = (whole - area(body)) / H  # moving the round side by it adds the area that lacks
        body[: len(side), 0] += reach
        reach += bulge
        if reach <= room:
            break
        bulge = max(bulge - (reach - room) / _HOLLOW, 0.02 * H)  # it fills the groove's corners
    return body, reach


# Share of the box that the soft round side leaves empty.
_HOLLOW = 1 - area(_soft())


def _squeezed(whole: float, H: float, room: float) -> tuple[Points, float]:
    """Flat on face and floor, round on both sides; squarer where the groove is too narrow."""
    r, short = H / 2, 4 - np.pi
    wide = whole / H + short * r**2 / H
    if wide > room > 0:
        r = float(np.sqrt(np.clip((H * room - whole) / short, (0.02 * H) ** 2, r**2)))
        wide = whole / H + short * r**2 / H
    side = np.concatenate([_turn(90, 0, 12) * r + (-r, -r), _turn(0, -90, 12) * r + (-r, r - H)])
    body = np.concatenate([side + np.array((wide, 0)), side[::-1] * (-1, 1)])
    lack = (whole - area(body)) / H  # what the arcs' polygons are short of
    body[: len(side), 0] += lack
    return body, wide + lack


def _nib(H: float, gap: float, limit: float, edge: float, most: float) -> Points:
    """Cold wall's upper end and what is pushed into the gap, upwards and back along the face.

    `most` is the area it may take from the ring.
    """
    if gap <= 0:
        r = 0.1 * H
        return _turn(180, 90, 7) * r + (r, -r)
    e = min(edge, (H - gap) / 2)
    share = min(gap / limit, 1.2) if limit > 0 else 1.2
    long = min(max(gap * (0.1 + 0.6 * share), 0.8 * e), most / gap)
    tip = _turn(-90, -270, 13) * (min(0.45 * gap, long), gap / 2) + (-long, -gap / 2)
    return np.concatenate([_turn(0, 90, 9) * e + (-e, -gap - e), tip])
