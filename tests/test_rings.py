"""Rings for a groove, grooves for a ring, and what a measurement changes."""

import numpy as np
import pytest

from hobbyclosure import file, grooves, rings
from hobbyclosure.assess import Assessment
from hobbyclosure.corners import corners
from hobbyclosure.data import RINGS, seals
from hobbyclosure.design import Design, DesignError, inputs
from hobbyclosure.graph import Values
from tests.designs import DEMO, DEMO_FILE

EBBSTONE = file.opened(DEMO_FILE.with_name("ebbstone.toml")).design


@pytest.fixture
def values():
    return inputs(DEMO)


def test_all_lists_are_there():
    assert len(RINGS) == 369
    assert len(seals.METRIC) == 305
    assert len(seals.ALL) == 674
    assert seals.ring_label("69x3.55") == "69 × 3.55"
    assert seals.ring_label("232") == "AS568-232"
    sections = {ring.cs for ring in seals.METRIC.values()}
    assert np.allclose(sorted(sections), [0.0018, 0.00265, 0.00355, 0.0053, 0.007])
    assert all(ring.source and ring.seen in ("seen", "memory") for ring in seals.ALL.values())


def test_no_metric_ring_is_missing_between_two_or_stands_twice():
    # The list follows preferred numbers: neighbours stand no more than 1/8 apart.
    for cs in {ring.cs for ring in seals.METRIC.values()}:
        found = np.array([r.id for r in seals.METRIC.values() if r.cs == cs])
        steps = found[1:] / found[:-1]
        assert steps.min() > 1
        assert steps.max() < 1.13


@pytest.mark.parametrize("row", seals.COMPOUNDS.values(), ids=list(seals.COMPOUNDS))
def test_a_compound_is_complete_and_says_where_from(row):
    assert row.low.value < 273.15 < 363.15 < row.high.value
    assert 1e-4 < row.expansion.value < 3e-4
    assert row.gap_share.value in (0.5, 1.0)
    for datum in (row.low, row.high, row.expansion, row.gap_share):
        assert len(datum.source) > 10
        assert datum.seen in ("seen", "memory")
    assert set(row.durometers) <= {70, 75, 80, 90}


def test_the_fitted_ring_is_listed_as_the_checks_judge_it(values):
    fits = rings.rings_that_fit(values, "primary", "232")
    fitted = next(f for f in fits if f.key == "232")
    alone = Values(values)
    assert fitted.note == "fitted"
    assert fitted.squeezes == pytest.approx(
        (float(alone["seal_primary_loosest"]), float(alone["seal_primary_tightest"]))
    )
    assert fitted.squeezes[0] < fitted.squeeze < fitted.squeezes[1]
    assert fitted.stretches[0] < fitted.stretch < fitted.stretches[1]
    assert fitted.room > 0


def test_the_list_is_ranked_and_its_neighbours_are_told_apart(values):
    fits = rings.rings_that_fit(values, "primary", "232", 30)
    rooms = [f.room for f in fits]
    assert rooms == sorted(rooms, reverse=True)
    notes = {f.key: f.note for f in fits}
    assert notes["231"] == "stretched too far"
    assert notes["233"] == "slack on the floor"
    assert {f.key for f in fits if f.room > 0} >= {"232", "69x3.55"}
    assert all(abs(f.squeeze - 0.18) < 0.08 for f in fits if f.room > 0)


def test_a_ring_that_does_not_fit_is_still_listed_when_it_is_the_fitted_one(values):
    fits = rings.rings_that_fit(values, "primary", "010", 5)
    assert fits[-1].key == "010"
    assert fits[-1].room < 0


def test_a_groove_cut_for_a_ring_suits_it(values):
    fit = rings.groove_for_ring(values, "primary", "232")
    # Bore 76.2 mm less two depths of the gland chart for this section, 0.111 to 0.113 in.
    assert fit.floor == pytest.approx(0.0762 - 2 * 0.112 * 0.0254, abs=1.5e-5)
    assert values["seal_primary_backups"] == 1
    # 0.187 to 0.192 in without a backup ring, and what the chart allows for one: half of two.
    assert fit.width == pytest.approx((0.1895 + 0.088 / 2) * 0.0254, abs=2e-5)
    there = {**values, "seal_primary_groove_diameter": fit.floor}
    found = next(f for f in rings.rings_that_fit(there, "primary", "232") if f.key == "232")
    assert found.squeezes == pytest.approx(fit.squeezes)
    assert found.stretch == pytest.approx(fit.stretch)


