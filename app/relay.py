"""What the followers are told: the very messages that the followed notebook's own page was told.

Nothing is computed for a follower. A view's data is JSON already; what changed is put together
once, about ten times a second at most, and the same text goes to all of them.
"""

import json
import secrets
import time
from collections.abc import Callable
from typing import Any
from weakref import WeakSet

from tornado.ioloop import IOLoop

from app.session import Session
from app.views.base import View
from app.views.notebook import Notebook
from app.views.page import Late

PACE = 0.1  # seconds between two messages to followers
FIRST = 0.02  # the owner's own page is told first
NAMES = ("frame", "curves", "data")
UNSEEN = ("size", "seen")  # said by a page of itself, not by a hand
PRIVATE = ("share", "handed", "save as", "remarks", "faults")  # the link; the owner's folders
FOLLOWING = "Following. Nothing you touch here changes the design."
NOBODY = "Your partner has no page open just now. This is how it was left."


class Relay:
    """The page of the notebook that was used last, as messages for whoever follows."""

    def __init__(self) -> None:
        self.run = secrets.token_hex(4)  # a page made by another run of the program is stale
        self.book: Notebook | None = None
        self.session: Session | None = None  # of the notebook used last, open or not
        self.wanted: Callable[[], bool] = lambda: False
        self.send: Callable[[], None] = lambda: None
        self.tick = 0
        self._met: WeakSet[Notebook] = WeakSet()
        self._looked: dict[str, str] = {}
        self._last: dict[tuple[str, str], str] = {}
        self._since: dict[tuple[str, str], int] = {}
        self._made: dict[int, bytes] = {}
        self._due = False
        self._sent = 0.0

    # ---- the notebooks

    def attach(self, book: Notebook) -> None:
        """Follow what a notebook shows as soon as it is used."""
        for place, root in book.roots().items():
            self._watch(book, place, root)
        self._used(book)

    def detach(self, book: Notebook) -> None:
        """A notebook is gone; what it showed last stays."""
        if self.book is book:
            self.book = None
            self.stir()

    def _watch(self, book: Notebook, place: str, root: Any) -> None:
        if isinstance(root, Late):
            if root.objects:
                self._watch(book, place, root.objects[0])
            else:
                root.param.watch(lambda event: self._watch(book, place, event.new[0]), "objects")
            return
        root.noticed = lambda kind, payload: self._noticed(book, place, kind, payload)
        root.param.watch(lambda _: self._noticed(book, place, "move", None), ["value", "slid"])
        root.param.watch(lambda _: self._drawn(book), list(NAMES))

    def _noticed(self, book: Notebook, place: str, kind: str, payload: Any) -> None:
        """The owner's hand is on a view; a switch says which plot is to be seen."""
        if kind in UNSEEN:
            if book not in self._met:  # a page is there: after a reload the old one may speak last
                self._met.add(book)
                self._used(book)
            return
        looked = {"place": place}
        if kind == "look" and isinstance(payload, str):
            looked = {"field": payload[:80]}
        if looked != self._looked or book is not self.book:
            self._looked = looked
            self._used(book)

    def _drawn(self, book: Notebook) -> None:
        """Every open notebook is told who follows; that alone does not make it the one in use."""
        if book is self.book:
            self.stir()

    def _used(self, book: Notebook) -> None:
        self.book, self.session = book, book.session
        self.stir()

    # ---- the messages

    def stir(self) -> None:
        """Something changed: tell of it soon, and not before its turn."""
        if self._due or not self.wanted():
            return
        self._due = True
        wait = max(FIRST, self._sent + PACE - time.monotonic())
        IOLoop.current().call_later(wait, self._flush)

    def _flush(self) -> None:
        self._due = False
        self._sent = time.monotonic()
        if self.gather():
            self.send()

    def gather(self) -> bool:
        """Take note of what changed since the last time; whether anything did."""
        found = self._parts()
        new = {key: text for key, text in found.items() if self._last.get(key) != text}
        if new:
            self.tick += 1
            self._last |= new
            self._since |= dict.fromkeys(new, self.tick)
            self._made = {}
        return bool(new)

    def since(self, tick: int) -> bytes:
        """Everything that changed after a tick, as one message, encoded once for all."""
        if tick not in self._made:
            views: dict[str, dict[str, str]] = {}
            for (place, name), text in self._last.items():
                if self._since[place, name] > tick:
                    views.setdefault(place, {})[name] = text
            views.pop("", None)
            looked = json.loads(self._last.get(("", "looked"), "{}"))
            self._made[tick] = json.dumps(
                {"run": self.run, "views": views, "looked": looked}, separators=(",", ":")
            ).encode()
        return self._made[tick]

    def _parts(self) -> dict[tuple[str, str], str]:
        """What each view shows: its class, and its data under each name."""
        book = self.book
        if book is None:
            bar = self._last.get(("bar", "data"))
            return {("bar", "data"): _bar(bar, NOBODY)} if bar else {}
        out = {("", "looked"): json.dumps(self._looked)}
        for place, root in book.roots().items():
            view = root.objects[0] if isinstance(root, Late) and root.objects else root
            if isinstance(view, View):
                out[place, "view"] = type(view).__name__
                out |= {(place, name): getattr(view, name) for name in NAMES}
        for name in NAMES:  # what the owner downloads is the owner's alone
            out["bar", name] = "{}"
        out["bar", "data"] = _bar(book.bar.data, FOLLOWING)
        if set(book.session.open[-1:]) & set(PRIVATE):
            out["leaf", "data"] = '{"html":""}'
        return out


def _bar(data: str, said: str) -> str:
    """The bar of a follower: where the owner is, and nothing to press or to download."""
    theirs = json.loads(data)
    kept = {name: theirs[name] for name in ("pages", "name", "system")}
    return json.dumps(kept | {"saved": "", "undo": "", "redo": "", "following": said})
