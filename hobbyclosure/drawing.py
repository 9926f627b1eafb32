"""Section and end view of a design as named shapes in millimetres: no plotting, no colour.

Section: x along the axis from the closure's cold face, positive to the hot side; y the radius, up.
End view, seen from outside: x right, y up, clocking clockwise from the top.
What the design has no field for (plug, port, chamfers) is drawn in proportion, not judged.
"""

from collections.abc import Iterable, Mapping
from typing import Any

import numpy as np

from hobbyclosure.profile import Sizes, arc, fillet, head, stations, steps, turned
from hobbyclosure.shapes import Dim, Drawing, Name, Pen, Points, mirrored


def section(v: Mapping[str, Any], tube: float = 1.6) -> Drawing:
    """Section through the axis, one screw and the first port, both turned into its plane.

    It shows as many bores of tube, if the parts in it do not reach farther.
    """
    z, pen = Sizes(v, tube), Pen()
    _tube(pen, z)
    _closure(pen, z)
    if z.hole:
        _plug(pen, z)
    if z.ports:
        _port(pen, z)
    _rings(pen, z)
    for row in range(z.rows):
        _screw(pen, z, row)
    low, high = z.x_cold - 0.02 * z.D, z.x_end + 0.03 * z.D
    pen.one("case", "axis", "axis", [(low, 0), (high, 0)], closed=False)
    return Drawing(
        "section",
        f"Section: {z.count} screws in {z.rows} row{'s'[: z.rows - 1]}, "
        f"{'plug' if z.hole else 'no plug'}, {z.ports} port{'s'[: z.ports != 1]}",
        tuple(pen.shapes),
        (low, high, -z.top, z.top),
        tuple(_dims(v, z)),
        tuple(_names(z)),
        {
            "hot upper": (z.hot, z.x_end, 0.0, z.R_l),
            "hot lower": (z.hot, z.x_end, -z.R_l, 0.0),
            "skirt": (low, z.floor, z.flange, min(z.R_s, z.tip) if z.floor else 0.0),
            "sensor": (z.x_sensor, z.x_sensor + z.sensor_body, -z.R_port - z.R_body, -z.R_port),
        },
    )


def _tube(pen: Pen, z: Sizes) -> None:
    c, q = 0.15 * z.t, 0.012 * z.D
    x0, x1 = z.x_tube, z.x_end
    R, t = z.R, z.t
    inside = [(x1 - q, R), (x0 + 2 * c, R), (x0, R + c)]
    outside = [(x0, z.R_o - c), (x0 + c, z.R_o), (x1 + q / 2, z.R_o)]
    torn = [(x1 - q / 2, R + 0.55 * t)]
    pen.both("case", "fill", "tube", [*inside, *outside, *torn], hatch="case")
    pen.both("case", "outline", "tube edge", [*inside, *outside], closed=False)
    end = [(x1 + q / 2, z.R_o + 0.02 * z.D), (x1 + q / 2, z.R_o), *torn, (x1 - q, R)]
    if z.liner:
        x2 = z.x_liner
        pen.both(
            "insulation", "fill", "liner",
            [(x1 - q, R), (x2, R), (x2, z.R_l), (x1, z.R_l), (x1 - q / 4, (R + z.R_l) / 2)],
            hatch="liner",
        )  # fmt: skip
        pen.both(
            "insulation", "outline", "liner edge",
            [(x1 - q, R), (x2, R), (x2, z.R_l), (x1, z.R_l)], closed=False,
        )  # fmt: skip
        end += [(x1 - q / 4, (R + z.R_l) / 2), (x1, z.R_l), (x1 - q / 2, z.R_l - 0.02 * z.D)]
    pen.both("case", "break", "break", end, closed=False)
    for x in z.x_screws[:1]:
        a, b = z.d_h / 2, z.d_h / 2 + z.chamfer
        pen.both(
            "case", "void", "hole",
            [(x - b, R), (x - a, R + z.chamfer), (x - a, z.R_o), (x + a, z.R_o),
             (x + a, R + z.chamfer), (x + b, R)],
        )  # fmt: skip


