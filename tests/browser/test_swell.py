"""The pressure slider under the section: it swells the drawing until something lets go."""

import pytest

from hobbyclosure import Assessment, Design, study, swell, words
from tests.browser.notebook import COUNT, WALL, Notebook
from tests.designs import DEMO


def first(design: Design = DEMO) -> study.Rung:
    return next(r for r in study.ladder(Assessment(design)) if r.check)


def outline(notebook: Notebook) -> str:
    """Path of the closure's outline in the section."""
    return notebook.find("svg.section [data-part=closure] .part").first.get_attribute("d") or ""


def settled(notebook: Notebook) -> None:
    """Wait until the drawing has the size of its place."""
    notebook.wait(
        "() => { const svg = probe.all('svg.section')[0]; const box = probe.all('.picture')[0]; "
        "return Math.abs(svg.width.baseVal.value - box.clientWidth) <= 1 && "
        "Math.abs(svg.height.baseVal.value - box.clientHeight) <= 1 }"
    )


def slide(notebook: Notebook, share: float) -> None:
    """Set the slider and wait for the drawing."""
    notebook.find(".rail input").fill(f"{100 * share:g}")
    wanted = [int(share > 0), int(share == 1)]
    notebook.wait(
        "(wanted) => ['.rest', '[data-part].gone'].every((kind, i) => "
        "Math.sign(probe.all('svg.section ' + kind).length) === wanted[i])",
        wanted,
    )


def said(notebook: Notebook) -> str:
    return notebook.find(".swell .said").inner_text()


def test_at_rest_it_says_where_it_goes(notebook: Notebook) -> None:
    factor = swell.exaggeration(Assessment(DEMO).inputs, first().pressure)
    assert notebook.find(".swell .what").inner_text() == f"Swell × {factor:g}"
    assert said(notebook) == f"0.0 of {words.pressure(first().pressure)}"
    assert notebook.find("svg.section .rest").count() == 0


def test_the_drawing_swells_and_keeps_its_outline_at_rest_dashed(notebook: Notebook) -> None:
    settled(notebook)
    rest = outline(notebook)
    slide(notebook, 0.5)
    half = outline(notebook)
    assert said(notebook) == f"{words.pressure(0.5 * first().pressure, unit=False)} of " \
        f"{words.pressure(first().pressure)}"  # fmt: skip
    assert half != rest
    assert notebook.find("svg.section .rest").count() == 1
    assert notebook.find("svg.section .gone").count() == 0
    slide(notebook, 0)
    assert outline(notebook) == rest
    assert notebook.find("svg.section .rest").count() == 0


def test_at_the_first_rung_its_part_is_solid_and_named(notebook: Notebook) -> None:
    slide(notebook, 1)
    near = [r for r in study.ladder(Assessment(DEMO))
            if r.check and r.pressure < study.NEAR * first().pressure]  # fmt: skip
    checks = [r.check for r in near if r.check]
    assert said(notebook) == " or ".join(check.label for check in checks)
    gone = notebook.find("svg.section .gone")
    assert {node.get_attribute("data-part") for node in gone.all()} == {c.part for c in checks}
    ink = notebook.page.evaluate("getComputedStyle(probe.all('.picture')[0]).color")
    fills = gone.locator(".face").evaluate_all(
        "(nodes) => nodes.map((n) => getComputedStyle(n).fill)"
    )
    assert fills
    assert set(fills) == {ink}
    spoken = notebook.find(".rail input").get_attribute("aria-valuetext") or ""
    assert words.pressure(first().pressure) in spoken


def test_it_keeps_its_share_of_the_first_rung_when_the_design_moves(notebook: Notebook) -> None:
    slide(notebook, 0.5)
    half = outline(notebook)
    notebook.of(COUNT, ".slider").press("ArrowLeft")
    design = DEMO.evolved({"screw.count": 13})
    notebook.shows(design)
    assert said(notebook) == f"{words.pressure(0.5 * first(design).pressure, unit=False)} of " \
        f"{words.pressure(first(design).pressure)}"  # fmt: skip
    assert outline(notebook) != half


def test_it_changes_no_number(notebook: Notebook) -> None:
    slide(notebook, 0.8)
    found = notebook.shows(DEMO)
    assert found["undo"] == "Undo"
    assert found["saved"] == ""


def test_keys_move_it_and_the_end_key_goes_to_the_first_rung(notebook: Notebook) -> None:
    rail = notebook.find(".rail input")
    rail.press("ArrowRight")
    notebook.wait("() => probe.all('svg.section .rest')[0]")
    assert not said(notebook).startswith("0.0")
    rail.press("End")
    notebook.wait("() => probe.all('svg.section .gone')[0]")
    rail.press("Home")
    notebook.wait("() => !probe.all('svg.section .rest')[0]")


def test_meop_is_marked_and_holds_the_thumb(notebook: Notebook) -> None:
    a = Assessment(DEMO)
    share = float(a.values["loads_meop"]) / first().pressure
    rail, tick = (notebook.find(s).bounding_box() for s in (".rail input", ".tick.meop"))
    assert rail
    assert tick
    at = (tick["x"] + tick["width"] / 2 - rail["x"] - 12) / (rail["width"] - 24)
    assert at == pytest.approx(share, abs=0.01)
    slide(notebook, round(200 * (share + 0.01)) / 200)
    assert said(notebook).startswith(
        f"{words.pressure(float(a.values['loads_meop']), unit=False)} "
    )


def test_inch_readers_read_psi(notebook: Notebook) -> None:
    notebook.find("[data-unit=inch]").click()
    notebook.wait("() => probe.said(probe.all('.swell .said')[0]).endsWith('psi')")
    assert said(notebook) == f"0 of {words.pressure(first().pressure, 'inch')}"


def test_the_thumb_is_large_enough_for_a_finger(notebook: Notebook) -> None:
    box = notebook.find(".rail input").bounding_box()
    assert box
    assert box["height"] >= 44
    assert box["width"] >= 80
    assert notebook.of(WALL, ".slider").count() == 1
