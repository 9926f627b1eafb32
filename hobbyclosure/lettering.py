"""What is written on a drawing, in pixels: dimensions, names in white space only, clocking.

Every text claims its box; what finds none free is left out, the lesser rank first.
"""

import math
from collections.abc import Callable, Iterable, Sequence
from html import escape

from hobbyclosure.shapes import Dim, Drawing, Name

Box = tuple[float, float, float, float]

ROW = 19.0  # from line to line
_NARROW, _WIDE = frozenset("iljtfr.,'|: "), frozenset("mwMW⌀")


def text_width(text: str) -> float:
    """Width in px at 14 px, that of a very wide sans."""
    return sum(
        4.8 if c in _NARROW else 12.0 if c in _WIDE else 8.9 if c.isdigit() else 8.4 for c in text
    )


def margins(drawing: Drawing) -> tuple[float, float, float, float]:
    """Room in px left, above, right and below the drawing's box."""
    return (14.0, 32.0, 24.0, 26.0) if drawing.view == "section" else (54.0, 34.0, 54.0, 40.0)


class Sheet:
    """A drawing at a scale on its place, and the boxes already written in."""

    def __init__(
        self,
        drawing: Drawing,
        width: float,
        height: float,
        s: float,
        ox: float,
        oy: float,
        fmt: Callable[[float], str],
    ) -> None:
        self.drawing, self.width, self.height = drawing, width, height
        self.s, self.ox, self.oy, self.fmt = s, ox, oy, fmt
        self.taken: list[Box] = []

    def at(self, point: tuple[float, float]) -> tuple[float, float]:
        """Pixels of a point in mm."""
        return self.ox + self.s * point[0], self.oy - self.s * point[1]

    def claim(self, box: Box, apart: Sequence[Box] = ()) -> bool:
        """Take a box (left, top, right, bottom) when it lies on the picture and is free.

        It is to keep clear of the boxes `apart`, too.
        """
        a, b, c, d = box
        free = a >= 0 and b >= 0 and c <= self.width and d <= self.height
        free = free and not any(
            a < r + 5 and p < c + 5 and b < q + 1 and o < d + 1
            for p, o, r, q in (*self.taken, *apart)
        )
        if free:
            self.taken.append(box)
        return free

    def claim_text(
        self, x: float, y: float, text: str, anchor: str, apart: Sequence[Box] = ()
    ) -> bool:
        """Take the box of a text whose baseline starts, ends or has its middle at x, y."""
        wide = text_width(text)
        left = x - wide * {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor]
        return self.claim((left, y - 12, left + wide, y + 4), apart)


def _text(x: float, y: float, text: str, anchor: str, css: str, more: str = "") -> str:
    return (
        f'<text class="{css}" x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}"{more}>'
        f"{escape(text)}</text>"
    )


def _arrow(x: float, y: float, dx: float, dy: float) -> str:
    """Arrow head with its point at x, y; dx, dy leads away from it."""
    a, b, n, m = x + 8 * dx, y + 8 * dy, 2.2 * dy, 2.2 * dx
    return f"M{x:.1f} {y:.1f}L{a - n:.1f} {b + m:.1f} {a + n:.1f} {b - m:.1f}Z"


def letter_section(sheet: Sheet, names: bool, marked: Sequence[Box] = ()) -> list[str]:
    """Dimensions by rank, then the names of parts where no mark covers them."""
    out: list[str] = []
    for dim in sorted(sheet.drawing.dims, key=lambda dim: dim.rank):
        out += _DIMENSIONS[dim.side](sheet, dim)
    sheet.taken += marked
    if names:
        out += _skirt_names(sheet) + _hot_names(sheet) + _low_names(sheet)
    return out


def _dimension(lines: str, arrows: str, text: str) -> list[str]:
    return [f'<path class="dim" d="{lines}"/><path class="arrow" d="{arrows}"/>', text]


def _along(sheet: Sheet, dim: Dim) -> list[str]:
    """Length along the axis, above the tube or below it; its text above the line."""
    up = -1 if dim.side == "top" else 1
    edge = sheet.at((0, sheet.drawing.box[3 if up < 0 else 2]))[1]
    y = edge - 13 if up < 0 else edge + 21
    (a, start), (b, _) = sheet.at(dim.a), sheet.at(dim.b)
    a, b = min(a, b), max(a, b)
    text = dim.prefix + sheet.fmt(dim.value)
    wide = text_width(text)
    inside = b - a >= 22
    middle = (a + b) / 2
    places = [middle] if b - a > wide - 6 else [middle, a - 12 - wide / 2, b + 12 + wide / 2]
    x = next((x for x in places if sheet.claim_text(x, y - 5, text, "middle")), None)
    if x is None:
        return []
    tails = f"M{a:.1f} {y:.1f}H{b:.1f}" if inside else f"M{a - 16:.1f} {y:.1f}H{b + 16:.1f}"
    feet = "".join(f"M{e:.1f} {start + 3 * up:.1f}V{y + 4 * up:.1f}" for e in (a, b))
    way = 1 if inside else -1
    arrows = _arrow(a, y, way, 0) + _arrow(b, y, -way, 0)
    return _dimension(feet + tails, arrows, _text(x, y - 5, text, "middle", "num halo"))


