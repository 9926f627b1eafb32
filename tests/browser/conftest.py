"""A headless Chromium on the notebook, served by the very command a person types.

Each worker has one server and one browser. Each test loads the notebook anew, in a window that no
other test has meanwhile (to open one costs as much as the notebook itself, so they are kept); it
must ask nothing of any other machine and end without an error in the page, its console or the
server's log.
"""

import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import time
from collections import defaultdict
from collections.abc import Callable, Generator, Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urljoin, urlsplit

import attrs
import pytest
from playwright.sync_api import Browser, Page, Route, ViewportSize, sync_playwright

from tests.browser.notebook import Notebook

HOST = "127.0.0.1"
PATIENCE = 15  # seconds for what takes one or two on an idle machine
FLAGS = (
    "--no-sandbox", "--disable-gpu", "--headless", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--no-first-run",
)  # fmt: skip
# What Tornado logs when a tab is closed while something is being sent to it: no fault of ours.
GONE = re.compile(
    r"Task exception was never retrieved\nfuture: .*WebSocketClosedError\(\)>\n(?:.*\n)*?"
    r"tornado\.websocket\.WebSocketClosedError\n"
)
WIDE = ViewportSize(width=1440, height=900)
USUAL: dict[str, Any] = {"color_scheme": "light", "reduced_motion": "no-preference"}
EMPTY = "/empty"  # a page of the server's own address with nothing on it, made by the browser
LASTS = 25  # visits; with each, a window takes some 10 MB more
FAILED = pytest.StashKey[bool]()
Start = Callable[..., "Server"]
Visit = Callable[..., Notebook]
Windows = dict[tuple[bool, float], list["Window"]]


def chromium_path() -> str | None:
    """The browser to drive."""
    usual = "/usr/bin/chromium"
    return (
        os.environ.get("CHROMIUM")
        or shutil.which("chromium")
        or (usual if Path(usual).exists() else None)
    )


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    path = chromium_path()
    if path is None:
        why = "no Chromium: set CHROMIUM to its path, or install one, to test the notebook"
        if os.environ.get("CI"):
            pytest.fail(why)
        pytest.skip(why)
    with sync_playwright() as play:
        found = play.chromium.launch(executable_path=path, headless=True, args=FLAGS)
        yield found
        found.close()


@attrs.define
class Server:
    """`hobbyclosure open` in a folder of its own, its unsaved work beside it."""

    folder: Path
    port: int
    process: subprocess.Popen[bytes]
    log: Path

    @property
    def url(self) -> str:
        return f"http://{HOST}:{self.port}/"

    def faults(self) -> str:
        """What the log holds that it should not."""
        text = GONE.sub("", self.log.read_text(encoding="utf-8", errors="replace"))
        return text if "Traceback" in text or "ERROR" in text else ""

    def end(self) -> None:
        self.process.send_signal(signal.SIGINT)
        try:
            self.process.wait(PATIENCE)
        except subprocess.TimeoutExpired:
            self.process.kill()
            raise


def command() -> str:
    """The installed command of the environment that runs the tests."""
    beside = Path(sys.executable).with_name("hobbyclosure")
    return str(beside) if beside.exists() else shutil.which("hobbyclosure") or "hobbyclosure"


def started(folder: Path, *args: str) -> Server:
    """The notebook's server, once it listens."""
    with socket.socket() as free:
        free.bind((HOST, 0))
        port = free.getsockname()[1]
    log = folder.parent / f"{folder.name}-{port}.log"
    with log.open("wb") as out:
        process = subprocess.Popen(
            [command(), "open", *args, "--no-browser", "--port", str(port)],
            cwd=folder, stdout=out, stderr=subprocess.STDOUT,
            env=os.environ | {"XDG_STATE_HOME": str(folder.parent / f"{folder.name}-state")},
        )  # fmt: skip
    server = Server(folder, port, process, log)
    deadline = time.monotonic() + 4 * PATIENCE
    while process.poll() is None and time.monotonic() < deadline:
        with socket.socket() as knock:
            if knock.connect_ex((HOST, port)) == 0:
                return server
        time.sleep(0.02)
    process.kill()
    raise AssertionError(f"the server did not come up: {log.read_text(encoding='utf-8')}")


