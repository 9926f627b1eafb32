"""Sharing with a partner: a second listener that exists only while sharing, and who is there."""

import secrets
import socket
from collections.abc import Callable

from tornado.httpserver import HTTPServer
from tornado.netutil import bind_sockets

from app.follow import MOST, Live, application
from app.gate import Gate
from app.relay import Relay
from app.views.notebook import Notebook

IDLE = 30  # seconds until a connection that asks nothing is closed
LARGEST = 4096  # bytes of a request's body; none of ours has any
NO_NETWORK = "This machine is in no network. Join one, then try again."


class Share:
    """One link at a time, to what the owner works on; off until it is started."""

    def __init__(self, address: str | None = None) -> None:
        self.given = address
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
        try:
            sockets = bind_sockets(self._port, address)  # the port of last time, for pages waiting
        except OSError:
            sockets = bind_sockets(0, address)
        self._port = sockets[0].getsockname()[1]
        host = f"{f'[{address}]' if ':' in address else address}:{self._port}"
        token = secrets.token_urlsafe(18)
        self._gate = Gate(application(self), [host], token, f"hobbyclosure-{self._port}")
        self._server = server = HTTPServer(
            self._gate, max_body_size=LARGEST, max_header_size=16384,
            idle_connection_timeout=IDLE, body_timeout=IDLE,
        )  # fmt: skip
        server.add_sockets(sockets)
        self.link = f"http://{host}/?key={token}"

    def stop(self) -> None:
        """Close the listener and cut every line; the token opens nothing any more."""
        if self._server is not None and self._gate is not None:
            self._server.stop()
            self._gate.close()
        self._server = self._gate = None
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
