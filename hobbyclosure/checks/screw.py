"""The screws: how they share the load, shear, bending in the thread, and embedment."""

import numpy as np

from hobbyclosure import quick
from hobbyclosure.graph import check, quantity
from hobbyclosure.physics.joint import (
    bearing_line_load,
    bearing_strength_at,
    bending_arm,
    dowel_capacity,
    dowel_moment,
    full_dowel_embedment,
    plastic_moment,
    proof_bending_force,
    screw_shear_capacity_shank,
    screw_shear_capacity_threads,
    shear_yield_force,
    worst_screw_load,
)
from hobbyclosure.physics.material import strength_ratio
from hobbyclosure.physics.seal import thermal_opening
from hobbyclosure.physics.sharing import sharing_factor, slip_at_yield
from hobbyclosure.physics.thread import (
    minor_diameter,
    stress_area,
    unified_minor_diameter,
    unified_stress_area,
)

NO_HOT_SCREW = "the class's table of strength against temperature ends before it"


@quantity("T_s", "K", evidence="practice", source="the hotter of the parts it joins; no source")
def screw_temperature(case_metal_temperature, closure_metal_temperature):
    """Screw at peak pressure."""
    return quick.maximum(case_metal_temperature, closure_metal_temperature)


@quantity("φ_y,s", "", why=NO_HOT_SCREW, evidence="practice",
          source="ISO 898-1:1999 Annex A; stainless ISO 3506-1:1997 Annex F; from memory"
          )  # fmt: skip
def screw_yield_ratio(screw_temperature, screw_hot_T, screw_hot_y):
    """Yield strength of the screw when hot ÷ at room temperature."""
    return strength_ratio(screw_temperature, screw_hot_T, screw_hot_y)


@quantity("f_ub,hot", "Pa", why=NO_HOT_SCREW, evidence="practice",
          source="ultimate strength is taken to fall with heat as yield does; no source"
          )  # fmt: skip
def screw_f_ub_hot(screw_f_ub, screw_temperature, screw_hot_T, screw_hot_u):
    """Strength of the screw, hot."""
    return screw_f_ub * strength_ratio(screw_temperature, screw_hot_T, screw_hot_u)


@quantity("n", "", evidence="theory", source="count")
def screw_total(screw_count, screw_rows):
    """All screws of all rows."""
    return screw_count * screw_rows


@quantity("A_s", "m**2", source="ISO 898-1 (metric), ASME B1.1 (unified)")
def screw_stress_area(screw_d, screw_P, screw_unified):
    """Stress area of the thread."""
    metric = stress_area(screw_d, screw_P)
    return quick.where(screw_unified > 0, unified_stress_area(screw_d, screw_P), metric)


@quantity("d_3", "m", source="ISO 724 (metric), ASME B1.1 (unified)")
def screw_root(screw_d, screw_P, screw_unified):
    """Root diameter of the thread."""
    metric = minor_diameter(screw_d, screw_P)
    return quick.where(screw_unified > 0, unified_minor_diameter(screw_d, screw_P), metric)


@quantity("c", "m", evidence="theory", source="definition, on diameter")
def screw_hole_play(screw_clearance_hole_max, screw_d):
    """Play of a screw in its clearance hole."""
    return screw_clearance_hole_max - screw_d


@quantity("g_heat", "m", evidence="theory",
          source="linear expansion, metal at peak pressure or the coldest day")  # fmt: skip
def screw_gap_heat(
    case_bore, case_alpha, case_metal_temperature, closure_alpha, closure_metal_temperature,
    loads_cold, loads_room,
):  # fmt: skip
    """How far tube and closure grow apart, hot or cold, at the most."""
    T_1, T_2, T_3 = case_metal_temperature, closure_metal_temperature, loads_cold
    hot = thermal_opening(case_bore, case_alpha, T_1, closure_alpha, T_2, loads_room)
    cold = thermal_opening(case_bore, case_alpha, T_3, closure_alpha, T_3, loads_room)
    return quick.maximum(hot, cold)


