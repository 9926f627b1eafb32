"""The map of wall and screws behind a key: read anywhere, take what is read."""

import re

import pytest

from hobbyclosure import Assessment, Design, file
from hobbyclosure.assess import CLOSE
from hobbyclosure.graph import CHECKS
from tests.browser.conftest import Visit
from tests.browser.notebook import COUNT, MEOP, WALL, Notebook
from tests.designs import DEMO
from tests.support import case

READING = re.compile(r"Wall (\S+) mm, (\d+) screws: (\S+), (.+) is (short|the closest)\.")

UPRIGHT = re.compile(r"M(\S+) (\S+)V([\d.]+)")


def show(notebook: Notebook) -> None:
    notebook.page.keyboard.press("m")
    notebook.wait("() => probe.shown(probe.all('.map .field')[0])")


def taken(notebook: Notebook) -> None:
    """Wait until the page has taken what the map gave it."""
    notebook.wait("() => probe.page().undo === 'Undo map'")


def reading(notebook: Notebook) -> tuple[float, int, float, str, str]:
    """Wall, screws, factor over required, check, and how it stands."""
    found = READING.fullmatch(notebook.find(".map .reading").inner_text())
    assert found, notebook.find(".map .reading").inner_text()
    wall, count, ratio, name, stands = found.groups()
    return float(wall), int(count), float(ratio), name, stands


def of(wall: float, count: int) -> Design:
    return DEMO.evolved({"case.wall": f"{wall:.10g} mm", "screw.count": count})


def worst(design: Design) -> tuple[float, str]:
    a = Assessment(design)
    ratio, id = min((r, i) for i in a.counted if (r := a.ratios[i]) < CLOSE or CHECKS[i].basis)
    return ratio, CHECKS[id].label


def test_the_key_opens_it_and_shuts_it_again(notebook: Notebook) -> None:
    assert not notebook.find(".map .field").is_visible()
    show(notebook)
    assert notebook.page.evaluate("probe.focused().className") == "field"
    notebook.page.keyboard.press("m")
    notebook.wait("() => !probe.shown(probe.all('.map .field')[0])")


def test_it_closes_like_any_leaf_and_gives_the_focus_back(notebook: Notebook) -> None:
    for way, shut in (
        ("Escape", lambda: notebook.page.keyboard.press("Escape")),
        ("Close", lambda: notebook.find(".map .shut").click()),
    ):
        with case(way):
            notebook.find("body").evaluate("() => probe.focused().blur()")
            notebook.of(WALL, ".slider").focus()
            show(notebook)
            shut()
            notebook.wait("() => !probe.shown(probe.all('.map .field')[0])")
            assert notebook.page.evaluate("probe.focused().className").startswith("slider")


def test_the_menu_opens_it(notebook: Notebook) -> None:
    notebook.menu("Wall × screws map")
    notebook.wait("() => probe.shown(probe.all('.map .field')[0])")


def test_a_letter_m_typed_into_a_box_is_only_a_letter(notebook: Notebook) -> None:
    notebook.of(WALL, ".grab").dblclick()
    notebook.find(".typed").press("m")
    assert not notebook.find(".map .field").is_visible()


def test_at_first_it_reads_the_design(notebook: Notebook) -> None:
    show(notebook)
    wall, count, ratio, name, stands = reading(notebook)
    assert (wall, count) == (3.175, 14)
    assert ratio == pytest.approx(worst(DEMO)[0], abs=0.0051)
    assert name == worst(DEMO)[1]
    assert stands == ("short" if ratio < 1 else "the closest")


def test_arrows_read_and_enter_takes_both_as_one_step(notebook: Notebook) -> None:
    show(notebook)
    for key in ("ArrowDown", "ArrowDown", "ArrowDown", "ArrowLeft", "PageDown"):
        notebook.page.keyboard.press(key)
    wall, count, ratio, name, _ = reading(notebook)
    assert count == 11
    assert wall < 3.175
    assert ratio == pytest.approx(worst(of(wall, count))[0], abs=0.02)
    assert name == worst(of(wall, count))[1]
    notebook.page.keyboard.press("Enter")
    taken(notebook)
    assert [plot["value"] for plot in notebook.read()["plots"][:2]] == [
        pytest.approx(wall, abs=0.001), 11,
    ]  # fmt: skip
    assert notebook.find(".map .field").is_visible()
    notebook.find(".undo").click()
    notebook.shows(DEMO)


