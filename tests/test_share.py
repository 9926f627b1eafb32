"""Sharing: what the gate lets in, what a follower is told, and that nothing it sends is heard."""

import asyncio
import base64
import html
import inspect
import io
import itertools
import json
import re
import time
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager
from datetime import datetime
from pathlib import Path
from typing import Any
from urllib.parse import quote

import attrs
import panel as pn
import pytest
from bokeh.document import Document
from panel.io.state import set_curdoc
from pypdf import PdfReader
from tornado.httpclient import HTTPRequest
from tornado.httputil import HTTPHeaders
from tornado.websocket import WebSocketClientConnection, websocket_connect

from app import autosave, copies, gate, relay, share, waiting
from app.copies import Copy, CopyNotebook, effect
from app.demo import demo
from app.follow import application, views
from app.session import Session, Shown
from app.share import LASTS, ROOM, Borrower, Link, Share
from app.views import rows, sharing
from app.views.notebook import Notebook
from app.views.told import lowest
from hobbyclosure import Assessment, data, file
from hobbyclosure.graph import CHECKS
from hobbyclosure.starting import starting
from hobbyclosure.trace import Run
from tests.browser.conftest import HOST, started
from tests.support import case, own_thread

ADDRESS = "127.0.0.2"
EVIL = "evil.example"
# What a notebook's own server answers, or might one day, and what people who look for holes try.
ELSEWHERE = (
    "/ws", "/autoload.js", "/metadata", "/static/js/bokeh.min.js", "/static/extensions/panel/x.js",
    "/components/x", "/upload", "/sheet.pdf", "/copy",
    "/copy/ws", "/copy/autoload.js", "/copy/metadata", "/favicon.ico", "/nothing", "//", "/%2e%2e/",
    "/../../etc/passwd", "/?bokeh-session-id=1", "*", "http://127.0.0.2/",
)  # fmt: skip
UPGRADE = {
    "Connection": "Upgrade", "Upgrade": "websocket", "Sec-WebSocket-Version": "13",
    "Sec-WebSocket-Key": "dGhlIHNhbXBsZSBub25jZQ==",
}  # fmt: skip
sources = itertools.cycle(f"127.0.{a}.{b}" for a in range(1, 5) for b in range(1, 250))


@pytest.fixture(autouse=True)
def own_state(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))


@attrs.frozen
class Said:
    status: int
    headers: HTTPHeaders
    body: str


@attrs.frozen
class Shared:
    """A shared notebook, and its link taken apart."""

    share: Share
    book: Notebook

    @property
    def session(self) -> Session:
        return self.book.session

    @property
    def host(self) -> str:
        return self.share.link.removeprefix("http://").partition("/")[0]

    @property
    def token(self) -> str:
        return self.share.link.partition("key=")[2]

    @property
    def pass_(self) -> dict[str, str]:
        return {"Cookie": cookie(self.host, self.token)}

    async def line(self) -> WebSocketClientConnection:
        """The line of a follower."""
        headers = self.pass_ | {"Origin": f"http://{self.host}"}
        return await websocket_connect(HTTPRequest(f"ws://{self.host}/live", headers=headers))


def cookie(host: str, token: str) -> str:
    return f"hobbyclosure-{host.partition(':')[2]}={token}"


async def ask(
    host: str, target: str = "/", headers: dict[str, str] | None = None, method: str = "GET",
    source: str = "", body: bytes = b"",
) -> Said:  # fmt: skip
    """One request, word for word, from an address of this machine that has not asked before."""
    address, _, port = host.partition(":")
    reader, writer = await asyncio.open_connection(
        address, int(port), local_addr=(source or next(sources), 0)
    )
    sent = {"Host": host} | ({"Content-Length": str(len(body))} if body else {}) | (headers or {})
    lines = [f"{method} {target} HTTP/1.1", *(f"{k}: {v}" for k, v in sent.items())]
    writer.write("\r\n".join([*lines, "", ""]).encode() + body)
    head = (await asyncio.wait_for(reader.readuntil(b"\r\n\r\n"), 20)).decode()
    first, _, rest = head.partition("\r\n")
    found = HTTPHeaders.parse(rest)
    length = 0 if method == "HEAD" else int(found.get("Content-Length", "0"))
    text = (await reader.readexactly(length)).decode()
    writer.close()
    return Said(int(first.split()[1]), found, text)


def refused(said: Said) -> bool:
    """Whether it is the plain refusal and nothing else."""
    extra = set(said.headers) - {
        "Content-Type", "Content-Length", "Cache-Control", "Referrer-Policy",
        "X-Content-Type-Options", "Connection",
    }  # fmt: skip
    return (said.status, said.body, extra) == (403, gate.REFUSED, set())


@asynccontextmanager
async def a_share() -> AsyncIterator[Shared]:
    share = Share(ADDRESS)
    session = Session()
    session.load_text(demo().read_text(encoding="utf-8"), "demo")
    book = Notebook(session, share)
    share.attach(book)
    share.start()
    assert share.link, share.refused
    try:
        yield Shared(share, book)
    finally:
        share.stop()


def shared(test: Callable[..., Awaitable[None]]) -> Callable[..., None]:
    """A test on a notebook that is shared; it may ask for fixtures too."""

    async def run(**fixtures: Any) -> None:
        async with a_share() as found:
            await test(found, **fixtures)

    def called(**fixtures: Any) -> None:
        own_thread(run(**fixtures))

    wanted = list(inspect.signature(test).parameters.values())[1:]
    called.__signature__ = inspect.Signature(wanted)  # type: ignore[attr-defined]
    called.__name__ = test.__name__
    return called


def routes(share: Share) -> list[str]:
    """Every address that is answered behind the gate, and many that are not."""
    own = [rule.matcher.regex.pattern for rule in application(share).wildcard_router.rules]
    plain = [p.rstrip("$").replace("\\", "").replace("(w+)", "BarView") for p in own]
    assert "/live" in plain
    assert "/view/BarView.js" in plain
    return [*plain, *ELSEWHERE]


