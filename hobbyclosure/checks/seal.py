"""The rings: squeeze, stretch, fill, gap, temperature, and getting them in, in the worst corner.

Corners are tolerance (loose or tight) × temperature (cold, warm day, hot metal) × pressure (none,
MEOP, proof). What only the worst of them can decide is reckoned there alone: `corners` in
`hobbyclosure.corners` shows all, and a test tries every combination of tolerances. The gap is the
radial gap on the open side with the closure against the far wall: the diametral gap.
"""

import numpy as np

from hobbyclosure import quick
from hobbyclosure.checks.each import GEOMETRY, IN_BORE, SHAPE, SHARE, SIZE, check, quantity
from hobbyclosure.physics.chart import backup_thickness, corner_radius_most
from hobbyclosure.physics.seal import (
    gland_depth,
    gland_fill,
    ring_volume,
    section_at,
    section_stretched,
    squeeze,
    squeezed_width,
    stretch,
)

# ---- the ring: from the list, or by its numbers


@quantity("d1_min", "m", **GEOMETRY)
def seal_inside_min(seal_ring_id, seal_ring_id_tol, seal_std_id, seal_std_id_tol):
    """Inside diameter of the ring, least."""
    listed, own = seal_std_id - seal_std_id_tol, seal_ring_id - seal_ring_id_tol
    return quick.where(np.isnan(seal_ring_id), listed, own)


@quantity("d1_max", "m", **GEOMETRY)
def seal_inside_max(seal_ring_id, seal_ring_id_tol, seal_std_id, seal_std_id_tol):
    """Inside diameter of the ring, most."""
    listed, own = seal_std_id + seal_std_id_tol, seal_ring_id + seal_ring_id_tol
    return quick.where(np.isnan(seal_ring_id), listed, own)


@quantity("d2_min", "m", **GEOMETRY)
def seal_section_min(seal_ring_cs, seal_ring_cs_tol, seal_std_cs, seal_std_cs_tol):
    """Section of the ring, least."""
    listed, own = seal_std_cs - seal_std_cs_tol, seal_ring_cs - seal_ring_cs_tol
    return quick.where(np.isnan(seal_ring_cs), listed, own)


@quantity("d2_max", "m", **GEOMETRY)
def seal_section_max(seal_ring_cs, seal_ring_cs_tol, seal_std_cs, seal_std_cs_tol):
    """Section of the ring, most."""
    listed, own = seal_std_cs + seal_std_cs_tol, seal_ring_cs + seal_ring_cs_tol
    return quick.where(np.isnan(seal_ring_cs), listed, own)


# ---- the liner seal's housing is the liner


@quantity("D_end,min", "m", rings=(), **GEOMETRY)
def seal_liner_bore_min(
    insulation_liner_bore, insulation_liner_bore_tol, case_bore, insulation_liner
):
    """Bore of the liner, least; reckoned ones bear the tolerance of a stated one."""
    reckoned = case_bore - 2 * insulation_liner
    bore = quick.where(np.isnan(insulation_liner_bore), reckoned, insulation_liner_bore)
    return bore - insulation_liner_bore_tol


@quantity("D_end,max", "m", rings=(), **GEOMETRY)
def seal_liner_bore_max(
    insulation_liner_bore, insulation_liner_bore_tol, case_bore, insulation_liner
):
    """Bore of the liner, most; reckoned ones bear the tolerance of a stated one."""
    reckoned = case_bore - 2 * insulation_liner
    bore = quick.where(np.isnan(insulation_liner_bore), reckoned, insulation_liner_bore)
    return bore + insulation_liner_bore_tol


@quantity("D_end", "m", rings=(), **GEOMETRY)
def seal_liner_bore(seal_liner_bore_min, seal_liner_bore_max):
    """Bore of the liner."""
    return (seal_liner_bore_min + seal_liner_bore_max) / 2


@quantity("c_l,max", "m", rings=(), **GEOMETRY)
def seal_liner_clearance_max(seal_liner_bore_max, closure_nose_diameter_min):
    """Clearance of the nose in the liner, on the diameter, most."""
    return seal_liner_bore_max - closure_nose_diameter_min


@quantity("c_l,p", "m", rings=(), **GEOMETRY)
def seal_liner_pressed_max(seal_liner_clearance_max, insulation_slack):
    """Clearance of the nose, on the diameter, most, once the gas has pressed the liner out."""
    return seal_liner_clearance_max + insulation_slack


@quantity("c_l,tight", "m", rings=(), **GEOMETRY)
def seal_liner_play_tight(seal_liner_bore_min, closure_nose_diameter_min):
    """Clearance of the nose in the narrowest liner, on the diameter; not below zero."""
    least = seal_liner_bore_min - closure_nose_diameter_min
    return quick.maximum(least, 0 * least)


@quantity("l_end,min", "m", rings=(), **GEOMETRY)
def seal_liner_lead_in_min(insulation_liner_lead_in_min):
    """Chamfer in the liner's end, least."""
    return insulation_liner_lead_in_min


@quantity("l_end,max", "m", rings=(), **GEOMETRY)
def seal_liner_lead_in_max(insulation_liner_lead_in_max):
    """Chamfer in the liner's end, most."""
    return insulation_liner_lead_in_max


