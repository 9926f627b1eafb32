"""The tube: wall, net section, bearing at its holes, shear-out, pitch and edge.

Strengths at temperature, worst dimensions, and every screw hole at the worst load.
"""

import numpy as np

from hobbyclosure import quick
from hobbyclosure.graph import check, quantity
from hobbyclosure.physics.joint import (
    bearing_strength_at,
    bearing_strength_en,
    bearing_stress,
    circular_pitch,
    shear_out_area,
)
from hobbyclosure.physics.material import strength_ratio
from hobbyclosure.physics.tear import (
    block_shear_area,
    block_straight_area,
    block_tear_force,
    block_zigzag_area,
    row_bending_stress,
)
from hobbyclosure.physics.vessel import (
    burst_faupel,
    burst_mean_diameter,
    burst_svensson,
    net_area_straight,
    net_area_zigzag,
    von_mises_bore,
)

NO_HOT = "the material's table of strength against temperature ends before it"
HOT = {"evidence": "standard", "source": "strength against temperature of the material's row"}


@quantity("φ_y,case", "", why=NO_HOT, **HOT)
def case_yield_ratio(case_metal_temperature, case_hot_T, case_hot_y):
    """Yield strength of the tube's metal when hot ÷ at room temperature."""
    return strength_ratio(case_metal_temperature, case_hot_T, case_hot_y)


@quantity("φ_u,case", "", why=NO_HOT, **HOT)
def case_ultimate_ratio(case_metal_temperature, case_hot_T, case_hot_u):
    """Ultimate strength of the tube's metal when hot ÷ at room temperature."""
    return strength_ratio(case_metal_temperature, case_hot_T, case_hot_u)


@quantity("F_ty,hot", "Pa", source="material row")
def case_F_ty_hot(case_F_ty, case_yield_ratio):
    """Tensile yield strength of the tube, hot."""
    return case_F_ty * case_yield_ratio


@quantity("F_tu,hot", "Pa", source="material row")
def case_F_tu_hot(case_F_tu, case_ultimate_ratio):
    """Ultimate tensile strength of the tube, hot."""
    return case_F_tu * case_ultimate_ratio


@quantity("F_su,hot", "Pa", evidence="practice",
          source="material row; shear is taken to fall with heat as tension does; no source"
          )  # fmt: skip
def case_F_su_hot(case_F_su, case_ultimate_ratio):
    """Ultimate shear strength of the tube, hot."""
    return case_F_su * case_ultimate_ratio


@quantity("r_i", "m", evidence="theory", source="geometry")
def case_r_i(case_bore_max):
    """Inside radius of the tube, at its most."""
    return case_bore_max / 2


@quantity("r_o", "m", evidence="theory", source="geometry")
def case_r_o(case_r_i, case_wall_min):
    """Outside radius over the thinnest wall."""
    return case_r_i + case_wall_min


@quantity("p_2", "m", evidence="theory", source="geometry; the p₂ of EN 1993-1-8")
def case_pitch_length(case_bore, case_wall_min, screw_count):
    """Arc between neighbouring holes of one row, at mid-wall."""
    D_mid = case_bore + case_wall_min
    return circular_pitch(D_mid, screw_count)


@quantity("e/d_h", "", evidence="theory", source="geometry")
def case_edge_ratio(case_edge_distance_min, screw_clearance_hole_max):
    """Edge distance of the screw row over the hole's diameter."""
    return case_edge_distance_min / screw_clearance_hole_max


@quantity("t_eff", "m", evidence="practice",
          source="a chamfer takes its depth off the bearing, a countersink half its depth "
          "(EN 1993-1-8 Table 3.4, note)")  # fmt: skip
def case_bearing_length(case_wall_min, case_hole_chamfer, screw_flush, screw_head_k):
    """Length of wall a screw bears on."""
    left = case_wall_min - case_hole_chamfer - screw_flush * screw_head_k / 2
    return quick.maximum(left, 0.001 * case_wall_min)