async def eventually(true: Callable[[], bool]) -> None:
    for _ in range(400):
        if true():
            return
        await asyncio.sleep(0.05)
    raise AssertionError("it never came to be")


# ---- the gate


@shared
async def test_no_route_says_anything_without_the_token(found: Shared) -> None:
    for target in routes(found.share):
        for headers in ({}, UPGRADE | {"Origin": f"http://{found.host}"}):
            for method in ("GET", "HEAD", "POST", "PUT", "OPTIONS", "CONNECT"):
                with case(method, target, headers):
                    said = await ask(found.host, target, headers, method)
                    assert refused(said) or (method == "HEAD" and said.status == 403)


@shared
async def test_no_route_says_anything_to_a_wrong_token(found: Shared) -> None:
    wrong = found.token[:-1] + ("A" if found.token[-1] != "A" else "B")
    for token in (wrong, "", found.token + "A", found.token.swapcase(), "é", "None"):
        for target in routes(found.share):
            passed = {"Cookie": cookie(found.host, token)}
            for headers in (passed, UPGRADE | passed | {"Origin": f"http://{found.host}"}):
                with case(token, target, headers):
                    assert refused(await ask(found.host, target, headers))
        assert refused(await ask(found.host, f"/?key={quote(token)}"))


@shared
async def test_no_route_says_anything_to_a_revoked_token(found: Shared) -> None:
    old, before = found.pass_, found.share.link
    found.share.stop()
    with pytest.raises(ConnectionRefusedError):
        await ask(before.removeprefix("http://").partition("/")[0])
    found.share.start()
    assert found.share.link != before
    assert found.host in before  # at the same door
    origin = {"Origin": f"http://{found.host}"}
    for target in routes(found.share):
        for headers in (old, UPGRADE | old | origin):
            with case(target, headers):
                assert refused(await ask(found.host, target, headers))
    assert refused(await ask(found.host, before.partition(found.host)[2]))


@shared
async def test_the_token_opens_every_route(found: Shared) -> None:
    for target in routes(found.share):
        said = await ask(found.host, target, found.pass_)
        with case(target):
            known = target.partition("?")[0] in (
                "/", "/here", "/follow.js", "/view/BarView.js", "/copy", "/favicon.ico",
                "/static/js/bokeh.min.js",
            )  # fmt: skip
            inner = target.startswith("/copy/")  # asked as only its own page asks
            assert said.status in (
                {200, 204} if known else {200, 400, 404} if inner else {400, 404}
            )
    said = await ask(
        found.host, "/live", UPGRADE | found.pass_ | {"Origin": f"http://{found.host}"}
    )
    assert said.status == 101


@shared
async def test_the_link_leaves_the_token_in_a_cookie_of_this_server_alone(found: Shared) -> None:
    said = await ask(found.host, f"/?key={found.token}")
    assert said.status == 200
    assert said.headers["Set-Cookie"] == (
        f"{cookie(found.host, found.token)}; Path=/; HttpOnly; SameSite=Strict"
    )
    assert 'http-equiv="refresh" content="0;url=/"' in said.body
    assert said.headers["Referrer-Policy"] == "no-referrer"
    assert found.token not in said.body
    assert refused(
        await ask(found.host, f"/here?key={found.token}")
    )  # at the door and nowhere else
    page = await ask(found.host, "/", found.pass_)
    assert found.token not in page.body
    assert "Set-Cookie" not in page.headers


@shared
async def test_foreign_hosts_and_origins_are_refused_with_the_token_too(found: Shared) -> None:
    port = found.host.partition(":")[2]
    for host in (EVIL, f"{EVIL}:{port}", ADDRESS, f"localhost:{port}", f"{HOST}:{port}", "",
                 f"{found.host},{EVIL}"):  # fmt: skip
        with case("host", host):
            assert refused(await ask(found.host, "/", found.pass_ | {"Host": host}))
    for origin in (f"http://{EVIL}", "null", f"https://{found.host}", f"http://{found.host}.{EVIL}",
                   f"http://{ADDRESS}", ""):  # fmt: skip
        for target in ("/", "/live", "/here"):
            with case("origin", origin, target):
                foreign = UPGRADE | found.pass_ | {"Origin": origin}
                assert refused(await ask(found.host, target, foreign))
    assert refused(await ask(found.host, "/live", UPGRADE | found.pass_))  # no browser's
    for method in ("POST", "PUT", "DELETE", "PATCH", "OPTIONS"):
        with case(method):
            said = await ask(found.host, "/", found.pass_, method, body=b"{}")
            assert refused(said)


@shared
async def test_tries_are_limited_by_address(found: Shared) -> None:
    one, other = next(sources), next(sources)
    for _ in range(gate.TRIES):
        assert refused(await ask(found.host, source=one))
    said = await ask(found.host, source=one)
    assert (said.status, said.body) == (429, gate.LATER)
    said = await ask(found.host, headers=found.pass_, source=one)
    assert said.status == 429  # a guess that is right is not looked at either
    assert (await ask(found.host, headers=found.pass_, source=other)).status == 200


def test_tries_are_forgotten_after_a_minute_and_never_pile_up(monkeypatch) -> None:
    now = 0.0
    monkeypatch.setattr(gate.time, "monotonic", lambda: now)
    tries = gate.Tries()
    for _ in range(gate.TRIES):
        tries.note("a")
    assert tries.exhausted("a")
    now = gate.MINUTE - 1
    assert tries.exhausted("a")
    now = gate.MINUTE
    assert not tries.exhausted("a")
    for i in range(2 * gate.REMEMBERED):
        tries.note(str(i))
    assert len(tries._when) == gate.REMEMBERED


@shared
async def test_stopping_cuts_every_line_at_once(found: Shared) -> None:
    lines = [await found.line() for _ in range(2)]
    for line in lines:
        assert await line.read_message()
    assert len(found.share.guests) == 2
    found.share.stop()
    assert not found.share.guests
    for line in lines:
        assert await asyncio.wait_for(line.read_message(), 10) is None
    assert not found.share.link


