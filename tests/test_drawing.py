"""Section and end view: the numbers read back from the shapes, and what is written on them."""

import re
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest

from hobbyclosure.design import Design, inputs
from hobbyclosure.drawing import end_view, places, section
from hobbyclosure.fields import FIELDS
from hobbyclosure.lettering import text_width
from hobbyclosure.svg import fit, svg

CSS = Path(__file__).parent.parent / "app" / "static" / "picture.css"
DEMO = inputs(Design())


def design(**mm):
    """The default design with lengths in mm, counts and angles as they are."""
    bare = ("screw_count", "screw_rows", "port_count", "port_clocking", "screw_head_form")
    return DEMO | {k: x if k in bare else x / 1e3 for k, x in mm.items()}


def random_design(rng):
    """Every drawn field anywhere in its range, lengths spread evenly on a logarithmic scale."""
    v = dict(DEMO)
    for field in FIELDS.values():
        if field.kind is None or field.part == "loads" or "temperature" in field.path:
            continue
        low, high = field.range
        if field.kind.name == "count":
            v[field.name] = float(rng.integers(low, high + 1))
        elif low <= 0:
            v[field.name] = rng.choice([0.0, rng.uniform(low, high)])
        else:
            v[field.name] = np.exp(rng.uniform(np.log(low), np.log(high)))
    d = rng.uniform(2e-3, 12e-3)
    form = str(rng.choice(["button", "cap", "countersunk"]))
    head = {"screw_head_form": form, "screw_head_dk": 1.75 * d, "screw_head_k": 0.6 * d}
    rings = {f"seal_{r}_cs": rng.uniform(1e-3, 7e-3) for r in ("primary", "secondary", "liner")}
    return v | head | rings | {"screw_d": d, "screw_P": 0.16 * d}


def one(drawing, name):
    return drawing.named(name)[0]


def area(points):
    x, y = points.T
    return abs(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1))) / 2


def holds(polygon, point):
    """Whether a point lies in a polygon, even-odd."""
    (x, y), a, b = point, polygon, np.roll(polygon, -1, 0)
    up = (a[:, 1] > y) != (b[:, 1] > y)
    at = a[up, 0] + (y - a[up, 1]) * (b[up, 0] - a[up, 0]) / (b[up, 1] - a[up, 1])
    return int((at > x).sum()) % 2 == 1


def texts(picture):
    """(text, box) of all horizontal texts of an SVG, box left, top, right, bottom."""
    for node in ElementTree.fromstring(picture).iter("{http://www.w3.org/2000/svg}text"):
        if "transform" in node.attrib:
            continue
        x, y, wide = float(node.get("x")), float(node.get("y")), text_width(node.text)
        left = x - wide * {"start": 0, "middle": 0.5, "end": 1}[node.get("text-anchor")]
        yield node.text, (left, y - 10, left + wide, y + 3)


def overlap(p, q):
    return p[0] < q[2] and q[0] < p[2] and p[1] < q[3] and q[1] < p[3]


def test_the_wall_is_as_thick_as_the_field_says_in_both_views():
    upper, lower = section(design(case_bore=50, case_wall=2)).named("tube")
    assert upper.points[:, 1].min() == pytest.approx(25)
    assert upper.points[:, 1].max() == pytest.approx(27)
    assert lower.points[:, 1].min() == pytest.approx(-27)
    ring = one(end_view(design(case_bore=50, case_wall=2)), "tube")
    assert (ring.inner, ring.radius) == pytest.approx((25, 27))


def test_the_tube_ends_the_edge_distance_before_the_screw_row():
    drawing = section(design(closure_screw_station=20, case_edge_distance=13))
    assert one(drawing, "tube").points[:, 0].min() == pytest.approx(7)
    hole, screw = one(drawing, "hole").points, one(drawing, "screw").points
    assert (hole[:, 0].min() + hole[:, 0].max()) / 2 == pytest.approx(20)
    assert (screw[:, 0].min() + screw[:, 0].max()) / 2 == pytest.approx(20)


def test_the_hole_has_its_diameter_outside_and_its_chamfer_inside():
    x, y = one(section(design(screw_clearance_hole=6.6, case_hole_chamfer=0.5)), "hole").points.T
    assert np.ptp(x[y > y.max() - 1e-6]) == pytest.approx(6.6)
    assert np.ptp(x[y < y.min() + 1e-6]) == pytest.approx(7.6)


