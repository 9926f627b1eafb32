"""Getting the rings in, and what their groove and housing bear."""

from typing import Any

from hobbyclosure import quick
from hobbyclosure.checks.each import (
    FORCE,
    GEOMETRY,
    IN_BORE,
    NO_NOSE,
    SHARE,
    SIZE,
    check,
    quantity,
)
from hobbyclosure.physics.seal import (
    chamfer_rise,
    collapse_pressure,
    free_projection,
    gland_depth,
    hoop_pressed_outside,
    push_entering,
    push_sliding,
    shore_modulus,
    squeeze,
    squeeze_line_force,
    squeezed_width,
    stretch,
)

# ---- getting it in


@quantity("D_land", "m", rings=(), **GEOMETRY)
def closure_land_max(case_bore_max, closure_clearance_min):
    """Diameter of the closure's land, most."""
    return case_bore_max - closure_clearance_min


@quantity("D_land,lin", "m", rings=(), **GEOMETRY)
def seal_liner_land_max(closure_nose_diameter_max):
    """Diameter of the nose's land, most."""
    return closure_nose_diameter_max


@quantity("x_over", "", **GEOMETRY)
def seal_over_land(seal_land_max, seal_inside_min):
    """Stretch of the smallest ring over the largest land; not below zero."""
    return quick.maximum(stretch(seal_land_max, seal_inside_min), 0)


@check("seal.*.fitting_stretch", label="stretch at fitting", short="fitting",
       says=" stretches by {demand} over its land",
       source="half its diameter for a moment, two stored design guides",
       applies={"seal_over_land": "the ring goes over its land without stretching"},
       remedy=(), **SHARE)  # fmt: skip
def seal_fitting(seal_over_land, loads_fitting_most):
    """Stretch of the ring over its land against what it takes for a moment."""
    return seal_over_land, loads_fitting_most


@quantity("z_free", "m", **GEOMETRY)
def seal_stands(seal_groove_diameter_max, seal_thick, seal_bore_min, seal_play_tight):
    """How far the free ring stands outside the bore, the closure off centre; not below zero."""
    out = free_projection(seal_groove_diameter_max, seal_thick, seal_bore_min, seal_play_tight)
    return quick.maximum(out, 0 * out)


LEAD: dict[str, Any] = {"label": "lead-in", "says": "'s free edge finds {capacity} of chamfer"}
LEAD |= {"source": "geometry: the chamfer's mouth wider than the free ring"}
LEAD |= {"applies": {"seal_stands": "the free ring does not stand outside the bore"}}


def seal_lead(seal_stands, seal_lead_in_min, case_lead_in_angle):
    """How far the free ring stands outside the bore against how far the chamfer opens it."""
    l_c = quick.maximum(seal_lead_in_min, 0 * seal_lead_in_min)
    return seal_stands, chamfer_rise(l_c, case_lead_in_angle)


for _rings, _path in ((IN_BORE, "case.lead_in"), (("liner",), "insulation.liner_lead_in")):
    check("seal.*.lead_in", rings=_rings, remedy=(_path, "seal.*.groove_diameter"),
          **LEAD, **SIZE)(seal_lead)  # fmt: skip


@quantity("d_l", "m", rings=(), **GEOMETRY)
def seal_liner_from_end(seal_liner_station_min, closure_length_max, closure_nose_min):
    """From the liner's end, which touches the step of the nose, to the ring's groove."""
    return seal_liner_station_min - (closure_length_max - closure_nose_min)


PAST: dict[str, Any] = {"label": "past the chamfer", "short": "chamfer"} | SIZE
PAST |= {"source": "geometry: in the chamfer the ring finds no bore and its gap stands open"}


def seal_past(seal_lead_in_max, seal_from_end):
    """Length of the lead-in chamfer against how far past its mouth the groove begins."""
    return seal_lead_in_max, quick.maximum(seal_from_end, 0 * seal_from_end)


for _rings, _housing, _mouth in (
    (IN_BORE, "case.lead_in", "tube"), (("liner",), "insulation.liner_lead_in", "liner"),
):  # fmt: skip
    check("seal.*.past_lead_in", rings=_rings, remedy=("seal.*.station", _housing),
          says=f"'s groove begins {{capacity}} past the {_mouth}'s end",
          applies={_housing.replace(".", "_"): "no lead-in chamfer"}, **PAST,
          )(seal_past)  # fmt: skip


