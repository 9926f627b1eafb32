"""Sharing with a partner: a second listener that exists only while sharing, and who is there."""

import contextlib
import json
import os
import secrets
import socket
import time
from collections.abc import Callable
from pathlib import Path

import attrs
import platformdirs
from tornado.httpserver import HTTPServer
from tornado.netutil import bind_sockets

from app.follow import MOST, Live, application
from app.gate import Gate
from app.relay import Relay
from app.views.notebook import Notebook

IDLE = 30  # seconds until a connection that asks nothing is closed
LARGEST = 4096  # bytes of a request's body; none of ours has any
LASTS = 12 * 3600  # seconds for which a link that was not stopped may be taken up again
NO_NETWORK = "This machine is in no network. Join one, then try again."


@attrs.frozen
class Link:
    """Where followers come to and what lets them in."""

    host: str
    port: int
    token: str
    since: float


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
        self.link = ""
        self.refused = ""
        self._port = 0
        self._gate: Gate | None = None
        self._server: HTTPServer | None = None
        self._told: list[Callable[[], None]] = []

    # ---- the notebooks

    def attach(self, book: Notebook) -> None:
        """A notebook is open: it can be followed, and is told who follows."""
        self.relay.attach(book)
        self._told.append(book.shared)

    def detach(self, book: Notebook) -> None:
        """A notebook is closed."""
        self.relay.detach(book)
        self._told.remove(book.shared)

    def _changed(self) -> None:
        for told in self._told:
            told()

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
        self._gate = Gate(application(self), [host], last.token, f"hobbyclosure-{last.port}")
        self._server = server = HTTPServer(
            self._gate, max_body_size=LARGEST, max_header_size=16384,
            idle_connection_timeout=IDLE, body_timeout=IDLE,
        )  # fmt: skip
        server.add_sockets(sockets)
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
        if self._server is not None and self._gate is not None:
            self._server.stop()
            self._gate.close()
        self._server = self._gate = None
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
        guest.news.set()
        self._changed()
        return True

    def go(self, guest: Live) -> None:
        """A follower is gone."""
        if guest in self.guests:
            self.guests.remove(guest)
            self._changed()

    def _send(self) -> None:
        for guest in self.guests:
            guest.news.set()


def local_address() -> str:
    """Where others in the network find this machine; empty when it is in none."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # sends nothing: it only asks which way it would go
            return str(probe.getsockname()[0])
        except OSError:
            return ""
