"""By hand: the rings, one function called for each, what they sit in, and getting them in."""

from functools import reduce
from types import SimpleNamespace
from typing import Any

import numpy as np

from hobbyclosure.physics import chart
from tests.benchmarks.formulas_common import Inputs, Ratios, where, within


def ratios(v: Inputs, c: SimpleNamespace) -> Ratios:
    """Factor over required of the three rings, and of what belongs to none of them alone."""
    swelling(v, c)
    charts(v, c)
    bore = SimpleNamespace(
        D=v["case_bore"], D_min=c.bore_min, D_max=c.bore, clearance=c.clearance,
        play_tight=c.clearance, pressed=c.clearance,
        land=c.bore - (v["closure_clearance"] - v["closure_clearance_tol"]),
        lead_in=v["case_lead_in"] - v["case_lead_in_tol"],
    )  # fmt: skip
    rings = []
    for name in ("primary", "secondary"):
        past = v[f"seal_{name}_station"] - v[f"seal_{name}_station_tol"] - c.first + c.e
        ring = SimpleNamespace(u=growth(v, c, past))
        chamfer = v["case_lead_in"]
        past = np.maximum(past, 0) / (chamfer + v["case_lead_in_tol"])
        yield f"seal.{name}.past_lead_in", where(chamfer > 0, past)
        yield from in_groove(v, c, name, bore, ring)
        rings.append(ring)
        crossed = v[f"seal_{name}_station"] > v["closure_screw_station"]
        broken = v["case_hole_chamfer"] / v["loads_edge_break"]
        yield f"seal.{name}.crossing", where(crossed, broken)
    if v["closure_nose"] > 0:
        thickest = v["insulation_liner"] + v["insulation_liner_tol"]
        housing, squashed = liner_housing(v), c.p * thickest / v["insulation_liner_modulus"]
        housing.pressed = housing.clearance + v["insulation_slack"]
        ring = SimpleNamespace(u=c.far + squashed)
        yield from in_groove(v, c, "liner", housing, ring)
        rings.append(ring)
        yield from nose(v, c, housing, ring)
    else:
        yield from ((what, np.inf) for what in LINER)
    slides, climbs = [r.slide for r in rings], [r.enter - r.slide for r in rings]
    push = reduce(np.add, slides) + reduce(np.maximum, climbs)
    yield "seal.push", where(push > 0, v["seal_push_most"] / push)
    yield from ends(v, c)


LINER = (
    *(f"seal.liner.{what}" for what in (
        "squeeze_least", "squeeze_most", "stretch", "slack", "fill", "width", "corner",
        "temperature", "fitting_stretch", "lead_in", "gap", "gap_proof", "past_lead_in", "crush",
        "floor",
    )),
    "closure.nose_slip", "insulation.lead_in_wall", "prove.nose",
)  # fmt: skip


def swelling(v: Inputs, c: SimpleNamespace) -> None:
    """Growth of the tube far from its end, what is the same for both rings near it, the rim."""
    nu, outward = v["case_nu"], c.a / v["case_E"]
    c.far = outward * (c.hoop - nu * (c.axial - c.p))
    c.opened, c.pulled = outward * (c.hoop + nu * c.p), outward * nu * c.axial
    c.foundation = np.sqrt(c.R_m * c.wall)
    c.beta = (3 * (1 - nu**2)) ** 0.25 / c.foundation
    pull = v["case_edge_distance"] + (v["screw_rows"] - 1) * v["screw_row_spacing"] / 2
    c.Y = c.beta * pull
    fade, c.sin_Y, c.cos_Y = np.exp(-c.Y), np.sin(c.Y), np.cos(c.Y)
    c.B_Y, c.CB_Y = fade * c.sin_Y, fade * (c.cos_Y - 2 * c.sin_Y)
    nu, a2 = v["closure_nu"], c.a**2
    slope = 1.5 * (1 - nu) * c.p * a2 * c.a / (v["closure_E"] * c.h**2 * c.h)
    c.turned = slope * (1 + (3 + nu) * c.b**2 / ((1 - nu) * a2))


