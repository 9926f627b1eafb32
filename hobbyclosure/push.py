"""Pushing the closure in: force against the place of the primary ring, and the shapes to show it.

Weak evidence, from the same forms as the check of the push: Lindley's line force, Gent's modulus,
Coulomb friction. A place is that of the middle of a ring that lies against its groove's cold wall,
where friction drags it, with the closure in the middle; zero is the tube's end, positive inwards.
On the chamfer a ring is squeezed as far as the chamfer there squeezes it; over holes only the rest
of its circumference presses; what leaves a hole climbs its broken edge, 45°, fully squeezed. The
liner begins at the nose's shoulder. A chamfer that reaches past a ring at home is taken as ending
there: such rings are named in `on_chamfer`.
"""

from collections.abc import Iterator, Mapping
from itertools import pairwise
from typing import Any

import attrs
import numpy as np
from numpy.typing import NDArray

from hobbyclosure.checks.each import IN_BORE, RINGS, at
from hobbyclosure.gland import ring_section
from hobbyclosure.physics.chart import backup_thickness
from hobbyclosure.physics.push import (
    climbing,
    depth_on_chamfer,
    friction_that_moves,
    share_over_holes,
)
from hobbyclosure.physics.seal import (
    chamfer_rise,
    gland_depth,
    push_entering,
    push_sliding,
    squeeze,
    squeeze_line_force,
)
from hobbyclosure.profile import Sizes, turned

Array = NDArray[np.float64]

EDGE = np.pi / 4  # slope of a hole's broken edge
NEXT = 1e-9  # m: the other side of a jump
SHOWN = {"primary": "primary", "secondary": "secondary", "liner": "liner ring"}


@attrs.frozen
class Way:
    """What one ring meets, SI: `end` is the place of the primary when this ring is at its mouth."""

    ring: str
    end: float
    home: float  # its own way past the mouth, closure home
    chamfer: float
    stated: float  # the chamfer as the design has it
    theta: float
    depth: float
    section: float
    rubber: float
    bore: float
    mu: float
    rows: tuple[float, ...]  # of holes that it passes, past the mouth
    count: float
    hole: float
    edge: float

    @property
    def outer(self) -> float:
        """Diameter of the holes with their broken edges."""
        return self.hole + 2 * self.edge

    def line_force(self, s: Any) -> Any:
        """Force on the housing over the ring's length, past the mouth."""
        depth = depth_on_chamfer(self.depth, self.chamfer, self.theta, s)
        return squeeze_line_force(self.section, self.rubber, squeeze(self.section, depth))

    def force(self, x: Any) -> Any:
        """Share of the push when the primary is at x."""
        s = np.asarray(x, float) - self.end
        q = self.line_force(s)
        up = push_entering(q, self.bore, friction_that_moves(self.mu, self.theta), self.theta)
        slides = push_sliding(q, self.bore, self.mu)
        over = push_entering(q, self.bore, friction_that_moves(self.mu, EDGE), EDGE)
        whole, edges, steep = np.ones_like(s), np.zeros_like(s), np.zeros_like(s)
        for row in self.rows:
            y = s - row
            away = share_over_holes(self.count, self.outer, self.bore, y)
            edge = away - share_over_holes(self.count, self._inner, self.bore, y)
            climbs = edge * climbing(self.outer, y)
            whole, edges, steep = whole - away, edges + edge - climbs, steep + climbs
        inside = (np.maximum(whole, 0) + edges) * slides + steep * over
        return np.where(s < 0, 0.0, np.where(s <= self.chamfer + NEXT / 10, up, inside))

    @property
    def _inner(self) -> float:
        """Diameter in the holes down to which the ring lies on their edges: it bulges into them."""
        bulge = max(self.section - self.depth, 0.0)
        return max(self.outer - 2 * max(self.edge, min(bulge, self.hole / 2)), 0.0)

    @property
    def sliding(self) -> float:
        """Force in the plain bore."""
        return float(push_sliding(self.line_force(np.inf), self.bore, self.mu))

    @property
    def meets(self) -> float:
        """Place of the primary where this ring first touches, its mouth at the earliest."""
        rise = max(self.section - self.depth, 0.0)
        slope = np.sin(self.theta) / np.cos(self.theta)
        return self.end + max(self.chamfer - rise / slope, 0.0)

    @property
    def touches(self) -> bool:
        """Whether the bore squeezes it at all, and it comes that far."""
        return self.section > self.depth and self.home >= 0

    def where(self, x: float) -> str:
        """Where the ring is when the primary is at x: "out", "chamfer", "holes" or "in"."""
        s = x - self.end
        if not self.touches or x < self.meets:
            return "out"
        if s <= self.chamfer:
            return "chamfer"
        over = any(abs(s - row) < self.outer / 2 for row in self.rows)
        return "holes" if over else "in"


@attrs.frozen
class Mark:
    """A place on the way: "meets", "in", "holes", "past holes" of a ring, or "home"."""

    x: float
    what: str
    ring: str = ""


