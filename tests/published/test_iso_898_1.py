"""ISO 898-1, Mechanical properties of fasteners made of carbon steel and alloy steel.

Coarse threads: nominal stress area and minimum ultimate tensile load. Seen: a stored copy of both
tables, not the standard itself; edition not stated there. One stored copy misprints the load of M4
in class 10.9, so that row is left out.
"""

import numpy as np
import pytest

from hobbyclosure.physics.thread import minor_diameter, pitch_diameter, stress_area
from hobbyclosure.units import Q
from tests.support import published, rounds_to

PITCH = {3: 0.5, 4: 0.7, 5: 0.8, 6: 1, 8: 1.25, 10: 1.5, 12: 1.75, 20: 2.5, 30: 3.5}  # ISO 261


@published(stress_area, "ISO 898-1, coarse threads, nominal stress area; stored copy, seen")
@pytest.mark.parametrize(
    ("d", "printed"),
    [
        (3, "5.03 mm**2"),
        (4, "8.78 mm**2"),
        (5, "14.2 mm**2"),
        (6, "20.1 mm**2"),
        (8, "36.6 mm**2"),
        (10, "58.0 mm**2"),
        (12, "84.3 mm**2"),
        (20, "245 mm**2"),
        (30, "561 mm**2"),
    ],
)
def test_stress_area_rounds_to_the_printed_value(d, printed):
    assert rounds_to(stress_area(Q(d, "mm"), Q(PITCH[d], "mm")), printed)


@published(stress_area, "ISO 898-1, minimum ultimate tensile loads; stored copy, seen")
@pytest.mark.parametrize(
    ("d", "loads"),
    [
        (3, (4020, 5230, 6140)),
        (5, (11350, 14800, 17300)),
        (6, (16100, 20900, 24500)),
        (10, (46400, 60300, 70800)),
        (12, (67400, 87700, 103000)),
        (20, (203000, 255000, 299000)),
        (30, (466000, 583000, 684000)),
    ],
)
def test_area_times_strength_gives_the_minimum_ultimate_loads(d, loads):
    # The standard multiplies the area rounded to three digits: 0.25 % at most, and rounds again.
    strengths = np.array([830 if d > 16 else 800, 1040, 1220])
    found = stress_area(Q(d, "mm"), Q(PITCH[d], "mm")) * Q(strengths, "MPa")
    assert np.allclose(found.to("N").magnitude, loads, rtol=0.004)


@published(
    (pitch_diameter, minor_diameter),
    "ISO 724 and DIN 13-19 basic diameters of M10; public thread calculator's page, seen",
)
def test_pitch_and_root_diameter_of_m10():
    d, P = Q("10 mm"), Q("1.5 mm")
    assert rounds_to(pitch_diameter(d, P), "9.026 mm")
    assert rounds_to(minor_diameter(d, P), "8.160 mm")


@published(
    (pitch_diameter, minor_diameter),
    "University of Stavanger, standard metric bolt dimensions, pitch diameter and minor area; seen",
)
@pytest.mark.parametrize(
    ("d", "d_2", "minor_area"),
    [
        (4, "3.5453 mm", "7.7496 mm**2"),
        (12, "10.863 mm", "76.247 mm**2"),
        (30, "27.727 mm", "518.99 mm**2"),
    ],
)
def test_pitch_diameter_and_minor_area(d, d_2, minor_area):
    d, P = Q(d, "mm"), Q(PITCH[d], "mm")
    assert rounds_to(pitch_diameter(d, P), d_2)
    assert rounds_to(np.pi / 4 * minor_diameter(d, P) ** 2, minor_area)
