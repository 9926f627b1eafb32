"""What was handed back, on disk until the owner has taken or left it: no kill loses any of it."""

import contextlib
import itertools
import json
import secrets
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import attrs
import platformdirs

from app.copies import Handed, handed
from hobbyclosure import file
from hobbyclosure.design import Design, DesignError


class Waiting:
    """The differences that wait on one design file (or on the demo), in the user's state folder.

    Each start has a file of its own. The next one takes over what earlier starts left, one that
    still runs among them: a difference may be asked about twice and never goes missing.
    """

    def __init__(self, name: str) -> None:
        self._folder = Path(platformdirs.user_state_dir("hobbyclosure")) / "waiting"
        self._name = name
        self.path = self._folder / f"{name}-{secrets.token_hex(4)}.json"

    def keep(self, waiting: Sequence[Handed]) -> None:
        """Put all that waits on disk in place of what waited; no file is left when nothing does."""
        by_copy = itertools.groupby(waiting, key=lambda d: (d.copy, id(d.begun), id(d.theirs)))
        rows = [_written([*several]) for _, several in by_copy]
        with contextlib.suppress(OSError):  # a full disk must not take the notebook down
            if rows:
                self._folder.mkdir(parents=True, exist_ok=True)
                file.save(json.dumps(rows), self.path)
            else:
                self.path.unlink(missing_ok=True)

    def found(self) -> list[Handed]:
        """What earlier starts left, its copies numbered anew; what cannot be read is left alone."""
        out: list[Handed] = []
        files: list[Path] = []
        copies = itertools.count(1)
        for path in sorted(self._folder.glob(f"{self._name}-*.json")):
            try:
                rows = [_read(row) for row in json.loads(path.read_text(encoding="utf-8"))]
            except (OSError, DesignError, ValueError, KeyError, TypeError, RecursionError):
                continue
            for several in rows:
                number = next(copies)
                out += [attrs.evolve(d, copy=number) for d in several]
            files.append(path)
        self.keep(out)
        for path in files:
            path.unlink(missing_ok=True)
        return out


def _written(several: Sequence[Handed]) -> dict[str, Any]:
    """Differences of one copy that were handed back together, as JSON."""
    first = several[0]
    return {
        "begun": _text(first.begun),
        "theirs": _text(first.theirs),
        "paths": [d.path for d in several],
    }


def _text(design: Design) -> str:
    return file.written(design, None, design.system)


def _read(row: Any) -> list[Handed]:
    begun, theirs = (file.loads(row[name]).design for name in ("begun", "theirs"))
    return [d for d in handed(begun, theirs, 0) if d.path in row["paths"]]
