"""The Loads page: thumbs by hand, key and number, traces good and bad, undo, every size."""

from typing import Any

import pytest

from app.views import stair
from hobbyclosure import Assessment, Design, study, words
from hobbyclosure.units import from_si
from tests.browser.conftest import Visit
from tests.browser.measure import faint, outside, overlaps, sideways, small, texts
from tests.browser.notebook import Notebook
from tests.browser.test_layout import NARROW, SIZES, THEMES, UNSTUCK, WIDE, nameless, themed
from tests.designs import DEMO, DEMO_FILE
from tests.support import case

TRACE = DEMO_FILE.with_name("tidewater_trace.csv")
SHARES = {"Hot day": "loads.hot_day", "Batch scatter": "loads.scatter"}
PHONE = (390, 844)
FACTORS = {
    "Proof": ("loads.proof_base",),
    "Yield, screw bending": stair.TIED,
    "Ultimate": ("loads.ultimate_factor",),
}


def turned(notebook: Notebook, page: str = "loads") -> Notebook:
    """The notebook on a page, everything drawn and at rest."""
    notebook.find(f"nav button[data-page={page}]").click()
    notebook.wait("(page) => document.documentElement.dataset.page === page", page)
    if page == "loads":
        still(notebook)
    return notebook


def still(notebook: Notebook) -> None:
    """Wait until the sum is drawn for its size and nothing moves or is under way."""
    notebook.wait("""() => Bokeh.documents[0].is_idle && !document.getAnimations().length
      && probe.all(".sum > svg").some((svg) => Number(svg.getAttribute("width")) > 200
        && Math.abs(svg.parentNode.clientWidth - svg.getAttribute("width")) < 1
        && probe.all(".block .cell").length)""")


@pytest.fixture
def loads(notebook: Notebook) -> Notebook:
    """The demo's Loads page at 1440 × 900, by day."""
    return turned(notebook)


def thumb(notebook: Notebook, name: str) -> Any:
    """The slider of a step by its name."""
    return notebook.find(f'.thumbed:not([hidden]) input[type=range][aria-label="{name}"]')


def value(notebook: Notebook, name: str) -> str:
    """What a thumb says it stands at."""
    return thumb(notebook, name).get_attribute("aria-valuetext") or ""


def stands(notebook: Notebook, name: str, at: float) -> None:
    """Wait until a thumb stands at a number, and the server has said so."""
    notebook.wait(
        """([name, at]) => Bokeh.documents[0].is_idle && probe.all('.thumbed input').some((node) =>
            node.getAttribute('aria-label') === name && Math.abs(node.value - at) < 1e-6)""",
        [name, at],
    )


def number(text: str) -> float:
    return float(text.removeprefix("+ ").removeprefix("× ").split()[0])


def verdict(design: Design, system: str = "metric") -> str:
    shown = stair.Shown(design)
    return str(words.meop_verdict(shown.assessment, stair.pressures(shown), system))


def says(notebook: Notebook, design: Design, system: str = "metric") -> None:
    """Wait until the page says what the model says of a design."""
    notebook.wait("(said) => probe.page().verdict === said", verdict(design, system))
    meop = float(from_si(float(Assessment(design).values["loads_meop"]), "MPa", "Pa"))
    if system == "metric":
        notebook.wait(
            "(said) => probe.all('.sum text.strong.end').some((n) => n.textContent === said)",
            f"{meop:.1f}",
        )


def moved(name: str, to: float) -> Design:
    """The demo with a thumb moved."""
    if name in SHARES:
        return DEMO.evolved({SHARES[name]: f"{to} %"})
    return DEMO.evolved(dict.fromkeys(FACTORS[name], f"{to}"))


def test_the_bar_leads_to_the_page_and_back(notebook: Notebook) -> None:
    names = notebook.find("nav button[data-page]").all_inner_texts()
    assert names.index("Loads") < names.index("Hold")
    assert notebook.find("nav button[aria-current]").inner_text() == "Hold"
    turned(notebook)
    says(notebook, DEMO)
    assert notebook.find("section.sum").is_visible()
    turned(notebook, "hold")
    notebook.shows(DEMO)
    assert not notebook.find(".sum > svg").is_visible()


def undone(notebook: Notebook) -> None:
    """Take back what was done, which the page has still to hear of, to the demo."""
    notebook.find(".undo:enabled").wait_for()
    while notebook.find(".undo").is_enabled():
        with notebook.redrawn():
            notebook.find(".undo").click()
    says(notebook, DEMO)