@quantity("d_net", "m", evidence="theory", source="a countersink takes its own section too")
def case_hole_width(
    screw_clearance_hole_max, screw_flush, screw_head_dk, screw_head_k, case_wall_min
):
    """Width of wall that a screw hole takes out of a section."""
    cone = (screw_head_dk - screw_clearance_hole_max) * screw_head_k / (2 * case_wall_min)
    return screw_clearance_hole_max + screw_flush * quick.maximum(cone, 0 * cone)


@quantity("A_net", "m**2", evidence="standard", source="EN 1993-1-1, 6.2.2.2, zigzag rule",
          why="nothing of the wall is left between the holes")  # fmt: skip
def case_net_area(
    case_bore, case_wall_min, screw_count, case_hole_width, screw_rows, screw_row_spacing_min,
    case_pitch_length,
):  # fmt: skip
    """Wall left between the holes: straight through a row, or zigzag through two."""
    D, t, d_h = case_bore, case_wall_min, case_hole_width
    straight = net_area_straight(D, t, screw_count, d_h)
    zigzag = net_area_zigzag(D, t, screw_count, d_h, screw_row_spacing_min, case_pitch_length / 2)
    area = quick.where(screw_rows < 2, straight, quick.minimum(straight, zigzag))
    return quick.where(area > 0 * area, area, np.nan * area)


@quantity("σ_b", "Pa", source="MIL-HDBK-5J, 1.4.7: screw diameter times wall")
def case_bearing_demand(screw_load, screw_d, case_bearing_length):
    """Bearing stress at the worst screw hole."""
    return bearing_stress(screw_load, screw_d, case_bearing_length)


@quantity("F_bry", "Pa", source="MIL-HDBK-5J, 1.4.7; below e/d 1.5 in proportion, an estimate",
          weak_outside={"case_edge_ratio": (1.5, np.inf)})  # fmt: skip
def case_bearing_yield_strength(
    case_edge_distance_min, screw_clearance_hole_max, case_F_bry_15, case_F_bry_20
):
    """Bearing yield strength of the tube at its edge distance, cold."""
    return bearing_strength_at(
        case_edge_distance_min, screw_clearance_hole_max, case_F_bry_15, case_F_bry_20
    )


@quantity("F_bru", "Pa", source="MIL-HDBK-5J, 1.4.7; below e/d 1.5 in proportion, an estimate",
          weak_outside={"case_edge_ratio": (1.5, np.inf)})  # fmt: skip
def case_bearing_ultimate_strength(
    case_edge_distance_min, screw_clearance_hole_max, case_F_bru_15, case_F_bru_20
):
    """Ultimate bearing strength of the tube at its edge distance, cold."""
    return bearing_strength_at(
        case_edge_distance_min, screw_clearance_hole_max, case_F_bru_15, case_F_bru_20
    )


@check(
    "case.wall.yield", label="wall yield", unit="Pa", required="loads_yield_factor",
    evidence="theory", source="Lamé, closed ends, with the von Mises criterion",
    remedy=("case.wall", "loads.meop_given"), says="Wall yields",
)  # fmt: skip
def case_wall_yield(loads_meop, case_r_i, case_r_o, case_F_ty_hot):
    """Von Mises stress at the bore against yield."""
    return von_mises_bore(loads_meop, case_r_i, case_r_o), case_F_ty_hot


@quantity("n_hard", "", evidence="practice",
          source="ASME VIII-2 Annex 3-D, austenitic steel, from memory: more than aluminium's"
          )  # fmt: skip
def case_hardening(case_F_ty, case_F_tu, case_F_ty_hot, case_F_tu_hot):
    """Exponent of the hardening law σ ∝ εⁿ, cold or hot, at its most."""
    R = quick.minimum(case_F_ty / case_F_tu, case_F_ty_hot / case_F_tu_hot)
    return quick.maximum(0.75 * (1 - R), 0.01)


