"""Every size of screen by day and night: nothing overlaps, is outside, faint or unnamed."""

import itertools
from collections.abc import Callable
from typing import Any

import pytest

from tests.browser.conftest import Start, Visit
from tests.browser.measure import covered, faint, outside, overlaps, sideways, small, texts
from tests.browser.notebook import COUNT, MEOP, WALL, Notebook
from tests.designs import DEMO_FILE
from tests.support import case

SIZES = (
    (390, 844), (600, 900), (820, 1180), (1000, 800), (1100, 800), (1280, 800), (1440, 900),
    (1920, 1080),
)  # fmt: skip
NARROW, WIDE = (820, 1180), (1440, 900)
THEMES = ("Day", "Night")
UNSTUCK = ".page > .bar, .page > .verdict, .page > .thumb { position: static !important }"


def opened(visit: Visit, size: tuple[int, int], **options: Any) -> Notebook:
    """The demo in a window of a size, its drawings drawn for their cells."""
    calm = {"reduced_motion": "reduce"}  # what moves is measured at rest
    notebook = visit(viewport={"width": size[0], "height": size[1]}, **calm | options)
    settled(notebook)
    return notebook


def settled(notebook: Notebook) -> None:
    """Wait until every drawing is as large as its cell and nothing moves or is under way."""
    notebook.wait("""() => Bokeh.documents[0].is_idle && !document.getAnimations().length
      && probe.all(".pic").every((svg) => {
        const cell = svg.parentNode.getBoundingClientRect();
        const [width, height] = ["width", "height"].map((name) => Number(svg.getAttribute(name)));
        return Math.abs(cell.width - width) < 1 && Math.abs(cell.height - height) < 1;
    })""")


def resized(notebook: Notebook, size: tuple[int, int]) -> None:
    """Turn the window to another size, and wait until everything is drawn for it."""
    notebook.resize(*size)
    settled(notebook)


def warned(notebook: Notebook) -> None:
    """A pressure that the design does not bear: remedies beside all three plots or the verdict."""
    slider = notebook.of(MEOP, ".slider")
    slider.evaluate("(node) => { node.value = 11; node.dispatchEvent(new Event('input')) }")
    notebook.wait("() => probe.all('.plot .sign svg').length > 0")


def kept(notebook: Notebook) -> None:
    """A design kept for comparison, and the present one moved away from it."""
    notebook.find(".verdict .keep, .thumb .keep").locator("visible=true").first.click()
    notebook.wait("() => probe.all('.verdict .past').every(probe.shown)")
    with notebook.redrawn():
        notebook.of(WALL, ".slider").evaluate(
            "(node) => { node.value = 2.4; node.dispatchEvent(new Event('input')) }"
        )


def working(notebook: Notebook) -> None:
    """A working is open."""
    notebook.find(".rung").nth(1).click()
    notebook.leaf.wait_for()


def assert_clean(notebook: Notebook) -> None:
    """Nothing overlaps, is outside or faint, or makes the page scroll sideways."""
    found = texts(notebook)
    assert sideways(notebook) <= 0
    assert overlaps(found) == []
    assert outside(notebook, found) == []
    assert faint(notebook, found) == []


def nothing(notebook: Notebook) -> None:
    """As it opens."""


STATES: dict[str, Callable[[Notebook], None]] = {
    "as it opens": nothing, "warned": warned, "kept": kept, "working": working,
}  # fmt: skip


def test_a_page_of_any_size_is_clean_by_day_and_night(visit: Visit) -> None:
    notebook = opened(visit, SIZES[0])
    notebook.page.add_style_tag(content=UNSTUCK)
    for size in SIZES:
        with case(size):
            resized(notebook, size)
            themed(notebook, "Day")
            assert sideways(notebook) <= 0
            assert small(notebook) == []
        for theme in THEMES:
            with case(size, theme):
                themed(notebook, theme)
                found = texts(notebook)
                assert overlaps(found) == []
                assert outside(notebook, found) == []
                assert faint(notebook, found) == []


def themed(notebook: Notebook, theme: str) -> None:
    """Pick a theme in the menu, where it is not the present one."""
    now = notebook.page.evaluate("document.documentElement.dataset.theme")
    if now != theme.lower():
        notebook.menu(theme)
        notebook.wait("(name) => document.documentElement.dataset.theme === name", theme.lower())


