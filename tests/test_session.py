"""The session: changing, refusing, undo, remedies, opening, saving, unsaved work."""

import re
import sys

import pytest
import tomlkit

from app.demo import demo
from app.session import MORE, Session
from app.views.notebook import Notebook
from hobbyclosure import file, lock, study
from hobbyclosure.design import Design
from tests.kills import kills
from tests.support import wait_for


@pytest.fixture(autouse=True)
def own_state(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))


@pytest.fixture
def copy(tmp_path):
    path = tmp_path / "mine.toml"
    path.write_text(demo().read_text(encoding="utf-8"), encoding="utf-8")
    return path


@pytest.fixture
def session(copy):
    session = Session(copy)
    assert session.load_path(copy)
    return session


def wall(session):
    return session.design["case.wall"].value


def test_a_refused_change_leaves_everything_and_says_what_still_stands(session):
    before = session.design
    assert not session.change({"case.wall": "40 mm"})
    assert session.design is before
    assert session.told["case.wall"] == (
        "Wall: '40 mm' must be 0.5 mm to 25 mm. Still Wall 3.175 mm."
    )
    session.change({"case.wall": "3 mm"})
    assert session.told == {}


def test_the_refusal_speaks_the_readers_units(session):
    session.system = "inch"
    session.change({"case.wall": "2"})
    assert "0.0197 in to 0.9843 in" in session.told["case.wall"]


def test_undo_and_redo_are_inverse(session):
    states = [session.design]
    for count in ("13", "12", "11"):
        session._last = ("", 0.0)  # three moves with pauses between them
        session.change({"screw.count": count})
        states.append(session.design)
    for state in reversed(states[:-1]):
        session.undo()
        assert session.design is state
    for state in states[1:]:
        session.redo()
        assert session.design is state


def test_a_drag_is_one_step_of_undo(session):
    before = session.design
    session.held = True
    for mm in (3.1, 3.0, 2.9):
        session.move("case.wall", mm / 1e3)
    session.held = False
    session.undo()
    assert session.design is before
    assert session.future[-1].what == "wall"


@pytest.mark.parametrize("system", ["metric", "inch"])
def test_what_a_slider_moves_is_written_as_one_would_type_it(session, system):
    session.system = system
    unit = 25.4e-3 / 64 if system == "inch" else 1e-4
    for path in ("case.wall", "closure.length", "closure.clearance"):
        for step in range(1, 40):
            session.move(path, float(session.design[path].value) + unit * (-1) ** step / 3)
    session.move("loads.cold", 273.15 - 0.1)
    numbers = re.findall(r'= "(-?[0-9.]+) ', session.written())
    assert len(numbers) > 10
    assert max(len(number.strip("-").replace(".", "")) for number in numbers) <= 13


def test_moving_back_to_where_it_was_is_saved_again(session):
    session.move("case.wall", 3e-3)
    assert session.saved == "not saved"
    session.move("case.wall", 0.003175)
    assert session.saved == ""


def test_taking_a_remedy_clears_its_check_and_can_be_undone(session):
    session.change({"screw.count": "10"})
    check = "screw.bending.ultimate"
    assert session.shown.assessment.states[check] == "short"
    session.take(check)
    assert session.past[-1].what.startswith("remedy, ")
    assert session.shown.assessment.states[check] in ("meets", "close")
    session.undo()
    assert session.design["screw.count"].value == 10


def test_opening_another_file_can_be_undone_with_the_work_it_replaced(session, tmp_path):
    session.move("case.wall", 3e-3)
    other = tmp_path / "other.toml"
    other.write_text(demo("ebbstone").read_text(encoding="utf-8"), encoding="utf-8")
    assert session.load_path(other)
    assert session.path == other
    session.undo()
    assert wall(session) == pytest.approx(3e-3)
    assert session.path.name == "mine.toml"