def test_the_screw_reaches_its_length_below_the_outside_of_the_tube():
    points = one(section(design(case_bore=50, case_wall=2, screw_length=9)), "screw").points
    assert points[:, 1].max() == pytest.approx(27)
    assert points[:, 1].min() == pytest.approx(18)


@pytest.mark.parametrize(("form", "high", "low"), [("cap", 5, 0), ("countersunk", 0, -5)])
def test_a_head_stands_outside_the_tube_or_is_sunk_into_it(form, high, low):
    v = design(screw_head_form=form, screw_head_k=5, case_bore=50, case_wall=8)
    y = one(section(v), "head").points[:, 1] - 33
    assert (y.max(), y.min()) == pytest.approx((high, low))


@pytest.mark.parametrize("rows", [1, 2])
@pytest.mark.parametrize("count", [3, 7, 60])
def test_screws_stand_evenly_and_a_second_row_between_them(rows, count):
    drawing = end_view(design(screw_count=count, screw_rows=rows))
    for row, name in [(row, name) for row in range(rows) for name in ("screw", "drill")]:
        ends = [s.points[0] + s.points[-1] for s in drawing.named(f"{name} {row + 1}")]
        x, y = np.transpose(ends)
        wanted = (np.arange(count) + row / 2) * 360 / count
        turned = (np.degrees(np.arctan2(x, y)) - wanted + 180) % 360 - 180
        assert turned == pytest.approx(np.zeros(count), abs=1e-6)
    assert len(drawing.named("screw 2")) == count * (rows - 1)


def test_a_second_row_is_hidden_in_the_section_at_the_row_spacing():
    drawing = section(design(screw_rows=2, screw_row_spacing=11))
    first, second = one(drawing, "screw"), one(drawing, "screw 2")
    assert second.role == "hidden"
    assert second.points[:, 0].mean() - first.points[:, 0].mean() == pytest.approx(11)
    assert not section(DEMO).named("screw 2")


def test_ports_are_clocked_clockwise_and_spaced_evenly():
    v = design(port_count=4, port_clocking=np.radians(30), port_pitch_circle=40)
    holes = [shape.points[0] for shape in end_view(v).named("pilot hole")]
    wanted = [20 * np.array([np.sin(a), np.cos(a)]) for a in np.radians([30, 120, 210, 300])]
    assert np.array(holes) == pytest.approx(np.array(wanted))
    assert not end_view(design(port_count=0)).named("pilot hole")


def test_rings_are_counted_and_keep_their_volume():
    drawing = section(DEMO)
    for name in ("primary", "secondary", "liner"):
        upper, lower = drawing.named(f"seal.{name}")
        assert area(upper.points) == pytest.approx(area(lower.points))
        round_ring = np.pi / 4 * (1e3 * DEMO[f"seal_{name}_cs"]) ** 2
        assert area(upper.points) == pytest.approx(round_ring, rel=0.02)  # arcs are chords here
    assert len(drawing.named("seal.plug")) == 4
    assert not section(design(closure_nose=0)).named("seal.liner")


def test_a_ring_lies_on_its_groove_floor_against_the_cold_wall():
    v = design(seal_primary_station=30, seal_primary_groove_diameter=70)
    ring, body = one(section(v), "seal.primary").points, one(section(v), "closure").points
    assert ring[:, 0].min() == pytest.approx(30)
    assert ring[:, 1].min() == pytest.approx(35)
    assert any(np.allclose(corner, (30, 35)) for corner in body)


def test_without_a_centre_hole_there_is_no_plug_and_the_plate_is_whole():
    drawing = section(design(closure_centre_hole=0))
    assert {"plug"}.isdisjoint(shape.part for shape in drawing.shapes)
    (body,) = drawing.named("closure")
    x = (DEMO["closure_length"] - DEMO["closure_plate"] / 2) * 1e3
    assert holds(body.points, (x, 0.01))
    assert not holds(body.points, (x - 1e3 * DEMO["closure_plate"], 0.01))  # the pocket


def test_a_thicker_wall_moves_only_tube_holes_and_screws():
    before, after = section(DEMO), section(DEMO | {"case_wall": 4e-3})
    pairs = zip(before.shapes, after.shapes, strict=True)
    moved = {a.name for a, b in pairs if not a.placed_as(b)}
    assert moved == {
        "tube", "tube edge", "break", "hole", "tapped hole",
        "screw", "screw thread", "head", "screw axis 1",
    }  # fmt: skip
    pairs = zip(end_view(DEMO).shapes, end_view(DEMO | {"case_wall": 4e-3}).shapes, strict=True)
    assert {a.name for a, b in pairs if not a.placed_as(b)} == {"tube", "screw 1", "drill 1"}