def test_nothing_listens_until_sharing_is_started() -> None:
    share = Share(ADDRESS)
    assert not share.link
    assert share._server is None
    nowhere = Share("192.0.2.1")  # an address that is nobody's

    async def start() -> None:
        nowhere.start()

    own_thread(start())
    assert not nowhere.link
    assert nowhere.refused.startswith("192.0.2.1 cannot be shared on: ")


@shared
async def test_a_link_that_ended_with_the_program_is_taken_up_and_a_stopped_one_is_not(
    found: Shared,
) -> None:
    link, kept = found.share.link, found.share.kept
    assert kept.stat().st_mode & 0o77 == 0
    beside = Share(ADDRESS)  # while the first still runs: its link is in use
    beside.start()
    assert beside.link.partition("key=")[2] != found.token
    beside.stop()
    found.share._keep(Link(ADDRESS, int(found.host.partition(":")[2]), found.token, time.time()))
    assert found.share._server
    found.share._server.stop()  # as when the program is killed
    later = Share(ADDRESS)
    later.start()
    assert later.link == link
    assert later.again
    later.stop()
    assert not kept.exists()
    later.start()
    assert later.link != link
    assert not later.again
    later.stop()
    for stale in ('{"host": 1}', "[]", "", json.dumps(attrs.asdict(
        Link(ADDRESS, 1, found.token, time.time() - LASTS)))):  # fmt: skip
        kept.write_text(stale)
        assert later._last() is None
    later.start()
    assert json.loads(kept.read_text())["token"] == later.link.partition("key=")[2]
    later.stop()


def test_the_owners_own_server_refuses_foreign_hosts_and_origins(tmp_path) -> None:
    folder = tmp_path / "designs"
    folder.mkdir()
    server = started(folder, "--as-saved")
    host = f"{HOST}:{server.port}"

    async def knock() -> None:
        for target in ("/", "/ws", "/static/js/bokeh.min.js", "/autoload.js", "/nothing"):
            for strange in (EVIL, f"{EVIL}:{server.port}", f"{ADDRESS}:{server.port}"):
                with case(target, strange):
                    assert refused(await ask(host, target, {"Host": strange}))
        foreign = UPGRADE | {"Origin": f"http://{EVIL}", "Sec-WebSocket-Protocol": "bokeh, x"}
        assert refused(await ask(host, "/ws", foreign))
        assert (await ask(host)).status == 200
        assert (await ask(host, "/", {"Host": f"localhost:{server.port}"})).status == 200

    try:
        own_thread(knock())
    finally:
        server.end()


# ---- following


async def heard(line: WebSocketClientConnection) -> dict[str, Any]:
    said = await asyncio.wait_for(line.read_message(), 20)
    assert isinstance(said, str)
    return json.loads(said)


async def drawn(line: WebSocketClientConnection, shown: dict[str, Any], until: Any) -> None:
    """Take in messages until the page of a follower shows something."""
    while not until(shown):
        for place, changed in (await heard(line))["views"].items():
            shown.setdefault(place, {}).update(changed)


def shows(book: Notebook) -> Callable[[dict[str, Any]], bool]:
    """Whether a follower is shown what the owner's page shows."""

    def same(shown: dict[str, Any]) -> bool:
        return all(
            shown.get(place, {}).get(name) == getattr(view, name)
            for place, view in book.roots().items()
            if place != "bar" and hasattr(view, "frame")
            for name in ("frame", "curves", "data")
        )

    return same


@shared
async def test_a_follower_is_told_what_the_owners_page_is_told(found: Shared) -> None:
    line, shown = await found.line(), {}
    await drawn(line, shown, shows(found.book))
    assert shown["wall"]["view"] == "PlotView"
    for act in (
        lambda: found.session.move("screw.count", 12.0),
        lambda: setattr(found.session, "system", "inch"),
        lambda: setattr(found.session, "open", (f"{rows.OPENS}screw",)),
        lambda: setattr(found.session, "open", ("screw.shear",)),
        found.session.keep,
        lambda: setattr(found.session, "raw", True),
        found.session.undo,
    ):
        before = json.dumps(shown)
        act()
        await drawn(line, shown, shows(found.book))
        assert json.dumps(shown) != before
    found.book.turn("seal")
    await drawn(line, shown, lambda shown: shown.get("gland"))
    assert json.loads(shown["bar"]["data"])["pages"][2]["on"]
    found.book.turn("loads")
    await drawn(line, shown, lambda shown: shown.get("sum"))
    assert shown["sum"]["view"] == "StairView"


@shared
async def test_the_last_state_arrives_and_a_rush_does_not(found: Shared) -> None:
    line, shown = await found.line(), {}
    await drawn(line, shown, shows(found.book))
    rush = [2.5 + 0.01 * i for i in range(60)]
    told: list[str] = []
    began = time.monotonic()
    for wall in rush:
        found.session.move("case.wall", wall / 1000)
        await asyncio.sleep(0)  # each could be told of by itself
    while not shows(found.book)(shown):
        said = await asyncio.wait_for(line.read_message(), 20)
        assert isinstance(said, str)
        told.append(said)
        for place, changed in json.loads(said)["views"].items():
            shown.setdefault(place, {}).update(changed)
    most = 2 + (time.monotonic() - began) / relay.PACE
    assert len(told) <= most
    assert json.loads(shown["wall"]["data"])["value"] == pytest.approx(rush[-1])


@shared
async def test_the_link_and_the_owners_folders_are_not_relayed(found: Shared) -> None:
    line, shown = await found.line(), {}
    said = []
    for what in ("share", "save as", "remarks", "faults"):
        found.session.open = (what,)
        assert "h2" in found.book.leaf.data
        found.session.move("screw.count", 10.0 + len(said))
        await drawn(line, shown, lambda shown: shown.get("count", {}).get("data")
                    == found.book.hold.plots["screw.count"].data)  # fmt: skip
        said.append(json.loads(shown["leaf"]["data"]))
    assert said == [{"html": ""}] * 4
    assert found.token not in json.dumps(shown)
    found.book._bar_heard("copy", None)
    found.session.move("screw.count", 15.0)
    await drawn(line, shown, lambda shown: shown["count"]["data"]
                == found.book.hold.plots["screw.count"].data)  # fmt: skip
    assert set(json.loads(shown["bar"]["data"])) == {
        "pages", "name", "system", "saved", "undo", "redo", "following",
    }  # fmt: skip


