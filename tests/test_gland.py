"""The picture of a ring in its groove: area kept, true scale, finite, nothing over anything."""

import re
from xml.etree import ElementTree

import attrs
import numpy as np
import pytest

from hobbyclosure.corners import corner, corners
from hobbyclosure.gland import area, gland, ring_section
from hobbyclosure.gland_svg import fit, svg
from hobbyclosure.gland_words import aloud
from hobbyclosure.lettering import text_width
from tests.seal_designs import MEETING, changed, random_values

RINGS = ("primary", "secondary", "liner")
SIZES = ((300, 240), (408, 262), (437, 316), (560, 460))


def shown(values, ring="primary", loose=True, hot=False, load="proof"):
    return gland(values, ring, corner(values, ring, loose, hot, load))


def points(g, name):
    return g.drawing.named(name)[0].points


def texts(picture):
    """Every text with its box, as the page lays it out in a wide sans."""
    for t in ElementTree.fromstring(picture).iter("{http://www.w3.org/2000/svg}text"):
        wide, x, y = text_width(t.text), float(t.get("x")), float(t.get("y"))
        if turn := re.match(r"translate\((\S+) (\S+)\)", t.get("transform", "")):
            x, y = float(turn[1]), float(turn[2])
            yield t.text, (x - 12, y - wide / 2, x + 4, y + wide / 2)
        else:
            x -= wide * {"start": 0, "middle": 0.5, "end": 1}[t.get("text-anchor")]
            yield t.text, (x, y - 12, x + wide, y + 4)


def assert_clear(picture, width, height):
    """No text off the picture or over another."""
    boxes = list(texts(picture))
    for i, (text, (a, b, c, d)) in enumerate(boxes):
        assert min(a, b) >= -1, text
        assert c <= width + 1, text
        assert d <= height + 1, text
        for other, (p, q, r, s) in boxes[i + 1 :]:
            assert c <= p or r <= a or d <= q or s <= b, f"{text} over {other}"


@pytest.mark.parametrize("ring", RINGS)
def test_the_ring_keeps_the_area_of_its_section(ring):
    for values in (changed(), changed(**MEETING), changed(seal__primary__groove_diameter="69 mm")):
        for found in corners(values, ring):
            g = gland(values, ring, found)
            whole = np.pi / 4 * (1e3 * found.section) ** 2
            assert area(points(g, "ring")) == pytest.approx(whole, rel=5e-3)


@pytest.mark.parametrize("pressed", [True, False])
@pytest.mark.parametrize("depth", [0.4, 0.7, 0.9, 0.99, 1.01, 1.4])
@pytest.mark.parametrize("room", [0.6, 0.95, 1.1, 1.4, 3.0])
@pytest.mark.parametrize("gap", [0.0, 0.02, 0.3])
def test_every_form_keeps_its_area_and_lies_between_floor_and_face(pressed, depth, room, gap):
    body, reach = ring_section(3.5, 3.5 * depth, 3.5 * room, pressed, 0.4, gap, 0.2, 0.1)
    assert area(body) == pytest.approx(np.pi / 4 * 3.5**2, rel=5e-3)
    assert body[:, 1].min() == pytest.approx(-3.5 * depth, abs=5e-3)
    assert body[:, 1].max() <= 5e-3
    assert body[:, 0].max() == pytest.approx(reach, abs=0.02)


def test_a_narrow_groove_squares_the_ring_before_it_overflows():
    _, free = ring_section(3.5, 2.9, 9.0, True, 0.4, 0.0, 0.2, 0.1)
    _, kept = ring_section(3.5, 2.9, free - 0.1, True, 0.4, 0.0, 0.2, 0.1)
    _, over = ring_section(3.5, 2.9, 2.5, True, 0.4, 0.0, 0.2, 0.1)
    assert kept <= free - 0.1 + 1e-6
    assert over > 2.5