def test_dimensions_are_the_fields_and_are_written_by_the_callers_format():
    drawing = section(design(screw_rows=2))
    written = {dim.name: dim.value for dim in drawing.dims}
    assert len(written) == 6
    assert written["wall"] == DEMO["case_wall"]
    assert written["bore"] == DEMO["case_bore"]
    assert written["plate"] == pytest.approx(DEMO["closure_plate"])
    assert written["plate"] + written["skirt"] == pytest.approx(DEMO["closure_length"])
    picture = svg(drawing, 437, 328, fmt=lambda value: f"<{value / 0.0254:.4f}>")
    assert "&lt;0.1250&gt;" in picture


@pytest.mark.parametrize("seed", range(200))
def test_any_allowed_design_is_drawn_finite_well_formed_and_without_overlapping_text(seed):
    v = random_design(np.random.default_rng(seed))
    for drawing, height in ((section(v), 328), (end_view(v), 364)):
        for shape in drawing.shapes:
            assert np.isfinite(shape.points).all()
            assert np.isfinite((shape.radius, shape.inner)).all()
        picture = svg(drawing, 437, height)
        assert "nan" not in picture
        assert "inf" not in picture
        written = list(texts(picture))
        for k, (text, box) in enumerate(written):
            assert box[0] >= -0.1, text
            assert box[2] <= 437.1, text
            assert box[1] >= 0, text
            assert box[3] <= height, text
            assert not [other for other, q in written[:k] if overlap(box, q)], text
    assert all(np.isfinite(place).all() for place in places(v).values())


@pytest.mark.parametrize("size", [(437, 328), (408, 304), (560, 328)])
@pytest.mark.parametrize("change", [
    {}, {"case_wall": 0.8}, {"screw_rows": 2, "screw_head_form": "cap"}, {"closure_centre_hole": 0},
    {"closure_nose": 0, "insulation_disc": 0}, {"closure_plate": 40}, {"insulation_liner": 0},
])  # fmt: skip
@pytest.mark.parametrize("inch", [False, True])
def test_no_text_of_the_section_lies_on_hatching(size, change, inch):
    drawing = section(design(**change))
    fmt = (lambda value: f"{value / 0.0254:.4f}") if inch else (lambda value: f"{1e3 * value:g}")
    picture, s = svg(drawing, *size, fmt=fmt), fit(drawing, *size)
    axis = re.findall(r'class="axis" d="M([\d.]+) ([\d.]+)', picture)[-1]  # starts at the box
    left, middle = map(float, axis)
    hatched = [shape.points for shape in drawing.shapes if shape.hatch]
    for text, (x0, y0, x1, y1) in texts(picture):
        for x in np.linspace(x0 + 1, x1 - 1, 9):
            for y in (y0 + 1, (y0 + y1) / 2, y1 - 1):
                point = drawing.box[0] + (x - left) / s, (middle - y) / s
                assert not any(holds(polygon, point) for polygon in hatched), text


def test_the_usual_design_carries_all_its_names_and_dimensions():
    written = {text for text, _ in texts(svg(section(DEMO), 437, 328))}
    names = {"primary", "secondary", "liner", "liner seal", "disc", "plug", "pilot hole", "sensor"}
    assert written >= names | {"hot side", "3.175", "14", "18", "30"}
    written = {text for text, _ in texts(svg(end_view(DEMO), 437, 364))}
    assert written >= {"14 screws", "25.71° apart", "port 192.9°", "0°", "90°", "270°"}


def test_the_drawing_fits_the_picture_and_stands_still_under_small_changes():
    for drawing, height in ((section(DEMO), 328), (end_view(DEMO), 364)):
        x0, x1, y0, y1 = drawing.box
        s = fit(drawing, 437, height)
        assert 0.75 < max(s * (x1 - x0) / 437, s * (y1 - y0) / height) < 1
    walls = [fit(section(design(case_wall=t)), 437, 328) for t in np.linspace(3.1, 3.3, 9)]
    assert len(set(walls)) <= 2


def test_words_from_outside_are_escaped():
    evil = '"><script>alert(1)</script>&'
    picture = svg(
        end_view(DEMO), 437, 364, title=evil, note=(evil,), prefix=evil,
        marks=[("stop", 0, 0, evil)], fmt=lambda _: evil,
    ) + svg(section(DEMO), 437, 328, fmt=lambda _: evil)  # fmt: skip
    assert "<script" not in picture
    root = ElementTree.fromstring(f"<all>{picture}</all>")
    assert root[0].get("aria-label") == evil


