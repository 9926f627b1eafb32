"""The gate: what stands in front of a whole HTTP server, so that no route of it can be forgotten.

It hands a request on only when everything about it is right. Whatever else comes, a page, a
websocket, a file, an address that does not exist, is answered here in one line, and the server
behind never hears of it.
"""

import hmac
import time
from collections import deque
from collections.abc import Awaitable, Iterable
from http import HTTPStatus
from urllib.parse import parse_qs, urlsplit
from weakref import WeakKeyDictionary

import attrs
from tornado import httputil
from tornado.http1connection import HTTP1Connection, HTTP1ServerConnection
from tornado.iostream import IOStream

TRIES = 20  # refusals of one address a minute; after them it is not even looked at
MINUTE = 60.0
REMEMBERED = 1000  # addresses
STREAMS = 40  # open connections of one address; a browser needs some six while it loads a page
METHODS = ("GET", "HEAD")
REFUSED = "Refused.\n"
LATER = "Too many tries. Wait a minute.\n"
# The link is left by a page of our own and not by a redirect: a cookie that is strict about who
# led here would be held back from the redirect of a link that was touched on another site.
CAME_IN = '<!doctype html><meta http-equiv="refresh" content="0;url=/"><title>Opening</title>\n'


@attrs.define
class Answer:
    """What the gate itself says."""

    status: HTTPStatus
    text: str
    headers: dict[str, str] = attrs.field(factory=dict)


class Tries:
    """How often each address was refused of late."""

    def __init__(self) -> None:
        self._when: dict[str, deque[float]] = {}

    def exhausted(self, address: str) -> bool:
        """Whether an address has used up what a minute allows."""
        when = self._when.get(address, ())
        return len(when) == TRIES and time.monotonic() - when[0] < MINUTE

    def note(self, address: str) -> None:
        """One more refusal; the address heard of longest ago is forgotten."""
        when = self._when.pop(address, None) or deque(maxlen=TRIES)
        when.append(time.monotonic())
        self._when[address] = when
        if len(self._when) > REMEMBERED:
            del self._when[next(iter(self._when))]


class Gate(httputil.HTTPServerConnectionDelegate):
    """Hands on what names one of `hosts` and, if there is a `token`, knows it; refuses the rest.

    The token is taken once from the link, `/?key=…`, and from then on from a cookie that no script
    can read and that goes no further than this gate.
    """

    def __init__(
        self,
        app: httputil.HTTPServerConnectionDelegate,
        hosts: Iterable[str],
        token: str | None = None,
        cookie: str = "key",
    ) -> None:
        self.app = app
        self.hosts = frozenset(hosts)
        self.token = token
        self.cookie = cookie
        self.tries = Tries()
        self.streams: WeakKeyDictionary[IOStream, str] = WeakKeyDictionary()

    def start_request(
        self, server_conn: object, request_conn: httputil.HTTPConnection
    ) -> httputil.HTTPMessageDelegate:
        """A request begins, perhaps on a connection that is open already."""
        assert isinstance(server_conn, HTTP1ServerConnection)
        assert isinstance(request_conn, HTTP1Connection)
        stream, address = server_conn.stream, _address(request_conn)
        self.streams[stream] = address
        if self.token is not None and list(self.streams.values()).count(address) > STREAMS:
            stream.close()
        return _Request(self, server_conn, request_conn)

    def close(self) -> None:
        """Let nobody in any more, and cut every connection now, whatever it is doing."""
        self.hosts = frozenset()
        for stream in list(self.streams):
            stream.close()

    def judge(
        self, start: httputil.RequestStartLine, headers: httputil.HTTPHeaders, address: str
    ) -> Answer | None:
        """What the gate answers; None hands the request on."""
        limited = self.token is not None
        if limited and self.tries.exhausted(address):
            return Answer(HTTPStatus.TOO_MANY_REQUESTS, LATER, {"Retry-After": "60"})
        if self._comes_from_here(start, headers):
            if self.token is None or self._knows(_cookie(headers, self.cookie)):
                return None
            if self._knows(_key(start)):
                kept = f"{self.cookie}={self.token}; Path=/; HttpOnly; SameSite=Strict"
                return Answer(HTTPStatus.OK, CAME_IN, {"Set-Cookie": kept})
        if limited:
            self.tries.note(address)
        return Answer(HTTPStatus.FORBIDDEN, REFUSED)

    def _comes_from_here(
        self, start: httputil.RequestStartLine, headers: httputil.HTTPHeaders
    ) -> bool:
        """Whether a request is of a kind that our own pages make."""
        host, origin = headers.get("Host", ""), headers.get("Origin")
        if host not in self.hosts or start.method not in METHODS:
            return False
        if origin is None:  # a browser always says where a websocket comes from
            return self.token is None or "Upgrade" not in headers
        return origin == f"http://{host}"

    def _knows(self, said: str) -> bool:
        token = self.token or ""
        return bool(token) and hmac.compare_digest(said.encode(), token.encode())


class _Request(httputil.HTTPMessageDelegate):
    """One request before the gate; behind it, everything goes to the server as it comes."""

    def __init__(
        self, gate: Gate, server_conn: HTTP1ServerConnection, conn: HTTP1Connection
    ) -> None:
        self.gate = gate
        self.server_conn = server_conn
        self.conn = conn
        self.behind: httputil.HTTPMessageDelegate | None = None

    def headers_received(
        self,
        start_line: httputil.RequestStartLine | httputil.ResponseStartLine,
        headers: httputil.HTTPHeaders,
    ) -> Awaitable[None] | None:
        assert isinstance(start_line, httputil.RequestStartLine)
        answer = self.gate.judge(start_line, headers, _address(self.conn))
        if answer is not None:
            self._say(answer, start_line.method)
            return None
        if self.gate.token is not None:
            headers.pop("Cookie", None)  # nothing behind the gate learns the token
        self.behind = self.gate.app.start_request(self.server_conn, self.conn)
        return self.behind.headers_received(start_line, headers)

    def _say(self, answer: Answer, method: str) -> None:
        body = answer.text.encode()
        kind = "html" if answer.status is HTTPStatus.OK else "plain"
        headers = httputil.HTTPHeaders({
            "Content-Type": f"text/{kind}; charset=utf-8", "Content-Length": str(len(body)),
            "Cache-Control": "no-store", "Referrer-Policy": "no-referrer",
            "X-Content-Type-Options": "nosniff", "Connection": "close", **answer.headers,
        })  # fmt: skip
        line = httputil.ResponseStartLine("HTTP/1.1", answer.status, answer.status.phrase)
        self.conn.write_headers(line, headers, b"" if method == "HEAD" else body)
        self.conn.finish()

    def data_received(self, chunk: bytes) -> Awaitable[None] | None:
        return self.behind.data_received(chunk) if self.behind else None

    def finish(self) -> None:
        if self.behind:
            self.behind.finish()

    def on_connection_close(self) -> None:
        if self.behind:
            self.behind.on_connection_close()


def _address(conn: HTTP1Connection) -> str:
    return str(getattr(conn.context, "remote_ip", ""))


def _cookie(headers: httputil.HTTPHeaders, name: str) -> str:
    return httputil.parse_cookie(headers.get("Cookie", "")).get(name, "")


def _key(start: httputil.RequestStartLine) -> str:
    """The token that the link carries."""
    try:
        url = urlsplit(start.path)
        return parse_qs(url.query).get("key", [""])[0] if url.path == "/" else ""
    except ValueError:
        return ""
