"""Geometry that cannot be: each clash met by one move of the demo, by as much as it says."""

import numpy as np
import pytest

from app.demo import demo
from hobbyclosure.clashes import clashes
from hobbyclosure.design import Design, DesignError, inputs
from hobbyclosure.file import load
from tests.designs import BENCH

DEMO = load(demo()).design

CASES = [  # field, value, what it says, overlap in mm by hand from the demo's own numbers
    ("case.edge_distance", "3 mm", "breaks through its end", 6.5 / 2 - 2.8),
    ("screw.count", "40", "in a row overlap", 6.5 - np.pi * 76.2 / 40),
    ("screw.clearance_hole", "5.5 mm", "smaller than the screw", 0.5),
    ("closure.screw_station", "2 mm", "cold face", 1.0),
    ("closure.screw_station", "40 mm", "runs onto the nose", 40 + 3 - 41),
    ("closure.nose_diameter", "77 mm", "wider than the closure", (77 - (76.2 - 0.08)) / 2),
    ("closure.centre_hole", "71 mm", "centre hole is wider", (71 - 69.6) / 2),
    ("seal.secondary.station", "15 mm", "screw hole runs into the secondary groove", 2.0),
    ("seal.primary.station", "28 mm", "two bore grooves overlap", 25.4 + 4.9 - 28),
    ("seal.primary.station", "38 mm", "past the step of the nose", 38 + 4.9 - 41),
    ("seal.liner.station", "40 mm", "through the step of the nose", 1.0),
    ("seal.liner.station", "46 mm", "off the end of the nose", 46 + 3.6 - 48),
    ("seal.liner.groove_diameter", "19 mm", "to the centre hole", 0.5),
    ("seal.secondary.groove_diameter", "50 mm", "cuts through the skirt", 38.06 - 9.5 - 25),
    ("port.pitch_circle", "25 mm", "into the centre hole", 10 + 10.29 / 2 - 12.5),
    ("port.pitch_circle", "68 mm", "into a ring groove", 34 + 10.29 / 2 - 35.25),
]


@pytest.mark.parametrize(("path", "value", "says", "overlap"), CASES)
def test_a_clash_is_refused_by_name_and_by_its_overlap(path, value, says, overlap):
    with pytest.raises(DesignError) as refusal:
        BENCH.evolved({path: value})
    told = [p for p in refusal.value.problems if says in p.message]
    assert len(told) == 1
    assert told[0].field == path
    shown = float(told[0].message.rsplit(" by ", 1)[1].split()[0])
    assert shown == pytest.approx(overlap, abs=6e-4)


def test_the_demo_designs_have_no_clash():
    for name in ("tidewater", "ebbstone", "first_sketch"):
        assert clashes(inputs(load(demo(name)).design)) == []


def test_every_clash_stands_at_a_place_in_the_section():
    v = inputs(BENCH) | {"screw_count": 60.0, "seal_primary_station": 0.028}
    for clash in clashes(v):
        assert np.isfinite(clash.place).all()
        assert -0.02 <= clash.place[0] <= 0.06


def test_a_design_of_defaults_has_no_clash():
    assert clashes(inputs(Design())) == []
