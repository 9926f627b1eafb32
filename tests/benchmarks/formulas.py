"""The floor of the arithmetic: every check written out by hand, straight through, in bare NumPy.

The same formulas as in hobbyclosure/checks and hobbyclosure/physics, with what they share computed
once; no graph, no names looked up, no limits but those that blank an answer. Here are the tube and
its screws; formulas_closure.py has the closure itself, formulas_seal.py the rings.
"""

from types import SimpleNamespace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from hobbyclosure.physics.sharing import SHARING
from tests.benchmarks import formulas_closure, formulas_seal
from tests.benchmarks.formulas_common import Inputs, Ratios, common, where

Array = NDArray[np.float64]


def ratios(v: Inputs) -> Ratios:
    """Factor over required of every check, each handed on as soon as it is known."""
    c = common(v)
    yield "loads.meop_covers", c.p / v["loads_peak"]
    yield from tube(v, c)
    yield from joint(v, c)
    yield from formulas_closure.ratios(v, c)
    yield from formulas_seal.ratios(v, c)


def tube(v: Inputs, c: SimpleNamespace) -> Ratios:
    """The wall, its section between the holes, and where the holes stand."""
    yields, ultimate = v["loads_yield_factor"], v["loads_ultimate_factor"]
    cold = v["loads_proof_yield_factor"]
    F_ty, F_tu, wall = v["case_F_ty"], v["case_F_tu"], c.wall
    c.F_ty, c.F_tu = F_ty * c.case_y, F_tu * c.case_u
    # wall
    K = c.r_o / c.a
    K2 = K**2
    c.axial = c.p / (K2 - 1)
    c.hoop = c.axial * (K2 + 1)
    mises = np.sqrt(3) * c.axial * K2
    yield "case.wall.yield", c.F_ty / mises / yields
    yield "prove.wall", F_ty / (mises * c.proof) / cold
    yield "case.shell_bending", c.F_ty / (mises + 0.33 * c.p * c.R_m / wall) / yields
    n = np.maximum(0.75 * (1 - np.minimum(F_ty / F_tu, c.F_ty / c.F_tu)), 0.01)
    svensson = 0.25 / (n + 0.227) * (np.e / n) ** n
    faupel = 2 / np.sqrt(3) * c.F_ty * (2 - c.F_ty / c.F_tu)
    burst = np.minimum(c.F_tu * np.minimum(svensson, 1), faupel) * np.log(K)
    yield "case.wall.burst", burst / c.p / ultimate
    # section between the holes
    n_row, rows = v["screw_count"], v["screw_rows"]
    s = v["screw_row_spacing"] - v["screw_row_spacing_tol"]
    c.d_h = v["screw_clearance_hole"] + v["screw_clearance_hole_tol"]
    middle = np.pi * (v["case_bore"] + wall)
    c.p_2, wide = middle / n_row, c.d_h
    if v["screw_flush"]:
        cone = (v["screw_head_dk"] - c.d_h) * v["screw_head_k"] / (2 * wall)
        wide = c.d_h + np.maximum(cone, 0)
    net = middle * wall - n_row * wall * wide
    if rows > 1:
        zigzag = middle * wall - 2 * n_row * wall * (wide - s**2 / (2 * c.p_2))
        net = np.minimum(net, zigzag)
    mean = c.F / np.where(net > 0, net, np.nan)
    yield "case.net_section.yield", c.F_ty / mean / yields
    yield "case.net_section.ultimate", 0.9 * c.F_tu / mean / ultimate
    yield "prove.net_section", F_ty / (mean * c.proof) / cold
    # places of the holes
    nearest = c.p_2
    if rows > 1:
        nearest = np.minimum(nearest, np.sqrt(s**2 + (c.p_2 / 2) ** 2))
    yield "case.pitch", nearest / c.d_h / 2.4
    c.r = c.e / c.d_h
    yield "case.edge", c.r / 1.2


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
    t = (y - columns[j]) / (columns[j + 1] - columns[j])
    k = (1 - u) * ((1 - t) * table[i, j] + t * table[i, j + 1])
    k = k + u * ((1 - t) * table[i + 1, j] + t * table[i + 1, j + 1])
    inside = (rows[0] <= x) & (x <= rows[-1]) & (columns[0] <= y) & (y <= columns[-1])
    return np.where(inside & (counts[0] <= n <= counts[-1]), np.maximum(k, 1), np.nan)


