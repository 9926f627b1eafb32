"""The picture of a gland as SVG text: true scale, the gap once more in a round inset.

Classes as in svg, weights in pixels; gland.css adds what only this picture has.
"""

import math
from collections.abc import Callable, Iterable, Sequence
from html import escape

import numpy as np

from hobbyclosure.gland import Gland
from hobbyclosure.gland_words import (
    Place,
    aloud,
    fault,
    gas,
    hundredths,
    micrometres,
    sizes,
    words,
)
from hobbyclosure.lettering import Sheet, _arrow, _text, text_width
from hobbyclosure.shapes import Points, Shape
from hobbyclosure.svg import _STEP, _paths, _patterns

ZOOMS = (32, 16, 8, 4, 2, 1)


def fit(gland: Gland, width: float, height: float) -> float:
    """Largest scale, px/mm, in steps of 3 %, that leaves room round the groove."""
    wide = max(gland.width, 0.9 * min(gland.reach + gland.start, 2 * gland.width))
    most = min(0.364 * width / wide, 0.40 * height / max(gland.depth, gland.section, 1e-3))
    return math.exp(_STEP * math.floor(math.log(max(most, 1e-2)) / _STEP))


def svg(
    gland: Gland,
    width: float,
    height: float,
    scale: float | None = None,
    fmt: Callable[[float], str] = hundredths,
    fine: Callable[[float], str] = micrometres,
    pressure: str = "",
    kept: Gland | None = None,
    prefix: str = "",
) -> str:
    """Gland as one SVG element of width × height px.

    `fmt` and `fine` write lengths (m), `pressure` is the pressure as text; kept: the same ring of
    another design, dashed; prefix: for ids, so that pictures on one page do not clash.
    """
    s = scale or fit(gland, width, height)
    p = Place(gland, width, height, s)
    sheet = Sheet(gland.drawing, width, height, s, p.ox, p.oy, fmt)
    body = [_patterns(prefix), _clip(prefix, p)]
    shapes = _cut(gland.drawing.shapes, p.ox, p.oy, s, width, height)
    body += _drawn(shapes, s, p.ox, p.oy, prefix)
    body += _break(gland, p)
    if kept:
        body.append(_kept(kept, p))
    # What stands is claimed first, so that no text covers it.
    ring = gland.drawing.named("ring")[0].points
    (left, low), (right, high) = ring.min(0), ring.max(0)
    sheet.taken.append(
        (p.ox + s * left - 2, p.oy - s * high + 2, p.ox + s * right, p.oy - s * low - 1)
    )
    if p.r >= 24:
        body += _inset(sheet, gland, p, prefix, fmt)
    body += fault(sheet, gland, p)
    body += gas(sheet, gland, p, pressure)
    body += sizes(sheet, gland, p, fmt)
    body += words(sheet, gland, p, fmt, fine)
    return (
        f'<svg class="pic gland" xmlns="http://www.w3.org/2000/svg" width="{width:g}" '
        f'height="{height:g}" viewBox="0 0 {width:g} {height:g}" role="img" '
        f'aria-label="{escape(aloud(gland, fmt, fine, pressure))}">{"".join(body)}</svg>'
    )


# ---- shapes


def _cut(
    shapes: Sequence[Shape], ox: float, oy: float, s: float, width: float, height: float
) -> list[Shape]:
    """Shapes with what lies far outside brought near the picture's edge."""
    low = np.array((-ox - 40, oy - height - 40)) / s
    high = np.array((width - ox + 40, oy + 40)) / s
    return [
        shape if shape.radius else _moved(shape, np.clip(shape.points, low, high))
        for shape in shapes
    ]


def _moved(shape: Shape, points: Points) -> Shape:
    return Shape(shape.part, shape.role, points, shape.name, closed=shape.closed, hatch=shape.hatch)


def _drawn(shapes: Sequence[Shape], s: float, ox: float, oy: float, prefix: str) -> Iterable[str]:
    for shape, d in zip(shapes, _paths(shapes, s, ox, oy), strict=True):
        fill = f' fill="url(#{escape(prefix)}{shape.hatch})"' if shape.hatch else ""
        yield f'<path class="{shape.role}"{fill} d="{d}"/>'