FAR = {
    "Hot day": -12, "Batch scatter": 9, "Proof": -30, "Yield, screw bending": 40, "Ultimate": 60,
}  # fmt: skip


def test_a_thumb_follows_the_hand_at_once_and_the_model_answers(loads: Notebook) -> None:
    for name, far in FAR.items():
        with case(name):
            follows(loads, name, far)


def follows(loads: Notebook, name: str, far: int) -> None:
    """A thumb goes with the mouse, the model with the thumb, and undo leads back."""
    box = thumb(loads, name).locator("xpath=following-sibling::div").bounding_box()
    assert box
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    before = value(loads, name)
    loads.page.mouse.move(x, y)
    loads.page.mouse.down()
    loads.page.mouse.move(x, y + far, steps=6)
    held = value(loads, name)
    assert held != before
    start = number(before)
    now = thumb(loads, name).locator("xpath=following-sibling::i").bounding_box()
    assert now
    assert now["y"] + now["height"] / 2 == pytest.approx(y + far, abs=2)
    loads.page.mouse.up()
    says(loads, moved(name, number(held)))
    assert value(loads, name) == held
    with loads.redrawn():
        loads.find(".undo").click()
    says(loads, DEMO)
    stands(loads, name, start)
    assert loads.find(".undo").is_disabled()


def test_a_drag_is_one_step_of_undo_and_says_which(loads: Notebook) -> None:
    box = thumb(loads, "Hot day").locator("xpath=following-sibling::div").bounding_box()
    assert box
    x, y = box["x"] + 22, box["y"] + 22
    loads.page.mouse.move(x, y)
    loads.page.mouse.down()
    for down in range(1, 9):
        loads.page.mouse.move(x, y + down)
        loads.page.wait_for_timeout(40)
    loads.page.mouse.up()
    loads.wait("() => probe.page().undo === 'Undo hot-day rise'")
    loads.find(".undo").click()
    says(loads, DEMO)
    assert loads.find(".undo").is_disabled()


STEPS = [
    ("Hot day", "ArrowUp", 8.5), ("Hot day", "ArrowLeft", 7.5), ("Proof", "ArrowRight", 1.35),
    ("Ultimate", "PageUp", 2.25), ("Batch scatter", "PageDown", 7.5),
    ("Yield, screw bending", "ArrowDown", 1.45),
]  # fmt: skip


def test_keys_step(loads: Notebook) -> None:
    for name, key, to in STEPS:
        with case(name, key):
            start = number(value(loads, name))
            thumb(loads, name).focus()
            loads.page.keyboard.press(key)
            assert number(value(loads, name)) == pytest.approx(to)
            says(loads, moved(name, to))
            undone(loads)
            stands(loads, name, start)


def test_end_is_the_last_step_that_meets(loads: Notebook) -> None:
    for name in ("Hot day", "Batch scatter", "Ultimate", "Yield, screw bending"):
        with case(name):
            start = number(value(loads, name))
            end = float(thumb(loads, name).get_attribute("max") or 0)
            thumb(loads, name).focus()
            loads.page.keyboard.press("End")
            to = number(value(loads, name))
            says(loads, moved(name, to))
            step = 0.5 if name in SHARES else 0.01
            assert Assessment(moved(name, to)).state in ("meets", "close")
            if to < end:
                assert Assessment(moved(name, round(to + step, 3))).state == "short"
            undone(loads)
            stands(loads, name, start)


def type_at(notebook: Notebook, name: str, text: str, key: str = "Enter") -> None:
    """Double-tap a thumb and type."""
    thumb(notebook, name).locator("xpath=following-sibling::div").dblclick()
    field = notebook.find(".sum .typed")
    field.fill(text)
    field.press(key)


TYPED = [
    ("Hot day", "6", 6), ("Hot day", "× 1.05", 5), ("Batch scatter", "12 %", 12),
    ("Ultimate", "1.9", 1.9), ("Proof", "x 1.4", 1.4),
]  # fmt: skip


def test_a_number_can_be_typed(loads: Notebook) -> None:
    for name, text, to in TYPED:
        with case(name, text):
            start = number(value(loads, name))
            type_at(loads, name, text)
            stands(loads, name, to)
            says(loads, moved(name, to))
            assert number(value(loads, name)) == pytest.approx(to)
            undone(loads)
            stands(loads, name, start)


def test_enter_types_and_escape_leaves_it(loads: Notebook) -> None:
    thumb(loads, "Proof").focus()
    loads.page.keyboard.press("Enter")
    loads.find(".sum .typed").fill("2")
    loads.page.keyboard.press("Escape")
    assert value(loads, "Proof") == "× 1.3"
    assert not loads.find(".sum .typed").count()


