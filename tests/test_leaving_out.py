"""Checks that do not apply are left out, checks that are only a look decide nothing."""

import re

import numpy as np
import pytest

from hobbyclosure import context, study, words
from hobbyclosure.assess import ABSENT, STATES, Assessment, Result
from hobbyclosure.graph import CHECKS
from tests.designs import DEMO, demo

LOOKS = [c for c in CHECKS.values() if c.gravest == "look"]
FOUND = Assessment(DEMO)
LEFT_OUT = {id for id, state in FOUND.states.items() if state == ABSENT}
THIN = demo(
    loads__yield_factor="2.15", closure__nose="0 mm", seal__primary__station="33.5 mm",
)  # fmt: skip


def test_the_demo_leaves_out_what_it_has_not():
    assert {
        "closure.ligament.port_port", "screw.tip", "screw.head.height",
        "screw.countersink", "seal.primary.slack", "seal.secondary.slack", "seal.liner.slack",
    } == LEFT_OUT  # fmt: skip


@pytest.mark.parametrize("id", sorted(LEFT_OUT))
def test_what_is_left_out_has_no_numbers_a_reason_and_no_warning(id):
    result = FOUND.results[id]
    assert np.isnan([result.demand, result.capacity, FOUND.ratios[id]]).all()
    assert result.factor == np.inf
    assert FOUND.reason(CHECKS[id]) in CHECKS[id].applies.values()
    assert id not in FOUND.counted
    assert id not in {w.check for w in words.warnings(FOUND)}
    assert id not in {r.check.id for r in study.ladder(FOUND) if r.check}
    assert words.context(FOUND, id) == []


def test_many_designs_are_left_out_one_by_one():
    check = CHECKS["screw.tip"]
    many = Result(check, np.array([np.nan, 1.0, 1.0]), np.array([np.nan, 1.0, 5.0]), 2.0,
                  applies=np.array([False, True, True]))  # fmt: skip
    assert list(many.state) == [ABSENT, "short", "meets"]
    assert list(many.ratio) == [np.inf, 0.5, 2.5]
    assert ABSENT not in STATES


def test_a_sweep_across_the_border_is_endless_on_the_far_side():
    swept = study.sweep(FOUND.inputs, "port.count", np.array([1.0, 2.0]))[
        "closure.ligament.port_port"
    ]
    assert swept[0] == np.inf
    assert 0 < swept[1] < 20
    lengths = np.array([10e-3, 12e-3, 16e-3])
    tips = study.sweep(FOUND.inputs, "screw.length", lengths)["screw.tip"]
    assert list(np.isinf(tips)) == [True, True, False]
    whole = study.counted(study.sweep(FOUND.inputs, "screw.length", lengths))
    assert study.meets(lengths, whole) != []


def test_a_remedy_may_leave_the_check_without_a_cause():
    long = demo(screw__length="16 mm")
    found = next(iter(study.remedies(long, CHECKS["screw.tip"])))
    assert found.path == "screw.length"
    assert demo(screw__length=found.value).states["screw.tip"] == ABSENT
    assert found.fixes == 1


def test_there_is_a_check_that_is_only_a_look():
    assert {c.id for c in LOOKS} == {
        "case.shell_bending", "seal.push", "seal.liner.crush", "seal.liner.collapse"
    }  # fmt: skip


def test_a_look_that_is_short_decides_nothing():
    assert THIN.states["case.shell_bending"] == "short"
    others = {id: s for id, s in THIN.counted.items() if s in ("short", "no answer")}
    assert others == {}, others
    assert THIN.state in ("meets", "close")
    assert words.verdict(THIN).state == THIN.state
    (warning,) = [w for w in words.warnings(THIN) if w.check == "case.shell_bending"]
    assert warning.level == "look"
    assert warning.remedy is None


def test_a_look_takes_no_part_in_maps_meeting_ranges_or_effects():
    grid = np.array([THIN.inputs["case_wall"]])
    swept = study.sweep(THIN.inputs, "case.wall", grid)
    assert swept["case.shell_bending"][0] < 1
    assert min(r[0] for r in study.counted(swept)) >= 1
    there = study.worst_map(THIN.inputs, "case.wall", grid, "screw.count", np.array([14.0]))
    assert there[0, 0] >= 1
    thicker = study.effect(THIN, "case.wall", 3.6e-3)
    assert (thicker.fixes, thicker.breaks) == (0, 0)


@pytest.mark.parametrize("system", ["metric", "inch"])
def test_context_lines_tell_the_other_forms(system):
    told = {id: words.context(FOUND, id, system) for id in CHECKS}
    assert {id for id, lines in told.items() if lines} == set(context._CONTEXT)
    assert "the lowest counts" in told["case.wall.burst"][0]
    said = [float(x) for x in re.findall(r"([\d.]+) (?:MPa|psi)", told["case.wall.burst"][0])]
    v, unit = FOUND.values, 1e6 if system == "metric" else 6894.757
    rung = float(v["loads_meop"] * FOUND.results["case.wall.burst"].factor) / unit
    assert min(said) >= rung * 0.99  # the lowest of all forms is the rung's own or above it


def test_a_centred_closure_bends_its_screws_later():
    (line,) = words.context(FOUND, "screw.bending.ultimate")
    first = next(r for r in study.ladder(FOUND) if r.check).pressure / 1e6
    assert float(line.split()[-2]) > first
