"""Data recalled against the same values recalled: guards the files against slips of the keyboard.

Nothing here was read in a document, so it earns no evidence; the rows say "memory" themselves.
"""

import pytest

from hobbyclosure.data import CLASSES, HEADS, MATERIALS, THREADS, evidence


@pytest.mark.parametrize(
    ("material", "proof", "ultimate"),
    [  # MPa; EN 1999-1-1 Table 3.2b and EN 755-2, 6082-T6
        ("6082-T6-tube-thin", 250, 290),
        ("6082-T6-tube-thick", 260, 310),
        ("6082-T6-bar", 260, 310),
    ],
)
def test_6082_has_the_european_minimum(material, proof, ultimate):
    row = MATERIALS[material]
    assert (row.value("F_ty"), row.value("F_tu")) == pytest.approx((proof * 1e6, ultimate * 1e6))
    assert evidence(row["F_ty"], row["F_tu"]) == "practice"


@pytest.mark.parametrize(
    ("thread", "printed"),
    [("M3", 2.599), ("M4", 3.422), ("M5", 4.334), ("M6", 5.153), ("M8", 6.912)],
)
def test_largest_minor_diameter_of_6h(thread, printed):
    # ISO 965-2, mm; also within 15 um of the ISO 965-1 tolerance 230 P^.7 or 433 P - 190 P^1.22 um
    row = THREADS[thread]
    P = row.P * 1e3
    tolerance = 230 * P**0.7 if P >= 1 else 433 * P - 190 * P**1.22
    assert row.D1_max == pytest.approx(printed * 1e-3, rel=1e-9)
    assert row.D1_max == pytest.approx(row.D1_min + tolerance * 1e-6, abs=15e-6)


def test_external_limits_of_m12():
    # ISO 965-2, 6g: 11.966 11.701 10.829 10.679 mm
    row = THREADS["M12"]
    found = row.d_max, row.d_min, row.d2_max, row.d2_min
    assert found == pytest.approx((11.966e-3, 11.701e-3, 10.829e-3, 10.679e-3), rel=1e-9)


@pytest.mark.parametrize(
    ("grade", "proof"),
    [("8.8", 640), ("10.9", 900), ("12.9", 1080), ("A2-70", 450), ("A4-80", 600)],
)
def test_nominal_yield_of_metric_classes(grade, proof):
    # ISO 898-1 designation, ISO 3506-1; MPa
    assert CLASSES[grade].F_yb.value == pytest.approx(proof * 1e6)


@pytest.mark.parametrize(
    ("thread", "height"),
    [("#8-32", 0.087), ("#10-24", 0.101), ("1/4-20", 0.132), ("5/16-18", 0.166)],
)
def test_button_head_heights_of_asme_b18_3(thread, height):
    assert HEADS["button"][thread].k == pytest.approx(height * 0.0254, rel=1e-9)
