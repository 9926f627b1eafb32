"""By hand: the closure's plate and skirt, the metal between its cuts, and the screws' two ends."""

from types import SimpleNamespace
from typing import Any

import numpy as np

from tests.benchmarks.formulas_common import Inputs, Ratios, where, within


def ratios(v: Inputs, c: SimpleNamespace) -> Ratios:
    """Factor over required of what the closure is made of."""
    c.R = (v["case_bore"] - v["closure_clearance"]) / 2
    c.R_land = (c.bore - (v["closure_clearance"] - v["closure_clearance_tol"])) / 2
    c.r_s = c.R - (v["closure_skirt_wall"] - v["closure_skirt_wall_tol"])
    c.x_f = v["closure_length"] - v["closure_plate"]
    c.has_skirt = (c.x_f > 0.001 * v["closure_length"]) & (c.r_s > c.b)
    c.held = c.has_skirt & (v["closure_screw_station"] < c.x_f)
    c.floor_1, c.floor_2 = (
        (v[f"{ring}_groove_diameter"] - v[f"{ring}_groove_diameter_tol"]) / 2
        for ring in ("seal_primary", "seal_secondary")
    )
    yield from plate_and_fillet(v, c)
    yield from skirt(v, c)
    yield from lands(v, c)
    yield from holes(v, c)
    yield from ends(v, c)


def plate_and_fillet(v: Inputs, c: SimpleNamespace) -> Ratios:
    """Bending of the plate, its limit load, and the fillet that it bends."""
    yields, cold = v["loads_yield_factor"], v["loads_proof_yield_factor"]
    a, b, h, p, nu = c.a, c.b, c.h, c.p, v["closure_nu"]
    bore, hot, room = v["case_bore"], c.closure_F_ty, v["closure_F_ty"]
    slender, hole = h / bore, v["closure_centre_hole"] / bore
    a2, b2, q = a**2, b**2, p / h**2
    s = np.minimum(np.maximum(v["closure_length"] - v["seal_primary_station"], 0), 2 * h / 3) / h
    slim = h / (2 * a)
    thick, through = 1 + 2.4 * slim * slim * slim, (2 + nu) / 20 * p
    dry, wet = np.maximum(2 - 3 * s, 0), 4 - 3 * s
    if b > 0:
        bent = 3 / 4 * q * ((3 + nu) * a2 + (1 - nu) * b2)
        rim = 2 * a2 / (a2 - b2) * p * s
        stress = bent * thick + 2 * through + np.maximum(rim * dry, rim * wet)
    else:
        bent = 3 * (3 + nu) / 8 * q * a2
        stress = bent * thick + through + np.maximum(p * s * dry, p * s * wet - p)
    drilled = (hole >= 0) & (hole <= 0.4)
    judged = (slender >= 0.12) & (slender <= 0.5) & drilled
    stress = within(judged, stress)
    yield "closure.plate.yield", hot / stress / yields
    yield "prove.plate", room / (stress * c.proof) / cold
    limit = 1.5 * v["closure_F_tu"] * c.closure_u / ((a2 + a * b + b2) * q)
    yield "closure.plate.limit", within(judged, limit) / v["loads_ultimate_factor"]
    # fillet
    r_f = v["closure_fillet"]
    sharp = np.maximum(np.sqrt(0.062 * a / r_f), 1)
    fillet = 1.25 * sharp * (0.3 * bent + 2 * p * a2 / (a2 - c.r_s**2))
    judged = (slender >= 0.15) & (slender <= 0.3) & drilled
    for x, low, high in (
        (v["closure_skirt_wall"], 0.12, 0.2), (c.x_f, 0.1, 0.6), (r_f, 0.015, 0.05),
    ):  # fmt: skip
        share = x / bore
        judged = judged & (share >= low) & (share <= high)
    fillet = within(judged, fillet)
    yield "closure.fillet.yield", where(c.has_skirt, hot / fillet / yields)
    yield "prove.fillet", where(c.has_skirt, room / (fillet * c.proof) / cold)


def skirt(v: Inputs, c: SimpleNamespace) -> Ratios:
    """The skirt's least section, between its holes or under a groove."""
    R, r_s, deep = c.R, c.r_s, c.R - c.r_s
    area = between = deep * (np.pi * (R + r_s) - v["screw_count"] * v["screw_d"])
    for ring, floor in (("seal_primary", c.floor_1), ("seal_secondary", c.floor_2)):
        over = v[f"{ring}_station"] - v[f"{ring}_station_tol"] < c.x_f
        under = np.where(over, np.pi * (floor**2 - r_s**2), between)
        area = np.minimum(area, under)
    pressed = c.F / np.maximum(area, 1e-6 * R**2)
    yield "closure.skirt", where(c.held, c.closure_F_ty / pressed / v["loads_yield_factor"])
    proof = v["closure_F_ty"] / (pressed * c.proof) / v["loads_proof_yield_factor"]
    yield "prove.skirt", where(c.held, proof)


def land_stress(p: Any, R: Any, R_f: Any, w: Any) -> Any:
    """Stress at the root of a land w wide, from the groove's floor out to R."""
    H, width = np.maximum(R - R_f, 0), np.maximum(w, 1e-4 * R)
    pH, lean = p * H, H / R_f
    bending = 6 * pH * H * (1 / 2 + lean / 3) / width**2
    shear = 1.5 * pH * (1 + lean / 2) / width
    return 2.5 * np.sqrt(bending**2 + 3 * shear**2) + 5 * p


def rounded(corner: Any, w: Any, H: Any, stress: Any) -> Any:
    """The land's stress where the groove's corner is a tenth of its width or height, or more."""
    return within(10 * corner >= np.maximum(np.minimum(w, H), 0), stress)


