"""What a follower is served, behind the gate: one page, the scripts of its views, a live line.

The line goes one way. Nothing a follower sends is read, so nothing it sends can change anything.
"""

import asyncio
import datetime
import json
import secrets
from functools import cache
from typing import TYPE_CHECKING, Any

import jinja2
from tornado import web, websocket

from app.theme import css
from app.views import base
from app.views.base import STATIC, View
from hobbyclosure import words

if TYPE_CHECKING:
    from app.share import Share

MOST = 16  # followers
ENDED = 4000  # the code of a line that ends because sharing was stopped
LONGEST = 1024  # bytes of a message that is not read anyway
PING = 10  # seconds between signs of life
_BASE = """<!doctype html>
<html lang="en"><head><meta charset="utf-8"><title>hobbyclosure</title>
<link rel="icon" href="data:,">
{% block postamble %}{% endblock %}</head><body>{% block contents %}{% endblock %}</body></html>
"""
FULL = """<!doctype html>
<html lang="en"><head><meta charset="utf-8"><title>hobbyclosure</title>
<meta name="viewport" content="width=device-width, initial-scale=1"><style>
:root { color-scheme: light dark; font: 18px/28px system-ui, sans-serif; }
body { max-width: 34em; margin: 12vh auto; padding: 0 24px; }
h1 { font-size: 24px; line-height: 32px; }
a { display: inline-block; padding: 10px 0; }</style></head>
<body><h1>No room for another copy</h1>
<p>As many are open as there is room for. One that is left makes room within a minute.</p>
<p><a href="/">Follow your partner</a><br><a href="/copy">Try again</a></p></body></html>
"""


def application(share: "Share") -> web.Application:
    """Everything there is behind the gate."""
    routes: list[Any] = [
        (r"/", FollowPage),
        (r"/here", Here),
        (r"/follow\.js", Script),
        (r"/view/(\w+)\.js", ViewScript),
        (r"/live", Live, {"share": share}),
    ]
    return web.Application(
        routes, log_function=lambda _: None, default_handler_class=Nothing,
        websocket_max_message_size=LONGEST, websocket_ping_interval=PING,
    )  # fmt: skip


class Plain(web.RequestHandler):
    """An answer that stays out of caches, frames and other pages."""

    def set_default_headers(self) -> None:
        """Headers of every answer."""
        self.clear_header("Server")
        self.set_header("Cache-Control", "no-store")
        self.set_header("Referrer-Policy", "no-referrer")
        self.set_header("X-Content-Type-Options", "nosniff")
        self.set_header("Cross-Origin-Resource-Policy", "same-origin")

    def write_error(self, status_code: int, **_: Any) -> None:
        """An error in one line."""
        self.set_header("Content-Type", "text/plain; charset=utf-8")
        self.finish("Nothing here.\n")


class Nothing(Plain):
    """An address that is none."""

    def prepare(self) -> None:
        """Answer so whatever is wanted."""
        raise web.HTTPError(404)


class Here(Plain):
    """A page that lost its line asks whether the program is there again."""

    def get(self) -> None:
        """Say yes."""
        self.set_status(204)


class FollowPage(Plain):
    """The notebook's page without anything of the notebook's server in it."""

    def get(self) -> None:
        """The page."""
        nonce = secrets.token_urlsafe(12)
        self.set_header(
            "Content-Security-Policy",
            f"default-src 'none'; script-src 'self' 'nonce-{nonce}'; img-src data:; "
            "style-src 'unsafe-inline'; "
            f"connect-src 'self' ws://{self.request.host}; base-uri 'none'; "
            "form-action 'none'; frame-ancestors 'none'",
        )
        self.finish(html(nonce))


class Full(Plain):
    """A copy is wanted and there is no room for it."""

    def get(self) -> None:
        """Say so, and how to go back."""
        self.set_status(503)
        self.set_header("Content-Security-Policy", "default-src 'none'; style-src 'unsafe-inline'")
        self.finish(FULL)


class Script(Plain):
    """The script that puts the views into the page."""

    def get(self) -> None:
        """The script."""
        self.set_header("Content-Type", "text/javascript; charset=utf-8")
        self.finish((STATIC / "js" / "follow.js").read_text(encoding="utf-8"))


class ViewScript(Plain):
    """The script and styles of one view, as its module."""

    def get(self, name: str) -> None:
        """The module."""
        view = views().get(name)
        if view is None:
            raise web.HTTPError(404)
        self.set_header("Content-Type", "text/javascript; charset=utf-8")
        styles = json.dumps("\n".join(view._stylesheets))
        self.finish(f"{view._esm}\nexport const styles = {styles}\n")


class Live(websocket.WebSocketHandler):
    """The line of one follower."""

    def initialize(self, share: "Share") -> None:
        """Remember what is followed."""
        self.share = share
        self.since = datetime.datetime.now()
        self.news = asyncio.Event()
        self.seen = 0
        self.task: asyncio.Task[None] | None = None

    @property
    def address(self) -> str:
        """Where the follower is."""
        return str(self.request.remote_ip)

    def check_origin(self, origin: str) -> bool:
        """Only our own page; the gate has asked already."""
        return origin == f"http://{self.request.host}"

    def open(self, *_: str, **__: str) -> None:
        """Begin to tell, if there is room."""
        if self.share.come(self):
            self.task = asyncio.ensure_future(self._tell())
        else:
            self.close(1013)

    def on_message(self, message: str | bytes) -> None:
        """A follower is not listened to."""

    def on_close(self) -> None:
        """The follower is gone."""
        if self.task:
            self.task.cancel()
        self.share.go(self)

    async def _tell(self) -> None:
        """Tell what is new, the next no sooner than the last has arrived."""
        relay = self.share.relay
        try:
            while True:
                await self.news.wait()
                self.news.clear()
                if self.seen == relay.tick:
                    continue
                text, self.seen = relay.since(self.seen), relay.tick
                await self.write_message(text)
        except websocket.WebSocketClosedError:
            return


@cache
def views() -> dict[str, type[View]]:
    """Every kind of view by name."""
    return {kind.__name__: kind for kind in base.View.__subclasses__()}


def html(nonce: str) -> str:
    """The page: the notebook's own, with a place for each view."""
    env = jinja2.Environment(autoescape=False)
    read = {name: (STATIC / name).read_text(encoding="utf-8") for name in
            ("page.html", "follow.html", "page.css", "follow.css")}  # fmt: skip
    return env.from_string(read["follow.html"]).render(
        base=env.from_string(_BASE), page=env.from_string(read["page.html"]),
        roots=_Places(), embed=lambda place: f'<div data-place="{place}"></div>',
        ended=ENDED, tokens=css(), page_css=read["page.css"] + read["follow.css"], nonce=nonce,
        caution=f"{words.ESTIMATE} {words.CAUTION}",
    )  # fmt: skip


class _Places:
    """Any name is a place of that name."""

    def __getattr__(self, name: str) -> str:
        return name
