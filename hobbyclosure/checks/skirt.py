"""The closure's skirt: its fillet, and its section under the end force.

The gas pushes the plate outward, the screws hold the skirt: between them the skirt is pressed.
"""

import numpy as np

from hobbyclosure import quick
from hobbyclosure.graph import check, quantity
from hobbyclosure.physics.skirt import skirt_fillet_stress
from hobbyclosure.physics.vessel import net_area_straight

# The fillet form was compared with finite elements in this range only.
FILLET_RANGE = {
    "closure_slenderness": (0.15, 0.3),
    "closure_skirt_ratio": (0.12, 0.2),
    "closure_skirt_height": (0.1, 0.6),
    "closure_fillet_ratio": (0.015, 0.05),
    "closure_hole_ratio": (0, 0.4),
}
SKIRT = {"applies": {"closure_has_skirt": "the closure has no skirt"}}


@quantity("R_c", "m", evidence="theory", source="geometry")
def closure_radius(case_bore, closure_clearance):
    """Outside radius of the closure."""
    return (case_bore - closure_clearance) / 2


@quantity("r_s", "m", evidence="theory", source="geometry, thinnest skirt")
def closure_pocket_radius(closure_radius, closure_skirt_wall_min):
    """Inside radius of the skirt, at its most."""
    return closure_radius - closure_skirt_wall_min


@quantity("x_f", "m", evidence="theory", source="geometry")
def closure_floor(closure_length, closure_plate):
    """Cold face to the floor of the pocket."""
    return closure_length - closure_plate


@quantity("skirt", "", evidence="theory", source="geometry: a pocket wider than the centre hole")
def closure_has_skirt(closure_floor, closure_length, closure_pocket_radius, closure_centre_hole):
    """1 where the closure is hollow on its cold side, else 0."""
    wide = quick.where(closure_pocket_radius > closure_centre_hole / 2, 1.0, 0.0)
    return quick.where(closure_floor > 0.001 * closure_length, wide, 0 * wide)


@quantity("skirt held", "", evidence="theory", source="geometry")
def closure_skirt_loaded(closure_has_skirt, closure_floor, closure_screw_station):
    """1 where the screws hold the skirt, 0 where they sit in the plate."""
    return quick.where(
        closure_screw_station < closure_floor, closure_has_skirt, 0 * closure_has_skirt
    )


@quantity("w_s/D", "", evidence="theory", source="geometry")
def closure_skirt_ratio(closure_skirt_wall, case_bore):
    """Skirt wall over the bore."""
    return closure_skirt_wall / case_bore


@quantity("x_f/D", "", evidence="theory", source="geometry")
def closure_skirt_height(closure_floor, case_bore):
    """Skirt height over the bore."""
    return closure_floor / case_bore


@quantity("r_f/D", "", evidence="theory", source="geometry")
def closure_fillet_ratio(closure_fillet, case_bore):
    """Fillet radius over the bore."""
    return closure_fillet / case_bore


@quantity("σ_fillet", "Pa", evidence="weak", source="own form, compared with FE in its range")
def closure_fillet_stress(
    loads_meop, case_bore_max, closure_pocket_radius, closure_fillet, closure_plate_bending
):
    """Greatest stress in the skirt's fillet at MEOP."""
    a, r_i, r_f = case_bore_max / 2, closure_pocket_radius, closure_fillet
    return skirt_fillet_stress(loads_meop, a, r_i, r_f, closure_plate_bending)


@quantity("A_skirt", "m**2", evidence="theory", source="statics; the hole's full width in each row")
def closure_skirt_area(
    closure_radius, closure_pocket_radius, screw_count, screw_d, closure_floor,
    seal_secondary_station_min, seal_secondary_groove_diameter_min, seal_primary_station_min,
    seal_primary_groove_diameter_min,
):  # fmt: skip
    """Section of the skirt between its tapped holes, or under a groove that lies over it."""
    R, r_i, x_f = closure_radius, closure_pocket_radius, closure_floor
    holes = net_area_straight(2 * r_i, R - r_i, screw_count, screw_d)
    R_1, R_2 = seal_primary_groove_diameter_min / 2, seal_secondary_groove_diameter_min / 2
    under_1 = quick.where(seal_primary_station_min < x_f, np.pi * (R_1**2 - r_i**2), holes)
    under_2 = quick.where(seal_secondary_station_min < x_f, np.pi * (R_2**2 - r_i**2), holes)
    least = quick.minimum(quick.minimum(holes, under_1), under_2)
    return quick.maximum(least, 1e-6 * R**2)


@check(
    "closure.fillet.yield", label="skirt fillet", unit="Pa", required="loads_yield_factor",
    evidence="weak", limits=FILLET_RANGE, source="own form, compared with FE in its range",
    remedy=("closure.fillet", "closure.plate", "closure.skirt_wall", "loads.meop_given"),
    says="Fillet of the skirt yields", **SKIRT,
)  # fmt: skip
def closure_fillet_yield(closure_fillet_stress, closure_F_ty_hot):
    """Greatest stress in the skirt's fillet against yield."""
    return closure_fillet_stress, closure_F_ty_hot


@check(
    "closure.skirt", label="skirt", unit="Pa", required="loads_yield_factor", evidence="theory",
    source="statics: the end force on the skirt's least section",
    remedy=("closure.skirt_wall", "screw.count", "loads.meop_given"), says="Skirt is crushed",
    applies={"closure_skirt_loaded": "no skirt between plate and screws"},
)  # fmt: skip
def closure_skirt(loads_end_force, closure_skirt_area, closure_F_ty_hot):
    """Compression of the skirt between plate and screws against yield."""
    return loads_end_force / closure_skirt_area, closure_F_ty_hot