def test_the_picture_says_what_it_shows():
    root = ElementTree.fromstring(svg(section(DEMO), 437, 328))
    assert root.get("role") == "img"
    assert root.get("aria-label") == (
        "Section: 14 screws in 1 row, plug, 1 port, edge distance 14, wall 3.175, bore 76.2, "
        "plate 18, skirt 30"
    )


def test_of_two_marks_at_one_place_the_graver_is_drawn_with_their_count():
    marks = [("look", 14, 36, "b"), ("know", 90, 0, "c"), ("stop", 14, 35, "a")]
    root = ElementTree.fromstring(svg(section(DEMO), 437, 328, marks=marks))
    groups = [node for node in root if node.get("class") == "mark"]
    assert [group.get("data-mark") for group in groups] == ["a b", "c"]
    assert groups[0].find(".//*[@class='cut']") is not None
    assert [node.text for node in root if node.get("class") == "halo"][-1] == "2"


def test_a_name_that_a_mark_would_cover_gives_way():
    names, hidden = {"primary", "secondary", "liner seal", "disc", "plug"}, set()
    for x in range(2, 60, 4):
        for y in range(2, 40, 4):
            root = ElementTree.fromstring(svg(section(DEMO), 437, 328, marks=[("stop", x, y, "m")]))
            (ground,) = [node for node in root.iter() if node.get("class") == "ground"]
            at_x, at_y = float(ground.get("cx")), float(ground.get("cy"))
            seen = {node.text: node for node in root.iter() if node.text in names}
            hidden |= names - set(seen)
            for text, node in seen.items():
                wide = text_width(text)
                left = float(node.get("x")) - wide * (node.get("text-anchor") == "end")
                apart = at_x + 12 <= left or at_x - 12 >= left + wide
                assert apart or not -12 < float(node.get("y")) - 4 - at_y < 12, (text, x, y)
    assert hidden == names


def test_a_kept_design_is_dashed_only_where_it_differs():
    drawing = section(DEMO)
    assert 'class="kept"' not in svg(drawing, 437, 328, kept=section(DEMO))
    picture = svg(drawing, 437, 328, kept=section(DEMO | {"case_wall": 2e-3}))
    assert picture.count('class="kept"') == 1


def test_the_selected_part_and_no_other_is_marked_so():
    root = ElementTree.fromstring(svg(section(DEMO), 437, 328, selected="screw"))
    chosen = {node.get("data-part") for node in root if node.get("class") == "sel"}
    assert chosen == {"screw"}


def test_every_part_can_be_touched():
    root = ElementTree.fromstring(svg(section(DEMO), 437, 328))
    parts = {node.get("data-part") for node in root} - {None}
    assert parts == {"case", "closure", "screw", "seal", "insulation", "plug", "port", "loads"}


def test_marks_for_parts_lie_on_them():
    drawing, at = section(DEMO), places(DEMO)
    for place, name in (
        ("case.wall", "tube"), ("case.edge", "tube"), ("closure.plate", "closure"),
        ("screw", "screw"), ("seal.primary", "seal.primary"), ("seal.liner", "seal.liner"),
    ):  # fmt: skip
        assert any(holds(shape.points, at[place]) for shape in drawing.named(name)), place
    hole, groove = DEMO["closure_screw_station"], DEMO["seal_secondary_station"]
    assert 1e3 * hole < at["closure.land"][0] < 1e3 * groove


def test_colours_come_from_the_page_and_every_class_has_its_rule():
    v = design(screw_rows=2)
    picture = svg(section(v), 437, 328, marks=[("stop", 0, 0), ("look", 50, 0), ("know", 90, 0)])
    picture += svg(end_view(v), 437, 364, kept=end_view(DEMO))
    rules = re.sub(r"/\*.*?\*/", "", CSS.read_text(encoding="utf-8"), flags=re.S)
    for text in (picture, rules):
        assert not re.search(r"#[0-9a-fA-F]{3,8}\b(?!\))|rgb|hsl", re.sub(r"url\(.*?\)", "", text))
    used = {css for names in re.findall(r'class="([^"]+)"', picture) for css in names.split()}
    named = set(re.findall(r"\.([a-z][\w-]*)", rules))
    assert used - named <= {"fill", "section", "end", "num", "lead-through"}
