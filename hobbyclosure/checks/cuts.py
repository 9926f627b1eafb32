"""What is left of the closure between its cuts: lands beside grooves, metal beside holes."""

from typing import Any

import numpy as np

from hobbyclosure import quick
from hobbyclosure.graph import check, quantity
from hobbyclosure.physics.land import (
    corner_share,
    land_stress,
    least_ligament,
    metal_between,
    metal_between_holes,
    spread,
)

# The land's form was made for a groove's corner of this share of the land, or rounder.
LAND_CORNER = (0.1, np.inf)
LAND: dict[str, Any] = {
    "unit": "Pa", "required": "loads_yield_factor", "evidence": "theory",
    "source": "short cantilever under the full pressure on one side; compared with FE",
}  # fmt: skip
HOLE = {"unit": "m", "required": 1.0, "evidence": "practice", "basis": None}


# ---- widths and stresses of the lands


@quantity("w_land", "m", evidence="theory", source="geometry, worst case")
def closure_bore_land(
    seal_primary_station_min, seal_secondary_station_max, seal_secondary_groove_width_max
):
    """Metal between the two grooves in the bore."""
    return seal_primary_station_min - seal_secondary_station_max - seal_secondary_groove_width_max


@quantity("w_land,nose", "m", evidence="theory", source="geometry, worst case")
def closure_nose_land(closure_step, seal_primary_station_max, seal_primary_groove_width_max):
    """Metal between the primary groove and the nose, or the wet face without one."""
    return closure_step - seal_primary_station_max - seal_primary_groove_width_max


@quantity("w_land,liner", "m", evidence="theory", source="geometry, worst case")
def closure_liner_land(closure_length_min, seal_liner_station_max, seal_liner_groove_width_max):
    """Metal between the liner groove and the wet face."""
    return closure_length_min - seal_liner_station_max - seal_liner_groove_width_max


@quantity("R_f", "m", evidence="theory", source="geometry, worst case")
def closure_bore_floor(seal_primary_groove_diameter_min, seal_secondary_groove_diameter_min):
    """Radius of the deeper of the two grooves in the bore, least."""
    return quick.minimum(seal_primary_groove_diameter_min, seal_secondary_groove_diameter_min) / 2


@quantity("R/w_land", "", evidence="theory", source="definition")
def closure_bore_land_corner(
    seal_primary_corner_radius, seal_secondary_corner_radius, closure_bore_land,
    closure_land_max, closure_bore_floor,
):  # fmt: skip
    """Corner radius of the grooves over the land's width or height, whichever is less."""
    r = quick.minimum(seal_primary_corner_radius, seal_secondary_corner_radius)
    return corner_share(r, closure_bore_land, closure_land_max / 2, closure_bore_floor)


@quantity("R/w_land,nose", "", evidence="theory", source="definition")
def closure_nose_land_corner(
    seal_primary_corner_radius, closure_nose_land, closure_land_max,
    seal_primary_groove_diameter_min,
):  # fmt: skip
    """Corner radius of the primary groove over the land's width or height, whichever is less."""
    R_f = seal_primary_groove_diameter_min / 2
    return corner_share(seal_primary_corner_radius, closure_nose_land, closure_land_max / 2, R_f)


@quantity("R/w_land,liner", "", evidence="theory", source="definition")
def closure_liner_land_corner(
    seal_liner_corner_radius, closure_liner_land, closure_nose_diameter_max,
    seal_liner_groove_diameter_min,
):  # fmt: skip
    """Corner radius of the liner groove over the land's width or height, whichever is less."""
    R, R_f = closure_nose_diameter_max / 2, seal_liner_groove_diameter_min / 2
    return corner_share(seal_liner_corner_radius, closure_liner_land, R, R_f)


def _rounded(corner: str) -> dict[str, Any]:
    return {
        "evidence": "theory", "source": "short cantilever; compared with FE",
        "limits": {corner: LAND_CORNER},
    }  # fmt: skip


@quantity("σ_land", "Pa", **_rounded("closure_bore_land_corner"))
def closure_bore_land_stress(loads_meop, closure_land_max, closure_bore_floor, closure_bore_land):
    """Stress of the land between the grooves, with MEOP in the primary one."""
    return land_stress(loads_meop, closure_land_max / 2, closure_bore_floor, closure_bore_land)


@quantity("σ_land,nose", "Pa", **_rounded("closure_nose_land_corner"))
def closure_nose_land_stress(
    loads_meop, closure_land_max, seal_primary_groove_diameter_min, closure_nose_land
):
    """Stress of the land before the primary groove, with MEOP on its hot side alone."""
    R_f = seal_primary_groove_diameter_min / 2
    return land_stress(loads_meop, closure_land_max / 2, R_f, closure_nose_land)


