"""The bench form: every dimension to cut, in order of cutting, with limits and a box."""

from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple

import attrs
import numpy as np

from app.sheet import pictures
from app.sheet.pictures import PX
from app.sheet.sizes import size
from app.views.told import Scene
from app.views.told_seal_plots import floor_wanted
from hobbyclosure import data, drawing, lettering, svg
from hobbyclosure.checks.each import RINGS
from hobbyclosure.design import Design
from hobbyclosure.fields import FIELDS
from hobbyclosure.physics.chart import corner_radius_least, corner_radius_most
from hobbyclosure.profile import Sizes
from hobbyclosure.shapes import Drawing
from hobbyclosure.units import LENGTH, outward, shown_value, trimmed

Place = tuple[float, float]  # in the section, mm


class Limits(NamedTuple):
    """A nominal and its limits as the bench reads them, and what is to be remarked of them."""

    nominal: str
    said: str
    mark: str = ""


@attrs.frozen
class Cut:
    """A dimension to cut: its field, what the bench calls it, a hint of gauge, and where it is.

    `also` are fields that the same row speaks for. `said` stands for nominal and limits where the
    field holds no length of its own.
    """

    path: str
    what: str
    hint: str
    at: Place
    also: tuple[str, ...] = ()
    said: Limits | None = None


@attrs.frozen
class Group:
    """Dimensions that are cut in one go, and the parts that are drawn beside them."""

    title: str
    how: str
    parts: tuple[str, ...]
    cuts: tuple[Cut, ...]


# Lengths and counts of a design that nobody cuts: bought, or what is wanted of one that is. Every
# other one has a row, and every angle.
NOT_CUT = frozenset({
    *(f"seal.{ring}.{size}" for ring in RINGS for size in ("ring_id", "ring_cs", "backups")),
    "screw.length", "screw.head_room", "plug.drive", "port.sensor_hexagon",
    "loads.edge_break", "insulation.slack",
})  # fmt: skip
AROUND = ("secondary", "primary", "liner")  # grooves from the cold face on


DRILLED = {  # as the load sharing of the screws counts on it
    "together": "closure in its tube: tap drill through both, then open the tube",
    "guide": "tube and closure each with the same drill guide",
    "free-hand": "drilled free-hand: the assessment counts on no better",
    "unknown": "",
}


def groups(scene: Scene) -> Iterable[Group]:
    """All of them, so far as the design has the part."""
    design, values = scene.shown.design, scene.shown.assessment.values
    z = Sizes(values, pictures.TUBE)
    angle = trimmed(float(np.degrees(values["case_lead_in_angle"])), 1)
    yield Group("Tube", "saw long, face both ends", ("case",), (
        Cut("case.wall", "wall", "the thinnest of four places", (_cut_at(z) - 3, z.R + z.t / 2)),
        Cut("case.bore", "bore Ø", "two ways, past the rings, telescopic",
            ((_cut_at(z) + z.x_tube) / 2, z.R)),
        Cut("case.lead_in", "lead-in, length", f"{angle}° a side, no sharp edge left",
            (z.x_tube, z.R), ("case.lead_in_angle",)),
    ))  # fmt: skip
    yield Group(
        "Closure outside", "lathe, hot side out, one chucking", ("closure",),
        tuple(_outside(z, design, scene)),
    )  # fmt: skip
    inside = tuple(_inside(z, design))
    if inside:
        yield Group("Closure inside", "turned round, jaws padded; then its plug and ports",
                    ("closure",), inside)  # fmt: skip
    if z.liner:
        yield Group("Liner and disc", "", ("case", "insulation"), (
            Cut("insulation.liner", "liner wall", "calliper, four places",
                (_cut_at(z) - 12, (z.R + z.R_l) / 2)),
            Cut("insulation.liner_bore", "liner bore Ø", "the nose as gauge",
                (_cut_at(z) - 4, z.R_l)),
            Cut("insulation.liner_lead_in", "its lead-in, length",
                f"{angle}° a side, no sharp edge", (z.x_liner, z.R_l)),
            *_disc(z),
        ))  # fmt: skip
    elif z.disc:
        yield Group("Disc", "", ("insulation",), tuple(_disc(z)))
    how = DRILLED[str(design["screw.hole_method"].value)]
    yield Group("Screw row", how, ("case", "closure"), tuple(_row_of_screws(z, design, scene)))


