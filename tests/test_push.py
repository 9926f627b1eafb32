"""Force against insertion: its forms and sums, its order of events, its shapes."""

from itertools import pairwise

import numpy as np
import pytest

from hobbyclosure import graph
from hobbyclosure.graph import Values
from hobbyclosure.physics.push import climbing, depth_on_chamfer, share_over_holes
from hobbyclosure.push import push_curve, push_drawing
from tests.seal_designs import MEETING, changed, random_values

NO_NOSE = {"closure__nose": "0 mm"}
TWO_ROWS = {
    "screw__rows": "2", "screw__row_spacing": "3 mm", "case__edge_distance": "8 mm",
}  # fmt: skip


def pushed(**changes):
    return push_curve(changed(**changes))


def checked(**changes):
    """What the check of the push says."""
    return float(changed(**changes).demand_and_capacity(graph.CHECKS["seal.push"])[0])


# ---- geometry


def test_a_row_s_share_is_that_of_its_chords():
    # 14 holes of 6.4 mm in a bore of 76.2 mm, over their middle: 14 × 6.4/(π 76.2).
    assert share_over_holes(14, 6.4e-3, 76.2e-3, 0.0) == pytest.approx(0.37429, rel=1e-4)
    assert share_over_holes(14, 6.4e-3, 76.2e-3, 3.2e-3) == 0
    assert share_over_holes(14, 6.4e-3, 76.2e-3, -1.92e-3) == pytest.approx(0.8 * 0.37429, rel=1e-4)
    y = np.linspace(-3.2e-3, 3.2e-3, 4001)
    swept = np.trapezoid(share_over_holes(14, 6.4e-3, 76.2e-3, y), y) * np.pi * 76.2e-3
    assert swept == pytest.approx(14 * np.pi / 4 * 6.4e-3**2, rel=1e-3)  # the holes' own area
    assert share_over_holes(100, 6.4e-3, 76.2e-3, 0.0) == 1


def test_depth_on_the_chamfer_falls_to_that_of_the_bore():
    assert depth_on_chamfer(2.8e-3, 4e-3, np.pi / 4, 1e-3) == pytest.approx(5.8e-3)
    assert depth_on_chamfer(2.8e-3, 4e-3, np.pi / 4, 9e-3) == pytest.approx(2.8e-3)
    assert climbing(6e-3, np.array([-1e-3, 0, 1.5e-3, 3e-3, 4e-3])) == pytest.approx(
        [0, 0, 0.5, 1, 1]
    )


# ---- the curve


@pytest.mark.parametrize("changes", [{}, NO_NOSE, MEETING])
def test_nothing_outside_and_at_home_all_rings_slide(changes):
    p = pushed(**changes)
    values = changed(**changes)
    rings = ["primary", "secondary"] + ["liner"] * ("closure__nose" not in changes)
    assert p.force[0] == 0
    assert (p.force[p.x < p.marks[0].x] == 0).all()
    assert p.force[-1] == pytest.approx(sum(values[f"seal_{r}_sliding"] for r in rings))
    assert p.x[-1] == p.home
    d = float(values["seal_primary_station"] - values["closure_screw_station"])
    section = (values["seal_primary_thin"] + values["seal_primary_thick"]) / 2
    assert p.home == pytest.approx(d + values["case_edge_distance"] + section / 2)


def test_each_ring_enters_with_what_the_check_counts_and_slides_with_it():
    values = changed(**MEETING)
    p = push_curve(values)
    for way in p.ways:
        top = float(way.force(way.end + way.chamfer))
        assert top == pytest.approx(values[f"seal_{way.ring}_entering"])
        assert way.sliding == pytest.approx(values[f"seal_{way.ring}_sliding"])
        assert p.shares[way.ring].max() >= top * (1 - 1e-9)


def test_where_the_last_ring_enters_hardest_the_peak_is_the_check_s():
    hard = MEETING | {"seal__liner__durometer": "90", "insulation__liner_bore": "70.2 mm"}
    p = pushed(**hard)
    assert p.on_chamfer == ()
    assert p.peak == pytest.approx(checked(**hard))
    assert p.peak_at == pytest.approx(p.home - (p.ways[2].home - 1e-3))