# ---- squeeze, stretch and fill


@quantity("T_ring", "K", evidence="theory", source="the hottest of those that are known")
def seal_ring_hot(seal_hot, case_metal_temperature, closure_metal_temperature, loads_hot):
    """Rubber at its hottest: it lies on both metals."""
    metal = quick.maximum(case_metal_temperature, closure_metal_temperature)
    return quick.where(np.isnan(seal_hot), quick.maximum(metal, loads_hot), seal_hot)


@quantity("d2_str", "m", evidence="theory", source="constant volume, thinnest ring most stretched")
def seal_thin(seal_inside_min, seal_section_min, seal_groove_diameter_min):
    """Section of the thinnest ring, stretched on the floor."""
    return section_stretched(seal_inside_min, seal_section_min, seal_groove_diameter_min)


@quantity(
    "d2_thick", "m", evidence="theory", source="constant volume, thickest ring least stretched"
)
def seal_thick(seal_inside_max, seal_section_max, seal_groove_diameter_max):
    """Section of the thickest ring, stretched on the floor."""
    return section_stretched(seal_inside_max, seal_section_max, seal_groove_diameter_max)


@quantity("d2_cold", "m", evidence="practice", source="linear expansion of rubber less metal")
def seal_thin_cold(seal_thin, seal_expansion, closure_alpha, loads_cold, loads_room):
    """Section of the thinnest ring on the coldest day."""
    return section_at(seal_thin, seal_expansion, closure_alpha, loads_cold, loads_room)


@quantity("d2_warm", "m", evidence="practice", source="linear expansion of rubber less metal")
def seal_thin_warm(seal_thin, seal_expansion, closure_alpha, loads_hot, loads_room):
    """Section of the thinnest ring on the hottest day."""
    return section_at(seal_thin, seal_expansion, closure_alpha, loads_hot, loads_room)


@quantity("d2_hot", "m", evidence="practice", source="linear expansion of rubber less metal")
def seal_thick_hot(seal_thick, seal_expansion, closure_alpha, seal_ring_hot, loads_room):
    """Section of the thickest ring at its hottest."""
    return section_at(seal_thick, seal_expansion, closure_alpha, seal_ring_hot, loads_room)


@quantity("L_0", "m", **GEOMETRY)
def seal_depth_loose(seal_bore_max, seal_groove_diameter_min):
    """Gland depth, most, closure in the middle."""
    return gland_depth(seal_bore_max, seal_groove_diameter_min)


@quantity("L_tight", "m", **GEOMETRY)
def seal_depth_tight(seal_bore_min, seal_groove_diameter_max, seal_play_tight):
    """Gland depth, least, where the closure lies against the bore."""
    return gland_depth(seal_bore_min, seal_groove_diameter_max) - seal_play_tight / 2


@quantity("C_loose", "", evidence="practice",
          source="open side, thinnest ring, as warm as the day: it lags behind metal")  # fmt: skip
def seal_loosest(
    seal_thin_cold, seal_thin_warm, seal_depth_loose, seal_clearance_max, seal_gap_cold,
    seal_gap_hot, seal_gap_proof_cold, seal_gap_proof_warm,
):  # fmt: skip
    """Squeeze in the loosest corner: what opens the gap opens it on the one side."""
    against = seal_depth_loose - seal_clearance_max / 2
    cold = quick.maximum(seal_gap_cold, seal_gap_proof_cold)
    warm = quick.maximum(seal_gap_hot, seal_gap_proof_warm)
    loose_cold, loose_warm = against + cold, against + warm
    return quick.minimum(squeeze(seal_thin_cold, loose_cold), squeeze(seal_thin_warm, loose_warm))


@quantity("C_tight", "", evidence="practice", source="closed side, thickest ring, hot, no pressure")
def seal_tightest(seal_thick_hot, seal_depth_tight):
    """Squeeze in the tightest corner."""
    return squeeze(seal_thick_hot, seal_depth_tight)


def seal_squeeze_least(loads_squeeze_least, seal_loosest):
    """Squeeze wanted against what is left in the loosest corner."""
    return loads_squeeze_least, seal_loosest


for _rings, _gap in ((IN_BORE, "closure.clearance"), (("liner",), "closure.nose_diameter")):
    check("seal.*.squeeze_least", rings=_rings, label="least squeeze", short="loosest",
          says="'s squeeze drops to {capacity}{corner}",
          source="a tenth of the section in the loosest corner; common practice, no source",
          remedy=("seal.*.groove_diameter", _gap, "case.wall"), **SHARE,
          )(seal_squeeze_least)  # fmt: skip


@check("seal.*.squeeze_most", label="most squeeze", short="tightest",
       says="'s squeeze rises to {demand}{corner}",
       source="Mechanical Engineers' Handbook vol. 3, Seal Technology: 30 % for static rings",
       applies={"seal_tightest": "the ring is squeezed nowhere"},
       remedy=("seal.*.groove_diameter",), **SHARE)  # fmt: skip
