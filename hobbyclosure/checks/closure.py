"""The closure: strength at temperature, its tapped holes, and the plate."""

import numpy as np

from hobbyclosure import quick
from hobbyclosure.checks.case import HOT, NO_HOT
from hobbyclosure.graph import check, quantity
from hobbyclosure.physics.joint import bearing_strength_at, shear_out_area
from hobbyclosure.physics.land import metal_ahead
from hobbyclosure.physics.material import strength_ratio
from hobbyclosure.physics.plate import (
    plate_bending,
    plate_dry_stress,
    plate_limit_pressure,
    plate_raised,
    plate_wet_stress,
)

# The plate form was compared with finite elements in this range only.
PLATE_RANGE = {"closure_slenderness": (0.12, 0.5), "closure_hole_ratio": (0, 0.4)}


@quantity("φ_y,closure", "", why=NO_HOT, **HOT)
def closure_yield_ratio(closure_metal_temperature, closure_hot_T, closure_hot_y):
    """Yield strength of the closure's metal when hot ÷ at room temperature."""
    return strength_ratio(closure_metal_temperature, closure_hot_T, closure_hot_y)


@quantity("φ_u,closure", "", why=NO_HOT, **HOT)
def closure_ultimate_ratio(closure_metal_temperature, closure_hot_T, closure_hot_u):
    """Ultimate strength of the closure's metal when hot ÷ at room temperature."""
    return strength_ratio(closure_metal_temperature, closure_hot_T, closure_hot_u)


@quantity("x_last", "m", evidence="theory", source="geometry, worst case")
def closure_last_row(closure_screw_station_max, screw_rows, screw_row_spacing_max):
    """Cold face to the screw row nearest to the hot side."""
    return closure_screw_station_max + (screw_rows - 1) * screw_row_spacing_max


@quantity("x_n", "m", evidence="theory", source="geometry, worst case")
def closure_step(closure_length_min, closure_nose_max, closure_has_nose):
    """Cold face to the nose, or to the wet face without one, least."""
    return closure_length_min - closure_has_nose * closure_nose_max


@quantity("e_c", "m", evidence="theory", source="the closure pushes outward: towards the hot side")
def closure_edge_distance(
    closure_screw_station_max, closure_last_row, seal_secondary_station_min,
    seal_secondary_groove_width, seal_primary_station_min, seal_primary_groove_width,
    closure_step,
):  # fmt: skip
    """From a screw row to the nearest groove on its hot side."""
    first, last, end = closure_screw_station_max, closure_last_row, closure_step
    x_2, w_2 = seal_secondary_station_min, seal_secondary_groove_width
    x_1, w_1 = seal_primary_station_min, seal_primary_groove_width
    to_secondary = quick.minimum(
        metal_ahead(first, x_2, w_2, end), metal_ahead(last, x_2, w_2, end)
    )
    to_primary = quick.minimum(metal_ahead(first, x_1, w_1, end), metal_ahead(last, x_1, w_1, end))
    return quick.minimum(to_secondary, to_primary)


@quantity("e_s", "m", evidence="theory", source="geometry, worst case: below its hinge a bending "
          "screw presses towards the cold face")  # fmt: skip
def closure_either_edge(closure_edge_distance, closure_screw_station_min):
    """From a screw row to the nearest groove or the cold face, whichever is nearer."""
    return quick.minimum(closure_edge_distance, closure_screw_station_min)


@quantity("e_s/d", "", evidence="theory", source="geometry")
def closure_either_ratio(closure_either_edge, screw_d):
    """Metal on the nearer side of the tapped hole over the screw's diameter."""
    return closure_either_edge / screw_d


@quantity("e_c/d", "", evidence="theory", source="geometry")
def closure_edge_ratio(closure_edge_distance, screw_d):
    """Land beside the tapped hole over the screw's diameter."""
    return closure_edge_distance / screw_d


@quantity("F_bry,c", "Pa", source="MIL-HDBK-5J, 1.4.7; below e/d 1.5 in proportion, an estimate",
          weak_outside={"closure_edge_ratio": (1.5, np.inf)})  # fmt: skip
