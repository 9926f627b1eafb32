"""Unsaved work on disk: written within half a second of a change, taken up on the next start."""

import contextlib
import datetime
import hashlib
import json
import secrets
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

import attrs
import platformdirs

from hobbyclosure import file, log

WAIT = 0.4  # seconds; with the write itself well under the one that may be lost
_ABOUT = "\n# unsaved work of "  # begins the last line, JSON: where the design comes from


@attrs.frozen
class Found:
    """Unsaved work of an earlier start: its text, when it was written, where it lies.

    `about` is what was said of the file it belongs to; `more` tells whether there is yet other.
    """

    text: str
    when: datetime.datetime
    path: Path
    about: dict[str, Any]
    more: bool


@attrs.frozen
class Aside:
    """A state that is left where it lies, with what its session knows of it."""

    path: Path
    written: str | None
    taken: str | None


def state_name(origin: Path | None) -> str:
    """What the state of a design file (or of the demo) is called; no two share a name."""
    name = "demo" if origin is None else origin.resolve().stem[:40]
    digest = hashlib.sha256(str(origin and origin.resolve()).encode()).hexdigest()[:12]
    return f"{name}-{digest}"


class Autosave:
    """The unsaved state of one design file (or of the demo), in the user's state folder.

    Several tabs may have the same file open: a state that another of them wrote is not written
    over, the second goes on under a name of its own.
    """

    def __init__(self, origin: Path | None) -> None:
        self._folder = Path(platformdirs.user_state_dir("hobbyclosure")) / "unsaved"
        self._name = state_name(origin)
        self.path = self._folder / f"{self._name}.toml"
        self._written: str | None = None  # what this session wrote or took up
        self._taken: str | None = None  # what it took up: another tab may still be at it
        self._text: Callable[[], str] = str
        self._timer: threading.Timer | None = None
        self._lock = threading.Lock()  # of the timer and the text: a move may wait for it
        self._writing = threading.Lock()  # of what lies on disk; taken before the other

    def log_path(self, mark: str) -> Path:
        """Where the log of a design lies that no file holds yet."""
        return log.path_of(self._folder / f"{self._name}{mark and f'-{mark}'}.toml")

    def note(self, text: Callable[[], str], about: dict[str, Any] | None = None) -> None:
        """Something changed: `text` is asked for what to write, a moment from now."""
        with self._lock:
            self._text = lambda: f"{text()}{_ABOUT}{json.dumps(about or {})}\n"
            if self._timer is None:
                self._timer = threading.Timer(WAIT, self._write)
                self._timer.daemon = True
                self._timer.start()

    def _write(self) -> None:
        with self._writing:
            self._write_now()

    def _write_now(self) -> None:
        with self._lock:
            if self._timer is None:  # cleared or written while this waited
                return
            self._timer.cancel()
            self._timer, make = None, self._text
        text = make()
        with contextlib.suppress(OSError):  # a full disk must not take the notebook down
            self._folder.mkdir(parents=True, exist_ok=True)
            if not self._is_ours():
                self.path = self._another()
            file.save(text, self.path)
            self._written = text

    def _another(self) -> Path:
        return self._folder / f"{self._name}-{secrets.token_hex(4)}.toml"

    def _is_ours(self) -> bool:
        """Whether nobody else wrote the state since this session did."""
        try:
            return self.path.read_text(encoding="utf-8", errors="replace") == self._written
        except FileNotFoundError:
            return True

    def clear(self, saved: bool = False) -> None:
        """Nothing is unsaved any more; what was taken up is put back unless it was saved."""
        with self._writing:
            with self._lock:
                if self._timer is not None:
                    self._timer.cancel()
                    self._timer = None
            if not self._is_ours():
                return
            if saved or self._taken is None:
                self.path.unlink(missing_ok=True)
                self._taken = None
            elif self._written != self._taken:
                with contextlib.suppress(OSError):
                    file.save(self._taken, self.path)
                    self._written = self._taken

    def set_aside(self) -> Aside:
        """Another design comes: what is unsaved stays where it lies, the next goes elsewhere."""
        with self._writing:
            self._write_now()
            aside = Aside(self.path, self._written, self._taken)
            self.path, self._written, self._taken = self._another(), None, None
        return aside

    def resume(self, aside: Aside) -> None:
        """Go on with work that was set aside; the state since then is done with.

        Another tab may have gone on with it meanwhile: then it is not written over.
        """
        self.clear(saved=True)
        with self._writing:
            self.path, self._written, self._taken = aside.path, aside.written, aside.taken

    def found(self) -> Found | None:
        """Unsaved work left by an earlier start, the newest there is."""
        there = []
        with contextlib.suppress(OSError):
            for path in self._folder.iterdir():
                name = path.name
                if name.startswith(self._name) and name.endswith(".toml"):
                    there.append((path.stat().st_mtime_ns, path))
        states = sorted(t for t in there if not t[1].name.endswith(".log.toml"))
        if not states:
            return None
        path = states[-1][1]
        try:
            when = datetime.datetime.fromtimestamp(path.stat().st_mtime)
            text, sign, about = path.read_text(encoding="utf-8").rpartition(_ABOUT)
            if not sign:
                text, about = about, "{}"
            return Found(text, when, path, dict(json.loads(about)), len(states) > 1)
        except (OSError, ValueError, TypeError, RecursionError):
            return None

    def take(self, found: Found) -> None:
        """Go on with this state: the next is written over it."""
        with self._writing, contextlib.suppress(OSError):
            self.path = found.path
            self._written = self._taken = found.path.read_text(encoding="utf-8")
