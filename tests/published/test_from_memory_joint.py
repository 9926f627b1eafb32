"""Bearing allowables as remembered: no evidence, only a guard against slips.

MIL-HDBK-5J, table 3.6.2.0, 6061-T6 extrusion, F_bru 61 and 80 ksi at e/D 1.5 and 2.0, and the
handbook's rule to interpolate between the two: from memory, the table was not seen.
"""

import pytest

from hobbyclosure.physics.joint import bearing_strength_at


@pytest.mark.parametrize(
    ("ratio", "known"),
    [(1.2, 48.8), (1.5, 61.0), (1.52, 61.76), (1.75, 70.5), (2.0, 80.0), (3.0, 80.0)],
)
def test_bearing_allowable_of_6061_t6_over_the_edge_distance(ratio, known):
    assert bearing_strength_at(ratio * 5.3, 5.3, 61.0, 80.0) == pytest.approx(known)