def _cut_at(z: Sizes) -> float:
    """Where the tube is broken off in a sketch."""
    return z.x_tube + 0.9 * z.D


def _outside(z: Sizes, design: Design, scene: Scene) -> Iterable[Cut]:
    """From the outside inwards, the bore's grooves first and the liner's last."""
    yield Cut("closure.clearance", "outside Ø", "as measured: bore less clearance",
              (z.floor / 3, z.R_c))  # fmt: skip
    yield Cut("closure.length", "length, faced", "depth rod", (z.L, (z.R_n + z.hole) / 2))
    for ring in ("secondary", "primary"):
        yield from _groove(ring, *z.rings[ring][:3])
    if z.nose:
        yield Cut("closure.nose", "nose, length", "depth rod", (z.L - z.nose, z.R_n))
        yield Cut("closure.nose_diameter", "nose Ø", "liner slides on by hand",
                  (z.L - z.nose / 8, z.R_n))  # fmt: skip
        yield from _groove("liner", *z.rings["liner"][:3])
    yield from _corners(z, scene)


def _groove(ring: str, x: float, width: float, floor: float) -> list[Cut]:
    return [
        Cut(f"seal.{ring}.station", f"{ring} groove, from face", "depth rod", (x, floor)),
        Cut(f"seal.{ring}.groove_width", "its width", "pin: least goes, most does not",
            (x + width, floor)),
        Cut(f"seal.{ring}.groove_diameter", "its floor, Ø", "blade micrometer",
            (x + width / 2, floor)),
    ]  # fmt: skip


def _corners(z: Sizes, scene: Scene) -> Iterable[Cut]:
    """The grooves' corner radii: one row for all that are alike."""
    alike: dict[Limits, list[str]] = {}
    for ring in AROUND:
        if ring in z.rings:
            alike.setdefault(_limits(f"seal.{ring}.corner_radius", scene), []).append(ring)
    for rings in alike.values():
        x, _, floor = z.rings[rings[0]][:3]
        first, *also = (f"seal.{ring}.corner_radius" for ring in rings)
        whose = "the grooves'" if len(alike) == 1 else f"{', '.join(rings)}:"
        yield Cut(first, f"{whose} corners, radius", "the tool's own nose, no step",
                  (x, floor), tuple(also))  # fmt: skip


def _inside(z: Sizes, design: Design) -> Iterable[Cut]:
    """The pocket, the centre and the ports."""
    if z.floor:
        yield Cut("closure.skirt_wall", "skirt wall", "ball-end micrometer, three places",
                  (z.floor / 2, z.R_s))  # fmt: skip
        yield Cut("closure.plate", "plate, pocket to hot face", "measure twice",
                  (z.floor, z.R_s / 2))  # fmt: skip
        yield Cut("closure.fillet", "fillet in the pocket, radius", "radius gauge, no step",
                  (z.floor - z.r_f / 3, z.R_s - z.r_f / 3))  # fmt: skip
    if z.hole:
        yield Cut("closure.centre_hole", "centre thread, major Ø", "the plug itself as gauge",
                  (z.L - 1, z.hole))  # fmt: skip
    if z.ports:
        yield Cut("port.pitch_circle", "ports' pitch circle, Ø",
                  "from the centre hole, on the mill", (z.floor, z.R_port))  # fmt: skip
        first = f"{trimmed(z.clocking, FIELDS['port.clocking'].shown('metric').decimals)}°"
        each = f"{z.ports}, {360 / z.ports:g}° apart" if z.ports > 1 else "one port"
        screw = "a screw, from outside" if z.rows == 1 else "row one, from outside"
        yield Cut("port.clocking", "ports, the first at", f"clockwise from {screw}",
                  (z.floor, z.R_port - z.R_tap), ("port.count",), Limits(first, each))  # fmt: skip
        yield Cut("port.thread_diameter", "ports' thread, major Ø",
                  "never the taper tap's full length", (z.floor, z.R_port + z.R_tap))  # fmt: skip


def _disc(z: Sizes) -> Iterable[Cut]:
    if z.disc:
        yield Cut("insulation.disc", "disc, thickness", "calliper, four places",
                  (z.L + z.disc, z.R_d / 2))  # fmt: skip


