"""The three demo designs: two meet, the sketch shows the late mistakes and their ways out."""

import pytest

from hobbyclosure import file, study, words
from hobbyclosure.assess import ABSENT, Assessment
from hobbyclosure.fields import FIELDS
from hobbyclosure.graph import CHECKS
from tests.designs import DEMO, DEMO_FILE

SKETCH = file.opened(DEMO_FILE.with_name("first_sketch.toml")).design
EBBSTONE = file.opened(DEMO_FILE.with_name("ebbstone.toml")).design
FOUND = Assessment(SKETCH)
SHORT = [id for id, state in FOUND.counted.items() if state == "short"]
# The mistakes one finds late, by the check that finds each.
FAULTS = {
    "case.edge", "case.shear_out", "case.bearing.ultimate", "case.wall.burst",
    "screw.bending.ultimate", "screw.embedment", "screw.tip",
    "closure.land.screw_secondary", "closure.shear_out", "seal.liner.past_lead_in",
    "closure.plate.yield", "closure.fillet.yield", "closure.ligament.port_plug",
    "seal.primary.squeeze_least", "seal.primary.gap_proof", "seal.primary.lead_in",
    "seal.primary.crossing", "seal.primary.corner", "seal.secondary.fill",
    "seal.secondary.width", "seal.liner.squeeze_least", "seal.liner.gap_proof",
}  # fmt: skip


@pytest.mark.parametrize("design", [DEMO, EBBSTONE], ids=["Tidewater", "Ebbstone"])
def test_the_good_ones_meet_every_check_that_applies(design):
    states = Assessment(design).states
    assert {id: s for id, s in states.items() if s not in ("meets", ABSENT)} == {}


def test_the_sketch_shows_its_faults():
    assert set(SHORT) >= FAULTS
    assert not [id for id, state in FOUND.states.items() if state == "no answer"]


@pytest.mark.parametrize("id", sorted(FAULTS))
def test_each_fault_has_a_way_out_that_leads_out(id):
    (found, *_) = study.remedies(FOUND, CHECKS[id])
    change = study.changes(SKETCH, found.path, found.value)
    after = Assessment(SKETCH.evolved(change))
    assert after.states[id] in ("meets", "close", ABSENT)


@pytest.mark.parametrize("system", ["metric", "inch"])
def test_no_way_out_is_one_that_nobody_would_build(system):
    """It still goes in, and no part becomes another size of thing for it."""
    offered = []
    assert [id for id in SHORT if study.remedy(FOUND, CHECKS[id], system) is None] == []
    for id in SHORT:
        for r in study.remedies(FOUND, CHECKS[id], system):
            assert not {"closure.slip", "closure.nose_slip"} & r.spoils, (id, r)
            offered.append((id, r))
    assert len(offered) > 30
    for id, r in offered:
        near, far = study.reach(FIELDS[r.path], study.now(FOUND, r.path))
        assert near - 1e-9 <= r.value <= far + 1e-9, (id, r)


def test_the_way_out_for_the_screw_tips_is_no_other_tube():
    r = study.remedy(FOUND, CHECKS["screw.tip"])
    assert r is not None
    assert r.path != "case.wall"


def test_remedies_one_after_another_clear_every_stop():
    design, moved, taken = SKETCH, [], set()
    for _ in range(25):
        here = Assessment(design)
        short = [CHECKS[id] for id, state in here.counted.items() if state == "short"]
        if not short:
            break
        offers = [r for check in short for r in study.remedies(here, check) if r.path != study.MEOP]
        offers = [r for r in offers if (r.path, r.value) not in taken]  # not in a circle
        best = max(offers, key=lambda r: r.fixes - r.breaks)
        taken.add((best.path, best.value))
        moved.append(best.path)
        design = design.evolved(study.changes(design, best.path, best.value))
    assert Assessment(design).state in ("meets", "close")
    assert len(set(moved)) >= 6
    assert not [w for w in words.warnings(Assessment(design)) if w.level == "stop"]
