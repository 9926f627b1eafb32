"""The sheet's pictures as SVG: drawings at a standard scale, plots, ladder, marks."""

from collections.abc import Iterable, Sequence
from html import escape
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from app.views import told, told_pictures
from app.views.axis import note
from app.views.told import Curves, Scene
from hobbyclosure import drawing, study, svg, words
from hobbyclosure.lettering import margins
from hobbyclosure.shapes import Drawing

PX = 14 / (8 * 25.4 / 72)  # per mm: the drawings' letters of 14 px are 8 pt on paper
TUBE = 1.2  # bores of tube that the section shows
SCALES = (5.0, 2.0, 1.0, 0.5, 0.2, 0.1)
FACE = "Source Sans Pro"
INK = Path(__file__).with_name("ink.css").read_text(encoding="utf-8").partition("*/")[2]


def sheet_of(width: float, height: float, body: Iterable[str]) -> str:
    """A picture of so many paper pixels."""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:.2f}" height="{height:.2f}" '
        f'viewBox="0 0 {width:.2f} {height:.2f}" fill="none"><style>{INK}</style>'
        f"{''.join(body)}</svg>"
    )


def _text(x: float, y: float, said: str, kind: str = "") -> str:
    return f'<text class="{kind}" x="{x:.1f}" y="{y:.1f}">{escape(_plain(said))}</text>'


def _plain(said: str) -> str:
    """The face has no sign for a diameter but the letter that workshops use for it."""
    return said.replace("⌀", "Ø")


# ---- drawings


def scaled(view: Drawing, width: float, height: float) -> float:
    """The largest standard scale at which a view fits its place, both in paper mm."""
    x0, x1, y0, y1 = view.box
    left, top, right, bottom = (m / PX for m in margins(view))
    if view.view == "end":  # what is written beside it gives way to a larger scale
        left = right = 3.0
    room = min((width - left - right) / (x1 - x0), (height - top - bottom) / (y1 - y0))
    return next((s for s in SCALES if s <= room), SCALES[-1])


def drawn(
    scene: Scene, view: Drawing, width: float, height: float, marks: Sequence[Any] = ()
) -> tuple[str, float, float]:
    """A view at a standard scale as SVG, that scale, and the height it takes, paper mm."""
    scale = scaled(view, width, height)
    _, top, _, bottom = margins(view)
    high = (view.box[3] - view.box[2]) * scale + (top + bottom) / PX
    picture = svg.svg(
        view, width * PX, high * PX, scale * PX, marks=marks, fmt=scene.length, prefix=view.view
    )
    styled = picture.replace(">", f' fill="none"><style>{INK}</style>', 1)
    return _plain(styled), scale, high


def section(scene: Scene, width: float, height: float) -> tuple[str, float, float]:
    """The section with its dimensions, names and marks."""
    view = drawing.section(scene.shown.assessment.inputs, TUBE)
    return drawn(scene, view, width, height, told_pictures.marks(scene))


def end_view(scene: Scene, width: float, height: float) -> tuple[str, float, float]:
    """The view from outside."""
    return drawn(scene, drawing.end_view(scene.shown.assessment.inputs), width, height)


def mark(level: str) -> str:
    """The mark of a warning's level, or of a state."""
    size = 24.0
    if level in ("stop", "look", "know"):
        return sheet_of(size, size, [svg.mark(level, 12, 12, 11)])
    ring = '<circle class="open" cx="12" cy="12" r="11"/>'
    tick = '<path class="stroke" d="M7 12.5l3.5 3.5 6.5-7.5"/>'
    down = '<path class="solid" d="M2 4H22L12 21Z"/>'
    bars = '<path class="stroke" d="M7 9.5h10M7 14.5h10"/>'
    shape = {"meets": ring + tick, "close": ring + bars, "short": down}.get(level)
    return sheet_of(size, size, [shape or ring + '<path class="stroke" d="M7 12h10"/>'])


# ---- plots

