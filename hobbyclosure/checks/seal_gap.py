"""The gap on the open side of each ring: how it opens, and what the ring may bridge.

With the closure against the far wall the radial gap there is the diametral gap.
"""

from typing import Any

import numpy as np

from hobbyclosure import quick
from hobbyclosure.checks.case import HOT, NO_HOT
from hobbyclosure.checks.each import GEOMETRY, IN_BORE, NO_NOSE, check, quantity
from hobbyclosure.physics.chart import chart_band, extrusion_limit
from hobbyclosure.physics.material import strength_ratio
from hobbyclosure.physics.plate import rim_rotation
from hobbyclosure.physics.seal import rim_opening, thermal_opening
from hobbyclosure.physics.swelling import (
    foundation_length,
    foundation_number,
    growth_at_ring,
    growth_bound,
    growth_by_pressure,
    shrink_by_pull,
)
from hobbyclosure.physics.vessel import bore_growth

CHART = {"seal_chart_share": (0, 1)}
CHART_PROOF = {"seal_chart_share_proof": (0, 1)}

# ---- how the gap opens: pressure, heat, the plate's rim


@quantity("d", "m", rings=IN_BORE, **GEOMETRY)
def seal_from_end(seal_station_min, closure_screw_station_max, case_edge_distance_min):
    """From the tube's free end to the ring."""
    return seal_station_min - closure_screw_station_max + case_edge_distance_min


@quantity("√(R_m t)", "m", rings=(), evidence="theory", source="definition")
def case_foundation_length(case_r_i, case_r_o):
    """Length over which a bend of the tube's wall dies away."""
    return foundation_length(case_r_i, case_r_o)


@quantity("β", "1/m", rings=(), evidence="theory", source="beam on an elastic foundation")
def case_foundation_number(case_foundation_length, case_nu):
    """The tube's wall as a beam on an elastic foundation."""
    return foundation_number(case_foundation_length, case_nu)


@quantity(
    "Y", "", rings=(), evidence="theory", source="the screws' load, in the middle of the rows"
)
def case_pull_station(
    case_edge_distance, screw_rows, screw_row_spacing, case_foundation_number
):  # fmt: skip
    """Where the screws pull, from the tube's end in lengths 1/β."""
    return case_foundation_number * (case_edge_distance + (screw_rows - 1) * screw_row_spacing / 2)


@quantity("u_∞", "m", rings=(), evidence="theory", source="Lamé, far from the ends")
def case_far_growth(loads_meop, case_r_i, case_r_o, case_E, case_nu):
    """Growth of the bore at MEOP far from the ends, on the radius, metal cold."""
    return bore_growth(loads_meop, case_r_i, case_r_o, case_E, case_nu)


@quantity("u_p", "m", rings=(), evidence="theory", source="Lamé with Hooke's law")
def case_pressure_growth(loads_meop, case_r_i, case_r_o, case_E, case_nu):
    """Growth of the bore at MEOP by pressure alone, on the radius, metal cold."""
    return growth_by_pressure(loads_meop, case_r_i, case_r_o, case_E, case_nu)


@quantity("u_F", "m", rings=(), evidence="theory", source="Lamé with Hooke's law")
def case_pull_shrink(loads_meop, case_r_i, case_r_o, case_E, case_nu):
    """Shrinking of the bore at MEOP by the pull of the end force, on the radius, metal cold."""
    return shrink_by_pull(loads_meop, case_r_i, case_r_o, case_E, case_nu)


@quantity("ξ", "", rings=IN_BORE, **GEOMETRY)
def seal_from_end_share(seal_from_end, case_foundation_length):
    """Distance from the tube's end over √(R_m t)."""
    return seal_from_end / case_foundation_length


@quantity("u", "m", rings=IN_BORE, evidence="theory", limits={"seal_from_end_share": (0, np.inf)},
          source="beam on an elastic foundation, and a bound for screws that bear outside; "
          "compared with FE")  # fmt: skip
