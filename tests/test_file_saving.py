"""Saving designs: whole or not at all, and read back as they were."""

import os
import signal
import subprocess
import sys
import textwrap
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hobbyclosure import file
from hobbyclosure.design import collisions, inputs
from hobbyclosure.fields import FIELDS
from tests.designs import DEMO, DEMO_FILE, DESIGNS

TEXT = DEMO_FILE.read_text(encoding="utf-8")

# ---- saving


def test_saving_writes_the_whole_text_and_keeps_the_mode(tmp_path):
    path = tmp_path / "a.toml"
    file.save("one\n", path)
    assert path.read_text() == "one\n"
    path.chmod(0o640)
    file.save("two\n", path)
    assert path.read_text() == "two\n"
    assert path.stat().st_mode & 0o777 == 0o640
    assert [p.name for p in tmp_path.iterdir()] == ["a.toml"]


def test_saving_clears_away_what_a_killed_writer_left_long_ago(tmp_path):
    old, now = (tmp_path / f".a[1].toml.{x}{file.PART}" for x in ("1234_abc", "xyzxyz12"))
    others = [tmp_path / n for n in (".b.toml.12345678.part~", ".a[1].toml.un~", ".a[1].toml.swp")]
    for left in (old, now, *others):
        left.write_text("half")
        os.utime(left, None if left is now else (0, 0))
    file.save("one", tmp_path / "a[1].toml")
    assert {*tmp_path.iterdir()} == {tmp_path / "a[1].toml", now, *others}


def test_a_killed_writer_leaves_what_the_next_ones_know(tmp_path, monkeypatch):
    """What is cleared away is named as what is written."""
    monkeypatch.setattr(file.os, "replace", lambda *_: pytest.fail("not reached"))
    monkeypatch.setattr(file.os, "fsync", lambda _: (_ for _ in ()).throw(SystemExit))
    monkeypatch.setattr(file.os, "unlink", lambda _: None)
    with pytest.raises(SystemExit):
        file.save("half", tmp_path / "a.toml")
    (left,) = tmp_path.iterdir()
    os.utime(left, (0, 0))
    monkeypatch.undo()
    file.save("whole", tmp_path / "a.toml")
    assert [p.name for p in tmp_path.iterdir()] == ["a.toml"]


def test_saving_through_a_link_keeps_the_link(tmp_path):
    (tmp_path / "deep").mkdir()
    real = tmp_path / "deep" / "a.toml"
    real.write_text("old")
    link = tmp_path / "link.toml"
    link.symlink_to(real)
    file.save("new", link)
    assert link.is_symlink()
    assert real.read_text() == "new"


@pytest.mark.parametrize("fails", ["fsync", "replace"])
def test_a_save_that_fails_leaves_the_old_file_and_no_litter(tmp_path, monkeypatch, fails):
    path = tmp_path / "a.toml"
    path.write_text("old")

    def broken(*args):
        raise OSError("disk full")

    monkeypatch.setattr(file.os, fails, broken)
    with pytest.raises(OSError, match="disk full"):
        file.save("new", path)
    assert path.read_text() == "old"
    assert [p.name for p in tmp_path.iterdir()] == ["a.toml"]


KILLED = """
import os, signal, sys
from hobbyclosure import file
at, path = sys.argv[1:]
def die(*args, **more):
    os.kill(os.getpid(), signal.SIGKILL)
setattr(file.os, at, die)
file.save("new" * 100_000, path)
"""


@pytest.mark.parametrize("at", ["fdopen", "fsync", "replace"])
def test_a_kill_in_the_middle_leaves_the_old_file_whole(tmp_path, at):
    path = tmp_path / "a.toml"
    path.write_text(TEXT, encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-c", textwrap.dedent(KILLED), at, str(path)],
        cwd=Path(__file__).parents[1], env=os.environ, check=False,
    )  # fmt: skip
    assert done.returncode == -signal.SIGKILL
    assert path.read_text(encoding="utf-8") == TEXT
    file.save("again", path)
    assert path.read_text() == "again"


# ---- round trips


@settings(deadline=None, max_examples=40)
@given(DESIGNS, st.sampled_from(["metric", "inch"]), st.booleans())
def test_a_design_reads_back_as_it_was_written(design, system, fresh):
    document = None if fresh else file.load(DEMO_FILE).document
    again = file.loads(file.written(design, document, system))
    assert again.problems == ()
    assert again.design.name == design.name
    for path in FIELDS:
        was, now = design[path].value, again.design[path].value
        assert now == (pytest.approx(was, rel=1e-15, abs=1e-18) if isinstance(was, float) else was)
    assert collisions(again.design) == []
    assert inputs(again.design).keys() == inputs(design).keys()
    second = file.written(again.design, again.document, system)
    assert second == file.written(design, document, system)


def test_a_fresh_file_of_the_demo_says_the_same():
    again = file.loads(file.written(DEMO, None))
    assert again.problems == ()
    assert all(again.design[p].value == DEMO[p].value for p in FIELDS)
