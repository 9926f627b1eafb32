"""The fields of every part: opened by touch and by key, changed by box, rail, key and list."""

import itertools
import re

import pytest
from playwright.sync_api import Locator

from app.views import rows
from hobbyclosure import data
from hobbyclosure.fields import FIELDS, PARTS
from tests.browser.conftest import Visit
from tests.browser.measure import faint, overlaps, sideways, texts
from tests.browser.notebook import Notebook
from tests.browser.test_layout import NARROW, WIDE, opened, resized
from tests.designs import DEMO
from tests.support import case

DRAWN = ("case", "insulation", "closure", "plug", "port", "seal", "screw", "loads")
IN_END_VIEW = ("case", "closure", "screw", "port", "plug")
# Where a finger would come down on a part: a place that is nothing but it.
FIND = """([view, part]) => {
    const root = probe.all(`.${view} .picture`)[0] ?? probe.all(".picture")[view === "end" ? 1 : 0];
    const from = root.getRootNode();
    for (const group of root.querySelectorAll(`[data-part="${part}"]`)) {
        const box = group.getBoundingClientRect();
        for (let i = 1; i < 60; i += 1) for (let j = 1; j < 60; j += 1) {
            const at = [box.left + box.width * i / 60, box.top + box.height * j / 60];
            const all = [[0, 0], [3, 0], [-3, 0], [0, 3], [0, -3]].every(([x, y]) => from
                .elementFromPoint(at[0] + x, at[1] + y)?.closest("[data-mark], [data-part]")
                ?.dataset.part === part);
            if (all) return at;
        }
    }
    return null;
}"""
PLATE = 1e3 * float(DEMO["closure.plate"].now)  # mm
FOCUS = """() => {
    const at = probe.focused();
    return at.getAttribute("aria-label") || at.id || at.className;
}"""


def row(notebook: Notebook, path: str) -> Locator:
    """The row of a field."""
    return notebook.find(f'.row[data-path="{path}"]')


def opens(notebook: Notebook, part: str) -> None:
    """Open a part by the keyboard from the drawing."""
    notebook.find(f'[data-part="{part}"][tabindex]').first.focus()
    notebook.page.keyboard.press("Enter")
    showing(notebook, part)


def showing(notebook: Notebook, part: str) -> None:
    """Wait until the fields of a part are there, and their rails have found where it meets."""
    notebook.wait(
        "(label) => probe.all('aside.fields').some((box) => probe.shown(box) && "
        "box.getAttribute('aria-label') === label)",
        f"{PARTS[part]}: fields",
    )


def shut(notebook: Notebook) -> None:
    """Shut the fields by the keyboard; no part of the section is marked any longer."""
    notebook.page.keyboard.press("Escape")
    notebook.find("aside.fields").wait_for(state="hidden")
    notebook.wait("() => !probe.all('.section .sel').length")


def says(notebook: Notebook, path: str, text: str) -> None:
    """Wait until the box of a field shows a text."""
    notebook.wait(
        "([path, text]) => probe.all(`.row[data-path='${path}'] .box`)[0].value === text",
        [path, text],
    )


def refused(notebook: Notebook, path: str) -> str:
    """The refusal in the row of a field."""
    said = row(notebook, path).locator(".said")
    said.wait_for()
    return said.inner_text()


def test_a_touch_on_a_part_of_the_section_opens_its_fields(visit: Visit) -> None:
    notebook = visit(has_touch=True)
    for part in DRAWN:
        with case(part):
            at = notebook.page.evaluate(FIND, ["section", part])
            assert at, f"no place in the section is {part}"
            notebook.page.touchscreen.tap(*at)
            showing(notebook, part)
            nodes = notebook.find(".fields .row").all()
            found = [node.get_attribute("data-path") for node in nodes]
            assert found == [field.path for field in rows.fields_of(part)]
            if part != "loads":
                assert notebook.find(f'.section [data-part="{part}"].sel').count()
            shut(notebook)


def test_a_touch_on_a_part_of_the_end_view_opens_its_fields(visit: Visit) -> None:
    notebook = visit(has_touch=True)
    for part in IN_END_VIEW:
        with case(part):
            at = notebook.page.evaluate(FIND, ["end", part])
            assert at, f"no place in the end view is {part}"
            notebook.page.touchscreen.tap(*at)
            showing(notebook, part)
            shut(notebook)