def test_a_refused_number_is_said_and_nothing_moves(loads: Notebook) -> None:
    type_at(loads, "Hot day", "900")
    loads.wait("() => probe.all('.factors .say').some((n) => n.textContent.includes('900'))")
    said = loads.find(".factors .say").inner_text().replace("\xa0", " ")
    assert said == "Hot-day rise: '900' must be 0 % to 100 %. Still 8 %."
    assert value(loads, "Hot day") == "+ 8 %"
    says(loads, DEMO)
    type_at(loads, "Hot day", "9")
    says(loads, moved("Hot day", 9))
    assert "900" not in loads.find(".factors .say").inner_text()


def add(notebook: Notebook, name: str, content: bytes) -> None:
    """Pick a trace's file."""
    chosen = {"name": name, "mimeType": "text/csv", "buffer": content}
    notebook.find(".block.trace input[type=file]").set_input_files(chosen)


def test_a_trace_replaces_the_peak_and_says_so(loads: Notebook) -> None:
    type_at(loads, "Expected peak", "5 MPa")
    says(loads, DEMO.evolved({"loads.peak": "5 MPa"}))
    add(loads, TRACE.name, TRACE.read_bytes())
    loads.wait(
        "() => probe.all('.line em').filter((n) => n.textContent === 'from trace').length === 3"
    )
    says(loads, DEMO)
    lines = [" ".join(text.split()) for text in loads.find(".trace .line").all_inner_texts()]
    assert lines == [
        "Peak 5.2 MPa from trace", "Rise, 10 to 90 % 130 ms from trace",
        "Burn, 10 to 10 % 3.6 s from trace",
    ]  # fmt: skip
    drawn = [text for text, *_ in texts(loads)]
    for said in ("peak 5.2", "rise 130 ms, 10 % to 90 %", "burn 3.6 s, 10 % to 10 %"):
        assert said in drawn
    assert "Trace tidewater_trace.csv, 1 201 rows" in loads.read()["more"]
    assert thumb(loads, "Expected peak").count() == 0
    assert loads.find("path.curve").count() == 1
    assert loads.read()["undo"] == "Undo trace"
    loads.find(".undo").click()
    says(loads, DEMO.evolved({"loads.peak": "5 MPa"}))
    assert thumb(loads, "Expected peak").count() == 1


def test_a_latin_trace_with_decimal_commas_is_read_in_its_units(loads: Notebook) -> None:
    rows = "".join(f"{i};{v},5\r\n" for i, v in enumerate((0, 9, 50, 55, 54, 20, 3, 0)))
    add(loads, "messung.csv", f"Zeit [ms];Druck (bar);t µ\r\n{rows}".encode("cp1252"))
    says(loads, DEMO.evolved({"loads.peak": "55.5 bar"}))


NO_TRACES = [
    (b"time [s],pressure\n0,1\n", "Pressure has no unit in the header. "
     "Write it as pressure [bar]."),
    (b"", "The file is empty."),
    (b"\x00\x01\x02\xff" * 500, "This is no text file. "
     "A trace is CSV: time [s], pressure [bar]."),
    (b"time [s],p [bar]\n" + b"0,1,5,2\n" * 9, "with decimal commas part the columns"),
    (b"x" * 9_000_000, "The file is 9.0 MB; at most 8 MB is read."),
    (b"time [s],p [GPa]\n0,0\n1,1\n2,9\n3,1\n4,0\n", "must be 0.1 MPa to 40 MPa"),
]  # fmt: skip


def test_what_is_no_trace_is_refused_beside_its_block(loads: Notebook) -> None:
    for content, said in NO_TRACES:
        with case(said):
            add(loads, "bad.csv", content)
            loads.wait(
                "(said) => probe.all('.trace .say').some((n) => "
                "n.textContent.replaceAll('\\u00a0', ' ').includes(said))",
                said,
            )
            says(loads, DEMO)
            assert loads.find(".undo").is_disabled()


def test_a_hostile_file_name_is_shown_as_text(loads: Notebook) -> None:
    add(loads, "<img src=x onerror=alert(1)>.csv", TRACE.read_bytes())
    loads.wait("() => probe.all('.trace .say').some((n) => n.textContent.includes('<img src=x'))")
    assert not loads.find(".board.loads img").count()


