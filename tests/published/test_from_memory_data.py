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
    ("grade", "ultimate", "proof", "shear"),
    [("8.8", 800, 640, 0.6), ("10.9", 1000, 900, 0.5), ("12.9", 1200, 1080, 0.5),
     ("A2-70", 700, 450, 0.5), ("A4-80", 800, 600, 0.5)],
)  # fmt: skip
def test_nominal_strengths_of_metric_classes(grade, ultimate, proof, shear):
    # ISO 898-1 designation, ISO 3506-1, EN 1993-1-8 table 3.4; MPa
    row = CLASSES[grade]
    assert row.F_ub.value == pytest.approx(ultimate * 1e6)
    assert row.F_yb.value == pytest.approx(proof * 1e6)
    assert row.alpha_v.value == shear


@pytest.mark.parametrize(
    ("grade", "left"),
    [("8.8", {100: 590 / 640, 200: 540 / 640, 250: 510 / 640, 300: 480 / 640}),
     ("10.9", {100: 875 / 940, 200: 790 / 940, 250: 745 / 940, 300: 705 / 940}),
     ("12.9", {100: 1020 / 1100, 200: 925 / 1100, 250: 875 / 1100, 300: 825 / 1100}),
     ("A2-70", {100: 0.85, 200: 0.80, 300: 0.75, 400: 0.70})],
)  # fmt: skip
def test_hot_yield_of_screws_is_at_most_what_the_annex_gives(grade, left):
    # ISO 898-1:1999 Annex A, ISO 3506-1:1997 Annex F
    for celsius, ratio in left.items():
        for what in ("yield", "ultimate"):  # ultimate as yield: practice
            found = CLASSES[grade].hot.ratio(what, celsius + 273.15)
            assert ratio - 0.015 < found <= ratio + 1e-9


@pytest.mark.parametrize(
    ("grade", "least", "most"),
    [  # ISO 898-1 parts 8.8 at 16 mm; ISO 3506-1 gives 70 and 80 up to M24; the rest in inches
        ("8.8", 1.6e-3, 16e-3), ("A2-70", 1.6e-3, 24e-3), ("A4-80", 1.6e-3, 24e-3),
        ("Grade 5", 0.25 * 0.0254, 1 * 0.0254),  # SAE J429, the band of 120 ksi
        ("Grade 8", 0.25 * 0.0254, 1.5 * 0.0254),
        ("A574", 0.06 * 0.0254, 0.5 * 0.0254),  # ASTM A574, the band of 180 ksi
    ],
)  # fmt: skip
def test_thread_sizes_that_the_strengths_of_a_class_hold_for(grade, least, most):
    assert CLASSES[grade].sizes == pytest.approx((least, most))


@pytest.mark.parametrize(
    ("thread", "height"),
    [("#8-32", 0.087), ("#10-24", 0.101), ("1/4-20", 0.132), ("5/16-18", 0.166)],
)
def test_button_head_heights_of_asme_b18_3(thread, height):
    assert HEADS["button"][thread].k == pytest.approx(height * 0.0254, rel=1e-9)
