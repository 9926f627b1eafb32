"""Numbers typed into a handle: taken with or without a unit, or refused in words."""

import re

import pytest

from tests.browser.notebook import COUNT, MEOP, PATHS, WALL, Notebook
from tests.designs import DEMO
from tests.support import case

RANGES = {WALL: ("0.5 mm", "25 mm"), COUNT: ("3", "60"), MEOP: ("0.1 MPa", "60 MPa")}
BAD = {
    WALL: (
        "3 MPa", "40 mm", "0.2 mm", "thick", "NaN", "1e400", "1,5 mm", "1/0 in", "-3", "inf mm",
        "<b onmouseover=alert(1)>3</b>",
    ),
    COUNT: ("12.5", "12 mm", "1e9", "a dozen"),
    MEOP: ("6,2 MPa", "5 mm", "0", "900 MPa", "NaN"),
}  # fmt: skip
GOOD = {
    WALL: {"4": "4 mm", "1/8 in": "3.175 mm", "3.4 mm": "3.4 mm", "  0.28 cm ": "2.8 mm",
           "0.15in": "0.15 in"},
    COUNT: {"16": "16", " 12 ": "12"},
    MEOP: {"900 psi": "900 psi", "70 bar": "70 bar", "5": "5 MPa"},
}  # fmt: skip
NAMES = {WALL: "wall", COUNT: "screw", MEOP: "meop"}


def refused(notebook: Notebook, i: int, text: str) -> str:
    """Type what will be refused; return the sentence that says so."""
    notebook.type(i, text)
    here = "([i, text]) => probe.page().plots[i].slot.refused.includes(`'${text}'`)"
    notebook.wait(here, [i, text])
    slot = notebook.slot(i)
    assert slot["refused"] == slot["text"]  # what is read aloud is what is seen
    return slot["text"]


def test_what_cannot_be_is_refused_in_one_sentence_and_nothing_changes(notebook: Notebook) -> None:
    for i, text in ((k, text) for k, texts in BAD.items() for text in texts):
        with case(NAMES[i], text):
            sentence = refused(notebook, i, text)
            assert f"'{text}'" in sentence
            assert NAMES[i] in sentence.partition("'")[0].lower(), sentence
            assert all(end in sentence for end in RANGES[i]), sentence
            still = re.search(r"Still\D*([\d.]+)", sentence)
            assert still
            assert float(still[1].rstrip(".")) == pytest.approx(
                notebook.plot(i)["value"], abs=0.006
            )
            assert sentence not in notebook.page.evaluate("probe.cut()")  # seen to its end
            assert not notebook.find(".typed").count()
            notebook.shows(DEMO)


def test_the_next_good_value_takes_the_refusal_away(notebook: Notebook) -> None:
    refused(notebook, WALL, "40 mm")
    notebook.type(WALL, "3.5")
    notebook.shows(DEMO.evolved({"case.wall": "3.5 mm"}))
    assert "40 mm" not in notebook.slot(WALL)["text"]
    assert notebook.slot(WALL)["refused"] == ""


def test_a_value_may_be_typed_in_any_unit_or_none(notebook: Notebook) -> None:
    for i in GOOD:
        for text, meant in GOOD[i].items():
            with case(NAMES[i], text):
                notebook.type(i, text)
                notebook.shows(DEMO.evolved({PATHS[i]: meant}))
        notebook.undone(DEMO)


def test_a_value_off_the_axis_brings_the_axis_along(notebook: Notebook) -> None:
    high = notebook.plot(WALL)["high"]
    notebook.type(WALL, "9")
    plot = notebook.shows(DEMO.evolved({"case.wall": "9 mm"}))["plots"][WALL]
    assert high < 9 < plot["high"]
    assert plot["low"] < 9


@pytest.mark.parametrize("key", ["Escape", "Enter"])
def test_nothing_typed_or_escape_leaves_the_value(notebook: Notebook, key: str) -> None:
    notebook.type(WALL, "" if key == "Enter" else "4.4", key)
    assert not notebook.find(".typed").count()
    assert notebook.page.evaluate("probe.focused().matches('.slider')")
    notebook.type(COUNT, "13")  # heard after the other: had that changed anything, it would show
    notebook.shows(DEMO.evolved({"screw.count": "13"}))


def test_a_digit_on_the_slider_begins_typing(notebook: Notebook) -> None:
    notebook.of(COUNT, ".slider").focus()
    notebook.page.keyboard.type("16")
    notebook.page.keyboard.press("Enter")
    notebook.shows(DEMO.evolved({"screw.count": "16"}))
    notebook.page.keyboard.press("Enter")
    assert notebook.find(".typed").input_value() == "16"


def test_what_is_typed_in_inches_is_taken_in_inches(notebook: Notebook) -> None:
    notebook.find("[data-unit=inch]").click()
    notebook.shows(DEMO, "inch")
    notebook.type(WALL, "0.15")
    notebook.shows(DEMO.evolved({"case.wall": "0.15 in"}), "inch")
    notebook.type(MEOP, "1000")
    notebook.shows(DEMO.evolved({"case.wall": "0.15 in", PATHS[MEOP]: "1000 psi"}), "inch")