def test_a_file_with_faults_is_not_shown_and_all_its_faults_are(session):
    before = session.design
    text = '[case]\nwall = "3 bar"\nbore = "1,5 in"\n'
    assert not session.load_text(text, "bad.toml")
    assert session.design is before
    assert {p.field for p in session.faults} >= {"case.wall", "case.bore", "screw.count"}
    assert session.open == ("faults",)


def test_saving_keeps_comments_and_reads_back_the_same(session, copy):
    session.change({"case.wall": "3 mm"})
    assert session.save()
    text = copy.read_text(encoding="utf-8")
    assert "# M20 ignition plug" in text
    assert file.opened(copy).design.says_the_same(session.design)
    assert session.saved.startswith("saved ")


def test_a_file_changed_by_someone_else_is_never_overwritten(session, copy):
    theirs = copy.read_text(encoding="utf-8") + "\n# theirs\n"
    copy.write_text(theirs, encoding="utf-8")
    session.change({"case.wall": "3 mm"})
    assert not session.save()
    assert copy.read_text(encoding="utf-8") == theirs
    assert "changed by someone else" in str(session.faults[0])
    assert session.save(copy.with_name("ours.toml"))


def test_saving_under_the_name_of_another_file_is_refused(session, tmp_path):
    there = tmp_path / "there.toml"
    there.write_text("x = 1\n", encoding="utf-8")
    assert not session.save(there)
    assert there.read_text(encoding="utf-8") == "x = 1\n"


def test_undo_across_a_save_stays_with_the_file_and_says_it_is_not_saved(session, copy):
    before = session.design
    session.change({"case.wall": "3 mm"})
    assert session.save()
    session.undo()
    assert session.design is before
    assert session.saved == "not saved"
    assert session.save()
    assert file.opened(copy).design.says_the_same(before)
    session.redo()
    assert wall(session) == pytest.approx(3e-3)
    assert session.save()
    assert file.opened(copy).design.says_the_same(session.design)


def test_a_file_read_while_someone_else_saves_it_is_not_mixed(session, copy, monkeypatch):
    load = file.load

    def slow(path):
        found = load(path)
        path.write_text(found.text + "# theirs\n", encoding="utf-8")
        return found

    monkeypatch.setattr(file, "load", slow)
    assert session.load_path(copy)
    session.change({"case.wall": "3 mm"})
    assert not session.save()
    assert "changed by someone else" in str(session.faults[0])


def test_saving_while_another_program_does_is_refused_in_a_moment(session, copy, monkeypatch):
    monkeypatch.setattr(lock, "PATIENCE", 0.02)
    session.change({"case.wall": "3 mm"})
    with lock.held(copy):
        assert not session.save()
    assert "Not saved: mine.toml is being written by process" in str(session.faults[0])
    assert session.save()


def test_unsaved_work_is_taken_up_on_the_next_start_and_undone(session, copy):
    session.change({"screw.count": "11"})
    wait_for(session.autosave.found)
    again = Session(copy)
    again.load_path(copy)
    again.take_up()
    assert again.design["screw.count"].value == 11
    assert "not saved" in again.saved
    (said,) = again.remarks
    assert "is taken up: Tidewater. mine.toml as it was saved is one Undo away." in said
    assert again.open == ("remarks",)
    again.undo()
    assert again.design["screw.count"].value == 14


def test_faults_of_the_file_are_not_hidden_by_what_is_taken_up(session, copy):
    session.change({"screw.count": "11"})
    wait_for(session.autosave.found)
    copy.write_text("[[[", encoding="utf-8")
    again = Session(copy)
    assert not again.load_path(copy)
    again.take_up()
    assert again.design["screw.count"].value == 11
    assert again.open == ("remarks", "faults")  # and under them what was taken up


def test_unsaved_work_on_a_file_that_was_changed_since_is_not_saved_over_it(session, copy):
    session.change({"screw.count": "11"})
    wait_for(session.autosave.found)
    theirs = copy.read_text(encoding="utf-8") + "# theirs\n"
    copy.write_text(theirs, encoding="utf-8")
    again = Session(copy)
    again.load_path(copy)
    again.take_up()
    assert again.design["screw.count"].value == 11
    assert not again.save()
    assert "changed by someone else" in str(again.faults[0])
    assert copy.read_text(encoding="utf-8") == theirs
    assert again.save(copy.with_name("ours.toml"))


