"""Sharing with a partner: a second listener that exists only while sharing, and who is there."""

import asyncio
import contextlib
import datetime
import json
import os
import secrets
import socket
import time
from collections.abc import Callable
from contextvars import Context
from functools import partial
from pathlib import Path
from typing import Any

import attrs
import panel as pn
import platformdirs
from bokeh.server.tornado import BokehTornado
from panel.io.application import build_applications
from panel.io.state import set_curdoc
from tornado import web
from tornado.httpserver import HTTPServer
from tornado.httputil import HTTPServerRequest
from tornado.ioloop import IOLoop
from tornado.netutil import bind_sockets
from tornado.routing import AnyMatches, Matcher, PathMatches, Rule, RuleRouter

from app.copies import MOST as MOST_HANDED
from app.copies import Copy, CopyNotebook, Handed, elsewhere, so_already
from app.follow import ENDED, MOST, Full, Live, application
from app.gate import Gate
from app.relay import Relay
from app.session import Session
from app.template import template
from app.views.notebook import Notebook
from app.waiting import Waiting

COPY = "/copy"
ROOM = 8  # copies at a time; one that was left counts for half a minute more
IDLE = 30  # seconds until a connection that asks nothing is closed
LARGEST = 4096  # bytes of a request's body; none of ours has any
LASTS = 12 * 3600  # seconds for which a link that was not stopped may be taken up again
WAITS = "What your partner handed back waits: it is in the menu, to be taken or left one by one."
UNREAD = "Something your partner handed back cannot be read any more; it lies in {}."
NO_NETWORK = "This machine is in no network. Join one, then try again."


@attrs.frozen
class Link:
    """Where followers come to and what lets them in."""

    host: str
    port: int
    token: str
    since: float


@attrs.frozen(eq=False)
class Borrower:
    """Who works on a copy."""

    address: str
    number: int
    since: datetime.datetime


