"""A warning carries its remedy: seen in preview, taken, and taken back."""

import pytest

from hobbyclosure import Assessment, Design, study, words
from tests.browser.conftest import Visit
from tests.browser.notebook import COUNT, MEOP, PATHS, WALL, Notebook
from tests.designs import DEMO

FEW = DEMO.evolved({"screw.count": "8"})


@pytest.fixture
def few(notebook: Notebook) -> Notebook:
    """The demo with too few screws."""
    notebook.drag(COUNT, 8)
    notebook.shows(FEW)
    return notebook


def offered(design: Design, path: str) -> study.Remedy:
    """The remedy beside a plot."""
    here = [w for w in words.warnings(Assessment(design)) if w.slot == path and w.level == "stop"]
    assert here
    assert here[0].remedy
    return here[0].remedy


def taken(design: Design, path: str) -> Design:
    """The design after the remedy beside a plot."""
    remedy = offered(design, path)
    return design.evolved(study.changes(design, remedy.path, remedy.value))


def test_too_few_screws_say_stop_and_offer_what_to_do(few: Notebook) -> None:
    slot, remedy = few.slot(COUNT), offered(FEW, "screw.count")
    assert slot["warns"]
    assert slot["fix"] == words.field_value(remedy.path, remedy.value)
    assert slot["effect"] == f"fixes {remedy.fixes}, breaks {remedy.breaks}"
    assert Assessment(taken(FEW, "screw.count")).ratios["screw.bending.ultimate"] >= 1
    assert few.find(".picture [data-mark]").count() > 0


def ghosts(notebook: Notebook) -> tuple[list[str], list[bool], int]:
    """What a preview draws: dashed handles, lines of the other plots, rings of the ladder."""
    plots = notebook.read()["plots"]
    rings = notebook.find(".rung circle.ghost:not([visibility=hidden])").count()
    return [p["ghost"] for p in plots], [bool(p["ghostLine"]) for p in plots], rings


def previewed(notebook: Notebook) -> None:
    """Wait for the preview of the screws' remedy and look at it."""
    notebook.wait("probe.page().plots[1].ghost !== ''")
    boxes, drawn, rings = ghosts(notebook)
    assert boxes == ["", f"{offered(FEW, 'screw.count').value:.0f}", ""]
    assert drawn == [True, False, True]
    assert rings > 0
    assert notebook.slot(COUNT)["previewed"]
    notebook.shows(FEW)  # nothing is changed yet


def gone(notebook: Notebook) -> None:
    """Wait until nothing of a preview is left."""
    notebook.wait("probe.page().plots.every((p) => !p.ghost && !p.ghostLine)")
    assert ghosts(notebook) == (["", "", ""], [False, False, False], 0)


def test_pointing_at_a_remedy_previews_it_and_leaving_ends_that(few: Notebook) -> None:
    few.of(COUNT, ".fix").hover()
    previewed(few)
    few.page.mouse.move(700, 300)
    gone(few)
    few.shows(FEW)


def test_a_press_takes_the_remedy_and_its_warning_is_gone(few: Notebook) -> None:
    few.of(COUNT, ".fix").hover()
    previewed(few)
    few.of(COUNT, ".fix").click()
    after = few.shows(taken(FEW, "screw.count"))
    gone(few)
    assert FEW["screw.count"].now < after["plots"][COUNT]["value"]
    assert few.slot(COUNT)["text"] != words.warnings(Assessment(FEW))[0].text


def test_by_keyboard_focus_previews_and_enter_takes(few: Notebook) -> None:
    few.of(COUNT, ".fix").focus()
    previewed(few)
    few.page.keyboard.press("Tab")
    gone(few)
    few.of(COUNT, ".fix").focus()
    previewed(few)
    few.page.keyboard.press("Enter")
    few.shows(taken(FEW, "screw.count"))


def test_by_finger_the_first_touch_previews_and_the_second_takes(visit: Visit) -> None:
    notebook = visit(has_touch=True)
    notebook.drag(COUNT, 8)
    notebook.shows(FEW)
    notebook.of(COUNT, ".fix").tap()
    previewed(notebook)
    notebook.of(COUNT, ".fix").tap()
    notebook.shows(taken(FEW, "screw.count"))


def test_a_remedy_of_one_plot_may_move_the_slider_of_another(notebook: Notebook) -> None:
    """Whatever field the remedy beside the wall plot moves, taking it does just that."""
    thin = DEMO.evolved({"case.wall": notebook.drag(WALL, 1.9) / 1000})
    notebook.shows(thin)
    notebook.of(WALL, ".fix").click()
    notebook.shows(taken(thin, "case.wall"))


def test_the_rest_of_the_warnings_open_in_the_leaf_and_can_be_acted_on(few: Notebook) -> None:
    here = [w for w in words.warnings(Assessment(FEW)) if w.slot == "screw.count"]
    few.of(COUNT, ".more").click()
    few.leaf.locator("h2").wait_for()
    assert few.leaf.locator(".item p").count() == len(here)
    for warning, said in zip(here, few.leaf.locator(".item p").all_inner_texts(), strict=True):
        assert warning.text in said
    few.leaf.locator("[data-do=take]").first.click()
    few.shows(taken(FEW, "screw.count"))


def test_undo_and_redo_go_back_and_forth_by_button_and_by_key(few: Notebook) -> None:
    assert few.read()["undo"].startswith("Undo screw")
    few.of(COUNT, ".fix").click()
    mended = taken(FEW, "screw.count")
    few.shows(mended)
    assert few.read()["undo"] == "Undo remedy, 13 screws"
    keys = few.page.keyboard
    steps = (
        (lambda: few.find(".undo").click(), FEW),
        (lambda: keys.press("Control+z"), DEMO),
        (lambda: few.find(".redo").click(), FEW),
        (lambda: keys.press("Control+y"), mended),
        (lambda: keys.press("Control+z"), FEW),
        (lambda: keys.press("Control+Shift+Z"), mended),
    )
    for act, design in steps:
        act()
        few.shows(design)
    assert few.find(".redo").is_disabled()


def test_with_nothing_done_there_is_nothing_to_undo(notebook: Notebook) -> None:
    assert notebook.find(".undo").is_disabled()
    assert notebook.find(".redo").is_disabled()
    notebook.page.keyboard.press("Control+z")
    notebook.shows(DEMO.evolved({PATHS[MEOP]: notebook.drag(MEOP, 5.0) * 1e6}))
    notebook.page.keyboard.press("Control+z")
    notebook.shows(DEMO)
    assert notebook.find(".undo").is_disabled()