def test_three_runs_are_counted_and_the_last_is_removed_again(loads: Notebook) -> None:
    lines = TRACE.read_text(encoding="utf-8").split("\n")[1:]
    head, rows = lines[0], [line.split(",") for line in lines[1:] if line]
    for name, share in (("one.csv", 0.7), ("two.csv", 0.75), ("three.csv", 1.0)):
        body = "\n".join(f"{t},{float(p) * share:.4f}" for t, p in rows)
        add(loads, name, f"{head}\n{body}".encode())
        loads.wait(
            "(name) => probe.all('.trace .remove').some((n) => "
            "n.getAttribute('aria-label').endsWith(name))",
            name,
        )
    assert "Scatter is read from three runs only." in loads.find(".trace .say").inner_text()
    scatter = 1 / ((0.7 + 0.75 + 1) / 3) - 1
    assert number(value(loads, "Batch scatter")) == pytest.approx(100 * scatter, abs=0.11)
    assert loads.find("path.earlier").count() == 2
    loads.find(".trace .remove").click()
    loads.wait("() => probe.all('.trace h2 span').some((n) => n.textContent === 'two runs')")
    assert "peak 3.9" in [text for text, *_ in texts(loads)]


def test_a_given_meop_is_said_and_can_be_built_up_again(loads: Notebook) -> None:
    loads.find(".cell").first.click()
    box = loads.find(".fields:not([hidden]) .row[data-path='loads.meop_given'] .box")
    box.fill("6.6")
    box.press("Enter")
    given = DEMO.evolved({study.MEOP: "6.6 MPa"})
    says(loads, given)
    assert thumb(loads, "Hot day").count() == 0
    assert "not built up" in [text for text, *_ in texts(loads)]
    thumb(loads, "MEOP, given").focus()
    loads.page.keyboard.press("ArrowDown")
    says(loads, DEMO.evolved({study.MEOP: "6.5 MPa"}))
    loads.find(".build").click()
    says(loads, DEMO)
    assert thumb(loads, "Hot day").count() == 1


def test_a_factor_opens_its_field_and_a_level_its_working(loads: Notebook) -> None:
    loads.find(".cell[data-path='loads.ultimate_factor']").click()
    row = loads.find(".fields:not([hidden]) .row.on")
    row.wait_for()
    assert row.get_attribute("data-path") == "loads.ultimate_factor"
    loads.page.keyboard.press("Escape")
    loads.find(".sum text[aria-label^='MEOP ']").click()
    loads.leaf.wait_for()
    assert "Maximum expected operating pressure" in loads.leaf.inner_text()
    loads.leaf.get_by_role("button", name="Close").click()
    loads.find(".sum text.stemname").first.click()
    loads.leaf.wait_for()
    assert "wanted" in loads.leaf.locator("h2").inner_text()


def test_the_tables_of_strength_open(loads: Notebook) -> None:
    loads.find(".tables").click()
    loads.leaf.wait_for()
    said = loads.leaf.inner_text()
    assert "6061-T6 drawn tube" in said
    assert "half an hour" in said or "at temperature" in said
    assert "Nothing is read beyond" in said


def test_metal_has_rails_that_the_model_answers(loads: Notebook) -> None:
    box = loads.find(".heat .row[data-path='case.metal_temperature'] .box")
    box.fill("120")
    box.press("Enter")
    says(loads, DEMO.evolved({"case.metal_temperature": "120 °C"}))
    box.fill("hot")
    box.press("Enter")
    loads.wait("() => probe.all('.heat .said').some((n) => n.textContent.includes('hot'))")
    says(loads, DEMO.evolved({"case.metal_temperature": "120 °C"}))


def test_a_remedy_is_previewed_dashed_and_taken(loads: Notebook) -> None:
    type_at(loads, "Ultimate", "2.6")
    loads.wait("() => probe.all('.factors .sign svg').length === 1")
    short = moved("Ultimate", 2.6)
    fix = loads.find(".factors .fix")
    fix.focus()
    loads.wait("() => probe.all('.factors .fix.on').length === 1")
    with loads.redrawn():
        loads.page.keyboard.press("Enter")
    loads.wait("() => probe.page().undo.startsWith('Undo remedy, ')")
    assert verdict(short) != loads.read()["verdict"]
    says(loads, DEMO.evolved({"loads.ultimate_factor": "2.6", **taken(short)}))


def taken(design: Design) -> dict[str, float]:
    """What the remedy of the gravest warning changes."""
    first = next(w for w in words.warnings(Assessment(design)) if w.level == "stop")
    assert first.remedy
    return study.changes(design, first.remedy.path, first.remedy.value)


def test_more_warnings_open_in_the_panel(loads: Notebook) -> None:
    type_at(loads, "Ultimate", "4")
    loads.wait("() => probe.all('.factors .more').some((n) => n.textContent.startsWith('and '))")
    more = int(loads.find(".factors .more").inner_text().split()[1])
    loads.find(".factors .more").click()
    loads.leaf.wait_for()
    assert loads.leaf.locator(".item").count() > more


