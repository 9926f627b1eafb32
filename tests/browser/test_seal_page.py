"""The Seal page: rings, corners, pushing in, three plots, undo, every size; against its model."""

import json
import signal
from typing import Any

import pytest

from app.session import Session
from app.views.notebook import Notebook as Model
from hobbyclosure import Design
from tests.browser.conftest import Server, Visit
from tests.browser.measure import faint, outside, overlaps, sideways, small, texts
from tests.browser.notebook import Notebook
from tests.browser.test_layout import SIZES, THEMES, UNSTUCK, opened
from tests.designs import DEMO
from tests.support import case

FLOOR = "seal.primary.groove_diameter"


def turned(notebook: Notebook) -> Notebook:
    """The notebook on the page, everything drawn and at rest."""
    notebook.find("nav button[data-page=seal]").click()
    return still(notebook)


def still(notebook: Notebook) -> Notebook:
    """Wait until everything is drawn for its size and nothing moves or is under way."""
    notebook.wait("""() => document.documentElement.dataset.page === "seal"
      && Bokeh.documents[0].is_idle && !document.getAnimations().length
      && probe.all(".gland .sheet svg").length && probe.all(".push path.force").length
      && probe.all(".board.seal .plot").every((plot) => plot.offsetHeight)
      && probe.all(".fit").length && probe.all(".gland .sheet svg").every((svg) =>
        Math.abs(svg.closest(".sheet").clientWidth - svg.getAttribute("width")) <= 1)""")
    return notebook


@pytest.fixture
def seal(notebook: Notebook) -> Notebook:
    """The demo's Seal page at 1440 × 900, by day."""
    return turned(notebook)


def model(design: Design, tmp_path: Any, ring: str = "primary") -> Model:
    """What the page's own model says of a design."""
    session = Session()
    session._show(design)
    page = Model(session)
    page.turn("seal")
    if ring != "primary":
        page.seal._gland_heard("ring", ring)
    return page


def says(notebook: Notebook, design: Design, tmp_path: Any, ring: str = "primary") -> None:
    """Wait until the page says what the model says of a design."""
    page = model(design, tmp_path, ring)
    verdict, rings = json.loads(page.verdict.data), json.loads(page.seal.rings.data)
    foot = json.loads(page.seal.gland.data)["foot"]
    notebook.wait(
        """([verdict, rows, foot]) => probe.said(probe.all(".verdict h1")[0]) === verdict
          && JSON.stringify(probe.all(".fit:not([hidden]) .name b").map((n) => n.textContent))
             === JSON.stringify(rows)
          && JSON.stringify(probe.all(".gland dd").map((n) => n.textContent))
             === JSON.stringify(foot)""",
        [f"{verdict['bold']} {verdict['plain']}".replace("\u00a0", " "),
         [row["label"] for row in rings["rows"]], [value for _, value in foot]],
    )  # fmt: skip


@pytest.fixture(autouse=True)
def _own_state(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path))


def handle(notebook: Notebook, field: str) -> Any:
    """The handle of a plot of this page."""
    return notebook.find(f'.board.seal .plot[data-field="{field}"] .grab')


def drag(notebook: Notebook, field: str, far: float) -> float:
    """Drag a plot's handle; the value it then shows."""
    box = handle(notebook, field).bounding_box()
    assert box
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    notebook.page.mouse.move(x, y)
    notebook.page.mouse.down()
    notebook.page.mouse.move(x + far, y, steps=5)
    notebook.page.mouse.up()
    plot = notebook.find(f'.board.seal .plot[data-field="{field}"]')
    return float(plot.locator(".onhandle").text_content() or "nan")


def test_opening_shows_what_the_model_says(seal: Notebook, tmp_path) -> None:
    says(seal, DEMO, tmp_path)
    assert seal.find(".gland .which button[aria-pressed=true]").inner_text() == "Primary"


AXES = [
    ("floor", FLOOR, "mm", -20), ("closure.clearance", "closure.clearance", "mm", 24),
    ("loads.meop_given", "loads.meop_given", "MPa", 22),
]  # fmt: skip


def test_each_axis_is_a_slider(seal: Notebook, tmp_path) -> None:
    for field, path, unit, far in AXES:
        with case(path):
            value = drag(seal, field, far)
            says(seal, DEMO.evolved({path: f"{value} {unit}"}), tmp_path)
            with seal.redrawn():
                seal.find(".undo").click()
            says(seal, DEMO, tmp_path)
            assert seal.find(".undo").is_disabled()


DASHED = ".board.seal .plot path.keptline[d^=M]:not([visibility=hidden])"


def test_what_is_kept_is_drawn_dashed_in_gland_and_plots(seal: Notebook) -> None:
    assert seal.find(f"{DASHED}, .gland svg path.kept").count() == 0
    seal.find(".verdict .keep").click()
    drag(seal, "floor", -20)
    seal.wait("() => probe.all('.gland svg path.kept').length === 1")
    dashed = seal.find(DASHED)
    assert dashed.count() >= 5  # loosest and tightest, the old floor, gaps over clearance and MEOP
    assert all(
        style != "none"
        for style in dashed.evaluate_all(
            "(ns) => ns.map((n) => getComputedStyle(n).strokeDasharray)"
        )
    )


def test_a_remedy_is_previewed_in_the_plots_and_left(seal: Notebook) -> None:
    drag(seal, "floor", -20)
    fix = seal.find('.board.seal .plot[data-field="floor"] .fix')
    fix.wait_for()
    fix.hover()
    shown = "path.ghostline[d^=M], g:not([visibility=hidden]) > rect.ghostbox"
    seal.wait("(what) => probe.all(what).length === 3", shown)
    seal.page.mouse.move(5, 5)
    seal.wait("(what) => probe.all(what).length === 0", shown)


