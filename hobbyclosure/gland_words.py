"""What is written on the picture of a gland, and the picture in words.

Every text claims its place, the weightier first; what finds none is left out and stands in the
label that is read aloud.
"""

import math
from collections.abc import Callable, Iterable, Sequence

import numpy as np

from hobbyclosure.gland import Gland
from hobbyclosure.lettering import Sheet, _arrow, _text, text_width
from hobbyclosure.units import trimmed

RADIUS = 68.0  # of the inset, where there is room for it


def hundredths(value: float) -> str:
    """Default text of a length in metres."""
    return trimmed(1e3 * value, 2).replace("-", "−")


def micrometres(value: float) -> str:
    """Default text of a small length in metres."""
    return f"{1e6 * value:.0f} µm"


class Place:
    """Where things lie on the picture, px."""

    def __init__(self, g: Gland, width: float, height: float, s: float) -> None:
        self.s, self.width, self.height = s, width, height
        self.ox = min(0.385 * width, max(width - s * g.width - 84, 0.3 * width))
        self.oy = 0.28 * height
        self.x1 = self.ox + s * g.width
        self.land = self.oy + s * max(g.gap, 0.0)
        self.floor = self.oy + s * max(g.depth, 0.0)
        room = min((self.ox - 22) / 2, (height - self.land - 40) / 2)
        self.r = max(min(RADIUS, room), 0.0)
        self.ix = max(self.r + 8, min(self.ox / 2 - 5, 78.0))
        self.iy = self.land + 10 + self.r + 0.4 * max(height - self.land - 40 - 2 * self.r, 0.0)


def aloud(
    gland: Gland,
    fmt: Callable[[float], str] = hundredths,
    fine: Callable[[float], str] = micrometres,
    pressure: str = "",
) -> str:
    """The picture in words."""
    c = gland.corner
    says = [f"{gland.ring} ring in its groove, {c.name}"]
    says += [gland.side, *gland.faults]
    gap = f"gap {fmt(c.gap)}" if np.isfinite(c.gap) else "no answer for the gap"
    limit = f"up to {fmt(c.limit)} may be bridged" if np.isfinite(c.limit) else "no limit known"
    says += [gap, limit, f"depth {fmt(gland.depth / 1e3)}"]
    for name in ("squeeze", "stretch", "fill"):
        value = getattr(c, name)
        says.append(f"{name} {100 * value:.1f} %" if np.isfinite(value) else f"no {name} known")
    says += [f"groove {fmt(gland.width / 1e3)} wide", f"floor ⌀ {fmt(gland.floor / 1e3)}"]
    says.append(f"free section {fmt(gland.section / 1e3)}")
    if gland.backups:
        says.append(f"{gland.backups} backup ring{'s'[: gland.backups - 1]}")
    if gland.pressed:
        says.append(f"{pressure or 'pressure'} on the hot side")
    if gland.grown:
        says.append(f"{_house(gland)} swollen {fine(gland.grown / 1e3)}")
    return ", ".join(says)


def _house(gland: Gland) -> str:
    return "liner" if gland.ring == "liner" else "bore wall"


def fault(sheet: Sheet, gland: Gland, p: Place) -> Iterable[str]:
    """What is wrong with it, above the groove."""
    for row, said in enumerate(gland.faults):
        y = p.oy - 12 - 18 * row
        for x, anchor in (((p.ox + p.x1) / 2, "middle"), (p.width / 2, "middle")):
            if sheet.claim_text(x, y, said, anchor):
                yield _text(x, y, said, anchor, "strong halo")
                break


def gas(sheet: Sheet, gland: Gland, p: Place, pressure: str) -> Iterable[str]:
    """Arrows of the gas where there is room for them, and the hot side's name and pressure."""
    backed = p.s * (gland.width - gland.start - gland.room) if gland.backups > 1 else 0.0
    hot, tall = p.x1 - backed - 3, p.floor - p.oy
    if gland.pressed and not gland.faults and tall > 30:
        lines = arrows = ""
        for k in (0.3, 0.5, 0.7):
            y = p.oy + tall * k
            x = p.ox + p.s * (gland.start + gland.reach) + 9 - 55 * (k - 0.5) ** 2
            if hot - x > 11:
                lines += f"M{x + 5:.1f} {y:.1f}H{hot:.1f}"
                arrows += _arrow(x, y, 1, 0)
        yield f'<path class="gas" d="{lines}"/><path class="gas head" d="{arrows}"/>' * bool(lines)
    lines_ = ["hot side", *([pressure] if gland.pressed and pressure else [])]
    yield from _stack(sheet, lines_, p.width - 6, "end", p.land + 32, p.height - 8)


def _stack(
    sheet: Sheet, texts: Sequence[str], x: float, anchor: str, y: float, low: float,
    soft: Sequence[str] = (),
) -> Iterable[str]:  # fmt: skip
    """Lines below each other at the first height where all are free; `soft` ones are quieter."""
    while y + 18 * (len(texts) - 1) <= low:
        was = len(sheet.taken)
        if all(sheet.claim_text(x, y + 18 * k, text, anchor) for k, text in enumerate(texts)):
            for k, text in enumerate(texts):
                css = "soft halo" if text in soft else "halo"
                yield _text(x, y + 18 * k, text, anchor, css)
            return
        del sheet.taken[was:]
        y += 9