def _wall(sheet: Sheet, dim: Dim) -> list[str]:
    """Arrows on both faces of the wall; the text on the outer leader."""
    x, outer = sheet.at(dim.b)
    x, inner = x - 46, sheet.at(dim.a)[1]
    text = dim.prefix + sheet.fmt(dim.value)
    if not sheet.claim_text(x + 7, outer - 12, text, "start"):
        return []
    lines = f"M{x:.1f} {outer:.1f}v-25M{x:.1f} {inner:.1f}v17"
    arrows = _arrow(x, outer, 0, -1) + _arrow(x, inner, 0, 1)
    return _dimension(lines, arrows, _text(x + 7, outer - 12, text, "start", "num"))


def _across(sheet: Sheet, dim: Dim) -> list[str]:
    """Bore: an upright line behind the tube's torn end, its text left of it."""
    (x, low), (_, high) = sheet.at(dim.a), sheet.at(dim.b)
    line = x + 18
    text = dim.prefix + sheet.fmt(dim.value)
    wide = text_width(text)
    y = high + 0.3 * (low - high)
    tall = low - high > wide + 8
    y = y if tall else high - 8
    box = (line - 18, y - wide / 2, line - 3, y + wide / 2)
    if not (tall and sheet.claim(box)):
        return []
    lines = "".join(f"M{x + 6:.1f} {e:.1f}H{line + 4:.1f}" for e in (low, high))
    lines += f"M{line:.1f} {high:.1f}V{low:.1f}"
    arrows = _arrow(line, high, 0, 1) + _arrow(line, low, 0, -1)
    turn = f' transform="translate({line - 6:.1f} {y:.1f}) rotate(-90)"'
    return _dimension(lines, arrows, _text(0, 0, text, "middle", "num halo", turn))


_DIMENSIONS: dict[str, Callable[[Sheet, Dim], list[str]]] = {
    "top": _along,
    "bottom": _along,
    "wall": _wall,
    "right": _across,
}


def _white(sheet: Sheet, where: str) -> Box:
    """White area in px: left, top, right, bottom."""
    x0, x1, y0, y1 = sheet.drawing.white[where]
    (left, bottom), (right, top) = sheet.at((x0, y0)), sheet.at((x1, y1))
    return left, top, right, bottom


def _asked(sheet: Sheet, where: str, most: int) -> list[Name]:
    """Names for an area that go into it, by rank, no more than it has lines for."""
    names = [name for name in sheet.drawing.names if name.where == where]
    return sorted(names, key=lambda name: name.rank)[: max(most, 0)]


def _led(sheet: Sheet, name: Name, x: float, y: float, anchor: str) -> str:
    """Name with a dot on its part and a leader between."""
    a, b = sheet.at(name.target)
    dx = 4 if anchor == "end" else -4
    return (
        f'<path class="lead" d="M{a:.1f} {b:.1f}L{x + dx:.1f} {y - 4.5:.1f}"/>'
        f'<circle class="leaddot" cx="{a:.1f}" cy="{b:.1f}" r="2.2"/>'
        + _text(x, y, name.text, anchor, "halo")
    )


