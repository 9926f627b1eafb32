"""The switch between millimetres and inches."""

import re

from tests.browser.notebook import COUNT, MEOP, WALL, Notebook
from tests.designs import DEMO

METRIC = re.compile(r"(?<![A-Za-z])(mm²?|MPa|kN|N m|°C)(?![A-Za-z])")
INCH = re.compile(r"\d\s(in²?|psi|lbf)(?![A-Za-z])|°F|^in,|^psi$")


def said(notebook: Notebook) -> list[str]:
    """Every text in sight but the switch's own two and the names of inch stock."""
    texts = [text for text, *_ in notebook.page.evaluate("probe.texts()")]
    return [t for t in texts if t not in ("mm", "in") and "stock" not in t]


def test_the_switch_changes_every_unit_on_the_page_and_back_exactly(notebook: Notebook) -> None:
    before = notebook.page.evaluate("probe.texts()")
    assert [t for t in said(notebook) if INCH.search(t)] == []
    notebook.find("[data-unit=inch]").click()
    inch = notebook.shows(DEMO, "inch")
    assert [t for t in said(notebook) if METRIC.search(t)] == []
    assert inch["plots"][WALL]["detail"].startswith("in,")
    assert inch["plots"][MEOP]["detail"] == "psi"
    assert inch["plots"][COUNT]["handle"] == "14"
    assert notebook.find("[data-unit=inch]").get_attribute("aria-pressed") == "true"
    notebook.find("[data-unit=metric]").click()
    notebook.shows(DEMO)
    assert notebook.page.evaluate("probe.texts()") == before


def test_warnings_remedies_and_workings_are_said_in_inches_too(notebook: Notebook) -> None:
    few = DEMO.evolved({"screw.count": "8"})
    notebook.type(COUNT, "8")
    notebook.shows(few)
    notebook.find("[data-unit=inch]").click()
    notebook.shows(few, "inch")
    notebook.of(COUNT, ".say").click()
    notebook.leaf.locator("dl").wait_for()
    numbers = notebook.leaf.locator(".eq, dl").all_inner_texts()  # a source keeps its own units
    assert [t for t in numbers if METRIC.search(t)] == []
    assert [t for t in numbers if INCH.search(t)]
    slots = [notebook.slot(i)["text"] for i in (WALL, COUNT, MEOP)]
    assert [t for t in slots if METRIC.search(t)] == []


def test_a_drag_in_inches_moves_the_same_design(notebook: Notebook) -> None:
    notebook.find("[data-unit=inch]").click()
    notebook.shows(DEMO, "inch")
    moved = DEMO.evolved({"case.wall": f"{notebook.drag(WALL, 0.16):.6g} in"})
    notebook.shows(moved, "inch")
    notebook.find("[data-unit=metric]").click()
    notebook.shows(moved)