@quantity("g", "m", evidence="theory",
          source="closure lying against one side; chamfer adds; no pressure there, so no growth"
          )  # fmt: skip
def screw_gap(closure_clearance_max, screw_gap_heat, case_hole_chamfer):
    """Free length of screw between tube and closure, at its most."""
    return closure_clearance_max + screw_gap_heat + case_hole_chamfer


@quantity("a", "m", evidence="theory", source="beam on elastic foundation; ± 25 %")
def screw_arm(
    screw_gap, case_bearing_length, case_wall_max, case_wall_min, screw_root, closure_E, screw_E
):
    """Arm of the largest bending moment, inside the tapped hole; the thickest wall's is longest."""
    t = case_bearing_length + case_wall_max - case_wall_min
    return bending_arm(screw_gap, t, screw_root, closure_E, screw_E)


@quantity("F_set", "N", evidence="theory", source="section plasticity, moment and shear; ± 25 %")
def screw_set_force(screw_arm, screw_f_yb, screw_root, screw_stress_area):
    """Load of one screw at which it takes a set, cold as in the proof test."""
    M_p = plastic_moment(screw_f_yb, screw_root)
    V_p = shear_yield_force(screw_f_yb, screw_stress_area)
    return proof_bending_force(screw_arm, M_p, V_p)


@quantity("δ_y", "m", evidence="weak",
          source="own beam finite elements, M4 to M8, ± 12 %: 8 of it is in the careful arm, "
          "4 is taken off")  # fmt: skip
def screw_slip(
    screw_set_force, screw_yield_ratio, screw_d, case_E, closure_E, case_E_hot, closure_E_hot
):  # fmt: skip
    """Slip at which one screw yields, cold or hot, the lesser; tube and closure give in series."""
    E, E_hot = 2 / (1 / case_E + 1 / closure_E), 2 / (1 / case_E_hot + 1 / closure_E_hot)
    cold = slip_at_yield(screw_set_force, screw_d, E)
    hot = slip_at_yield(screw_set_force * screw_yield_ratio, screw_d, E_hot)
    return quick.minimum(cold, hot) / 1.04


@quantity(
    "k", "", evidence="weak",
    source="own Monte Carlo by hole method and play, one joint in twenty is worse; every class "
    "is taken as ductile as 8.8; a method that is not known counts as free-hand, 2.2 at least",
    why="the play is outside the load-sharing table; a hole nearer the screw's size is inside it",
)  # fmt: skip
def screw_sharing(screw_hole_sigma, screw_hole_play, screw_slip, screw_total, screw_sharing_least):
    """Load of the worst screw over the mean."""
    k = sharing_factor(screw_hole_sigma, screw_hole_play, screw_slip, screw_total)
    return quick.maximum(k, screw_sharing_least)


@quantity("F_s", "N", evidence="theory", source="definition of k")
def screw_load(screw_sharing, loads_end_force, screw_total):
    """Load of the worst screw at MEOP."""
    return worst_screw_load(screw_sharing, loads_end_force, screw_total)


@quantity("L_e", "m", evidence="theory",
          source="geometry, worst case; a chamfered tip is as thick as the root")  # fmt: skip
def screw_engagement(screw_length, case_wall_max, closure_clearance_max, closure_skirt_wall_min):
    """Length of screw in the closure, its tip's unfinished turn with it."""
    reach = screw_length - case_wall_max - closure_clearance_max
    return quick.maximum(quick.minimum(reach, closure_skirt_wall_min), 0 * reach)


@quantity("q_wall", "N/m", source="bearing yield of the tube at e/d, on the root diameter")
def screw_wall_bearing(case_bearing_yield_strength, case_yield_ratio, screw_root):
    """Bearing load per length of screw in the wall."""
    return bearing_line_load(case_bearing_yield_strength * case_yield_ratio, screw_root)


@quantity("q_closure", "N/m", weak_outside={"closure_either_ratio": (1.5, np.inf)},
          source="MIL-HDBK-5J, bearing yield of the closure at e/d of its nearer side, on the root "
          "diameter; below e/d 1.5 in proportion, an estimate")  # fmt: skip
