"""The three axes are sliders: by mouse, key and finger, and what follows them."""

import itertools

import numpy as np
import pytest

from app.views import told
from app.views.axis import factor_axis
from app.views.base import PlotView
from hobbyclosure import Assessment, Design
from hobbyclosure.graph import CHECKS
from tests.browser.conftest import Visit
from tests.browser.notebook import COUNT, LEFT, MEOP, PATHS, RIGHT, WALL, Notebook
from tests.designs import DEMO
from tests.support import case

UNITS = ("mm", "", "MPa")
TARGETS = ((WALL, 4.1), (WALL, 1.9), (COUNT, 9.0), (COUNT, 19.0), (MEOP, 8.3), (MEOP, 3.1))


def moved(i: int, value: float, design: Design = DEMO) -> Design:
    """A design with the field of a plot moved, as the page moves it."""
    return design.evolved({PATHS[i]: f"{value:.10g} {UNITS[i]}".strip()})


def test_opening_shows_the_demo_as_the_library_assesses_it(notebook: Notebook) -> None:
    notebook.shows(DEMO)


def test_dragging_a_handle_changes_every_number_on_the_page(notebook: Notebook) -> None:
    for i, to in TARGETS:
        with case(PATHS[i], to):
            all_changes(notebook, i, to)
            notebook.undone(DEMO)


def all_changes(notebook: Notebook, i: int, to: float) -> None:
    """A drag changes the numbers of every view."""
    before = notebook.read()
    value = notebook.drag(i, to)
    assert value == pytest.approx(to, abs=0.06 if i != COUNT else 0)
    after = notebook.shows(moved(i, value))
    assert after["plots"][(i + 1) % 3]["now"] != before["plots"][(i + 1) % 3]["now"]
    if i != MEOP:  # rungs lie where they lie; the verdict may be too near to tell
        assert after["verdict"] != before["verdict"] or after["ladder"] != before["ladder"]
    assert after["plots"][i]["spoken"].startswith(after["plots"][i]["handle"])


def test_arrow_keys_step_there_and_back(notebook: Notebook) -> None:
    for i in (WALL, COUNT, MEOP):
        with case(PATHS[i]):
            steps_there_and_back(notebook, i)
            notebook.undone(DEMO)


def steps_there_and_back(notebook: Notebook, i: int) -> None:
    """Two steps up and two down, by each of the four keys."""
    start = notebook.plot(i)["value"]
    notebook.of(i, ".slider").focus()
    notebook.page.keyboard.press("ArrowRight")
    once = notebook.plot(i)["value"]
    assert once > start
    notebook.shows(moved(i, once))
    notebook.page.keyboard.press("ArrowUp")
    twice = notebook.plot(i)["value"]
    assert twice - once == pytest.approx(once - start, abs=0.06)
    notebook.page.keyboard.press("ArrowLeft")
    notebook.shows(moved(i, once))
    notebook.page.keyboard.press("ArrowDown")
    notebook.shows(moved(i, notebook.plot(i)["value"]))
    assert notebook.plot(i)["value"] == pytest.approx(start, abs=0.06)


def test_shift_makes_the_arrow_step_finer(notebook: Notebook) -> None:
    start = notebook.plot(WALL)["value"]
    notebook.of(WALL, ".slider").focus()
    notebook.page.keyboard.press("ArrowRight")
    coarse = notebook.plot(WALL)["value"]
    notebook.page.keyboard.press("Shift+ArrowRight")
    fine = notebook.plot(WALL)["value"]
    assert 0 < fine - coarse < coarse - start
    notebook.shows(moved(WALL, fine))


def test_page_keys_go_to_the_next_stock_wall(notebook: Notebook) -> None:
    start = notebook.plot(WALL)["value"]
    notebook.of(WALL, ".slider").focus()
    for key, way in (("PageUp", 1), ("PageDown", -1)):
        notebook.page.keyboard.press(key)
        value = notebook.plot(WALL)["value"]
        assert value > start if way > 0 else value == start
        assert "stock" in notebook.shows(moved(WALL, value))["plots"][WALL]["note"]
        assert "not a stock" not in notebook.plot(WALL)["note"]
    assert notebook.plot(WALL)["value"] == start