def edge_shares(r: Array) -> tuple[Array, Array]:
    """How much counts of the strength at 1.5 diameters, and of its rise from there to 2."""
    return np.minimum(r / 1.5, 1), np.minimum(np.maximum((r - 1.5) / 0.5, 0), 1)


def bearing_at(shares: tuple[Array, Array], at_15: float, at_20: float) -> Array:
    """Bearing strength at an edge distance."""
    return at_15 * shares[0] + (at_20 - at_15) * shares[1]


def thread(v: Inputs) -> tuple[float, float]:
    """Root diameter and stress area."""
    d, P = v["screw_d"], v["screw_P"]
    d_3 = d - (1.299038 if v["screw_unified"] else 1.226869) * P
    return d_3, np.pi / 4 * ((d - 0.649519 * P + d_3) / 2) ** 2


def joint(v: Inputs, c: SimpleNamespace) -> Ratios:
    """Screws, the tube's holes and the closure's, all at the load of the worst screw."""
    yields, ultimate = v["loads_yield_factor"], v["loads_ultimate_factor"]
    cold = v["loads_proof_yield_factor"]
    d, n_row, rows = v["screw_d"], v["screw_count"], v["screw_rows"]
    wall, e, d_h, p_2 = c.wall, c.e, c.d_h, c.p_2
    s_row, s_far = (v["screw_row_spacing"] + i * v["screw_row_spacing_tol"] for i in (-1, 1))
    n, flat = n_row * rows, e - d_h / 2
    # a screw's set, and what the worst one bears
    d_3, A_s = thread(v)
    f_yb, f_ub = v["screw_f_yb"], v["screw_f_ub"] * c.screw_u
    chamfer, sunk = v["case_hole_chamfer"], v["screw_flush"] * v["screw_head_k"] / 2
    gap = c.clearance + c.heat + chamfer
    t_eff = np.maximum(wall - chamfer - sunk, 0.001 * wall)
    lam = (v["closure_E"] / (4 * v["screw_E"] * np.pi * d_3**4 / 64)) ** 0.25
    lever = gap + np.minimum(t_eff / 2 + c.wall_tol, 0.3 / lam)
    X = np.arctan(1 / (1 + 2 * lever * lam))
    sine, cosine = np.sin(X), np.cos(X)
    arm = np.exp(-X) * (sine / lam + lever * (cosine + sine))
    bend, V_y = arm / (f_yb * d_3**3 / 6), A_s * f_yb / np.sqrt(3)
    F_set = 2 / (bend + np.sqrt(bend**2 + 4 / V_y**2))
    mean = c.F / n
    yield "screw.bending.proof", F_set / (mean * c.proof) / v["loads_proof_bending_factor"]
    soft = 1 / v["case_E"] + 1 / v["closure_E"]
    hot_soft = c.screw_y * (1 / (v["case_E"] * c.case_E) + 1 / (v["closure_E"] * c.closure_E))
    slip = F_set * np.minimum(soft, hot_soft) / (0.117 * 1.04 * 2 * d)
    k = share_of_worst(v["screw_hole_sigma"], d_h - d, slip, n)
    F_s = np.maximum(k, v["screw_sharing_least"]) * mean
    section = v["screw_alpha_v"] * A_s if v["screw_threads_in_plane"] else 0.15 * np.pi * d**2
    yield "screw.shear", section * f_ub / F_s / ultimate
    # the tube's holes
    shares = edge_shares(c.r)
    F_bry = bearing_at(shares, v["case_F_bry_15"], v["case_F_bry_20"])
    F_bru = bearing_at(shares, v["case_F_bru_15"], v["case_F_bru_20"])
    bearing = F_s / (d * t_eff)
    yield "case.bearing.yield", F_bry * c.case_y / bearing / yields
    yield "prove.bearing", F_bry / (bearing * c.proof) / cold
    alpha = np.minimum(np.minimum(c.r / 3, f_ub / c.F_tu), 1)
    k_1 = np.maximum(np.minimum(1.4 * p_2 / d_h - 1.7, 2.5), 0)
    en = k_1 * alpha * c.F_tu
    yield "case.bearing.ultimate", np.minimum(F_bru * c.case_u, en) / bearing / ultimate
    shear_out = F_s / (2 * t_eff * flat)
    yield "case.shear_out", v["case_F_su"] * c.case_u / shear_out / ultimate
    # blocks of two holes, or of three in two rows, by the screw
    wide, deep = np.maximum(p_2 - d_h, 0), np.maximum(flat, 0)
    shear_y = 2 / np.sqrt(3) * c.F_ty
    block = (c.F_tu * wide + shear_y * deep) / 2
    if rows > 1:
        inner = c.F_tu * wide + shear_y * np.maximum(flat + s_row, 0)
        outer = c.F_tu * np.maximum(p_2 - 2 * d_h + s_row**2 / p_2, 0) + shear_y * deep
        block = np.minimum(block, np.minimum(inner, outer) / 3)
    yield "case.block_tear", t_eff * block / F_s / ultimate
    other = v["case_other_end_holds"]
    yield "loads.other_end", where(other > 0, other / c.p_proof)
    # tapped holes
    nose = v["closure_nose"]
    c.step = end = c.length_min - (nose > 0) * (nose + v["closure_nose_tol"])
    land: Any = np.inf
    for x in (c.first, c.first + (rows - 1) * s_far)[: 1 if rows < 2 else 2]:
        for ring in ("seal_secondary", "seal_primary"):
            x_g, w_g = v[f"{ring}_station"] - v[f"{ring}_station_tol"], v[f"{ring}_groove_width"]
            ahead = np.where(x_g + w_g > x, x_g, end) - x
            land = np.minimum(land, np.maximum(ahead, 1e-3 * w_g))
    shares = edge_shares(land / d)
    F_bry_c = bearing_at(shares, v["closure_F_bry_15"], v["closure_F_bry_20"])
    F_bru_c = bearing_at(shares, v["closure_F_bru_15"], v["closure_F_bru_20"])
    reach = v["screw_length"] - c.wall_max - c.clearance
    skirt = v["closure_skirt_wall"] - v["closure_skirt_wall_tol"]
    engaged = np.maximum(np.minimum(reach, skirt), 0)
    bears = np.minimum(np.maximum(engaged - v["screw_P"], 0), d)
    set_cold = F_bry_c * d * bears / F_s
    yield "closure.bearing.yield", set_cold * c.closure_y / yields
    yield "prove.closure_bearing", set_cold / c.proof / cold
    yield "closure.bearing.ultimate", F_bru_c * c.closure_u * d * bears / F_s / ultimate
    torn = np.maximum(2 * bears * (land - d / 2), 0)
    yield "closure.shear_out", v["closure_F_su"] * c.closure_u * torn / F_s / ultimate
    # dowel
    M_u, V_u = f_ub * d_3**3 / 6, A_s * f_ub / np.sqrt(3)
    either = np.minimum(land, v["closure_screw_station"] - v["closure_screw_station_tol"]) / d
    F_both = bearing_at(edge_shares(either), v["closure_F_bry_15"], v["closure_F_bry_20"])
    q_w, q_c = F_bry * c.case_y * d_3, F_both * c.closure_y * d_3
    slack, soft_w, soft_c = gap / M_u, 1 / (2 * q_w), 1 / (2 * q_c)
    slack2, soft = slack**2, soft_w + soft_c
    hinge = 2 / (slack + np.sqrt(slack2 + 4 * soft / M_u))
    surface = 2 / (slack + np.sqrt(slack2 + 4 * (soft_w / M_u + 1 / V_u**2)))
    dowel = np.minimum(np.minimum(hinge, surface), q_w * t_eff)
    yield "screw.bending.ultimate", dowel / F_s / v["loads_bending_factor"]
    wanted = F_s * v["loads_bending_factor"]
    moment = wanted * (gap + wanted * soft)
    yield "screw.embedment", engaged / (wanted / q_c + 2 * np.sqrt(moment / q_c))
