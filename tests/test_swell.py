"""The swollen section: its shapes move as elastic theory has the parts move, and nothing else."""

import attrs
import numpy as np
import pytest
from hypothesis import given, settings

from hobbyclosure import drawing, study, swell
from hobbyclosure.assess import Assessment
from hobbyclosure.physics.plate import rim_rotation
from hobbyclosure.physics.sharing import slip_at_yield
from hobbyclosure.physics.vessel import bore_growth, end_force
from tests.designs import DEMO, DESIGNS, demo

VALUES = Assessment(DEMO).inputs
P = 7e6


def first_rung(found: Assessment) -> float:
    """Pressure at which something first lets go; nan where nothing has an answer."""
    rungs = [r.pressure for r in study.ladder(found) if r.check and r.pressure == r.pressure]
    return rungs[0] if rungs else np.nan


def points(picture: drawing.Drawing, name: str) -> np.ndarray:
    return np.concatenate([shape.points for shape in picture.named(name)])


def test_without_pressure_nothing_moves():
    still, swollen = drawing.section(VALUES), swell.swollen(VALUES, 0.0, 200)
    assert len(still.shapes) == len(swollen.shapes)
    assert all(a.placed_as(b) for a, b in zip(still.shapes, swollen.shapes, strict=True))
    barely = swell.swollen(VALUES, 1.0, 1.0)
    for part in ("case", "closure", "screw"):
        a, b = (
            np.concatenate([s.points for s in d.shapes if s.part == part]) for d in (still, barely)
        )
        assert b.min(0) == pytest.approx(a.min(0), abs=1e-3)
        assert b.max(0) == pytest.approx(a.max(0), abs=1e-3)


def test_the_bore_far_from_its_end_grows_as_a_long_tube_does():
    moved, factor = swell.swollen(VALUES, P, 50), 50
    r_i, t = VALUES["case_bore"] / 2, VALUES["case_wall"]
    grown = bore_growth(P, r_i, r_i + t, VALUES["case_E"], VALUES["case_nu"])
    bore = points(moved, "tube edge")
    far = bore[(bore[:, 1] > 0) & (bore[:, 0] > 0.8 * bore[:, 0].max())]
    inner = far[far[:, 1] < 1e3 * (r_i + t / 2 + factor * grown)]
    assert len(inner) > 2
    assert inner[:, 1] == pytest.approx(
        1e3 * (r_i + factor * grown), abs=0.02 * 1e3 * factor * grown
    )


def test_the_free_end_bears_no_moment_and_no_shear():
    found = swell.Swelling(VALUES)
    h = 0.05 / found.beta
    x = found.z.x_tube + h * np.arange(5)
    w = found.swell(x)
    moment = (2 * w[0] - 5 * w[1] + 4 * w[2] - w[3]) / (h * found.beta) ** 2
    shear = np.dot([-2.5, 9, -12, 7, -1.5], w) / (h * found.beta) ** 3
    assert abs(moment) < 0.02 * found.growth
    assert abs(shear) < 0.05 * found.growth


def test_the_tube_grows_less_where_the_seal_sits_than_far_from_its_end():
    found = swell.Swelling(VALUES)
    ring = found.z.rings["primary"][0]
    assert found.swell(found.z.x_tube) < 0.2 * found.growth
    assert 0.3 < found.swell(ring) / found.growth < 0.7
    assert found.swell(found.z.x_end) == pytest.approx(found.growth, rel=0.02)


@pytest.mark.parametrize("hole", ["0 mm", "24 mm"])
def test_the_plate_bows_with_the_slope_of_its_theory_at_the_rim(hole):
    v = demo(closure__centre_hole=hole).inputs
    a, step = v["case_bore"] / 2, 1e-5
    found = swell.Swelling(v)
    slope = found.bow(1e3 * (a - step)) / (1e3 * step)
    wanted = rim_rotation(
        1.0, a, v["closure_centre_hole"] / 2, v["closure_plate"], v["closure_E"], v["closure_nu"]
    )
    assert slope == pytest.approx(wanted, rel=1e-3)
    radii = np.linspace(0, 1e3 * a, 40)
    assert np.all(np.diff(found.bow(radii)) <= 0)
    assert found.bow(1e3 * a) == pytest.approx(0, abs=1e-12)


