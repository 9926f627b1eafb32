"""Slider moves, drags and page loads, each against its floor in the same browser."""

import json
import tempfile
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any

import attrs
import numpy as np
from playwright.sync_api import Browser, Page

from app.session import Session, Shown
from app.views.notebook import Notebook
from hobbyclosure import file, study
from hobbyclosure.design import Design
from tests.benchmarks.browser import chromium, keys, opened, served
from tests.benchmarks.tables import Row, Samples
from tests.designs import DEMO

FAULTY = DEMO.evolved({"loads.peak": "8.5 MPa"})
NOTEBOOK = ("app", "open", "--no-browser", "--as-saved")
OURS, STOCK = "section.plot input.slider", ".noUi-handle"
FLOOR = 'section.plot input.slider[aria-label^="Groove floor"]'
EMPTY_FLOOR, STOCK_FLOOR = "empty round trip, same debounce", "stock slider's round trip"


@attrs.frozen
class Subject:
    """A page to move a slider on: where its slider is, how to make it ready, what it shows."""

    address: str
    slider: str = OURS
    design: Design | None = None
    prepare: Callable[[Page], None] = lambda page: None
    path: str = "case.wall"
    name: str = "hold"


@contextmanager
def subjects() -> Iterator[dict[str, Subject]]:
    """The floors and the notebook in its several states, each on its own server."""
    with ExitStack() as stack:

        def up(*command: str) -> str:
            return stack.enter_context(served(*command))

        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        faulty = folder / "faulty.toml"
        faulty.write_text(file.written(FAULTY, None, "metric"), encoding="utf-8")
        demo = up(*NOTEBOOK)
        yield {
            "empty": Subject(up("tests.benchmarks.pages", "empty")),
            "stock": Subject(up("tests.benchmarks.pages", "stock"), STOCK),
            "notebook": Subject(demo, design=DEMO),
            "faulty": Subject(up(*NOTEBOOK, str(faulty)), design=FAULTY),
            "working": Subject(demo, design=DEMO, prepare=open_working),
            "seal": Subject(demo, FLOOR, DEMO, open_seal, "seal.primary.groove_diameter", "seal"),
        }


def open_working(page: Page) -> None:
    """Open the working of the governing check."""
    page.locator("button.named").first.click()
    page.locator(".leaf .eq").first.wait_for()


def open_seal(page: Page) -> None:
    """Turn to the Seal page, as far as its sliders."""
    page.locator("nav button[data-page=seal]").click()
    page.locator(FLOOR).wait_for(state="attached")
    page.wait_for_function("Bokeh.documents[0].is_idle && !document.getAnimations().length")


def walk(size: int) -> tuple[list[str], list[float]]:
    """Keys that go up and come back, with pauses that fall at no fixed beat."""
    rng = np.random.default_rng(7)
    half = size // 2
    names = ["ArrowRight"] * half + ["ArrowLeft"] * (size - half)
    return names, rng.uniform(50, 90, size).round().tolist()


def agrees(page: Page, subject: Subject) -> None:
    """The page's verdict is that of the model at the value its slider shows."""
    assert subject.design is not None
    said = page.locator(".verdict h1").inner_text()
    shown = page.locator(subject.slider).first.get_attribute("aria-valuetext") or ""
    changes = study.changes(subject.design, subject.path, float(shown.split()[0]) / 1e3)
    expected = verdict(subject.design.evolved(changes), subject.name)
    assert said.split() == expected.split(), (said, expected)


def verdict(design: Design, name: str) -> str:
    """The sentence that a page's model says of a design, with no server and no browser."""
    session = Session()
    session.shown = Shown(design)
    notebook = Notebook(session)
    notebook.turn(name)
    told = json.loads(notebook.verdict.data)
    return f"{told['bold']} {told['plain']}"