def test_a_ring_of_the_list_is_taken_and_given_back(seal: Notebook, tmp_path) -> None:
    other = seal.find(".fit:not(.on)").first
    label = other.locator("b").inner_text()
    other.click()
    key = label.replace(" × ", "x")
    says(seal, DEMO.evolved({"seal.primary.ring": key}), tmp_path)
    assert seal.find(".fit.on b").inner_text() == label
    seal.find(".undo").click()
    says(seal, DEMO, tmp_path)


def test_the_list_turns_round_to_grooves(seal: Notebook) -> None:
    seal.find(".rings .turn").click()
    seal.wait("() => probe.all('#rings-title')[0].textContent === 'Grooves for rings'")
    last = seal.find(".fit:not([hidden]) .name i").last.inner_text()
    assert last.startswith("short: ")  # what would spoil the design stands last, and says so
    seal.find(".fit").filter(has_text="69 × 3.55").click()
    seal.wait("() => probe.all('.undo')[0].getAttribute('aria-label') === 'Undo primary ring'")
    note = seal.find(".fit.on .name i").inner_text()
    assert note.startswith("⌀ ")
    assert "wide" in note


def test_another_ring_has_its_own_picture_and_axis(seal: Notebook, tmp_path) -> None:
    seal.find(
        ".gland .which button",
    ).nth(2).click()
    says(seal, DEMO, tmp_path, "liner")
    floor = float(DEMO["seal.liner.groove_diameter"].now) * 1e3
    seal.wait(
        "(at) => Math.abs(probe.all('.board.seal section.plot .slider').length && "
        "Number(probe.all('.onhandle').find((n) => Math.abs(Number(n.textContent) - at) < 0.01)"
        "?.textContent) - at) < 0.01",
        floor,
    )


def test_a_corner_is_picked_and_escape_follows_the_closest_again(seal: Notebook) -> None:
    before = seal.find(".gland h2 b").inner_text()
    seal.find(".corners button[aria-pressed=false]").nth(4).click()
    seal.wait("(was) => probe.all('.gland h2 b')[0].textContent !== was", before)
    seal.page.keyboard.press("Escape")
    seal.wait("(was) => probe.all('.gland h2 b')[0].textContent === was", before)


def test_the_closure_is_pushed_in_by_keys_without_the_server(
    seal: Notebook, server: Server
) -> None:
    slider = seal.find(".push input")
    slider.focus()
    server.process.send_signal(signal.SIGSTOP)
    try:
        seal.page.keyboard.press("Home")
        seal.wait(
            "() => probe.all('.push .said')[0].textContent === 'nothing touches yet: 0.00 kN'"
        )
        seal.page.keyboard.press("End")
        seal.wait(r"() => / slide: 0\.[1-9]/.test(probe.all('.push .said')[0].textContent)")
    finally:
        server.process.send_signal(signal.SIGCONT)


def test_the_closure_is_pushed_in_by_hand_without_the_server(
    seal: Notebook, server: Server
) -> None:
    slider = seal.find(".push input")
    box = slider.bounding_box()
    assert box
    y = box["y"] + box["height"] / 2

    def said() -> str:
        return seal.find(".push .said").inner_text()

    server.process.send_signal(signal.SIGSTOP)
    try:
        along = []
        mouse = seal.page.mouse
        start = box["x"] + 22 + (box["width"] - 44) * float(slider.input_value()) / 1000
        mouse.move(start, y)
        mouse.down()
        for share in (0.02, 0.35, 0.7, 0.98):
            mouse.move(box["x"] + 22 + (box["width"] - 44) * share, y, steps=4)
            seal.wait("(at) => Math.abs(probe.all('.push input')[0].value - at) < 40", 1000 * share)
            along.append((said(), seal.find(".push .grip").bounding_box()))
        mouse.up()
    finally:
        server.process.send_signal(signal.SIGCONT)
    places = [place["x"] for _, place in along if place]
    assert len(places) == 4
    assert places == sorted(places)
    assert places[-1] - places[0] > 0.5 * box["width"]
    assert along[0][0] == "nothing touches yet: 0.00 kN"
    assert len({text for text, _ in along}) == 4


def test_other_compound_goes_to_its_field(seal: Notebook) -> None:
    seal.find(".rubber button").click()
    row = seal.find('.row[data-path="seal.primary.compound"]')
    row.wait_for()
    seal.wait("() => probe.focused().closest('.row')?.dataset.path === 'seal.primary.compound'")


def test_a_refused_clearance_is_said_at_its_plot(seal: Notebook, tmp_path) -> None:
    handle(seal, "closure.clearance").dblclick()
    seal.find(".board.seal .typed").fill("-1")
    seal.page.keyboard.press("Enter")
    seal.wait("() => probe.all('.board.seal .slot').length >= 0 && "
              "probe.all('.slot p').some((n) => n.textContent.includes('Still'))")  # fmt: skip
    says(seal, DEMO, tmp_path)


def test_no_size_overlaps_fades_or_hides(visit: Visit) -> None:
    notebook = turned(opened(visit, SIZES[0]))
    notebook.page.add_style_tag(content=UNSTUCK)
    for size in SIZES:
        with case(size):
            notebook.resize(*size)
            still(notebook)
            assert sideways(notebook) <= 0
            assert small(notebook) == []
        for theme in THEMES:
            with case(size, theme):
                notebook.page.evaluate(
                    "(theme) => (document.documentElement.dataset.theme = theme)", theme.lower()
                )
                found = texts(notebook)
                assert overlaps(found) == []
                assert outside(notebook, found) == []
                assert faint(notebook, found) == []
