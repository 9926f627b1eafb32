"""Screw threads against printed limits of size.

ISO 965 and ASME B1.13M (metric 6g, 6H), ASME B1.1 (unified 2A, 2B), ISO 273: seen as stored trade
tables, tap makers' catalogues and an open CAD parts library that quote them, not the standards.
The unified limits are also worked out here from the formulas of ASME B1.1 as a stored page gives
them. What is known from memory only is in test_from_memory_data.py.
"""

import pytest

from hobbyclosure.data import RINGS, THREADS

INCH = 0.0254


@pytest.mark.parametrize(
    ("thread", "printed"),
    [  # mm; d max, min, d2 max, min, 6g; stored trade table of ASME B1.13M, seen
        ("M3", (2.980, 2.874, 2.655, 2.580)),
        ("M4", (3.978, 3.838, 3.523, 3.433)),
        ("M5", (4.976, 4.826, 4.456, 4.361)),
        ("M6", (5.974, 5.794, 5.324, 5.212)),
        ("M8", (7.972, 7.760, 7.160, 7.042)),
        ("M10", (9.968, 9.732, 8.994, 8.862)),
    ],
)
def test_external_metric_limits_are_those_of_6g(thread, printed):
    row = THREADS[thread]
    found = row.d_max, row.d_min, row.d2_max, row.d2_min
    assert found == pytest.approx([size * 1e-3 for size in printed], rel=1e-9)


@pytest.mark.parametrize(
    ("thread", "printed"),
    [  # mm; D2 min, max, D1 min, 6H; stored tap maker's catalogue, seen
        ("M3", (2.675, 2.775, 2.459)),
        ("M4", (3.545, 3.663, 3.242)),
        ("M5", (4.480, 4.605, 4.134)),
        ("M6", (5.350, 5.500, 4.917)),
        ("M8", (7.188, 7.348, 6.647)),
        ("M10", (9.026, 9.206, 8.376)),
        ("M12", (10.863, 11.063, 10.106)),
    ],
)
def test_internal_metric_limits_are_those_of_6h(thread, printed):
    row = THREADS[thread]
    found = row.D2_min, row.D2_max, row.D1_min
    assert found == pytest.approx([size * 1e-3 for size in printed], rel=1e-9)


@pytest.mark.parametrize(("thread", "printed"), [("M10", 8.676), ("M12", 10.441)])
def test_largest_minor_diameter_is_that_of_6h(thread, printed):
    # ASME B1.13M-1995, 6H; stored trade table, seen
    assert THREADS[thread].D1_max == pytest.approx(printed * 1e-3, rel=1e-9)


@pytest.mark.parametrize(
    ("thread", "printed"),
    [  # in; D2 max, min, D1 max, min, 2B; stored trade table of coarse threads, seen
        ("#8-32", (0.1475, 0.1437, 0.1390, 0.1300)),
        ("#10-24", (0.1672, 0.1629, 0.1560, 0.1450)),
        ("1/4-20", (0.2224, 0.2175, 0.2070, 0.1960)),
        ("5/16-18", (0.2817, 0.2764, 0.2650, 0.2520)),
    ],
)
def test_internal_coarse_unified_limits_are_those_of_2b(thread, printed):
    row = THREADS[thread]
    found = row.D2_max, row.D2_min, row.D1_max, row.D1_min
    assert found == pytest.approx([size * INCH for size in printed], rel=1e-9)


@pytest.mark.parametrize(
    ("thread", "printed"),
    [  # in; D2 min, max, 2B; stored tap maker's catalogue, seen
        ("#10-32", (0.1697, 0.1736)),
        ("1/4-28", (0.2268, 0.2311)),
        ("5/16-24", (0.2854, 0.2902)),
    ],
)
def test_internal_fine_unified_pitch_diameters_are_those_of_2b(thread, printed):
    row = THREADS[thread]
    found = row.D2_min, row.D2_max
    assert found == pytest.approx([size * INCH for size in printed], rel=1e-9)


@pytest.mark.parametrize(
    ("thread", "printed"),
    [  # in; d max, min, 2A, D1 min, max, 2B; stored shop chart, seen
        ("#8-32", (0.1631, 0.1571, 0.130, 0.139)),
        ("#10-24", (0.1890, 0.1818, 0.145, 0.156)),
        ("#10-32", (0.1891, 0.1831, 0.156, 0.164)),
    ],
)
def test_small_unified_crests_are_those_of_2a_and_2b(thread, printed):
    row = THREADS[thread]
    found = row.d_max, row.d_min, row.D1_min, row.D1_max
    assert found == pytest.approx([size * INCH for size in printed], rel=1e-9)