LEFT, TOP, RIGHT, BOTTOM, GAP = 26.0, 22.0, 176.0, 56.0, 15.5


def plot(scene: Scene, path: str, width: float, height: float) -> str:
    """Factor over required along an axis: five lines by their names, the others grey."""
    axis, wide, high = scene.axes[path], width * PX, height * PX
    swept = scene.swept(path)
    found, value = told.plot(scene, path, swept), study.now(scene.shown.assessment, path)
    lines, frame = told.seen(scene, swept), axis.frame(True, scene.raw)
    end, base, top = wide - RIGHT, high - BOTTOM, frame["yhi"]

    def px(x: float) -> float:
        return LEFT + (end - LEFT) * (x - axis.low) / (axis.high - axis.low)

    def py(y: float) -> float:
        return TOP + (base - TOP) * (1 - min(max(y, 0.0), top) / top)

    out = [
        f'<path class="zone" d="M{LEFT} {py(1):.1f}H{end:.1f}V{base:.1f}H{LEFT}Z"/>',
        _text(LEFT, 12, "factor ÷ required"), _text(wide, 12, "now", "end"),
        *(f'<path class="grid" d="M{LEFT} {py(y):.1f}H{end:.1f}"/>' for y in (2,)),
        *(_text(LEFT - 8, py(y) + 5, f"{y:g}", "end") for y in frame["yticks"]),
    ]  # fmt: skip
    five = [i for i in found["five"] if i in lines]
    xs = [px(x) for x in frame["xs"]]
    window = f'<clipPath id="w"><rect x="{LEFT}" y="{TOP}" width="{end - LEFT:.1f}" '
    out += [window + f'height="{base - TOP + 2:.1f}"/></clipPath><g clip-path="url(#w)">']
    for id, line in lines.items():
        if id not in five:
            out.append(_line(xs, line, py, "other"))
    for id in reversed(five):
        kind = f"line dash-{told.NAMES[id][2]}" + " gov" * (id == five[0])
        out.append(_line(xs, lines[id], py, kind))
    out.append(f'</g><path class="base" d="M{LEFT} {py(1):.1f}H{end:.1f}"/>')
    out += _axis(frame, found["meets"], px, base, end)
    at = px(axis.shown(value))
    out.append(f'<path class="dim" d="M{at:.1f} {TOP}V{base:.1f}"/>')
    out += _ends(five, lines, found["now"], at, py, (end, wide))
    out.append(
        f'<path class="solid" d="M{at:.1f} {base + 28:.1f}l5 9h-10Z"/>'
        + _text(at, base + 53, found["text"], "mid bold large")
    )
    said = note(axis, value, float(scene.shown.assessment.values["loads_peak"]))
    beside = at + 10 + 5 * len(found["text"])
    fits = beside + 7 * len(said) < end + 60
    out.append(_text(beside if fits else 2 * at - beside, base + 53, said, "" if fits else "end"))
    return sheet_of(wide, high, out)


HIGHEST, OFF = 9.0, 0.1  # factors drawn, clipped well below; how far a chord may be off, paper px


def _line(xs: Sequence[float], ys: NDArray[np.float64], py: Any, kind: str) -> str:
    """A curve of factors; a gap where there is no answer."""
    factors = np.minimum(ys, HIGHEST)
    heights = py(0) - (py(0) - py(1)) * factors
    d = []
    for run in np.ma.clump_unmasked(np.ma.masked_invalid(heights)):
        x, y = np.asarray(xs[run]), heights[run]
        points = [f"{a:.1f} {b:.1f}" for a, b in zip(*_few(x, y), strict=True)]
        d.append("M" + "L".join(points))
    return f'<path class="{kind}" d="{"".join(d)}"/>'


