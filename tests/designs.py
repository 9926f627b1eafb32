"""Designs for the tests: the demo, small changes of it, and Hypothesis strategies over fields."""

from pathlib import Path
from typing import Any

import numpy as np
from hypothesis import strategies as st

from hobbyclosure import file
from hobbyclosure.assess import Assessment
from hobbyclosure.design import Design, DesignError
from hobbyclosure.fields import FIELDS, Field
from hobbyclosure.units import COUNT

DEMO_FILE = Path(__file__).parents[1] / "demo_data" / "tidewater.toml"
DEMO = file.opened(DEMO_FILE).design
NUMBERS = [f for f in FIELDS.values() if f.kind is not None]
CHOICES = [f for f in FIELDS.values() if f.kind is None]


# Tidewater with a shorter nose and narrower grooves: the hand calculations' sizes.
BENCH = DEMO.evolved({
    "closure.length": "48 mm", "closure.plate": "18 mm", "closure.nose": "7 mm",
    "closure.nose_diameter": "69.6 mm", "seal.primary.station": "33.5 mm",
    "seal.secondary.station": "25.4 mm", "seal.liner.station": "42.4 mm",
    "seal.primary.groove_width": "4.9 mm", "seal.secondary.groove_width": "4.9 mm",
    "seal.liner.groove_width": "3.6 mm", "seal.primary.groove_diameter": "70.5 mm",
    "seal.secondary.groove_diameter": "70.5 mm", "seal.liner.groove_diameter": "65.8 mm",
    "seal.primary.backups": "0", "seal.secondary.backups": "0", "seal.liner.backups": "0",
    "seal.liner.ring": "145", "screw.clearance_hole": "6.4 mm",
    "closure.screw_station": "14 mm", "case.edge_distance": "14 mm",
    "insulation.liner_lead_in": "3 mm", "closure.skirt_wall": "9.5 mm",
    "insulation.liner_modulus": "5000 MPa",
})  # fmt: skip


def bench(**changes: Any) -> Assessment:
    """The bench design with fields changed, as `demo` does it."""
    return Assessment(BENCH.evolved({k.replace("__", "."): v for k, v in changes.items()}))


def demo(**changes: Any) -> Assessment:
    """The demo with fields changed: dots of the paths are written as double underscores."""
    return Assessment(DEMO.evolved({k.replace("__", "."): v for k, v in changes.items()}))


def values_of(field: Field) -> st.SearchStrategy[Any]:
    """Any value a field allows, its ends often."""
    if field.kind is None:
        assert field.choices is not None
        return st.sampled_from(list(field.choices()))
    low, high = field.range
    if field.kind is COUNT:
        return st.integers(round(low), round(high)).map(float)
    return st.one_of(st.sampled_from([low, high]), st.floats(low, high, allow_subnormal=False))


def moves(fields: list[Field]) -> st.SearchStrategy[tuple[str, Any]]:
    """One field and a value for it."""
    return st.sampled_from(fields).flatmap(lambda f: st.tuples(st.just(f.path), values_of(f)))


def moved_one_by_one(steps: list[tuple[str, Any]], start: Design = DEMO) -> Design:
    """A design after every step that its geometry allows."""
    design = start
    for path, value in steps:
        try:
            design = design.evolved({path: value})
        except DesignError:
            continue
    return design


JUDGED = ("loads", "case", "closure", "screw")
# What the checks read counts most; the parts that are only drawn come along now and then.
DESIGNS = st.lists(
    st.one_of(
        moves([f for f in FIELDS.values() if f.part in JUDGED]), moves(list(FIELDS.values()))
    ),
    min_size=1,
    max_size=14,
).map(moved_one_by_one)


def varied_inputs(design: Design, size: int, seed: int) -> dict[str, Any]:
    """A design's inputs, each number an array of random values up to a quarter off."""
    draw = np.random.default_rng(seed)
    found = Assessment(design).inputs
    return {
        name: value * draw.uniform(0.8, 1.25, size)
        if isinstance(value, float) and name not in ("screw_count", "screw_rows")
        else value
        for name, value in found.items()
    } | {
        "screw_count": draw.integers(3, 30, size).astype(float),
        "screw_rows": draw.integers(1, 3, size).astype(float),
        "screw_unified": draw.integers(0, 2, size).astype(float),
        "screw_threads_in_plane": draw.integers(0, 2, size).astype(float),
    }


TABLES = ("case_hot_", "closure_hot_", "screw_hot_")


def row(inputs: dict[str, Any], i: int) -> dict[str, Any]:
    """One design out of arrays of them; tables of a material are no such arrays."""
    return {
        k: float(v[i]) if isinstance(v, np.ndarray) and not k.startswith(TABLES) else v
        for k, v in inputs.items()
    }
