"""Rings and grooves that cannot be: what the rings add to the clashes of a design."""

from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np

from hobbyclosure.clashes import Clash, tolerance


def ring_clashes(v: Mapping[str, Any]) -> list[Clash]:
    """Every clash of the rings, their grooves and their chamfers (SI, by name)."""
    return [c for c in (*_grooves(v), *_chamfer(v)) if c.overlap > 1e-12]


def _grooves(v: Mapping[str, Any]) -> Iterator[Clash]:
    outside = v["case_bore"] - v["closure_clearance"]
    lands = {"primary": outside, "secondary": outside, "liner": v["closure_nose_diameter"]}
    if v["closure_nose"] <= 0:
        del lands["liner"]
    for ring, land in lands.items():
        where = (v[f"seal_{ring}_station"], land / 2)
        floor = v[f"seal_{ring}_groove_diameter"]
        says = f"the {ring} groove has no depth: its floor stands outside the land"
        yield Clash(f"seal.{ring}.groove_diameter", says, (floor - land) / 2, where)
        own = v[f"seal_{ring}_ring_id"]
        inside = v[f"seal_{ring}_std_id"] if np.isnan(own) else own
        most = v["loads_fitting_most"]
        says = f"the {ring} ring cannot be stretched over its land, its inside is too small"
        yield Clash(f"seal.{ring}.ring_id", says, land / (1 + most) - inside, where)
    gap = v["closure_clearance"] - tolerance(v, "closure_clearance")
    says = "the closure does not go in when it is at its largest"
    yield Clash("closure.clearance", says, -gap, (0.0, v["case_bore"] / 2))
    if "liner" in lands:
        stated = v["insulation_liner_bore"]
        bore = v["case_bore"] - 2 * v["insulation_liner"] if np.isnan(stated) else stated
        nose = (v["closure_length"], v["closure_nose_diameter"] / 2)
        says = "the nose does not go into the liner"
        yield Clash("closure.nose_diameter", says, v["closure_nose_diameter"] - bore, nose)


def _chamfer(v: Mapping[str, Any]) -> Iterator[Clash]:
    end = (v["closure_screw_station"] - v["case_edge_distance"], v["case_bore"] / 2)
    rise = v["case_lead_in"] * np.tan(v["case_lead_in_angle"])
    says = "the lead-in chamfer leaves nothing of the tube's end"
    yield Clash("case.lead_in", says, rise - v["case_wall"], end)
    near = v["case_edge_distance"] - v["screw_clearance_hole"] / 2
    says = "the lead-in chamfer runs into the screw holes"
    yield Clash("case.lead_in", says, v["case_lead_in"] - near, end)