class Share:
    """One link at a time, to what the owner works on; off until it is started.

    A link that was stopped is worthless for ever. One that ended with the program, because that was
    closed or killed, is taken up when sharing is started again: its followers come back.
    """

    def __init__(self, address: str | None = None, name: str = "demo") -> None:
        self.given = address
        self.kept = Path(platformdirs.user_state_dir("hobbyclosure")) / "shared" / f"{name}.json"
        self.again = False  # whether the link is that of an earlier start
        self.relay = Relay()
        self.relay.wanted = lambda: bool(self.guests)
        self.relay.send = self._send
        self.guests: list[Live] = []
        self.borrowers: list[Borrower] = []
        self.waiting = Waiting(name)
        self.settled: dict[tuple[int, str], tuple[Handed, bool]] = {}  # what became of each, last
        self._copybooks: dict[int, tuple[CopyNotebook, Any]] = {}  # with their documents
        self.handed = self.waiting.found()
        self.lent = max((d.copy for d in self.handed), default=0)  # each copy has its own number
        self.link = ""
        self.refused = ""
        self._port = 0
        self._gate: Gate | None = None
        self._server: HTTPServer | None = None
        self._copies: BokehTornado | None = None
        self._books: dict[Notebook, Any] = {}  # each with the document it is shown in

    # ---- the notebooks

    def attach(self, book: Notebook) -> None:
        """A notebook is open: it can be followed, and is told who follows."""
        self.relay.attach(book)
        self._books[book] = pn.state.curdoc

    def detach(self, book: Notebook) -> None:
        """A notebook is closed."""
        self.relay.detach(book)
        del self._books[book]

    def _changed(self) -> None:
        """Every notebook says it in its own turn.

        What is written into a page out of turn waits, and lands on what was written since.
        """
        for book, document in self._books.items():
            _tell(document, book.shared)

    # ---- on and off

    def start(self) -> None:
        """Open the listener, with a token that nobody has seen yet."""
        if self.link:
            return
        address = self.given or local_address()
        self.refused = "" if address else NO_NETWORK
        if address:
            try:
                self._listen(address)
            except OSError as error:
                self.refused = f"{address} cannot be shared on: {error.strerror or error}."
        self._changed()

    def _listen(self, address: str) -> None:
        last, sockets = self._last(), []
        if last and last.host == address:
            with contextlib.suppress(OSError):  # taken: perhaps that link is in use
                sockets = bind_sockets(last.port, address)
        self.again = bool(sockets)
        if not last or not sockets:
            sockets = self._doors(address)
            last = Link(
                address, sockets[0].getsockname()[1], secrets.token_urlsafe(18), time.time()
            )
        self._keep(last)
        self._port = last.port
        host = f"{f'[{address}]' if ':' in address else address}:{last.port}"
        self._copies = copies = BokehTornado(
            build_applications({COPY: self._copy}, title="hobbyclosure"),
            extra_websocket_origins=[host], include_headers=[], include_cookies=[],
        )  # fmt: skip
        copies.initialize(IOLoop.current())
        Context().run(copies.start)  # not in the name of whoever pressed the button
        behind = RuleRouter(
            [
                Rule(_Crowded(self), web.Application([(".*", Full)], log_function=_silent)),
                Rule(PathMatches(rf"{COPY}(/.*)?|/static/.*|/components/.*|/favicon\.ico"), copies),
                Rule(AnyMatches(), application(self)),
            ]
        )
        self._gate = Gate(behind, [host], last.token, f"hobbyclosure-{last.port}")
        self._server = server = HTTPServer(
            self._gate, max_body_size=LARGEST, max_header_size=16384,
            idle_connection_timeout=IDLE, body_timeout=IDLE,
        )  # fmt: skip
        Context().run(server.add_sockets, sockets)
        self.link = f"http://{host}/?key={last.token}"

    def _doors(self, address: str) -> list[socket.socket]:
        """Sockets at the port of last time, where pages may be waiting, or at another."""
        try:
            return bind_sockets(self._port, address)
        except OSError:
            return bind_sockets(0, address)

    def _last(self) -> Link | None:
        """The link of an earlier start that ended without being stopped."""
        try:
            found = Link(**json.loads(self.kept.read_text(encoding="utf-8")))
            fresh = 0 <= time.time() - found.since < LASTS and len(found.token) >= 24
            return found if fresh else None
        except (OSError, ValueError, TypeError):
            return None

    def _keep(self, link: Link) -> None:
        """Note the link where this user alone can read it."""
        with contextlib.suppress(OSError):
            self.kept.parent.mkdir(parents=True, exist_ok=True)
            self.kept.unlink(missing_ok=True)
            how = os.O_WRONLY | os.O_CREAT | os.O_EXCL
            with os.fdopen(os.open(self.kept, how, 0o600), "w", encoding="utf-8") as out:
                json.dump(attrs.asdict(link), out)

    def stop(self) -> None:
        """Close the listener and cut every line; the token opens nothing any more."""
        for guest in [*self.guests]:
            guest.close(ENDED)
        if self._copies is not None:
            for line in [*self._copies._clients]:
                line._socket.close(ENDED)
        if self._server is not None and self._gate is not None:
            self._server.stop()
            self._gate.close()
        if self._copies is not None:
            IOLoop.current().add_callback(_forget, self._copies)
        self._server = self._gate = self._copies = None
        self.borrowers.clear()
        self._copybooks.clear()
        self.kept.unlink(missing_ok=True)
        self.link = self.refused = ""
        self.guests.clear()
        self._changed()

    # ---- who is there

    def come(self, guest: Live) -> bool:
        """A follower is there, unless there is no room."""
        if not self.link or len(self.guests) >= MOST:
            return False
        self.guests.append(guest)
        self.relay.gather()
        self._send()  # what was gathered just now is news to the others too
        self._changed()
        return True

    def go(self, guest: Live) -> None:
        """A follower is gone."""
        if guest in self.guests:
            self.guests.remove(guest)
            self._changed()

    def said_on_opening(self) -> list[str]:
        """What a notebook that is opened says of what waits."""
        unread = [UNREAD.format(path) for path in self.waiting.unread]
        return [WAITS] * bool(self.handed) + unread

    # ---- copies

    @property
    def crowded(self) -> bool:
        """Whether there is no room for another copy."""
        return len(self.borrowers) >= ROOM

    def _copy(self) -> Any:
        """The page of a partner who tries something on a copy."""
        session = self.relay.session
        if session is None or self.crowded:  # since it was asked for
            return pn.pane.Str("There is no room for another copy. Go back and follow.")
        context = pn.state.curdoc.session_context if pn.state.curdoc else None
        address = str(getattr(getattr(context, "request", None), "remote_ip", ""))
        self.lent += 1
        borrower = Borrower(address, self.lent, datetime.datetime.now())
        self.borrowers.append(borrower)
        pn.state.on_session_destroyed(lambda _: self._returned(borrower))
        self._changed()
        copy = Copy(session.design, session.system, session.file)
        return template(CopyNotebook(copy, self, borrower.number), copy=True, ended=ENDED)

    def lend(self, book: CopyNotebook) -> None:
        """A copy's notebook is open: it is told what becomes of what it hands back."""
        self._copybooks[book.number] = (book, pn.state.curdoc)

    def _returned(self, borrower: Borrower) -> None:
        self._copybooks.pop(borrower.number, None)
        if borrower in self.borrowers:
            self.borrowers.remove(borrower)
            self._changed()

    def hand(self, copy: int, found: list[Handed]) -> bool:
        """Differences for the owner to look at, in place of all that waited from this copy.

        Where too many wait already they are not taken in, and it says so.
        """
        kept = [d for d in self.handed if d.copy != copy]
        if len(kept) + len(found) > MOST_HANDED:
            return False
        self.handed = [*kept, *found]
        self.waiting.keep(self.handed)
        self._changed()
        return True

    def settle(self, session: Session, number: str, taken: bool) -> None:
        """The owner takes or leaves a difference; one that is refused stays, with the reason."""
        for d in self.handed:
            if str(d.number) == number:
                fits = d.takeable and not elsewhere(session, d)
                if not taken or (fits and session.adopt(d.path, d.theirs[d.path])):
                    self.handed.remove(d)
                    self.waiting.keep(self.handed)
                    self.settled[d.copy, d.path] = (d, taken)
                    book, document = self._copybooks.get(d.copy, (None, None))
                    if book is not None:
                        _tell(document, partial(book.settled, taken))
                break
        self._changed()

    def before(self, handed: Handed) -> str:
        """What became of the same difference when it was handed back before; else empty."""
        was, taken = self.settled.get((handed.copy, handed.path), (None, False))
        if was is None or not so_already(was.theirs, handed):
            return ""
        return "you took it before" if taken else "you left it before"

    def _send(self) -> None:
        for guest in self.guests:
            guest.news.set()