def _few(x: NDArray[np.float64], y: NDArray[np.float64]) -> tuple[Any, Any]:
    """The points a curve needs: split at the farthest from its chord while that is too far off."""
    keep, todo = {0, len(x) - 1}, [(0, len(x) - 1)]
    while todo:
        a, b = todo.pop()
        if b - a < 2:
            continue
        chord = y[a] + (x[a + 1 : b] - x[a]) * ((y[b] - y[a]) / (x[b] - x[a]))
        off = np.abs(chord - y[a + 1 : b])
        worst = a + 1 + int(np.argmax(off))
        if off[worst - a - 1] > OFF:
            keep.add(worst)
            todo += [(a, worst), (worst, b)]
    at = sorted(keep)
    return x[at], y[at]


def _axis(frame: Any, meets: Any, px: Any, base: float, end: float) -> Iterable[str]:
    """Base line, ticks, stock sizes, and heavy where the whole design meets."""
    comb = "".join(f"M{px(x):.1f} {base:.1f}v4" for x in frame["minor"])
    comb += "".join(f"M{px(x):.1f} {base:.1f}v7" for x in frame["ticks"])
    yield f'<path class="dim" d="{comb}"/><path class="base" d="M{LEFT} {base:.1f}H{end:.1f}"/>'
    for a, b in meets:
        yield f'<path class="heavy" d="M{px(a):.1f} {base:.1f}H{max(px(b), px(a) + 5):.1f}"/>'
    for x, _ in frame["stock"]:
        yield f'<circle class="solid" cx="{px(x):.1f}" cy="{base + 12:.1f}" r="2.6"/>'
    for x in frame["ticks"]:
        yield _text(px(x), base + 25, f"{x:g}", "mid")


def _ends(
    five: Sequence[str], lines: Curves, now: Any, x: float, py: Any, edge: tuple[float, float]
) -> Iterable[str]:
    """Names and numbers of the five at their ends, kept apart, and a dot on each at the value."""
    end, wide = edge
    heights = {}
    for id in five:
        heights[id] = py(next((y for y in reversed(lines[id].tolist()) if y == y), 0.0))
    places: dict[str, float] = {}
    floor = py(0) + 4
    order = sorted(five, key=lambda i: (heights[i], five.index(i)))
    for n, id in enumerate(order):
        above = places[order[n - 1]] + GAP if n else TOP
        places[id] = max(heights[id], above)
    for n, id in reversed(list(enumerate(order))):
        below = places[order[n + 1]] - GAP if n + 1 < len(order) else floor
        places[id] = min(places[id], below)
    for id in five:
        y, ratio = places[id], now.get(id)
        kind = "bold" if id == five[0] else ""
        yield f'<path class="dim" d="M{end:.1f} {heights[id]:.1f}L{end + 9:.1f} {y:.1f}"/>'
        name, *_, look = told.NAMES[id]
        yield _text(end + 12, y + 4.5, name, f"{kind} {'italic' * look}".strip())
        said = "–" if ratio is None else "< 0" if ratio < 0 else f"{ratio:.2f}"
        yield _text(wide, y + 4.5, said, f"end {kind}")
    for id in reversed(five):
        ratio = now.get(id)
        if ratio is not None and 0 <= ratio <= 2.5:
            kind = "solid" if id == five[0] else "now"
            yield f'<circle class="{kind}" cx="{x:.1f}" cy="{py(ratio):.1f}" r="3.6"/>'


# ---- ladder

NAMES, FROM, TO, ROW = 106.0, 330.0, 700.0, 27.0