def seal_growth(
    seal_from_end, seal_from_end_share, case_foundation_number, case_pull_station,
    case_pressure_growth, case_pull_shrink, case_far_growth,
):  # fmt: skip
    """Growth of the bore at the ring at MEOP, on the radius, metal cold."""
    X, Y = case_foundation_number * seal_from_end, case_pull_station
    grown = growth_at_ring(X, Y, case_pressure_growth, case_pull_shrink)
    return quick.maximum(grown, growth_bound(seal_from_end_share, case_far_growth))


@quantity("u_lin", "m", rings=(), evidence="weak",
          source="Lamé, far from the ends: the most; the liner squashed against the tube, own form"
          )  # fmt: skip
def seal_liner_growth(case_far_growth, loads_meop, insulation_liner_max, insulation_liner_modulus):
    """Growth of the liner's bore at MEOP, on the radius: tube and liner give way, metal cold."""
    return case_far_growth + loads_meop * insulation_liner_max / insulation_liner_modulus


@quantity("E_hot", "Pa", rings=(), why=NO_HOT, **HOT)
def case_E_hot(case_E, case_metal_temperature, case_hot_T, case_hot_E):
    """Modulus of the tube's metal when hot."""
    return case_E * strength_ratio(case_metal_temperature, case_hot_T, case_hot_E)


@quantity("E_c,hot", "Pa", rings=(), why=NO_HOT, **HOT)
def closure_E_hot(closure_E, closure_metal_temperature, closure_hot_T, closure_hot_E):
    """Modulus of the closure's metal when hot."""
    return closure_E * strength_ratio(closure_metal_temperature, closure_hot_T, closure_hot_E)


@quantity("θ", "rad", rings=(), evidence="weak",
          source="thin-plate theory, free rim: screws are left out")  # fmt: skip
def closure_rim_turn(
    loads_meop, case_bore_max, closure_centre_hole, closure_plate_min, closure_E, closure_nu
):
    """Angle by which the plate's rim turns at MEOP, metal cold."""
    a, b, h = case_bore_max / 2, closure_centre_hole / 2, closure_plate_min
    return rim_rotation(loads_meop, a, b, h, closure_E, closure_nu)


@quantity("g_rim", "m", evidence="weak", source="geometry of a rim that turns")
def seal_rim(closure_rim_turn, closure_plate_min, closure_length_min, seal_station_max):
    """What the turning rim of the plate adds to the gap at MEOP, metal cold."""
    return rim_opening(closure_rim_turn, closure_plate_min, closure_length_min - seal_station_max)


@quantity("g_cold", "m", evidence="theory", source="linear expansion, coldest day")
def seal_thermal_cold(seal_bore, case_alpha, closure_alpha, loads_cold, loads_room):
    """What cold adds to the gap where tube and closure differ."""
    return thermal_opening(seal_bore, case_alpha, loads_cold, closure_alpha, loads_cold, loads_room)


@quantity("g_warm", "m", evidence="theory", source="linear expansion, hottest day")
def seal_thermal_warm(seal_bore, case_alpha, closure_alpha, loads_hot, loads_room):
    """What a hot day adds to the gap where tube and closure differ."""
    return thermal_opening(seal_bore, case_alpha, loads_hot, closure_alpha, loads_hot, loads_room)


@quantity("g_hot", "m", evidence="theory", source="linear expansion, metal at peak pressure")
def seal_thermal_hot(
    seal_bore, case_alpha, case_metal_temperature, closure_alpha, closure_metal_temperature,
    loads_room,
):  # fmt: skip
    """What hot metal adds to the gap: the tube hotter than the closure, or another alloy."""
    T_1, T_2 = case_metal_temperature, closure_metal_temperature
    return thermal_opening(seal_bore, case_alpha, T_1, closure_alpha, T_2, loads_room)


@quantity("g_MEOP,cold", "m", evidence="theory", source="sum, worst case")
def seal_gap_cold(seal_pressed_max, seal_thermal_cold, seal_growth, seal_rim):
    """Diametral gap at MEOP on the coldest day."""
    return seal_pressed_max + seal_thermal_cold + 2 * seal_growth + seal_rim