def test_home_and_end_are_the_last_counts_that_meet(notebook: Notebook) -> None:
    for key, beyond in (("Home", -1), ("End", 1)):
        with case(key):
            notebook.of(COUNT, ".slider").focus()
            notebook.page.keyboard.press(key)
            value = notebook.plot(COUNT)["value"]
            notebook.shows(moved(COUNT, value))
            assert Assessment(moved(COUNT, value)).state in ("meets", "close")
            assert Assessment(moved(COUNT, value + beyond)).state in ("short", "no answer")
            notebook.undone(DEMO)


def test_a_finger_moves_a_handle(visit: Visit) -> None:
    notebook = visit(has_touch=True)
    (x, y), far = notebook.place(COUNT), notebook.far(COUNT, 9)
    fingers = notebook.page.context.new_cdp_session(notebook.page)

    def touch(kind: str, *at: float) -> None:
        points = [{"x": at[0], "y": y}] if at else []
        fingers.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    touch("touchStart", x)
    for part in range(1, 7):
        touch("touchMove", x + far * part / 6)
    touch("touchEnd")
    notebook.shows(moved(COUNT, 9))


def test_a_reader_that_sets_the_slider_itself_is_heard(notebook: Notebook) -> None:
    slider = notebook.of(COUNT, ".slider")
    slider.evaluate("(node) => { node.value = 11; node.dispatchEvent(new Event('input')) }")
    notebook.shows(moved(COUNT, 11))


def test_the_marker_stands_where_its_value_is_on_the_axis(notebook: Notebook) -> None:
    for i, to in ((k, to) for k in (WALL, COUNT, MEOP) for to in (None, TARGETS[2 * k][1])):
        with case(PATHS[i], to):
            if to:
                notebook.shows(moved(i, notebook.drag(i, to)))
            plot, chart = notebook.plot(i), notebook.of(i, ".chart").bounding_box()
            marker = notebook.of(i, ".marker").bounding_box()
            assert chart
            assert marker
            share = (plot["value"] - plot["low"]) / (plot["high"] - plot["low"])
            at = LEFT + (chart["width"] - LEFT - RIGHT) * share
            assert marker["x"] + marker["width"] / 2 - chart["x"] == pytest.approx(at, abs=0.3)
            if to:
                notebook.undone(DEMO)


def test_during_a_drag_the_moved_curves_stay_and_the_others_change(notebook: Notebook) -> None:
    for i in (WALL, COUNT, MEOP):
        with case(PATHS[i]):
            only_the_others_change(notebook, i)
            notebook.undone(DEMO)


def only_the_others_change(notebook: Notebook, i: int) -> None:
    """Under the hand, the curves of the plot in hand keep their places."""

    def curves() -> list[list[str]]:
        return [notebook.page.evaluate("(k) => probe.curves(k)", k) for k in range(3)]

    def frames() -> list[tuple[float, float, int]]:
        return [(p["low"], p["high"], len(p["now"])) for p in notebook.read()["plots"]]

    def names() -> list[str]:
        return [name for name, _ in notebook.plot(i)["now"]]

    before, frames_before, names_before = curves(), frames(), names()
    seq = notebook.read()["seq"]
    with notebook.dragging(i, TARGETS[2 * i][1]):
        notebook.wait_past(seq)
        notebook.wait("(was) => was.some((c, k) => String(c) !== String(probe.curves(k)))", before)
        during = curves()
        assert names() == names_before
        assert frames() == frames_before
        assert during[i] == before[i]
        assert all(during[k] != before[k] for k in range(3) if k != i)
    notebook.shows(moved(i, notebook.plot(i)["value"]))
    assert sorted(map(str, curves()[i])) == sorted(map(str, before[i]))


