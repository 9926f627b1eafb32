"""The floor of the arithmetic: every check written out by hand, straight through, in bare NumPy.

The same formulas as in hobbyclosure/checks and hobbyclosure/physics, with what they share computed
once; no graph, no names looked up, no limits but those that blank an answer. Only for designs of
one kind: metric thread, known hole method.
"""

from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from hobbyclosure.physics.sharing import SHARING

Array = NDArray[np.float64]


def share_of_worst(sigma: float, play: Array, slip: Array, n: float) -> Array:
    """Table of load sharing between its points; the count is one for all, so taken first."""
    rows, columns, counts = SHARING.axes
    m = min(max(int(np.searchsorted(counts, n, side="right")) - 1, 0), len(counts) - 2)
    w = (n - counts[m]) / (counts[m + 1] - counts[m])
    table = SHARING.values[:, :, m] * (1 - w) + SHARING.values[:, :, m + 1] * w
    x, y = sigma / slip, play / slip
    i = np.clip(np.searchsorted(rows, x, side="right") - 1, 0, len(rows) - 2)
    j = np.clip(np.searchsorted(columns, y, side="right") - 1, 0, len(columns) - 2)
    u = (x - rows[i]) / (rows[i + 1] - rows[i])
    v = (y - columns[j]) / (columns[j + 1] - columns[j])
    k = (1 - u) * ((1 - v) * table[i, j] + v * table[i, j + 1])
    k = k + u * ((1 - v) * table[i + 1, j] + v * table[i + 1, j + 1])
    inside = (rows[0] <= x) & (x <= rows[-1]) & (columns[0] <= y) & (y <= columns[-1])
    return np.where(inside & (counts[0] <= n <= counts[-1]), np.maximum(k, 1), np.nan)


def bearing_at(r: Array, at_15: Array, at_20: Array) -> Array:
    """Bearing strength at an edge distance of r diameters."""
    short = np.minimum(r, 2)
    between = at_15 + (at_20 - at_15) * (short - 1.5) / 0.5
    return np.where(short < 2, np.where(short < 1.5, at_15 * short / 1.5, between), at_20)