def growth(v: Inputs, c: SimpleNamespace, d: Any) -> Any:
    """Growth of the bore at a ring d from the tube's end, or the bound if that is more."""
    xi, X, Y = d / c.foundation, c.beta * d, c.Y
    fade, sine, cosine = np.exp(-X), np.sin(X), np.cos(X)
    pressed = (1 + fade**2 * (1 - 2 * sine * cosine)) / 2
    near = np.exp(-np.abs(X - Y)) * (cosine * c.cos_Y + sine * c.sin_Y) / 2
    inside = np.where(X < Y, near, 1 - near)
    pull = inside + (c.CB_Y * cosine + c.B_Y * sine) * fade / 2
    bound = (1 - 0.4 * np.minimum(np.maximum((xi - 0.3) / 0.3, 0), 1)) * c.far
    return within(xi >= 0, np.maximum(pressed * c.opened - pull * c.pulled, bound))


def charts(v: Inputs, c: SimpleNamespace) -> None:
    """Bands of MEOP and of proof, and what rings of 70 Shore bridge there by the first chart."""
    c.bridged = []
    for p in (c.p, c.p_proof):
        band = np.minimum(np.searchsorted(chart._ENDS, p * (1 - 1e-12)), len(chart._ENDS) - 1)
        share = p / v["seal_chart_top"]
        told = (share >= 0) & (share <= 1)
        c.bridged.append((band, within(told, chart._SOFT[band]), chart._HARDER[band]))


def liner_housing(v: Inputs) -> SimpleNamespace:
    """Liner and nose in the places of bore and closure."""
    stated, tol = v["insulation_liner_bore"], v["insulation_liner_bore_tol"]
    reckoned = v["case_bore"] - 2 * v["insulation_liner"]
    D = reckoned if np.all(np.isnan(stated)) else stated
    nose_tol = v["closure_nose_diameter_tol"]
    least, land = v["closure_nose_diameter"] - nose_tol, v["closure_nose_diameter"] + nose_tol
    return SimpleNamespace(
        D=D, D_min=D - tol, D_max=D + tol, clearance=D + tol - least, land=land,
        play_tight=np.maximum(D - tol - least, 0),
        lead_in=v["insulation_liner_lead_in"] - v["insulation_liner_lead_in_tol"],
    )  # fmt: skip