def _row_of_screws(z: Sizes, design: Design, scene: Scene) -> Iterable[Cut]:
    """Holes in the tube and, under them, the tapped ones of the closure."""
    x = z.x_screws[0]
    yield Cut("case.edge_distance", "row from the tube's end",
              "near side of the hole, plus half its Ø", (x, z.R_o))  # fmt: skip
    yield Cut("closure.screw_station", "row from the cold face", "of the closure", (x, z.R_c))
    if z.rows > 1:
        yield Cut("screw.row_spacing", "second row from the first", "half a pitch on",
                  (z.x_screws[1], z.R_o))  # fmt: skip
    count, edge = float(design["screw.count"].now or 1), x + z.d_h / 2
    yield Cut("screw.clearance_hole", "holes in the tube, Ø",
              f"{count:.0f} in a row, {360 / count:.2f}° apart", (edge, z.R + z.t / 2),
              ("screw.count", "screw.rows"))  # fmt: skip
    yield Cut("case.hole_chamfer", "their edges inside, broken", "by hand, for the rings",
              (edge, z.R))  # fmt: skip
    key = str(design["screw.thread"].value)
    thread = data.THREADS[key]
    drill = shown_value(thread.tap_drill, LENGTH, scene.system)
    # As the section has it: through the skirt, or a little further than the screw reaches.
    used = (z.R_c - z.tip) / 1e3 + 1.5 * thread.P
    deep = f"{shown_value(used, LENGTH, scene.system, unit=False)} deep"
    deep = "through" if x < z.floor - z.r_f else deep
    yield Cut("screw.thread", "thread in the closure", f"tap drill {drill}, the screw as gauge",
              (x, (z.R_c + max(z.R_s, z.tip)) / 2), said=Limits(key, deep))  # fmt: skip


# ---- told to the setting


def content(scene: Scene, paper: str = "a4") -> tuple[dict[str, Any], dict[str, str]]:
    """Groups with numbered rows, and their sketches by file name; all of it on one page."""
    those = list(groups(scene))
    row = _height(len(those), sum(len(g.cuts) for g in those), paper)
    whole = drawing.section(scene.shown.assessment.values, pictures.TUBE)
    z = Sizes(scene.shown.assessment.values, pictures.TUBE)
    told, sketches, number = [], {}, 0
    for group in those:
        rows, balloons = [], []
        for cut in group.cuts:
            number += 1
            rows.append(_row(cut, number, scene))
            balloons.append((str(number), *cut.at))
        file = f"sketch-{len(sketches)}.svg"
        view = _half(whole, group.parts, _cut_at(z))
        sketches[file] = _sketch(view, balloons, 52, row * len(rows) + 3)
        told.append({
            "title": group.title, "how": group.how, "rows": rows, "sketch": file,
            "alt": f"Where {group.title.lower()} is measured: "
            + ", ".join(f"{r['n']} {r['what']}" for r in rows),
        })  # fmt: skip
    room = shown_value(293.15, FIELDS["loads.cold"].kind or LENGTH, scene.system)
    general = any(row["limits"].endswith("*") for group in told for row in group["rows"])
    said = GENERAL if general else ""
    return {
        "groups": told, "row": row, "room": room, "general": said, "short": _short(scene),
    }, sketches  # fmt: skip


def _short(scene: Scene) -> str:
    """How much of what counts a design does not meet, if any."""
    counted = scene.shown.assessment.counted
    short = sum(state not in ("meets", "close") for state in counted.values())
    are = "is" if short == 1 else "are"
    return f"{short} of {len(counted)} requirements {are} not met." if short else ""


GENERAL = "* ISO 2768-1 m, not counted: aim at nominal"
PAGE = {"a4": 251.0, "letter": 241.0}  # between head and foot, mm
TOP, HEAD, MOST, LEAST = 14.5, 6.6, 7.4, 5.3  # what stands over all; each group's own; rows, mm


def _height(groups: int, rows: int, paper: str) -> float:
    """Height of a row, mm: what the page leaves, but enough for two lines and a pen."""
    return round(min(max((PAGE[paper] - TOP - HEAD * groups) / rows, LEAST), MOST), 2)


LEAVE, OUTSIDE = "measured: leave it", "outside its limits: do not cut"
ASKED = "not as drawn: for what was measured"