def _break(gland: Gland, p: Place) -> Iterable[str]:
    """Wavy end of the wall where the picture cuts it, paper above."""
    thick = gland.wall if gland.ring != "liner" else 1e9
    if p.oy - p.s * thick > 3:
        return
    step = p.width / 8
    waves = "".join(f"q{step / 2:.1f} {-5 if k % 2 else 5} {step + 0.5:.1f} 0" for k in range(8))
    yield f'<path class="ground" d="M-2 5{waves}V-2H-2Z"/><path class="break" d="M-2 5{waves}"/>'


def _kept(kept: Gland, p: Place) -> str:
    shapes = [shape for shape in kept.drawing.shapes if shape.name in ("groove", "ring", "backup")]
    cut = _cut(shapes, p.ox, p.oy, p.s, p.width, p.height)
    return f'<path class="kept" d="{"".join(_paths(cut, p.s, p.ox, p.oy))}"/>'


def _clip(prefix: str, p: Place) -> str:
    return (
        f'<clipPath id="{escape(prefix)}loupe"><circle cx="{p.ix:.1f}" cy="{p.iy:.1f}" '
        f'r="{p.r:.1f}"/></clipPath>'
    )


# ---- the inset


def _zoom(gland: Gland, p: Place) -> tuple[int, float]:
    """How much the inset enlarges, and the limit, mm, where the inset shows it (else 0).

    The most at which the gap, and its limit if that is not far beyond, fill a good part.
    """
    gap, limit = max(abs(gland.gap), 1e-6), 1e3 * float(gland.corner.limit)
    shown = limit if limit <= 2.6 * gap else 0.0
    fits = (z for z in ZOOMS if z * p.s * gap <= 1.0 * p.r and z * p.s * shown <= 1.3 * p.r)
    return next(fits, 1), shown


def _inset(
    sheet: Sheet, shown: Gland, p: Place, prefix: str, fmt: Callable[[float], str]
) -> Iterable[str]:
    """The gap enlarged, its limit as a short bar, its value bold; the bore at rest dashed."""
    g = shown.zoomed or shown
    (zoom, limit), r, ix, iy = _zoom(g, p), p.r, p.ix, p.iy
    z = zoom * p.s
    bore = iy + z * (max(limit, g.gap, 0.0) / 2 - g.gap) + 0.02 * r
    nib = -min(float(g.drawing.named("ring")[0].points[:, 0].min()), 0.0)
    said = fmt(g.corner.gap) if np.isfinite(g.corner.gap) else "no answer"
    room = text_width(said) + 7  # left of the dimension; the limit's figure stands left of its bar
    if limit and limit < g.gap:
        room = max(room, text_width(fmt(float(g.corner.limit))) + 21)
    dim = ix + min(max(-0.25 * r, room - r), 0.2 * r)
    edge = ix + min(max(0.3 * r, z * nib + dim - ix + 7), 0.8 * r)
    if g is shown and zoom > 1:
        yield _sight(shown, p, z)
    yield f'<circle class="ground" cx="{ix:.1f}" cy="{iy:.1f}" r="{r:.1f}"/>'
    yield f'<g clip-path="url(#{escape(prefix)}loupe)">'
    near = [shape for shape in g.drawing.shapes if shape.name != "free"]
    low = np.array((ix - r - 20 - edge, bore - iy - r - 20)) / z
    high = np.array((ix + r + 20 - edge, bore - iy + r + 20)) / z
    cut = [_moved(shape, np.clip(shape.points, low, high)) for shape in near]
    yield from _drawn(cut, z, edge, bore, prefix)
    land = bore + z * g.gap
    rest = land - z * g.rest
    dashed = abs(rest - bore) >= 1.5 and abs(rest - iy) < r
    if dashed:
        yield f'<path class="atrest" d="M{ix - r:.1f} {rest:.1f}H{edge - 0.3 * z * 0.13:.1f}"/>'
    yield f'</g><circle class="loupe" cx="{ix:.1f}" cy="{iy:.1f}" r="{r:.1f}"/>'
    yield from _gap(sheet, g, p, (dim, bore, land, z), said, fmt, rest if dashed else math.nan)
    sheet.taken.append((ix - r, iy - r, ix + r, iy + r))
    side = "" if shown.corner.loose else ", open side"
    for said in (
        f"gap × {zoom}{side}" + ", dashed at rest" * dashed, f"gap × {zoom}{side}", f"× {zoom}"
    ):  # fmt: skip
        y = iy + r + 17
        if sheet.claim_text(6, y, said, "start"):
            yield _text(6, y, said, "start", "halo")
            break


