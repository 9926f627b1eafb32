"""The log: entries are only added, nothing is lost between writers, and going back is exact."""

import datetime
import errno
import os
import re
import subprocess
import sys
import tempfile
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import attrs
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from app import autosave
from app.session import Session
from app.views import journal, leaves
from hobbyclosure import data, file, lock, log, study
from hobbyclosure.assess import ABSENT, Assessment
from hobbyclosure.design import Design, DesignError
from hobbyclosure.differences import differences
from tests.designs import DEMO, DEMO_FILE, DESIGNS
from tests.support import wait_for

WHEN = datetime.datetime(2026, 11, 26, 9, 14)
TEXT = DEMO_FILE.read_text(encoding="utf-8")


@pytest.fixture
def session(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Session:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    path = tmp_path / "mine.toml"
    path.write_text(TEXT, encoding="utf-8")
    found = Session(path)
    assert found.load_path(path)
    return found


WORDS = st.text(
    st.characters(codec="utf-8", exclude_categories=["Cs"]), min_size=1, max_size=60
)  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(st.lists(WORDS, min_size=1, max_size=4))
def test_what_is_written_reads_back_as_it_was_cleaned(texts):
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "a.log.toml"
        for text in texts:
            log.add(path, log.Entry(WHEN, text, text))
        read = log.read(path)
    assert [e.text for e in read] == [log.clean(text) for text in texts]
    assert [e.design for e in read] == texts
    assert {e.when for e in read} == {WHEN}


BY_HAND = """# kept by hand
owner = "Ada"

[[entry]]
when = 2026-11-25T08:00:00
text = "{long}"  # not trimmed
photo = "bore.jpg"
design = "x = 1"

[shed]
cold = true"""


@pytest.mark.parametrize("newline", ["\n", "\r\n"])
@pytest.mark.parametrize("ends", ["", "\n"])
def test_an_entry_is_put_below_what_the_file_says_and_nothing_of_that_changes(
    tmp_path: Path, newline: str, ends: str
):
    path = tmp_path / "a.log.toml"
    before = (BY_HAND.format(long="o" * (log.LONGEST + 50)) + ends).replace("\n", newline).encode()
    path.write_bytes(before)
    found = log.add(path, log.Entry(WHEN, "new", "[case]\n# mine\n"))
    after = path.read_bytes()
    assert after.startswith(before)
    assert after.count(newline.encode()) == after.count(b"\n")
    assert after.endswith(newline.encode())
    assert [len(found[0].text), *(e.text for e in found[1:])] == [log.LONGEST + 50, "new"]
    assert found[1].design == "[case]\n# mine\n"
    assert log.read(path) == found


def test_a_log_that_is_too_large_or_a_bomb_is_refused_by_name(tmp_path: Path, monkeypatch):
    path = tmp_path / "a.log.toml"
    path.write_text("a" + ".a" * 100_000 + " = 1", encoding="utf-8")
    with pytest.raises(DesignError, match=r"a\.log\.toml: is no log"):
        log.read(path)
    path.unlink()
    monkeypatch.setattr(log, "LARGEST", 3000)
    log.add(path, log.Entry(WHEN, "x", TEXT))
    before = path.read_bytes()
    with pytest.raises(DesignError, match=r"a\.log\.toml: is 0\.0 MB; at most 0 MB"):
        log.add(path, log.Entry(WHEN, "x", TEXT))
    assert path.read_bytes() == before


def test_a_log_that_is_none_is_named_and_not_touched(tmp_path: Path):
    path = tmp_path / "a.log.toml"
    for nonsense in (
        "[[entry]]\nwhen = 3\n",
        "entry = 5\n",
        "{",
        "[[entry]]\ntext = 'x'\n",
        "[case]\nwall = '3 mm'\n",
        "entry = [{when = 2026-11-25T08:00:00, text = 'x', design = ''}]\n",  # takes no more
    ):
        path.write_text(nonsense, encoding="utf-8")
        with pytest.raises(DesignError, match=r"a\.log\.toml: is no log"):
            log.add(path, log.Entry(WHEN, "x", TEXT))
        assert path.read_text(encoding="utf-8") == nonsense
        assert [p.name for p in tmp_path.iterdir()] == ["a.log.toml"]


def test_writers_at_once_lose_nothing(tmp_path: Path):
    path = tmp_path / "a.log.toml"
    code = (
        "import sys,datetime,pathlib\nfrom hobbyclosure import lock,log\nlock.PATIENCE = 60\n"
        "for n in range(8):\n"
        " log.add(pathlib.Path(sys.argv[1]), log.Entry(datetime.datetime.now(),"
        " f'{sys.argv[2]}{n}', 'x = 1'))\n"
    )
    writers = [subprocess.Popen([sys.executable, "-c", code, str(path), who]) for who in "abc"]
    assert [w.wait(120) for w in writers] == [0, 0, 0]
    found = [entry.text for entry in log.read(path)]
    assert sorted(found) == sorted(f"{who}{n}" for who in "abc" for n in range(8))
    assert not list(tmp_path.glob(".*.lock"))


def test_a_writer_that_died_does_not_block_the_next(tmp_path: Path, monkeypatch):
    path = tmp_path / "a.log.toml"
    code = (
        "import os,sys,pathlib\nfrom hobbyclosure import lock\n"
        "with lock.held(pathlib.Path(sys.argv[1])): os.kill(os.getpid(), 9)\n"
    )
    died = subprocess.run([sys.executable, "-c", code, str(path)], check=False)
    assert died.returncode == -9
    assert (tmp_path / ".a.log.toml.lock").exists()
    monkeypatch.setattr(lock, "PATIENCE", 0.0)
    assert len(log.add(path, log.Entry(WHEN, "x", TEXT))) == 1
    assert not list(tmp_path.glob(".*.lock"))


def test_a_second_writer_waits_a_moment_and_is_told_who_writes(session: Session, monkeypatch):
    monkeypatch.setattr(lock, "PATIENCE", 0.05)
    with lock.held(session.log_path):
        assert not session.note("mine")
    assert str(session.faults[0]) == (
        f"Not written down: mine.log.toml is being written by process {os.getpid()}: try again"
    )
    assert session.logged() == ()
    assert session.note("mine")
    assert lock.PATIENCE < 1
    assert len(session.logged()) == 1


def test_a_lock_deleted_while_one_waits_for_it_is_held_by_one_only(tmp_path: Path):
    path, at_once = tmp_path / "a.toml", []

    def writer() -> None:
        for _ in range(30):
            with lock.held(path):
                at_once.append(1)
                assert len(at_once) == 1
                time.sleep(0.0005)
                at_once.pop()

    with ThreadPoolExecutor(4) as pool, pytest.MonkeyPatch.context() as patch:
        patch.setattr(lock, "PATIENCE", 60.0)
        for done in [pool.submit(writer) for _ in range(4)]:
            done.result(120)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("says", ["ENOLCK", "ENOTSUP", "EOPNOTSUPP"])
def test_in_a_folder_that_knows_no_locks_one_writes_all_the_same(tmp_path: Path, monkeypatch, says):
    fcntl = pytest.importorskip("fcntl")

    def unknown(*_: Any) -> None:
        raise OSError(getattr(errno, says), "no locks here")

    monkeypatch.setattr(fcntl, "flock", unknown)
    log.add(tmp_path / "a.log.toml", log.Entry(WHEN, "one", "x"))
    session = Session(tmp_path / "a.toml")
    session.begin(Design("A"))
    assert session.save(tmp_path / "a.toml")
    assert sorted(p.name for p in tmp_path.glob("*")) == ["a.log.toml", "a.toml"]
    assert not list(tmp_path.glob(".*.lock"))


@pytest.mark.skipif(sys.platform == "win32", reason="links need rights there")
def test_a_lock_that_is_a_link_is_not_followed(tmp_path: Path):
    (tmp_path / "precious").write_text("mine", encoding="utf-8")
    (tmp_path / ".a.log.toml.lock").symlink_to(tmp_path / "precious")
    with pytest.raises(OSError, match="symbolic links"):
        log.add(tmp_path / "a.log.toml", log.Entry(WHEN, "x", TEXT))
    assert (tmp_path / "precious").read_text(encoding="utf-8") == "mine"


def test_an_entry_keeps_words_hour_and_design_beside_the_file(session: Session):
    session.change({"case.wall": "3.3 mm"})
    assert session.note("  bore is out of round \x00\x1b ")
    assert session.log_path == session.path.with_name("mine.log.toml")  # type: ignore[union-attr]
    (entry,) = session.logged()
    assert entry.text == "bore is out of round"
    assert file.loads(entry.design).design.says_the_same(session.design)
    assert not session.note("   ")
    assert "the box is empty" in str(session.faults[0])
    assert len(session.logged()) == 1


@settings(max_examples=20, deadline=None)
@given(DESIGNS)
def test_going_back_is_exact_and_undo_comes_back(design: Design):
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "mine.toml"
        path.write_text(file.written(design, None), encoding="utf-8", newline="\n")
        session = Session(path)
        assert session.load_path(path)
        before = session.design
        assert session.note("before")
        session.change({"loads.cold": "1.5 °C"})
        later = session.design
        assert session.restore(0)
        assert session.design.says_the_same(before)
        assert Assessment(session.design).ratios == pytest.approx(
            Assessment(before).ratios, nan_ok=True
        )
        session.undo()
        assert session.design.says_the_same(later)
        session.redo()
        assert session.design.says_the_same(before)
        session.autosave.clear()


def test_going_back_to_what_is_not_there_does_nothing(session: Session):
    before = session.design
    assert not session.restore(0)
    assert session.design is before


@pytest.fixture
def unsaved(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Session:
    """A session as it begins without a file, on the demo."""
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    found = Session()
    assert found.load_text(TEXT, "demo")
    return found


def said(session: Session) -> list[str]:
    return [entry.text for entry in session.logged()]


def test_the_log_of_unsaved_work_goes_along_when_it_gets_a_name(unsaved: Session, tmp_path: Path):
    assert unsaved.note("first thought")
    assert unsaved.save(tmp_path / "named.toml")
    assert unsaved.log_path == tmp_path / "named.log.toml"
    assert said(unsaved) == ["first thought"]
    unsaved.begin(DEMO)
    unsaved.load_text(TEXT, "again")
    assert said(unsaved) == []


def test_the_log_of_an_unsaved_design_is_that_designs_alone(unsaved: Session, tmp_path: Path):
    assert unsaved.note("of the demo")
    unsaved.begin(DEMO.evolved({"screw.count": "13"}))
    assert said(unsaved) == []
    assert unsaved.note("of the new one")
    unsaved.load_text(TEXT.replace("Tidewater", "Sent"), "sent.toml")
    assert said(unsaved) == []
    assert unsaved.save(tmp_path / "sent.toml")
    assert said(unsaved) == []
    unsaved.undo()
    assert said(unsaved) == ["of the new one"]
    unsaved.undo()
    assert said(unsaved) == ["of the demo"]
    unsaved.redo()
    assert unsaved.save(tmp_path / "new.toml")
    assert said(unsaved) == ["of the new one"]
    unsaved.redo()
    assert unsaved.path == tmp_path / "sent.toml"


def test_a_log_that_is_there_takes_up_the_one_that_goes_along(unsaved: Session, tmp_path: Path):
    there = tmp_path / "named.log.toml"
    log.add(there, log.Entry(WHEN, "of an earlier one", TEXT))
    assert unsaved.note("first thought")
    before = unsaved.log_path
    (entry,) = unsaved.logged()
    log.add(there, entry)  # as after a kill between the two steps of taking it along
    assert unsaved.save(tmp_path / "named.toml")
    assert said(unsaved) == ["of an earlier one", "first thought"]
    assert not before.exists()


def test_a_log_that_cannot_go_along_is_told_and_the_design_is_saved(
    unsaved: Session, tmp_path: Path
):
    assert unsaved.note("first thought")
    before = unsaved.log_path
    there = tmp_path / "named.log.toml"
    there.write_text("no log", encoding="utf-8")
    assert unsaved.save(tmp_path / "named.toml")
    assert unsaved.saved.startswith("saved ")
    assert file.opened(tmp_path / "named.toml").design.says_the_same(unsaved.design)
    (fault,) = unsaved.faults
    assert str(fault).startswith(f"Saved. Its log stays in {before}: named.log.toml: is no log")
    assert unsaved.open == ("faults",)
    there.unlink()
    assert unsaved.save()
    assert said(unsaved) == ["first thought"]


def test_what_was_noted_of_a_design_without_a_file_is_found_on_the_next_start(unsaved: Session):
    unsaved.load_text(TEXT.replace("Tidewater", "Sent"), "sent.toml")
    assert unsaved.saved == ""
    assert unsaved.note("measured the bore")
    assert unsaved.saved == "not saved"
    wait_for(unsaved.autosave.found)
    again = Session()
    again.load_text(TEXT, "demo")
    again.take_up()
    assert again.design.name == "Sent"
    assert said(again) == ["measured the bore"]
    again.undo()
    assert said(again) == []


def test_the_panel_tells_what_changed_and_compares_any_two(session: Session):
    session.note("as bought")
    session.change({"case.wall": "2.4 mm", "screw.count": "12"})
    session.note("<b>thinner</b>")
    session.change({"case.wall": "3 mm"})
    session.open = ("log",)
    html = leaves.content(session)
    assert "&lt;b&gt;thinner&lt;/b&gt;" in html
    assert "Wall 3.175 mm → 2.4 mm; Screws in a row 14 → 12." in html
    assert "The first entry." in html
    session.open = ("log", "compare:0:1")
    html = leaves.content(session)
    assert ">3.175 mm<" in html
    assert ">2.4 mm<" in html
    old, new = DEMO, DEMO.evolved({"case.wall": "2.4 mm", "screw.count": "12"})
    for check in study.ranked(Assessment(old), Assessment(new))[:3]:
        assert f"<th>{check.label}</th>" in html
        for found in (Assessment(old), Assessment(new)):
            absent = found.states[check.id] == ABSENT
            assert (">–" if absent else f">{found.ratios[check.id]:.2f}") in html
    session.open = ("log", f"compare:1:{journal.NOW}")
    assert ">3 mm<" in leaves.content(session)
    for nonsense in ("9:now", "x", "0", "0:", "-1:now", "0:1:2:3", "²:now", "9" * 5000 + ":now"):
        session.open = ("log", f"compare:{nonsense}")
        assert "One of these is not there any more." in leaves.content(session)


def test_with_the_log_open_a_move_reads_and_computes_nothing_of_it_again(
    session: Session, monkeypatch: pytest.MonkeyPatch
):
    for count in ("13", "12", "11"):
        session.change({"screw.count": count})
        session.note(f"{count} screws")
    session.open = ("log",)
    shown = leaves.content(session)
    session.open = ("log", "compare:0:2")
    compared = leaves.content(session)

    def again(*_: object) -> None:
        raise AssertionError("computed again")

    for where, name in ((file, "loads"), (journal, "differences"), (log, "_entries")):
        monkeypatch.setattr(where, name, again)
    session.held = True
    session.move("case.wall", 3e-3)
    session.open = ("log",)
    assert leaves.content(session) == shown
    monkeypatch.undo()
    log.add(session.log_path, log.Entry(WHEN, "by someone else", TEXT))
    assert "by someone else" in leaves.content(session)
    session.open = ("log", "compare:0:2")
    assert leaves.content(session).startswith(compared.partition("Beside")[0])


def test_entries_of_one_minute_are_told_apart_by_their_words_and_others_by_their_hour(
    session: Session,
):
    hour = datetime.datetime(2026, 11, 26, 9, 14)
    seconds = [datetime.timedelta(seconds=s) for s in (0, 9, 20, 21, 70)]
    words = ["bore <honed>", "rings changed\nfor thinner ones, greased", "same", "same", "later"]
    for after, text in zip(seconds, words, strict=True):
        log.add(session.log_path, log.Entry(hour + after, text, TEXT))
    session.open = ("log", "compare:00:1")
    html = leaves.content(session)
    heads = re.findall(r"<th>([^<]*)</th>", html)
    assert "26 Nov, 09:14 bore &lt;honed&gt;" in heads
    assert "26 Nov, 09:14 rings changed for thinn…" in heads
    assert ">26 Nov, 09:14 same (3)</button>" in html
    assert ">26 Nov, 09:14 same (4)</button>" in html
    assert ">26 Nov, 09:15</button>" in html


# ---- differences


def test_a_change_of_accuracy_alone_reads_otherwise_on_both_sides():
    rough, fine = (DEMO.measured("case.bore", "76.25 mm", off) for off in ("", "0.01 mm"))
    (found,) = differences(rough, fine)
    assert (found.old, found.new) == (
        "76.2 mm, measured 76.25 mm", "76.2 mm, measured 76.25 mm ± 0.01 mm"
    )  # fmt: skip
    (found,) = differences(fine, fine.measured("case.bore", "76.25 mm", "0.02 mm"), "inch")
    assert found.old != found.new


def test_nothing_differs_from_itself_and_everything_else_does():
    assert differences(DEMO, DEMO) == []
    other = DEMO.measured("case.bore", "76.25 mm").toleranced("case.wall", "0.1 mm")
    found = {d.path: (d.old, d.new) for d in differences(DEMO, other)}
    assert found == {
        "case.bore": ("76.2 mm", "76.2 mm, measured 76.25 mm"),
        "case.wall": ("3.175 mm", "3.175 mm ± 0.1 mm"),
    }
    named = attrs.evolve(DEMO, name="Other")
    assert [(d.label, d.new) for d in differences(DEMO, named)] == [("Name", "Other")]
    own = attrs.evolve(
        DEMO, materials={"mine": data.material_from_values("mine", "Mine", {"F_ty": 2e8})}
    )
    assert [(d.path, d.old, d.new) for d in differences(DEMO, own)] == [
        ("material.mine", "none", "stated")
    ]


@settings(max_examples=30, deadline=None)
@given(DESIGNS)
def test_every_difference_is_a_field_that_differs(design: Design):
    paths = [d.path for d in differences(DEMO, design)]
    assert len(paths) == len(set(paths))
    assert (paths == []) == all(DEMO[p].says_the_same(design[p]) for p in design.entries)


# ---- any sequence of what a session can do

NUMBERS = st.sampled_from([
    ("case.wall", "2.8 mm"), ("case.wall", "3.3 mm"), ("screw.count", "12"), ("screw.count", "16"),
    ("loads.cold", "1.5 °C"), ("loads.peak", "4.6 MPa"), ("case.wall", "90 mm"),
    ("screw.head", "cap"), ("seal.primary.compound", "Mine 70"), ("loads.peak", "5.6 MPa"),
])  # fmt: skip
SIZES = st.tuples(
    st.sampled_from(["case.bore", "case.wall", "screw.count"]),
    st.sampled_from(["", "76.25 mm", "3.1 mm", "0.05 mm", "2 %", "nonsense"]),
)
STEPS = st.one_of(
    st.tuples(st.just("change"), NUMBERS),
    st.tuples(st.just("measure"), SIZES),
    st.tuples(st.just("tolerate"), SIZES),
    st.tuples(st.just("take"), st.sampled_from(["screw.bending.ultimate", "case.wall.yield"])),
    st.tuples(st.just("note"), WORDS),
    st.tuples(st.just("restore"), st.integers(0, 5)),
    st.tuples(st.just("load"), st.sampled_from(["sent", "own", "faulty", "path"])),
    st.tuples(st.just("begin"), st.just(0)),
    st.tuples(st.just("save"), st.just(0)),
    st.tuples(st.just("undo"), st.just(0)),
    st.tuples(st.just("redo"), st.just(0)),
)
OWN_TEXT = TEXT.replace("Tidewater", "Own") + '[compound."Mine 70"]\nlike = "NBR"\nhigh = "99 °C"\n'
SENT = {"sent": TEXT.replace("Tidewater", "Sent"), "own": OWN_TEXT, "faulty": TEXT + "x = ["}


class Desk:
    """A session in a folder of its own, and the designs that its logs were told."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        (folder / "mine.toml").write_text(TEXT, encoding="utf-8")
        self.session = Session(folder / "mine.toml")
        assert self.session.load_path(folder / "mine.toml")
        self.noted: dict[Path, list[Design]] = {}
        self.files = 0

    def do(self, what: str, how: Any) -> None:
        session = self.session
        session._last = ("", 0.0)  # as after a pause
        if what == "change":
            session.change(dict([how]))
        elif what in ("measure", "tolerate"):
            getattr(session, what)(*how)
        elif what == "take":
            session.take(how)
        elif what == "note":
            if session.note(how):
                self.noted.setdefault(session.log_path, []).append(session.design)
        elif what == "restore":
            there = self.noted.get(session.log_path, [])
            assert session.restore(how) == (how < len(there))
            if how < len(there):
                assert_same(session.design, there[how])
        elif what == "load" and how == "path":
            session.load_path(self.folder / "mine.toml")
        elif what == "load":
            session.load_text(SENT[how], f"{how}.toml")
        elif what == "begin":
            session.begin(DEMO)
        elif what == "save":
            self._save()
        else:
            getattr(session, what)()

    def _save(self) -> None:
        session = self.session
        if session.path is None:
            self.files += 1
            before = session.log_path
            assert session.save(self.folder / f"saved {self.files}.toml")
            if before in self.noted:
                self.noted[session.log_path] = self.noted.pop(before)
        elif session.save():
            assert_same(file.opened(session.path).design, session.design)


def assert_same(found: Design, design: Design) -> None:
    """Two designs that state the same, to the last digit."""
    assert found.says_the_same(design)
    assert file.written(found, None) == file.written(design, None) or found.system != design.system


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(STEPS, max_size=12))
def test_whatever_is_done_going_back_is_exact_and_redo_undoes_undo(steps: list[tuple[str, Any]]):
    with tempfile.TemporaryDirectory() as top, pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_STATE_HOME", str(Path(top) / "state"))
        patch.setattr(autosave, "WAIT", 60.0)  # nothing of this is to be written meanwhile
        desk = Desk(Path(top))
        session = desk.session
        for what, how in steps:
            desk.do(what, how)
            kept = [file.loads(entry.design).design for entry in session.logged()]
            told = desk.noted.get(session.log_path, [])
            assert len(kept) == len(told)
            for one, other in zip(kept, told, strict=True):
                assert one.says_the_same(other)
        here = [(session.design, session.file)]
        while session.past:
            session.undo()
            here.append((session.design, session.file))
        for design, opened in reversed(here[:-1]):
            session.redo()
            assert session.design is design
            assert session.file is opened
        session.autosave.clear()


def test_a_long_name_leaves_the_log_s_panel_its_close(session):
    session._show(attrs.evolve(session.design, name="W" * 300))
    session.open = ("log",)
    assert "W" * 25 not in leaves.content(session)
    assert "Close" in leaves.content(session)