def _row(cut: Cut, n: int, scene: Scene) -> dict[str, Any]:
    """One dimension: nominal and its two limits; what was measured already stands in its box."""
    nominal, limits, mark = cut.said or _limits(cut.path, scene)
    measured = scene.shown.design[cut.path].measured
    was = measured is not None and cut.path != "closure.clearance"
    there = LEAVE if measured is not None else ""
    return {
        "n": str(n), "what": cut.what, "hint": cut.hint, "nominal": nominal, "limits": limits,
        "mark": mark or there,
        "measured": f"was {size(measured, scene.system)}" if measured is not None and was else "",
    }  # fmt: skip


def _limits(path: str, scene: Scene) -> Limits:
    """Nominal and limits of a field as the bench wants them.

    What is measured has the limits that were assessed, its reading's own: nobody cuts it again.
    """
    design, values, system = scene.shown.design, scene.shown.assessment.values, scene.system
    entry = design[path]
    # Not stated is only the liner's bore: it is then what tube and liner leave.
    nominal = float(values["seal_liner_bore"] if entry.now is None else entry.now)
    spread = entry.spread(FIELDS[path], nominal) if entry.measured is None else entry.within
    mark = ""
    if path.endswith(".groove_diameter") and entry.measured is None:  # as the Seal page asks
        asked = floor_wanted(design, path.split(".")[1])
        if asked and asked[0] != nominal:
            nominal, mark = asked[0], ASKED
    if path == "closure.clearance":  # what is turned is the diameter that leaves it
        nominal = float(values["case_bore"]) - nominal
    if not FIELDS[path].tol:
        return _without_tolerance(path, nominal, scene)
    told = spread or entry.measured is not None
    limits = _between(nominal - spread, nominal + spread, system) if told else AS_DRAWN
    return Limits(size(nominal, system), limits, mark)


def _without_tolerance(path: str, nominal: float, scene: Scene) -> Limits:
    """Limits of a dimension that bears no tolerance: what its checks allow, else the general one.

    The checks take it as drawn, so a fillet is not made smaller nor a broken edge longer.
    """
    a, system = scene.shown.assessment, scene.system
    drawn = size(nominal, system)
    if path in ("closure.centre_hole", "port.thread_diameter"):
        return Limits(drawn, "by the tap")
    if path.endswith(".corner_radius"):
        ring = path.split(".")[1]
        thin, thick = (float(a.values[f"seal_{ring}_section_{end}"]) for end in ("min", "max"))
        low, high = corner_radius_least(thick), corner_radius_most(thin)
        outside = not low * (1 - 1e-9) <= nominal <= high * (1 + 1e-9)
        return Limits(drawn, _between(low, high, system), OUTSIDE * outside)
    if path == "case.hole_chamfer":
        passed = any(a.results[f"seal.{r}.crossing"].applies for r in ("primary", "secondary"))
        wanted = float(a.values["loads_edge_break"])
        least = outward(wanted, 1, LENGTH, system)
        if not passed:
            return Limits(drawn, f"{drawn} at most")
        if nominal < wanted * (1 - 1e-9):
            return Limits(drawn, f"{size(least, system)} at least", OUTSIDE)
        return Limits(drawn, f"{size(min(least, nominal), system)} – {drawn}")
    off = general_tolerance(nominal)
    if np.isnan(off):
        return Limits(drawn, AS_DRAWN)
    if path == "closure.fillet":
        most = size(outward(nominal + off, -1, LENGTH, system), system)
        return Limits(drawn, f"{drawn} – {most} *")
    return Limits(drawn, f"{_between(nominal - off, nominal + off, system)} *")


AS_DRAWN = "as drawn"
# ISO 2768-1:1989, table 1, class m (medium), as "General Tolerances to DIN ISO 2768" has it
# (issuu.com/zaqueu_cs, a maker's sheet): up to a size, either way, in m. None below 0.5 mm.
LINEAR = ((6e-3, 1e-4), (30e-3, 2e-4), (120e-3, 3e-4), (400e-3, 5e-4))


def general_tolerance(nominal: float) -> float:
    """The general tolerance of a size, both in m; nan where the standard gives none."""
    found = (off for most, off in LINEAR if nominal <= most)
    return next(found, np.nan) if nominal >= 5e-4 else np.nan


def _between(low: float, high: float, system: str) -> str:
    """Two limits, rounded inwards: none grows wider, and a fine one has more digits."""
    for more in range(3):
        ends = (outward(low, 1, LENGTH, system, more), outward(high, -1, LENGTH, system, more))
        if ends[0] <= ends[1]:
            return " – ".join(size(end, system, more) for end in ends)
    return size((low + high) / 2, system)