def test_a_touch_beside_a_thin_part_still_means_it(visit: Visit) -> None:
    notebook = visit(has_touch=True)
    box = notebook.find('.section [data-part="case"]').first.bounding_box()
    assert box
    notebook.page.touchscreen.tap(box["x"] + box["width"] * 0.7, box["y"] - 7)
    showing(notebook, "case")


def test_a_part_opens_by_key_and_escape_leads_back_to_it(notebook: Notebook) -> None:
    for part in DRAWN:
        with case(part):
            opens(notebook, part)
            shut(notebook)
            notebook.wait("(label) => probe.focused().getAttribute('aria-label') === label",
                          f"{PARTS[part]}: open the fields")  # fmt: skip


def test_each_part_is_one_stop_of_the_tab_key(notebook: Notebook) -> None:
    for view in (".section", ".end"):
        labels = [
            node.get_attribute("aria-label")
            for node in notebook.find(f"{view} [data-part][tabindex]").all()
        ]
        assert labels
        assert len(labels) == len(set(labels))
        assert all(re.fullmatch(r"[A-Z]\w+: open the fields", label or "") for label in labels)


def test_the_switcher_reaches_every_part_and_each_row_by_tab(notebook: Notebook) -> None:
    for part in rows.parts():
        with case(part):
            opens(notebook, "closure" if part != "closure" else "case")
            notebook.find(".fields select").select_option(part)
            showing(notebook, part)
            paths = [field.path for field in rows.fields_of(part)]
            met = []
            notebook.find(".fields .close").focus()
            for _ in range(6 * len(paths)):
                notebook.page.keyboard.press("Tab")
                at = notebook.page.evaluate(
                    "() => probe.focused().closest('.row')?.dataset.path ?? null"
                )
                if at is None:
                    break
                met.append(at)
            assert list(dict.fromkeys(met)) == paths
            notebook.find(".fields .close").focus()
            shut(notebook)


def test_every_input_has_a_name(notebook: Notebook) -> None:
    for part in rows.parts():
        opens(notebook, "case") if part == "loads" else None
        notebook.find(".fields select").select_option(part)
        showing(notebook, part)
        names = notebook.page.evaluate("""() => probe.all(".fields :is(input, button, select)")
            .filter(probe.shown).map((node) => node.getAttribute("aria-label") ||
                node.labels?.[0]?.textContent.trim() || node.textContent.trim())""")
        assert names
        assert all(names), names


def test_a_box_takes_what_is_typed_and_echoes_it_in_the_readers_unit(notebook: Notebook) -> None:
    opens(notebook, "case")
    box = row(notebook, "case.wall").locator(".box")
    box.fill("5/32 in")
    box.press("Enter")
    notebook.shows(DEMO.evolved({"case.wall": "5/32 in"}))
    says(notebook, "case.wall", "3.969")
    assert notebook.read()["undo"] == "Undo wall"


def test_a_box_that_is_left_is_taken_and_escape_takes_nothing(notebook: Notebook) -> None:
    opens(notebook, "closure")
    box = row(notebook, "closure.plate").locator(".box")
    box.fill("20")
    box.press("Tab")
    notebook.shows(DEMO.evolved({"closure.plate": "20 mm"}))
    box.fill("21")
    box.press("Escape")
    says(notebook, "closure.plate", "20")
    assert notebook.find("aside.fields").is_visible()
    notebook.shows(DEMO.evolved({"closure.plate": "20 mm"}))


REFUSED = [
    ("case.bore", "3", "must be 10 mm to 400 mm. Still 76.2 mm."),
    ("case.edge_distance", "wide", "is no length"),
    ("case.metal_temperature", "80 mm", "is no temperature"),
    ("case.other_end_holds", "900 MPa", "must be 0.1 MPa to 200 MPa. Still 9.6 MPa."),
]


def test_a_refusal_stands_beside_the_box_and_the_last_good_design_holds(notebook: Notebook) -> None:
    for path, typed, what in REFUSED:
        with case(path, typed):
            opens(notebook, "case")
            is_refused(notebook, path, typed, what)
            notebook.undone(DEMO)
            shut(notebook)


