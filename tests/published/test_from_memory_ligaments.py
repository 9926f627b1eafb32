"""Rules for metal between holes and for countersinks, from memory: they earn no evidence.

ASME VIII-1 UG-42(b): centres of openings at least 1 1/3 times their mean diameter apart.
EN 1993-1-8:2005, Table 3.3: e_1 ≥ 1.2 d_0; Table 3.4, note: thickness of a plate with countersunk
screws counts less half the depth of the countersink. Two thirds of the wall for a countersink and
half the diameter of a port to a groove: common practice, no source.
"""

import pytest

from hobbyclosure.physics.land import least_ligament, metal_between_holes
from tests.designs import bench as demo


@pytest.mark.parametrize(("d_1", "d_2"), [(20e-3, 10.29e-3), (12e-3, 12e-3)])
def test_centres_one_and_a_third_mean_diameters_apart_leave_just_enough(d_1, d_2):
    centres = 4 / 3 * (d_1 + d_2) / 2
    assert metal_between_holes(centres, d_1, d_2) == pytest.approx(least_ligament(d_1, d_2))


def test_hole_to_groove_is_the_least_end_distance():
    found = demo(closure__screw_station=f"{25.3 - 1.2 * 6 - 0.1:.4f} mm")  # e = 1.2 d at worst
    assert float(found.ratios["closure.land.screw_secondary"]) == pytest.approx(1, abs=1e-6)


def test_half_a_countersink_is_lost_to_bearing():
    flush, plain = demo(screw__head="countersunk", case__wall="6 mm"), demo(case__wall="6 mm")
    lost = plain.values["case_bearing_length"] - flush.values["case_bearing_length"]
    assert float(lost) == pytest.approx(3.72e-3 / 2)
