"""EN 1993-1-8:2005, table 3.4: shear of a bolt and bearing of its hole, through worked examples.

Steel Buildings in Europe (ArcelorMittal, Peiner Träger, Corus; CTICM and SCI):
SSB05, Single-Storey Steel Buildings, part 5, Detailed Design of Trusses, appendix B (truss node
with gusset), pages 5-83, 5-88, 5-101, 5-104, 5-112;
MSB05, Multi-Storey Steel Buildings, part 5, Joint Design, worked examples, pages 5-17 (end plate),
5-41 (fin plate), 5-96 and 5-100 (column splice).
Seen: the text of these pages. The printed resistances are divided by the partial factor of the
example (1.25, or 1.1 for tying), which our functions leave out.
"""

import pytest

from hobbyclosure.physics.joint import bearing_strength_en, screw_shear_capacity_shank
from hobbyclosure.physics.joint import screw_shear_capacity_threads as threads
from hobbyclosure.units import Q
from tests.support import published, rounds_to

TRUSS = "EN 1993-1-8 table 3.4, Steel Buildings in Europe SSB05, appendix B, "
JOINT = "EN 1993-1-8 table 3.4, Steel Buildings in Europe MSB05, "


@published(bearing_strength_en, TRUSS + "tables B.11 and B.16, M24 10.9 in S355; seen")
@pytest.mark.parametrize(
    ("e", "printed"),
    [("33 mm", "111.85 kN"), ("54 mm", "183.04 kN"), ("80 mm", "264.38 kN")],
)
def test_bearing_with_the_pitch_across_governing(e, printed):
    f_b = bearing_strength_en(Q(e), Q("65 mm"), Q("26 mm"), Q("510 MPa"), Q("1000 MPa"))
    assert rounds_to(f_b * Q("24 mm") * Q("15 mm") / 1.25, printed)


@published(bearing_strength_en, JOINT + "page 5-41, M20 8.8 in S275; seen")
def test_bearing_of_a_fin_plate():
    f_b = bearing_strength_en(Q("40 mm"), Q("60 mm"), Q("22 mm"), Q("430 MPa"), Q("800 MPa"))
    # The example goes on with k_1 = 2.12 and α_b = 0.61, both rounded up: 0.8 % together.
    found = (f_b * Q("20 mm") * Q("10 mm") / 1.25).to("kN").magnitude
    assert found == pytest.approx(89, rel=0.009)


@published(bearing_strength_en, JOINT + "page 5-100, inner bolts, M20 8.8 in S275; seen")
def test_bearing_with_pitch_and_end_far_away():
    # α_b is 1 there because the next bolt is 160 mm away along the load.
    f_b = bearing_strength_en(Q("160 mm"), Q("150 mm"), Q("22 mm"), Q("430 MPa"), Q("800 MPa"))
    assert rounds_to(f_b * Q("20 mm") * Q("12 mm") / 1.1, "235 kN")


def test_a_screw_weaker_than_the_plate_lowers_its_bearing():
    strong, weak = (bearing_strength_en(0.1, 0.1, 0.005, 500e6, f_ub) for f_ub in (500e6, 400e6))
    assert weak / strong == pytest.approx(0.8)


@published(threads, JOINT + "page 5-17, M20 8.8; seen")
def test_shear_with_threads_in_the_plane_8_8():
    assert rounds_to(threads(0.6, Q("800 MPa"), Q("245 mm**2")) / 1.25, "94 kN")


@published(threads, TRUSS + "page 5-101, M24 10.9; seen")
def test_shear_with_threads_in_the_plane_10_9():
    # Its own numbers give 141.2 kN, not the printed 141.12.
    found = (threads(0.5, Q("1000 MPa"), Q("353 mm**2")) / 1.25).to("kN").magnitude
    assert found == pytest.approx(141.12, rel=1e-3)


@published(
    screw_shear_capacity_shank,
    "EN 1993-1-8 table 3.4: α_v 0.6 on the gross area; public design guide page, seen as formula",
)
def test_shear_of_the_shank_is_six_tenths_of_its_strength_on_the_gross_area():
    capacity = screw_shear_capacity_shank(Q("800 MPa"), Q("20 mm"))
    gross = Q("314.159 mm**2")  # printed beside M20 in a stored calculation sheet, seen
    assert rounds_to(capacity / gross, "480.00 MPa")
