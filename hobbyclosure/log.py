"""The log of a design: dated entries, each with its words and the whole design of that hour.

It is a TOML file beside the design's own: [[entry]] with `when`, `text` and `design`, the design's
file as it was. Entries are only ever added, at the end: what stands above them is left as it is,
comments and keys of other people included.
"""

import datetime
import tomllib
from collections.abc import Container, Iterable, Sequence
from functools import lru_cache
from pathlib import Path

import attrs
import tomlkit

from hobbyclosure import file, lock
from hobbyclosure.design import DesignError, Problem

LONGEST = 2000  # letters of an entry
LARGEST = 10_000_000  # bytes of a log: well over a thousand entries


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
    """The entries of a log, oldest first; none where there is no file. Raises DesignError.

    A file that was read before and is still the same is not read again.
    """
    try:
        there = path.stat()
    except OSError:
        return _entries(_text(path), path)  # says why, or that there is none
    return _read(path, (there.st_ino, there.st_mtime_ns, there.st_size))


@lru_cache(maxsize=4)
def _read(path: Path, state: tuple[int, int, int]) -> tuple[Entry, ...]:
    return _entries(_text(path), path)


def _text(path: Path) -> str:
    """A log's text to the letter, empty where there is no file. Raises DesignError."""
    try:
        if path.stat().st_size > LARGEST:
            raise _fault(path, _too_large(path.stat().st_size))
        return path.read_bytes().decode("utf-8")
    except FileNotFoundError:
        return ""
    except (OSError, UnicodeDecodeError) as error:
        raise _fault(path, f"cannot be read ({error})") from None


def _too_large(size: int) -> str:
    return f"is {size / 1e6:.1f} MB; at most {LARGEST / 1e6:.0f} MB are read and nothing was added"


def _entries(text: str, path: Path) -> tuple[Entry, ...]:
    try:
        if any(line.count(".") > file.MOST_POINTS for line in text.split("\n")):
            raise ValueError("too many points in a line")
        tree = tomllib.loads(text.removeprefix("\ufeff"))
        return tuple(
            Entry(datetime.datetime.fromisoformat(str(row["when"])), str(row["text"]),
                  str(row["design"]))
            for row in (tree["entry"] if tree else ())
        )  # fmt: skip
    except (KeyError, TypeError, ValueError, AttributeError, RecursionError):
        raise _fault(path, "is no log: nothing was added to it") from None


def _fault(path: Path, says: str) -> DesignError:
    return DesignError([Problem("", "", f"{path.name}: {says}")])


def add(path: Path, entry: Entry) -> tuple[Entry, ...]:
    """Add an entry to what the file says now, whole or not at all; returns all of them.

    A second writer waits its turn (see `lock`). Raises DesignError where the file is no log,
    OSError where it cannot be written or someone else is at it.
    """
    entry = attrs.evolve(entry, text=clean(entry.text))
    with lock.held(path):
        return _add(path, [entry])


def _add(path: Path, entries: Sequence[Entry]) -> tuple[Entry, ...]:
    """Put entries below a log's text; whoever calls holds its lock, where there are locks."""
    text = there = _text(path)
    _entries(text, path)  # what is no log is not made one
    newline = "\r\n" if "\r\n" in text[: text.find("\n") + 1] else "\n"
    if text.strip("\ufeff") and not text.endswith("\n"):
        text += newline
    gap = newline if text else ""
    text += gap + newline.join(written([e]).replace("\n", newline) for e in entries)
    if len(text.encode()) > LARGEST:
        raise _fault(path, _too_large(len(text.encode())))
    found = _entries(text, path)
    if _text(path) != there:
        return _add(path, entries)
    file.save(text, path)
    return found


def take_along(before: Path, after: Path, mine: Container[str] | None = None) -> None:
    """Put the entries of one log, as they are, into another and delete the first.

    Where it holds others than `mine` (by `key`) it stays, with those: they are somebody else's,
    too. What a log that is there already has of them is not put in twice. Raises as `add`;
    then both are as they were, or the entries are in both.
    """
    with lock.held(before), lock.held(after):
        there, found = read(after), read(before)
        new = [entry for entry in found if entry not in there]
        if new and after.exists():
            _add(after, new)
        elif new:
            file.save(_text(before), after)
        others = [entry for entry in found if mine is not None and key(entry) not in mine]
        if others:
            file.save(written(others), before)
        else:
            before.unlink(missing_ok=True)


def key(entry: Entry) -> str:
    """What tells an entry from others: its hour and its words, as they are written."""
    return f"{entry.when:%Y-%m-%d %H:%M:%S} {clean(entry.text)}"


def written(entries: Iterable[Entry]) -> str:
    """The text of entries, to stand below others."""
    document = tomlkit.document()
    table = tomlkit.aot()
    for entry in entries:
        row = tomlkit.table()
        row["when"] = entry.when.replace(microsecond=0)
        row["text"] = entry.text
        row["design"] = tomlkit.string(entry.design, multiline=True)
        table.append(row)
    document["entry"] = table
    # A line's end of two signs, a return among them, would be read back as one.
    return tomlkit.dumps(document).replace("\r", "\\r")


def clean(text: str) -> str:
    """An entry's words without what cannot be seen, and no longer than is read."""
    return "".join(c for c in text if c.isprintable() or c == "\n").strip()[:LONGEST].rstrip()