def test_during_a_drag_handle_dots_and_numbers_need_no_server(notebook: Notebook) -> None:
    with notebook.dragging(WALL, 4.3):
        # Read in the very task that moved it: nothing can have come from the server in between.
        said = notebook.of(WALL, ".grab").evaluate("""(node) => {
            const seq = document.documentElement.dataset.seq;
            const at = node.getBoundingClientRect();
            const before = probe.page().plots[0];
            const [clientX, clientY] = [at.left + 50 + 20, at.top + 30];
            node.dispatchEvent(new PointerEvent("pointermove", {clientX, clientY, pointerId: 1}));
            const after = probe.page().plots[0];
            return {same: seq === document.documentElement.dataset.seq, before, after};
        }""")
        assert said["same"]
        assert said["after"]["handle"] != said["before"]["handle"]
        assert said["after"]["now"] != said["before"]["now"]
    text = notebook.plot(WALL)["handle"]
    notebook.shows(moved(WALL, float(text)))


def test_a_hundred_hasty_moves_settle_on_the_last(notebook: Notebook) -> None:
    (x, y), wide = notebook.place(COUNT), notebook.width(COUNT) - LEFT - RIGHT
    notebook.page.mouse.move(x, y)
    notebook.page.mouse.down()
    ways = itertools.cycle((0.4, -0.3, 0.2, -0.4, 0.1))
    for _, share in zip(range(99), ways, strict=False):
        notebook.page.mouse.move(x + wide * share, y)
    notebook.page.mouse.move(x + notebook.far(COUNT, 14) + wide / 18 * 3, y)
    notebook.page.mouse.up()
    value = notebook.plot(COUNT)["value"]
    notebook.shows(moved(COUNT, value))
    assert notebook.plot(COUNT)["value"] == value
    notebook.find(".undo").click()  # one drag is one step back
    notebook.shows(DEMO)


def test_a_line_far_above_the_plot_is_not_told_as_a_number(notebook: Notebook) -> None:
    """Between a number and what is endless, or was cut for sending, there is none to tell."""
    made = Assessment(DEMO)
    axis = factor_axis(PATHS[WALL], made, "metric")
    ids = list(CHECKS)[:4]
    half = axis.grid < axis.grid[axis.grid.size // 2]
    grid = np.ones_like(axis.grid)
    lines = [1.2 * grid, np.where(half, 1.2, np.inf), np.where(half, 1.2, 30.0),
             np.where(half, 1.2, -np.inf)]  # fmt: skip
    low, high = (axis.shown(axis.grid[i]) for i in (4, -4))
    middle = (axis.shown(axis.grid[half][-1]) + axis.shown(axis.grid[~half][0])) / 2
    sent = {
        **told.frame(axis, first=True, raw=False),
        **told.curves(dict(zip(ids, lines, strict=True)), 2.5),
        "value": low, "text": "1", "five": ids, "now": dict.fromkeys(ids, 1.2), "meets": [],
        "slot": {"level": None, "text": "", "more": 0},
    }  # fmt: skip
    source = PlotView._esm[: PlotView._esm.index("export function render")]
    said = notebook.page.evaluate(
        f"""([sent, places]) => {{
          {source}
          const host = document.createElement("div");
          host.style.width = "437px";
          document.body.append(host);
          const view = plotView(host, () => null);
          view.update(sent);
          const slider = host.querySelector(".slider");
          const read = () => [...host.querySelectorAll(".named")].map((n) =>
            n.querySelector("i").textContent || n.getAttribute("aria-label").split(", ")[1]);
          const found = places.map((at) => {{
            slider.value = at;
            slider.dispatchEvent(new Event("input"));
            return read();
          }});
          host.remove();
          return found;
        }}""",
        [sent, [middle, high]],
    )
    assert said == [["1.20", "> 7", "> 7", "< 0"], ["1.20", "> 7", "> 7", "< 0"]]