def test_the_closure_slips_out_by_what_one_screw_gives():
    v = VALUES
    load = end_force(P, v["case_bore"]) / (v["screw_count"] * v["screw_rows"])
    slip = 1e3 * slip_at_yield(load, v["screw_d"], v["case_E"])
    before, after = (points(swell.swollen(v, p, 10), "closure") for p in (0.0, P))
    rim = before[:, 1] > 0.99 * before[:, 1].max()
    cold = before[rim, 0].min() - after[after[:, 1] > 0.99 * after[:, 1].max(), 0].min()
    assert cold == pytest.approx(10 * slip, rel=0.02)


def test_a_screw_leaves_with_the_closure_at_its_tip_and_stays_in_the_wall_at_its_head():
    found = swell.Swelling(VALUES)
    z = found.z
    tip, seat, top = found.screw(np.array([(z.x_screws[0], y) for y in (z.tip, z.R_o, z.top)]))
    assert tip[0] == pytest.approx(-found.slip, rel=0.02)
    assert seat[0] == pytest.approx(0, abs=1e-3 * found.slip)
    assert top[0] > 0
    left, right = found.screw(np.array([(z.x_screws[0] + q, z.top) for q in (-2, 2)]))
    assert left[1] > 0 > right[1]


def test_everything_moves_in_proportion_to_pressure():
    once, twice = (swell.swollen(VALUES, p, 50) for p in (P / 2, P))
    still = swell.swollen(VALUES, 1e-9, 50)
    for a, b, c in zip(once.shapes, twice.shapes, still.shapes, strict=True):
        assert b.points - c.points == pytest.approx(2 * (a.points - c.points), abs=1e-9)


def test_names_point_at_the_parts_where_they_have_gone():
    before = {n.text: n.target for n in drawing.section(VALUES).names}
    after = {n.text: n.target for n in swell.swollen(VALUES, P, 50).names}
    assert after["plug"][0] < before["plug"][0]
    assert after["primary"][0] < before["primary"][0]
    assert after["liner"][1] > before["liner"][1]


def test_the_first_rung_is_drawn_in_sight_by_a_plain_factor():
    found = Assessment(DEMO)
    p = first_rung(found)
    factor = swell.exaggeration(VALUES, p)
    assert factor / 10 ** np.floor(np.log10(factor)) in (1, 2, 5)
    farthest = factor * p * swell.Swelling(VALUES).most / swell.Swelling(VALUES).z.D
    assert swell.REACH / 1.6 < farthest < swell.REACH * 1.6


def test_a_material_without_a_modulus_moves_nothing_and_is_still_drawn():
    v = {**VALUES, "case_E": np.nan, "closure_E": np.nan}
    assert swell.exaggeration(v, P) == 1
    for shape in swell.swollen(v, P, 50).shapes:
        assert np.all(np.isfinite(shape.points)), shape.name


@settings(deadline=None, max_examples=100)
@given(DESIGNS)
def test_any_design_swells_within_the_picture(design):
    found = Assessment(design)
    v, p = found.inputs, first_rung(found)
    factor = swell.exaggeration(v, p)
    assert np.isfinite(factor)
    assert factor > 0
    swollen, still = swell.swollen(v, p, factor), drawing.section(v)
    reach = 2 * swell.REACH * 1e3 * v["case_bore"]
    for moved, shape in zip(swollen.shapes, still.shapes, strict=True):
        assert np.all(np.isfinite(moved.points)), shape.name
        assert attrs.evolve(moved, points=shape.points).placed_as(shape)
        if shape.part != "screw":  # a head may tilt out farther than the closure slips
            assert np.abs(moved.points.max(0) - shape.points.max(0)).max() < reach