def test_quarter_inch_external_limits_are_those_of_2a():
    # ASME B1.1, 1/4-20 2A: .2489 .2408 .2164 .2127; worked example on a stored page, seen
    row = THREADS["1/4-20"]
    found = row.d_max, row.d_min, row.d2_max, row.d2_min
    assert found == pytest.approx([x * INCH for x in (0.2489, 0.2408, 0.2164, 0.2127)], rel=1e-9)


@pytest.mark.parametrize(
    "thread", ["#8-32", "#10-24", "#10-32", "1/4-20", "1/4-28", "5/16-18", "5/16-24"]
)
def test_unified_limits_follow_the_formulas_of_asme_b1_1(thread):
    # Formulas as given on a stored page, seen: Td2 = .0015 D^1/3 + .0015 LE^1/2 + .015 P^2/3,
    # allowance .3 Td2, major tolerance .060 P^2/3, Td2 of 2B 1.3 Td2, minor .25 P - .4 P²
    row = THREADS[thread]
    D, P = row.d / INCH, row.P / INCH
    tolerance = 0.0015 * D ** (1 / 3) + 0.0015 * D**0.5 + 0.015 * P ** (2 / 3)
    major, pitch, minor = D - 0.3 * tolerance, D - 0.649519 * P, D - 1.082532 * P
    expected = {
        "d_max": major,
        "d_min": major - 0.060 * P ** (2 / 3),
        "d2_max": pitch - 0.3 * tolerance,
        "d2_min": pitch - 1.3 * tolerance,
        "D2_min": pitch,
        "D2_max": pitch + 1.3 * tolerance,
    }
    found = {name: getattr(row, name) / INCH for name in expected}
    # each printed limit adds numbers that were rounded to four decimals before
    assert found == pytest.approx(expected, abs=1.2e-4)
    # minor diameters are printed to three decimals in these sizes
    assert row.D1_min / INCH == pytest.approx(minor, abs=5.1e-4)
    assert row.D1_max / INCH == pytest.approx(minor + 0.25 * P - 0.4 * P**2, abs=1.5e-3)


@pytest.mark.parametrize(
    "thread", [name for name, row in THREADS.items() if row.series == "metric"]
)
def test_metric_basic_sizes_follow_iso_724(thread):
    # ISO 724: D2 = d - .649519 P, D1 = d - 1.082532 P; formulas of a stored thread library, seen
    row = THREADS[thread]
    assert row.D2_min == pytest.approx(row.d - 0.649519 * row.P, abs=0.6e-6)
    assert row.D1_min == pytest.approx(row.d - 1.082532 * row.P, abs=0.6e-6)


@pytest.mark.parametrize(
    ("thread", "printed"),
    [  # mm; ISO 273 close, normal, loose; open CAD parts library, seen
        ("M3", (3.2, 3.4, 3.6)), ("M4", (4.3, 4.5, 4.8)), ("M5", (5.3, 5.5, 5.8)),
        ("M6", (6.4, 6.6, 7.0)), ("M8", (8.4, 9.0, 10.0)), ("M10", (10.5, 11.0, 12.0)),
        ("M12", (13.0, 14.0, 15.0)),
    ],
)  # fmt: skip
def test_clearance_holes_are_those_of_iso_273(thread, printed):
    row = THREADS[thread]
    found = row.hole_close, row.hole_normal, row.hole_loose
    assert found == pytest.approx([size * 1e-3 for size in printed], rel=1e-9)


@pytest.mark.parametrize(
    ("thread", "printed"),
    [("M3", 2.5), ("M4", 3.3), ("M5", 4.2), ("M6", 5.0), ("M8", 6.8), ("M10", 8.5), ("M12", 10.2)],
)
def test_tap_drills_are_the_usual_ones(thread, printed):
    # two stored metric thread charts, seen
    assert THREADS[thread].tap_drill == pytest.approx(printed * 1e-3, rel=1e-9)


@pytest.mark.parametrize(
    ("dash", "inside", "section"),
    [  # mm; ISO 3601-1 class A, open CAD parts library, seen: 228 is 56.74 x 3.53
        ("228", 56.74, 3.53),
    ],
)
def test_rings_have_their_printed_size(dash, inside, section):
    ring = RINGS[dash]
    assert (ring.id, ring.cs) == pytest.approx((inside * 1e-3, section * 1e-3), abs=1.3e-5)