def seal_squeeze_most(seal_tightest, loads_squeeze_most):
    """Squeeze in the tightest corner against what a static ring takes."""
    return seal_tightest, loads_squeeze_most


@quantity("ε", "", evidence="practice", source="linear expansion of rubber less metal; geometry")
def seal_stretched(
    seal_groove_diameter_max, seal_inside_min, seal_expansion, closure_alpha, loads_cold,
    loads_room,
):  # fmt: skip
    """Stretch of the smallest ring on the largest floor, cold; not below zero."""
    found = stretch(seal_groove_diameter_max, seal_inside_min)
    shrunk = (seal_expansion - closure_alpha) * (loads_room - loads_cold)
    return quick.maximum(found + shrunk, 0)


@check("seal.*.stretch", label="stretch", says="'s stretch rises to {demand}{corner}",
       source="5 % on the floor, three stored design guides",
       applies={"seal_stretched": "the ring hangs loose on its floor: see slack"},
       remedy=("seal.*.groove_diameter",), **SHARE)  # fmt: skip
def seal_stretch(seal_stretched, loads_stretch_most):
    """Stretch in the worst corner against what the ring takes."""
    return seal_stretched, loads_stretch_most


@quantity(
    "x_loose", "", evidence="practice", source="linear expansion of rubber less metal; geometry"
)
def seal_hanging(
    seal_inside_max, seal_groove_diameter_min, seal_expansion, closure_alpha, loads_hot, loads_room
):
    """How loose the largest ring hangs on the smallest floor, hottest day; not below zero."""
    grown = quick.maximum((seal_expansion - closure_alpha) * (loads_hot - loads_room), 0)
    return quick.maximum(grown - stretch(seal_groove_diameter_min, seal_inside_max), 0)


@check("seal.*.slack", label="slack", says=" hangs {demand} loose on its floor",
       source="two per cent before the squeeze gathers it into folds; common practice, no source",
       applies={"seal_hanging": "the ring is stretched, not slack"},
       remedy=("seal.*.groove_diameter",), **SHARE)  # fmt: skip
def seal_slack(seal_hanging, loads_slack_most):
    """Slack of the ring against what the squeeze takes up."""
    return seal_hanging, loads_slack_most


@quantity("w_eff", "m", evidence="practice", source="gland chart: width of a backup ring")
def seal_room(seal_groove_width_min, seal_backups, seal_section_max):
    """Width of groove left for the ring beside its backup rings, least."""
    left = seal_groove_width_min - seal_backups * backup_thickness(seal_section_max)
    return quick.maximum(left, 0.01 * seal_groove_width_min)


@check("seal.*.fill", label="fill", says=" fills {demand} of its groove{corner}",
       source="85 % with everything at its worst, design note; another guide allows 90 %",
       remedy=("seal.*.groove_width", "seal.*.groove_diameter"), **SHARE)  # fmt: skip
def seal_fill(
    seal_inside_max, seal_section_max, seal_expansion, closure_alpha, seal_ring_hot, loads_room,
    seal_bore_min, seal_groove_diameter_max, seal_room, loads_fill_most,
):  # fmt: skip
    """Share of the smallest groove that the largest ring fills when hot."""
    hot = 1 + 3 * (seal_expansion - closure_alpha) * (seal_ring_hot - loads_room)
    V = ring_volume(seal_inside_max, seal_section_max) * hot
    D_f = quick.minimum(seal_groove_diameter_max, 0.999 * seal_bore_min)
    return gland_fill(V, seal_bore_min, D_f, seal_room), loads_fill_most


@check("seal.*.width", label="groove width", short="width",
       says="'s groove leaves {capacity} for it",
       source="squeezed section of the same area, flat on two sides",
       remedy=("seal.*.groove_width", "seal.*.groove_diameter"),
       **SIZE)  # fmt: skip
def seal_width(seal_thick_hot, seal_depth_tight, seal_room):
    """Width of the squeezed ring in the tightest corner against the groove's."""
    L = quick.maximum(seal_depth_tight, 0.1 * seal_thick_hot)
    return squeezed_width(seal_thick_hot, L), seal_room


@check("seal.*.corner", label="groove corner", short="corner",
       says="'s groove has a corner radius of {demand}",
       source="gland chart, static radial", remedy=("seal.*.corner_radius",),
       applies={"seal_corner_radius": "the corner is sharp"}, **SIZE)  # fmt: skip
def seal_corner_check(seal_corner_radius, seal_section_min):
    """Corner radius of the groove's floor against the chart's largest for the thinnest ring."""
    return seal_corner_radius, corner_radius_most(seal_section_min)


@check("seal.*.temperature", label="temperature range", short="range",
       says=" leaves its compound's range{corner}",
       source="service range of standard compounds, trade table", remedy=(),
       **SHAPE)  # fmt: skip
def seal_temperature(seal_ring_hot, seal_high, loads_cold, seal_low, loads_room):
    """Share of the compound's range, hot or cold from where it was measured, that is used."""
    hot = (seal_ring_hot - loads_room) / (seal_high - loads_room)
    cold = (loads_room - loads_cold) / (loads_room - seal_low)
    return quick.maximum(quick.maximum(hot, cold), 0.01), 1.0
