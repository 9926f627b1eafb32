"""The log of a design: dated entries, each with its words and the whole design of that hour.

It is a TOML file beside the design's own: [[entry]] with `when`, `text` and `design`, the design's
file as it was. Entries are only ever added.
"""

import contextlib
import datetime
import os
import time
from collections.abc import Iterator
from pathlib import Path

import attrs
import tomlkit
from tomlkit.exceptions import TOMLKitError

from hobbyclosure import file
from hobbyclosure.design import DesignError, Problem

LONGEST = 2000  # letters of an entry
STALE = 5.0  # seconds after which a lock is of a writer that died


@attrs.frozen
class Entry:
    """What was written down, when, and the design's file at that hour."""

    when: datetime.datetime
    text: str
    design: str


def path_of(design: Path) -> Path:
    """Where the log of a design's file lies."""
    return design.with_suffix(".log.toml")


def read(path: Path) -> tuple[Entry, ...]:
    """The entries of a log, oldest first; none where there is no file. Raises DesignError."""
    try:
        text = path.read_text(encoding="utf-8")
    except FileNotFoundError:
        return ()
    except (OSError, UnicodeDecodeError) as error:
        raise _fault(path, f"cannot be read ({error})") from None
    try:
        rows = tomlkit.parse(text).unwrap()["entry"]
        return tuple(
            Entry(datetime.datetime.fromisoformat(str(row["when"])), str(row["text"]),
                  str(row["design"]))
            for row in rows
        )  # fmt: skip
    except (TOMLKitError, KeyError, TypeError, ValueError, AttributeError):
        raise _fault(path, "is no log: nothing was added to it") from None


def _fault(path: Path, says: str) -> DesignError:
    return DesignError([Problem("", "", f"{path.name}: {says}")])


def add(path: Path, entry: Entry) -> tuple[Entry, ...]:
    """Add an entry to what the file says now, whole or not at all; returns all of them.

    A second writer waits its turn. Raises DesignError where the file is no log, OSError where it
    cannot be written.
    """
    with _locked(path):
        entries = (*read(path), entry)
        file.save(written(entries), path)
    return entries


def written(entries: tuple[Entry, ...]) -> str:
    """The text of a log."""
    document = tomlkit.document()
    table = tomlkit.aot()
    for entry in entries:
        row = tomlkit.table()
        row["when"] = entry.when.replace(microsecond=0)
        row["text"] = clean(entry.text)
        row["design"] = tomlkit.string(entry.design, multiline=True)
        table.append(row)
    document["entry"] = table
    return tomlkit.dumps(document)


def clean(text: str) -> str:
    """An entry's words without what cannot be seen, and no longer than is read."""
    return "".join(c for c in text if c.isprintable() or c == "\n").strip()[:LONGEST]


@contextlib.contextmanager
def _locked(path: Path) -> Iterator[None]:
    lock = path.with_name(f".{path.name}.lock")
    start = time.monotonic()
    while True:
        try:
            os.close(os.open(lock, os.O_CREAT | os.O_EXCL | os.O_WRONLY))
            break
        except FileExistsError:
            with contextlib.suppress(OSError):
                if time.time() - lock.stat().st_mtime > STALE:
                    lock.unlink(missing_ok=True)
                    continue
            if time.monotonic() - start > 2 * STALE:
                raise OSError(f"{path.name} is being written by someone else") from None
            time.sleep(0.01)
    try:
        yield
    finally:
        lock.unlink(missing_ok=True)