def _closure(pen: Pen, z: Sizes) -> None:
    cuts = [(x, x + w, r) for x, w, r, _, _ in z.rings.values()]
    outer = turned(z.L, z.R_c, z.nose, z.R_n, cuts)
    c = min(0.01 * z.D, 0.3 * z.R_c, 0.3 * outer[1][0])
    outer = [(0, outer[0][1] - c), (c, outer[0][1]), *outer[1:]]
    inner = [(z.floor, z.hole), *fillet(z.floor, z.R_s, z.r_f, z.hole)]
    inner += [(0, z.R_s)] if z.floor else [(0, z.hole)]
    if z.hole:
        bore = [(z.L, z.R_b), (z.x_thread, z.R_b), (z.x_thread, z.hole)]
        pen.both("closure", "part", "closure", [*outer, *bore, *inner], hatch="closure")
        pen.both(
            "closure", "fine", "plug thread",
            [(z.floor, z.R_minor), (z.x_thread, z.R_minor)], closed=False,
        )  # fmt: skip
    else:  # no hole: one piece across the axis
        outside, pocket = mirrored(outer), mirrored(inner[1:] if z.floor else [(0, 0)])
        whole = [outside[0], outside[1][::-1], pocket[1][::-1], pocket[0]]
        pen.one("closure", "part", "closure", np.concatenate(whole), hatch="closure")
    if z.disc:
        if z.hole:
            ring = [(z.L, z.R_dh), (z.hot, z.R_dh), (z.hot, z.R_d), (z.L, z.R_d)]
            pen.both("insulation", "part", "disc", ring, hatch="disc")
        else:
            full = [(z.L, -z.R_d), (z.hot, -z.R_d), (z.hot, z.R_d), (z.L, z.R_d)]
            pen.one("insulation", "part", "disc", full, hatch="disc")


def _plug(pen: Pen, z: Sizes) -> None:
    R, L, a, b = z.hole, z.L, z.R_narrow, z.R_wide
    grooves = [(x, x + z.w_plug, z.R_pg) for x in z.x_plug_rings]
    spigot = steps(z.x_thread, L, z.R_b - 0.02 * R, grooves)
    body = [
        (z.x_hex, a), (z.x_hex, z.R_hex), (z.x_flange, z.R_hex), (z.x_flange, z.flange),
        (z.floor, z.flange), (z.floor, 0.99 * R), (z.x_thread, 0.99 * R), *spigot,
        (L, b), (z.x_narrow, a),
    ]  # fmt: skip
    pen.both("plug", "part", "plug", body, hatch="plug")
    end = L + 0.72 * z.disc
    if z.disc:
        cap = [(L, a), (end, a), (end, 0.95 * z.R_b), (L, 0.95 * z.R_b)]
        pen.both("insulation", "part", "plug disc", cap, hatch="disc")
    upper = np.array([(z.x_hex, a), (z.x_narrow, a), (L, b), (L, a), (end, a)])
    whole = np.concatenate([upper, upper[::-1] * (1, -1)])
    pen.one("plug", "thin", "potting", whole, hatch="potting")
    s = np.linspace(0, 1, 13)[:, None]
    r, x0, x1 = 0.06 * R, z.x_hex - 0.4 * R, z.x_cold
    knots = [np.array(p) for p in ((x0, r), ((x0 + x1) / 2, r), (x0, 4 * r), (x1, 5 * r))]
    weights = ((1 - s) ** 3, 3 * s * (1 - s) ** 2, 3 * s**2 * (1 - s), s**3)
    bend = sum(w * p for w, p in zip(weights, knots, strict=True))
    pen.both("plug", "wire", "wire", np.concatenate([[(end, r)], bend]), closed=False)