def test_a_click_takes_what_the_mouse_reads(notebook: Notebook) -> None:
    show(notebook)
    box = notebook.find(".map .field").bounding_box()
    assert box
    notebook.page.mouse.move(box["x"] + 0.6 * box["width"], box["y"] + 0.5 * box["height"])
    wall, count, ratio, name, _ = reading(notebook)
    assert ratio == pytest.approx(worst(of(wall, count))[0], abs=0.02)
    assert name == worst(of(wall, count))[1]
    notebook.page.mouse.down()
    notebook.page.mouse.up()
    taken(notebook)
    notebook.page.mouse.move(5, 5)
    notebook.wait("() => !probe.shown(probe.all('.map .aim')[0])")
    assert reading(notebook)[:2] == (pytest.approx(wall, abs=0.001), count)
    notebook.find(".undo").click()
    notebook.shows(DEMO)


def test_a_finger_reads_first_and_takes_with_the_second_touch(visit: Visit) -> None:
    notebook = visit(has_touch=True)
    show(notebook)
    box = notebook.find(".map .field").bounding_box()
    assert box
    at = box["x"] + 0.6 * box["width"], box["y"] + 0.5 * box["height"]
    notebook.page.touchscreen.tap(*at)
    text = notebook.find(".map .reading").inner_text()
    assert text.endswith("Touch again to take it.")
    assert notebook.read()["undo"] == "Undo"
    notebook.page.touchscreen.tap(*at)
    taken(notebook)


def test_the_heavy_line_parts_what_meets_from_what_is_short(notebook: Notebook) -> None:
    show(notebook)
    box = notebook.find(".map .field").bounding_box()
    assert box
    path = notebook.find(".map .meets").get_attribute("d") or ""
    steps = [[float(n) for n in step] for step in UPRIGHT.findall(path)]
    assert steps
    compared = 0
    for x, low, high in steps:
        y = (low + high) / 2
        if any(other != x and abs(other - x) < 30 and at == low for other, at, _ in steps):
            continue
        sides = []
        for aside in (-14, 14):
            notebook.page.mouse.move(box["x"] + x + aside, box["y"] + y)
            sides.append(reading(notebook)[2] >= 1)
        assert sides[0] != sides[1]
        compared += 1
    assert compared


def test_it_follows_the_other_sliders(notebook: Notebook) -> None:
    show(notebook)
    before = notebook.find(".map .meets").get_attribute("d")
    notebook.of(MEOP, ".slider").press("ArrowRight")
    notebook.wait("(was) => probe.all('.map .meets')[0].getAttribute('d') !== was", before)


def test_what_cannot_be_is_refused_and_said_there(notebook: Notebook) -> None:
    wide = DEMO.evolved({"screw.clearance_hole": "9.9 mm"})  # 24 of them do not fit round the tube
    verdict = notebook.read()["verdict"]
    notebook.open_file("wide.toml", file.written(wide, None))
    notebook.wait("(was) => probe.page().verdict !== was", verdict)
    show(notebook)
    for _ in range(10):
        notebook.page.keyboard.press("ArrowUp")
    assert ", 24 screws:" in notebook.find(".map .reading").inner_text()
    notebook.page.keyboard.press("Enter")
    notebook.wait("() => probe.all('.map .reading')[0].textContent.endsWith('Not taken.')")
    assert "overlap" in notebook.find(".map .reading").inner_text()
    assert notebook.plot(COUNT)["value"] == 14
    notebook.page.keyboard.press("ArrowDown")
    assert ", 13 screws:" in notebook.find(".map .reading").inner_text()


def test_the_kept_design_has_a_mark_of_its_own(notebook: Notebook) -> None:
    show(notebook)
    assert not notebook.page.evaluate("probe.shown(probe.all('.map .keptdot')[0])")
    notebook.find(".verdict .keep").click()
    notebook.wait("() => probe.shown(probe.all('.map .keptdot')[0])")