@pytest.mark.parametrize("state", ["warned", "kept", "working"])
def test_no_state_of_the_page_overlaps_or_fades(visit: Visit, state: str) -> None:
    sizes = ((390, 844), NARROW, (1100, 800), WIDE)
    notebook = opened(visit, sizes[0], color_scheme="dark")
    notebook.page.add_style_tag(content=UNSTUCK)
    STATES[state](notebook)
    for size in sizes:
        with case(state, size):
            resized(notebook, size)
            notebook.page.evaluate("scrollTo(0, 0)")
            assert_clean(notebook)


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_a_design_full_of_faults_is_clean_on_every_page(
    visit: Visit, start: Start, theme: str
) -> None:
    server = start(str(DEMO_FILE.with_name("first_sketch.toml")), "--as-saved")
    notebook = visit(server.url, reduced_motion="reduce", color_scheme=theme)
    notebook.page.add_style_tag(content=UNSTUCK)
    for page in ("seal", "loads", "hold"):
        notebook.find(f"nav button[data-page={page}]").click()
        for size in ((390, 844), NARROW, (1100, 800), WIDE):
            with case(page, size):
                notebook.resize(*size)
                notebook.wait(AT_REST, page)
                notebook.page.evaluate("scrollTo(0, 0)")
                assert_clean(notebook)
                assert covered(notebook) == []


AT_REST = """(page) => document.documentElement.dataset.page === page
  && Bokeh.documents[0].is_idle && !document.getAnimations().length
  && probe.all("svg.pic").filter(probe.shown).every((svg) => ["width", "height"].every((name) =>
    Math.abs(svg.parentNode.getBoundingClientRect()[name] - svg.getAttribute(name)) <= 1))"""


def test_at_sixty_percent_zoom_all_is_still_there(visit: Visit) -> None:
    zoomed = opened(visit, (2400, 1500), device_scale_factor=0.6)
    usual = opened(visit, WIDE)
    found = texts(zoomed)
    assert overlaps(found) == []
    assert sideways(zoomed) <= 0
    assert {t for t, *_ in texts(usual)} <= {t for t, *_ in found}


def test_everything_that_takes_the_focus_has_a_name(visit: Visit) -> None:
    notebook = opened(visit, NARROW)
    warned(notebook)
    for size in (NARROW, WIDE):
        with case(size):
            resized(notebook, size)
            assert nameless(notebook) == []


def nameless(notebook: Notebook) -> list[str]:
    """Roles of what takes the focus and bears no name."""
    session = notebook.page.context.new_cdp_session(notebook.page)
    nodes = session.send("Accessibility.getFullAXTree")["nodes"]
    focusable = [
        node
        for node in nodes
        if not node.get("ignored")
        and node["role"]["value"] not in ("RootWebArea", "generic")
        and any(
            p["name"] == "focusable" and p["value"]["value"] for p in node.get("properties", ())
        )
    ]
    session.detach()
    assert len(focusable) > 15
    return [n["role"]["value"] for n in focusable if not n.get("name", {}).get("value")]


def test_each_plot_says_in_words_what_it_shows(visit: Visit) -> None:
    notebook = opened(visit, NARROW)
    for size in (NARROW, WIDE):
        with case(size):
            resized(notebook, size)
            lowest = notebook.plot(WALL)["now"][0]
            said = notebook.of(WALL, ".chart > svg").get_attribute("aria-label") or ""
            assert "against wall" in said
            assert " ".join(lowest) in said


def test_only_the_verdict_speaks_up(notebook: Notebook) -> None:
    live = "[aria-live]:not([aria-live=off]), [role=status], [role=alert], [role=log]"
    where = notebook.page.evaluate(
        "(which) => probe.all(which).filter((node) => node.getClientRects().length)"
        ".map((node) => [node.getAttribute('aria-live'), node.closest('.verdict') !== null])",
        live,
    )
    assert where == [["polite", True]]