@pytest.fixture(scope="session")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """The notebook on the demo, in an empty folder; each tab begins with the demo as it is."""
    found = started(tmp_path_factory.mktemp("designs"), "--as-saved")
    yield found
    found.end()
    assert not found.faults()


@pytest.fixture
def start(tmp_path: Path) -> Iterator[Start]:
    """Starts the notebook on a file of the test's own folder."""
    running: list[Server] = []

    def start_on(*args: str) -> Server:
        running.append(started(tmp_path, *args))
        return running[-1]

    yield start_on
    for found in running:
        found.end()
    assert not [fault for found in running if (fault := found.faults())]


@attrs.define
class Window:
    """A window of the worker, handed from test to test with nothing of the one before in it."""

    page: Page
    trouble: list[str]
    visits: int = 0

    def dressed(self, viewport: ViewportSize, **media: Any) -> Page:
        """Its page, of a size and for a reader's wishes."""
        if self.page.viewport_size != viewport:
            self.page.set_viewport_size(viewport)
        self.page.emulate_media(**(USUAL | media))
        self.visits += 1
        return self.page

    def emptied(self) -> None:
        """Leave the notebook, which ends its session, and forget what it kept."""
        self.page.goto(urljoin(self.page.url, EMPTY))
        self.page.evaluate("() => { localStorage.clear(); sessionStorage.clear() }")
        self.page.context.clear_cookies()
        self.page.mouse.move(-1, -1)
        for tab in self.page.context.pages:
            if tab != self.page:
                tab.close()

    def close(self) -> None:
        self.page.context.close()


def opened(browser: Browser, **options: Any) -> Window:
    """A new window, which notes every request that would leave the machine, and every error."""
    trouble: list[str] = []
    context = browser.new_context(viewport=WIDE, **USUAL, **options)
    context.set_default_timeout(PATIENCE * 1000)
    context.add_init_script(path=Path(__file__).with_name("probe.js"))

    def guard(route: Route) -> None:
        url = urlsplit(route.request.url)
        if url.path == EMPTY:
            route.fulfill(body="", content_type="text/html")
        elif url.hostname == HOST or url.scheme in ("data", "blob"):
            route.continue_()
        else:
            trouble.append(f"asked for {route.request.url}")
            route.abort()

    def watch(page: Page) -> None:
        page.on("pageerror", lambda error: trouble.append(f"page error: {error}"))
        page.on("console", lambda said: said.type == "error" and trouble.append(said.text))
        page.on(
            "websocket",
            lambda ws: urlsplit(ws.url).hostname == HOST or trouble.append(f"socket to {ws.url}"),
        )

    context.route("**/*", guard)
    context.on("page", watch)
    return Window(context.new_page(), trouble)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item) -> Generator[None, Any, Any]:
    """Note whether a test failed: its windows may be in any state."""
    report = yield
    item.stash[FAILED] = item.stash.get(FAILED, False) or report.failed
    return report


@pytest.fixture(scope="session")
def spare(browser: Browser) -> Windows:
    """Windows that no test has at present, by what only a new one can be given."""
    return defaultdict(list)


@pytest.fixture
def visit(
    browser: Browser, spare: Windows, server: Server, start: Start, request: pytest.FixtureRequest
) -> Iterator[Visit]:
    """Opens the notebook in a window of its own; `beside` opens a tab in another's window."""
    taken: list[tuple[Window, list[Window]]] = []

    def visited(
        url: str = "", beside: Notebook | None = None, viewport: ViewportSize = WIDE,
        has_touch: bool = False, device_scale_factor: float = 1, **media: Any,
    ) -> Notebook:  # fmt: skip
        if beside is not None:
            return Notebook.opened(beside.page.context.new_page(), url or server.url)
        build = {"has_touch": has_touch, "device_scale_factor": device_scale_factor}
        free = spare[has_touch, device_scale_factor]
        taken.append((free.pop() if free else opened(browser, **build), free))
        return Notebook.opened(taken[-1][0].dressed(viewport, **media), url or server.url)

    yield visited
    trouble = []
    for window, free in taken:
        if request.node.stash[FAILED] or window.visits >= LASTS:
            window.close()
        else:
            window.emptied()
            free.append(window)
        trouble += window.trouble
        window.trouble.clear()
    assert not trouble
    assert not server.faults()


@pytest.fixture
def notebook(visit: Visit) -> Notebook:
    """The demo at 1440 × 900, by day."""
    return visit()
