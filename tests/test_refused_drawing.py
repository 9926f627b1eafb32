"""What was refused for its geometry is drawn over what holds, marked where its parts meet."""

import re

import pytest

from app.session import Session
from app.views.notebook import Notebook
from hobbyclosure import drawing, svg
from hobbyclosure.design import inputs
from tests.designs import BENCH
from tests.test_clashes import CASES

WIDE, HIGH = 600.0, 400.0
CLASH = re.compile(r'<circle class="clash" cx="([\d.]+)" cy="([\d.]+)"')


@pytest.fixture
def page() -> tuple[Session, Notebook]:
    session = Session()
    session.load_text("[case]\n", "nothing.toml")
    session._show(BENCH)
    return session, Notebook(session)


@pytest.mark.parametrize(("path", "value", "says", "overlap"), CASES)
def test_a_refused_clash_is_drawn_with_its_overlap_and_leaves_no_trace(
    page, path, value, says, overlap
):
    session, hold = page
    before = hold.hold.section.data, hold.hold.end_view.data
    assert not session.change({path: value})
    assert 'class=\\"refused\\"' in hold.hold.section.data + hold.hold.end_view.data
    assert 'class=\\"clash\\"' in hold.hold.section.data
    assert session.design == BENCH
    session.change({path: BENCH[path].typed or BENCH[path].value})  # typed again, it holds
    assert (hold.hold.section.data, hold.hold.end_view.data) == before


def test_a_mark_stands_at_the_place_of_the_clash():
    """Two marks of one drawing lie as far apart as their places do, times the scale."""
    view = drawing.section(inputs(BENCH))
    scale = svg.fit(view, WIDE, HIGH)
    places = [(0.0, 0.0, "1"), (30.0, 20.0, "2")]
    text = svg.svg(view, WIDE, HIGH, refused=svg.Refused(view, places))
    (x0, y0), (x1, y1) = [tuple(map(float, found)) for found in CLASH.findall(text)]
    assert (x1 - x0) / scale == pytest.approx(30, abs=0.1)
    assert (y0 - y1) / scale == pytest.approx(20, abs=0.1)
    assert 'class="refused"' not in text  # nothing lies elsewhere


def test_a_place_off_the_picture_is_marked_at_its_edge():
    view = drawing.section(inputs(BENCH))
    refused = svg.Refused(view, [(1e4, -1e4, "9 m")])
    [(x, y)] = CLASH.findall(svg.svg(view, WIDE, HIGH, refused=refused))
    assert (float(x), float(y)) == (WIDE - 16, HIGH - 16)


def test_a_refusal_that_is_no_clash_draws_nothing(page):
    session, hold = page
    session.change({"screw.count": "40"})
    assert "refused" in hold.hold.section.data + hold.hold.end_view.data
    session.change({"screw.count": "many"})
    assert 'class=\\"refused\\"' not in hold.hold.section.data + hold.hold.end_view.data


def test_the_overlap_stands_clear_of_the_marks_beside_it():
    view = drawing.section(inputs(BENCH))
    marks = [("look", 32.0, 20.0, "screw.tip", "tip")]
    said = re.compile(r'<text class="clash halo" x="([\d.]+)" y="([\d.]+)" text-anchor="(\w+)"')
    alone = svg.svg(view, WIDE, HIGH, refused=svg.Refused(view, [(30.0, 20.0, "0.7")]))
    beside = svg.svg(
        view, WIDE, HIGH, marks=marks, refused=svg.Refused(view, [(30.0, 20.0, "0.7")])
    )
    assert said.findall(alone)[0][2] == "start"  # to the right, where the mark will be
    assert said.findall(beside)[0][2] != "start"