@shared
async def test_the_owners_pdf_is_not_relayed(found: Shared) -> None:
    line, shown = await found.line(), {}
    found.book._tell_sheet({"busy": "", "data": "UERG" * 50, "file": "mine.pdf"})
    assert "UERG" in found.book.bar.curves
    found.session.move("screw.count", 15.0)
    await drawn(line, shown, lambda shown: shown.get("count", {}).get("data")
                == found.book.hold.plots["screw.count"].data)  # fmt: skip
    assert "UERG" not in json.dumps(shown)
    assert shown["bar"]["curves"] == "{}"


@shared
async def test_nothing_a_follower_sends_is_heard(found: Shared) -> None:
    def everything() -> tuple[Any, ...]:
        session = found.session
        return (session.design, session.system, session.open, session.kept, session.raw,
                session.saved, len(session.past), found.book.page, found.share.link,
                {place: getattr(v, "data", "") for place, v in found.book.roots().items()
                 if place != "bar"})  # fmt: skip

    line = await found.line()
    await heard(line)
    before = everything()
    plot = found.book.hold.plots["case.wall"]
    crafted: list[str | bytes] = [
        json.dumps({"kind": kind, "payload": payload})
        for kind, payload in (
            ("move", 1.0), ("typed", "9 mm"), ("undo", None), ("units", "inch"), ("keep", None),
            ("page", "seal"), ("save", "stolen"), ("share", "stop"), ("size", [300, 300]),
            ("opened", {"name": "x", "text": ""}), ("take", "screw.shear"), ("look", "case.wall"),
        )
    ]  # fmt: skip
    patch = {"events": [{"kind": "ModelChanged", "model": {"id": plot.name}, "attr": "value",
                         "new": 1.0}]}  # fmt: skip
    crafted += ['{"msgid":"1","msgtype":"PATCH-DOC"}', "{}", json.dumps(patch), "", "null", b"\0"]
    crafted += ['{"run":"0","views":{"wall":{"data":"{}"}}}', "[" * 900]
    for message in crafted:
        await line.write_message(message, binary=isinstance(message, bytes))
    await line.write_message("x" * 2000)  # longer than anything a follower might say
    await eventually(lambda: not found.share.guests)  # by when all before it has been read
    assert everything() == before


@shared
async def test_the_tab_that_is_used_is_the_one_that_is_followed(found: Shared) -> None:
    session = Session()
    session.load_text(demo().read_text(encoding="utf-8"), "demo")
    second = Notebook(session, found.share)
    found.share.attach(second)

    def use(book: Notebook, count: float) -> None:
        book.session.move("screw.count", count)
        book.hold.plots["screw.count"]._handle_msg({"kind": "hold", "payload": False})

    use(found.book, 9.0)
    line, shown = await found.line(), {}  # each is told of it, and neither is used by that
    await drawn(line, shown, shows(found.book))
    use(second, 20.0)
    await drawn(line, shown, shows(second))
    use(found.book, 10.0)
    await drawn(line, shown, shows(found.book))
    second.hold.section._handle_msg({"kind": "size", "payload": [430, 320]})  # its page is there
    await drawn(line, shown, shows(second))
    use(found.book, 12.0)
    second.hold.section._handle_msg({"kind": "size", "payload": [440, 320]})  # and is resized
    await drawn(line, shown, shows(found.book))
    found.share.detach(found.book)
    await drawn(line, shown, lambda s: json.loads(s["bar"]["data"])["following"] == relay.NOBODY)
    use(second, 21.0)
    await drawn(line, shown, shows(second))
    assert json.loads(shown["bar"]["data"])["following"] == relay.FOLLOWING


@shared
async def test_which_plot_the_owner_looks_at_is_told(found: Shared) -> None:
    line = await found.line()
    await heard(line)
    found.book.hold.plots["screw.count"]._handle_msg({"kind": "hold", "payload": True})
    while (said := (await heard(line))["looked"]) != {"place": "count"}:
        assert said == {}
    found.session.move("screw.count", 11.0)  # the next message says it still
    assert (await heard(line))["looked"] == {"place": "count"}
    found.book.hold.switch._handle_msg({"kind": "look", "payload": "case.wall"})
    while (said := (await heard(line))["looked"]) != {"field": "case.wall"}:
        assert said == {"place": "count"}


@shared
async def test_the_owner_is_told_who_is_connected(found: Shared) -> None:
    found.session.open = ("share",)
    assert "Nobody is connected yet." in found.book.leaf.data
    line = await found.line()
    await heard(line)
    assert "127.0.0.1 <span>following since" in found.book.leaf.data
    assert json.loads(found.book.bar.data)["saved"] == "shared with 1"
    line.close()
    await eventually(lambda: "Nobody is connected yet." in found.book.leaf.data)
    found.book._heard("share", "stop")
    assert "Start sharing" in found.book.leaf.data
    assert json.loads(found.book.bar.data)["saved"] == ""


@shared
async def test_who_is_connected_is_said_to_each_page_in_its_own_turn(found: Shared) -> None:
    # Panel keeps what is written out of turn, as it was then, and it would land on what came later.
    document, session = Document(), Session()
    second = Notebook(session, found.share)
    with set_curdoc(document):
        found.share.attach(second)
    session.open = ("share",)
    line = await found.line()
    await heard(line)
    line.close()
    await eventually(lambda: not found.share.guests)
    assert "Nobody is connected yet." in second.leaf.data
    turns, said = document.session_callbacks, []
    assert len(turns) == 2
    second.leaf.param.watch(lambda event: said.append((pn.state.curdoc, event.new)), "data")
    found.share.borrowers.append(Borrower("127.0.0.7", 3, datetime.now()))
    turns[0].callback()
    turns[1].callback()
    ((whose, text),) = said
    assert whose is document
    assert "127.0.0.7 <span>on copy 3 since" in text
    found.share.detach(second)