@pytest.mark.parametrize("changes", [
    {}, NO_NOSE, MEETING, {"seal__friction": "0.6"}, {"seal__primary__durometer": "90"},
    TWO_ROWS,
])  # fmt: skip
def test_the_peak_is_not_below_the_check_s_for_the_rings_that_are_in(changes):
    """The check counts every ring as sliding while one enters; the curve knows the order.

    So a ring that enters finds only those that are in, and over holes only what presses there.
    """
    p = pushed(**changes)
    for entering in p.ways:
        x = entering.end + entering.chamfer
        same = float(entering.force(x))
        for other in p.ways:
            if other is not entering and other.where(x) == "in":
                same += other.sliding
            elif other is not entering and other.where(x) == "holes":
                away = sum(
                    share_over_holes(other.count, other.outer, other.bore, x - other.end - row)
                    for row in other.rows
                )
                same += other.sliding * (1 - float(away))
        assert p.peak >= same * (1 - 1e-9)
    assert p.peak >= p.force[-1] * (1 - 1e-9)


@pytest.mark.parametrize("changes", [{}, MEETING, TWO_ROWS])
def test_more_friction_or_more_squeeze_never_pushes_easier(changes):
    x = np.linspace(-0.002, 0.04, 300)

    def force(**more):
        return sum(way.force(x) for way in pushed(**changes, **more).ways)

    frictions = [force(seal__friction=f) for f in ("0.05", "0.2", "0.5", "0.9", "1.5")]
    for less, more in pairwise(frictions):
        assert (more >= less - 1e-9).all()
        assert np.isfinite(more).all()
    low, high = (force(seal__primary__groove_diameter=d) for d in ("70.3 mm", "71 mm"))
    assert high.max() > low.max()
    slides = [pushed(**changes, seal__primary__groove_diameter=d) for d in ("70.3 mm", "71 mm")]
    assert slides[1].force[-1] > slides[0].force[-1]


def test_holes_let_go_and_their_edges_are_climbed():
    primary = pushed(**NO_NOSE).ways[0]
    row = primary.end + primary.rows[0]
    slide = primary.sliding
    assert primary.force(row) < 0.75 * slide
    leaving = primary.force(row + np.linspace(0, primary.outer / 2, 50))
    assert leaving.max() > 1.2 * slide
    entering = primary.force(row - np.linspace(0, primary.outer / 2, 50))
    assert entering.max() <= slide * (1 + 1e-9)
    far = primary.force(row + np.array([-1, 1]) * 0.51 * primary.outer)
    assert far == pytest.approx([slide, slide])
    for side in (-1, 1):  # no jump where the holes begin and end
        near = primary.force(row + side * primary.outer / 2 * np.array([0.9999, 1.0001]))
        assert near[0] == pytest.approx(near[1], rel=0.15)


def test_a_ring_crosses_only_what_it_passes():
    p = pushed(**TWO_ROWS)
    assert [len(way.rows) for way in p.ways] == [2, 2, 0]
    assert {m.ring for m in p.marks if m.what == "holes"} == {"primary", "secondary"}
    before = Values({**changed(**NO_NOSE), "seal_secondary_station": 0.003})
    short = push_curve({**before})
    assert short.ways[1].rows == ()
    assert not any(m.what == "holes" and m.ring == "secondary" for m in short.marks)


def test_events_come_in_order_and_are_said():
    p = pushed(**MEETING)
    said = [words for _, _, words in p.spans]
    assert said[0] == "nothing touches yet"
    assert said[1] == "primary enters"
    assert "primary over the holes, secondary enters" in said
    assert "secondary over the holes" in said
    assert "liner ring enters" in said
    assert said[-1] == "primary, secondary and liner ring slide"
    assert p.spans[0][0] == p.x[0]
    assert p.spans[-1][1] == p.home
    middle = (p.spans[1][0] + p.spans[1][1]) / 2
    words, force = p.at(middle)
    assert words == "primary enters"
    assert force == pytest.approx(np.interp(middle, p.x, p.force), rel=0.02)
    assert p.at(p.home + 1) == ("home", pytest.approx(p.force[-1]))
    assert p.at(-1.0) == ("nothing touches yet", 0)