def ratios(v: Mapping[str, Any]) -> Iterator[tuple[str, Any]]:
    """Factor over required of every check, each handed on as soon as it is known."""
    yields, ultimate = v["loads_yield_factor"], v["loads_ultimate_factor"]
    cold = v["loads_proof_yield_factor"]
    # dimensions at their worst
    bore = v["case_bore"] + v["case_bore_tol"]
    wall_tol = v["case_wall"] * v["case_wall_tol_share"]
    wall = v["case_wall"] - wall_tol
    e = v["case_edge_distance"] - v["case_edge_distance_tol"]
    d_h = v["screw_clearance_hole"] + v["screw_clearance_hole_tol"]
    clearance = v["closure_clearance"] + v["closure_clearance_tol"]
    h = v["closure_plate"] - v["closure_plate_tol"]
    a, b = bore / 2, v["closure_centre_hole"] / 2
    r_o = a + wall
    d, n_row, rows = v["screw_d"], v["screw_count"], v["screw_rows"]
    n = n_row * rows
    # strengths, hot
    case_T, closure_T = v["case_metal_temperature"], v["closure_metal_temperature"]
    case_y = np.interp(case_T, v["case_hot_T"], v["case_hot_y"], right=np.nan)
    case_u = np.interp(case_T, v["case_hot_T"], v["case_hot_u"], right=np.nan)
    closure_y = np.interp(closure_T, v["closure_hot_T"], v["closure_hot_y"], right=np.nan)
    closure_u = np.interp(closure_T, v["closure_hot_T"], v["closure_hot_u"], right=np.nan)
    F_ty, F_tu = v["case_F_ty"] * case_y, v["case_F_tu"] * case_u
    # pressures and forces
    built = v["loads_peak"] * (1 + v["loads_hot_day"]) * (1 + v["loads_scatter"])
    p = np.where(np.isnan(v["loads_meop_given"]), built, v["loads_meop_given"])
    proof = v["loads_proof_base"] / np.minimum(np.minimum(case_y, closure_y), 1)
    p_proof = p * proof
    F, F_proof = np.pi / 4 * p * bore**2, np.pi / 4 * p_proof * bore**2
    # wall
    K2 = (r_o / a) ** 2
    mises = np.sqrt(3) * K2 / (K2 - 1)
    yield "case.wall.yield", F_ty / (p * mises) / yields
    yield "prove.wall", v["case_F_ty"] / (p_proof * mises) / cold
    bent = p * mises + 0.33 * p * ((a + r_o) / 2) / wall
    yield "case.shell_bending", F_ty / bent / yields
    yield "case.wall.burst", F_tu * np.log(r_o / a) / p / ultimate
    middle = np.pi * (v["case_bore"] + wall)
    p_2, around = middle / n_row, middle * wall
    flush, head = v["screw_flush"], v["screw_head_k"]
    cone = np.maximum((v["screw_head_dk"] - d_h) * head / (2 * wall), 0)
    gone, s_row = d_h + flush * cone, v["screw_row_spacing"]
    straight = around - n_row * wall * gone
    zigzag = around - 2 * n_row * wall * (gone - s_row**2 / (2 * p_2))
    net = np.where(rows < 2, straight, np.minimum(straight, zigzag))
    mean = F / net
    yield "case.net_section.yield", F_ty / mean / yields
    yield "case.net_section.ultimate", F_tu / mean / ultimate
    yield "prove.net_section", v["case_F_ty"] / (F_proof / net) / cold
    across = np.sqrt(s_row**2 + (p_2 / 2) ** 2)
    nearest = np.where(rows < 2, p_2, np.minimum(p_2, across))
    yield "case.pitch", nearest / d_h / 2.4
    r = e / d_h
    yield "case.edge", r / 1.2
    # plate
    length, nu = v["closure_length"], v["closure_nu"]
    plate_F_ty, plate_F_tu = v["closure_F_ty"] * closure_y, v["closure_F_tu"] * closure_u
    s = np.minimum(max(length - v["seal_primary_station"], 0), 2 * h / 3)
    thick = 1 + 2.4 * (h / (2 * a)) ** 3
    through, squeeze, ring = (2 + nu) / 20 * p, p * s / h, 2 * a**2 / (a**2 - b**2)
    dry, wet = np.maximum(2 - 3 * s / h, 0), 4 - 3 * s / h
    full = 3 * (3 + nu) / 8 * p * a**2 / h**2 * thick + through
    pierced = 3 / 4 * p / h**2 * ((3 + nu) * a**2 + (1 - nu) * b**2) * thick + 2 * through
    solid = np.maximum(full + squeeze * dry, full + squeeze * wet - p)
    holed = np.maximum(pierced + ring * squeeze * dry, pierced + ring * squeeze * wet)
    slender, hole = h / v["case_bore"], v["closure_centre_hole"] / v["case_bore"]
    judged = (slender >= 0.12) & (slender <= 0.5) & (hole >= 0) & (hole <= 0.4)
    plate = np.where(judged, np.where(b > 0, holed, solid), np.nan)
    limit = np.where(judged, 1.5 * plate_F_tu * h**2 / (a**2 + a * b + b**2), np.nan)
    yield "closure.plate.yield", plate_F_ty / plate / yields
    yield "closure.plate.limit", limit / p / ultimate
    yield "prove.plate", v["closure_F_ty"] / (plate * proof) / cold
    # screw
    d_3 = d - 1.226869 * v["screw_P"]
    A_s = np.pi / 4 * (d - 0.938194 * v["screw_P"]) ** 2
    f_ub, f_yb = v["screw_f_ub"], v["screw_f_yb"]
    gap = clearance + v["case_hole_chamfer"]
    t_eff = np.maximum(wall - v["case_hole_chamfer"] - flush * head / 2, 0.001 * wall)
    lam = (v["closure_E"] / (4 * v["screw_E"] * np.pi * d_3**4 / 64)) ** 0.25
    lever = gap + np.minimum(t_eff / 2, 0.3 / lam)
    X = np.arctan(1 / (1 + 2 * lever * lam))
    sine, cosine = np.sin(X), np.cos(X)
    arm = np.exp(-X) * (sine / lam + lever * (cosine + sine))
    V_y, V_u = A_s * f_yb / np.sqrt(3), A_s * f_ub / np.sqrt(3)
    M_y, M_u = f_yb * d_3**3 / 6, f_ub * d_3**3 / 6
    bend = arm / M_y
    F_set = 2 / (bend + np.sqrt(bend**2 + 4 / V_y**2))
    yield "screw.bending.proof", F_set / (F_proof / n) / v["loads_proof_bending_factor"]
    slip = F_set / (0.117 * v["case_E"] * d)
    F_s = share_of_worst(v["screw_hole_sigma"], d_h - d, slip, n) * F / n
    threads, shank = v["screw_alpha_v"] * f_ub * A_s, 0.6 * f_ub * np.pi / 4 * d**2
    shear = np.where(v["screw_threads_in_plane"] > 0, threads, shank)
    yield "screw.shear", shear / F_s / ultimate
    # bearing
    F_bry = bearing_at(r, v["case_F_bry_15"], v["case_F_bry_20"])
    F_bru = bearing_at(r, v["case_F_bru_15"], v["case_F_bru_20"])
    bearing = F_s / (d * t_eff)
    yield "case.bearing.yield", F_bry * case_y / bearing / yields
    yield "prove.bearing", F_bry / (bearing * proof) / cold
    alpha = np.minimum(np.minimum(e / (3 * d_h), f_ub / F_tu), 1)
    en = np.minimum(1.4 * p_2 / d_h - 1.7, 2.5) * alpha * F_tu
    yield "case.bearing.ultimate", np.minimum(F_bru * case_u, en) / bearing / ultimate
    shear_out = F_s / (2 * t_eff * (e - d_h / 2))
    yield "case.shear_out", v["case_F_su"] * case_u / shear_out / ultimate
    # block of three holes
    inner_t, inner_v = np.maximum(p_2 - d_h, 0), np.maximum(e + s_row - d_h / 2, 0)
    outer_t, outer_v = np.maximum(p_2 - 2 * d_h + s_row**2 / p_2, 0), np.maximum(e - d_h / 2, 0)
    shear_y = 2 * F_ty / np.sqrt(3)
    block = np.minimum(
        F_tu * t_eff * inner_t + shear_y * t_eff * inner_v,
        F_tu * t_eff * outer_t + shear_y * t_eff * outer_v,
    )
    yield "case.block_tear", np.where(rows > 1, block / (3 * F_s) / ultimate, np.inf)
    # tapped holes
    first = v["closure_screw_station"] + v["closure_screw_station_tol"]
    last, end = first + (rows - 1) * s_row, length - v["closure_nose"]
    lands = []
    for ring in ("seal_primary", "seal_secondary"):
        x_g, w_g = v[f"{ring}_station"] - v[f"{ring}_station_tol"], v[f"{ring}_groove_width"]
        lands += [max((x_g if x_g + w_g > x else end) - x, 1e-3 * w_g) for x in (first, last)]
    land = min(lands)
    F_bry_c = bearing_at(land / d, v["closure_F_bry_15"], v["closure_F_bry_20"])
    F_bru_c = bearing_at(land / d, v["closure_F_bru_15"], v["closure_F_bru_20"])
    reach = v["screw_length"] - (v["case_wall"] + wall_tol) - clearance
    engaged = np.minimum(reach, v["closure_skirt_wall"])
    bears = np.minimum(engaged, d)
    yield "closure.bearing.yield", F_bry_c * closure_y * d * bears / F_s / yields
    yield "closure.bearing.ultimate", F_bru_c * closure_u * d * bears / F_s / ultimate
    torn = np.maximum(2 * bears * (land - d / 2), 0)
    yield "closure.shear_out", v["closure_F_su"] * closure_u * torn / F_s / ultimate
    # dowel
    q_w, q_c = F_bry * case_y * d_3, F_bry_c * closure_y * d_3
    slack, soft_w, soft_c = gap / M_u, 1 / (2 * q_w), 1 / (2 * q_c)
    hinge = 2 / (slack + np.sqrt(slack**2 + 4 * (soft_w + soft_c) / M_u))
    surface = 2 / (slack + np.sqrt(slack**2 + 4 * (soft_w / M_u + 1 / V_u**2)))
    dowel = np.minimum(np.minimum(hinge, surface), q_w * t_eff)
    yield "screw.bending.ultimate", dowel / F_s / v["loads_bending_factor"]
    wanted = F_s * v["loads_bending_factor"]
    moment = wanted * gap + wanted**2 * (soft_w + soft_c)
    needed = wanted / q_c + 2 * np.sqrt(moment / q_c)
    yield "screw.embedment", engaged / needed
