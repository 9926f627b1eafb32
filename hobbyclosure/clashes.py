"""Geometry that cannot be: two things of a design in one place, and by how much.

Judged on the numbers as stated or measured, and on the worst of those whose worst the checks use;
what is merely too thin is a matter for the checks.
"""

from collections.abc import Iterator, Mapping
from typing import Any

import attrs
import numpy as np


@attrs.frozen
class Clash:
    """Two things that meet: the field to blame, the sentence, the overlap (m), and where.

    `place` is in the section, m: along the axis from the closure's cold face, and radius.
    """

    field: str
    says: str
    overlap: float
    place: tuple[float, float]


def clashes(v: Mapping[str, Any]) -> list[Clash]:
    """Every clash of a design's numbers (SI, by name), in the order they are looked for."""
    found = [*_tube(v), *_screws(v), *_closure(v), *_grooves(v), *_ports(v)]
    return [c for c in found if c.overlap > 1e-12]


def _rows(v: Mapping[str, Any]) -> tuple[float, float]:
    """Stations of the first and last screw row."""
    first = v["closure_screw_station"]
    return first, first + (v["screw_rows"] - 1) * v["screw_row_spacing"]


def tolerance(v: Mapping[str, Any], name: str) -> float:
    """Tolerance of a dimension among the inputs: a length, or a share of the nominal."""
    tol = v.get(f"{name}_tol")
    return v[name] * v[f"{name}_tol_share"] if tol is None else tol


def _tube(v: Mapping[str, Any]) -> Iterator[Clash]:
    R, t = v["case_bore"] / 2, v["case_wall"]
    first, _ = _rows(v)
    end = first - v["case_edge_distance"]
    wall = "the wall is thicker than half the bore"
    yield Clash("case.wall", wall, t - R, (end, R))
    hole = v["screw_clearance_hole"]
    widest = hole + tolerance(v, "screw_clearance_hole")
    nearest = v["case_edge_distance"] - tolerance(v, "case_edge_distance")
    says = "the screw row runs off the tube: a hole breaks through its end"
    yield Clash("case.edge_distance", says, widest / 2 - nearest, (end, R))
    past = "the tube's end stands past the closure"
    yield Clash("case.edge_distance", past, -end - v["closure_length"], (end, R))
    around = np.pi * v["case_bore"] / v["screw_count"]
    says = f"{v['screw_count']:.0f} holes in a row overlap"
    yield Clash("screw.count", says, widest - around, (first, R))
    if v["screw_rows"] > 1:
        apart = float(np.hypot(v["screw_row_spacing"], around / 2))
        says = "the holes of the two rows run into each other"
        yield Clash("screw.row_spacing", says, widest - apart, (first, R))
    bare = "the chamfer leaves nothing of the wall to bear on"
    thinnest = t - tolerance(v, "case_wall")
    yield Clash("case.hole_chamfer", bare, v["case_hole_chamfer"] - thinnest, (first, R))


def _screws(v: Mapping[str, Any]) -> Iterator[Clash]:
    d, R = v["screw_d"], v["case_bore"] / 2
    first, last = _rows(v)
    hole = "the hole is smaller than the screw"
    yield Clash("screw.clearance_hole", hole, d - v["screw_clearance_hole"], (first, R))
    cold = "the screw row runs off the closure's cold face"
    yield Clash("closure.screw_station", cold, d / 2 - first, (0.0, R))
    hot = "the screw row runs off the closure's hot end"
    length = v["closure_length"]
    yield Clash("closure.screw_station", hot, last + d / 2 - length, (length, R))
    step = length - v["closure_nose"]
    if v["closure_nose"] > 0 and last + d / 2 <= length:
        bare = "the screw row runs onto the nose"
        yield Clash("closure.screw_station", bare, last + d / 2 - step, (step, R))
    tip = v["screw_length"] - v["case_wall"]
    meet = "the screws meet in the middle of the closure"
    yield Clash("screw.length", meet, tip - R, (first, 0.0))