def _skirt_names(sheet: Sheet) -> list[str]:
    """Names of the seals in the skirt's pocket, right-aligned, the farther ring lower."""
    left, top, right, bottom = _white(sheet, "skirt")
    names = _asked(sheet, "skirt", int((bottom - top) // ROW))
    out, edge = [], None
    for row, name in enumerate(sorted(names, key=lambda name: name.target[0])):
        here = sheet.at(name.target)[0]
        edge = min(here - 22 if edge is None else edge + 11, right - 14, here - 12)
        y = top + 15 + ROW * row
        wide = text_width(name.text)
        near = edge - wide >= max(left - 12, 0) and here - edge < 90
        if near and sheet.claim_text(edge, y, name.text, "end"):
            out.append(_led(sheet, name, edge, y, "end"))
    return out


def _hot_names(sheet: Sheet) -> list[str]:
    """Names right of the disc, above the axis, in one column from the wall inwards."""
    left, top, right, bottom = _white(sheet, "hot upper")
    room = bottom - top - 14
    names = _asked(sheet, "hot upper", int(room // (ROW - 1)))
    names.sort(key=lambda name: -name.target[1])
    step = min(room / max(len(names), 1), 22)
    out = []
    for row, name in enumerate(names):
        x = max(left + 24, sheet.at(name.target)[0] + 9 if name.text == "liner" else 0)
        y = top + 21 + step * row
        if x + text_width(name.text) < right - 6 and sheet.claim_text(x, y, name.text, "start"):
            out.append(_led(sheet, name, x, y, "start"))
    return out


def _low_names(sheet: Sheet) -> list[str]:
    """Below the axis: the pilot hole's name at its height, hot side, and the sensor's in it."""
    left, top, right, bottom = _white(sheet, "hot lower")
    out: list[str] = []
    for name in _asked(sheet, "hot lower", 2 if bottom - top > 44 else 1):
        wide = text_width(name.text)
        if name.text == "hot side":
            y = top + 26
            if right - wide - 30 > left and y < bottom - 6:
                free = sheet.claim_text(right - 16, y, name.text, "end")
                text = _text(right - 16, y, name.text, "end", "soft")
                out += [f'<g data-part="loads">{text}</g>'] if free else []
        else:
            here = sheet.at(name.target)[1]
            y, x = min(max(here + 5, top + 18), bottom - 8), left + 24
            fits = top < here < bottom and x + wide < right - 6
            if fits and sheet.claim_text(x, y, name.text, "start"):
                out.append(_led(sheet, name, x, y, "start"))
    for name in _asked(sheet, "sensor", 1):
        left, top, right, bottom = _white(sheet, "sensor")
        x, y = left + 6, top + 14
        fits = bottom - top >= 16 and right - left > text_width(name.text) + 10
        if fits and sheet.claim_text(x, y, name.text, "start"):
            out.append(_text(x, y, name.text, "start", "soft halo"))
    return out


def letter_end_view(sheet: Sheet, note: Sequence[str]) -> list[str]:
    """Captions in the upper corners, the ports' angles outside the ring, then the quarters."""
    out = []
    for x, anchor, lines in ((0.0, "start", sheet.drawing.captions), (sheet.width, "end", note)):
        for row, text in enumerate(lines):
            y = 16 + 18 * row
            sheet.claim_text(x, y, text, anchor)
            out.append(_text(x, y, text, anchor, "soft"))
    ring = sheet.s * sheet.drawing.box[1] + 15
    for number, angle in enumerate(sheet.drawing.angles):
        text = f"{angle:.1f}°"
        out += _port_angle(sheet, ring, angle, text if number else f"port {text}", number == 0)
    for angle in (0, 90, 180, 270):
        x, y = _round(sheet, ring + (12 if angle % 180 else 9), angle)
        anchor = {90: "start", 270: "end"}.get(angle, "middle")
        x += {90: -8, 270: 8}.get(angle, 0)
        y += {0: 2, 180: 8}.get(angle, 5)
        if sheet.claim_text(x, y, f"{angle}°", anchor):
            out.append(_text(x, y, f"{angle}°", anchor, "soft"))
    return out


def _round(sheet: Sheet, r: float, degrees: float) -> tuple[float, float]:
    a = math.radians(degrees)
    return sheet.ox + r * math.sin(a), sheet.oy - r * math.cos(a)


def _clear(sheet: Sheet, ring: float, box: Box) -> bool:
    """Whether a box stays outside the ring."""
    dx = max(box[0] - sheet.ox, 0.0, sheet.ox - box[2])
    dy = max(box[1] - sheet.oy, 0.0, sheet.oy - box[3])
    return math.hypot(dx, dy) > ring


def _port_angle(sheet: Sheet, ring: float, angle: float, text: str, must: bool) -> Iterable[str]:
    """Heavy tick on the ring; its angle beside it, or in the nearer lower corner."""
    (a, b), (c, d) = _round(sheet, ring - 12, angle), _round(sheet, ring + 6, angle)
    yield f'<path class="base" d="M{a:.1f} {b:.1f}L{c:.1f} {d:.1f}"/>'
    wide, right = text_width(text), math.sin(math.radians(angle)) >= 0
    tries = []
    for out in range(8, 28, 4):
        x, y = _round(sheet, ring + out, angle)
        y += 4 - 5 * math.cos(math.radians(angle))
        tries += [(x + 2, y), (x - wide - 2, y)] if right else [(x - wide - 2, y), (x + 2, y)]
        tries.append((x - wide / 2, y))
    tries += [(sheet.width - wide if right else 0.0, sheet.height - 6)] * must
    for x, y in tries:
        box = (x, y - 11, x + wide, y + 3)
        if _clear(sheet, ring, box) and sheet.claim(box):
            yield _text(x, y, text, "start", "num")
            return
