"""What is typed in the panel: a file's name, the boxes of a new design."""

import re
from html import unescape

import pytest

from app.demo import demo
from app.session import Session
from app.views import leaves


@pytest.fixture
def session(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    path = tmp_path / "mine.toml"
    path.write_text(demo().read_text(encoding="utf-8"), encoding="utf-8")
    session = Session(path)
    assert session.load_path(path)
    return session


def boxes(session):
    """Of each box that is shown: what it holds, its unit, and what is said below it."""
    found = re.findall(
        r'<input id="([^"]*)".*?value="([^"]*)"[^>]*>(?:<span[^>]*>(.*?)</span>)?<p[^>]*>(.*?)</p>',
        leaves.content(session),
    )
    return {name: tuple(map(unescape, rest)) for name, *rest in found}


@pytest.mark.parametrize(
    ("name", "why"),
    [
        ("a/../b", "no file name has '/': letters, digits, spaces, - _ . ( ) only"),
        ("CON", "CON is a name that Windows keeps for itself"),
        ("nul.toml", "nul is a name that Windows keeps for itself"),
        ("x" * 300, "300 letters: at most 100"),
        ("there.toml", "there.toml exists: choose another name"),
        (".hidden", "'.hidden' begins with a point, which hides a file"),
        (" ", "a file needs a name"),
    ],
)
def test_a_name_that_is_refused_stays_in_its_box_with_the_reason_below(
    session, tmp_path, name, why
):
    (tmp_path / "there.toml").write_text("")
    leaves.naming(session)
    leaves.save_as(session, name)
    assert session.open == ("save as",)
    assert boxes(session)["name"] == (name.strip(), "", f"Not saved: {why}.")
    leaves.save_as(session, "fine")
    assert (session.open, session.path) == ((), tmp_path / "fine.toml")
    leaves.naming(session)
    assert boxes(session)["name"] == ("fine.toml", "", "")


def test_what_is_said_of_a_box_goes_as_soon_as_its_own_text_is_right(session):
    session.open = ("new",)
    leaves.create(session, {"case.bore": "9999", "case.wall": "abc", "loads.peak": "-5"})
    assert [bool(said) for *_, said in boxes(session).values()] == [False, True, True, True]
    leaves.typed(session, {"case.wall": "1/8 in"})  # the box is left
    assert [bool(said) for *_, said in boxes(session).values()] == [False, True, False, True]
    leaves.create(session, {"case.bore": "80"})
    assert [bool(said) for *_, said in boxes(session).values()] == [False, False, False, True]
    assert "-5" in boxes(session)["loads.peak"][2].replace("−", "-")
    leaves.typed(session, {"case.wall": "xyz"})  # not yet sent: nothing is said of it
    assert boxes(session)["case.wall"] == ("xyz", "mm", "")


def test_a_new_design_for_which_no_sizes_meet_says_so(session):
    session.open = ("new",)
    leaves.create(session, {"case.bore": "76.2", "case.wall": "3", "loads.peak": "12"})
    assert session.shown.assessment.state == "short"
    assert session.open == ("remarks",)
    assert "No sizes were found that meet everything" in leaves.content(session)
    assert not session.save()  # a refusal that was closed is no reason not to say it
    session.open = ("new",)
    leaves.create(session, {"loads.peak": "12"})
    assert session.open == ("remarks",)
    session.open = ("new",)
    leaves.create(session, {"loads.peak": "5"})
    assert session.shown.assessment.state in ("meets", "close")
    assert (session.open, session.remarks) == ((), ())


def test_that_sizes_are_being_chosen_is_said_before_they_are(session):
    session.open, waiting = ("new",), []
    leaves.create(session, {"case.bore": "9999"}, waiting.append)
    assert waiting == []
    assert leaves.CHOOSING not in leaves.content(session)
    leaves.create(session, {"case.bore": "60"}, waiting.append)
    assert leaves.CHOOSING in leaves.content(session)
    assert session.design["case.bore"].now != 0.06
    leaves.create(session, {"case.bore": "60"}, waiting.append)  # pressed twice
    waiting[0]()
    leaves.create(session, {"case.bore": "60"}, waiting.append)  # and while they were chosen
    for choose in waiting[1:]:
        choose()
    assert session.design["case.bore"].now == 0.06
    assert [step.what for step in session.past].count("new design") == 1
    assert session.open == ()
    session.open = ("new",)
    assert leaves.CHOOSING not in leaves.content(session)
    leaves.create(session, {"case.bore": "50"}, waiting.append)
    leaves.typed(session, {"case.bore": "what?"})
    session.open = ()  # closed before they are chosen
    waiting[-1]()
    assert session.design["case.bore"].now == 0.06


def test_what_stands_in_the_boxes_turns_with_the_units(session):
    from app.views.notebook import Notebook

    book = Notebook(session)
    session.open = ("new",)
    assert boxes(session)["case.wall"] == ("3", "mm", "")
    book._bar_heard("units", "inch")
    assert boxes(session)["case.wall"] == ("1/8", "in", "")  # nobody typed the 3
    leaves.typed(session, {"case.bore": "3", "case.wall": "0.12", "loads.peak": "abc"})
    book._bar_heard("units", "metric")
    assert boxes(session)["case.bore"] == ("76.2", "mm", "")
    assert boxes(session)["case.wall"] == ("3.048", "mm", "")
    assert boxes(session)["loads.peak"] == ("abc", "MPa", "")
    leaves.create(session, {"loads.peak": "99"})
    assert "0.1 MPa to 40 MPa" in boxes(session)["loads.peak"][2]
    book._bar_heard("units", "inch")
    assert "psi" in boxes(session)["loads.peak"][2]  # it turns, too