def closure_bearing_yield_strength(
    closure_edge_distance, screw_d, closure_F_bry_15, closure_F_bry_20
):
    """Bearing yield strength of the closure beside its tapped holes, cold."""
    return bearing_strength_at(closure_edge_distance, screw_d, closure_F_bry_15, closure_F_bry_20)


@quantity("F_bru,c", "Pa", source="MIL-HDBK-5J, 1.4.7; below e/d 1.5 in proportion, an estimate",
          weak_outside={"closure_edge_ratio": (1.5, np.inf)})  # fmt: skip
def closure_bearing_ultimate_strength(
    closure_edge_distance, screw_d, closure_F_bru_15, closure_F_bru_20
):
    """Ultimate bearing strength of the closure beside its tapped holes, cold."""
    return bearing_strength_at(closure_edge_distance, screw_d, closure_F_bru_15, closure_F_bru_20)


@quantity("L_eff", "m", evidence="practice",
          source="below the hinge the bearing turns round; the tip's first turn is unfinished: "
          "common practice, no source")  # fmt: skip
def closure_bearing_length(screw_engagement, screw_P, screw_d):
    """Length of full thread that bears towards the hot side: no more than one diameter."""
    full = quick.maximum(screw_engagement - screw_P, 0 * screw_engagement)
    return quick.minimum(full, screw_d)


@quantity("h/D", "", evidence="theory", source="geometry")
def closure_slenderness(closure_plate_min, case_bore):
    """Plate thickness over the bore."""
    return closure_plate_min / case_bore


@quantity("D_c/D", "", evidence="theory", source="geometry")
def closure_hole_ratio(closure_centre_hole, case_bore):
    """Centre hole over the bore."""
    return closure_centre_hole / case_bore


@quantity("h_s", "m", evidence="theory", source="no credit beyond 2h/3")
def closure_seal_depth(closure_length, seal_primary_station, closure_plate_min):
    """Depth of the primary ring below the wet face, as far as it counts."""
    depth = closure_length - seal_primary_station
    return quick.minimum(quick.maximum(depth, 0 * depth), 2 * closure_plate_min / 3)


@quantity("F_ty,c,hot", "Pa", source="material row")
def closure_F_ty_hot(closure_F_ty, closure_yield_ratio):
    """Tensile yield strength of the closure, hot."""
    return closure_F_ty * closure_yield_ratio


@quantity("F_tu,c,hot", "Pa", source="material row")
def closure_F_tu_hot(closure_F_tu, closure_ultimate_ratio):
    """Ultimate tensile strength of the closure, hot."""
    return closure_F_tu * closure_ultimate_ratio


@quantity("F_su,c,hot", "Pa", evidence="practice",
          source="material row; shear is taken to fall with heat as tension does; no source"
          )  # fmt: skip
def closure_F_su_hot(closure_F_su, closure_ultimate_ratio):
    """Ultimate shear strength of the closure, hot."""
    return closure_F_su * closure_ultimate_ratio


@quantity("σ_bend", "Pa", evidence="theory", source="Timoshenko, simply supported")
def closure_plate_bending(
    loads_meop, case_bore_max, closure_centre_hole, closure_plate_min, closure_nu
):
    """Bending stress of the thin plate at MEOP: solid, or with a plugged hole."""
    a, b = case_bore_max / 2, closure_centre_hole / 2
    return plate_bending(loads_meop, a, b, closure_plate_min, closure_nu)


@quantity("σ_plate", "Pa", evidence="theory", limits=PLATE_RANGE,
          source="Timoshenko, simply supported, thick-plate terms; compared with FE")  # fmt: skip