def _port(pen: Pen, z: Sizes) -> None:
    y, x0, x1, a = -z.R_port, z.floor, z.x_tap, z.R_pilot
    tap = z.R_tap - (x1 - x0) / 32  # taper 1 in 16 on the diameter
    cone = x1 + 0.3 * (tap - a)
    hole = [(x0, z.R_tap), (x1, tap), (cone, a), (z.hot, a)]
    pen.one("port", "void", "port", [(x, y + r) for x, r in hole]
            + [(x, y - r) for x, r in hole[::-1]])  # fmt: skip
    for side in (1, -1):
        thread = [(x0, y + 0.9 * side * z.R_tap), (x1, y + 0.9 * side * tap)]
        pen.one("port", "fine", "port thread", thread, closed=False)
    x2, x3 = z.x_sensor + z.sensor_body, z.floor - 0.11 * z.hexagon
    half = [
        (z.x_sensor, z.R_body), (x2, z.R_body), (x2, z.hexagon / 2), (x3, z.hexagon / 2),
        (x3, 0.95 * z.R_tap), (x0 + 0.55 * (x1 - x0), 0.93 * z.R_tap),
    ]  # fmt: skip
    sensor = [(x, y + r) for x, r in half] + [(x, y - r) for x, r in half[::-1]]
    pen.one("port", "ghost", "sensor", sensor)
    line = [(z.x_sensor - 0.03 * z.D, y), (z.hot + 0.04 * z.D, y)]
    pen.one("port", "axis", "port axis", line, closed=False)


def _rings(pen: Pen, z: Sizes) -> None:
    """Rings lie against the cold wall of their grooves, as wide as their volume makes them."""
    for name, (x, _, r, top, cs) in z.rings.items():
        _ring(pen, "seal", f"seal.{name}", x, r, top, cs)
    if z.hole:
        for x in z.x_plug_rings:
            _ring(pen, "plug", "seal.plug", x, z.R_pg, z.R_b, 1.2 * (z.R_b - z.R_pg))


def _ring(pen: Pen, part: str, name: str, x: float, r: float, top: float, cs: float) -> None:
    high = min(max(top - r, 0.2 * cs), cs)
    wide = high + np.pi / 4 * (cs**2 - high**2) / high
    h, turn = high / 2, arc()
    left, right = turn * h + (x + h, r + h), -turn * h + (x + wide - h, r + h)
    pen.both(part, "ring", name, np.concatenate([left, right]))


def _screw(pen: Pen, z: Sizes, row: int) -> None:
    """Second row: half a pitch round the tube, so hidden lines only."""
    x, d, tip, top = z.x_screws[row], z.d, z.tip, z.R_o
    bevel, root = 0.13 * d, z.d_3 / 2
    shank = [
        (x - d / 2, top), (x - d / 2, tip + bevel), (x - d / 2 + bevel, tip),
        (x + d / 2 - bevel, tip), (x + d / 2, tip + bevel), (x + d / 2, top),
    ]  # fmt: skip
    cap = np.add(head(z.form, d, z.dk, z.k), (x, top))
    if row:
        pen.both("screw", "hidden", "screw 2", shank)
        pen.both("screw", "hidden", "head 2", cap)
    else:
        through = x < z.floor - z.r_f and z.R_s < tip
        end = z.R_s if through else max(tip - 1.5 * z.P, 0.0)
        hole = [(x - root, tip), (x + root, tip), (x + root, end), (x - root, end)]
        pen.both("closure", "void", "tapped hole", hole)
        pen.both("screw", "face", "screw", shank)
        for side in (root, -root):
            thread = [(x + side, tip + bevel / 2), (x + side, max(z.R_c, tip + bevel))]
            pen.both("screw", "fine", "screw thread", thread, closed=False)
        pen.both("screw", "face", "head", cap)
    ends = [(x, top + z.proud + 0.25 * d), (x, tip - 0.25 * d)]
    pen.both("screw", "axis", f"screw axis {row + 1}", ends, closed=False)


