"""A design from nothing follows the bore and can be drawn, assessed and saved."""

import itertools

import numpy as np
import pytest

from hobbyclosure import drawing
from hobbyclosure.assess import Assessment
from hobbyclosure.design import collisions
from hobbyclosure.file import loads, written
from hobbyclosure.starting import starting

BORES = np.geomspace(0.016, 0.36, 25)


@pytest.mark.parametrize("system", ["metric", "inch"])
@pytest.mark.parametrize("bore", BORES)
def test_any_bore_gives_a_design_without_a_clash(bore, system):
    design = starting(bore, max(0.0012, 0.042 * bore), 4e6, system=system)
    assert collisions(design) == []
    assert np.isfinite(Assessment(design).ratios["screw.shear"])
    assert drawing.section(Assessment(design).inputs).shapes
    read = loads(written(design, None, system))
    assert read.problems == ()
    assert read.design.says_the_same(design)


def test_the_starting_values_are_numbers_one_can_read():
    design = starting(0.0762, 0.003175, 5.2e6)
    texts = [entry.typed for path, entry in design.entries.items() if "material" not in path]
    assert max(map(len, texts)) <= 12, texts


def test_common_sizes_meet_from_the_start():
    """A builder of a usual tube begins with a picture that holds, not with a page of stops."""
    sizes = (0.0508, 0.05715, 0.0635, 0.07, 0.0762, 0.0889, 0.1, 0.1016, 0.127)
    for (bore, peak), system in itertools.product(
        [*((bore, 4e6) for bore in sizes), (0.0508, 5.2e6), (0.15, 3e6)], ("metric", "inch")
    ):
        assessment = Assessment(starting(bore, 0.0417 * bore, peak, system=system))
        assert assessment.state in ("meets", "close"), (bore, system, assessment.states)
        assert assessment.inputs["closure_nose"] > 0


@pytest.mark.parametrize("system", ["metric", "inch"])
@pytest.mark.parametrize(("bore", "wall"), [(0.038, 0.0016), (0.0508, 0.00165), (0.054, 0.0016)])
def test_a_thin_tube_keeps_enough_of_its_end(bore, wall, system):
    assert Assessment(starting(bore, wall, 4e6, system=system)).state in ("meets", "close")


@pytest.mark.parametrize("system", ["metric", "inch"])
@pytest.mark.parametrize(("bore", "wall", "peak"), [(0.098, 0.004, 5e6), (0.15, 0.006, 4e6)])
def test_a_wide_tube_begins_without_a_stop(bore, wall, peak, system):
    """The bore opens with its width: nose and liner are turned closely, with a backup ring."""
    wide = Assessment(starting(bore, wall, peak, system=system))
    assert wide.state in ("meets", "close"), wide.states


@pytest.mark.parametrize("bore", [0.02, 0.024, 0.029, 0.032, 0.036, 0.04, 0.043])
def test_a_narrow_tube_takes_the_next_size_where_the_usual_falls_short(bore):
    """Its closure is as long as it is wide: of the skirt's fillet there may be no answer."""
    narrow = Assessment(starting(bore, 0.002, 4e6)).counted
    assert {id for id, state in narrow.items() if state == "short"} == set()
    unanswered = {id for id, state in narrow.items() if state == "no answer"}
    assert unanswered <= {"closure.fillet.yield", "prove.fillet"}


@pytest.mark.parametrize(("system", "least"), [("metric", 0.044), ("inch", 0.04625)])
def test_the_fillet_of_any_usual_bore_has_an_answer(system, least):
    for bore in np.arange(least, 0.2, 0.0045):
        found = Assessment(starting(bore, 0.0417 * bore, 4e6, system=system))
        assert found.states["closure.fillet.yield"] in ("meets", "close"), bore


def test_backup_rings_come_where_the_bore_s_rings_would_squeeze_out_without():
    mild, sharp = (starting(0.0762, 0.003175, peak) for peak in (4e6, 5.2e6))
    assert mild["seal.primary.backups"].value == 0
    assert sharp["seal.primary.backups"].value == 1
    assert sharp["seal.secondary.backups"].value == 1
    for design in (mild, sharp):
        states = Assessment(design).states
        for check in ("gap", "gap_proof", "width"):
            assert states[f"seal.primary.{check}"] == "meets"


@pytest.mark.parametrize("bore", [0.01, 0.02, 0.03, 0.25, 0.4])
def test_odd_sizes_begin_all_the_same(bore):
    design = starting(bore, max(0.0417 * bore, 1e-3), 4e6)
    assert Assessment(design).state in ("meets", "close", "short", "no answer")
    assert drawing.section(Assessment(design).inputs).shapes
    assert loads(written(design, None)).design.says_the_same(design)


def test_proportions_grow_with_the_bore():
    small, large = (starting(b, 0.042 * b, 4e6) for b in (0.05, 0.15))
    for path in ("closure.plate", "closure.length", "closure.skirt_wall", "case.edge_distance"):
        assert small[path].value < large[path].value


@pytest.mark.parametrize("bore", np.geomspace(0.045, 0.25, 14))
def test_the_first_glands_of_a_usual_bore_meet(bore):
    found = Assessment(starting(bore, 0.06 * bore, 3e6))
    judged = {id: state for id, state in found.counted.items() if id.startswith("seal.")}
    assert len(judged) > (30 if found.inputs["closure_nose"] > 0 else 20)
    assert {id for id, state in judged.items() if state not in ("meets", "close")} == set()
    nose = ["closure.nose_slip"] if found.inputs["closure_nose"] > 0 else []
    for id in ("closure.slip", *nose, "case.lead_in_wall"):
        assert found.states[id] in ("meets", "close")