def is_refused(notebook: Notebook, path: str, typed: str, what: str) -> None:
    """What is typed is refused in its row until something good is."""
    box = row(notebook, path).locator(".box")
    good = box.input_value()
    box.fill(typed)
    box.press("Enter")
    said = refused(notebook, path)
    assert said.startswith(f"'{typed}'")
    assert what in said
    assert box.input_value() == typed  # to be mended
    assert box.get_attribute("aria-invalid") == "true"
    notebook.shows(DEMO)
    box.press("Escape")
    assert box.input_value() == good
    box.fill(typed + " ")
    box.press("Tab")
    says(notebook, path, good)
    box.fill(good + "1" if "." in good else good + ".1")
    with notebook.redrawn():
        box.press("Enter")
    notebook.wait("(path) => !probe.all(`.row[data-path='${path}'] .said`)[0].textContent", path)


def test_a_rail_is_dragged_by_its_thumb_and_catches_stock_sizes(notebook: Notebook) -> None:
    opens(notebook, "screw")
    length = row(notebook, "screw.length")
    length.locator(".slider").focus()
    thumb, ticks = length.locator(".thumb").bounding_box(), length.locator(".stock")
    longest = ticks.last.bounding_box()
    assert thumb
    assert longest
    y = thumb["y"] + thumb["height"] / 2
    notebook.page.mouse.move(thumb["x"] + thumb["width"] / 2, y)
    notebook.page.mouse.down()
    notebook.page.mouse.move(thumb["x"] + 30, y + 4, steps=4)
    notebook.page.mouse.move(longest["x"] + 4, y + 3, steps=4)
    during = length.locator(".box").input_value()
    notebook.page.mouse.up()
    value = float(during)
    assert round(1e-3 * value, 9) in [round(size, 9) for size in data.SCREW_LENGTHS["metric"]]
    assert value != 14
    notebook.shows(DEMO.evolved({"screw.length": f"{during} mm"}))
    assert "stock" in length.locator(".help").inner_text()
    notebook.find(".undo").click()  # one drag is one step back
    notebook.shows(DEMO)


def test_a_tap_on_the_rail_moves_the_thumb_there(notebook: Notebook) -> None:
    opens(notebook, "closure")
    plate = row(notebook, "closure.plate")
    plate.locator(".slider").focus()
    grab = plate.locator(".grab").bounding_box()
    assert grab
    notebook.page.mouse.click(grab["x"] + grab["width"] * 0.75, grab["y"] + 22)
    notebook.wait("() => Number(probe.all(\".row[data-path='closure.plate'] .box\")[0].value) > 20")
    value = plate.locator(".box").input_value()
    notebook.shows(DEMO.evolved({"closure.plate": f"{value} mm"}))


def test_a_finger_that_scrolls_changes_nothing(visit: Visit) -> None:
    notebook = visit(has_touch=True)
    opens(notebook, "closure")
    grab = row(notebook, "closure.clearance").locator(".grab").bounding_box()
    assert grab
    fingers = notebook.page.context.new_cdp_session(notebook.page)
    x, y = grab["x"] + 30, grab["y"] + 22
    for kind, down in (("touchStart", 0), *(("touchMove", 12 * n) for n in range(1, 8))):
        points = [{"x": x, "y": y - down}]
        fingers.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})
    fingers.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    notebook.wait("() => probe.all('.fields .rows')[0].scrollTop > 20")
    notebook.shows(DEMO)


def test_keys_step_a_rail(notebook: Notebook) -> None:
    opens(notebook, "closure")
    plate = row(notebook, "closure.plate")
    start = plate.locator(".box").input_value()
    for key, way in (("ArrowRight", 1), ("ArrowUp", 1), ("ArrowLeft", -1), ("ArrowDown", -1)):
        with case(key):
            plate.locator(".slider").focus()
            notebook.page.keyboard.press(key)
            value = float(plate.locator(".box").input_value())
            assert 0 < way * (value - PLATE) < 1
            notebook.shows(DEMO.evolved({"closure.plate": f"{value:g} mm"}))
            notebook.undone(DEMO)
            says(notebook, "closure.plate", start)