def test_unsaved_work_goes_back_to_the_file_it_came_from(session, copy, tmp_path):
    session.change({"screw.count": "11"})
    assert session.save(tmp_path / "other.toml")
    session.change({"screw.count": "12"})
    wait_for(session.autosave.found)
    again = Session(copy)
    again.load_path(copy)
    again.take_up()
    assert again.path == tmp_path / "other.toml"
    assert again.design["screw.count"].value == 12
    assert again.save()
    assert file.opened(copy).design["screw.count"].value == 14
    assert file.opened(tmp_path / "other.toml").design["screw.count"].value == 12


def test_a_new_design_taken_up_is_not_saved_over_the_file_that_was_open(session, copy):
    session.begin(session.design.evolved({"screw.count": "11"}))
    wait_for(session.autosave.found)
    again = Session(copy)
    again.load_path(copy)
    again.take_up()
    assert again.path is None
    assert not again.save()
    again.undo()
    assert again.path == copy
    assert again.design["screw.count"].value == 14


@pytest.mark.parametrize("where", ["assess", "draw", "write"])
def test_a_crash_in_one_tab_touches_no_other_and_no_file(session, copy, monkeypatch, where):
    on_disk = copy.read_text(encoding="utf-8")
    other = Session(copy)
    assert other.load_path(copy)
    mine, theirs = Notebook(session), Notebook(other)
    session.change({"screw.count": "13"})

    def crash(*_):
        raise RuntimeError("crash")

    with monkeypatch.context() as broken:
        if where == "assess":
            broken.setattr(session, "_show", crash)
        elif where == "draw":
            broken.setattr(mine.hold, "tell", crash)
        else:
            broken.setattr(file, "written", crash)
        with pytest.raises(RuntimeError):
            session.save() if where == "write" else session.change({"screw.count": "12"})
    assert copy.read_text(encoding="utf-8") == on_disk
    seen = theirs.seq
    assert other.change({"screw.count": "11"})
    assert theirs.seq == seen + 1
    assert other.save()
    assert file.opened(copy).design["screw.count"].value == 11
    assert session.change({"screw.count": "16"})  # and the broken one goes on, told of the other
    wait_for(session.autosave.found)
    assert not session.save()
    assert "changed by someone else" in session.faults[0].message
    while session.past:
        session.undo()
    assert session.design["screw.count"].value == 14


def test_of_two_tabs_neither_writes_over_the_unsaved_work_of_the_other(session, copy):
    other = Session(copy)
    other.load_path(copy)
    session.change({"screw.count": "11"})
    wait_for(session.autosave.found)
    other.change({"screw.count": "12"})
    kept = session.autosave.path
    wait_for(lambda: other.autosave.path != kept and other.autosave.path.exists())
    again = Session(copy)
    again.load_path(copy)
    again.take_up()
    assert again.design["screw.count"].value == 12
    assert again.remarks[1:] == (MORE,)
    assert again.open == ("remarks",)
    assert again.save()
    other.autosave.clear()  # saved over: gone, and not the first one's
    third = Session(copy)
    third.load_path(copy)
    third.take_up()
    assert third.design["screw.count"].value == 11
    assert not third.save()  # the file was changed since
    session.undo()
    assert session.saved == ""


def test_unsaved_work_as_an_earlier_version_wrote_it_is_taken_up(session, copy):
    session.autosave.path.parent.mkdir(parents=True)
    text = copy.read_text(encoding="utf-8").replace('count = "14"', 'count = "11"')
    session.autosave.path.write_text(text, encoding="utf-8")
    session.take_up()
    assert session.design["screw.count"].value == 11
    assert session.save()