@attrs.frozen(eq=False)
class Push:
    """Force over the way, SI; `shares` are each ring's own, `spans` what is said from x to x."""

    x: Array
    force: Array
    shares: Mapping[str, Array]
    marks: tuple[Mark, ...]
    spans: tuple[tuple[float, float, str], ...]
    home: float
    peak: float
    peak_at: float
    on_chamfer: tuple[str, ...]
    outside: tuple[str, ...]
    ways: tuple[Way, ...]

    def at(self, x: float) -> tuple[str, float]:
        """What happens when the primary is at x, and the force."""
        x = min(max(x, float(self.x[0])), self.home)
        said = "home" if x >= self.home else next((w for a, b, w in self.spans if a <= x < b), "")
        return said, float(sum(way.force(x) for way in self.ways))


def ways(values: Mapping[str, Any]) -> tuple[Way, ...]:
    """What every ring of a design meets on its way in."""
    tube = float(values["closure_screw_station"] - values["case_edge_distance"])
    shoulder = float(values["closure_length"] - values["closure_nose"])
    rings = [ring for ring in RINGS if ring in IN_BORE or values["closure_nose"] > 0]
    home = _middle(values, "primary") - tube
    return tuple(_way(values, ring, home, tube if ring in IN_BORE else shoulder) for ring in rings)


def _middle(values: Mapping[str, Any], ring: str) -> float:
    """Station of a ring's middle, against its backup ring or the cold wall."""
    section = _section(values, ring)
    backed = min(float(values[f"seal_{ring}_backups"]), 1.0) * float(backup_thickness(section))
    return float(values[at("seal_station", ring)]) + backed + section / 2


def _section(values: Mapping[str, Any], ring: str) -> float:
    return float(values[at("seal_thin", ring)] + values[at("seal_thick", ring)]) / 2


def _way(values: Mapping[str, Any], ring: str, home: float, mouth: float) -> Way:
    def v(name: str) -> float:
        return float(values[at(name, ring)])

    own = _middle(values, ring) - mouth
    stated = float(values["case_lead_in" if ring in IN_BORE else "insulation_liner_lead_in"])
    hole, edge = float(values["screw_clearance_hole"]), float(values["case_hole_chamfer"])
    first, step = float(values["case_edge_distance"]), float(values["screw_row_spacing"])
    rows = [first + row * step for row in range(round(float(values["screw_rows"])))]
    passed = [row for row in rows if ring in IN_BORE and own > row - hole / 2 - edge]
    return Way(
        ring, home - own, own, min(stated, max(own - 10 * NEXT, 0.0)), stated,
        float(values["case_lead_in_angle"]),
        float(gland_depth(v("seal_bore"), v("seal_groove_diameter"))),
        _section(values, ring), v("seal_rubber"), v("seal_bore_max"), v("seal_friction"),
        tuple(passed), float(values["screw_count"]), hole, edge,
    )  # fmt: skip


def push_curve(values: Mapping[str, Any], points: int = 200) -> Push:
    """The force on the way in, for a design's values with the seals' quantities among them."""
    found = ways(values)
    home = found[0].home
    first = min(0.0, home, *(way.end for way in found if way.home >= 0))
    low = first - max(0.15 * (home - first), 2e-3)
    marks = sorted(_marks(found, home), key=lambda mark: mark.x)
    jumps = {mark.x for mark in marks} | {way.end for way in found}
    jumps |= {way.end + row for way in found for row in way.rows}
    near = [j + k * NEXT for j in jumps for k in (-1, 0, 1)]
    inside = [x for x in near if low < x < home]
    x = np.unique(np.concatenate([np.linspace(low, home, points), inside]))
    shares = {way.ring: way.force(x) for way in found}
    force = np.sum(list(shares.values()), axis=0)
    top = int(np.argmax(force))
    return Push(
        x, force, shares, tuple(marks), tuple(_spans(found, marks, low, home)), home,
        float(force[top]), float(x[top]),
        tuple(way.ring for way in found if way.chamfer < way.stated and way.home >= 0),
        tuple(way.ring for way in found if way.home < 0), found,
    )  # fmt: skip


def _marks(found: tuple[Way, ...], home: float) -> Iterator[Mark]:
    for way in found:
        if way.touches:
            yield Mark(way.meets, "meets", way.ring)
            yield Mark(way.end + way.chamfer, "in", way.ring)
            for row in way.rows:
                yield Mark(way.end + row - way.outer / 2, "holes", way.ring)
                if way.home > row + way.outer / 2:
                    yield Mark(way.end + row + way.outer / 2, "past holes", way.ring)
    yield Mark(home, "home")


def _spans(
    found: tuple[Way, ...], marks: list[Mark], low: float, home: float
) -> Iterator[tuple[float, float, str]]:
    places = sorted({low, home, *(mark.x for mark in marks if low < mark.x < home)})
    for a, b in pairwise(places):
        if b - a > 2 * NEXT:
            yield a, b, _said({way.ring: way.where((a + b) / 2) for way in found})