def in_groove(
    v: Inputs, c: SimpleNamespace, name: str, housing: SimpleNamespace, ring: SimpleNamespace
) -> Ratios:
    """A ring in its groove, its gap, and getting it in; what others need stays in `ring`."""
    id, its = f"seal.{name}", f"seal_{name}_"
    T_0, cold = v["loads_room"], v["loads_cold"]
    own = "ring" if not np.isnan(v[f"{its}ring_id"]) else "std"
    d_1, d_1_tol = v[f"{its}{own}_id"], v[f"{its}{own}_id_tol"]
    own = "ring" if not np.isnan(v[f"{its}ring_cs"]) else "std"
    d_2, d_2_tol = v[f"{its}{own}_cs"], v[f"{its}{own}_cs_tol"]
    d_1_min, d_1_max, d_2_max = d_1 - d_1_tol, d_1 + d_1_tol, d_2 + d_2_tol
    floor, tol = v[f"{its}groove_diameter"], v[f"{its}groove_diameter_tol"]
    floor_min, floor_max = floor - tol, floor + tol
    T = v[f"{its}hot"]
    if np.isnan(T):
        metal = np.maximum(v["case_metal_temperature"], v["closure_metal_temperature"])
        T = np.maximum(metal, v["loads_hot"])
    # section on the floor, and as heat and cold change it
    d_2_min = d_2 - d_2_tol
    thin = d_2_min * np.sqrt(np.minimum((d_1_min + d_2_min) / (floor_min + d_2_min), 1))
    thick = d_2_max * np.sqrt(np.minimum((d_1_max + d_2_max) / (floor_max + d_2_max), 1))
    more = v[f"{its}expansion"] - v["closure_alpha"]
    swell = more * (T - T_0)
    hot = thick * (1 + swell)
    # gap
    rim = np.maximum(
        2 * c.turned * (c.h / 2 - (c.length_min - v[f"{its}station"] - v[f"{its}station_tol"])), 0
    )
    opened = 2 * ring.u + rim
    at_proof, C = opened * c.proof, housing.pressed
    C_cold = C + housing.D * np.maximum(c.grows_cold, 0)
    C_warm = C + housing.D * np.maximum(c.grows_warm, 0)
    gap_cold, gap_proof_cold, gap_proof_warm = C_cold + opened, C_cold + at_proof, C_warm + at_proof
    gap_hot = C + housing.D * np.maximum(c.grows_hot, 0)
    gap_hot = gap_hot + 2 * ring.u / c.case_E + rim / c.closure_E
    H, share = v[f"{its}durometer"], v[f"{its}gap_share"]
    if v[f"{its}backups"]:
        H, share = np.maximum(H, 90), 1
    harder = np.minimum(np.maximum((H - 70) / 20, 0), 1)
    row = (H >= 80) * 1 + (H >= 90)
    for what, most, (band, soft, rise) in (
        ("gap", np.maximum(gap_cold, gap_hot), c.bridged[0]),
        ("gap_proof", np.maximum(gap_proof_cold, gap_proof_warm), c.bridged[1]),
    ):
        lesser = np.minimum(soft + harder * rise, chart._GUIDED[row, band])
        limit = within(H >= 70, share * lesser)
        yield f"{id}.{what}", limit / most / v["loads_gap_factor"]
    # squeeze
    L = (housing.D_max - floor_min - housing.clearance) / 2
    squeezed = np.minimum(
        1 - (L + np.maximum(gap_cold, gap_proof_cold)) / (thin * (1 + more * (cold - T_0))),
        1 - (L + np.maximum(gap_hot, gap_proof_warm))
        / (thin * (1 + more * (v["loads_hot"] - T_0))),
    )  # fmt: skip
    yield f"{id}.squeeze_least", squeezed / v["loads_squeeze_least"]
    L = (housing.D_min - floor_max - housing.play_tight) / 2
    squeezed = 1 - L / hot
    yield f"{id}.squeeze_most", where(squeezed > 0, v["loads_squeeze_most"] / squeezed)
    # stretch
    x = np.maximum(floor_max / d_1_min - 1 + more * (T_0 - cold), 0)
    yield f"{id}.stretch", where(x > 0, v["loads_stretch_most"] / x)
    grown = np.maximum(more * (v["loads_hot"] - T_0), 0)
    x = np.maximum(1 - floor_min / d_1_max + grown, 0)
    yield f"{id}.slack", where(x > 0, v["loads_slack_most"] / x)
    x = np.maximum(housing.land / d_1_min - 1, 0)
    yield f"{id}.fitting_stretch", where(x > 0, v["loads_fitting_most"] / x)
    # room in the groove
    width = room = v[f"{its}groove_width"] - v[f"{its}groove_width_tol"]
    if v[f"{its}backups"]:
        room = width - v[f"{its}backups"] * np.interp(d_2_max, chart._CS, chart._BACKUP)
    room = np.maximum(room, 0.01 * width)
    volume = np.pi * d_2_max**2 * (d_1_max + d_2_max) * (1 + 3 * swell)
    D_f = np.minimum(floor_max, 0.999 * housing.D_min)
    fill = volume / ((housing.D_min**2 - D_f**2) * room)
    yield f"{id}.fill", v["loads_fill_most"] / fill
    flat = np.maximum(L, 0.1 * hot)
    wide = np.maximum(flat + np.pi / 4 * (hot**2 - flat**2) / flat, hot)
    yield f"{id}.width", room / wide
    corner = v[f"{its}corner_radius"]
    sharp = np.interp(d_2_min, chart._CS, chart._CORNER)
    yield f"{id}.corner", where(corner > 0, sharp / corner)
    used = np.maximum((T - T_0) / (v[f"{its}high"] - T_0), (T_0 - cold) / (T_0 - v[f"{its}low"]))
    yield f"{id}.temperature", 1 / np.maximum(used, 0.01)
    # getting it in
    angle, mu = v["case_lead_in_angle"], v["seal_friction"]
    sine, cosine = np.sin(angle), np.cos(angle)
    stands = np.maximum(thick - L, 0)
    rise = np.maximum(housing.lead_in, 0) * (sine / cosine)
    yield f"{id}.lead_in", where(stands > 0, rise / stands)
    E = v["seal_megapascal"] * 0.0981 / 0.137505 * (56 + 7.62336 * v[f"{its}durometer"])
    E = E / (254 - 2.54 * v[f"{its}durometer"])
    d_2 = (thin + thick) / 2
    C = np.maximum(1 - (housing.D - floor) / 2 / d_2, 0)
    C3 = C * C * C
    q = d_2 * E * (1.25 * np.sqrt(C3) + 50 * C3**2)
    round_bore = q * np.pi * housing.D_max
    slope = (sine + mu * cosine) / np.maximum(cosine - mu * sine, 0.05 * cosine)
    ring.slide, ring.enter = mu * round_bore, slope * round_bore
    ring.E, ring.thick, ring.depth, ring.floor = E, thick, L, floor_min