def test_the_gap_drawn_on_the_open_side_is_the_diametral_gap_and_the_depth_has_it_in():
    values = changed()
    for load in ("none", "MEOP", "proof"):
        c = corner(values, "primary", True, False, load)
        g = gland(values, "primary", c)
        groove = points(g, "groove")
        assert -groove[0, 1] == pytest.approx(1e3 * c.gap)
        assert -groove[:, 1].min() == pytest.approx(1e3 * c.depth)
        assert groove[np.isclose(groove[:, 1], groove[:, 1].min()), 0].max() < g.width
        assert g.width == pytest.approx(1e3 * values["seal_primary_groove_width"])


def test_pressure_pushes_the_ring_to_the_cold_wall_and_a_nib_into_the_gap():
    at_rest, pressed = shown(changed(), load="none"), shown(changed(), load="proof")
    assert points(at_rest, "ring")[:, 0].min() == pytest.approx(0, abs=1e-3)
    assert points(pressed, "ring")[:, 0].min() < -0.02
    flat = np.isclose(points(pressed, "ring")[:, 0], 0, atol=1e-9)
    assert flat.sum() >= 2
    assert pressed.reach < at_rest.reach


def test_a_wider_gap_draws_a_longer_nib_and_a_backup_ring_none():
    nibs = [
        points(shown(changed(closure__clearance=c)), "ring")[:, 0].min()
        for c in ("0.06 mm", "0.2 mm", "0.5 mm")
    ]
    assert nibs[0] > nibs[1] > nibs[2]
    backed = shown(changed(seal__primary__backups="1", seal__primary__groove_width="6.5 mm"))
    assert points(backed, "ring")[:, 0].min() > 0.5
    assert len(backed.drawing.named("backup")) == 1
    both = shown(changed(seal__primary__backups="2", seal__primary__groove_width="7.4 mm"))
    assert len(both.drawing.named("backup")) == 2
    assert both.room == pytest.approx(7.4 - 2 * both.start)


def test_a_tight_corner_is_drawn_on_the_closed_side_and_its_inset_on_the_open_one():
    g = shown(changed(), loose=False, hot=True, load="none")
    assert g.gap == 0
    assert g.zoomed.gap == pytest.approx(1e3 * g.corner.gap)
    assert "open side" in svg(g, 437, 316)
    assert "closed side" in aloud(g)
    nose = shown(changed(**MEETING), "liner", loose=False)
    assert nose.gap == 0  # nobody knows how the liner lies in the tube: it touches the nose


def test_swelling_is_what_the_corner_adds_to_its_gap():
    values = changed()
    rest = corner(values, "primary", True, False, "none").gap
    for load in ("MEOP", "proof"):
        g = shown(values, load=load)
        assert g.rest == pytest.approx(1e3 * rest)
        assert g.grown == pytest.approx((g.gap - g.rest) / 2)  # no rim on this side of the plate
    assert shown(values, load="none").grown == 0
    hot = shown(values, hot=True, load="MEOP")
    assert hot.grown > shown(values, load="MEOP").grown


def test_what_is_wrong_is_said():
    assert shown(changed()).faults == ()
    loose = shown(changed(seal__primary__groove_diameter="69 mm"))
    assert loose.faults == ("does not touch",)
    narrow = shown(changed(seal__primary__groove_width="3 mm"), loose=False, hot=True)
    assert narrow.faults == ("does not go into its groove",)
    for g in (loose, narrow):
        assert g.faults[0] in svg(g, 437, 316)
        assert g.faults[0] in aloud(g)


def test_a_gap_below_zero_is_drawn_as_it_is():
    values = changed()
    values = type(values)({**values, "closure_clearance_max": -1e-4, "closure_clearance": -1e-4})
    g = shown(values, load="none")
    assert "does not go in" in g.faults
    assert points(g, "groove")[0, 1] == pytest.approx(-1e3 * g.corner.gap)
    assert g.gap < 0
    assert "nan" not in svg(g, 437, 316)


def test_gas_and_pressure_only_where_there_is_pressure():
    pressed = svg(shown(changed()), 437, 316, pressure="8.6 MPa")
    assert "8.6 MPa</text>" in pressed
    assert 'class="gas"' in pressed
    at_rest = svg(shown(changed(), load="none"), 437, 316, pressure="0 MPa")
    assert "MPa" not in at_rest
    assert 'class="gas"' not in at_rest
    assert "hot side" in at_rest