def sizes(sheet: Sheet, gland: Gland, p: Place, fmt: Callable[[float], str]) -> Iterable[str]:
    """Depth with the gap in it, width of the groove."""
    low, high = max(p.floor, p.oy), min(p.floor, p.oy)
    text = fmt(gland.depth / 1e3)
    wide, x = text_width(text), p.x1 + 28
    tall = low - high > wide + 6
    y = (max(p.land, high) + low) / 2 if low - max(p.land, high) > wide + 4 else (low + high) / 2
    box = (x - 19, y - wide / 2, x - 4, y + wide / 2)
    if low - high > 14 and x < p.width - 4:
        lines = f"M{p.x1 + 3:.1f} {p.floor:.1f}H{x + 4:.1f}M{x:.1f} {high:.1f}V{low:.1f}"
        arrows = _arrow(x, high, 0, 1) + _arrow(x, low, 0, -1)
        if tall and sheet.claim(box):
            turn = f' transform="translate({x - 6:.1f} {y:.1f}) rotate(-90)"'
            yield _dimension(lines, arrows)
            yield _text(0, 0, text, "middle", "num halo", turn)
        elif sheet.claim_text(x + 6, (low + high) / 2 + 5, text, "start"):
            yield _dimension(lines, arrows)
            yield _text(x + 6, (low + high) / 2 + 5, text, "start", "num halo")
        sheet.taken.append((x - 2, high, x + 2, low))
    text, y = fmt(gland.width / 1e3), max(p.floor, p.land) + 19
    middle = (p.ox + p.x1) / 2
    for at_x in (middle, p.x1 - text_width(text) / 2, p.ox + text_width(text) / 2):
        if sheet.claim_text(at_x, y + 16, text, "middle"):
            lines = "".join(f"M{x:.1f} {p.floor + 3:.1f}V{y + 4:.1f}" for x in (p.ox, p.x1))
            lines += f"M{p.ox:.1f} {y:.1f}H{p.x1:.1f}"
            yield _dimension(lines, _arrow(p.ox, y, 1, 0) + _arrow(p.x1, y, -1, 0))
            yield _text(at_x, y + 16, text, "middle", "num halo")
            break


def _dimension(lines: str, arrows: str) -> str:
    return f'<path class="dim" d="{lines}"/><path class="arrow" d="{arrows}"/>'


def words(
    sheet: Sheet,
    gland: Gland,
    p: Place,
    fmt: Callable[[float], str],
    fine: Callable[[float], str],
) -> Iterable[str]:
    """Cold side, what is pressed against and how far it has grown, the free ring, the floor."""
    house = [_house(gland)]
    swollen = f"swollen {fine(gland.grown / 1e3)}" if gland.grown else ""
    # Beside each other where the wall is too low on the picture for two lines.
    outer = p.oy - p.s * gland.wall
    top = outer + 17 if outer > 8 else 25
    lines = [*house, swollen] if swollen and p.oy - 9 > top + 18 else [*house]
    yield from _stack(sheet, lines, p.width - 6, "end", top, p.oy - 9, (swollen,))
    yield from _stack(sheet, ["cold side"], 6, "start", top, p.oy - 9)
    if swollen and len(lines) == 1:
        yield from _stack(sheet, [swollen], p.width - 6, "end", 25, p.oy - 9, (swollen,))
    yield from _backup(sheet, gland, p)
    texts = [f"free {fmt(gland.section / 1e3)}", f"floor ⌀ {fmt(gland.floor / 1e3)}"]
    longest = max(map(text_width, texts))
    x = min((p.ox + p.x1) / 2 + 32, p.width - 6 - longest)
    written = list(_stack(sheet, texts, x, "start", p.floor + 58, p.height - 8))
    if not written:
        written = list(_stack(sheet, texts[:1], x, "start", p.floor + 40, p.height - 8))
    if not written:
        return
    first = float(written[0].split('y="')[1].split('"')[0])
    half = p.s * gland.section / 2
    cx, cy = p.ox + p.s * gland.start + half, p.floor - half
    to_x, to_y = x - 3, first - 6
    away = math.hypot(to_x - cx, to_y - cy)
    if away > half + 6:
        a, b = cx + (to_x - cx) * half / away, cy + (to_y - cy) * half / away
        yield f'<path class="lead" d="M{a:.1f} {b:.1f}L{to_x:.1f} {to_y:.1f}"/>'
    yield from written


def _backup(sheet: Sheet, gland: Gland, p: Place) -> Iterable[str]:
    """Name of the backup rings, led to the one on the cold side."""
    if not gland.backups:
        return
    x, said = p.ox + p.s * gland.start / 2, "backup"
    for to_x, y, anchor in ((p.ox - 8, p.floor + 19, "end"), (p.ox - 4, p.floor + 56, "start"),
                            (p.ox - 8, p.floor + 56, "end")):  # fmt: skip
        if sheet.claim_text(to_x, y, said, anchor):
            end = (to_x + 3, y - 5) if anchor == "end" else (to_x + 14, y - 13)
            yield f'<path class="lead" d="M{x:.1f} {p.floor - 6:.1f}L{end[0]:.1f} {end[1]:.1f}"/>'
            yield f'<circle class="leaddot" cx="{x:.1f}" cy="{p.floor - 6:.1f}" r="2.2"/>'
            yield _text(to_x, y, said, anchor, "halo")
            return