@pytest.mark.parametrize("about", ["{", "[1]", "3", '{"path": 3, "base": []}', "[" * 100_000])
def test_unsaved_work_that_was_tampered_with_never_stops_a_start(session, copy, about):
    session.change({"screw.count": "11"})
    wait_for(session.autosave.found)
    path = session.autosave.path
    text = path.read_text(encoding="utf-8").rpartition("{")[0]
    path.write_text(text + about + "\n", encoding="utf-8")
    again = Session(copy)
    again.load_path(copy)
    again.take_up()
    assert again.design["screw.count"].value in (11, 14)


def test_saving_leaves_no_unsaved_work_behind(session):
    session.change({"screw.count": "11"})
    wait_for(session.autosave.found)
    session.save()
    assert session.autosave.found() is None


@pytest.mark.skipif(sys.platform == "win32", reason="writers are forked")
def test_a_hundred_kills_leave_every_file_whole_and_lose_at_most_the_last_second():
    found = kills(100, seed=20261126)
    assert len(found) == 100
    assert [kill for kill in found if kill.wrong] == []
    assert max(kill.age for kill in found) < 1.0
    # They were in the middle of it, and what the autosave alone keeps was among what was kept.
    assert sum(kill.changes > 1 for kill in found if kill.kind == "busy") > 20
    assert sum(kill.changes > 1 for kill in found if kill.kind == "quiet") > 5


def test_keeping_says_what_was_kept(session):
    session.keep()
    kept = session.shown
    session.move("case.wall", 2.5e-3)
    assert session.kept is kept
    assert session.kept_said.endswith("14 screws, 3.175 mm wall")
    session.drop()
    assert session.kept is None


def test_a_wall_that_holds_the_outside_takes_the_bore_along(session):
    session.change({"case.wall_holds": "outside"})
    outside = session.design["case.bore"].value + 2 * wall(session)
    session.move("case.wall", 2.5e-3)
    assert session.design["case.bore"].value + 2 * wall(session) == pytest.approx(outside)
    assert study.now(session.shown.assessment, "case.wall") == pytest.approx(2.5e-3)


def taken_up(session, copy):
    """Unsaved work: where it lies, what it says, and another tab that has taken it up."""
    session.change({"screw.count": "11"})
    wait_for(session.autosave.found)
    state = session.autosave.path
    left = state.read_text(encoding="utf-8")
    other = Session(copy)
    other.load_path(copy)
    other.take_up()
    assert other.design["screw.count"].value == 11
    return state, left, other


def test_undo_of_work_taken_up_leaves_it_to_the_tab_that_is_still_at_it(session, copy):
    state, left, other = taken_up(session, copy)
    other.change({"screw.count": "12"})
    wait_for(lambda: '"12"' in state.read_text(encoding="utf-8"))
    while other.past:
        other.undo()
    assert other.saved == ""
    assert state.read_text(encoding="utf-8") == left
    other.take_up()
    assert other.save()  # and saving it is an end of it
    assert not state.exists()


def test_what_could_not_be_opened_again_is_not_saved(session, copy):
    before = copy.read_text(encoding="utf-8")
    document = session.file.document
    document.add(tomlkit.comment("x" * (file.LARGEST + 1 - len(before))))
    assert session.change({"screw.count": "11"})
    assert not session.save()
    assert "kB" in session.faults[0].message
    assert copy.read_text(encoding="utf-8") == before


def test_unsaved_work_that_cannot_be_read_is_said_and_kept(session, copy):
    state = session.autosave.path
    state.parent.mkdir(parents=True)
    state.write_text("no toml at all", encoding="utf-8")
    again = Session(copy)
    again.load_path(copy)
    again.take_up()
    assert str(state) in again.faults[0].message
    assert again.open == ("faults",)
    assert state.exists()


def test_a_state_that_is_older_than_its_file_says_so(session, copy):
    session.change({"screw.count": "11"})
    wait_for(session.autosave.found)
    copy.write_text(copy.read_text(encoding="utf-8").replace('"14"', '"15"'), encoding="utf-8")
    again = Session(copy)
    again.load_path(copy)
    again.take_up()
    assert "the file is another since, undo shows it" in again.saved
    again.undo()
    assert again.design["screw.count"].value == 15