def test_what_is_kept_is_drawn_dashed(loads: Notebook) -> None:
    loads.find(".verdict .keep").click()
    type_at(loads, "Hot day", "20")
    says(loads, moved("Hot day", 20))
    dashed = loads.find("path.kept:not([visibility=hidden])")
    assert dashed.count() >= 4
    assert dashed.first.evaluate("(node) => getComputedStyle(node).strokeDasharray") != "none"


def test_inch_readers_see_psi(loads: Notebook) -> None:
    with loads.redrawn():
        loads.find("[data-unit=inch]").click()
    loads.wait("(said) => probe.page().verdict === said", verdict(DEMO, "inch"))
    assert "754 × 1.08 × 1.1 = 896" in [text for text, *_ in texts(loads)]
    type_at(loads, "Expected peak", "800")
    psi = DEMO.evolved({"loads.peak": "800 psi"})
    loads.wait("(said) => probe.page().verdict === said", verdict(psi, "inch"))


# ---- sizes, themes, keyboard


def traced(notebook: Notebook) -> None:
    add(notebook, TRACE.name, TRACE.read_bytes())
    notebook.wait("() => probe.all('path.curve:not([visibility=hidden])').length === 1")


def stopped(notebook: Notebook) -> None:
    thumb(notebook, "Ultimate").focus()
    type_at(notebook, "Ultimate", "2.9")
    notebook.wait("() => probe.all('.factors .sign svg').length === 1")


def given(notebook: Notebook) -> None:
    stopped(notebook)
    notebook.find(".verdict .keep, .thumb .keep").locator("visible=true").first.click()
    notebook.find(".cell").first.click()
    box = notebook.find(".fields:not([hidden]) .row[data-path='loads.meop_given'] .box")
    box.fill("7.6")
    box.press("Enter")
    notebook.wait("() => probe.all('.build').some(probe.shown)")
    notebook.page.keyboard.press("Escape")


STATES = {"bare": lambda notebook: None, "traced": traced, "stopped": stopped, "given": given}


@pytest.mark.parametrize("state", STATES)
def test_no_size_or_state_overlaps_fades_or_hides(visit: Visit, state: str) -> None:
    notebook = turned(visit(viewport={"width": PHONE[0], "height": PHONE[1]},
                            reduced_motion="reduce"))  # fmt: skip
    STATES[state](notebook)
    notebook.page.add_style_tag(content=UNSTUCK)
    for size in SIZES if state == "bare" else (PHONE, NARROW, WIDE):
        with case(state, size):
            notebook.resize(*size)
            themed(notebook, "Day")
            notebook.page.evaluate("scrollTo(0, 0)")
            still(notebook)
            assert sideways(notebook) <= 0
            if state == "bare":
                assert small(notebook) == []
        for theme in THEMES:
            with case(state, size, theme):
                themed(notebook, theme)
                still(notebook)
                found = texts(notebook)
                assert overlaps(found) == []
                assert outside(notebook, found) == []
                assert faint(notebook, found) == []


def test_everything_that_takes_the_focus_has_a_name(visit: Visit) -> None:
    notebook = turned(visit(viewport={"width": NARROW[0], "height": NARROW[1]}))
    traced(notebook)
    for size in (NARROW, WIDE):
        with case(size):
            notebook.resize(*size)
            still(notebook)
            assert nameless(notebook) == []


def test_the_strip_of_a_narrow_page_works_the_thumb_in_hand(visit: Visit) -> None:
    notebook = turned(visit(viewport={"width": NARROW[0], "height": NARROW[1]}))
    thumb(notebook, "Ultimate").focus()
    notebook.wait("() => probe.all('.thumb .number span').some((n) => n.textContent === '× 2.0')")
    notebook.find(".thumb .greater").click()
    says(notebook, moved("Ultimate", 2.05))
    assert notebook.find(".thumb .number span").inner_text() == "× 2.05"
    assert notebook.find(".thumb .number small").inner_text() == "Ultimate"


def test_the_skip_link_leads_to_this_page_s_thumbs(loads: Notebook) -> None:
    loads.page.evaluate("document.activeElement.blur()")
    link = loads.find(".skip")
    link.focus()
    loads.page.keyboard.press("Enter")
    loads.page.keyboard.press("Tab")
    inside = "() => Boolean(probe.focused().closest('.sum'))"
    assert loads.page.evaluate(inside)