def moves(quick: bool) -> list[Row]:
    """Key on a slider to everything else painted."""
    runs, size = (1, 20) if quick else (5, 60)
    names, pauses = walk(size)
    drawn: dict[str, list[Any]] = {}
    with chromium() as browser, subjects() as all_:
        for _ in range(runs):
            for name, subject in all_.items():
                own = subject.slider != STOCK
                with opened(browser, subject.address, own) as (page, _took):
                    subject.prepare(page)
                    keys(page, subject.slider, names[:4], pauses[:4], warming=True)
                    times = keys(page, subject.slider, names, pauses)
                    if subject.design is not None:
                        keys(page, subject.slider, names[:3], pauses[:3])
                        agrees(page, subject)
                drawn.setdefault(name, []).append([t["painted"] for t in times])
    found = {name: Samples(times) for name, times in drawn.items()}
    rows = []
    for name, what in (
        ("notebook", "slider move, sound design"),
        ("faulty", "slider move, faulty design with remedies"),
        ("working", "slider move, a working open"),
        ("seal", "slider move, the Seal page open"),
    ):
        rows += [
            Row(what, found[name], found["empty"], EMPTY_FLOOR,
                target="≤ 2 × median, ≤ 3 × p95", note="verdict agrees with the model"),
            Row(what, found[name], found["stock"], STOCK_FLOOR, target="≤ 1.2 ×"),
        ]  # fmt: skip
    return rows


def drags(quick: bool) -> list[Row]:
    """A hundred moves, one every 16 ms: does what is drawn fall behind?"""
    runs = 1 if quick else 3
    found: dict[str, list[Any]] = {}
    with chromium() as browser, subjects() as all_:
        for _ in range(runs):
            for name in ("empty", "notebook", "faulty", "working"):
                with opened(browser, all_[name].address) as (page, _took):
                    all_[name].prepare(page)
                    page.evaluate("probe.quiet(300)")
                    found.setdefault(name, []).append(
                        page.evaluate("a => probe.drag(...a)", [100, 16, 1.25])
                    )
    rows = []
    for name, what in (
        ("notebook", "drag, sound design"), ("faulty", "drag, faulty design"),
        ("working", "drag, a working open"),
    ):  # fmt: skip
        rows += _drag_rows(what, found[name], found["empty"])
    return rows


def _drag_rows(what: str, ours: list[Any], floor: list[Any]) -> list[Row]:
    took = _picked(ours, "took").median / 1e3
    return [
        Row(f"{what}: lag, last third", _lags(ours, last=True), _lags(ours, last=False),
            "its own first third", target="not growing", note=f"100 moves took {took:.2f} s"),
        Row(f"{what}: settles", _picked(ours, "settle"), _picked(floor, "settle"), EMPTY_FLOOR),
        Row(f"{what}: redraws", _redraws(ours), _redraws(floor), EMPTY_FLOOR, "of 100"),
    ]  # fmt: skip


def _lags(runs: list[Any], last: bool) -> Samples:
    """From value set to the same value painted, in the first or the last third of each drag."""

    def third(run: Any) -> list[float]:
        when = run["took"] * (2 / 3 if last else 1 / 3)
        found = [x["lag"] for x in run["lags"] if (x["at"] >= when) == last]
        assert found, "nothing was drawn in a third of the drag"
        return found

    return Samples([third(run) for run in runs])


def _picked(runs: list[Any], key: str) -> Samples:
    return Samples([[run[key]] for run in runs])


def _redraws(runs: list[Any]) -> Samples:
    return Samples([[len(run["lags"])] for run in runs])


def loads(quick: bool) -> list[Row]:
    """Navigation to a usable page, in a fresh profile each time, one page after the other."""
    size = 3 if quick else 9
    times: dict[str, list[float]] = {"usable": [], "notebook": []}

    def load(browser: Browser, address: str, counted: bool) -> float:
        with opened(browser, address, counted) as (_page, took):
            return took

    with (
        chromium() as browser,
        served("tests.benchmarks.pages", "usable") as floor,
        served(*NOTEBOOK) as ours,
    ):
        for address, counted in ((floor, False), (ours, True)):
            load(browser, address, counted)  # the first of a server also imports
        for _ in range(size):
            times["usable"].append(load(browser, floor, False))
            times["notebook"].append(load(browser, ours, True))
    return [
        Row("page usable, nothing cached", Samples([times["notebook"]]),
            Samples([times["usable"]]), "one slider, one empty figure", target="≤ 1.5 ×",
            note="notebook: own views drawn too"),
    ]  # fmt: skip
