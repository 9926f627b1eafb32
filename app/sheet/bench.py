"""The bench form: every dimension to cut, in order of cutting, with limits and a box."""

from collections.abc import Iterable, Sequence
from typing import Any

import attrs
import numpy as np

from app.sheet import pictures
from app.sheet.pictures import PX
from app.views.told import Scene
from app.views.told_seal_plots import floor_wanted
from hobbyclosure import drawing, lettering, svg
from hobbyclosure.design import Design
from hobbyclosure.fields import FIELDS
from hobbyclosure.profile import Sizes
from hobbyclosure.shapes import Drawing
from hobbyclosure.units import LENGTH, from_si, shown_value

Place = tuple[float, float]  # in the section, mm


@attrs.frozen
class Cut:
    """A dimension to cut: its field, what the bench calls it, a hint of gauge, and where it is."""

    path: str
    what: str
    hint: str
    at: Place


@attrs.frozen
class Group:
    """Dimensions that are cut in one go."""

    title: str
    how: str
    cuts: tuple[Cut, ...]


def groups(design: Design, values: Any) -> Iterable[Group]:
    """All of them, so far as the design has the part."""
    z = Sizes(values, pictures.TUBE)
    x_hole = z.x_screws[0]
    yield Group("Tube", "saw long, face both ends", (
        Cut("case.wall", "wall", "the thinnest of four places",
            ((z.hot + z.x_end) / 2, z.R + z.t / 2)),
        Cut("case.bore", "bore Ø", "two ways, past the rings, telescopic",
            ((z.hot + 2 * z.x_end) / 3, z.R)),
        Cut("case.lead_in", "lead-in, length", "no sharp edge left at the bore", (z.x_tube, z.R)),
    ))  # fmt: skip
    outside = [
        Cut("closure.clearance", "outside Ø", "as measured: bore less clearance",
            (z.floor / 3, z.R_c)),
        Cut("closure.length", "length, faced", "depth rod", (z.L, z.R_n)),
    ]  # fmt: skip
    for ring in ("secondary", "primary", "liner"):
        if ring in z.rings:
            outside += _groove(ring, *z.rings[ring][:3])
    if z.nose:
        outside.insert(-3, Cut("closure.nose", "nose, length", "depth rod", (z.L - z.nose, z.R_n)))
        outside.insert(-3, Cut("closure.nose_diameter", "nose Ø", "liner slides on by hand",
                               (z.L - z.nose / 8, z.R_n)))  # fmt: skip
    yield Group("Closure outside", "lathe, hot side out, one chucking", tuple(outside))
    if z.floor:
        yield Group("Closure inside", "turned round, jaws padded", (
            Cut("closure.skirt_wall", "skirt wall", "ball-end micrometer, three places",
                (z.floor / 2, z.R_s)),
            Cut("closure.plate", "plate, pocket to hot face", "measure twice",
                (z.floor, z.R_s / 2)),
            Cut("closure.fillet", "fillet in the pocket, radius", "radius gauge, no step",
                (z.floor - z.r_f / 3, z.R_s - z.r_f / 3)),
        ))  # fmt: skip
    holes = []
    if z.hole:
        holes.append(Cut("closure.centre_hole", "centre thread, major Ø",
                         "the plug itself as gauge", (z.L - 1, z.hole)))  # fmt: skip
    if z.ports:
        holes.append(Cut("port.pitch_circle", "ports' pitch circle, Ø",
                         "from the centre hole, on the mill", (z.floor, z.R_port)))  # fmt: skip
    if holes:
        yield Group("Centre and ports", "drill, then tap", tuple(holes))
    if z.liner:
        yield Group("Liner", "", (
            Cut("insulation.liner_bore", "liner bore Ø", "the nose as gauge", (z.x_end - 4, z.R_l)),
            Cut("insulation.liner_lead_in", "its lead-in, length", "no sharp edge",
                (z.L - z.nose, z.R_l)),
        ))  # fmt: skip
    row = [
        Cut("case.edge_distance", "row from the tube's end",
            "near side of the hole, plus half its Ø", (x_hole, z.R_o)),
        Cut("closure.screw_station", "row from the cold face", "of the closure",
            (x_hole, z.R_c)),
        Cut("screw.clearance_hole", "holes in the tube, Ø", _spaced(design), (x_hole, z.R_o)),
    ]  # fmt: skip
    if z.rows > 1:
        row.append(Cut("screw.row_spacing", "second row from the first", "half a pitch on",
                       (z.x_screws[1], z.R_o)))  # fmt: skip
    yield Group("Screw row", "", tuple(row))


def _groove(ring: str, x: float, width: float, floor: float) -> list[Cut]:
    return [
        Cut(f"seal.{ring}.station", f"{ring} groove, from face", "depth rod", (x, floor)),
        Cut(f"seal.{ring}.groove_width", "its width", "pin: least goes, most does not",
            (x + width, floor)),
        Cut(f"seal.{ring}.groove_diameter", "its floor, Ø", "blade micrometer",
            (x + width / 2, floor)),
    ]  # fmt: skip


def _spaced(design: Design) -> str:
    count = float(design["screw.count"].now or 1)
    return f"{count:.0f} in a row, {360 / count:.2f}° apart"


# ---- told to the setting