def test_every_view_has_a_script_for_a_follower() -> None:
    session = Session()
    session.load_text(demo().read_text(encoding="utf-8"), "demo")
    book = Notebook(session)
    for page in book.pages:
        book.turn(page)
    roots = [getattr(root, "objects", [root])[0] for root in book.roots().values()]
    assert {type(view).__name__ for view in roots} <= set(views())


# ---- a copy


def lent(found: Shared, number: int = 1) -> CopyNotebook:
    """The notebook of a partner who works on a copy."""
    owner = found.session
    return CopyNotebook(Copy(owner.design, "metric", owner.file), found.share, number)


def hand_back(copy: CopyNotebook) -> None:
    copy._bar_heard("hand back", None)


def values(found: Shared) -> list[Any]:
    """What waits, in order: the values that the copies state."""
    return [d.theirs[d.path].value for d in found.share.handed]


def rows_of(found: Shared) -> str:
    """The owner's panel of differences."""
    found.session.open = ("handed",)
    return json.loads(found.book.leaf.data)["html"]


@shared
async def test_differences_are_taken_or_left_one_by_one_and_undone(found: Shared) -> None:
    owner, copy = found.session, lent(found)
    before = owner.design
    copy.session.move("case.wall", 0.0028)
    copy.session.change({"screw.strength_class": "10.9"})
    copy.session.tolerate("closure.clearance", "0.01 mm")
    copy.session.measure("case.bore", "76.3 mm")
    assert owner.design == before
    copy.bar._handle_msg({"kind": "hand back"})
    assert json.loads(copy.bar.data)["copying"] == "4 differences are with your partner now."
    assert [d.path for d in found.share.handed] == [
        "case.bore", "case.wall", "closure.clearance", "screw.strength_class",
    ]  # fmt: skip
    said = rows_of(found)
    for text in ("<b>Wall</b> 3.175 mm → 2.8 mm<br>", "76.2 mm → 76.2 mm, measured 76.3 mm<br>",
                 "8.8 steel → 10.9 steel<br>", "0.08 mm → 0.08 mm ± 0.01 mm<br>"):  # fmt: skip
        assert text in said
    was = min(r for i, r in owner.shown.assessment.ratios.items()
              if i in owner.shown.assessment.counted)  # fmt: skip
    thin = Assessment(before.evolved({"case.wall": 0.0028}))
    will = min(r for i, r in thin.ratios.items() if i in thin.counted)
    assert f"lowest that counts {was:.2f}" in said
    assert f"→ {will:.2f}" in said
    assert f"{was:.2f}" != f"{will:.2f}"
    for d in list(found.share.handed):
        kind = "refuse" if d.path == "case.bore" else "adopt"
        found.book.leaf._handle_msg({"kind": kind, "payload": str(d.number)})
    assert not found.share.handed
    assert owner.design["case.wall"].says_the_same(copy.session.design["case.wall"])
    assert owner.design["closure.clearance"].tol == pytest.approx(1e-5)
    assert owner.design["screw.strength_class"].value == "10.9"
    assert owner.design["case.bore"].says_the_same(before["case.bore"])  # left
    for _ in range(3):
        owner.undo()
    assert owner.design == before


@shared
async def test_a_copy_counts_what_was_not_handed_back(found: Shared) -> None:
    copy = lent(found)

    def unsent() -> int:
        return json.loads(copy.bar.data)["unsent"]

    assert unsent() == 0
    copy.session.move("case.wall", 0.0028)
    copy.session.measure("case.bore", "76.3 mm", "0.01 mm")
    assert unsent() == 2
    hand_back(copy)
    assert unsent() == 0
    copy.session.measure("case.bore", "76.3 mm", "0.02 mm")
    assert unsent() == 1
    found.share.handed = found.share.handed * 200  # too much waits there, of another copy
    for number, d in enumerate(found.share.handed):
        found.share.handed[number] = attrs.evolve(d, copy=2)
    hand_back(copy)
    assert unsent() == 1  # it was not taken in


@shared
async def test_one_copy_too_many_is_told_so_with_a_way_back(found: Shared) -> None:
    here = datetime.now()
    found.share.borrowers += [Borrower(ADDRESS, n, here) for n in range(1, ROOM)]
    assert (await ask(found.host, "/copy", found.pass_)).status == 200
    assert len(found.share.borrowers) == ROOM
    for target in ("/copy", "/copy/", "/copy?again"):
        said = await ask(found.host, target, found.pass_)
        assert said.status == 503
        assert 'name="viewport"' in said.body
        assert re.findall(r'href="([^"]*)"', said.body) == ["/", "/copy"]
    assert len(found.share.borrowers) == ROOM
    assert (await ask(found.host, "/static/js/bokeh.min.js", found.pass_)).status == 200
    inner = await ask(found.host, "/copy/autoload.js", found.pass_)
    assert inner.status != 503  # those that are there come through
    assert refused(await ask(found.host, "/copy"))  # the gate first
    found.share.borrowers.pop()
    assert (await ask(found.host, "/copy", found.pass_)).status == 200


@shared
async def test_a_difference_that_cannot_be_stays_with_the_reason(found: Shared) -> None:
    owner, copy = found.session, lent(found)
    copy.session.change({"closure.length": "60 mm"})
    copy.session.change({"closure.length": "60 mm", "seal.primary.station": "40 mm"})
    copy._bar_heard("hand back", None)
    before = owner.design
    handed = {d.path: d for d in found.share.handed}
    assert set(handed) == {"closure.length", "seal.primary.station"}
    assert "cannot be by itself: " in rows_of(found)
    found.book._heard("adopt", str(handed["seal.primary.station"].number))
    assert owner.design == before
    assert owner.told["handed seal.primary.station"] in html.unescape(rows_of(found))
    found.book._heard("adopt", str(handed["closure.length"].number))
    found.book._heard("adopt", str(handed["seal.primary.station"].number))
    assert not found.share.handed
    assert owner.design["seal.primary.station"].now == pytest.approx(0.04)