def test_two_tabs_on_the_demo_keep_their_own_notes(tmp_path):
    tabs = [Session(), Session()]
    for n, tab in enumerate(tabs):
        assert tab.load_text(demo().read_text(encoding="utf-8"), "demo")
        assert tab.note(f"note {n}")
    for n, tab in enumerate(tabs):
        assert tab.save(tmp_path / f"{n}.toml")
        assert f"note {n}" in [entry.text for entry in tab.logged()]


def test_unsaved_work_outlives_another_file_opened_over_it(session, copy, tmp_path):
    session.change({"screw.count": "11"})
    other = tmp_path / "other.toml"
    other.write_text(copy.read_text(encoding="utf-8").replace('"Tidewater"', '"Other"'), "utf-8")
    assert session.load_path(other)
    left = session.past[-1].aside.path
    assert '"11"' in left.read_text(encoding="utf-8")  # at once, not a moment later
    session.change({"screw.count": "12"})
    wait_for(lambda: session.autosave.path.exists())
    assert session.autosave.path != left
    again = Session(copy)
    again.load_path(copy)
    again.take_up()
    assert (again.design.name, again.design["screw.count"].value) == ("Other", 12)
    assert again.remarks[1:] == (MORE,)
    assert again.save()
    assert session.autosave.found() is not None
    third = Session(copy)
    third.load_path(copy)
    third.take_up()
    assert (third.path, third.design["screw.count"].value) == (copy, 11)


def test_undo_past_another_file_goes_on_with_the_work_that_was_left(session, copy, tmp_path):
    session.change({"screw.count": "11"})
    session.begin(Design("New"))
    left = session.past[-1].aside.path
    session.undo()
    assert session.design["screw.count"].value == 11
    assert session.autosave.path == left
    session.redo()
    assert session.design.name == "New"
    assert session.past[-1].aside.path == left
    assert left.exists()
    session.undo()
    assert session.save()  # and saved it is gone
    assert not left.exists()
    assert session.autosave.found() is None


def test_a_state_that_says_what_the_file_says_is_cleared_away(session, copy):
    session.change({"screw.count": "11"})
    wait_for(session.autosave.found)
    state = session.autosave.path
    copy.write_text(session.written(), encoding="utf-8")  # saved, and killed before it was cleared
    again = Session(copy)
    again.load_path(copy)
    again.take_up()
    assert again.saved == ""
    assert not state.exists()


def test_work_set_aside_that_another_tab_went_on_with_is_not_written_over(session, copy):
    session.change({"screw.count": "11"})
    session.begin(Design("New"))
    left = session.past[-1].aside.path
    other = Session(copy)
    other.load_path(copy)
    other.autosave.take(other.autosave.found())
    other.change({"screw.count": "12"})
    wait_for(lambda: '"12"' in left.read_text(encoding="utf-8"))
    session.undo()
    assert session.design["screw.count"].value == 11
    wait_for(lambda: session.autosave.path != left and session.autosave.path.exists())
    assert '"12"' in left.read_text(encoding="utf-8")


@pytest.mark.parametrize("way", ["undone, then new", "undone, then opened", "new, then undone"])
def test_work_taken_up_and_not_wanted_stays_for_whoever_is_at_it(session, copy, way):
    state, left, other = taken_up(session, copy)
    if way.startswith("undone"):
        other.undo()
        if "new" in way:
            other.begin(Design("New"))
        else:
            assert other.load_text(copy.read_text(encoding="utf-8"), "again")
        assert other.change({"screw.count": "9"})
        wait_for(lambda: other.autosave.path != state and other.autosave.path.exists())
        assert other.save(copy.with_name("new.toml"))
    else:
        other.begin(Design("New"))
        other.undo()
        other.undo()
        assert other.saved == ""
    assert state.read_text(encoding="utf-8") == left


