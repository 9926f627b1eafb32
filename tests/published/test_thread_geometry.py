"""Areas that strip, and unified threads.

Bickford, Introduction to the Design and Behavior of Bolted Joints, 4th ed.: metric thread
stress and shear areas. Seen: a public page that reprints the table. The limits of size put in
(ISO 965-1, 6H/6g): external ones seen in an open thread table, internal ones from memory; that the
printed areas come out to five digits confirms both.
NSTS 08307 rev. A, Criteria for Preloaded Bolts, NASA, page A-5: the older form of the same
areas in FED-STD-H28. Seen: quoted in public code, not the document.
Machinery's Handbook, 24th ed., formula 1 for length of engagement. Seen: a page paraphrasing it.
Shigley, Mechanical Engineering Design, 9th ed., table 8-2 (ANSI B1.1-1974). Seen: a stored copy.
"""

import numpy as np
import pytest

from hobbyclosure.physics.thread import (
    external_strip_area,
    internal_strip_area,
    minor_diameter,
    pitch_diameter,
    stress_area,
    unified_minor_diameter,
    unified_stress_area,
)
from hobbyclosure.units import Q
from tests.support import published, rounds_to

BICKFORD = "Bickford, Bolted Joints, 4th ed., metric thread stress and shear areas; reprint, seen"


@published((external_strip_area, internal_strip_area, stress_area), BICKFORD)
@pytest.mark.parametrize(
    ("d", "P", "D1_max", "d2_min", "d_min", "D2_max", "tension", "bolt", "nut"),
    [
        (5, 0.8, 4.334, 4.361, 4.826, 4.605, "14.183 mm**2", "35.366 mm**2", "49.994 mm**2"),
        (6, 1, 5.153, 5.212, 5.794, 5.500, "20.123 mm**2", "51.875 mm**2", "73.145 mm**2"),
        (30, 3.5, 26.771, 27.462, 29.522, 28.007, "560.59 mm**2", "1549.2 mm**2", "2086.5 mm**2"),
    ],
)
def test_strip_areas_over_one_diameter(d, P, D1_max, d2_min, d_min, D2_max, tension, bolt, nut):
    d, P, D1_max, d2_min, d_min, D2_max = Q((d, P, D1_max, d2_min, d_min, D2_max), "mm")
    assert rounds_to(stress_area(d, P), tension)
    assert rounds_to(external_strip_area(P, D1_max, d2_min) * d, bolt)
    assert rounds_to(internal_strip_area(P, d_min, D2_max) * d, nut)


@published(
    (external_strip_area, internal_strip_area),
    "NSTS 08307 rev. A, page A-5 (from FED-STD-H28); quoted in public code, seen",
)
def test_strip_areas_equal_the_form_written_in_tolerances():
    n, d, L = 20.0, 0.25, 1.0  # 1/4-20, tolerances and allowance invented
    TK, TE_e, TD, TE_i, G = 0.0108, 0.0037, 0.0081, 0.0048, 0.0011
    d_2, D_1 = d - 0.649519 / n, d - 1.082532 / n
    K_max, D_min = D_1 + TK, d - G - TD
    bolt = np.pi * L * K_max * (0.750 - 0.57735 * n * (TK + TE_e + G))
    nut = np.pi * L * D_min * (0.875 - 0.57735 * n * (TD + TE_i + G))
    assert external_strip_area(1 / n, K_max, d_2 - G - TE_e) == pytest.approx(bolt, rel=1e-4)
    assert internal_strip_area(1 / n, D_min, d_2 + TE_i) == pytest.approx(nut, rel=1e-4)


@published(
    external_strip_area,
    "Machinery's Handbook, 24th ed., formula 1 for length of engagement; paraphrase, seen",
)
def test_length_of_engagement_strips_at_twice_the_tensile_area():
    n, K_max, E_min = 20.0, 0.2067, 0.2127  # 1/4-20 UNC 2A/2B, inches
    A_t = unified_stress_area(0.25, 1 / n)
    L_e = 2 * A_t / (3.1416 * K_max * (0.5 + 0.57735 * n * (E_min - K_max)))
    assert external_strip_area(1 / n, K_max, E_min) * L_e == pytest.approx(2 * A_t, rel=1e-4)


@published(
    (unified_stress_area, unified_minor_diameter),
    "Shigley, Mechanical Engineering Design, 9th ed., table 8-2; stored copy, seen",
)
@pytest.mark.parametrize(
    ("d", "n", "A_t", "A_r"),
    [
        (0.1640, 32, "0.0140 in**2", "0.01196 in**2"),
        (0.1900, 24, "0.0175 in**2", "0.01450 in**2"),
        (0.1900, 32, "0.0200 in**2", "0.0175 in**2"),
        (0.2500, 20, "0.0318 in**2", "0.0269 in**2"),
        (0.2500, 28, "0.0364 in**2", "0.0326 in**2"),
        (0.3125, 18, "0.0524 in**2", "0.0454 in**2"),
    ],
)
def test_unified_areas_round_to_the_printed_values(d, n, A_t, A_r):
    d, P = Q(d, "in"), Q(1 / n, "in")
    assert rounds_to(unified_stress_area(d, P), A_t)
    assert rounds_to(np.pi / 4 * unified_minor_diameter(d, P) ** 2, A_r)


def test_unified_stress_area_is_the_form_with_0_9743():
    d, n = 0.25, np.array([20, 28])
    known = np.pi / 4 * (d - 0.9743 / n) ** 2
    assert unified_stress_area(d, 1 / n) == pytest.approx(known, rel=2e-5)


def test_root_of_a_metric_screw_is_larger_than_the_flat_root_of_the_same_pitch():
    assert minor_diameter(6.0, 1.0) > unified_minor_diameter(6.0, 1.0)
    assert pitch_diameter(6.0, 1.0) > minor_diameter(6.0, 1.0)