@check("case.lead_in_wall", label="tube's end", basis=None, unit="m", required=1.25,
       says="The lead-in chamfer takes {demand} of the tube's end", evidence="practice",
       source="a fifth of the wall stays at the end; common practice, no source",
       applies={"case_lead_in": "no lead-in chamfer"},
       remedy=("case.lead_in", "case.wall"))  # fmt: skip
def case_lead_in_wall(case_lead_in_max, case_lead_in_angle, case_wall_min):
    """How deep the chamfer goes into the wall at the tube's end against the wall."""
    return chamfer_rise(case_lead_in_max, case_lead_in_angle), case_wall_min


@check("insulation.lead_in_wall", label="liner's end", basis=None, unit="m",
       says="The liner's chamfer takes {demand} of its end", evidence="practice", required=1.25,
       source="a fifth of the liner stays at the end; common practice, no source",
       applies={"insulation_liner_lead_in": "no lead-in chamfer", **NO_NOSE},
       remedy=("insulation.liner_lead_in", "insulation.liner"))  # fmt: skip
def insulation_lead_in_wall(insulation_liner_lead_in_max, case_lead_in_angle, insulation_liner_min):
    """How deep the chamfer goes into the liner at its end against the liner's thickness, if any."""
    rise = chamfer_rise(insulation_liner_lead_in_max, case_lead_in_angle)
    return rise, quick.maximum(insulation_liner_min, 0)


@quantity("n_cross", "", rings=IN_BORE, evidence="theory", source="count")
def seal_crossed(seal_station, closure_screw_station, screw_count, screw_rows):
    """Screw holes that the ring passes on its way in."""
    return quick.where(
        seal_station > closure_screw_station, screw_count * screw_rows, 0 * screw_count
    )


@check("seal.*.crossing", rings=IN_BORE, label="hole edges", short="edges",
       says=" crosses screw holes with edges broken by {capacity}",
       source="Seal Design Guide, machining: 0.005 in at least",
       remedy=("case.hole_chamfer",), applies={"seal_crossed": "the ring passes no holes"},
       **SIZE)  # fmt: skip
def seal_crossing(loads_edge_break, case_hole_chamfer):
    """Edge break wanted on the holes the ring passes against the hole's chamfer."""
    return loads_edge_break, case_hole_chamfer


@quantity("E_r", "Pa", evidence="weak", source="Gent, from the hardness")
def seal_rubber(seal_durometer, seal_megapascal):
    """Modulus of the rubber."""
    return shore_modulus(seal_durometer, seal_megapascal)


@quantity("q", "N/m", evidence="weak", source="Lindley, from memory; no handbook curve compared")
def seal_on_bore(seal_thin, seal_thick, seal_rubber, seal_bore, seal_groove_diameter):
    """Force of the ring on the bore over its length, sizes as drawn, closure in the middle."""
    d_2 = (seal_thin + seal_thick) / 2
    L = gland_depth(seal_bore, seal_groove_diameter)
    C = squeeze(d_2, L)
    return squeeze_line_force(d_2, seal_rubber, C)


@quantity("F_slide", "N", evidence="weak", source="friction")
def seal_sliding(seal_on_bore, seal_bore_max, seal_friction):
    """Force that slides the ring along."""
    return push_sliding(seal_on_bore, seal_bore_max, seal_friction)


@quantity("F_enter", "N", evidence="weak", source="friction on the chamfer, ring fully squeezed")
def seal_entering(seal_on_bore, seal_bore_max, seal_friction, case_lead_in_angle):
    """Force that pushes the ring up its chamfer."""
    return push_entering(seal_on_bore, seal_bore_max, seal_friction, case_lead_in_angle)


@quantity("F_push", "N", rings=(), evidence="weak", source="sum, one ring entering")
def seal_push_force(
    seal_primary_sliding, seal_primary_entering, seal_secondary_sliding,
    seal_secondary_entering, seal_liner_sliding, seal_liner_entering, closure_has_nose,
):  # fmt: skip
    """Greatest force to push the closure in, one ring entering while others slide."""
    liner = closure_has_nose * seal_liner_sliding
    up = closure_has_nose * seal_liner_entering
    slide = seal_primary_sliding + seal_secondary_sliding + liner
    one = quick.maximum(
        seal_primary_entering - seal_primary_sliding,
        seal_secondary_entering - seal_secondary_sliding,
    )
    return slide + quick.maximum(one, up - liner)


