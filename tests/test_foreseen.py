"""What a move will show is worked out while it waits: it shows the same as if it had not been."""

import asyncio
import inspect
import re
from collections.abc import Callable
from typing import Any

import pytest
from bokeh.document import Document
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from panel.reactive import Syncable

from app.session import Session, Shown
from app.views.base import TOLD, PlotView, View
from app.views.notebook import Notebook
from app.views.page import Late
from hobbyclosure import study
from tests.designs import DEMO
from tests.support import own_thread

PAGES = {"hold": ("case.wall", "screw.count", study.MEOP),
         "seal": ("floor", "closure.clearance", study.MEOP)}  # fmt: skip
PLACES = [(page, name) for page, names in PAGES.items() for name in names]


@pytest.fixture(scope="module", autouse=True)
def _own_state(tmp_path_factory: pytest.TempPathFactory):
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_STATE_HOME", str(tmp_path_factory.mktemp("state")))
        yield


def notebook() -> Notebook:
    session = Session()
    session.autosave.note = lambda *_: None  # type: ignore[method-assign]
    session.shown = Shown(DEMO)
    return Notebook(session)


def texts(book: Notebook) -> dict[tuple[str, str], str]:
    """Everything that the page was told, but the minute it was kept in."""
    out = {}
    for place, root in book.roots().items():
        view = root.objects[0] if isinstance(root, Late) and root.objects else root
        if isinstance(view, View):
            told = {(place, name): getattr(view, name) for name in TOLD}
            out |= {key: re.sub(r"kept \d\d:\d\d", "kept", text) for key, text in told.items()}
    return out


def value_at(book: Notebook, name: str, share: float) -> float:
    """A place on the axis of a plot of the open page, as a browser sends it."""
    page: Any = book.page
    axis = page.axes[name]
    value = axis.low + share * (axis.high - axis.low)
    return round(value) if axis.whole else round(value, 3)


def move(book: Notebook, name: str, value: float) -> None:
    book.page._move(name, value)  # type: ignore[attr-defined]


def forget(book: Notebook) -> None:
    """What a redraw made is not there for the next."""
    book.memory.clear()


BETWEEN: dict[str, Callable[[Notebook], Any]] = {
    "nothing": lambda book: None,
    "undo": lambda book: book.session.undo(),
    "redo": lambda book: book.session.redo(),
    "keep": lambda book: book.session.keep(),
    "drop": lambda book: book.session.drop(),
    "raw": lambda book: setattr(book.session, "raw", not book.session.raw),
    "inch": lambda book: setattr(book.session, "system", "inch"),
    "metric": lambda book: setattr(book.session, "system", "metric"),
    "held": lambda book: setattr(book.session, "held", not book.session.held),
    "part": lambda book: book._heard("part", "closure"),
    "working": lambda book: book._heard("open", "case.yield"),
    "preview": lambda book: book._heard("preview", "screw.shear"),
    "size": lambda book: book.page.sized("section", book.hold.section, (600, 400)),
    "swell": lambda book: setattr(book.hold.section, "slid", "0.5"),
    "other ring": lambda book: book.seal._gland_heard("ring", "secondary"),
    "corner": lambda book: book.seal._corners_heard("corner", 3),
    "refused": lambda book: book.session.change({"case.wall": "90 mm"}),
    "measured": lambda book: book.session.measure("case.bore", "76.25"),
}
STEP = st.tuples(
    st.sampled_from(PLACES), st.floats(-0.1, 1.1), st.floats(-0.1, 1.1),
    st.sampled_from([*BETWEEN]), st.sampled_from(["foreseen", "superseded", "not foreseen"]),
)  # fmt: skip


def one_by_one(page: str, *between: str) -> list[Any]:
    """Small moves with something in between that changes what is shown of the same design."""
    place = (page, PAGES[page][0])
    return [(place, 0.5 + i / 50, 0.5, what, "not foreseen") for i, what in enumerate(between)]


@example(one_by_one("hold", "keep", "drop", "part", "inch", "size", "refused", "swell", "preview"))
@example(one_by_one("seal", "keep", "drop", "other ring", "corner", "inch", "keep", "drop"))
@settings(max_examples=40, deadline=None, database=None, suppress_health_check=list(HealthCheck))
@given(st.lists(STEP, min_size=1, max_size=6))
def test_what_was_foreseen_shows_what_it_would_have_shown_anyway(steps: list[Any]) -> None:
    ahead, plain = notebook(), notebook()
    for (page, name), share, other, between, how in steps:
        for book in (ahead, plain):
            forget(plain)
            book.turn(page)
        value, newer = (value_at(ahead, name, s) for s in (share, other))
        before, past = texts(ahead), list(ahead.session.past)
        if how != "not foreseen":
            ahead._foresee(ahead.page, name, value)  # type: ignore[arg-type]
        assert texts(ahead) == before  # nobody is told, nothing is taken
        assert ahead.session.past == past
        for book in (ahead, plain):
            forget(plain)
            BETWEEN[between](book)
        assert texts(ahead) == texts(plain)
        for book in (ahead, plain):
            forget(plain)
            move(book, name, newer if how == "superseded" else value)
        assert ahead.session.design == plain.session.design
        assert texts(ahead) == texts(plain)


def test_a_move_that_was_foreseen_is_not_assessed_again() -> None:
    book = notebook()
    book._foresee(book.hold, "case.wall", 3.3)
    foreseen = book.session._ahead[-1]
    move(book, "case.wall", 3.3)
    assert book.session.shown is foreseen
    book._foresee(book.hold, "case.wall", 90.0)  # will be refused: nothing is foreseen of it
    assert book.session._ahead[-1] is foreseen


def test_a_value_is_looked_at_as_soon_as_it_comes() -> None:
    """Panel's own names that this rests on are still there, and it calls what we put in."""
    mine, theirs = (inspect.signature(kind._server_change) for kind in (View, Syncable))
    assert [*mine.parameters] == [*theirs.parameters]
    assert Syncable._debounce > View._debounce >= 10
    assert Syncable._busy__ignore == []
    view, seen = PlotView(), []
    view.foresee = seen.append

    async def arrive() -> None:
        view._server_change(Document(), "", None, "value", 0.0, 2.5)
        view._server_change(Document(), "", None, "slid", "", "{}")
        assert seen == []  # first it is said that it came
        await asyncio.sleep(0.1)

    own_thread(arrive())
    assert seen == [2.5]
    assert view.value == 2.5
