"""The one panel: a working opens from wherever its number stands."""

from pathlib import Path

from playwright.sync_api import Locator, expect

from hobbyclosure import Assessment, Design, file, words
from hobbyclosure.graph import CHECKS
from tests.browser.conftest import Start, Visit
from tests.browser.notebook import COUNT, WALL, Notebook, lowest
from tests.designs import DEMO
from tests.support import case

FEW = DEMO.evolved({"screw.count": "8"})


def title(design: Design, id: str) -> str:
    """Head of a check's working."""
    found = Assessment(design).results[id]
    factor, wanted = words.two_decimals(float(found.factor), float(found.required))
    return f"{words.sentence(CHECKS[id].label)} {factor}, wanted {wanted}"


def head(notebook: Notebook) -> Locator:
    """Head of the leaf."""
    return notebook.leaf.locator("h2")


def opens(notebook: Notebook, opener: Locator, said: str) -> None:
    """The opener opens a working by hand and by key; Escape and Close shut it and give it focus."""
    node = opener.element_handle()
    for act, shut in (
        (lambda: opener.click(), lambda: notebook.page.keyboard.press("Escape")),
        (lambda: opener.press("Enter"), lambda: notebook.leaf.get_by_text("Close").click()),
    ):
        act()
        head(notebook).wait_for()
        assert head(notebook).inner_text() == said
        assert notebook.page.evaluate("probe.focused().closest('.leaf') !== null")
        shut()
        notebook.leaf.wait_for(state="detached")
        assert notebook.page.evaluate("(node) => probe.focused() === node", node)


def test_each_line_of_a_plot_opens_its_working(notebook: Notebook) -> None:
    ids = list(lowest(Assessment(DEMO)))
    assert len(ids) == 5
    for rank, id in enumerate(ids):
        with case(rank, id):
            opens(notebook, notebook.of(rank % 3, ".named").nth(rank), title(DEMO, id))


def test_a_rung_of_the_ladder_opens_its_working(notebook: Notebook) -> None:
    rung = notebook.find(".rung").filter(has_text=CHECKS["case.bearing.ultimate"].outcome)
    opens(notebook, rung, title(DEMO, "case.bearing.ultimate"))


def test_a_proof_without_an_answer_has_no_line_at_zero(
    notebook: Notebook, visit: Visit, start: Start, tmp_path: Path
) -> None:
    assert notebook.find(".ladder path.proof").count() == 1
    hot = DEMO.evolved({"case.metal_temperature": "400 °C"})
    (tmp_path / "hot.toml").write_text(file.written(hot, None, "metric"), encoding="utf-8")
    found = visit(start("--as-saved", str(tmp_path / "hot.toml")).url)
    expect(found.find(".ladder text").filter(has_text="proof no answer")).to_be_visible()
    assert found.find(".ladder path.proof").count() == 0


def test_a_warning_opens_its_working(notebook: Notebook) -> None:
    notebook.drag(COUNT, 8)
    notebook.shows(FEW)
    first = next(w for w in words.warnings(Assessment(FEW)) if w.slot == "screw.count")
    opens(notebook, notebook.of(COUNT, ".say"), title(FEW, first.check))


def test_a_mark_in_the_drawing_opens_what_it_stands_for(notebook: Notebook) -> None:
    notebook.drag(COUNT, 8)
    notebook.shows(FEW)
    mark = notebook.find(".picture [data-mark]").first
    id = (mark.get_attribute("data-mark") or "").split()[0]
    assert Assessment(FEW).states[id] == "short"
    assert mark.get_attribute("aria-label")
    opens(notebook, mark, title(FEW, id))


def test_a_working_is_typeset_and_says_what_it_stands_on(notebook: Notebook) -> None:
    notebook.find(".rung").filter(has_text=CHECKS["case.bearing.ultimate"].outcome).click()
    head(notebook).wait_for()
    spaces = "(all) => all.map((node) => node.namespaceURI)"
    assert set(notebook.leaf.locator("math").evaluate_all(spaces)) == {
        "http://www.w3.org/1998/Math/MathML"
    }
    assert notebook.leaf.locator(".eq math").count() >= 2
    assert notebook.leaf.locator(".eq code").count() == 0  # what could not be typeset
    a, check = Assessment(DEMO), CHECKS["case.bearing.ultimate"]
    assert a.evidence(check) in notebook.leaf.inner_text()
    assert words.sentence(check.source) in notebook.leaf.inner_text()
    for said in words.context(a, check.id):
        assert said in notebook.leaf.inner_text()


def test_a_symbol_opens_its_own_working_and_back_returns(notebook: Notebook) -> None:
    notebook.of(WALL, ".named").first.click()
    head(notebook).wait_for()
    outer, text = head(notebook).inner_text(), notebook.leaf.inner_text()
    assert notebook.leaf.get_by_text("Back").count() == 0
    notebook.leaf.locator("dl button").first.click()
    notebook.leaf.get_by_text("Back").wait_for()
    inner = head(notebook).inner_text()
    assert inner != outer
    assert notebook.leaf.locator("math").count() > 0
    notebook.leaf.get_by_text("Back").click()
    notebook.wait("(was) => probe.said(probe.all('aside.leaf h2')[0]) === was", outer)
    assert notebook.leaf.inner_text() == text
    notebook.leaf.locator("dl button").first.click()
    notebook.leaf.get_by_text("Back").wait_for()
    notebook.page.keyboard.press("Escape")
    notebook.leaf.wait_for(state="detached")


def test_an_open_working_follows_the_slider(notebook: Notebook) -> None:
    id = next(iter(lowest(Assessment(DEMO))))
    notebook.of(WALL, ".named").first.click()
    head(notebook).wait_for()
    notebook.type(COUNT, "13")
    moved = DEMO.evolved({"screw.count": "13"})
    notebook.shows(moved)
    assert head(notebook).inner_text() == title(moved, id)


def test_an_open_working_follows_a_move_and_leaves_hand_and_eye_where_they_are(
    notebook: Notebook,
) -> None:
    notebook.find(".rung").filter(has_text=CHECKS["case.bearing.ultimate"].outcome).click()
    head(notebook).wait_for()
    notebook.page.set_viewport_size({"width": 1440, "height": 600})  # too low to show all of it
    place = "(box) => (box.scrollTop = 60, box.scrollTop)"
    assert notebook.leaf.evaluate(place) == 60
    slider = notebook.of(WALL, "input.slider")
    slider.focus()
    was, said = notebook.plot(WALL)["value"], head(notebook).inner_text()
    for _ in range(2):
        before = head(notebook).inner_text()
        notebook.page.keyboard.press("ArrowRight")
        expect(head(notebook)).not_to_have_text(before)
    assert notebook.leaf.evaluate("(box) => box.scrollTop") == 60
    assert slider.evaluate("(node) => probe.focused() === node")
    moved = notebook.leaf.inner_html()
    assert notebook.plot(WALL)["value"] > was
    assert title(DEMO, "case.bearing.ultimate") == said
    notebook.page.keyboard.press("Escape")
    notebook.leaf.wait_for(state="detached")
    notebook.find(".rung").filter(has_text=CHECKS["case.bearing.ultimate"].outcome).click()
    head(notebook).wait_for()
    assert notebook.leaf.inner_html() == moved  # as if it had been opened only now
    assert notebook.leaf.evaluate("(box) => box.scrollTop") == 0