@shared
async def test_a_difference_is_taken_only_on_the_design_its_copy_began_with(found: Shared) -> None:
    owner, copy = found.session, lent(found)
    copy.session.move("screw.count", 17.0)
    hand_back(copy)
    (handed,) = found.share.handed
    mine = owner.design
    owner.change({"screw.count": "16"})
    assert "the copy began with 14" in rows_of(found)
    owner.begin(starting(0.1, 0.004, 4e6, name="Gull"))
    assert f"handed back on {mine.name}: open that" in html.unescape(rows_of(found))
    assert "Take" not in rows_of(found)
    found.book._heard("adopt", str(handed.number))
    assert owner.design["screw.count"].now != 17.0
    assert found.share.handed == [handed]
    owner.undo()
    found.book._heard("adopt", str(handed.number))
    assert owner.design["screw.count"].now == 17.0


@shared
async def test_a_difference_is_not_taken_on_another_design_of_the_same_name(
    found: Shared, tmp_path: Path
) -> None:
    owner = found.session
    owner.begin(starting(0.0762, 0.0032, 4e6, name="New closure"))
    copy = lent(found)
    copy.session.move("screw.count", 17.0)
    hand_back(copy)
    (handed,) = found.share.handed
    assert "Take" in rows_of(found)
    assert owner.save(tmp_path / "mine.toml")  # the same design still
    assert "Take" in rows_of(found)
    owner.begin(starting(0.05, 0.002, 4e6, name="New closure"))
    assert "handed back on another New closure: go back to that" in html.unescape(rows_of(found))
    assert "Take" not in rows_of(found)
    found.book._heard("adopt", str(handed.number))
    assert found.share.handed == [handed]
    owner.load_path(tmp_path / "mine.toml")
    found.book._heard("adopt", str(handed.number))
    assert owner.design["screw.count"].now == 17.0
    assert not found.share.handed


@shared
async def test_after_another_start_two_files_of_one_name_are_told_apart(
    found: Shared, tmp_path: Path
) -> None:
    owner = found.session
    assert owner.save(tmp_path / "one.toml")
    copy = lent(found)
    copy.session.move("screw.count", 17.0)
    hand_back(copy)
    (waits,) = Share(ADDRESS).handed
    assert not copies.elsewhere(owner, waits)
    owner.change({"case.wall": "4 mm"})
    assert owner.save(tmp_path / "other.toml")
    assert copies.elsewhere(owner, waits) == "handed back on another Tidewater: go back to that"
    owner.load_path(tmp_path / "one.toml")
    assert not copies.elsewhere(owner, waits)


@shared
async def test_a_copy_learns_what_became_of_what_it_handed_back(found: Shared) -> None:
    copy, other = lent(found), lent(found, 2)
    copy.session.change({"screw.count": "16", "case.wall": "4 mm", "closure.fillet": "4 mm"})
    hand_back(copy)
    first, second, _ = found.share.handed
    found.book._heard("adopt", str(first.number))
    found.book._heard("refuse", str(second.number))
    said = json.loads(copy.bar.data)["copying"]
    assert said == "With your partner: 1 taken, 1 left, 1 waiting."
    assert "With your partner" not in other.bar.data
    hand_back(copy)
    rows = html.unescape(rows_of(found)).split('class="item given"')[1:]
    became = {d.path: row for d, row in zip(found.share.handed, rows, strict=True)}
    assert "; you took it before" in became[first.path]
    assert "; you left it before" in became[second.path]
    assert sum("before<" in row for row in rows) == 2
    copy.session.change({second.path: "5 mm" if second.path != "screw.count" else "18"})
    hand_back(copy)  # another value than what was left
    assert "you left it before" not in rows_of(found)
    assert json.loads(copy.bar.data)["copying"] == "3 differences are with your partner now."


@shared
async def test_handing_back_again_replaces_what_still_waits(found: Shared) -> None:
    copy = lent(found)
    copy._bar_heard("hand back", None)
    assert json.loads(copy.bar.data)["copying"] == "Nothing differs yet."
    for count in (12.0, 16.0):
        copy.session.move("screw.count", count)
        hand_back(copy)
    assert values(found) == [16.0]
    copy.session.change({"closure.fillet": "4 mm"})
    copy.session.change({"screw.count": "14"})  # as it was: withdrawn
    hand_back(copy)
    assert values(found) == [0.004]
    copy.session.change({"closure.fillet": found.session.design["closure.fillet"].value})
    hand_back(copy)
    assert not found.share.handed


@shared
async def test_two_copies_from_one_address_keep_apart(found: Shared) -> None:
    one, other = lent(found), lent(found, 2)
    for copy, count in ((one, 16.0), (other, 13.0)):
        copy.session.move("screw.count", count)
        hand_back(copy)
    assert values(found) == [16.0, 13.0]
    assert "<i>copy 1: lowest " in rows_of(found)
    assert "<i>copy 2: lowest " in rows_of(found)
    one.session.undo()
    hand_back(one)
    assert values(found) == [13.0]
    assert "copy 2: " not in rows_of(found)