def _closure(v: Mapping[str, Any]) -> Iterator[Clash]:
    R, L = v["case_bore"] / 2, v["closure_length"]
    plate = "the plate is thicker than the closure is long"
    yield Clash("closure.plate", plate, v["closure_plate"] - L, (0.0, R / 2))
    skirt = "the skirt is thicker than half the bore"
    yield Clash("closure.skirt_wall", skirt, v["closure_skirt_wall"] - R, (0.0, 0.0))
    play = "the clearance is over a fifth of the bore"
    yield Clash("closure.clearance", play, v["closure_clearance"] - 0.4 * R, (0.0, R))
    outside = R - v["closure_clearance"] / 2
    hole = "the centre hole is wider than the nose"
    nose = v["closure_nose_diameter"] / 2 if v["closure_nose"] > 0 else outside
    yield Clash("closure.centre_hole", hole, v["closure_centre_hole"] / 2 - nose, (L, nose))
    wide = "the nose is wider than the closure"
    yield Clash("closure.nose_diameter", wide, nose - outside, (L, nose))
    long = "the nose is longer than the closure"
    yield Clash("closure.nose", long, v["closure_nose"] - L, (L, nose))


def _grooves(v: Mapping[str, Any]) -> Iterator[Clash]:
    R, L = v["case_bore"] / 2, v["closure_length"]
    step = L - v["closure_nose"]
    _, last = _rows(v)
    spans = {
        ring: (v[f"seal_{ring}_station"],
               v[f"seal_{ring}_station"] + v[f"seal_{ring}_groove_width"])
        for ring in ("secondary", "primary", "liner")
    }  # fmt: skip
    for ring in ("secondary", "primary"):
        low, high = spans[ring]
        floor = v[f"seal_{ring}_groove_diameter"] / 2
        where = (low, R)
        for row in {_rows(v)[0], last}:
            r = v["screw_d"] / 2
            into = min(row + r, high) - max(row - r, low)
            says = f"the screw hole runs into the {ring} groove"
            yield Clash(f"seal.{ring}.station", says, into, where)
        past = f"the {ring} groove runs past the step of the nose"
        yield Clash(f"seal.{ring}.station", past, high - step, (step, R))
        inside = R - v["closure_clearance"] / 2 - v["closure_skirt_wall"]
        if low < L - v["closure_plate"]:
            says = f"the {ring} groove cuts through the skirt"
            yield Clash(f"seal.{ring}.groove_diameter", says, inside - floor, (low, inside))
    (s_low, s_high), (p_low, p_high) = spans["secondary"], spans["primary"]
    both = min(s_high, p_high) - max(s_low, p_low)
    yield Clash("seal.primary.station", "the two bore grooves overlap", both, (p_low, R))
    if v["closure_nose"] > 0:
        low, high = spans["liner"]
        nose = v["closure_nose_diameter"] / 2
        cold = "the liner groove runs through the step of the nose"
        yield Clash("seal.liner.station", cold, step - low, (step, nose))
        hot = "the liner groove runs off the end of the nose"
        yield Clash("seal.liner.station", hot, high - L, (L, nose))
        floor = v["seal_liner_groove_diameter"] / 2
        says = "the liner groove cuts through to the centre hole"
        hole = v["closure_centre_hole"] / 2
        yield Clash("seal.liner.groove_diameter", says, hole - floor, (low, hole))


def _ports(v: Mapping[str, Any]) -> Iterator[Clash]:
    if v["port_count"] < 1:
        return
    L, circle, r = v["closure_length"], v["port_pitch_circle"] / 2, v["port_thread_diameter"] / 2
    hole = v["closure_centre_hole"] / 2
    where = (L - v["closure_plate"] / 2, -circle)
    says = "the port runs into the centre hole"
    yield Clash("port.pitch_circle", says, hole + r - circle, where)
    in_plate = [
        k
        for k in ("primary", "secondary")
        if v[f"seal_{k}_station"] + v[f"seal_{k}_groove_width"] > L - v["closure_plate"]
    ]
    floors = [v[f"seal_{k}_groove_diameter"] / 2 for k in in_plate]
    rim = min([*floors, v["case_bore"] / 2 - v["closure_clearance"] / 2])
    says = "the port runs into a ring groove" if floors else "the port breaks out of the rim"
    yield Clash("port.pitch_circle", says, circle + r - rim, where)
    if v["port_count"] > 1:
        apart = 2 * circle * float(np.sin(np.pi / v["port_count"]))
        yield Clash("port.count", "two ports overlap", 2 * r - apart, where)