def reloaded(was, origin=None):
    """The session of a page that is loaded anew."""
    session = Session(origin)
    session.go_on(was)
    return session


def test_a_page_loaded_anew_shows_what_its_tab_showed_last(tmp_path):
    abandoned = Session()
    abandoned.load_text(demo().read_text(encoding="utf-8"), "demo")
    abandoned.change({"screw.count": "15"})
    other = demo("first_sketch").read_text(encoding="utf-8")
    assert abandoned.load_text(other, "first_sketch.toml")
    again = reloaded(abandoned)
    assert again.design.name == "First sketch"
    assert again.save(tmp_path / "fs2.toml")
    again = reloaded(again)
    assert (again.design.name, again.path) == ("First sketch", tmp_path / "fs2.toml")
    again.undo()
    assert again.design["screw.count"].value == 15  # what was left unsaved is still to be had


def test_work_of_a_page_loaded_anew_is_neither_lost_nor_shared(session, copy, tmp_path):
    session.change({"screw.count": "13"})
    again = reloaded(session, copy)
    assert again.saved == "not saved"
    again.change({"screw.count": "15"})
    session.change({"screw.count": "11"})  # should its page live on
    states = tmp_path / "state" / "hobbyclosure" / "unsaved"
    wait_for(lambda: len(list(states.glob("*.toml"))) == 2)

    def counts():
        texts = [path.read_text(encoding="utf-8") for path in states.glob("*.toml")]
        return {float(file.loads(text).design["screw.count"].value) for text in texts}

    wait_for(lambda: counts() == {15.0, 11.0})


def test_a_page_loaded_anew_shows_a_file_that_another_program_changed(session, copy):
    copy.write_text(copy.read_text(encoding="utf-8").replace('count = "14"', 'count = "16"'))
    again = reloaded(session, copy)
    again.read_again()
    assert again.design["screw.count"].value == 16
    again.change({"screw.count": "18"})
    copy.write_text(copy.read_text(encoding="utf-8").replace('count = "16"', 'count = "12"'))
    again = reloaded(again, copy)
    again.read_again()
    assert again.design["screw.count"].value == 18  # unsaved: it stays


def test_a_thread_that_is_picked_takes_its_hole_along_as_one_step(session):
    def hole():
        return session.design["screw.clearance_hole"].value

    session.change({"screw.clearance_hole": "6.4 mm"})  # the close hole of M6
    before = session.design
    assert session.pick("screw.thread", "M5")
    assert hole() == pytest.approx(5.3e-3)
    assert session.past[-1].what == "thread, hole in the tube"
    session.undo()
    assert session.design is before
    session.change({"screw.clearance_hole": "6.2 mm"})  # of no fit
    session.pick("screw.thread", "M5")
    assert hole() == pytest.approx(6.2e-3)  # the screw goes through
    assert session.past[-1].what == "thread"
    session.pick("screw.thread", "M8")
    assert hole() == pytest.approx(8.4e-3)


def test_a_refusal_names_the_field_it_limits_where_another_was_touched(session):
    assert not session.change({"screw.thread": "M8"})
    assert session.told["screw.thread"] == (
        "The hole is smaller than the screw by 1.8 mm; hole in the tube at least 8 mm. "
        "Still M6 × 1."
    )


def test_a_count_that_is_refused_is_told_the_most_that_fit(session):
    session.change({"screw.count": "60"})
    assert session.told["screw.count"] == (
        "Screws in a row: 60 holes in a row overlap by 2.31 mm; at most 37. Still 14 screws."
    )
    session.change({"screw.count": "37"})
    assert session.told == {}
    session.change({"screw.count": "38"})
    assert "at most 37" in session.told["screw.count"]


def test_what_still_stands_has_its_unit(session):
    session.change({"loads.peak": "900 MPa"})
    assert session.told["loads.peak"].endswith(" MPa.")
    session.system = "inch"
    session.change({"case.wall": "40"})
    assert session.told["case.wall"].endswith("Still Wall 0.125 in.")