@check(
    "case.wall.burst", label="wall burst", unit="Pa", required="loads_ultimate_factor",
    evidence="practice", source="lowest of the mean-diameter form, F_tu ln K, Svensson's and "
    "Faupel's; the latter two for metals that harden much, from memory",
    remedy=("case.wall", "loads.meop_given"), says="Wall splits",
    outcome="tube splits lengthwise",
)  # fmt: skip
def case_wall_burst(
    loads_meop, case_r_i, case_r_o, case_F_ty_hot, case_F_tu_hot, case_hardening
):  # fmt: skip
    """Pressure against the burst pressure of the plain wall."""
    mean = burst_mean_diameter(case_F_tu_hot, case_r_i, case_r_o)
    svensson = burst_svensson(case_F_tu_hot, case_hardening, case_r_i, case_r_o)
    faupel = burst_faupel(case_F_ty_hot, case_F_tu_hot, case_r_i, case_r_o)
    return loads_meop, quick.minimum(quick.minimum(mean, svensson), faupel)


@check(
    "case.net_section.yield", label="net section yield", short="net yield",
    unit="Pa", required="loads_yield_factor",
    evidence="standard", source="EN 1993-1-1, 6.2.2.2, net section; full force in the inner row",
    remedy=("case.wall", "screw.count", "loads.meop_given"), says="Tube yields between the holes",
)  # fmt: skip
def case_net_section_yield(loads_end_force, case_net_area, case_F_ty_hot):
    """Mean stress between the screw holes against yield."""
    return loads_end_force / case_net_area, case_F_ty_hot


@check(
    "case.net_section.ultimate", label="net section", unit="Pa",
    required="loads_ultimate_factor", evidence="standard",
    source="EN 1993-1-1, 6.2.3, 0.9 of ultimate on the net section; full force in the inner row",
    remedy=("case.wall", "screw.count", "loads.meop_given"),
    says="Tube parts at the screw row", outcome="tube parts at its screw holes",
)  # fmt: skip
def case_net_section_ultimate(loads_end_force, case_net_area, case_F_tu_hot):
    """Mean stress between the screw holes against ultimate."""
    return loads_end_force / case_net_area, 0.9 * case_F_tu_hot


@check(
    "case.bearing.yield", label="bearing yield", unit="Pa", required="loads_yield_factor",
    evidence="standard", source="MIL-HDBK-5J, bearing yield at e/d; load as shared at the end: "
    "the tightest hole may take its set sooner",
    remedy=("case.edge_distance", "screw.count", "case.wall", "loads.meop_given"),
    says="Screw holes stretch",
)  # fmt: skip
def case_bearing_yield(case_bearing_demand, case_bearing_yield_strength, case_yield_ratio):
    """Bearing stress of the worst screw against bearing yield."""
    return case_bearing_demand, case_bearing_yield_strength * case_yield_ratio


@check(
    "case.bearing.ultimate", label="bearing", unit="Pa", required="loads_ultimate_factor",
    evidence="standard",
    source="lower of MIL-HDBK-5J at e/d and EN 1993-1-8 Table 3.4 (for steel; extrapolated to "
    "aluminium and below M12)",
    remedy=("case.edge_distance", "screw.count", "case.wall", "loads.meop_given"),
    says="Screw holes tear", outcome="holes stretch, seals leak",
)  # fmt: skip
def case_bearing_ultimate(
    case_bearing_demand, case_bearing_ultimate_strength, case_ultimate_ratio, case_F_tu_hot,
    case_edge_distance_min, case_pitch_length, screw_clearance_hole_max, screw_f_ub_hot,
):  # fmt: skip
    """Bearing stress of the worst screw against the lower of two ultimate forms."""
    e, d_h = case_edge_distance_min, screw_clearance_hole_max
    en = bearing_strength_en(e, case_pitch_length, d_h, case_F_tu_hot, screw_f_ub_hot)
    handbook = case_bearing_ultimate_strength * case_ultimate_ratio
    return case_bearing_demand, quick.minimum(handbook, en)


@check(
    "case.shear_out", label="shear-out", unit="Pa", required="loads_ultimate_factor",
    evidence="practice", source="two planes from the hole's rim; common practice, no source",
    remedy=("case.edge_distance", "case.wall", "screw.count", "loads.meop_given"),
    says="Tube end shears out", outcome="tube end tears open",
)  # fmt: skip
def case_shear_out(
    screw_load, case_bearing_length, case_edge_distance_min, screw_clearance_hole_max,
    case_F_su_hot,
):  # fmt: skip
    """Shear stress between hole and tube end against ultimate shear."""
    area = shear_out_area(case_bearing_length, case_edge_distance_min, screw_clearance_hole_max)
    return screw_load / area, case_F_su_hot


