"""Rings and grooves that cannot be: what the rings add to the clashes of a design."""

from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np

from hobbyclosure.clashes import Clash
from hobbyclosure.physics.chart import backup_thickness


def ring_clashes(v: Mapping[str, Any]) -> list[Clash]:
    """Every clash of the rings, their grooves and their chamfers (SI, by name)."""
    return [c for c in (*_grooves(v), *_chamfer(v)) if c.overlap > 1e-12]


def _grooves(v: Mapping[str, Any]) -> Iterator[Clash]:
    outside = v["case_bore"] - v["closure_clearance"]
    lands = {"primary": outside, "secondary": outside, "liner": v["closure_nose_diameter"]}
    if v["closure_nose"] <= 0:
        del lands["liner"]
    plate = v["closure_length"] - v["closure_plate"]
    for ring, land in lands.items():
        low = v[f"seal_{ring}_station"]
        floor = v[f"seal_{ring}_groove_diameter"]
        says = f"the {ring} groove has no depth: its floor stands outside the land"
        yield Clash(f"seal.{ring}.groove_diameter", says, (floor - land) / 2, (low, land / 2))
        beside = v[f"seal_{ring}_backups"] * backup_thickness(_section(v, ring))
        width = v[f"seal_{ring}_groove_width"]
        says = f"the {ring} groove has no room for the ring beside its backup rings"
        yield Clash(f"seal.{ring}.groove_width", says, beside - width, (low, floor / 2))
        if ring != "liner" and low + v[f"seal_{ring}_groove_width"] > plate:
            hole = v["closure_centre_hole"]
            says = f"the {ring} groove is deeper than the plate: it cuts through to the centre hole"
            where = (low, hole / 2)
            yield Clash(f"seal.{ring}.groove_diameter", says, (hole - floor) / 2, where)
    if "liner" in lands:
        stated = v["insulation_liner_bore"]
        bore = v["case_bore"] - 2 * v["insulation_liner"] if np.isnan(stated) else stated
        nose = (v["closure_length"], v["closure_nose_diameter"] / 2)
        says = "the nose does not go into the liner"
        yield Clash("closure.nose_diameter", says, v["closure_nose_diameter"] - bore, nose)


def _section(v: Mapping[str, Any], ring: str) -> float:
    own = v[f"seal_{ring}_ring_cs"]
    return float(v[f"seal_{ring}_std_cs"] if np.isnan(own) else own)


def _chamfer(v: Mapping[str, Any]) -> Iterator[Clash]:
    end = (v["closure_screw_station"] - v["case_edge_distance"], v["case_bore"] / 2)
    near = v["case_edge_distance"] - v["screw_clearance_hole"] / 2
    says = "the lead-in chamfer runs into the screw holes"
    yield Clash("case.lead_in", says, v["case_lead_in"] - near, end)