def content(scene: Scene) -> tuple[dict[str, Any], dict[str, str]]:
    """Groups with numbered rows, and their sketches by file name."""
    design, system = scene.shown.design, scene.system
    values = scene.shown.assessment.values
    told, sketches, number = [], {}, 0
    view = _half(drawing.section(values, pictures.TUBE))
    for group in groups(design, values):
        rows, balloons = [], []
        for cut in group.cuts:
            number += 1
            rows.append(_row(cut, number, design, values, system))
            balloons.append((str(number), *cut.at))
        file = f"sketch-{len(sketches)}.svg"
        sketches[file] = _sketch(view, balloons, 52, max(ROW * len(rows) + 3, 24))
        told.append({
            "title": group.title, "how": group.how, "rows": rows, "sketch": file,
            "alt": f"Where {group.title.lower()} is measured: "
            + ", ".join(f"{r['n']} {r['what']}" for r in rows),
        })  # fmt: skip
    room = shown_value(293.15, FIELDS["loads.cold"].kind or LENGTH, system)
    return {"groups": told, "row": ROW, "room": room}, sketches


ROW = 6.9  # mm


def _row(cut: Cut, n: int, design: Design, values: Any, system: str) -> dict[str, str]:
    """One dimension: nominal and its two limits; what was measured already stands in its box."""
    entry, field = design[cut.path], FIELDS[cut.path]
    # Not stated is only the liner's bore: it is then what tube and liner leave.
    nominal = float(values["seal_liner_bore"] if entry.value is None else entry.value)
    spread = field.default_tolerance if entry.tol is None else entry.tol
    if field.tol.endswith("%") and entry.tol is None:
        spread *= nominal
    if cut.path.endswith(".groove_diameter"):  # as the Seal page asks
        asked = floor_wanted(design, cut.path.split(".")[1])
        nominal = asked[0] if asked else nominal
    if cut.path == "closure.clearance":  # what is turned is the diameter that leaves it
        nominal = float(values["case_bore"]) - nominal
    low, high = nominal - spread, nominal + spread
    measured = "" if entry.measured is None else f"was {_size(entry.measured, system)}"
    limits = "as drawn" if spread == 0 else f"{_size(low, system)} – {_size(high, system)}"
    return {
        "n": str(n), "what": cut.what, "hint": cut.hint, "nominal": _size(nominal, system),
        "limits": limits, "measured": "" if cut.path == "closure.clearance" else measured,
    }  # fmt: skip


def _size(value: float, system: str) -> str:
    if system == "inch":
        return f"{float(from_si(value, 'inch', 'm')):.4f}"
    return f"{1e3 * value:.3f}".removesuffix("0")


# ---- sketches


def _half(view: Drawing) -> Drawing:
    """The part of a section above the axis, nothing written on it."""
    keep = ("case", "closure", "insulation")
    shapes = tuple(
        attrs.evolve(shape, points=np.maximum(shape.points, (-np.inf, 0.0)))
        for shape in view.shapes
        if shape.part in keep and shape.points[:, 1].max() > 0.01
    )
    x0, x1, _, y1 = view.box
    return attrs.evolve(view, shapes=shapes, box=(x0, x1, 0.0, y1), dims=(), names=(), white={})


def _sketch(
    view: Drawing, balloons: Sequence[tuple[str, float, float]], width: float, height: float
) -> str:
    """The half section with numbered balloons above and below it, each led to its place."""
    wide, high = width * PX, height * PX
    x0, x1, y0, y1 = view.box
    room = 26.0 + 13.0 * (len(balloons) > 6)
    s = min((wide - 4) / (x1 - x0), (high - 2 * room - 8) / (y1 - y0))
    ox, oy = (wide - s * (x1 - x0)) / 2 - s * x0, (high + s * (y1 - y0)) / 2
    body = svg.svg(view, wide, high, s, prefix="b-", names=False)
    inner = body[body.index(">") + 1 : body.rindex("</svg>")]
    placed = [(n, ox + s * x, oy - s * y) for n, x, y in balloons]
    top, deep = oy - s * (y1 - y0), oy - 0.55 * s * y1
    below = sorted((b for b in placed if b[2] > deep), key=lambda b: b[1])
    above = sorted((b for b in placed if b[2] <= deep), key=lambda b: b[1])
    out = [f'<g transform="translate(0 {_shift(view, high, s, oy):.1f})">{inner}</g>']
    out += _balloons(below, oy + 18.0, wide)
    if len(above) <= 6:
        out += _balloons(above, top - 16.0, wide)
    else:
        out += [*_balloons(above[1::2], top - 42.0, wide), *_balloons(above[::2], top - 16.0, wide)]
    return pictures.sheet_of(wide, high, out)


def _shift(view: Drawing, high: float, s: float, oy: float) -> float:
    """How far the drawing, centred between its own margins, is from where the balloons lead."""
    _, top, _, bottom = lettering.margins(view)
    _, _, y0, y1 = view.box
    return oy - (top + (high - top - bottom + s * (y1 + y0)) / 2)


def _balloons(
    those: Sequence[tuple[str, float, float]], level: float, wide: float
) -> Iterable[str]:
    """A row of balloons as near to above their places as they find room."""
    step, xs = 23.0, []
    for _, x, _ in those:
        xs.append(max(x, xs[-1] + step if xs else 11.0))
    over = max((xs[-1] + 11.0 - wide) if xs else 0.0, 0.0)
    for k in range(len(xs) - 1, -1, -1):
        most = wide - 11.0 - step * (len(xs) - 1 - k)
        xs[k] = min(xs[k], most) if over else xs[k]
    for (n, x, y), at in zip(those, xs, strict=True):
        yield (
            f'<path class="lead" d="M{x:.1f} {y:.1f}L{at:.1f} {level:.1f}"/>'
            f'<circle class="leaddot" cx="{x:.1f}" cy="{y:.1f}" r="2"/>'
            f'<circle class="now" cx="{at:.1f}" cy="{level:.1f}" r="10"/>'
            f'<text class="mid" x="{at:.1f}" y="{level + 4.5:.1f}">{n}</text>'
        )
