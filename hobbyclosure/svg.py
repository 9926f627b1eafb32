"""A drawing as SVG text: classes instead of colours, line weights and letters in pixels.

picture.css gives the classes their look; the hatching lies here, since patterns need a scale of
their own. `fit` finds the scale, which a caller may hold while a value is dragged.
"""

import math
from collections.abc import Callable, Iterable, Sequence
from functools import lru_cache
from html import escape
from itertools import groupby

import attrs
import numpy as np

from hobbyclosure.lettering import (
    Box,
    Sheet,
    letter_end_view,
    letter_section,
    margins,
    text_width,
)
from hobbyclosure.shapes import Drawing, Shape
from hobbyclosure.units import trimmed

Mark = tuple[str, float, float] | tuple[str, float, float, str] | tuple[str, float, float, str, str]


@attrs.frozen(eq=False)
class Refused:
    """Geometry that cannot be, and where it meets itself: x, y in mm and by how much."""

    drawing: Drawing
    clashes: Sequence[tuple[float, float, str]] = ()


GRAVER = ("stop", "look", "know")
_STEP = math.log(1.03)  # scales change in steps, so that a slider does not make the picture breathe
_HATCH = (("case", 4, 45), ("closure", 6, -45), ("plug", 4, 60), ("liner", 3, 90))


def millimetres(value: float) -> str:
    """Default text of a length in metres."""
    return trimmed(1e3 * value, 3)


def fit(drawing: Drawing, width: float, height: float) -> float:
    """Largest scale, px/mm, in steps of 3 %, that leaves room for what is written round it."""
    x0, x1, y0, y1 = drawing.box
    left, top, right, bottom = margins(drawing)
    most = min((width - left - right) / (x1 - x0), (height - top - bottom) / (y1 - y0))
    return math.exp(_STEP * math.floor(math.log(max(most, 1e-3)) / _STEP))


def svg(
    drawing: Drawing,
    width: float,
    height: float,
    scale: float | None = None,
    marks: Sequence[Mark] = (),
    kept: Drawing | None = None,
    rest: Drawing | None = None,
    selected: str | None = None,
    gone: Sequence[str] = (),
    refused: Refused | None = None,
    names: bool = True,
    title: str | None = None,
    fmt: Callable[[float], str] = millimetres,
    note: Sequence[str] = (),
    prefix: str = "",
) -> str:
    """Drawing as one SVG element of width × height px.

    marks: (level, x, y[, id[, name]]) in mm; kept: the same view of another design, dashed where it
    differs; rest: the view at rest, thinly dashed where this one has swollen; selected: a part
    drawn as selected; gone: parts drawn as let go; refused: geometry that was not taken, dashed
    over this one; note: lines for the end view's free corner;
    prefix: for the ids of patterns, so that pictures on one page do not clash.
    """
    s = scale or fit(drawing, width, height)
    x0, x1, y0, y1 = drawing.box
    left, top, right, bottom = margins(drawing)
    ox = left + (width - left - right - s * (x1 - x0)) / 2 - s * x0
    oy = top + (height - top - bottom + s * (y1 + y0)) / 2
    sheet = Sheet(drawing, width, height, s, ox, oy, fmt)
    placed = list(_placed(marks, s, ox, oy))
    body = [_patterns(prefix)]
    if drawing.view == "end":
        body.append(clocking_ring(round(ox, 1), round(oy, 1), round(s * x1, 1)))
    body += _parts(drawing.shapes, s, ox, oy, selected, prefix, gone)
    if rest:
        body.append(_other(drawing, rest, s, ox, oy, "rest"))
    if kept:
        body.append(_other(rest or drawing, kept, s, ox, oy, "kept"))
    if refused:
        body += _refused(sheet, drawing, refused, [place.box for place in placed])
    body += (
        letter_section(sheet, names, [place.box for place in placed])
        if drawing.view == "section"
        else letter_end_view(sheet, note)
    )
    body += [place.drawn() for place in placed] + [place.counted() for place in placed]
    label = title or ", ".join([drawing.title, *(f"{d.name} {fmt(d.value)}" for d in drawing.dims)])
    return (
        f'<svg class="pic {drawing.view}" xmlns="http://www.w3.org/2000/svg" width="{width:g}" '
        f'height="{height:g}" viewBox="0 0 {width:g} {height:g}" role="img" '
        f'aria-label="{escape(label)}">{"".join(body)}</svg>'
    )