def test_scale_is_true_held_and_stepped():
    g = shown(changed())
    s = fit(g, 437, 316)
    assert 25 < s < 40
    assert fit(g, 438, 316) == s
    held = svg(g, 437, 316, scale=20.0)
    assert held != svg(g, 437, 316)
    lines = re.findall(r'class="dim" d="([^"]*)"', held)
    ends = [float(n) for n in re.findall(r"[\d.]+", lines[-1])]
    assert any(
        abs(abs(a - b) - 20 * g.width) < 0.2 for a in ends for b in ends
    )  # the width's dimension line, at the scale asked for


def test_inches_and_what_is_read_aloud():
    g = shown(changed())
    picture = svg(g, 437, 316, fmt=lambda x: f"{x / 0.0254:.3f}", fine=lambda x: f"{x:.1e}",
                  pressure="1250 psi")  # fmt: skip
    label = ElementTree.fromstring(picture).get("aria-label")
    for part in ("primary ring", "loose, cold, proof", "gap 0.007", "squeeze 9.8 %", "1250 psi",
                 "floor ⌀ 2.776", "groove 0.193 wide", "may be bridged"):  # fmt: skip
        assert part in label
    assert "0.193" in [t for t, _ in texts(picture)]


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("ring", RINGS)
def test_no_text_lies_over_another_or_off_the_picture(size, ring):
    for values in (changed(), changed(**MEETING), changed(seal__primary__groove_width="3 mm")):
        for found in corners(values, ring):
            picture = svg(gland(values, ring, found), *size, pressure="8.6 MPa")
            assert any(text.startswith("gap ×") for text, _ in texts(picture))
            assert_clear(picture, *size)


def test_everything_is_said_where_there_is_room():
    hard = shown(changed(seal__primary__durometer="90"))  # bridges 0.3 mm, the gap is 0.18 mm
    assert {text for text, _ in texts(svg(hard, 437, 316, pressure="8.6 MPa"))} >= {
        "cold side", "bore wall", "swollen 35 µm", "hot side", "8.6 MPa", "3.05", "4.9", "0.18",
        "free 3.38", "floor ⌀ 70.5", "0.3", "gap × 8, dashed at rest",
    }  # fmt: skip
    assert "liner" in svg(shown(changed(**MEETING), "liner"), 437, 316)


def test_the_kept_design_is_dashed_and_prefixes_keep_pictures_apart():
    g = shown(changed())
    assert 'class="kept"' not in svg(g, 437, 316)
    kept = shown(changed(seal__primary__groove_diameter="70 mm"))
    picture = svg(g, 437, 316, kept=kept, prefix="a-")
    assert 'class="kept"' in picture
    ids = set(re.findall(r'id="([^"]*)"', picture))
    assert all(i.startswith("a-") for i in ids)
    assert set(re.findall(r"url\(#([^)]*)\)", picture)) <= ids


def test_unknown_numbers_leave_a_picture():
    c = corner(changed(), "primary", True, False, "proof")
    blank = attrs.evolve(c, gap=np.nan, limit=np.nan, section=np.nan, depth=np.nan, fill=np.nan)
    picture = svg(gland(changed(), "primary", blank), 437, 316)
    assert "no answer" in picture
    assert "nan" not in picture
    ElementTree.fromstring(picture)


def test_random_designs_are_drawn_whole():
    rng = np.random.default_rng(4)
    faults = set()
    for k, values in enumerate(random_values(rng, 200)):
        width, height = SIZES[k % len(SIZES)]
        for ring in RINGS:
            for found in corners(values, ring):
                g = gland(values, ring, found)
                faults |= set(g.faults)
                assert all(np.isfinite(shape.points).all() for shape in g.drawing.shapes)
                if np.isfinite(found.section):
                    whole = np.pi / 4 * g.section**2
                    assert area(points(g, "ring")) == pytest.approx(whole, rel=5e-3)
                picture = svg(g, width, height, pressure="8.6 MPa")
                assert not re.search(r"\b(nan|inf)\b", picture)
                assert_clear(picture, width, height)
    assert faults >= {"does not touch", "does not go in", "does not go into its groove"}