def _sight(g: Gland, p: Place, z: float) -> str:
    """Small circle at the gap and the lines that lead to the inset."""
    px, py = p.ox, p.oy + p.s * g.gap / 2
    small = p.r * p.s / z
    dx, dy = p.ix - px, p.iy - py
    far = max(math.hypot(dx, dy), 1.0)
    a, lean = math.atan2(dy, dx), math.acos(max(min((p.r - small) / far, 1.0), -1.0))
    lines = ""
    for turn in (a + math.pi - lean, a + math.pi + lean):
        c, s = math.cos(turn), math.sin(turn)
        lines += f"M{px + small * c:.1f} {py + small * s:.1f}L{p.ix + p.r * c:.1f} "
        lines += f"{p.iy + p.r * s:.1f}"
    return (
        f'<path class="lead" d="{lines}"/>'
        f'<circle class="loupe" cx="{px:.1f}" cy="{py:.1f}" r="{small:.1f}"/>'
    )


def _gap(
    sheet: Sheet,
    g: Gland,
    p: Place,
    at: tuple[float, float, float, float],
    said: str,
    fmt: Callable[[float], str],
    rest: float,
) -> Iterable[str]:
    """Dimension of the gap and its limit within the inset; at: x of it, bore, land, px/mm.

    `rest` is where the bore at rest is dashed.
    """
    x, bore, land, z = at
    ix, iy, r, c = p.ix, p.iy, p.r, g.corner
    wide = land - bore
    if wide > 18:
        lines = f"M{x:.1f} {bore:.1f}V{land:.1f}"
        arrows = _arrow(x, bore, 0, 1) + _arrow(x, land, 0, -1)
    else:
        lines = f"M{x:.1f} {bore - 14:.1f}V{land + 14:.1f}"
        arrows = _arrow(x, bore, 0, -1) + _arrow(x, land, 0, 1)
    yield f'<path class="dim" d="{lines}"/><path class="arrow" d="{arrows}"/>'
    middle = min(max((bore + land) / 2 + 5, iy - 0.5 * r), iy + 0.6 * r)
    bar = land - z * 1e3 * float(c.limit)
    under = bar > bore + 9  # less than the gap: its figure stands left of its bar, in the gap
    if under and abs(middle - bar - 5) < 17:
        middle = bar - 12 if bar - bore > 20 else bar + 22
    places = [(x - 5, middle, "end"), (x + 6, middle, "start")]
    places = [place for place in places if wide > 18] + [(x + 6, land + 17, "start")]
    for at_x, y, anchor in places:
        if _within(p, at_x, y, said, anchor) and sheet.claim_text(at_x, y, said, anchor):
            yield _text(at_x, y, said, anchor, "strong halo")
            break
    else:
        y = iy + 0.5 * r
        if sheet.claim_text(ix, y, said, "middle"):
            yield _text(ix, y, said, "middle", "strong halo")
    if not np.isfinite(c.limit):
        return
    said = fmt(float(c.limit))
    if bar < iy - 0.72 * r:  # beyond the inset: a stroke that points towards it
        bar = iy - 0.66 * r
        yield f'<path class="want" d="M{x - 6:.1f} {bar + 3:.1f}l6 -7l6 7"/>'
    else:
        yield f'<path class="want" d="M{x - 7:.1f} {bar:.1f}H{x + 7:.1f}"/>'
    above = bar - 5 if abs(bar - bore) < 9 else bar + 5
    beside = bar - 4 if abs(rest - bar) < 7 and bar - bore > 13 else bar + 5
    if under and sheet.claim_text(x - 11, beside, said, "end"):
        yield _text(x - 11, beside, said, "end", "halo")
        return
    for y in (above, bar + 5, bar + 14, bar - 6, iy - 0.55 * r):
        if sheet.claim_text(x + 11, y, said, "start"):
            yield _text(x + 11, y, said, "start", "halo")
            break


def _within(p: Place, x: float, y: float, text: str, anchor: str) -> bool:
    """Whether a text lies in the inset's circle, near enough."""
    end = x + text_width(text) * (1 if anchor == "start" else -1)
    return math.hypot(end - p.ix, y - 5 - p.iy) < p.r + 4
