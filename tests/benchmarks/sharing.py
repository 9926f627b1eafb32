"""What one and eight followers cost the owner: slider moves with them, against the page alone.

`python -m tests.benchmarks.sharing LINK COUNT` is the followers: as on machines of their own, each
takes in what comes and draws nothing here.
"""

import asyncio
import json
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from urllib.parse import urlsplit

from playwright.sync_api import Page
from tornado.httpclient import HTTPRequest
from tornado.websocket import websocket_connect

from tests.benchmarks.browser import ROOT, chromium, keys, opened, served
from tests.benchmarks.moves import NOTEBOOK, OURS, walk
from tests.benchmarks.tables import Row, Samples

ADDRESS, FOLLOWERS = "127.0.0.2", (1, 8)


async def follow(link: str, count: int) -> None:
    """Follow a link several times over; says when the first messages are there, and their last."""
    url = urlsplit(link)
    cookie = f"hobbyclosure-{url.port}={url.query.partition('=')[2]}"
    headers = {"Cookie": cookie, "Origin": f"http://{url.netloc}"}
    lines = [await websocket_connect(HTTPRequest(f"ws://{url.netloc}/live", headers=headers))
             for _ in range(count)]  # fmt: skip
    told = [0] * count
    sizes = [0] * count

    async def take(i: int) -> None:
        while (said := await lines[i].read_message()) is not None:
            told[i] += 1
            sizes[i] += len(said)
            if min(told) == told[i] == 1:
                print("there", flush=True)

    await asyncio.gather(*map(take, range(count)))
    print(json.dumps({"messages": told, "bytes": sizes}), flush=True)


@contextmanager
def followed(page: Page, count: int) -> Iterator[None]:
    """So many followers while it lasts."""
    page.locator(".bar .name").click()
    page.get_by_role("menuitem", name="Share with a partner…").click()
    page.get_by_role("button", name="Start sharing").click()
    link = page.locator("aside.leaf .link").inner_text()
    command = [sys.executable, "-m", "tests.benchmarks.sharing", link, str(count)]
    with subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True) as followers:
        assert followers.stdout
        assert followers.stdout.readline() == "there\n"
        page.get_by_text(f"shared with {count}").wait_for()
        page.get_by_role("button", name="Close").first.click()
        page.wait_for_timeout(400)
        try:
            yield
        except BaseException:
            followers.kill()  # they would follow for ever
            raise
        page.locator(".bar .name").click()
        page.get_by_role("menuitem", name="Share with a partner…").click()
        page.get_by_role("button", name="Stop sharing").click()
        told = json.loads(followers.stdout.readline())
        print(f"  {max(told['messages'])} messages, {max(told['bytes'])} bytes", file=sys.stderr)
        assert min(told["messages"]) > 1, "followers were told nothing"
    page.get_by_role("button", name="Close").first.click()


def sharing(quick: bool) -> list[Row]:
    """A move with one and with eight followers, against the same move with none."""
    runs, size = (2, 20) if quick else (5, 60)
    names, pauses = walk(size)
    warm = walk(4)  # back where it began: each of the three walks has the axis before it
    alone = []
    together: dict[int, list[list[float]]] = {count: [] for count in FOLLOWERS}
    with chromium() as browser, served(*NOTEBOOK, "--share-address", ADDRESS) as address:
        for _ in range(runs):
            with opened(browser, address) as (page, _took):
                keys(page, OURS, *warm, warming=True)
                alone.append([t["painted"] for t in keys(page, OURS, names, pauses)])
                for count in FOLLOWERS:
                    with followed(page, count):
                        keys(page, OURS, *warm, warming=True)
                        moved = keys(page, OURS, names, pauses)
                        together[count].append([t["painted"] for t in moved])
                alone.append([t["painted"] for t in keys(page, OURS, names, pauses)])  # no drift
    return [
        Row(f"slider move, followers: {count}", Samples(together[count]), Samples(alone),
            "the same, nobody follows", target="≤ 1.5 ×", note="every follower was told")
        for count in FOLLOWERS
    ]  # fmt: skip


if __name__ == "__main__":
    asyncio.run(follow(sys.argv[1], int(sys.argv[2])))