@quantity("g_MEOP,hot", "m", evidence="theory", source="sum, worst case; growth over the modulus")
def seal_gap_hot(
    seal_pressed_max, seal_thermal_hot, seal_growth, case_E, case_E_hot, seal_rim, closure_E,
    closure_E_hot,
):  # fmt: skip
    """Diametral gap at MEOP, metal hot."""
    swollen = 2 * seal_growth * case_E / case_E_hot + seal_rim * closure_E / closure_E_hot
    return seal_pressed_max + seal_thermal_hot + swollen


@quantity("g_proof,cold", "m", evidence="theory", source="sum, worst case")
def seal_gap_proof_cold(
    seal_pressed_max, seal_thermal_cold, seal_growth, seal_rim, loads_proof_factor
):
    """Diametral gap at proof on the coldest day."""
    swollen = (2 * seal_growth + seal_rim) * loads_proof_factor
    return seal_pressed_max + seal_thermal_cold + swollen


@quantity("g_proof,warm", "m", evidence="theory", source="sum, worst case")
def seal_gap_proof_warm(
    seal_pressed_max, seal_thermal_warm, seal_growth, seal_rim, loads_proof_factor
):
    """Diametral gap at proof on the hottest day."""
    swollen = (2 * seal_growth + seal_rim) * loads_proof_factor
    return seal_pressed_max + seal_thermal_warm + swollen


# ---- how it closes


@quantity("Δc", "m", rings=(), evidence="theory", source="tolerance and linear expansion")
def closure_closing(
    closure_clearance_tol, case_bore, case_alpha, case_metal_temperature, closure_alpha,
    closure_metal_temperature, loads_cold, loads_hot, loads_room,
):  # fmt: skip
    """How much the clearance round the closure may close: tolerance, and the worst temperature."""
    D, outer, inner, T_0 = case_bore, case_alpha, closure_alpha, loads_room
    cold = thermal_opening(D, inner, loads_cold, outer, loads_cold, T_0)
    warm = thermal_opening(D, inner, loads_hot, outer, loads_hot, T_0)
    hot = thermal_opening(D, inner, closure_metal_temperature, outer, case_metal_temperature, T_0)
    return closure_clearance_tol + quick.maximum(quick.maximum(cold, warm), hot)


@check("closure.slip", label="slip fit", basis=None, unit="m", required=1.0, evidence="practice",
       says="The gap round the closure closes by {demand} at its tightest",
       source="tolerance and linear expansion: the gap never below zero",
       applies={"closure_closing": "no tolerance, and tube and closure grow alike"},
       remedy=("closure.clearance",))  # fmt: skip
def closure_slip(closure_closing, closure_clearance):
    """How much the clearance may close against the clearance as drawn."""
    return closure_closing, closure_clearance


@quantity("Δc_n", "m", rings=(), evidence="theory", source="sum of tolerances")
def closure_nose_closing(insulation_liner_bore_tol, closure_nose_diameter_tol):
    """How much the clearance round the nose may close."""
    return insulation_liner_bore_tol + closure_nose_diameter_tol


@check("closure.nose_slip", label="nose's slip fit", basis=None, unit="m", required=1.0,
       says="The gap round the nose closes by {demand} at its tightest", evidence="practice",
       source="sum of tolerances: the gap never below zero",
       applies={**NO_NOSE, "closure_nose_closing": "no tolerances"},
       remedy=("closure.nose_diameter",))  # fmt: skip
def closure_nose_slip(closure_nose_closing, seal_liner_bore, closure_nose_diameter):
    """How much the clearance may close against the clearance as drawn."""
    return closure_nose_closing, seal_liner_bore - closure_nose_diameter


# ---- what the ring may bridge