def stops(notebook: Notebook, most: int = 120) -> list[tuple[str, bool, str]]:
    """Where the tab key leads: region of the page, whether the focus shows, what has it."""
    out: list[tuple[str, bool, str]] = []
    for _ in range(most):
        notebook.page.keyboard.press("Tab")
        found = notebook.page.evaluate("""() => {
            const node = probe.focused();
            if (!node || node === document.body) return null;
            const [open] = probe.all(".bar nav [aria-current]");
            const accent = getComputedStyle(open).borderBottomColor;
            let at = node;
            while (at.getRootNode() !== document) at = at.getRootNode().host;
            const region = at.closest(".page > :not(.desk), .desk > .leaf, .board > *, .skip");
            const outline = getComputedStyle(node);
            const ring = node.matches(".slider") && node.parentNode.querySelector("svg .ring");
            const ringed = outline.outlineStyle !== "none" && parseFloat(outline.outlineWidth) > 0;
            const pieces = node.ownerSVGElement?.querySelectorAll(".keyed path") ?? [];
            const drawn = [...pieces].some((path) => { // a drawn part, in one piece or several
                const {stroke, strokeWidth} = getComputedStyle(path);
                return stroke === accent && parseFloat(strokeWidth) > 4;
            });
            const seen = ring ? getComputedStyle(ring).stroke !== "none" : ringed || drawn;
            return [region ? region.classList[0] : node.tagName, seen, node.outerHTML.slice(0, 90)];
        }""")
        if found is None:
            break
        out.append(tuple(found))
    return out


@pytest.mark.parametrize(
    ("size", "regions"),
    [
        (WIDE, ["skip", "bar", "verdict", "section", "ladder", "plot"]),
        (NARROW, ["skip", "bar", "section", "ladder", "switch", "plot", "thumb"]),
    ],
    ids=str,
)
def test_tab_goes_the_way_the_eye_goes_and_shows_where_it_is(
    visit: Visit, size: tuple[int, int], regions: list[str]
) -> None:
    found = stops(opened(visit, size))
    visited = [region for region, _ in itertools.groupby(found, lambda stop: stop[0])]
    assert [region for region in visited if region != "end"] == regions
    assert [what for _, seen, what in found if not seen] == []


@pytest.mark.parametrize(("size", "to"), [(WIDE, "plot"), (NARROW, "switch")], ids=str)
def test_the_skip_link_leads_to_the_sliders(visit: Visit, size: tuple[int, int], to: str) -> None:
    notebook = opened(visit, size)
    notebook.page.keyboard.press("Tab")
    assert notebook.find(".skip").bounding_box()["y"] >= 0  # type: ignore[index]
    notebook.page.keyboard.press("Enter")
    assert stops(notebook, 1)[0][0] == to


def test_a_finger_drags_on_a_narrow_page(visit: Visit) -> None:
    notebook = opened(visit, NARROW, has_touch=True)
    (x, y), far = notebook.place(WALL), notebook.far(WALL, 4.1)
    fingers = notebook.page.context.new_cdp_session(notebook.page)

    def touch(kind: str, *at: float) -> None:
        points = [{"x": at[0], "y": y}] if at else []
        fingers.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    with notebook.redrawn():
        touch("touchStart", x)
        for part in range(1, 7):
            touch("touchMove", x + far * part / 6)
        notebook.wait("() => Math.abs(Number(probe.page().plots[0].handle) - 4.1) < 0.06")
        handle = notebook.plot(WALL)["handle"]
        assert notebook.find(".thumb .number span").inner_text() == f"{handle} mm"
        touch("touchEnd")
    assert notebook.plot(WALL)["handle"] == handle
    notebook.wait("() => probe.page().undo === 'Undo wall'")


def test_the_strip_steps_as_an_arrow_key_does(visit: Visit) -> None:
    notebook = opened(visit, NARROW)
    start = notebook.plot(WALL)["value"]

    def back() -> None:
        with notebook.redrawn():
            notebook.find(".undo").click()
        notebook.wait("(value) => probe.page().plots[0].value === value", start)

    for button, key in (("greater", "ArrowRight"), ("less", "ArrowLeft")):
        with case(button, key):
            with notebook.redrawn():
                notebook.find(f".thumb .{button}").click()
            stepped = notebook.plot(WALL)["value"]
            back()
            notebook.of(WALL, ".slider").focus()
            with notebook.redrawn():
                notebook.page.keyboard.press(key)
            assert notebook.plot(WALL)["value"] == stepped != start
            back()


