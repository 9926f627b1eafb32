"""Warm writers killed at random moments: what is on disk is whole, and at most a second old.

`python -m tests.kills COUNT SEED` forks them (one at a time would take minutes: a few at once) and
prints a line of JSON for each: its kind, what was lost in seconds, and what is wrong if anything.
"""

import json
import os
import signal
import struct
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import attrs
import numpy as np

from app.session import Session
from hobbyclosure import file, log
from hobbyclosure.design import Design, DesignError
from tests.designs import DEMO_FILE

AT_ONCE = 4
STAMP = struct.Struct("=id")
START, STEP = 0.002, 1e-7  # m; the wall tells the number of the change
KINDS = {  # share of the kills, when they come (s), seconds between changes
    "busy": (0.8, (0.01, 0.25), 0.0),  # saves and writes down after every change
    "quiet": (0.2, (0.3, 1.1), 0.01),  # changes alone: only the autosave keeps them
}


@attrs.frozen
class Kill:
    """One writer's end: kind, age of the oldest change that was lost (s), and what is wrong."""

    kind: str
    age: float
    changes: int
    wrong: str


def kills(count: int, seed: int) -> list[Kill]:
    """Kill so many writers, in a process of their own: forks of one with no other thread."""
    root = Path(__file__).parents[1]
    done = subprocess.run(
        [sys.executable, "-m", "tests.kills", str(count), str(seed)],
        cwd=root, env={**os.environ, "PYTHONPATH": str(root)}, stdout=subprocess.PIPE, check=True,
    )  # fmt: skip
    return [Kill(**json.loads(line)) for line in done.stdout.splitlines()]


def _write(kind: str, path: Path, told: int) -> None:
    """A writer: change after change, each told when it was taken, until killed."""
    session = Session(path)
    assert session.load_path(path)
    for i in range(10**6):
        session.change({"case.wall": START + i * STEP})
        os.write(told, STAMP.pack(i, time.monotonic()))
        if kind == "busy":
            session.note(f"change {i}")
            assert session.save(), session.faults
        time.sleep(KINDS[kind][2])


@attrs.frozen
class _Writer:
    kind: str
    path: Path
    pid: int
    heard: int
    until: float  # seconds


def _forked(kind: str, folder: Path, until: float) -> _Writer:
    path = folder / "mine.toml"
    path.write_bytes(DEMO_FILE.read_bytes())
    heard, told = os.pipe()
    pid = os.fork()
    if not pid:
        try:
            os.environ["XDG_STATE_HOME"] = str(folder / "state")
            os.close(heard)
            _write(kind, path, told)
        finally:
            os._exit(1)
    os.close(told)
    return _Writer(kind, path, pid, heard, until)


def _ended(writer: _Writer) -> Kill:
    when = time.monotonic()
    os.kill(writer.pid, signal.SIGKILL)
    _, status = os.waitpid(writer.pid, 0)
    with os.fdopen(writer.heard, "rb") as pipe:
        heard = pipe.read()
    stamps = list(STAMP.iter_unpack(heard[: len(heard) // STAMP.size * STAMP.size]))
    if os.waitstatus_to_exitcode(status) != -signal.SIGKILL:
        return Kill(writer.kind, 0.0, len(stamps), "the writer ended by itself")
    os.environ["XDG_STATE_HOME"] = str(writer.path.parent / "state")
    try:
        kept = _kept(writer)
    except (DesignError, AssertionError) as error:
        return Kill(writer.kind, 0.0, len(stamps), str(error) or repr(error))
    lost = [t for i, t in stamps if i > kept]
    return Kill(writer.kind, max(0.0, when - lost[0]) if lost else 0.0, len(stamps), "")


def _kept(writer: _Writer) -> int:
    """Number of the last change that is on disk. Raises where anything there is not whole."""
    path = writer.path
    saved = file.opened(path).design
    entries = log.read(log.path_of(path))
    told = [f"change {i}" for i in range(len(entries))]
    assert [entry.text for entry in entries] == told, "the log lacks entries"
    for entry in entries[-1:]:
        assert _number(file.loads(entry.design).design) == len(entries) - 1
    again = Session(path)
    assert again.load_path(path), again.faults
    again.take_up()
    found = max(_number(saved), _number(again.design), len(entries) - 1)
    if list(path.parent.glob(".*.lock")):  # the dead one holds nothing
        assert again.note("after it"), again.faults
        assert again.save(), again.faults
        assert len(again.logged()) == len(entries) + 1
    return found


def _number(design: Design) -> int:
    wall = design["case.wall"].value
    return -1 if wall == 0.003175 else round((float(wall or 0) - START) / STEP)


def _run(count: int, seed: int) -> Iterator[Kill]:
    draw = np.random.default_rng(seed)
    kinds = sorted(draw.choice(list(KINDS), count, p=[k[0] for k in KINDS.values()]))
    # What was read here may still be written once more: autosave has a thread of its own.
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as top:
        for at in range(0, count, AT_ONCE):
            writers = []
            for n, kind in enumerate(kinds[at : at + AT_ONCE], at):
                folder = Path(top) / str(n)
                folder.mkdir()
                writers.append(_forked(kind, folder, draw.uniform(*KINDS[kind][1])))
            start = time.monotonic()
            for writer in sorted(writers, key=lambda w: w.until):
                time.sleep(max(0.0, start + writer.until - time.monotonic()))
                yield _ended(writer)


def main() -> None:
    """Kill and tell."""
    for kill in _run(int(sys.argv[1]), int(sys.argv[2])):
        told: dict[str, Any] = attrs.asdict(kill)
        print(json.dumps(told), flush=True)


if __name__ == "__main__":
    main()