@lru_cache(maxsize=8)
def _patterns(prefix: str) -> str:
    open_ = f'<pattern id="{escape(prefix)}%s" width="%g" height="%g" patternUnits="userSpaceOnUse"'
    out = [
        open_ % (name, step, step) + f' patternTransform="rotate({angle})">'
        f'<path class="tint" d="M0 0H{step}V{step}H0Z"/>'
        f'<path class="hatch" d="M0 0V{step}"/></pattern>'
        for name, step, angle in _HATCH
    ]
    out.append(
        open_ % ("disc", 6, 6) + ' patternTransform="rotate(45)"><path class="tint" '
        'd="M0 0H6V6H0Z"/><path class="hatch" d="M0 6V0H6"/></pattern>'
    )
    dots = "".join(f'<circle class="dot" cx="{c}" cy="{c}" r=".8"/>' for c in (1.2, 3.7))
    out.append(open_ % ("potting", 5, 5) + f'><path class="tint" d="M0 0H5V5H0Z"/>{dots}</pattern>')
    return f"<defs>{''.join(out)}</defs>"


@lru_cache(maxsize=2**14)
def _tenth(tenths: int) -> str:
    """Pixels as text; made once, for writing numbers is most of the work of writing a path."""
    return f"{tenths / 10:g}"


def _paths(shapes: Sequence[Shape], s: float, ox: float, oy: float) -> list[str]:
    """Path of each shape; all their points are turned into pixels at once."""
    if not shapes:
        return []
    points = np.concatenate([shape.points for shape in shapes])
    tenths = np.rint(10 * (points * (s, -s) + np.array((ox, oy)))).astype(int)
    texts = list(map(_tenth, tenths.ravel().tolist()))
    out, start = [], 0
    for shape in shapes:
        end = start + 2 * len(shape.points)
        if shape.radius or end - start <= 2:
            out.append(_circle(shape, s, ox, oy))
        else:
            out.append(f"M{' '.join(texts[start:end])}{'Z' if shape.closed else ''}")
        start = end
    return out


def _circle(shape: Shape, s: float, ox: float, oy: float) -> str:
    (x, y), out = shape.points[0].tolist(), ""
    for radius in (shape.radius, shape.inner):
        r = round(s * radius, 2)
        start = f"M{ox + s * x - r:.2f} {oy - s * y:.2f}"
        out += f"{start}a{r} {r} 0 1 0 {2 * r:.2f} 0a{r} {r} 0 1 0 {-2 * r:.2f} 0Z" if r else ""
    return out


def _look(drawn: tuple[Shape, str]) -> tuple[str, str]:
    return drawn[0].role, drawn[0].hatch


def _parts(
    shapes: Sequence[Shape],
    s: float,
    ox: float,
    oy: float,
    selected: str | None,
    prefix: str,
    gone: Sequence[str] = (),
) -> Iterable[str]:
    """Group for each run of one part, a path for each run of one look in it."""
    drawn = zip(shapes, _paths(shapes, s, ox, oy), strict=True)
    for part, run in groupby(drawn, lambda each: each[0].part):
        classes = ["sel"] * (part == selected) + ["gone"] * (part in gone)
        chosen = f' class="{" ".join(classes)}"' if classes else ""
        yield f'<g data-part="{part}"{chosen}>'
        for (role, hatch), alike in groupby(run, _look):
            fill = f' fill="url(#{escape(prefix)}{hatch})"' if hatch else ""
            d = "".join([path for _, path in alike])
            yield f'<path class="{role}"{fill} d="{d}"/>' if d else ""
        yield "</g>"


def _refused(
    sheet: Sheet, drawing: Drawing, refused: Refused, marked: Sequence[Box]
) -> Iterable[str]:
    """What was not taken, dashed; a ring and the overlap where its parts meet; what dashed means.

    A place off the picture is marked at its edge.
    """
    s, ox, oy = sheet.s, sheet.ox, sheet.oy
    yield _other(drawing, refused.drawing, s, ox, oy, "refused", (*_SHOWN_KEPT, "void"))
    said = "dashed: not taken"
    x, y = sheet.width - 14, sheet.height - 8
    if sheet.claim_text(x, y, said, "end"):
        yield f'<text class="halo" x="{x:.1f}" y="{y:.1f}" text-anchor="end">{said}</text>'
    for at_x, at_y, overlap in dict.fromkeys(refused.clashes):
        x = min(max(ox + s * at_x, 16.0), sheet.width - 16)
        y = min(max(oy - s * at_y, 16.0), sheet.height - 16)
        yield f'<circle class="clash" cx="{x:.1f}" cy="{y:.1f}" r="12"/>'
        beside = ((17, 5, "start"), (-17, 5, "end"), (0, 28, "middle"), (0, -17, "middle"))
        for dx, dy, anchor in beside:
            if sheet.claim_text(x + dx, y + dy, overlap, anchor, marked):
                yield (
                    f'<text class="clash halo" x="{x + dx:.1f}" y="{y + dy:.1f}" '
                    f'text-anchor="{anchor}">{escape(overlap)}</text>'
                )
                break


_SHOWN_KEPT = ("part", "outline", "face", "face thin", "ring", "metal", "ghost paper")