def _dims(v: Mapping[str, Any], z: Sizes) -> Iterable[Dim]:
    """At most six, in the order in which they are kept when room is short (rank 1 first)."""
    x, out = z.x_screws, z.R_o
    yield Dim("edge distance", (z.x_tube, out), (x[0], out), v["case_edge_distance"], "top", 2)
    yield Dim("wall", (z.x_end, z.R), (z.x_end, out), v["case_wall"], "wall", 1)
    yield Dim("bore", (z.x_end, -z.R), (z.x_end, z.R), v["case_bore"], "right", 3, "⌀ ")
    if z.rows == 2:
        yield Dim("row spacing", (x[0], out), (x[1], out), v["screw_row_spacing"], "top", 6)
    yield Dim("plate", (z.floor, -out), (z.L, -out), (z.L - z.floor) / 1e3, "bottom", 4)
    if z.floor:
        yield Dim("skirt", (0.0, -out), (z.floor, -out), z.floor / 1e3, "bottom", 5)


def _names(z: Sizes) -> Iterable[Name]:
    for rank, name in ((1, "primary"), (2, "secondary")):
        x, w, r, top, _ = z.rings[name]
        yield Name(name, (x + w / 2, (r + min(top, z.R_c)) / 2 - 0.3 * (top - r)), "skirt", rank)
    if z.liner:
        yield Name("liner", (z.hot + 0.12 * z.D, (z.R + z.R_l) / 2), "hot upper", 4)
    if "liner" in z.rings:
        x, w, r, top, _ = z.rings["liner"]
        yield Name("liner seal", (x + w / 2, (r + top) / 2 - 0.3 * (top - r)), "hot upper", 2)
    if z.disc:
        y = 0.55 * (z.R_d - z.R_dh) + z.R_dh if z.hole else 0.55 * z.R_d
        yield Name("disc", (z.L + 0.6 * z.disc, y), "hot upper", 3)
    if z.hole:
        yield Name("plug", (z.L - 0.1 * (z.L - z.x_thread), (z.R_b + z.R_wide) / 2), "hot upper", 1)
    if z.ports:
        yield Name("pilot hole", (z.hot - 0.05 * z.disc, -z.R_port), "hot lower", 1)
        yield Name("sensor", (0.0, 0.0), "sensor", 3)
    yield Name("hot side", (0.0, 0.0), "hot lower", 2)


def end_view(v: Mapping[str, Any]) -> Drawing:
    """Closure seen from outside, with the clocking of screws and ports."""
    z, pen = Sizes(v), Pen()
    pen.circle("case", "part", "tube", z.R_o, inner=z.R, hatch="case")
    pen.circle("closure", "metal", "closure", z.R_c)
    if z.floor:
        pen.circle("closure", "void", "skirt", z.R_s)
        pen.circle("closure", "fine", "fillet", z.R_s - z.r_f)
    turns = np.arange(z.count) * 360 / z.count
    cap = np.add(head(z.form, z.d, z.dk, z.k), (0.0, z.R_o))
    root, end = z.d / 2, max(z.R_s if z.floor > z.x_screws[0] else z.tip, 0.0)
    drill = np.array([(-root, z.R_o), (-root, end), (root, end), (root, z.R_o)])
    for row in range(z.rows)[::-1]:  # the far row first: the near one may cover it
        for turn in turns + row * 180 / z.count:
            spin = _clockwise(turn)
            pen.one("screw", "hidden", f"drill {row + 1}", drill @ spin, closed=False)
        for turn in turns + row * 180 / z.count:
            role = "face" if row == 0 else "face thin"
            pen.one("screw", role, f"screw {row + 1}", cap @ _clockwise(turn))
    angles = tuple(
        float(a) for a in (z.clocking + np.arange(z.ports) * 360 / max(z.ports, 1)) % 360
    )
    if z.ports:
        pen.circle("port", "axis", "pitch circle", z.R_port)
    if z.hole:
        pen.circle("plug", "metal", "flange", z.flange)
        pen.circle("plug", "wrench", "wrench", 0.69 * z.drive)
        corners = stations(6, 30) * z.R_hex
        pen.one("plug", "face", "plug hexagon", corners)
        pen.circle("plug", "void", "lead-through", z.R_narrow)
    for angle in angles:
        spin = _clockwise(angle)
        at = tuple((np.array([0.0, z.R_port]) @ spin).tolist())
        pen.one("port", "ghost paper", "sensor hexagon",
                stations(6, 0) * (z.hexagon / np.sqrt(3)) + at)  # fmt: skip
        pen.circle("port", "ghost", "sensor", z.R_body, at=at)
        pen.circle("port", "void", "pilot hole", z.R_pilot, at=at)
        line = np.array([(0, z.R_port - z.hexagon), (0, max(z.R_s, z.R_port + z.hexagon))]) @ spin
        pen.one("port", "axis", "port axis", line, closed=False)
    m = 0.6 * z.hole if z.hole else 0.05 * z.R
    pen.one("plug" if z.hole else "closure", "axis", "centre", [(-m, 0), (m, 0)], closed=False)
    pen.one("plug" if z.hole else "closure", "axis", "centre", [(0, -m), (0, m)], closed=False)
    total = z.count * z.rows
    return Drawing(
        "end",
        f"End view from outside: {total} screws, {z.ports} port{'s'[: z.ports != 1]}",
        tuple(pen.shapes),
        (-z.top, z.top, -z.top, z.top),
        captions=(
            f"{total} screws" + ", two rows" * (z.rows - 1),
            f"{360 / total:.2f}° apart",
        ),
        angles=angles,
    )