@check("seal.push", label="push", says="It takes {demand} to push the closure in, as drawn",
       source="Lindley's load, Gent's modulus, friction: all from memory, sizes as drawn: more "
       "where all is at its tightest; prove by hand",
       remedy=("case.lead_in_angle", "seal.friction", "seal.primary.durometer",
               "seal.primary.groove_diameter"),
       applies={"seal_push_force": "no ring is squeezed"},
       **FORCE, gravest="look")  # fmt: skip
def seal_push(seal_push_force, seal_push_most):
    """Force to push the closure in against what a hand or a light clamp gives."""
    return seal_push_force, seal_push_most


# ---- the liner and the nose


@check("seal.liner.crush", label="liner crush", says="The liner is crushed under its seal",
       told="The liner bears {demand} under its seal", unit="Pa",
       required="loads_yield_factor", evidence="weak", gravest="look",
       source="gas and ring on the flat of the squeezed section; strength is an estimate",
       remedy=("insulation.liner_strength", "loads.meop_given"), applies=NO_NOSE)  # fmt: skip
def seal_liner_crush(
    loads_meop, seal_liner_rubber, seal_liner_thick, seal_liner_depth_tight,
    insulation_liner_strength,
):  # fmt: skip
    """Pressure of gas and ring on the liner against what it bears."""
    d_2 = seal_liner_thick
    L = quick.maximum(seal_liner_depth_tight, 0.1 * d_2)
    flat = quick.maximum(squeezed_width(d_2, L) - L, 0.05 * d_2)
    C = squeeze(d_2, L)
    q = squeeze_line_force(d_2, seal_liner_rubber, C)
    return loads_meop + q / flat, insulation_liner_strength


@check("seal.liner.collapse", label="liner collapse", says="The liner folds in at tail-off",
       unit="Pa", required="loads_ultimate_factor", evidence="weak", gravest="look",
       source="long tube under outside pressure, Poisson's ratio counted as 0; stiffness and "
       "trapped share are estimates",
       remedy=("insulation.liner", "insulation.liner_modulus", "loads.meop_given"),
       applies={"insulation_liner": "no liner in this design",
                "insulation_trapped_share": "nothing is trapped behind the liner"})  # fmt: skip
def seal_liner_collapse(
    loads_meop, insulation_trapped_share, insulation_liner_modulus, insulation_liner_min,
    case_bore_max, seal_liner_bore_min,
):  # fmt: skip
    """Pressure left behind the liner, no thicker than its room, against what folds it."""
    room = (case_bore_max - seal_liner_bore_min) / 2
    t = quick.maximum(quick.minimum(insulation_liner_min, room), 0)
    held = collapse_pressure(insulation_liner_modulus, 0, t, (case_bore_max - t) / 2)
    return insulation_trapped_share * loads_meop, held


@quantity("σ_nose", "Pa", rings=(), evidence="theory",
          source="Lamé, outside pressure, from the groove's floor to the centre hole")  # fmt: skip
def closure_nose_stress(loads_meop, closure_centre_hole, seal_liner_groove_diameter_min):
    """Greatest hoop compression of the nose under its groove at MEOP."""
    r_i = closure_centre_hole / 2
    r_o = quick.maximum(seal_liner_groove_diameter_min / 2, 1.001 * r_i)
    return hoop_pressed_outside(loads_meop, r_i, r_o)


@check("seal.liner.floor", label="nose wall", says="The nose yields under its groove",
       unit="Pa", required="loads_yield_factor", evidence="theory",
       source="Lamé, outside pressure, from the groove's floor to the centre hole",
       remedy=("seal.liner.groove_diameter", "closure.centre_hole", "loads.meop_given"),
       applies=NO_NOSE)  # fmt: skip
def seal_liner_floor(closure_nose_stress, closure_F_ty_hot):
    """Hoop compression between groove floor and centre hole against yield."""
    return closure_nose_stress, closure_F_ty_hot