class _Crowded(Matcher):
    """A new copy is asked for and there is no room; the copies there are come through."""

    def __init__(self, share: Share) -> None:
        self.share = share

    def match(self, request: HTTPServerRequest) -> dict[str, Any] | None:
        """Empty where it is so: nothing is taken from the address."""
        wanted = request.path.rstrip("/") == COPY and request.method in ("GET", "HEAD")
        return {} if wanted and self.share.crowded else None


def _silent(_: Any) -> None:
    pass


def _tell(document: Any, told: Callable[[], None]) -> None:
    """Have a notebook say something in its own document's turn."""
    if document is None:  # nobody looks: a test, or a script
        told()
    else:
        document.add_next_tick_callback(partial(_in_turn, document, told))


def _in_turn(document: Any, told: Callable[[], None]) -> None:
    with set_curdoc(document):
        told()


async def _forget(copies: BokehTornado) -> None:
    """End the sessions of copies whose lines were cut."""
    await asyncio.sleep(0.5)  # until every line knows
    for context in copies._applications.values():
        await context._cleanup_sessions(-1)
    copies.stop()


def local_address() -> str:
    """Where others in the network find this machine; empty when it is in none."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # sends nothing: it only asks which way it would go
            return str(probe.getsockname()[0])
        except OSError:
            return ""