def closure_plate_stress(
    closure_plate_bending, loads_meop, case_bore_max, closure_centre_hole, closure_plate_min,
    closure_nu, closure_seal_depth,
):  # fmt: skip
    """Greatest stress in the plate at MEOP, dry or wet face: solid, or with a plugged hole."""
    p, a, b, h = loads_meop, case_bore_max / 2, closure_centre_hole / 2, closure_plate_min
    raised = plate_raised(closure_plate_bending, p, a, b, h, closure_nu)
    dry = plate_dry_stress(raised, p, a, b, h, closure_seal_depth)
    return quick.maximum(dry, plate_wet_stress(raised, p, a, b, h, closure_seal_depth))


@check(
    "closure.plate.yield", label="plate yield", unit="Pa", required="loads_yield_factor",
    evidence="theory", limits=PLATE_RANGE,
    source="plate simply supported at the screw circle, thick-plate form; compared with FE",
    remedy=("closure.plate", "loads.meop_given"), says="Plate yields",
)  # fmt: skip
def closure_plate_yield(closure_plate_stress, closure_F_ty_hot):
    """Greatest elastic stress in the plate against yield."""
    return closure_plate_stress, closure_F_ty_hot


@check(
    "closure.plate.limit", label="plate limit", unit="Pa", required="loads_ultimate_factor",
    evidence="theory", limits=PLATE_RANGE,
    source="plastic limit load, Tresca, plugged hole, rim simply supported",
    remedy=("closure.plate", "loads.meop_given"), says="Plate folds",
    outcome="plate dishes, plug leaves",
)  # fmt: skip
def closure_plate_limit(
    loads_meop, case_bore_max, closure_centre_hole, closure_plate_min, closure_F_tu_hot
):
    """Pressure against the plate's plastic limit pressure."""
    a, b = case_bore_max / 2, closure_centre_hole / 2
    return loads_meop, plate_limit_pressure(closure_F_tu_hot, a, b, closure_plate_min)


@check(
    "closure.bearing.yield", label="closure set", unit="N", required="loads_yield_factor",
    evidence="theory", source="MIL-HDBK-5J, bearing yield at e/d of the land, on one diameter",
    remedy=("seal.secondary.station", "closure.screw_station", "screw.count", "screw.length",
            "loads.meop_given"),
    says="Tapped holes stretch",
)  # fmt: skip
def closure_bearing_yield(
    screw_load, closure_bearing_yield_strength, closure_yield_ratio, screw_d,
    closure_bearing_length,
):  # fmt: skip
    """Load of the worst screw against bearing yield of its tapped hole."""
    F_bry = closure_bearing_yield_strength * closure_yield_ratio
    return screw_load, F_bry * screw_d * closure_bearing_length


@check(
    "closure.bearing.ultimate", label="closure bearing", unit="N",
    required="loads_ultimate_factor", evidence="theory",
    source="MIL-HDBK-5J, ultimate bearing at e/d of the land, on one diameter",
    remedy=("seal.secondary.station", "closure.screw_station", "screw.count", "screw.length",
            "loads.meop_given"),
    says="Tapped holes tear", outcome="screws tilt, seals leak",
)  # fmt: skip
def closure_bearing_ultimate(
    screw_load, closure_bearing_ultimate_strength, closure_ultimate_ratio, screw_d,
    closure_bearing_length,
):  # fmt: skip
    """Load of the worst screw against ultimate bearing of its tapped hole."""
    F_bru = closure_bearing_ultimate_strength * closure_ultimate_ratio
    return screw_load, F_bru * screw_d * closure_bearing_length


@check(
    "closure.shear_out", label="closure tear", unit="N", required="loads_ultimate_factor",
    evidence="practice", source="two planes from the hole's rim; common practice, no source",
    remedy=("seal.secondary.station", "closure.screw_station", "screw.count", "screw.length",
            "loads.meop_given"),
    says="Screws tear into the groove", outcome="closure tears off its screws",
)  # fmt: skip
def closure_shear_out(
    screw_load, closure_bearing_length, closure_edge_distance, screw_d, closure_F_su_hot
):
    """Load of the worst screw against shear of the land towards the nearest groove."""
    area = shear_out_area(closure_bearing_length, closure_edge_distance, screw_d)
    return screw_load, closure_F_su_hot * quick.maximum(area, 0 * screw_d**2)