@shared
async def test_what_is_no_field_is_said_and_cannot_be_taken(found: Shared) -> None:
    copy, before = lent(found), found.session.design
    mine = data.material_from_values("mine", "Mine", {"F_ty": 2e8})
    run = Run("a.csv", 120, 5.1e6, 0.1, 3.0, "0" * 16)
    copy.session._show(
        attrs.evolve(copy.session.design, name="Other", materials={"mine": mine}, runs=(run,),
                     own_rows={"material": {"mine": {"F_ty": "200 MPa"}}})
    )  # fmt: skip
    hand_back(copy)
    assert [d.path for d in found.share.handed] == ["loads.trace", "material.mine", "name"]
    said = rows_of(found)
    for text in ("<b>Traces</b> none → trace a.csv, 120 rows<br>", "<b>Name</b> Tidewater → Other",
                 "<b>Own material mine</b> none → F_ty 200 MPa<br>"):  # fmt: skip
        assert text in said
    assert said.count(f"<i>{html.escape(copies.NOT_TAKEN)}</i>") == 3
    assert "adopt" not in said
    for d in list(found.share.handed):
        found.book._heard("adopt", str(d.number))
    assert len(found.share.handed) == 3
    assert found.session.design == before
    for d in list(found.share.handed):
        found.book._heard("refuse", str(d.number))
    assert not found.share.handed
    copy.session.change({"closure.material": "mine"})
    hand_back(copy)
    picked = next(d for d in found.share.handed if d.path == "closure.material")
    assert "cannot be by itself: " in rows_of(found)
    found.book._heard("adopt", str(picked.number))
    assert found.session.design == before


@shared
async def test_one_who_comes_does_not_keep_news_from_the_others(found: Shared) -> None:
    first = await found.line()
    await heard(first)
    await asyncio.sleep(3 * relay.PACE)  # no turn is to come any more
    found.share.relay._sent = time.monotonic() + 2  # the next message has to wait
    found.session.move("screw.count", 11.0)
    second = await found.line()  # before its turn
    await heard(second)
    told = (await heard(first))["views"]
    assert json.loads(told["count"]["data"])["value"] == 11.0


@shared
async def test_an_open_panel_costs_a_move_no_new_code(found: Shared) -> None:
    sharing.code.cache_clear()
    found.session.open = ("share",)
    found.session.move("screw.count", 11.0)
    found.session.move("screw.count", 12.0)
    assert sharing.code.cache_info().misses == 1


@shared
async def test_what_is_too_much_to_look_at_is_not_dropped_in_silence(
    found: Shared, monkeypatch: pytest.MonkeyPatch
) -> None:
    one, other = lent(found), lent(found, 2)
    monkeypatch.setattr(share, "MOST_HANDED", 2)
    for copy, paths in ((one, ["screw.count", "closure.fillet"]), (other, ["case.lead_in"])):
        for path in paths:
            assert copy.session.change({path: {"screw.count": "16"}.get(path, "3 mm")})
        hand_back(copy)
    assert {d.copy for d in found.share.handed} == {1}
    assert len(found.share.handed) == 2
    assert json.loads(other.bar.data)["copying"] == copies.FULL
    found.book._heard("refuse", str(found.share.handed[0].number))
    hand_back(other)
    assert {d.copy for d in found.share.handed} == {1, 2}


@shared
async def test_an_own_row_that_is_another_says_which_numbers(found: Shared) -> None:
    row = """
[material.mine]
label = "Mine"
F_ty = "{}"
F_tu = "290 MPa"
like = "6061-T6-bar"
"""
    text = found.session.written()
    assert found.session.load_text(text + row.format("240 MPa"), "a")
    copy = lent(found)
    copy.session._show(file.loads(text + row.format("225 MPa")).design)
    hand_back(copy)
    assert "<b>Own material mine</b> F_ty 240 MPa → F_ty 225 MPa<br>" in rows_of(found)


@shared
async def test_no_look_hides_what_a_difference_spoils(found: Shared) -> None:
    found.session.change({"seal.friction": "0.6"})  # push, a look, is the lowest line by far
    copy = lent(found)
    copy.session.change({"screw.count": "8"})
    hand_back(copy)
    (handed,) = found.share.handed
    changed = Shown(found.session.design.evolved({"screw.count": "8"}))
    was, then = (
        min(a.ratios[i] for i in a.counted if CHECKS[i].basis or a.ratios[i] < 1.1)
        for a in (found.session.shown.assessment, changed.assessment)
    )
    assert lowest(found.session.shown)[0] == "seal.push"
    assert was >= 1 > then
    said = effect(found.session.shown, handed, "metric")
    assert said.startswith(f"lowest that counts {was:.2f}")
    assert said.endswith(f" → {then:.2f}, embedment")


@shared
async def test_effects_of_what_waits_are_told_when_the_hand_lets_go(found: Shared) -> None:
    copy = lent(found)
    copy.session.change({"closure.fillet": "4 mm"})
    hand_back(copy)
    before = rows_of(found)
    found.session.held = True
    found.session.move("screw.count", 10.0)
    assert "lowest" not in rows_of(found)
    assert sharing.WAITS in rows_of(found)
    found.session.held = False
    assert "lowest" in rows_of(found)
    assert rows_of(found) != before


@shared
async def test_a_copy_s_pdf_is_of_the_copy_and_goes_nowhere_else(found: Shared) -> None:
    """It has no address of its own: it comes over the copy's line, which the gate guards."""
    line, shown = await found.line(), {}
    copy = lent(found)
    copy.session.move("screw.count", 17.0)
    before = found.book.bar.curves
    for kind, end in (
        ("sheet", ".pdf"),
        ("steps", " with steps.pdf"),
        ("bench", " bench form.pdf"),
    ):
        copy.bar._handle_msg({"kind": kind})
        made = json.loads(copy.bar.curves)["sheet"]
        assert made["file"].endswith(end)
        pdf = base64.b64decode(made["data"])
        (inside,) = PdfReader(io.BytesIO(pdf)).attachments["design.toml"]
        assert file.loads(inside.decode()).design["screw.count"].now == 17.0
    assert found.book.bar.curves == before
    found.session.move("screw.count", 15.0)
    await drawn(line, shown, lambda shown: shown.get("count", {}).get("data")
                == found.book.hold.plots["screw.count"].data)  # fmt: skip
    assert made["data"][:200] not in json.dumps(shown)