def ladder(scene: Scene, width: float, most: int = 9) -> tuple[str, float]:
    """What lets go first, lowest at the top, as SVG with the height it takes, paper mm."""
    shown = scene.shown.ladder[:most]
    rungs = [told.rung(scene, r) for r in shown]
    wanted = [words.wanted(r, scene.system) for r in shown]
    scale, wide = told.ladder(scene), width * PX
    base = 34 + ROW * len(rungs)

    def px(p: float) -> float:
        return FROM + (TO - FROM) * min(max(p / scale["hi"], 0.0), 1.0)

    meop, proof = scale["meop"], scale["proof"]
    out = []
    if meop["at"] is not None:
        across = px(meop["at"]) - FROM
        out += [
            f'<path class="zone" d="M{FROM} 30h{across:.1f}V{base:.1f}H{FROM}Z"/>',
            f'<path class="base" d="M{px(meop["at"]):.1f} 6V{base:.1f}"/>',
            _text(px(meop["at"]) - 6, 16, meop["text"], "end"),
        ]
    if proof["at"] is not None:
        x = px(proof["at"])
        out += [f'<path class="proof" d="M{x:.1f} 6V{base:.1f}"/>', _text(x + 6, 16, proof["text"])]
    out += [_text(wide - 82, 16, "wanted", "end"), _text(wide, 16, "lets go", "end bold")]
    for n, rung in enumerate(rungs):
        y, first = 34 + ROW * (n + 0.5), rung["id"] == _first(scene)
        out += _rung(rung, wanted[n], y, (px, scale["hi"]), wide, first)
    ticks = "".join(f"M{px(t):.1f} {base:.1f}v6" for t in scale["ticks"])
    out.append(f'<path class="base" d="M{FROM} {base:.1f}H{TO}"/><path class="dim" d="{ticks}"/>')
    out += [_text(px(t), base + 20, f"{t:g}", "mid") for t in scale["ticks"]]
    out.append(_text(TO + 30, base + 20, scale["unit"]))
    out.append(f'<path class="want" d="M3 {base + 8:.1f}v13"/><circle class="solid" cx="74" '
               f'cy="{base + 15:.1f}" r="5"/>')  # fmt: skip
    out += [_text(9, base + 20, "wanted"), _text(84, base + 20, "lets go")]
    out.append(f'<path class="solid" d="M142 {base + 10:.1f}h12l-6 10Z"/>')
    out += [_text(160, base + 20, "too soon"), _text(234, base + 20, "≈ weak basis")]
    return sheet_of(wide, base + 26, out), (base + 26) / PX


def _first(scene: Scene) -> str:
    lowest = next(iter(scene.shown.ladder), None)
    if lowest and lowest.check is None and lowest.state == "short":
        return study.OTHER_END
    return scene.first.check.id if scene.first and scene.first.check else ""


def _rung(
    rung: dict[str, Any], wanted: str, y: float, along: tuple[Any, float], wide: float, first: bool
) -> Iterable[str]:
    (px, most), kind = along, "bold" if first else ""
    yield _text(0, y + 5, rung["name"], f"large {kind}")
    yield _text(NAMES + 24, y + 5, rung["outcome"])
    yield _text(wide - 82, y + 5, wanted or "–", "end")
    yield _text(wide, y + 5, rung["text"], f"end large {kind}")
    if rung["either"]:
        yield _text(wide - 44, y - ROW / 2 + 5, "or", "end soft")
    if rung["at"] is None:
        return
    past = rung["at"] > most
    x = px(rung["at"]) - 8 * past
    if past:
        yield f'<path class="solid" d="M{x + 9:.1f} {y - 5:.1f}l7 5l-7 5Z"/>'
    if rung["wanted"] is None:
        yield f'<path class="open" d="M{x:.1f} {y - 7:.1f}l7 7l-7 7l-7 -7Z"/>'
        return
    at = px(rung["wanted"])
    weight = "heavy" if first else "line"
    yield f'<path class="{weight}" style="stroke-width:{3.5 if first else 1.75}" '
    yield f'd="M{at:.1f} {y:.1f}H{x:.1f}"/>'
    yield f'<path class="want" d="M{at:.1f} {y - 7:.1f}v14"/>'
    shape = (
        f'<path class="solid" d="M{x - 7:.1f} {y - 6:.1f}h14l-7 12Z"/>'
        if rung["state"] == "short"
        else f'<circle class="solid" cx="{x:.1f}" cy="{y:.1f}" r="5.5"/>'
    )
    yield shape