def test_secondary_follows_by_their_distance():
    values = changed()
    primary, secondary, _ = push_curve(values).ways
    apart = float(values["seal_primary_station"] - values["seal_secondary_station"])
    assert secondary.end - primary.end == pytest.approx(apart)


def test_a_chamfer_that_reaches_past_a_ring_at_home_is_told():
    assert pushed().on_chamfer == ("liner",)  # 4 mm of lead-in, the ring 2.7 mm past the mouth
    assert pushed(**MEETING).on_chamfer == ()


def test_without_a_chamfer_the_ring_is_pushed_in_at_once():
    p = pushed(case__lead_in="0 mm", **NO_NOSE)
    values = changed(case__lead_in="0 mm", **NO_NOSE)
    assert p.ways[0].force(0.0) == pytest.approx(values["seal_primary_entering"])
    assert p.ways[0].force(-1e-9) == 0
    assert p.peak >= values["seal_primary_entering"]


def test_a_ring_that_does_not_touch_takes_no_force():
    p = pushed(seal__primary__groove_diameter="68.5 mm")
    assert (p.shares["primary"] == 0).all()
    assert p.shares["secondary"].max() > 0
    assert not any(m.ring == "primary" for m in p.marks)


def test_the_curve_has_about_as_many_points_as_asked_and_they_rise():
    p = push_curve(changed(), 120)
    assert 120 <= len(p.x) <= 200
    assert (np.diff(p.x) > 0).all()
    assert p.force == pytest.approx(sum(p.shares.values()))
    assert p.peak == p.force.max()
    i = int(np.searchsorted(p.x, p.peak_at))
    assert p.force[i] == p.peak


# ---- shapes


def test_the_drawing_is_at_true_scale_and_moves_with_the_primary():
    values = changed()
    d, p = push_drawing(values), push_curve(values)
    tube = d["tube"][0]
    assert min(x for x, _ in tube) == 0
    along = pytest.approx(1e3 * values["case_lead_in"], abs=1e-3)
    assert (along, pytest.approx(d["bore"], abs=1e-3)) in [tuple(q) for q in tube]
    assert d["home"] == pytest.approx(1e3 * p.home)
    (hole,) = d["holes"]
    assert hole["x"] == pytest.approx(14)
    assert hole["to"] - hole["from"] == pytest.approx(6.4)
    closure = np.array(d["closure"][0])
    assert np.ptp(closure[:, 0]) == pytest.approx(48)
    assert closure[:, 1].min() == 0
    assert closure[:, 1].max() == pytest.approx(d["bore"] - 0.04, abs=1e-3)
    # Home, the closure's screws stand under the tube's holes.
    cold = closure[:, 0].min() + d["home"]
    assert cold + 14 == pytest.approx(hole["x"], abs=1e-3)
    primary = d["rings"][0]
    assert primary["name"] == "primary"
    assert len(primary["free"]) == len(primary["squeezed"])
    assert np.mean(np.array(primary["free"])[:, 0]) == pytest.approx(0, abs=0.02)
    assert np.array(primary["squeezed"])[:, 1].max() == pytest.approx(d["bore"], abs=0.01)
    assert np.array(primary["free"])[:, 1].max() > d["bore"] + 0.3
    assert primary["meets"] < primary["in"]


def test_random_designs_give_finite_curves_and_shapes():
    rng = np.random.default_rng(5)
    for values in random_values(rng, 200):
        p = push_curve(values)
        assert np.isfinite(p.x).all()
        assert np.isfinite(p.force).all()
        assert (p.force >= 0).all()
        assert (np.diff(p.x) > 0).all()
        assert p.force[0] == 0
        resting = [way for way in p.ways if way.where(p.home) in ("in", "out")]
        if len(resting) == len(p.ways):
            slides = sum(w.sliding for w in p.ways if w.home >= 0)
            assert p.force[-1] == pytest.approx(slides)
        for _, _, words in p.spans:
            assert words
        d = push_drawing(values)
        lines = [*d["tube"], *d["liner"], *d["closure"]]
        lines += [ring[k] for ring in d["rings"] for k in ("free", "squeezed")]
        for line in lines:
            assert np.isfinite(line).all()
            assert np.min(np.array(line)[:, 1]) >= 0