def test_home_and_end_are_the_ends_of_the_heavy_part(notebook: Notebook) -> None:
    opens(notebook, "closure")
    plate = row(notebook, "closure.plate")
    plate.locator(".slider").focus()
    plate.locator(".heavy").first.wait_for()
    for key in ("Home", "End"):
        notebook.page.keyboard.press(key)
        value = float(plate.locator(".box").input_value())
        found = notebook.shows(DEMO.evolved({"closure.plate": f"{value:g} mm"}))
        assert "below" not in found["verdict"]
        track, heavy = (plate.locator(f".{c}").first.bounding_box() for c in ("thumb", "heavy"))
        assert track
        assert heavy
        end = heavy["x"] + (heavy["width"] if key == "End" else 0)
        assert track["x"] + track["width"] / 2 == pytest.approx(end, abs=3)


def test_page_keys_go_to_the_next_stock_size(notebook: Notebook) -> None:
    opens(notebook, "screw")
    row(notebook, "screw.clearance_hole").locator(".slider").focus()
    for key, text in (("PageUp", "6.4"), ("PageUp", "6.6"), ("PageUp", "7"), ("PageDown", "6.6")):
        notebook.page.keyboard.press(key)
        says(notebook, "screw.clearance_hole", text)
    notebook.shows(DEMO.evolved({"screw.clearance_hole": "6.6 mm"}))
    notebook.wait("() => probe.focused().getAttribute('aria-valuetext') === "
                  "'6.6 mm, normal fit for M6'")  # fmt: skip


def test_a_measurement_replaces_the_nominal_says_so_and_a_move_drops_it(notebook: Notebook) -> None:
    opens(notebook, "case")
    wall = row(notebook, "case.wall")
    wall.locator(".slider").focus()
    wall.locator(".measured").fill("3.21")
    wall.locator(".measured").press("Enter")
    says(notebook, "case.wall", "3.21")
    wall.locator(".accuracy").fill("0.02")
    wall.locator(".accuracy").press("Enter")
    notebook.shows(DEMO.measured("case.wall", "3.21", "0.02"))
    notebook.wait("() => probe.all(\".row[data-path='case.wall'] .unit\")[0].textContent === "
                  "'mm measured ± 0.02'")  # fmt: skip
    assert notebook.read()["undo"] == "Undo measured wall"
    wall.locator(".slider").focus()
    notebook.page.keyboard.press("ArrowRight")
    notebook.wait("() => probe.all(\".row[data-path='case.wall'] .said\")[0].textContent === "
                  "'Measured 3.21 mm set aside: Undo brings it back.'")  # fmt: skip
    notebook.find(".undo").click()
    notebook.shows(DEMO.measured("case.wall", "3.21", "0.02"))
    says(notebook, "case.wall", "3.21")


def test_a_tolerance_is_taken_and_a_bad_measurement_refused(notebook: Notebook) -> None:
    opens(notebook, "case")
    wall = row(notebook, "case.wall")
    wall.locator(".slider").focus()
    wall.locator(".tol").fill("4 %")
    wall.locator(".tol").press("Enter")
    notebook.shows(DEMO.toleranced("case.wall", "4 %"))
    wall.locator(".measured").fill("33")
    wall.locator(".measured").press("Enter")
    assert refused(notebook, "case.wall") == "'33' must be 0.5 mm to 25 mm. Not taken."
    notebook.shows(DEMO.toleranced("case.wall", "4 %"))


def test_a_material_is_picked_by_key_and_changes_the_factors(notebook: Notebook) -> None:
    opens(notebook, "case")
    press = row(notebook, "case.material").locator(".press")
    press.focus()
    notebook.page.keyboard.press("Enter")
    options = notebook.find(".fields [role=option]")
    assert options.count() == len(data.MATERIALS)
    texts_ = options.all_inner_texts()
    assert "yield 241, ultimate 290, shear 186 MPa" in texts_[0]
    assert any("from memory: confirm it" in text for text in texts_)
    notebook.page.keyboard.type("6061-T6 dr")
    assert options.first.is_visible()  # the blank belongs to what is typed
    notebook.page.keyboard.press("ArrowDown")
    before = notebook.read()["ladder"]
    notebook.page.keyboard.press("Enter")
    found = notebook.shows(DEMO.evolved({"case.material": list(data.MATERIALS)[1]}))
    assert found["ladder"] != before
    assert found["undo"] == "Undo tube material"
    assert "yield 228" in press.inner_text()
    assert notebook.page.evaluate(FOCUS).startswith("Tube material")