# ---- sketches


def _half(view: Drawing, parts: Sequence[str], end: float) -> Drawing:
    """Parts of a section above the axis as far as `end`, nothing written on them.

    Of a tapped hole the section has what the screw leaves open, and here is no screw.
    """
    shapes = tuple(
        attrs.evolve(shape, points=np.clip(shape.points, (-np.inf, 0.0), (end, np.inf)))
        for shape in view.shapes
        if shape.part in parts and shape.name != "tapped hole"
        and shape.points[:, 1].max() > 0.01
        and shape.points[:, 0].min() < end
    )  # fmt: skip
    points = np.concatenate([shape.points for shape in shapes])
    (x0, y0), (x1, y1) = points.min(axis=0), points.max(axis=0)
    return attrs.evolve(view, shapes=shapes, box=(x0, x1, y0, y1), dims=(), names=(), white={})


STEP, CROWDED = 23.0, 40.0  # between balloons; how far one may be from above its place, px


def _sketch(
    view: Drawing, balloons: Sequence[tuple[str, float, float]], width: float, height: float
) -> str:
    """The half section with numbered balloons above and below it, each led to its place."""
    wide, high = width * PX, height * PX
    x0, x1, y0, y1 = view.box
    for above_rows in (1, 2):
        room = 2.0 + 26.0 * above_rows
        s = min((wide - 8) / (x1 - x0), (high - room - 28.0 - 4) / (y1 - y0))
        ox = (wide - s * (x1 + x0)) / 2
        oy = (high + room - 28.0 + s * (y1 + y0)) / 2
        placed = [(n, ox + s * x, oy - s * y) for n, x, y in balloons]
        top, base, deep = oy - s * y1, oy - s * y0, oy - s * (y0 + 0.55 * (y1 - y0))
        below = sorted((b for b in placed if b[2] > deep), key=lambda b: b[1])
        above = sorted((b for b in placed if b[2] <= deep), key=lambda b: b[1])
        if all(abs(at - b[1]) < CROWDED for at, b in zip(_spread(above, wide), above, strict=True)):
            break
    body = svg.svg(view, wide, high, s, prefix="b-", names=False)
    inner = body[body.index(">") + 1 : body.rindex("</svg>")]
    dx, dy = _shift(view, wide, high, s)
    out = [f'<g transform="translate({ox - dx:.1f} {oy - dy:.1f})">{inner}</g>']
    out += _balloons(below, base + 18.0, wide)
    if above_rows == 1:
        out += _balloons(above, top - 16.0, wide)
    else:
        out += [*_balloons(above[1::2], top - 42.0, wide), *_balloons(above[::2], top - 16.0, wide)]
    return pictures.sheet_of(wide, high, out)


def _shift(view: Drawing, wide: float, high: float, s: float) -> tuple[float, float]:
    """Where a drawing that is centred between its own margins has its origin."""
    left, top, right, bottom = lettering.margins(view)
    x0, x1, y0, y1 = view.box
    return (
        left + (wide - left - right - s * (x1 + x0)) / 2,
        top + (high - top - bottom + s * (y1 + y0)) / 2,
    )


def _spread(those: Sequence[tuple[str, float, float]], wide: float) -> list[float]:
    """Where balloons stand in one row, each as near to above its place as there is room."""
    xs: list[float] = []
    for _, x, _ in those:
        xs.append(max(x, xs[-1] + STEP if xs else 11.0))
    if xs and xs[-1] + 11.0 > wide:
        xs = [min(x, wide - 11.0 - STEP * (len(xs) - 1 - k)) for k, x in enumerate(xs)]
    return xs


def _balloons(
    those: Sequence[tuple[str, float, float]], level: float, wide: float
) -> Iterable[str]:
    """A row of balloons with their leads."""
    for (n, x, y), at in zip(those, _spread(those, wide), strict=True):
        yield (
            f'<path class="lead" d="M{x:.1f} {y:.1f}L{at:.1f} {level:.1f}"/>'
            f'<circle class="leaddot" cx="{x:.1f}" cy="{y:.1f}" r="2"/>'
            f'<circle class="now" cx="{at:.1f}" cy="{level:.1f}" r="10"/>'
            f'<text class="mid" x="{at:.1f}" y="{level + 4.5:.1f}">{n}</text>'
        )
