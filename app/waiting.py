"""What was handed back, on disk until the owner has taken or left it: no kill loses any of it."""

import contextlib
import glob
import itertools
import json
import secrets
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import attrs
import platformdirs

from app.copies import Handed, handed
from app.session import OpenFile
from hobbyclosure import file
from hobbyclosure.design import Design, DesignError

# What reading a file may raise that holds no such thing, whatever it holds.
SPOILT = (OSError, DesignError, ValueError, LookupError, TypeError, AttributeError, RecursionError)


class Waiting:
    """The differences that wait on one design file (or on the demo), in the user's state folder.

    Each start has a file of its own. The next one takes over what earlier starts left, one that
    still runs among them: a difference may be asked about twice and never goes missing.
    """

    def __init__(self, name: str) -> None:
        self._folder = Path(platformdirs.user_state_dir("hobbyclosure")) / "waiting"
        self._name = name
        self.path = self._own()
        self.unread: list[Path] = []  # left as they are
        self._taken: list[Path] = []  # over from other starts, and not yet in our own file
        self._texts: dict[tuple[int, int], tuple[Handed, str, str]] = {}

    def _own(self) -> Path:
        return self._folder / f"{self._name}-{secrets.token_hex(4)}.json"

    def keep(self, waiting: Sequence[Handed]) -> None:
        """Put all that waits on disk in place of what waited; no file is left when nothing does."""
        by_copy = itertools.groupby(waiting, key=lambda d: (d.copy, id(d.begun), id(d.theirs)))
        groups = [[*several] for _, several in by_copy]
        known, self._texts = self._texts, {}
        for first, *_ in groups:
            key = (id(first.begun), id(first.theirs))
            self._texts[key] = known.get(key) or (first, _text(first.begun), _text(first.theirs))
        rows = []
        for several in groups:
            _, begun, theirs = self._texts[id(several[0].begun), id(several[0].theirs)]
            origin = several[0].origin
            rows.append({
                "begun": begun, "theirs": theirs, "paths": [d.path for d in several],
                "origin": origin.about if origin else {},
            })  # fmt: skip
        with contextlib.suppress(OSError):  # a full disk must not take the notebook down
            if rows:
                self._folder.mkdir(parents=True, exist_ok=True)
                file.save(json.dumps(rows), self.path)
            else:
                self.path.unlink(missing_ok=True)
            while self._taken:
                self._taken[-1].unlink(missing_ok=True)
                self._taken.pop()

    def found(self) -> list[Handed]:
        """What earlier starts left, its copies numbered anew; what cannot be read is left alone.

        A file is made ours before it is read: what its program writes after that is another.
        """
        out: list[Handed] = []
        copies = itertools.count(1)
        for there in sorted(self._folder.glob(f"{glob.escape(self._name)}-*.json")):
            path = self._own()
            try:
                there.rename(path)
                rows = [_read(row) for row in json.loads(path.read_text(encoding="utf-8"))]
            except SPOILT:
                self.unread.append(path if path.exists() else there)
                continue
            self._taken.append(path)
            for several in rows:
                number = next(copies)
                out += [attrs.evolve(d, copy=number) for d in several]
        if self._taken:
            self.keep(out)
        return out


def _text(design: Design) -> str:
    return file.written(design, None, design.system)


def _read(row: Any) -> list[Handed]:
    """Differences that were handed back together. Raises for what is none."""
    begun, theirs = (_design(str(row[name])) for name in ("begun", "theirs"))
    said = row.get("origin") or {}
    path = Path(str(said["path"])) if said.get("path") else None
    origin = OpenFile(path, mark=str(said.get("mark", "")), born="") if said else None
    return [d for d in handed(begun, theirs, 0, origin) if d.path in row["paths"]]


def _design(text: str) -> Design:
    loaded = file.loads(text)
    if loaded.problems:
        raise DesignError(loaded.problems)
    return loaded.design