@shared
async def test_a_copy_reaches_neither_files_nor_sharing_nor_the_design(
    found: Shared, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    copy = lent(found)
    before, link = found.session.design, found.share.link
    kept = sorted(tmp_path.rglob("*"))
    text = demo("first_sketch").read_text(encoding="utf-8")
    for view in (
        copy.bar,
        copy.leaf,
        copy.verdict,
        copy.fields,
        copy.map,
        *copy.hold.plots.values(),
    ):
        for kind, payload in (
            ("save", None), ("save", "stolen"), ("save as", None), ("new", None),
            ("create", {"name": "x"}), ("opened", {"name": "x", "text": text}), ("share", "stop"),
            ("share", None), ("adopt", "1"), ("refuse", "1"), ("handed", None),
            ("too large", {"name": "x", "size": 1}), ("note", "stolen"), ("restore", "0"),
            ("log", None), ("compare", "0"),
        ):  # fmt: skip
            view._handle_msg({"kind": kind, "payload": payload})
    copy.session.move("screw.count", 11.0)
    assert not copy.session.save()
    assert not copy.session.save(tmp_path / "stolen.toml")
    await asyncio.sleep(2 * autosave.WAIT)
    assert sorted(tmp_path.rglob("*")) == kept
    assert copy.session.design.name == before.name
    assert (found.session.design, found.share.link) == (before, link)
    assert not found.share.handed


# ---- what waits outlives the program


def tried(copy: CopyNotebook) -> None:
    """A copy with a field, a tolerance, a measurement, a row of its own and another name."""
    copy.session.move("case.wall", 0.0028)
    copy.session.tolerate("closure.clearance", "0.01 mm")
    copy.session.measure("case.bore", "76.3 mm")
    design = attrs.evolve(copy.session.design, name="another")
    copy.session._show(design)


@shared
async def test_what_waits_is_there_after_the_program_was_killed(found: Shared) -> None:
    copies = [lent(found, 1), lent(found, 2)]
    for copy in copies:
        tried(copy)
        hand_back(copy)
    left = found.share.handed
    again = Share(ADDRESS)  # the first has had no chance to do anything
    assert [(d.path, d.copy) for d in again.handed] == [(d.path, d.copy) for d in left]
    for mine, theirs in zip(left, again.handed, strict=True):
        assert theirs.begun.says_the_same(mine.begun)
        assert theirs.theirs.says_the_same(mine.theirs)
    assert again.lent == 2  # the next copy is another
    again.settle(found.session, str(again.handed[0].number), taken=True)
    assert found.session.design["case.bore"].measured == pytest.approx(0.0763)
    third = Share(ADDRESS)
    assert [(d.path, d.copy) for d in third.handed] == [(d.path, d.copy) for d in left[1:]]
    for d in list(third.handed):
        third.settle(found.session, str(d.number), taken=False)
    assert not Share(ADDRESS).handed
    assert not list(third.waiting.path.parent.iterdir())


@shared
async def test_a_file_of_what_waits_that_is_none_is_left_and_named(found: Shared) -> None:
    tried(copy := lent(found))
    hand_back(copy)
    folder = found.share.waiting.path.parent
    (whole,) = json.loads(found.share.waiting.path.read_text())
    wide = whole["theirs"].replace("76.2 mm", "9999 mm")
    spoilt = {
        "", "{", "[1]", "[{}]", "5", "[" * 100_000, json.dumps([whole])[:-9], "\0",
        json.dumps([whole | {"theirs": "name = 3\n[[["}]), json.dumps([whole | {"paths": None}]),
        json.dumps([{"begun": 3, "theirs": 4, "paths": []}]),
        json.dumps([whole, whole | {"theirs": wide}]),  # a later version's limits
    }  # fmt: skip
    name = found.share.waiting.path.stem.rpartition("-")[0]
    for i, text in enumerate(spoilt):
        (folder / f"{name}-{i}.json").write_text(text)
    again = Share(ADDRESS)
    assert [d.path for d in again.handed] == [d.path for d in found.share.handed]
    assert {path.read_text() for path in again.waiting.unread} == spoilt
    said = again.said_on_opening()
    assert "What your partner handed back waits" in said[0]
    assert all(str(path) in line for path, line in zip(again.waiting.unread, said[1:], strict=True))


@shared
async def test_a_disk_that_is_full_loses_nothing_that_waits(found: Shared, monkeypatch) -> None:
    tried(copy := lent(found))
    hand_back(copy)
    left = [d.path for d in found.share.handed]

    def full(*_: Any) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(file, "save", full)
        assert [d.path for d in Share(ADDRESS).handed] == left
    again = Share(ADDRESS)
    assert [d.path for d in again.handed] == left
    assert len(list(again.waiting.path.parent.iterdir())) == 1


@shared
async def test_what_is_handed_back_while_another_start_takes_over_is_not_lost(
    found: Shared, monkeypatch
) -> None:
    copy, read = lent(found), waiting._read
    copy.session.move("case.wall", 0.0028)
    hand_back(copy)

    def meanwhile(row: Any) -> Any:
        monkeypatch.setattr(waiting, "_read", read)
        copy.session.change({"screw.count": "16"})
        hand_back(copy)
        return read(row)

    monkeypatch.setattr(waiting, "_read", meanwhile)
    other = Share(ADDRESS)
    assert [d.path for d in other.handed] == ["case.wall"]
    third = Share(ADDRESS)  # both were killed
    assert {d.path for d in third.handed} == {"case.wall", "screw.count"}


@shared
async def test_what_waits_on_a_file_with_any_name_is_found(found: Shared, tmp_path: Path) -> None:
    for name in ("tube[2].toml", "*.toml", "a-b.toml", "a.toml"):
        mine = Share(ADDRESS, autosave.state_name(tmp_path / name))
        tried(copy := CopyNotebook(Copy(found.session.design, "metric"), mine, 1))
        hand_back(copy)
        again = Share(ADDRESS, autosave.state_name(tmp_path / name))
        assert [d.path for d in again.handed] == [d.path for d in mine.handed]


@shared
async def test_what_waits_on_one_design_is_not_another_s(found: Shared) -> None:
    tried(copy := lent(found))
    hand_back(copy)
    assert not Share(ADDRESS, "other").handed
    assert Share(ADDRESS).handed
