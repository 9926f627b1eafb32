"""MIL-HDBK-5J, Metallic Materials and Elements for Aerospace Vehicle Structures, 2003.

Bearing allowables of 6061-T6 at edge distance ratios 1.5 and 2.0, read in a stored digitised copy:
table 3.6.2.0(c1) drawn tube 67/88 and 49/56 ksi; (b2) plate 0.250-2.000 in 67/88 and 50/58 ksi;
(g) extrusion up to 1 in 64/82 and 54/60 ksi. The handbook prints the two ends; that the form is
straight between them is common practice, no source.
"""

import pytest

from hobbyclosure import data
from hobbyclosure.physics.joint import bearing_strength_at
from hobbyclosure.units import Q
from tests.support import published, rounds_to

D_H = Q("6.5 mm")
ROWS = [
    ("6061-T6-drawn-tube", "bru", "67 ksi", "88 ksi"),
    ("6061-T6-drawn-tube", "bry", "49 ksi", "56 ksi"),
    ("6061-T651-plate", "bry", "50 ksi", "58 ksi"),
    ("6061-T6-extrusion", "bru", "64 ksi", "82 ksi"),
    ("6061-T6-extrusion", "bry", "54 ksi", "60 ksi"),
]


@published(bearing_strength_at, "MIL-HDBK-5J, tables 3.6.2.0(b2), (c1), (g); digitised copy, seen")
@pytest.mark.parametrize(("row", "kind", "at_15", "at_20"), ROWS)
def test_the_form_gives_the_printed_allowables_at_both_ratios(row, kind, at_15, at_20):
    low, high = (data.MATERIALS[row].value(f"F_{kind}_{x}") for x in ("15", "20"))
    for ratio, printed in ((1.5, at_15), (2.0, at_20), (2.4, at_20)):
        found = bearing_strength_at(ratio * D_H, D_H, Q(low, "Pa"), Q(high, "Pa"))
        assert rounds_to(found.to("ksi"), printed)


def test_between_the_two_ratios_it_is_straight_and_below_it_falls_to_nothing():
    def at(ratio):
        return float(bearing_strength_at(ratio * 6.5e-3, 6.5e-3, 300e6, 400e6))

    assert at(1.75) == pytest.approx(350e6)
    assert at(1.2) == pytest.approx(240e6)
    assert at(1e-9) == pytest.approx(0, abs=1)