def _clockwise(degrees: float) -> Points:
    """Matrix that turns row vectors clockwise."""
    a = np.radians(degrees)
    return np.array([[np.cos(a), -np.sin(a)], [np.sin(a), np.cos(a)]])


def places(v: Mapping[str, Any]) -> dict[str, tuple[float, float]]:
    """Where in the section a mark for a part, field or check goes; try the longest name first."""
    z = Sizes(v)
    x, mid, low = z.x_screws[0], z.R + z.t / 2, -(z.R + z.t / 2)
    land = min((ring[0] for ring in z.rings.values() if ring[0] > x), default=x)
    seals = {f"seal.{k}": (q[0] + q[1] / 2, (q[2] + q[3]) / 2) for k, q in z.rings.items()}
    return seals | {
        "loads": ((z.hot + 2 * z.x_end) / 3, 0.0),
        "case": (0.5 * (z.hot + z.x_end), mid),
        "case.wall": (0.5 * (z.hot + z.x_end), mid),
        "case.edge": ((z.x_tube + x) / 2, mid),
        "case.edge_distance": ((z.x_tube + x) / 2, mid),
        "case.shear_out": ((z.x_tube + x) / 2, low),
        "case.bearing": (x, low),
        "case.net_section": (x, low),
        "case.pitch": (x, low),
        "case.block_tear": (x, low),
        "case.shell_bending": (x + 1.5 * z.d_h, low),
        "screw": (x, (z.R_o + z.tip) / 2),
        "screw.head": (x, z.R_o + z.proud / 2),
        "screw.tip": (x, z.tip),
        "screw.embedment": (x, -z.tip),
        "closure": ((z.floor + z.L) / 2, (z.R_s + z.hole) / 2),
        "closure.plate": ((z.floor + z.L) / 2, (z.R_s + z.hole) / 2),
        "closure.fillet": (z.floor, z.R_s),
        "closure.skirt": (z.floor / 2, -(z.R_s + z.R_c) / 2),
        "closure.land": ((x + land) / 2, z.R_c),
        "closure.bearing": ((x + land) / 2, -z.R_c),
        "closure.shear_out": ((x + land) / 2, -z.R_c),
        "closure.ligament": ((z.floor + z.L) / 2, -(z.R_port + z.hole) / 2),
        "seal": seals.get("seal.primary", (z.L / 2, z.R)),
        "insulation": (z.L + z.disc / 2, (z.R_l + z.hole) / 2),
        "plug": (z.x_flange, 0.0),
        "port": (z.floor, -z.R_port),
        "heat": (z.hot, z.R_l / 2),
        "prove": ((z.hot + z.x_end) / 2, 0.0),
        "fit": (z.x_tube, z.R),
    }
