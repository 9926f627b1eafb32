"""Keeping a design for comparison, and factors as they are instead of over what is required."""

import re

import pytest

from hobbyclosure import Assessment, Design
from hobbyclosure.graph import CHECKS
from tests.browser.notebook import COUNT, MEOP, WALL, Notebook, lowest
from tests.designs import DEMO

KEPT = re.compile(r"kept \d\d:\d\d: 14 screws, 3\.175 mm wall")
PLOTS = (WALL, COUNT, MEOP)


def step(notebook: Notebook, i: int, key: str, design: Design) -> None:
    """Press a key on a slider and wait for the design that makes."""
    notebook.of(i, ".slider").press(key)
    notebook.shows(design)


def with_count(count: int) -> Design:
    return DEMO.evolved({"screw.count": count})


def keep(notebook: Notebook) -> None:
    was = notebook.find(".verdict .past").text_content()
    notebook.find(".verdict .keep").click()
    notebook.wait("(was) => probe.all('.verdict .past')[0].textContent !== was", was)


def curves(notebook: Notebook, i: int, kind: str) -> list[str]:
    """Paths of a plot's lines."""
    nodes = notebook.of(i, f".{kind}").all()
    return [d for node in nodes if (d := node.get_attribute("d"))]


def dashed(notebook: Notebook) -> list[int]:
    """How much of the kept design each view shows: three plots, two drawings, the ladder."""
    plots = [len(curves(notebook, i, "keptline")) for i in PLOTS]
    pictures = [notebook.find(f"svg.{view} path.kept").count() for view in ("section", "end")]
    ladder = notebook.find(".rung .keptdot").evaluate_all(
        "(dots) => dots.filter(probe.shown).length"
    )
    return [*plots, *pictures, ladder]


def test_nothing_is_dashed_before_a_design_is_kept(notebook: Notebook) -> None:
    assert dashed(notebook) == [0] * 6
    assert notebook.find(".verdict .keep").inner_text() == "Keep for comparison"
    assert not notebook.find(".verdict .past").is_visible()


def test_the_kept_design_is_said_and_stays_dashed_in_every_view(notebook: Notebook) -> None:
    before = {i: curves(notebook, i, "line") for i in PLOTS}
    keep(notebook)
    assert KEPT.search(notebook.find(".verdict .past").inner_text())
    assert notebook.find(".verdict .keep").inner_text() == "Keep this instead"
    step(notebook, COUNT, "ArrowLeft", with_count(13))
    lines, rungs = dashed(notebook)[:3], dashed(notebook)[3:]
    assert min(lines) >= 5
    assert rungs[1] == 1  # the heads stand elsewhere
    assert rungs[2] > 0  # so do the rungs that depend on their number
    for i in (WALL, MEOP):
        kept = set(curves(notebook, i, "keeps path"))
        assert kept
        assert kept <= set(before[i])  # the very curves that were drawn when it was kept
    step(notebook, COUNT, "ArrowLeft", with_count(12))
    assert KEPT.search(notebook.find(".verdict .past").inner_text())


def test_a_kept_wall_is_dashed_in_the_section_and_marked_on_its_axis(notebook: Notebook) -> None:
    keep(notebook)
    notebook.type(WALL, "4 mm")
    notebook.shows(DEMO.evolved({"case.wall": "4 mm"}))
    assert dashed(notebook)[3] == 1
    marks = notebook.of(WALL, "svg > path.keptline")
    place = float((marks.get_attribute("d") or "")[1:].split()[0])
    handle = notebook.of(WALL, ".marker").get_attribute("x1")
    assert place < float(handle or 0)


def test_keeping_another_takes_the_place_of_the_first(notebook: Notebook) -> None:
    keep(notebook)
    step(notebook, COUNT, "ArrowLeft", with_count(13))
    keep(notebook)
    assert ": 13 screws, 3.175 mm wall" in notebook.find(".verdict .past").inner_text()
    assert dashed(notebook)[4:] == [0, 0]


def test_dropping_it_leaves_nothing_dashed(notebook: Notebook) -> None:
    keep(notebook)
    step(notebook, COUNT, "ArrowLeft", with_count(13))
    notebook.find(".verdict .drop").press("Enter")
    notebook.wait("() => probe.all('.verdict .past')[0].hidden")
    assert dashed(notebook) == [0] * 6
    assert not notebook.find(".verdict .past").is_visible()
    assert notebook.page.evaluate("probe.focused().textContent") == "Keep for comparison"
    notebook.shows(with_count(13))


# ---- factors as they are


def raw(notebook: Notebook) -> None:
    notebook.of(WALL, ".axisname").click()
    notebook.wait("() => probe.all('.axisname')[0].ariaPressed === 'true'")


def said(notebook: Notebook) -> list[dict[str, float]]:
    """What each plot says of its lines."""
    return [
        {name: float(number) for name, number in plot["now"]} for plot in notebook.read()["plots"]
    ]


@pytest.mark.parametrize("count", [14, 11])
def test_touching_the_axis_label_shows_the_factors_themselves(
    notebook: Notebook, count: int
) -> None:
    design = with_count(count)
    notebook.type(COUNT, str(count))
    notebook.shows(design)
    raw(notebook)
    found = Assessment(design)
    wanted = {CHECKS[i].brief: float(found.results[i].factor) for i in lowest(found)}
    for shown in said(notebook):
        assert shown == {name: pytest.approx(f, abs=0.0051) for name, f in wanted.items()}
    notebook.of(WALL, ".axisname").press("Enter")
    notebook.shows(design)


def test_each_line_has_its_own_requirement_and_none_is_common(notebook: Notebook) -> None:
    assert notebook.of(WALL, ".axisname").inner_text() == "factor ÷ required"
    assert notebook.of(WALL, ".req").count() == 1
    raw(notebook)
    assert notebook.of(WALL, ".axisname").inner_text() == "factor"
    assert notebook.of(WALL, ".axisname").get_attribute("aria-pressed") == "true"
    found = Assessment(DEMO)
    required = sorted(float(found.results[i].required) for i in lowest(found))
    for i in PLOTS:
        assert notebook.of(i, ".req").count() == 0
        assert notebook.of(i, ".zone").count() == 0
        marks = notebook.of(i, ".wantmark").evaluate_all(
            "(nodes) => nodes.map((n) => [n.getBBox().x, n.getBBox().y])"
        )
        top, bottom = 22, 22 + 184  # of the curves
        heights = sorted((bottom - y) / (bottom - top) * 5 for _, y in marks)
        assert heights == pytest.approx(required, abs=0.02)
        assert len({tuple(at) for at in marks}) == 5  # side by side where they are the same


def test_kept_lines_follow_the_axis(notebook: Notebook) -> None:
    keep(notebook)
    step(notebook, COUNT, "ArrowLeft", with_count(13))
    relative = curves(notebook, MEOP, "keeps path")
    raw(notebook)
    itself = curves(notebook, MEOP, "keeps path")
    assert len(itself) == len(relative)
    assert set(itself) != set(relative)
