"""What the formulas by hand share: worst dimensions, loads, hot strengths, and how a ratio is cut.

Inputs that are one number for all designs decide by plain `if`; only those that scatter are arrays.
"""

from collections.abc import Iterator, Mapping
from types import SimpleNamespace
from typing import Any

import numpy as np

Inputs = Mapping[str, Any]
Ratios = Iterator[tuple[str, Any]]


def within(inside: Any, x: Any) -> Any:
    """No answer outside the range that a form was made for."""
    return x if np.all(inside) else np.where(inside, x, np.nan)


def where(applies: Any, ratio: Any) -> Any:
    """Endless where a check does not apply."""
    return ratio if np.all(applies) else np.where(applies, ratio, np.inf)


def common(v: Inputs) -> SimpleNamespace:
    """Loads, strengths and sizes that more than one part needs; `*_y`, `*_u`, `*_E` are ratios."""
    c = SimpleNamespace()
    # strengths and moduli, hot over cold
    T = {"case": v["case_metal_temperature"], "closure": v["closure_metal_temperature"]}
    T["screw"] = np.maximum(T["case"], T["closure"])
    for part, kinds in (("case", "yuE"), ("closure", "yuE"), ("screw", "yu")):
        for kind in kinds:
            table = v[f"{part}_hot_T"], v[f"{part}_hot_{kind}"]
            setattr(c, f"{part}_{kind}", np.interp(T[part], *table, right=np.nan))
    c.closure_F_ty = v["closure_F_ty"] * c.closure_y
    # sizes
    c.bore_min, c.bore = v["case_bore"] - v["case_bore_tol"], v["case_bore"] + v["case_bore_tol"]
    c.wall_tol = v.get("case_wall_tol")
    if c.wall_tol is None:
        c.wall_tol = v["case_wall"] * v["case_wall_tol_share"]
    c.wall, c.wall_max = v["case_wall"] - c.wall_tol, v["case_wall"] + c.wall_tol
    c.a = c.bore / 2
    c.r_o, c.b = c.a + c.wall, v["closure_centre_hole"] / 2
    c.R_m = (c.a + c.r_o) / 2
    c.e = v["case_edge_distance"] - v["case_edge_distance_tol"]
    c.clearance = v["closure_clearance"] + v["closure_clearance_tol"]
    c.h = v["closure_plate"] - v["closure_plate_tol"]
    c.first = v["closure_screw_station"] + v["closure_screw_station_tol"]
    c.length_min = v["closure_length"] - v["closure_length_tol"]
    # pressures and forces
    built = v["loads_peak"] * (1 + v["loads_hot_day"]) * (1 + v["loads_scatter"])
    c.p = built if np.isnan(v["loads_meop_given"]) else v["loads_meop_given"]
    weakest = np.minimum(np.minimum(c.case_y, c.closure_y), np.minimum(c.screw_y, 1))
    c.proof = v["loads_proof_base"] / weakest
    c.p_proof = c.p * c.proof
    c.F = np.pi / 4 * c.p * c.bore**2
    # heat, a share of the diameter: how far the tube outgrows the closure
    case, closure, T_0 = v["case_alpha"], v["closure_alpha"], v["loads_room"]
    c.grows_cold = (case - closure) * (v["loads_cold"] - T_0)
    c.grows_warm = (case - closure) * (v["loads_hot"] - T_0)
    c.grows_hot = case * (T["case"] - T_0) - closure * (T["closure"] - T_0)
    c.heat = v["case_bore"] * np.maximum(np.maximum(c.grows_hot, c.grows_cold), 0)
    return c