def lands(v: Inputs, c: SimpleNamespace) -> Ratios:
    """Metal beside the grooves."""
    yields, hot, nose = v["loads_yield_factor"], c.closure_F_ty, v["closure_nose"]
    corner_1, corner_2 = v["seal_primary_corner_radius"], v["seal_secondary_corner_radius"]
    x_1, x_2 = v["seal_primary_station"], v["seal_secondary_station"]
    tol_1, tol_2 = v["seal_primary_station_tol"], v["seal_secondary_station_tol"]
    w_1 = v["seal_primary_groove_width"] + v["seal_primary_groove_width_tol"]
    w_2 = v["seal_secondary_groove_width"] + v["seal_secondary_groove_width_tol"]
    deeper = np.minimum(c.floor_1, c.floor_2)
    w, R = x_1 - tol_1 - (x_2 + tol_2) - w_2, c.R_land
    worst = land_stress(c.p, R, deeper, w)
    worst = rounded(np.minimum(corner_1, corner_2), w, R - deeper, worst)
    yield "closure.land.secondary_primary", hot / worst / yields
    w = c.step - (x_1 + tol_1) - w_1
    before = rounded(corner_1, w, R - c.floor_1, land_stress(c.p, R, c.floor_1, w))
    yield "closure.land.primary_nose", hot / before / yields
    worst = np.maximum(worst, before)
    last: Any = np.inf
    if nose > 0:
        R = (v["closure_nose_diameter"] + v["closure_nose_diameter_tol"]) / 2
        R_f = (v["seal_liner_groove_diameter"] - v["seal_liner_groove_diameter_tol"]) / 2
        x_l = v["seal_liner_station"] + v["seal_liner_station_tol"]
        w_l = v["seal_liner_groove_width"] + v["seal_liner_groove_width_tol"]
        w = c.length_min - x_l - w_l
        liner = rounded(v["seal_liner_corner_radius"], w, R - R_f, land_stress(c.p, R, R_f, w))
        worst, last = np.maximum(worst, liner), hot / liner / yields
    yield "closure.land.liner", last
    proof = v["loads_proof_yield_factor"]
    yield "prove.lands", v["closure_F_ty"] / (worst * c.proof) / proof
    # screw holes between grooves: the row's play widens the hole, the ring's its groove
    d, x, tol = v["screw_d"], v["closure_screw_station"], v["closure_screw_station_tol"]
    left: Any = np.inf
    for n in range(int(v["screw_rows"])):
        row, half = x + n * v["screw_row_spacing"], d / 2 + tol + n * v["screw_row_spacing_tol"]
        for x_g, tol_g, w_g in ((x_2, tol_2, w_2), (x_1, tol_1, w_1)):
            start = x_g - tol_g
            stop = start + (2 * tol_g + w_g)
            left = np.minimum(left, np.maximum(start - (row + half), row - half - stop))
    yield "closure.land.screw_secondary", np.maximum(left, 0) / (0.7 * d)
    yield "closure.land.screw_face", np.maximum(x - tol - d / 2, 0) / (0.7 * d)


def holes(v: Inputs, c: SimpleNamespace) -> Ratios:
    """Metal between ports, plug, pocket and grooves."""
    d, count = v["port_thread_diameter"], v["port_count"]
    D, c.circle = (v["port_pitch_circle"] + i * v["port_pitch_circle_tol"] for i in (-1, 1))
    hole = v["closure_centre_hole"]
    c.port_reach = (c.circle + d) / 2
    plug: Any = np.inf
    pair: Any = np.inf
    rim: Any = np.inf
    groove: Any = np.inf
    if count and hole > 0:
        plug = np.maximum(D / 2 - (d + hole) / 2, 0) / ((d + hole) / 6)
    if count > 1:
        pair = np.maximum(D * np.sin(np.pi / count) - d, 0) / (d / 3)
    if count:
        wall = v["closure_skirt_wall"] + v["closure_skirt_wall_tol"]
        least = c.bore_min - v["closure_clearance"] - v["closure_clearance_tol"]
        to_rim = np.maximum(least / 2 - wall - c.port_reach, 0)
        rim = where(c.has_skirt, to_rim / v["closure_fillet"])
        to_groove = np.maximum(np.minimum(c.floor_1, c.floor_2) - c.port_reach, 0)
        groove = to_groove / (d / 2)
    yield "closure.ligament.port_plug", plug
    yield "closure.ligament.port_port", pair
    yield "closure.ligament.port_rim", rim
    yield "closure.ligament.port_groove", groove


def ends(v: Inputs, c: SimpleNamespace) -> Ratios:
    """The screws' tips inside, their heads outside."""
    out = np.where(c.held, c.r_s, c.R)
    beyond = out - (v["case_bore"] / 2 + c.wall - v["screw_length"])
    in_way: Any = 0.0
    if v["port_count"]:
        sensor = c.circle / 2 + v["port_sensor_hexagon"] / np.sqrt(3)
        in_way = np.where(c.held, sensor, c.port_reach)
    if c.b > 0:
        in_way = np.maximum(in_way, np.where(c.held, v["plug_drive"] / np.sqrt(3), c.b))
    room = np.maximum(out - in_way, 0)
    yield "screw.tip", where(beyond > 0, room / (beyond + v["screw_d"] / 2))
    stated = not np.isnan(v["screw_head_room"]) and not v["screw_flush"]
    yield "screw.head.height", v["screw_head_room"] / v["screw_head_k"] if stated else np.inf
    sunk = 2 / 3 * c.wall / v["screw_head_k"] if v["screw_flush"] else np.inf
    yield "screw.countersink", sunk
