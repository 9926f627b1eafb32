"""Unsaved work on disk: written within half a second of a change, taken up on the next start."""

import contextlib
import datetime
import hashlib
import threading
from collections.abc import Callable
from pathlib import Path

import attrs
import platformdirs

from hobbyclosure import file

WAIT = 0.4  # seconds; with the write itself well under the one that may be lost


@attrs.frozen
class Found:
    """Unsaved work of an earlier start: its text and when it was written."""

    text: str
    when: datetime.datetime


def state_name(origin: Path | None) -> str:
    """What the state of a design file (or of the demo) is called; no two share a name."""
    name = "demo" if origin is None else origin.resolve().stem[:40]
    digest = hashlib.sha256(str(origin and origin.resolve()).encode()).hexdigest()[:12]
    return f"{name}-{digest}"


class Autosave:
    """The unsaved state of one design file (or of the demo), in the user's state folder."""

    def __init__(self, origin: Path | None) -> None:
        folder = Path(platformdirs.user_state_dir("hobbyclosure")) / "unsaved"
        self.path = folder / f"{state_name(origin)}.toml"
        self._timer: threading.Timer | None = None
        self._lock = threading.Lock()

    def note(self, text: Callable[[], str]) -> None:
        """Something changed: `text` is asked for what to write, a moment from now."""
        with self._lock:
            if self._timer is None:
                self._timer = threading.Timer(WAIT, self._write, [text])
                self._timer.daemon = True
                self._timer.start()

    def _write(self, text: Callable[[], str]) -> None:
        with self._lock:
            self._timer = None
            with contextlib.suppress(OSError):  # a full disk must not take the notebook down
                self.path.parent.mkdir(parents=True, exist_ok=True)
                file.save(text(), self.path)

    def clear(self) -> None:
        """Nothing is unsaved any more."""
        with self._lock:
            if self._timer is not None:
                self._timer.cancel()
                self._timer = None
            self.path.unlink(missing_ok=True)

    def found(self) -> Found | None:
        """Unsaved work left by an earlier start."""
        try:
            when = datetime.datetime.fromtimestamp(self.path.stat().st_mtime)
            return Found(self.path.read_text(encoding="utf-8"), when)
        except (OSError, UnicodeDecodeError):
            return None