def test_holding_the_strip_goes_on_stepping(visit: Visit) -> None:
    notebook = opened(visit, NARROW)
    start = notebook.plot(WALL)["value"]
    notebook.find(".thumb .greater").hover()
    notebook.page.mouse.down()
    notebook.wait("(value) => probe.page().plots[0].value > value", start)
    first = notebook.plot(WALL)["value"]
    notebook.wait("(value) => probe.page().plots[0].value > value", first)
    notebook.page.mouse.up()
    settled(notebook)
    end = notebook.plot(WALL)["value"]
    notebook.page.wait_for_timeout(300)
    assert notebook.plot(WALL)["value"] == end


def test_the_strip_takes_a_typed_number(visit: Visit) -> None:
    notebook = opened(visit, NARROW)
    notebook.find(".thumb .number").click()
    with notebook.redrawn():
        notebook.find(".typed").fill("4")
        notebook.find(".typed").press("Enter")
    assert notebook.find(".thumb .number span").inner_text() == "4.000 mm"


def test_the_switch_shows_each_plot_and_the_strip_works_it(visit: Visit) -> None:
    notebook = opened(visit, NARROW)

    def showing() -> list[bool]:
        return [notebook.of(i, ".handle").is_visible() for i in range(3)]

    assert showing() == [True, False, False]
    for i, unit in ((COUNT, "screws"), (MEOP, "MPa"), (WALL, "mm")):
        notebook.find(".switch button").nth(i).click()
        assert showing() == [k == i for k in range(3)]
        before = notebook.plot(i)["value"]
        with notebook.redrawn():
            notebook.find(".thumb .greater").click()
        assert notebook.plot(i)["value"] > before
        assert (
            notebook.find(".thumb .number span").inner_text()
            == f"{notebook.plot(i)['handle']} {unit}"
        )
        pressed = notebook.find(".switch button").evaluate_all(
            "(all) => all.map((button) => button.getAttribute('aria-pressed'))"
        )
        assert pressed == [str(k == i).lower() for k in range(3)]


def test_the_switch_bears_the_marks_of_plots_out_of_sight(visit: Visit) -> None:
    notebook = opened(visit, NARROW)
    marks = "() => probe.all('.switch button').map((node) => Boolean(node.querySelector('svg')))"
    assert notebook.page.evaluate(marks) == [slot["warns"] for slot in map(notebook.slot, range(3))]
    warned(notebook)
    notebook.wait(f"""() => String(({marks})()) ===
        String(probe.page().plots.map((plot) => plot.slot.warns))""")
    assert any(notebook.page.evaluate(marks))


def test_on_a_low_page_bar_and_verdict_stay(visit: Visit) -> None:
    sizes = ((1440, 700), (1280, 700), (820, 900))
    notebook = opened(visit, sizes[0])

    def tops() -> list[float]:
        names = (".page > .bar", ".page > .verdict")
        return [notebook.find(name).bounding_box()["y"] for name in names]  # type: ignore[index]

    for size in sizes:
        with case(size):
            notebook.page.evaluate("scrollTo(0, 0)")
            resized(notebook, size)
            before = tops()
            notebook.page.evaluate("scrollTo(0, 9999)")
            assert notebook.page.evaluate("scrollY") > 0
            assert tops() == before
            assert notebook.find("footer").is_visible()
            bar, handle = notebook.find(".page > .verdict"), notebook.of(WALL, ".grab")
            below = bar.bounding_box()["y"] + bar.bounding_box()["height"]  # type: ignore[index]
            assert handle.bounding_box()["y"] > below  # type: ignore[index]


def test_rungs_swap_without_motion_for_who_wants_none(visit: Visit) -> None:
    notebook = opened(visit, WIDE)
    for motion, seconds in (("reduce", 0), ("no-preference", 0.12)):
        with case(motion):
            notebook.page.emulate_media(reduced_motion=motion)
            notebook.wait(
                """([motion, seconds]) => matchMedia(`(prefers-reduced-motion: ${motion})`).matches
                  && parseFloat(getComputedStyle(probe.all(".rung")[0]).transitionDuration)
                     === seconds""",
                [motion, seconds],
            )


def test_one_window_turned_from_wide_to_narrow_and_back_draws_itself_anew(visit: Visit) -> None:
    notebook = opened(visit, WIDE)
    wide = texts(notebook)
    for size in (NARROW, WIDE):
        with case(size):
            resized(notebook, size)
            found = texts(notebook)
            if size == NARROW:
                notebook.page.add_style_tag(content=UNSTUCK)
            assert overlaps(texts(notebook)) == []
    assert sorted(t for t, *_ in found) == sorted(t for t, *_ in wide)