def nose(v: Inputs, c: SimpleNamespace, housing: SimpleNamespace, ring: SimpleNamespace) -> Ratios:
    """Liner and nose round the liner seal."""
    yields, chamfer = v["loads_yield_factor"], v["insulation_liner_lead_in"]
    deepest = chamfer + v["insulation_liner_lead_in_tol"]
    begins = v["seal_liner_station"] - v["seal_liner_station_tol"]
    ends_at = v["closure_length"] + v["closure_length_tol"]
    ends_at = ends_at - (v["closure_nose"] - v["closure_nose_tol"])
    past = np.maximum(begins - ends_at, 0) / deepest
    yield "seal.liner.past_lead_in", where(chamfer > 0, past)
    rise = deepest * np.tan(v["case_lead_in_angle"])
    left = (v["insulation_liner"] - v["insulation_liner_tol"]) / rise / 1.25
    yield "insulation.lead_in_wall", where(chamfer > 0, left)
    L = np.maximum(ring.depth, 0.1 * ring.thick)
    flat = np.pi / 4 * (ring.thick**2 - L**2) / L
    flat = np.maximum(np.maximum(flat, ring.thick - L), 0.05 * ring.thick)
    C = np.maximum(1 - L / ring.thick, 0)
    C3 = C * C * C
    q = ring.thick * ring.E * (1.25 * np.sqrt(C3) + 50 * C3**2)
    yield "seal.liner.crush", v["insulation_liner_strength"] / (c.p + q / flat) / yields
    r_o = np.maximum(ring.floor / 2, 1.001 * c.b)
    hoop = 2 * c.p * r_o**2 / (r_o**2 - c.b**2)
    yield "seal.liner.floor", c.closure_F_ty / hoop / yields
    proof = hoop * c.proof * v["loads_proof_yield_factor"]
    yield "prove.nose", v["closure_F_ty"] / proof
    closing = v["insulation_liner_bore_tol"] + v["closure_nose_diameter_tol"]
    slip = (housing.D - v["closure_nose_diameter"]) / closing if closing > 0 else np.inf
    yield "closure.nose_slip", slip


def ends(v: Inputs, c: SimpleNamespace) -> Ratios:
    """The tube's chamfer, the slip fit, and the liner on its own."""
    chamfer = v["case_lead_in"]
    rise = (chamfer + v["case_lead_in_tol"]) * np.tan(v["case_lead_in_angle"])
    yield "case.lead_in_wall", where(chamfer > 0, c.wall / rise / 1.25)
    grows = np.minimum(np.minimum(c.grows_cold, c.grows_warm), np.minimum(c.grows_hot, 0))
    closing = v["closure_clearance_tol"] - v["case_bore"] * grows
    yield "closure.slip", where(closing > 0, v["closure_clearance"] / closing)
    trapped, room = v["insulation_trapped_share"], (c.bore - liner_housing(v).D_min) / 2
    t = np.minimum(v["insulation_liner"] - v["insulation_liner_tol"], room)
    held: Any = np.inf
    if trapped > 0:
        slim = 2 * t / (c.bore - t)
        folds = v["insulation_liner_modulus"] / 4 * slim * slim * slim
        held = where(
            v["insulation_liner"] > 0, folds / (trapped * c.p) / v["loads_ultimate_factor"]
        )
    yield "seal.liner.collapse", held