def _said(where: Mapping[str, str]) -> str:
    """What the rings do, the hardest first."""
    enter, cross, slide = (
        [SHOWN[ring] for ring, place in where.items() if place == what]
        for what in ("chamfer", "holes", "in")
    )
    said = [_do(cross, "over the holes", "over the holes")] if cross else []
    said += [_do(enter, "enters", "enter")] if enter else []
    if said:
        return ", ".join(said)
    return _do(slide, "slides", "slide") if slide else "nothing touches yet"


def _do(who: list[str], one: str, more: str) -> str:
    if len(who) == 1:
        return f"{who[0]} {one}"
    return f"{', '.join(who[:-1])} and {who[-1]} {more}"


# ---- the drawing over the curve


def push_drawing(values: Mapping[str, Any]) -> dict[str, Any]:
    """Polylines in mm at true scale: `tube`, `liner`, `holes` stay, `closure` and `rings` move.

    x of what stays is from the tube's end, x of what moves from the primary ring's middle: shift it
    by the primary's place. y is above the lowest line drawn, just below the deeper floor of primary
    and secondary; what lies lower (a nose, its groove) is cut off there. A ring has a `free` and a
    `squeezed` outline of equally many points, and the primary's places between which it changes.
    """
    z, found = Sizes(values), ways(values)
    middle = 1e3 * _middle(values, "primary")
    low = min(z.rings[ring][2] for ring in IN_BORE) - 0.6
    rise = 1e3 * float(chamfer_rise(values["case_lead_in"], values["case_lead_in_angle"]))
    top = z.R + min(z.t, max(1.2, rise + 0.4))
    cuts = [(x, x + w, floor) for x, w, floor, *_ in z.rings.values()]
    outline = [(0.0, low), *turned(z.L, z.R_c, z.nose, z.R_n, cuts), (z.L, low)]
    end, far = z.x_tube, z.L + 4
    holes = [
        {"x": x - end, "from": x - end - z.d_h / 2, "to": x - end + z.d_h / 2, "edge": z.chamfer}
        for x in z.x_screws
    ]
    return {
        "closure": [_placed(outline, middle, low)],
        "rings": [_ring(values, z, way, middle, low) for way in found],
        "tube": [
            _placed(p, end, low) for p in _tube(values, z, far, top, min(rise, top - z.R))
        ],
        "liner": [_placed(p, end, low) for p in _liner(values, z, far, low)],
        "holes": holes,
        "home": middle - end,
        "bore": z.R - low,
        "top": top - low,
    }  # fmt: skip


def _placed(points: Any, x: float, low: float) -> list[tuple[float, float]]:
    moved = np.asarray(points, float) - (x, low)
    moved[:, 1] = np.maximum(moved[:, 1], 0.0)
    return [(round(a, 4), round(b, 4)) for a, b in moved.tolist()]


def _ring(
    values: Mapping[str, Any], z: Sizes, way: Way, middle: float, low: float
) -> dict[str, Any]:
    d, (station, room, floor, *_) = 1e3 * way.section, z.rings[way.ring]
    start = 1e3 * _middle(values, way.ring) - d / 2
    room -= start - station
    depth = 1e3 * way.depth
    tight = depth if 0.05 * d < depth < 0.999 * d else 0.999 * d
    free, squeezed = (
        ring_section(d, H, max(room, d), False, 0.0, 0.0, 0.0, 0.0)[0] + (start, floor + H)
        for H in (0.999 * d, tight)
    )
    return {
        "name": way.ring,
        "free": _placed(free, middle, low),
        "squeezed": _placed(squeezed, middle, low),
        "meets": 1e3 * way.meets,
        "in": 1e3 * (way.end + way.chamfer),
    }


def _tube(
    values: Mapping[str, Any], z: Sizes, far: float, top: float, rise: float
) -> Iterator[list[tuple[float, float]]]:
    """The wall in pieces, from the chamfered end to beyond the closure, holes between them."""
    along, c = 1e3 * float(values["case_lead_in"]), z.chamfer
    left = [(z.x_tube, top), (z.x_tube, z.R + rise), (z.x_tube + along, z.R)]
    for x in z.x_screws:
        a = x - z.d_h / 2
        if a > left[-1][0]:  # holes of staggered rows may run into each other on the picture
            yield [*left, (max(a - c, left[-1][0]), z.R), (a, min(z.R + c, top)), (a, top)]
        b = x + z.d_h / 2
        left = [(b, top), (b, min(z.R + c, top)), (b + c, z.R)]
    yield [*left, (far, z.R), (far, top)]


def _liner(
    values: Mapping[str, Any], z: Sizes, far: float, low: float
) -> Iterator[list[tuple[float, float]]]:
    """The liner from the nose's shoulder on, with its lead-in, where it reaches the picture."""
    if z.nose and z.liner:
        start, along = z.L - z.nose, 1e3 * float(values["insulation_liner_lead_in"])
        inner = 1e3 * float(values["seal_liner_bore"]) / 2
        rise = 1e3 * float(
            chamfer_rise(values["insulation_liner_lead_in"], values["case_lead_in_angle"])
        )
        if low < inner < z.R:
            mouth = [(start, min(inner + rise, z.R)), (start + along, inner)]
            yield [(start, z.R), *mouth, (max(far, start + along), inner), (far, z.R)]
