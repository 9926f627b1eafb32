"""Studies: each says the same as assessing design by design."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hobbyclosure import data, scatter, study
from hobbyclosure.assess import ABSENT, Assessment, results
from hobbyclosure.fields import FIELDS
from hobbyclosure.graph import CHECKS
from hobbyclosure.study import MEOP
from hobbyclosure.units import COUNT
from tests.designs import DEMO, DESIGNS, demo
from tests.test_first_sketch import SKETCH

DEMO_FOUND = Assessment(DEMO)


# ---- sweeps


@pytest.mark.parametrize(
    ("path", "grid"),
    [
        ("case.wall", np.array([1.2e-3, 2.5e-3, 3.175e-3, 6e-3])),
        ("screw.count", np.array([6.0, 13, 14, 20])),
        (MEOP, np.array([2e6, 6e6, 15e6])),
        ("closure.plate", np.array([6e-3, 15e-3, 30e-3])),
        ("case.metal_temperature", np.array([260.0, 340, 600])),
        ("closure.centre_hole", np.array([0.0, 10e-3, 25e-3])),
    ],
)
def test_a_sweep_is_the_designs_one_by_one(path, grid):
    swept = study.sweep(DEMO_FOUND.inputs, path, grid)
    assert set(swept) == set(CHECKS)
    for i, value in enumerate(grid):
        one = Assessment(DEMO.evolved({path: float(value)}))
        for id, found in one.results.items():
            assert swept[id].shape == grid.shape
            assert swept[id][i] == pytest.approx(float(found.ratio), rel=1e-12, nan_ok=True)


def test_a_wall_that_holds_the_outside_moves_the_bore():
    inside, outside = demo(), demo(case__wall_holds="outside")
    to = 4.175e-3
    assert study.moved(inside.inputs, "case.wall", to)["case_bore"] == 0.0762
    assert study.moved(outside.inputs, "case.wall", to)["case_bore"] == pytest.approx(0.0742)
    assert study.changes(inside.design, "case.wall", to) == {"case.wall": to}
    assert study.changes(outside.design, "case.wall", to) == {
        "case.wall": to, "case.bore": pytest.approx(0.0742),
    }  # fmt: skip
    thick = Assessment(outside.design.evolved(study.changes(outside.design, "case.wall", to)))
    swept = study.sweep(outside.inputs, "case.wall", np.array([to]))
    assert swept["case.wall.burst"][0] == pytest.approx(thick.ratios["case.wall.burst"])
    total = [a.inputs["case_bore"] + 2 * a.inputs["case_wall"] for a in (outside, thick)]
    assert total[0] == pytest.approx(total[1])


def test_today_s_value_is_the_field_s_or_the_built_meop():
    assert study.now(DEMO_FOUND, "case.wall") == pytest.approx(3.175e-3)
    assert study.now(DEMO_FOUND, MEOP) == pytest.approx(6.1776e6)
    assert study.now(demo(loads__meop_given="8 MPa"), MEOP) == 8e6


# ---- where it meets


@settings(deadline=None, max_examples=100)
@given(
    st.lists(
        st.lists(st.one_of(st.floats(0.5, 1.5), st.just(np.nan)), min_size=9, max_size=9),
        min_size=1, max_size=3,
    )
)  # fmt: skip
def test_intervals_that_meet_against_brute_force(rows):
    grid = np.linspace(1, 5, 9)
    ratios = [np.array(r) for r in rows]
    spans = study.meets(grid, ratios)
    assert spans == sorted(spans)
    for low, high in spans:
        assert grid[0] <= low <= high <= grid[-1]
    for x, *here in zip(grid, *ratios, strict=True):
        good = all(r >= 1 for r in here)  # nan is not good
        assert any(low - 1e-9 <= x <= high + 1e-9 for low, high in spans) == good or any(
            r == pytest.approx(1, abs=1e-6) for r in here
        )
    if len(ratios) == 1 and not np.isnan(ratios[0]).any():
        fine = np.linspace(1, 5, 2001)
        curve = np.interp(fine, grid, ratios[0])
        for x, r in zip(fine, curve, strict=True):
            inside = any(low <= x <= high for low, high in spans)
            assert inside == (r >= 1) or abs(r - 1) < 1e-9


def test_intervals_of_a_parabola_end_where_it_crosses():
    grid = np.linspace(0, 4, 401)
    ((low, high),) = study.meets(grid, [2 - (grid - 2) ** 2, np.full(401, 1.2)])
    assert (low, high) == pytest.approx((1, 3), abs=1e-4)
    assert study.meets(grid, [np.full(401, 0.9)]) == []
    assert study.meets(grid, [np.full(401, 1.1)]) == [(0.0, 4.0)]
    assert study.meets(grid, [np.full(401, np.nan)]) == []
    infinite = np.where(grid < 2, np.inf, 0.5)
    ((low, high),) = study.meets(grid, [infinite])
    assert low == 0
    assert high == pytest.approx(2, abs=0.01)


@settings(deadline=None, max_examples=60)
@given(st.lists(st.one_of(st.floats(0, 2), st.just(np.nan)), min_size=1, max_size=12))
def test_whole_numbers_that_meet_against_brute_force(ratios):
    grid = np.arange(3.0, 3 + len(ratios))
    spans = study.whole_meets(grid, [np.array(ratios)])
    told = {int(n) for low, high in spans for n in range(int(low), int(high) + 1)}
    assert told == {int(n) for n, r in zip(grid, ratios, strict=True) if r >= 1}
    assert all(b[0] - a[1] > 1 for a, b in pairwise(spans))


# ---- the ladder


def test_each_rung_put_back_as_meop_is_a_factor_of_one():
    for rung in study.ladder(DEMO_FOUND):
        if rung.check:
            there = demo(loads__meop_given=rung.pressure) if rung.pressure <= 60e6 else None
            if there and not rung.check.told:
                assert there.results[rung.check.id].factor == pytest.approx(1, rel=1e-4)
            assert rung.wanted == pytest.approx(
                float(DEMO_FOUND.results[rung.check.id].required) * 6.1776e6
            )


def test_the_ladder_holds_every_outcome_lowest_first_and_the_other_end():
    rungs = study.ladder(DEMO_FOUND)
    assert {r.check.id for r in rungs if r.check} == {
        c.id for c in CHECKS.values() if c.outcome and DEMO_FOUND.states[c.id] != ABSENT
    }
    pressures = [r.pressure for r in rungs]
    assert pressures == sorted(pressures)
    (other,) = [r for r in rungs if r.check is None]
    assert (other.pressure, other.wanted) == (9.6e6, None)
    without = demo(case__other_end_holds="")
    assert all(r.check for r in study.ladder(without))


def test_either_marks_rungs_that_cannot_be_told_apart():
    rungs = study.ladder(DEMO_FOUND)
    for before, rung in pairwise(rungs):
        assert rung.either == (rung.pressure < study.NEAR * before.pressure)


def test_a_check_without_an_answer_is_a_rung_without_a_pressure_at_the_end():
    rungs = study.ladder(demo(closure__plate="8 mm"))
    blank = [r for r in rungs if np.isnan(r.pressure)]
    assert [r.check.id for r in blank] == ["closure.plate.limit"]
    assert rungs[-1] is blank[0]


def test_what_holds_beyond_any_pressure_is_no_first_rung():
    stout = data.material_from_values(
        "stout", "Stout", {n: 4.9e11 for n in data.PROPERTIES if n.startswith("F_")}
        | {"E": 69e9, "nu": 0.33},
    )  # fmt: skip
    design = study.attrs.evolve(DEMO, materials={"stout": stout}).evolved({
        "closure.material": "stout", "closure.metal_temperature": "20 °C",
    })  # fmt: skip
    pressures = {c.id: p for c, p in study.letting_go(Assessment(design)).items()}
    assert pressures["closure.plate.limit"] > 1e10


# ---- remedies


SHORT = {
    "thin wall": demo(case__wall="1.5 mm"),
    "few screws": demo(screw__count="9"),
    "near the end": demo(case__edge_distance="7.5 mm"),
    "short screws": demo(screw__length="10 mm"),
    "thin plate": demo(closure__plate="10 mm"),
    "crowded": demo(screw__count="18"),
    "hard pressed": demo(loads__peak="9 MPa"),
}


@pytest.mark.parametrize("name", SHORT)
def test_a_remedy_applied_makes_its_check_meet_and_counts_truly(name):
    before = SHORT[name]
    short = [CHECKS[id] for id, state in before.states.items() if state == "short"]
    assert short
    bad = {"short", "no answer"}
    for check in short:
        for found in study.remedies(before, check):
            change = study.changes(before.design, found.path, found.value)
            after = Assessment(before.design.evolved(change))
            assert after.states[check.id] in ("meets", "close", ABSENT), (check.id, found)
            sick = [{i for i, s in a.counted.items() if s in bad} for a in (before, after)]
            assert (found.fixes, found.breaks) == (len(sick[0] - sick[1]), len(sick[1] - sick[0]))
            assert found.path in check.remedy
            low, high = FIELDS[found.path].range
            assert low <= found.value <= high
            if FIELDS[found.path].kind is COUNT:
                assert found.value == round(found.value)
            if found.path == "case.wall":
                assert found.value in {tube.wall for tube in data.TUBES}


@pytest.mark.parametrize("name", SHORT)
def test_every_short_check_has_a_remedy_unless_only_a_milder_motor_would_do(name):
    peak = SHORT[name].values["loads_peak"]
    for id, state in SHORT[name].states.items():
        if state != "short":
            continue
        found = list(study.remedies(SHORT[name], CHECKS[id]))
        assert found or (MEOP in CHECKS[id].remedy and name == "hard pressed"), id
        assert all(r.value >= peak for r in found if r.path == MEOP), id


@pytest.mark.parametrize("name", SHORT)
def test_the_remedy_offered_breaks_nothing_if_it_can_and_spares_the_pressure(name):
    before = SHORT[name]
    for id in [id for id, state in before.states.items() if state == "short"]:
        every = list(study.remedies(before, CHECKS[id]))
        best = study.remedy(before, CHECKS[id])
        others = [r for r in every if r.path != MEOP]
        harmless = [r for r in others if not r.breaks]
        if harmless:
            assert best == harmless[0]
        elif best and best.path == MEOP:
            assert all(r.fixes <= r.breaks for r in others)


def test_an_effect_the_geometry_forbids_is_none():
    assert study.effect(DEMO_FOUND, "screw.clearance_hole", 5e-3) is None
    assert study.effect(DEMO_FOUND, "case.wall", 3.175e-3) == study.Remedy(
        "case.wall", 3.175e-3, frozenset(), frozenset()
    )


@settings(deadline=None, max_examples=15)
@given(DESIGNS)
def test_remedies_of_any_design_meet(design):
    before = Assessment(design)
    short = [CHECKS[id] for id, state in before.states.items() if state == "short"][:3]
    for check in short:
        for found in study.remedies(before, check):
            change = study.changes(design, found.path, found.value)
            after = Assessment(design.evolved(change))
            if after.states[check.id] != ABSENT:  # a screw short enough has no tip outside
                assert after.ratios[check.id] >= 1 - 1e-9


# ---- scatter


def draws(size):
    """A scatter of wall and of pressure."""
    rng = np.random.default_rng(3)
    return {
        "case_wall": rng.normal(2.2e-3, 2e-4, size),
        "loads_peak": rng.normal(6e6, 4e5, size),
    }


def test_scatter_in_chunks_is_all_in_one_go(monkeypatch):
    scattered = draws(1000)
    whole = {r.check.id: r.ratio for r in results({**DEMO_FOUND.inputs, **scattered})}
    monkeypatch.setattr(scatter, "CHUNK", 96)
    pieces = {id: [] for id in CHECKS}

    def keep(chunk):
        for r in chunk:
            pieces[r.check.id].append(np.asarray(r.ratio))

    scatter.scatter(DEMO_FOUND.inputs, scattered, keep)
    assert len(pieces["case.wall.burst"]) == 11
    for id, ratio in whole.items():
        if np.ndim(ratio):
            assert np.array_equal(np.concatenate(pieces[id]), ratio, equal_nan=True)
        else:
            assert all(p == ratio for p in pieces[id])


@pytest.mark.parametrize("chunk", [96, 1000, 2**14])
def test_share_short_counts_what_is_short(monkeypatch, chunk):
    scattered = draws(1000)
    monkeypatch.setattr(scatter, "CHUNK", chunk)
    thin = demo(case__edge_distance="7 mm")  # short whatever the scatter
    shares = scatter.share_short(thin.inputs, scattered)
    for found in results({**thin.inputs, **scattered}):
        short = np.broadcast_to(np.asarray(found.ratio) < 1, 1000)
        assert shares[found.check.id] == pytest.approx(short.mean()), found.check.id
    assert shares["case.edge"] == 1
    assert 0 < shares["case.wall.burst"] < 1


def test_an_end_at_a_leap_is_found_on_a_finer_grid_and_never_late():
    def lines(x):
        return [np.where(x < 3.37, 1.5 - 0.01 * x, 0.6)]

    grid = np.linspace(0, 10, 11)
    ((low, high),) = study.meets(grid, lines(grid), lines)
    assert low == 0
    assert 3.37 - 1 / 64 < high < 3.37


def test_a_ring_meets_up_to_the_very_step_of_the_extrusion_chart():
    """At what is said to be the most the gaps meet; a thousandth more does not."""
    careful = demo(loads__gap_factor="1.9")  # what is wanted lies between both sides of a step
    gaps = ["seal.primary.gap", "seal.primary.gap_proof"]
    grid = np.linspace(2e6, 12e6, 121)

    def lines(p):
        swept = study.swept(careful, MEOP, p)
        return [swept[id] for id in gaps]

    ((_, most),) = study.meets(grid, lines(grid), lines)
    for share, good in ((1.0, True), (1.001, False)):
        found = Assessment(careful.design.evolved({MEOP: share * most}))
        assert (min(found.ratios[id] for id in gaps) >= 1) == good


# ---- what is lowest


@settings(max_examples=30, deadline=None)
@given(DESIGNS, DESIGNS)
def test_the_ranking_of_two_designs_is_by_what_is_worst_in_either(one, other):
    both = [Assessment(one), Assessment(other)]
    found = study.ranked(*both, looks=True)
    assert len(found) == len({c.id for c in found})
    assert study.ranked(*both) == [c for c in found if c.gravest == "stop"]
    for check in CHECKS.values():
        ratios = [a.ratios[check.id] for a in both]
        blank = check.gravest == "stop" and "no answer" in [a.states[check.id] for a in both]
        low = any(r < 1.1 for r in ratios)
        known = any(r == r for r in ratios)
        assert (check in found) == (blank or (known and (low or check.basis is not None)))

    def worst(check):
        if check.gravest == "stop" and "no answer" in [a.states[check.id] for a in both]:
            return -np.inf
        return min(r for a in both if (r := a.ratios[check.id]) == r)

    order = [worst(check) for check in found]
    assert order == sorted(order)


def test_a_check_that_decides_and_has_no_answer_comes_first():
    hot = demo(case__metal_temperature="400 °C")
    blank = [id for id, state in hot.counted.items() if state == "no answer"]
    assert blank
    assert {c.id for c in study.ranked(hot)[: len(blank)]} == set(blank)


def test_a_rung_below_what_it_is_to_reach_is_short_though_its_check_meets():
    """The gap's chart steps: at MEOP it meets, and lets go before 1.25 × MEOP."""
    sketch = Assessment(SKETCH)
    (gap,) = (r for r in study.ladder(sketch) if r.check and r.check.id == "seal.primary.gap")
    assert sketch.states["seal.primary.gap"] == "meets"
    assert gap.pressure < gap.wanted
    assert gap.state == "short"