@quantity("p/p_chart", "", rings=(), evidence="theory", source="definition")
def seal_chart_share(loads_meop, seal_chart_top):
    """MEOP over the pressure at which the extrusion chart ends."""
    return loads_meop / seal_chart_top


@quantity("p_proof/p_chart", "", rings=(), evidence="theory", source="definition")
def seal_chart_share_proof(loads_proof, seal_chart_top):
    """Proof over the pressure at which the extrusion chart ends."""
    return loads_proof / seal_chart_top


@quantity("i", "", rings=(), evidence="practice", source="steps of both extrusion charts")
def seal_band(loads_meop):
    """Band of the extrusion charts at MEOP, counted from 0."""
    return chart_band(loads_meop)


@quantity("i_proof", "", rings=(), evidence="practice", source="steps of both extrusion charts")
def seal_band_proof(loads_proof):
    """Band of the extrusion charts at proof, counted from 0."""
    return chart_band(loads_proof)


@quantity("H_eff", "", evidence="practice", source="a backup ring of 90 Shore bears the gap")
def seal_hardness(seal_durometer, seal_backups):
    """Hardness of what bears the gap: the ring, or a backup ring behind it."""
    return quick.where(seal_backups > 0, quick.maximum(seal_durometer, 90), seal_durometer)


@quantity("r_bears", "", evidence="practice", source="silicone takes half; not the backup ring")
def seal_bearing(seal_gap_share, seal_backups):
    """Share of the chart's gap that counts."""
    return quick.where(seal_backups > 0, 1 + 0 * seal_gap_share, seal_gap_share)


@quantity("g_lim", "m", evidence="practice", limits=CHART,
          source="the lesser of two trade charts, by hardness and pressure band")  # fmt: skip
def seal_limit(seal_hardness, seal_bearing, seal_band):
    """Gap the ring may bridge at MEOP, on the diameter."""
    return seal_bearing * extrusion_limit(seal_hardness, seal_band)


@quantity("g_lim,proof", "m", evidence="practice", limits=CHART_PROOF,
          source="the lesser of two trade charts, by hardness and pressure band")  # fmt: skip
def seal_limit_proof(seal_hardness, seal_bearing, seal_band_proof):
    """Gap the ring may bridge at proof, on the diameter."""
    return seal_bearing * extrusion_limit(seal_hardness, seal_band_proof)


GAP: dict[str, Any] = {
    "unit": "m", "required": "loads_gap_factor", "evidence": "practice",
    "source": "lesser of two trade charts of diametral clearance, by hardness and pressure band",
    "remedy": ("closure.clearance", "seal.*.durometer", "seal.*.backups", "case.wall",
               "loads.meop_given"),
}  # fmt: skip
GAP_LINER: dict[str, Any] = GAP | {
    "remedy": (
        "closure.nose_diameter",
        "seal.*.durometer",
        "seal.*.backups",
        "case.wall",
        "loads.meop_given",
    )
}
OUT = "ring is cut, hot gas leaks"


def seal_gap(seal_gap_cold, seal_gap_hot, seal_limit):
    """Diametral gap at MEOP, cold or hot, against what the ring may bridge."""
    return quick.maximum(seal_gap_cold, seal_gap_hot), seal_limit


def seal_gap_proof(seal_gap_proof_cold, seal_gap_proof_warm, seal_limit_proof):
    """Diametral gap at proof against what the ring may bridge."""
    return quick.maximum(seal_gap_proof_cold, seal_gap_proof_warm), seal_limit_proof


for _rings, _about in ((IN_BORE, GAP), (("liner",), GAP_LINER)):
    check("seal.*.gap", rings=_rings, label="gap", says=" squeezes out", outcome=OUT,
          told="'s gap opens to {demand}{corner}", **_about)(seal_gap)  # fmt: skip
    check("seal.*.gap_proof", rings=_rings, label="gap at proof", short="at proof",
          basis="loads_proof",
          says=" squeezes out in the proof test",
          told="'s gap opens to {demand} at proof{corner}", **_about)(seal_gap_proof)  # fmt: skip
