"""A headless Chromium, servers as processes of their own, and one page to measure in."""

import os
import shutil
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, Page, sync_playwright

from app.serve import HOST, free_port

ROOT = Path(__file__).parents[2]
PROBE = Path(__file__).with_name("probe.js").read_text(encoding="utf-8")
FLAGS = ["--no-sandbox", "--disable-gpu", "--headless", "--disable-background-networking"]


@contextmanager
def chromium() -> Iterator[Browser]:
    """The machine's own Chromium, or the one that came with Playwright."""
    own = shutil.which("chromium") or shutil.which("chromium-browser")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=own, args=FLAGS)
        yield browser
        browser.close()


@contextmanager
def served(*command: str) -> Iterator[str]:
    """Address of a server started as `python -m COMMAND --port N`, ended afterwards.

    Unsaved work goes to a folder of its own, and nobody else's is taken up.
    """
    port = free_port()
    with tempfile.TemporaryDirectory() as state:
        server = subprocess.Popen(
            [sys.executable, "-m", *command, "--port", str(port)],
            cwd=ROOT, env=os.environ | {"XDG_STATE_HOME": state}, stdout=subprocess.DEVNULL,
        )  # fmt: skip
        try:
            _await_port(server, port)
            yield f"http://{HOST}:{port}/"
        finally:
            server.terminate()
            server.wait()


def _await_port(server: subprocess.Popen, port: int) -> None:
    for _ in range(300):
        with socket.socket() as s:
            if s.connect_ex((HOST, port)) == 0:
                return
        if server.poll() is not None:
            break
        time.sleep(0.1)
    raise RuntimeError(f"the server did not start: {server.args}")


@contextmanager
def opened(browser: Browser, address: str, counted: bool = True) -> Iterator[tuple[Page, float]]:
    """A page in a fresh profile, once it is usable, and the ms from navigation until then.

    `counted` pages say themselves when they have drawn, which counts too.
    """
    context = browser.new_context(viewport={"width": 1440, "height": 900})
    page = context.new_page()
    faults: list[str] = []
    page.on("pageerror", lambda error: faults.append(str(error)))
    page.add_init_script(PROBE)
    page.goto(address, wait_until="commit")
    took = page.evaluate("counted => probe.usable(counted)", counted)
    page.evaluate("probe.listen()")
    try:
        yield page, took
    finally:
        context.close()
    assert not faults, faults


def keys(
    page: Page, target: str, names: Sequence[str], pauses: Sequence[float], warming: bool = False
) -> list[Any]:
    """Times of one key after another; every key must have had its one answer.

    Only while `warming` may there be others: a page that just opened still tells its sizes.
    """
    page.evaluate("probe.quiet(400)")
    found = page.evaluate("a => probe.keys(...a)", [target, list(names), list(pauses)])
    answers, asked = found["answers"], len(names)
    assert warming or answers == asked, f"{answers} answers to {asked} keys"
    return found["times"]