def test_a_ring_is_found_among_hundreds_by_its_number(notebook: Notebook) -> None:
    opens(notebook, "seal")
    row(notebook, "seal.primary.ring").locator(".press").click()
    notebook.page.keyboard.type("233")
    notebook.page.keyboard.press("Enter")
    notebook.shows(DEMO.evolved({"seal.primary.ring": "233"}))


def test_escape_closes_the_list_before_the_fields(notebook: Notebook) -> None:
    opens(notebook, "screw")
    row(notebook, "screw.head").locator(".press").click()
    notebook.find(".fields [role=listbox]").wait_for()
    notebook.page.keyboard.press("Escape")
    notebook.find(".fields [role=listbox]").wait_for(state="hidden")
    assert notebook.page.evaluate(FOCUS).startswith("Head")
    notebook.page.keyboard.press("Escape")
    notebook.find("aside.fields").wait_for(state="hidden")


def test_a_working_takes_the_place_of_the_fields_and_leads_back(notebook: Notebook) -> None:
    opens(notebook, "case")
    notebook.find(".rung").nth(1).click()
    notebook.leaf.wait_for()
    assert not notebook.find("aside.fields").is_visible()
    notebook.leaf.locator("[data-do=back]").click()
    showing(notebook, "case")
    assert not notebook.leaf.count()


def test_the_units_of_rows_follow_the_reader(notebook: Notebook) -> None:
    opens(notebook, "case")
    notebook.page.get_by_text("in", exact=True).click()
    says(notebook, "case.bore", "3")
    assert row(notebook, "case.bore").locator(".unit").inner_text() == "in"
    assert row(notebook, "case.material").inner_text().count("ksi")


@pytest.mark.parametrize("part", ["loads", "closure", "screw", "case", "seal"])
def test_nothing_overlaps_and_all_is_legible(visit: Visit, part: str) -> None:
    notebook = opened(visit, WIDE)
    opens(notebook, part)
    deep = row(notebook, next(f.path for f in rows.fields_of(part) if f.kind))
    if FIELDS[deep.get_attribute("data-path") or ""].tol:
        deep.locator(".slider").focus()
        deep.locator(".measured").fill(deep.locator(".box").input_value())
        deep.locator(".measured").press("Enter")
    deep.locator(".box").fill("nothing")
    deep.locator(".box").press("Enter")
    deep.locator(".said").wait_for()
    notebook.page.keyboard.press("End")  # what was typed is selected; its colours are others
    rows_wide = (
        "() => { const r = probe.all('.fields .rows')[0]; return r.scrollWidth - r.clientWidth }"
    )
    for size, theme in itertools.product((WIDE, NARROW), ("day", "night")):
        with case(part, size, theme):
            resized(notebook, size)
            notebook.page.evaluate("(now) => (document.documentElement.dataset.theme = now)", theme)
            assert deep.locator(".said").is_visible()
            found = texts(notebook)
            assert overlaps(found) == []
            assert faint(notebook, found) == []
            assert sideways(notebook) <= 0
            assert notebook.page.evaluate(rows_wide) <= 0


def test_every_target_is_large_enough_for_a_thumb(visit: Visit) -> None:
    notebook = opened(visit, WIDE)
    opens(notebook, "case")
    row(notebook, "case.wall").locator(".slider").focus()
    for size in (WIDE, NARROW):
        with case(size):
            resized(notebook, size)
            small = notebook.page.evaluate("""() => probe
                .all(".fields :is(button, select, .grab, input[type=text])").filter(probe.shown)
                .map((node) => [node.className, node.getBoundingClientRect()])
                .filter(([, box]) => Math.min(box.width, box.height) < 43.9)
                .map(([name]) => name)""")
            assert small == []