@check(
    "case.pitch", label="hole pitch", unit="", required=1.0, evidence="practice",
    source="EN 1993-1-8 Table 3.3, p₂ ≥ 2.4 d₀, staggered L ≥ 2.4 d₀ (for steel; extrapolated to "
    "aluminium and below M12)",
    remedy=("screw.count", "screw.clearance_hole", "screw.row_spacing"), basis=None,
    says="Neighbouring holes stand {capacity} hole diameters apart",
)  # fmt: skip
def case_pitch(case_pitch_length, screw_clearance_hole_max, screw_rows, screw_row_spacing_min):
    """Distance of neighbouring holes over the hole's diameter."""
    across = np.sqrt(screw_row_spacing_min**2 + (case_pitch_length / 2) ** 2)
    nearest = quick.where(
        screw_rows < 2, case_pitch_length, quick.minimum(case_pitch_length, across)
    )
    return 2.4, nearest / screw_clearance_hole_max


@check(
    "case.edge", label="edge distance", unit="", required=1.0, evidence="practice",
    source="EN 1993-1-8 Table 3.3, e₁ ≥ 1.2 d₀ (for steel; extrapolated to aluminium and below "
    "M12)",
    remedy=("case.edge_distance",), basis=None,
    says="The tube's end stands {capacity} hole diameters from the row",
)  # fmt: skip
def case_edge(case_edge_ratio):
    """Edge distance of the screw row over the hole's diameter."""
    return 1.2, case_edge_ratio


@check(
    "case.block_tear", label="block tear", unit="N", required="loads_ultimate_factor",
    evidence="practice",
    source="EN 1993-1-8, 3.10.2 (for steel; extrapolated to aluminium and below M12)",
    remedy=("case.edge_distance", "case.wall", "screw.row_spacing", "screw.count",
            "loads.meop_given"),
    says="Tube end tears out in blocks", outcome="tube end tears out in blocks",
)  # fmt: skip
def case_block_tear(
    screw_load, case_bearing_length, case_pitch_length, case_edge_distance_min,
    screw_clearance_hole_max, screw_rows, screw_row_spacing_min, case_F_tu_hot, case_F_ty_hot,
):  # fmt: skip
    """Load of the worst screw against its share of the weakest block of two or three screws."""
    t, p_2, d_h = case_bearing_length, case_pitch_length, screw_clearance_hole_max
    e, s = case_edge_distance_min, screw_row_spacing_min
    straight, far = block_straight_area(t, p_2, d_h), block_shear_area(t, e + s, d_h)
    zigzag, near = block_zigzag_area(t, p_2, s, d_h), block_shear_area(t, e, d_h)
    pair = block_tear_force(case_F_tu_hot, case_F_ty_hot, straight, near)
    inner = block_tear_force(case_F_tu_hot, case_F_ty_hot, straight, far)
    outer = block_tear_force(case_F_tu_hot, case_F_ty_hot, zigzag, near)
    three = quick.minimum(inner, outer) / 3
    return screw_load, quick.where(screw_rows < 2, pair / 2, quick.minimum(pair / 2, three))


@check(
    "case.shell_bending", label="wall bending", unit="Pa", required="loads_yield_factor",
    evidence="weak", source="von Mises at the bore plus 0.33 p R_m/t, own shell model",
    remedy=("case.wall", "loads.meop_given"), says="Wall may bend beyond yield at the screw row",
    gravest="look",
)  # fmt: skip
def case_shell_bending(loads_meop, case_r_i, case_r_o, case_F_ty_hot):
    """Stress at the screw row with the wall's bending against yield."""
    R_m, t = (case_r_i + case_r_o) / 2, case_r_o - case_r_i
    membrane = von_mises_bore(loads_meop, case_r_i, case_r_o)
    return membrane + row_bending_stress(loads_meop, R_m, t), case_F_ty_hot