def screw_closure_bearing(
    closure_either_edge, screw_d, closure_F_bry_15, closure_F_bry_20, closure_yield_ratio,
    screw_root,
):  # fmt: skip
    """Bearing load per length of screw in the closure, towards the hot side or the cold."""
    F_bry = bearing_strength_at(closure_either_edge, screw_d, closure_F_bry_15, closure_F_bry_20)
    return bearing_line_load(F_bry * closure_yield_ratio, screw_root)


@quantity("F_dowel", "N", evidence="theory", source="dowel action in plastic bearing; ± 25 %")
def screw_dowel_force(
    screw_gap, case_bearing_length, screw_wall_bearing, screw_closure_bearing, screw_f_ub_hot,
    screw_root, screw_stress_area,
):  # fmt: skip
    """Load of one hot screw at which it bends away."""
    M_p = plastic_moment(screw_f_ub_hot, screw_root)
    V_p = shear_yield_force(screw_f_ub_hot, screw_stress_area)
    return dowel_capacity(
        screw_gap, case_bearing_length, screw_wall_bearing, screw_closure_bearing, M_p, V_p
    )


@check(
    "screw.shear", label="screw shear", unit="N", required="loads_ultimate_factor",
    evidence="practice",
    source="EN 1993-1-8 Table 3.4 (extrapolated below M12 and to class 12.9)",
    remedy=("screw.count", "loads.meop_given"), says="Screws shear",
    outcome="closure leaves like a shot",
)  # fmt: skip
def screw_shear(
    screw_load, screw_alpha_v, screw_f_ub_hot, screw_stress_area, screw_d, screw_threads_in_plane
):
    """Load of the worst screw against its pure shear capacity, hot."""
    threads = screw_shear_capacity_threads(screw_alpha_v, screw_f_ub_hot, screw_stress_area)
    shank = screw_shear_capacity_shank(screw_f_ub_hot, screw_d)
    return screw_load, quick.where(screw_threads_in_plane > 0, threads, shank)


@check(
    "screw.bending.proof", label="screw proof", unit="N", required="loads_proof_bending_factor",
    evidence="theory", source="section plasticity on the thread's root; ± 25 %, prove by no set",
    remedy=("screw.count", "case.hole_chamfer", "closure.clearance", "loads.meop_given"),
    says="Screws yield", basis="loads_proof",
)  # fmt: skip
def screw_bending_proof(loads_proof_force, screw_total, screw_set_force):
    """Mean load of a screw at proof against the load at which it takes a set."""
    return loads_proof_force / screw_total, screw_set_force


@check(
    "screw.bending.ultimate", label="screw bending", unit="N", required="loads_bending_factor",
    evidence="theory", source="dowel action in plastic bearing; ± 25 %",
    remedy=("screw.count", "case.wall", "case.hole_chamfer", "loads.meop_given"),
    says="Screws bend", outcome="heads tilt, closure flies out",
)  # fmt: skip
def screw_bending_ultimate(screw_load, screw_dowel_force):
    """Load of the worst screw against the load at which it bends away."""
    return screw_load, screw_dowel_force


@check(
    "screw.embedment",
    label="embedment",
    unit="m",
    required=1.0,
    evidence="theory",
    source="dowel action in plastic bearing, equilibrium below the largest moment",
    remedy=("screw.length", "closure.skirt_wall", "screw.count", "loads.meop_given"),
    basis=None,
    says="Only {capacity} of thread sits in the closure",
)
def screw_embedment(
    screw_load, loads_bending_factor, screw_gap, screw_wall_bearing, screw_closure_bearing,
    screw_engagement,
):  # fmt: skip
    """Thread in the closure against what the worst screw needs under the load wanted of it."""
    F = screw_load * loads_bending_factor
    M = dowel_moment(F, screw_gap, screw_wall_bearing, screw_closure_bearing)
    return full_dowel_embedment(F, screw_closure_bearing, M), screw_engagement
