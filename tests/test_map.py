"""The map of wall and screws says at each place what assessing the design there says."""

import numpy as np
import pytest

from app.session import Shown
from app.views import axis as axes
from app.views.map import wall_by_count
from app.views.told import Scene
from hobbyclosure import study
from hobbyclosure.assess import CLOSE, Assessment
from hobbyclosure.design import Design, DesignError
from hobbyclosure.graph import CHECKS
from tests.designs import DEMO

PATHS = ("case.wall", "screw.count")


def scene(design: Design = DEMO, kept: Design | None = None) -> Scene:
    both = {PATHS[0]: axes.wall_axis(design, "metric"), PATHS[1]: axes.count_axis(design)}
    return Scene(Shown(design), "metric", both, [], [], 2e7, kept=Shown(kept) if kept else None)


def ranked(a: Assessment) -> dict[str, float]:
    """Checks that count by factor over required, without rules of geometry that are kept well."""
    found = {c: a.ratios[c] for c in a.counted}
    return {c: r for c, r in found.items() if CHECKS[c].basis or r < CLOSE}


def test_every_place_is_the_worst_check_of_the_design_there():
    found = scene()
    drawn, xs = wall_by_count(found), found.axes["case.wall"].grid[::2]
    compared = 0
    for i, count in enumerate(drawn["ys"]):
        for j in range(i % 7, len(xs), 7):
            try:
                there = Assessment(DEMO.evolved({PATHS[0]: float(xs[j]), PATHS[1]: count}))
            except DesignError:
                continue
            ratios = ranked(there)
            worst = min(ratios, key=lambda c: ratios[c])
            assert drawn["worst"][i][j] == pytest.approx(1000 * ratios[worst], abs=0.51)
            assert drawn["names"][drawn["which"][i][j]] == CHECKS[worst].label
            compared += 1
    assert compared > 100


def test_it_is_the_worst_of_all_but_for_geometry_that_is_kept_well():
    xs, ys = np.linspace(1e-3, 6e-3, 9), np.arange(6.0, 20)
    values = Assessment(DEMO).inputs
    worst, checks, which = study.governing_map(values, PATHS[0], xs, PATHS[1], ys)
    of_all = study.worst_map(values, PATHS[0], xs, PATHS[1], ys)
    near = of_all < CLOSE
    assert near.any()
    assert worst[near] == pytest.approx(of_all[near])
    assert np.all(worst >= of_all)
    assert np.all((worst >= 1) == (of_all >= 1))
    assert which.shape == worst.shape
    assert which.max() < len(checks)


def test_a_check_without_an_answer_is_the_one_named():
    values = Assessment(DEMO).inputs | {"case_F_ty": np.nan}
    xs, ys = np.linspace(1e-3, 6e-3, 5), np.arange(6.0, 10)
    worst, checks, which = study.governing_map(values, PATHS[0], xs, PATHS[1], ys)
    assert np.all(np.isnan(worst))
    alone = {c.id: r for c, r in ((r.check, r.ratio) for r in study.results(values))}
    assert all(np.isnan(alone[checks[i].id]) for i in set(which.ravel().tolist()))


def test_the_design_and_the_kept_one_have_their_places_while_they_are_on_the_axes():
    drawn = wall_by_count(scene(kept=DEMO.evolved({"screw.count": "12"})))
    assert drawn["at"] == {"x": pytest.approx(3.175), "y": 14}
    assert drawn["kept"] == {"x": pytest.approx(3.175), "y": 12}
    assert drawn["now"] == pytest.approx(1000 * min(ranked(Assessment(DEMO)).values()), abs=0.51)
    far = wall_by_count(scene(kept=DEMO.evolved({"screw.count": "30", "case.wall": "6 mm"})))
    assert far["kept"] is None