@quantity("σ_land,liner", "Pa", **_rounded("closure_liner_land_corner"))
def closure_liner_land_stress(
    loads_meop, closure_nose_diameter_max, seal_liner_groove_diameter_min, closure_liner_land
):
    """Stress of the land before the liner groove, with MEOP on its hot side alone."""
    R, R_f = closure_nose_diameter_max / 2, seal_liner_groove_diameter_min / 2
    return land_stress(loads_meop, R, R_f, closure_liner_land)


@quantity("nose", "", evidence="theory", source="geometry")
def closure_has_nose(closure_nose):
    """1 where the closure has a nose, else 0."""
    return quick.where(closure_nose > 0, 1.0, 0.0)


@quantity("σ_lands", "Pa", evidence="theory", source="the worst of the lands")
def closure_lands_stress(
    closure_bore_land_stress, closure_nose_land_stress, closure_liner_land_stress,
    closure_has_nose,
):  # fmt: skip
    """Stress of the weakest land."""
    bore = quick.maximum(closure_bore_land_stress, closure_nose_land_stress)
    liner = quick.maximum(bore, closure_liner_land_stress)
    return quick.where(closure_has_nose > 0, liner, bore)


@check(
    "closure.land.secondary_primary", label="groove land",
    remedy=("seal.primary.station", "seal.secondary.station", "seal.secondary.groove_width",
            "loads.meop_given"),
    says="Land between the grooves yields",
    limits={"closure_bore_land_corner": LAND_CORNER}, **LAND,
)  # fmt: skip
def closure_land_secondary_primary(closure_bore_land_stress, closure_F_ty_hot):
    """Stress of the land between the two grooves against yield."""
    return closure_bore_land_stress, closure_F_ty_hot


@check(
    "closure.land.primary_nose", label="nose land",
    remedy=("closure.length", "seal.primary.station", "closure.nose", "loads.meop_given"),
    says="Land before the primary groove yields",
    limits={"closure_nose_land_corner": LAND_CORNER}, **LAND,
)  # fmt: skip
def closure_land_primary_nose(closure_nose_land_stress, closure_F_ty_hot):
    """Stress of the land between primary groove and nose against yield."""
    return closure_nose_land_stress, closure_F_ty_hot


@check(
    "closure.land.liner", label="liner land",
    remedy=("seal.liner.station", "closure.length", "loads.meop_given"),
    says="Land before the liner groove yields",
    applies={"closure_has_nose": "no nose, so no liner groove"},
    limits={"closure_liner_land_corner": LAND_CORNER}, **LAND,
)  # fmt: skip
def closure_land_liner(closure_liner_land_stress, closure_F_ty_hot):
    """Stress of the land between liner groove and wet face against yield."""
    return closure_liner_land_stress, closure_F_ty_hot


# ---- holes: screws to grooves, ports to plug, pocket, grooves and each other


@quantity("w_hole", "m", evidence="theory", source="geometry, worst case on either side")
def closure_hole_land(
    closure_screw_station_min, closure_screw_station_max, closure_last_row, screw_rows,
    screw_row_spacing_min, screw_d, seal_secondary_station_min, seal_secondary_station_max,
    seal_secondary_groove_width_max, seal_primary_station_min, seal_primary_station_max,
    seal_primary_groove_width_max,
):  # fmt: skip
    """Metal between the screw holes and the nearest groove on either side."""
    near_1, far_1, far_n = closure_screw_station_min, closure_screw_station_max, closure_last_row
    near_n = near_1 + (screw_rows - 1) * screw_row_spacing_min
    first, d_1 = (near_1 + far_1) / 2, screw_d + far_1 - near_1
    last, d_n = (near_n + far_n) / 2, screw_d + far_n - near_n
    x_2, x_1 = seal_secondary_station_min, seal_primary_station_min
    w_2 = seal_secondary_station_max - x_2 + seal_secondary_groove_width_max
    w_1 = seal_primary_station_max - x_1 + seal_primary_groove_width_max
    to_2 = quick.minimum(metal_between(first, d_1, x_2, w_2), metal_between(last, d_n, x_2, w_2))
    to_1 = quick.minimum(metal_between(first, d_1, x_1, w_1), metal_between(last, d_n, x_1, w_1))
    return quick.minimum(to_2, to_1)