def test_grooves_for_rings_and_rings_for_grooves_agree(values):
    for fit in rings.grooves_for_rings(values, "primary", most=6):
        there = {
            **values,
            "seal_primary_groove_diameter": fit.floor,
            "seal_primary_groove_width": fit.width,
        }
        back = rings.rings_that_fit(there, "primary", fit.key, len(seals.ALL))
        same = next(f for f in back if f.key == fit.key)
        assert same.room == pytest.approx(fit.room)


def test_a_listed_ring_stretches_as_its_check_says_once_it_is_taken(values):
    """On the coldest day, as check, gland and plot have it."""
    for fit in rings.rings_that_fit(values, "primary", "232", 6):
        if fit.stretch > 0:
            taken = Assessment(DEMO.evolved({"seal.primary.ring": fit.key}))
            found = float(taken.results["seal.primary.stretch"].demand)
            assert fit.stretches[1] == pytest.approx(found)
            worst = max(float(c.stretch) for c in corners(taken.values, "primary"))
            assert fit.stretches[1] == pytest.approx(worst)


def stops(design: Design) -> set[str]:
    return {i for i, s in Assessment(design).counted.items() if s in ("short", "no answer")}


@pytest.mark.parametrize("ring", ["primary", "secondary", "liner"])
@pytest.mark.parametrize("design", [DEMO, EBBSTONE], ids=["demo", "ebbstone"])
def test_a_groove_offered_without_a_fault_spoils_nothing_and_the_others_say_so(design, ring):
    assert not stops(design)
    fitted = str(design[f"seal.{ring}.ring"].value)
    found = grooves.grooves(Assessment(design), ring, fitted, 8)
    assert fitted in {groove.fit.key for groove in found}
    assert not found[0].breaks
    assert not found[0].refused
    for groove in found:
        again = grooves.groove(Assessment(design), ring, groove.fit.key)  # as it is taken
        assert grooves.changes(ring, again.fit) == grooves.changes(ring, groove.fit)
        assert (again.breaks, again.refused) == (groove.breaks, groove.refused)
        if groove.refused:
            with pytest.raises(DesignError):
                design.evolved(grooves.changes(ring, groove.fit))
        else:
            assert stops(design.evolved(grooves.changes(ring, groove.fit))) == set(groove.breaks)
    assert [g.poor for g in found] == sorted(g.poor for g in found)


def test_a_groove_in_a_design_with_faults_is_not_excused_by_them():
    design = DEMO.evolved({"seal.primary.groove_diameter": "70.2 mm", "screw.count": "11"})
    assert stops(design) >= {"seal.primary.squeeze_least", "screw.bending.ultimate"}
    first = grooves.grooves(Assessment(design), "primary", "232", 5)[0]
    after = stops(design.evolved(grooves.changes("primary", first.fit)))
    assert "seal.primary.squeeze_least" not in after
    assert "screw.bending.ultimate" in after  # no groove's fault


@pytest.mark.parametrize("ring", ["secondary", "liner"])
def test_other_rings_are_ranked_too(values, ring):
    key = str(DEMO[f"seal.{ring}.ring"].value)
    fits = rings.rings_that_fit(values, ring, key)
    assert key in {f.key for f in fits}
    assert all(np.isfinite(f.room) for f in fits)


def test_a_measured_bore_and_ring_move_the_floor():
    # Bore 76.24 for 76.20: the floor goes out by as much, so the depth stays.
    assert rings.floor_as_measured(76.20, 70.50, 76.24) == pytest.approx(70.54)
    # A ring 2 % thinner than listed wants a groove 2 % shallower.
    assert rings.floor_as_measured(76.20, 70.50, 76.20, 3.5, 3.43) == pytest.approx(
        76.20 - 5.70 * 0.98
    )