def _other(
    drawing: Drawing,
    other: Drawing,
    s: float,
    ox: float,
    oy: float,
    look: str,
    roles: Sequence[str] = _SHOWN_KEPT,
) -> str:
    """Shapes that another drawing has elsewhere, dashed; what did not move is not drawn twice."""
    now: dict[str, list[Shape]] = {}
    for shape in drawing.shapes:
        now.setdefault(shape.name, []).append(shape)
    elsewhere = [
        shape
        for shape in other.shapes
        if shape.role in roles and not any(map(shape.placed_as, now.get(shape.name, ())))
    ]
    d = "".join(_paths(elsewhere, s, ox, oy))
    return f'<path class="{look}" d="{d}"/>' if d else ""


@lru_cache(maxsize=16)
def clocking_ring(cx: float, cy: float, radius: float) -> str:
    """Ticks every 5°, long ones every 15°, outside the heads."""
    a = np.radians(np.arange(0, 360, 5))
    way = np.stack([np.sin(a), -np.cos(a)], 1)
    long = np.where(np.arange(72) % 3 == 0, 15.0, 10.0)[:, None]
    ends = np.hstack([way * (radius + 4), way * (radius + long)]) + np.array((cx, cy, cx, cy))
    d = "".join(f"M{x} {y}L{u} {w}" for x, y, u, w in ends.round(1).tolist())
    return f'<path class="tick" d="{d}"/>'


@attrs.frozen
class _Place:
    """Where marks stand, in px: the gravest's level, their ids."""

    level: str
    x: float
    y: float
    ids: tuple[str, ...]
    names: str = ""

    @property
    def count(self) -> str:
        """How many stand there, where it is more than one."""
        return str(len(self.ids)) if len(self.ids) > 1 else ""

    @property
    def box(self) -> Box:
        """What they cover: left, top, right, bottom."""
        right = self.x + 14 + text_width(self.count) if self.count else self.x + 12
        return self.x - 12, self.y - 12 - 6 * bool(self.count), right, self.y + 12

    def drawn(self) -> str:
        """The gravest, with their names for who does not see them."""
        x, y = self.x, self.y
        said = f' aria-label="{escape(f"{self.level}: {self.names}")}"' if self.names else ""
        return (
            f'<g class="mark" data-mark="{escape(" ".join(i for i in self.ids if i))}"{said}>'
            f'<circle class="ground" cx="{x:.1f}" cy="{y:.1f}" r="15"/>'
            f"{mark(self.level, x, y, 12)}</g>"
        )

    def counted(self) -> str:
        """Their number, over whatever stands near."""
        x, y = self.x + 14, self.y - 6
        text = f'<text class="halo" x="{x:.1f}" y="{y:.1f}">{self.count}</text>'
        return text if self.count else ""


def _placed(marks: Sequence[Mark], s: float, ox: float, oy: float) -> Iterable[_Place]:
    """Marks at one place are one, of the gravest's level."""
    left = sorted(marks, key=lambda mark: GRAVER.index(mark[0]) if mark[0] in GRAVER else 9)
    while left:
        level, at_x, at_y, *_ = left[0]
        x, y = ox + s * at_x, oy - s * at_y
        here = [m for m in left if math.hypot(ox + s * m[1] - x, oy - s * m[2] - y) < 24]
        left = [m for m in left if m not in here]
        names = ", ".join(str(m[4]) for m in here if len(m) > 4)
        yield _Place(level, x, y, tuple(str(m[3]) if len(m) > 3 else "" for m in here), names)


def mark(level: str, x: float, y: float, r: float) -> str:
    """Shape of a warning level: stop, look, know."""
    if level == "stop":
        corners = [(k + 0.5) * math.pi / 4 for k in range(8)]
        ring = " ".join(f"{x + r * math.cos(a):.1f} {y + r * math.sin(a):.1f}" for a in corners)
        bar = f"M{x - 0.55 * r:.1f} {y - 0.16 * r:.1f}h{1.1 * r:.1f}v{0.32 * r:.1f}h{-1.1 * r:.1f}Z"
        return f'<path class="solid" d="M{ring}Z"/><path class="cut" d="{bar}"/>'
    if level == "look":
        foot = y + 0.82 * r
        return (
            f'<path class="open" d="M{x:.1f} {y - r:.1f}L{x + 1.05 * r:.1f} {foot:.1f}'
            f'H{x - 1.05 * r:.1f}Z"/><path class="stroke" d="M{x:.1f} {y - 0.32 * r:.1f}'
            f'v{0.54 * r:.1f}"/>{_dot(x, y + 0.5 * r, 0.13 * r)}'
        )
    return (
        f'<circle class="open" cx="{x:.1f}" cy="{y:.1f}" r="{0.9 * r:.1f}"/><path class="stroke" '
        f'd="M{x:.1f} {y - 0.08 * r:.1f}v{0.53 * r:.1f}"/>{_dot(x, y - 0.4 * r, 0.13 * r)}'
    )


def _dot(x: float, y: float, r: float) -> str:
    return f'<circle class="solid" cx="{x:.1f}" cy="{y:.1f}" r="{r:.1f}"/>'