@check(
    "closure.land.screw_secondary", label="hole to groove",
    source="EN 1993-1-8 Table 3.3, e₁ ≥ 1.2 d₀, counted from the rim (extrapolated to a groove)",
    remedy=("closure.screw_station", "seal.secondary.station", "screw.row_spacing"),
    says="{capacity} of metal stands between screw holes and groove", **HOLE,
)  # fmt: skip
def closure_land_screw_secondary(screw_d, closure_hole_land):
    """Metal between the screw holes and the nearest groove against 0.7 d."""
    return 0.7 * screw_d, closure_hole_land


@check(
    "closure.land.screw_face", label="hole to face",
    source="EN 1993-1-8 Table 3.3, e₁ ≥ 1.2 d₀, counted from the rim (extrapolated to a face): "
    "a bending screw presses this way below its hinge",
    remedy=("closure.screw_station",),
    says="{capacity} of metal stands between screw holes and the cold face", **HOLE,
)  # fmt: skip
def closure_land_screw_face(screw_d, closure_screw_station_min):
    """Metal between the screw holes and the cold face against 0.7 d."""
    left = closure_screw_station_min - screw_d / 2
    return 0.7 * screw_d, quick.maximum(left, 0 * left)


@quantity("port, plug", "", evidence="theory", source="count")
def port_beside_plug(port_count, closure_centre_hole):
    """Ports beside a centre hole; 0 without either."""
    return quick.where(closure_centre_hole > 0, port_count, 0 * port_count)


@quantity("port, pocket", "", evidence="theory", source="count")
def port_in_pocket(port_count, closure_has_skirt):
    """Ports in a pocket; 0 without one."""
    return port_count * closure_has_skirt


@quantity("ports − 1", "", evidence="theory", source="count")
def port_pairs(port_count):
    """Ports beyond the first."""
    return port_count - 1


@quantity("r_port", "m", evidence="theory", source="geometry")
def port_reach(port_pitch_circle_max, port_thread_diameter):
    """From the axis to the outermost of the port's thread, most."""
    return (port_pitch_circle_max + port_thread_diameter) / 2


@check(
    "closure.ligament.port_plug", label="port to plug",
    source="ASME VIII-1 UG-42, centres 1 1/3 mean diameters apart, from memory",
    remedy=("port.pitch_circle", "closure.centre_hole"),
    says="{capacity} of metal stands between port and plug",
    applies={"port_beside_plug": "no port beside a plug"}, **HOLE,
)  # fmt: skip
def closure_ligament_port_plug(port_pitch_circle_min, port_thread_diameter, closure_centre_hole):
    """Metal between port and plug thread against a third of their mean diameter."""
    left = metal_between_holes(port_pitch_circle_min / 2, port_thread_diameter, closure_centre_hole)
    return least_ligament(port_thread_diameter, closure_centre_hole), left


@check(
    "closure.ligament.port_port", label="port to port",
    source="ASME VIII-1 UG-42, centres 1 1/3 mean diameters apart, from memory",
    remedy=("port.pitch_circle", "port.count"),
    says="{capacity} of metal stands between two ports",
    applies={"port_pairs": "no second port"}, **HOLE,
)  # fmt: skip
def closure_ligament_port_port(port_pitch_circle_min, port_count, port_thread_diameter):
    """Metal between neighbouring ports against a third of their diameter."""
    d, n = port_thread_diameter, quick.maximum(port_count, 2)
    apart = spread(port_pitch_circle_min / 2, n)
    return least_ligament(d, d), metal_between_holes(apart, d, d)


@check(
    "closure.ligament.port_rim", label="port to skirt",
    source="the port stays out of the fillet; common practice, no source",
    remedy=("port.pitch_circle", "closure.fillet", "closure.skirt_wall"),
    says="The port leaves {capacity} to the skirt",
    applies={"port_in_pocket": "no port in a pocket"}, **HOLE,
)  # fmt: skip
def closure_ligament_port_rim(
    closure_fillet, case_bore_min, closure_clearance_max, closure_skirt_wall_max, port_reach
):
    """Floor left between port and skirt against the fillet's radius."""
    left = (case_bore_min - closure_clearance_max) / 2 - closure_skirt_wall_max - port_reach
    return closure_fillet, quick.maximum(left, 0 * left)


@check(
    "closure.ligament.port_groove", label="port to groove",
    source="half the port's diameter; common practice, no source",
    remedy=("port.pitch_circle", "seal.primary.groove_diameter", "port.thread_diameter"),
    says="{capacity} of metal stands between port and groove",
    applies={"port_count": "no port"}, **HOLE,
)  # fmt: skip
def closure_ligament_port_groove(port_thread_diameter, port_reach, closure_bore_floor):
    """Metal between the port's thread and the deeper bore groove against half its diameter."""
    left = closure_bore_floor - port_reach
    return port_thread_diameter / 2, quick.maximum(left, 0 * left)
