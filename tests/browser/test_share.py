"""Two browsers on two addresses: the owner on 127.0.0.1, who follows on 127.0.0.2."""

import re
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urljoin, urlsplit

import attrs
import pytest
from playwright.sync_api import Browser, Page, Route, ViewportSize, expect

from tests.browser.conftest import EMPTY, FLAGS, WIDE, Server, Start, Visit, chromium_path
from tests.browser.notebook import Notebook

ADDRESS = "127.0.0.2"
TABLET = ViewportSize(width=820, height=1180)
PHONE = ViewportSize(width=390, height=844)
PATIENCE = 20_000
LINES = """window.WebSocket = class extends WebSocket {
    constructor(...how) { super(...how); (window.lines ??= []).push(this); } };"""
SAID = """() => {
    try {
        const {verdict, plots, ladder, name} = probe.page();
        const told = plots.map((plot) => [plot.handle, plot.value, plot.now, plot.title]);
        return JSON.stringify([verdict, name, ladder, told]);
    } catch { return null } // it is still being made
}"""


@attrs.frozen
class Follower:
    """A page that follows, and what went wrong in it."""

    page: Page
    trouble: list[str]

    def open(self, link: str) -> None:
        """Open a link, and wait for the page or its refusal."""
        self.page.goto(link)
        self.page.wait_for_function(
            "document.documentElement.dataset.seq || document.body.innerText.includes('Refused')"
        )

    def says(self, text: str) -> None:
        """Wait for the line at the top."""
        expect(self.page.locator("#gone")).to_have_text(text, timeout=PATIENCE)

    def agrees(self, owner: Notebook) -> None:
        """Wait until it shows what the owner's page shows."""
        deadline = time.monotonic() + PATIENCE / 1000
        while (mine := self.page.evaluate(SAID)) != (theirs := owner.page.evaluate(SAID)):
            assert time.monotonic() < deadline, f"{mine}\n{theirs}"
            self.page.wait_for_timeout(50)
        assert mine


@attrs.define
class Sharing:
    """An owner who shares, and everybody who follows."""

    browser: Browser
    server: Server
    owner: Notebook
    followers: list[Follower] = attrs.field(factory=list)

    @property
    def link(self) -> str:
        return self.owner.leaf.locator(".link").inner_text()

    def start(self) -> str:
        """Share; returns the link."""
        if not self.owner.leaf.is_visible():
            self.owner.menu("Share with a partner…")
        self.owner.leaf.get_by_role("button", name="Start sharing").click()
        return self.link

    def stop(self) -> None:
        self.owner.leaf.get_by_role("button", name="Stop sharing").click()
        self.owner.leaf.get_by_role("button", name="Start sharing").wait_for()

    def follow(self, link: str, size: ViewportSize = WIDE, **options: Any) -> Follower:
        """Another browser opens the link."""
        context = self.browser.new_context(viewport=size, **({"bypass_csp": True} | options))
        context.add_init_script(path=Path(__file__).with_name("probe.js"))
        context.add_init_script(LINES)
        found = Follower(context.new_page(), [])
        found.page.on("pageerror", lambda error: found.trouble.append(f"page error: {error}"))
        found.page.on("request", lambda asked: self._at_home(asked.url)
                      or found.trouble.append(f"asked for {asked.url}"))  # fmt: skip
        self.followers.append(found)
        if "bypass_csp" in options:  # nothing can be evaluated there
            found.page.goto(link)
        else:
            found.open(link)
        return found

    @staticmethod
    def _at_home(url: str) -> bool:
        return urlsplit(url.removeprefix("blob:")).hostname == ADDRESS or url.startswith("data:")


@pytest.fixture(scope="module")
def other_browser(browser: Browser) -> Iterator[Browser]:
    """A browser of the partner's own."""
    found = browser.browser_type.launch(executable_path=chromium_path(), headless=True, args=FLAGS)
    yield found
    found.close()


@pytest.fixture
def sharing(other_browser: Browser, start: Start, visit: Visit) -> Iterator[Sharing]:
    server = start("--as-saved", "--share-address", ADDRESS)
    found = Sharing(other_browser, server, visit(server.url))
    yield found
    trouble = [line for follower in found.followers for line in follower.trouble]
    for follower in found.followers:
        follower.page.context.close()
    assert not trouble


def test_a_follower_sees_what_the_owner_does(sharing: Sharing) -> None:
    owner, follower = sharing.owner, sharing.follow(sharing.start())
    follower.agrees(owner)
    assert follower.page.url == f"http://{urlsplit(sharing.link).netloc}/"  # the token is gone
    assert follower.page.evaluate("document.cookie") == ""
    expect(follower.page.locator(".bar .guest p")).to_have_text(
        "Following. Nothing you touch here changes the design."
    )
    expect(owner.find(".bar .saved")).to_have_text("shared with 1")
    expect(follower.page.locator("aside.leaf:not([hidden])")).to_have_count(0)  # not the link
    owner.drag(0, 2.6)
    follower.agrees(owner)
    owner.find("[data-unit=inch]").click()
    owner.wait("probe.page().plots[2].detail.includes('psi')")
    follower.agrees(owner)
    owner.find(".undo").click()
    follower.agrees(owner)
    for page in ("seal", "loads", "hold"):
        owner.find(f"nav button[data-page={page}]").click()
        follower.page.wait_for_function(
            "(page) => document.documentElement.dataset.page === page", arg=page
        )
        expect(follower.page.locator(f".board.{page}")).to_be_visible()
    follower.agrees(owner)


def test_part_working_and_preview_are_followed(sharing: Sharing) -> None:
    owner, follower = sharing.owner, sharing.follow(sharing.start())
    follower.agrees(owner)
    owner.page.keyboard.press("Escape")
    owner.find('.section [data-part="screw"]').first.press("Enter")
    expect(follower.page.locator("aside.fields:not([hidden]) select")).to_have_value("screw")
    owner.page.keyboard.press("Escape")
    owner.find(".ladder .rung").nth(1).click()
    title = owner.leaf.locator("h2").inner_text()
    expect(follower.page.locator("aside.leaf:not([hidden]) h2")).to_have_text(title)
    owner.page.keyboard.press("Escape")
    expect(follower.page.locator("aside.leaf:not([hidden])")).to_have_count(0)
    owner.find(".verdict .keep").click()
    expect(follower.page.locator(".verdict .past")).to_be_visible()


def test_a_narrow_follower_turns_to_the_plot_the_owner_works_on(sharing: Sharing) -> None:
    owner, follower = sharing.owner, sharing.follow(sharing.start(), TABLET)
    expect(follower.page.locator(".hold .plot.shown")).to_have_attribute("data-field", "case.wall")
    owner.drag(1, 12)
    shown = follower.page.locator(".hold .plot.shown")
    expect(shown).to_have_attribute("data-field", "screw.count")
    expect(follower.page.locator(".looked")).to_have_attribute("data-field", "screw.count")
    follower.page.locator(".switch button").nth(2).click()  # a follower's own window
    expect(shown).to_have_attribute("data-field", "loads.meop_given")
    owner.resize(**TABLET)
    owner.find(".hold .switch button").first.click()
    expect(shown).to_have_attribute("data-field", "case.wall")


def test_on_a_phone_a_follower_folds_the_owners_panel(sharing: Sharing) -> None:
    owner, follower = sharing.owner, sharing.follow(sharing.start(), PHONE)
    page, tall = follower.page, PHONE["height"]
    owner.page.keyboard.press("Escape")
    owner.find('.section [data-part="screw"]').first.press("Enter")
    panel = page.locator("aside.fields:not([hidden])")
    panel.wait_for()
    assert panel.bounding_box() == {"x": 0, "y": 0, "width": PHONE["width"], "height": tall}
    page.get_by_role("button", name="Fold").click()
    box = panel.bounding_box()
    assert box
    assert box["y"] > tall - 60
    expect(panel.locator("select")).to_be_in_viewport()  # still which part it is
    owner.drag(0, 2.8)
    expect(page.locator(".onhandle:visible")).to_have_text(owner.plot(0)["handle"])
    owner.page.keyboard.press("Escape")
    owner.find(".ladder .rung").filter(has_text="screw bending").click()  # folded too
    panel = page.locator("aside.leaf:not([hidden])")
    expect(panel.locator("h2")).to_be_in_viewport()
    box = panel.bounding_box()
    assert box
    assert box["y"] > tall - 60
    page.get_by_role("button", name="Show", exact=True).click()
    assert panel.bounding_box() == {"x": 0, "y": 0, "width": PHONE["width"], "height": tall}
    owner.page.keyboard.press("Escape")
    expect(page.locator(".fold:visible")).to_have_count(0)


def test_a_page_that_cannot_be_drawn_says_so_and_is_loaded_again(sharing: Sharing) -> None:
    link = sharing.start()
    follower = sharing.follow(link)
    asked: list[str] = []

    def fail(route: Route) -> None:
        asked.append(route.request.url)
        if len(asked) < 2:
            route.abort()
        else:
            route.continue_()

    follower.page.route("**/view/PlotView.js", fail)
    follower.page.reload()
    follower.says("Something could not be drawn. Loading the page again.")
    follower.page.wait_for_event("load")
    follower.agrees(sharing.owner)
    asked.clear()
    follower.page.reload()  # again within two minutes: not in a fast loop
    follower.says("Something could not be drawn. Loading the page again in a minute.")
    follower.page.wait_for_timeout(6000)
    assert len(asked) == 1


def test_nothing_a_follower_touches_changes_anything(sharing: Sharing) -> None:
    owner, follower = sharing.owner, sharing.follow(sharing.start())
    owner.page.keyboard.press("Escape")
    owner.find('.section [data-part="screw"]').first.press("Enter")
    page = follower.page
    page.locator("aside.fields:not([hidden])").wait_for()
    follower.agrees(owner)
    before, seq = owner.page.evaluate(SAID), owner.read()["seq"]
    for plot in range(3):
        box = page.locator("section.plot .grab").nth(plot).bounding_box()
        assert box
        page.mouse.move(box["x"] + 46, box["y"] + 30)
        page.mouse.down()
        page.mouse.move(box["x"] + 120, box["y"] + 30, steps=4)
        page.mouse.up()
        page.mouse.dblclick(box["x"] + 46, box["y"] + 30)
    own = ".bar .go, .bar .name, .bar .menu button, .switch button, .fold"
    pressed = page.evaluate("""(own) => { const all = [];
        const walk = (root) => { for (const node of root.querySelectorAll("*")) {
            if (node.matches("button, input, select") && !node.matches(own)) all.push(node);
            if (node.shadowRoot) walk(node.shadowRoot); } };
        walk(document);
        for (const node of all) { node.click(); node.dispatchEvent(new KeyboardEvent("keydown",
            {key: "ArrowRight", bubbles: true, composed: true, cancelable: true})); }
        return [all.length, all.filter((node) => !node.disabled).length]; }""", own)  # fmt: skip
    assert pressed[0] > 40
    assert pressed[1] == 0
    for key in ("Control+z", "Control+s", "m", "Escape", "ArrowRight", "Tab", "Enter", "End"):
        page.keyboard.press(key)
    page.evaluate("""() => { for (const said of ['{"kind":"undo"}', '{"kind":"move","payload":1}'])
        lines.at(-1).send(said) }""")  # fmt: skip
    assert page.evaluate(SAID) == before
    page.locator(".bar .name").click()
    expect(page.get_by_role("menuitem")).to_have_text(["Night"])
    page.get_by_role("menuitem").click()
    assert page.evaluate("document.documentElement.dataset.theme") == "night"
    expect(owner.find("aside.fields:not([hidden])")).to_have_count(1)
    assert owner.read()["seq"] == seq
    assert owner.page.evaluate(SAID) == before


def test_a_page_under_its_own_rules_is_drawn(sharing: Sharing) -> None:
    follower = sharing.follow(sharing.start(), bypass_csp=False)
    follower.page.on(
        "console", lambda said: said.type == "error" and follower.trouble.append(said.text)
    )
    expect(follower.page.locator(".ladder .rung").first).to_be_visible()
    expect(follower.page.locator("section.plot .onhandle").first).to_have_text("3.175")


def test_a_lost_line_comes_back_by_itself(sharing: Sharing) -> None:
    owner, follower = sharing.owner, sharing.follow(sharing.start())
    follower.agrees(owner)
    follower.page.evaluate("lines[0].close()")
    owner.drag(0, 2.8)
    follower.agrees(owner)
    assert follower.page.evaluate("lines.length") == 2
    expect(follower.page.locator("#gone")).to_be_hidden()


def test_a_reload_of_the_owners_page_is_followed(sharing: Sharing) -> None:
    owner, follower = sharing.owner, sharing.follow(sharing.start())
    owner.drag(0, 2.8)
    owner = Notebook.opened(owner.page, owner.page.url)
    follower.agrees(owner)
    owner.drag(1, 16)
    follower.agrees(owner)


def test_a_program_started_again_is_followed_with_the_same_link(
    sharing: Sharing, start: Start, visit: Visit
) -> None:
    link = sharing.start()
    follower = sharing.follow(link)
    follower.agrees(sharing.owner)
    sharing.owner.page.goto(urljoin(sharing.server.url, EMPTY))
    sharing.server.process.kill()
    follower.says("Out of reach. Trying again.")
    sharing.owner = visit(start("--as-saved", "--share-address", ADDRESS).url)
    assert sharing.start() == link
    expect(sharing.owner.leaf).to_contain_text("The link is that of last time")
    expect(follower.page.locator("#gone")).to_be_hidden(timeout=PATIENCE)
    sharing.owner.drag(0, 2.8)
    follower.agrees(sharing.owner)


def test_stopping_ends_it_at_once_and_a_new_link_is_another(sharing: Sharing) -> None:
    old = sharing.start()
    follower = sharing.follow(old)
    follower.agrees(sharing.owner)
    sharing.stop()
    follower.says("Your partner has stopped sharing. To go on, ask for a new link.")
    new = sharing.start()
    assert new != old
    late = sharing.follow(old)
    expect(late.page.locator("body")).to_have_text("Refused.")
    follower.open(new)
    follower.agrees(sharing.owner)


def on_a_copy(follower: Follower) -> Notebook:
    """A follower goes on with a copy."""
    follower.page.get_by_role("button", name="Try on a copy").click()
    follower.page.wait_for_url("**/copy")
    follower.page.wait_for_function(
        "window.Bokeh?.documents?.[0]?.is_idle && document.documentElement.dataset.seq"
    )
    follower.page.wait_for_function("probe.fits()")
    return Notebook(follower.page)


def test_what_is_tried_on_a_copy_is_handed_back_and_taken(sharing: Sharing) -> None:
    owner, follower = sharing.owner, sharing.follow(sharing.start())
    before = owner.read()["plots"][0]["handle"]
    copy = on_a_copy(follower)
    here = owner.leaf.locator(".guests li")
    expect(here).to_have_text([re.compile("on copy 1 since")], timeout=PATIENCE)
    seq = owner.read()["seq"]
    copy.drag(0, 2.8)
    copy.drag(1, 16)
    tried = [copy.plot(i)["handle"] for i in range(2)]
    assert tried[0] != before
    assert owner.read()["seq"] == seq  # nothing was drawn anew here
    assert owner.plot(0)["handle"] == before
    copy.find(".bar .hand").click()
    expect(copy.find(".bar .guest p")).to_have_text("2 differences are with your partner now.")
    expect(owner.find(".bar .saved")).to_have_text("shared with 1, 2 differences")
    owner.menu("Your partner's differences…")
    rows = owner.leaf.locator(".given")
    expect(rows).to_have_count(2)
    expect(rows.first).to_contain_text(f"{before} mm → {tried[0].rstrip('0')}")
    rows.first.get_by_role("button", name="Leave").press("Enter")
    expect(rows).to_have_count(1)
    # A second Enter would leave the next one too, had its button come under the hand.
    assert owner.page.evaluate("probe.focused().matches('aside.leaf')")
    rows.filter(has_text="Screws").get_by_role("button", name="Take").click()
    expect(owner.leaf).to_contain_text("Nothing is waiting.")
    assert [owner.plot(0)["handle"], owner.plot(1)["handle"]] == [before, tried[1]]
    owner.find(".undo:enabled").click()
    owner.wait("(was) => probe.page().plots[1].handle !== was", tried[1])
    copy.find(".bar .go").click()
    follower.page.wait_for_function("!location.pathname.includes('copy')")
    follower.agrees(owner)


def test_leaving_a_copy_asks_about_what_was_not_handed_back(sharing: Sharing) -> None:
    follower = sharing.follow(sharing.start())
    copy, page = on_a_copy(follower), follower.page
    go, said = copy.find(".bar .go"), copy.find(".bar .guest p")
    copy.drag(0, 2.8)
    asked: list[str] = []
    page.on("dialog", lambda dialog: (asked.append(dialog.type), dialog.dismiss()))
    page.evaluate("setTimeout(() => location.reload())")
    expect(copy.find("#gone")).to_be_hidden()
    page.wait_for_timeout(500)
    assert asked == ["beforeunload"]
    go.click()
    page.set_viewport_size(PHONE)
    expect(said).to_have_text("One difference is not handed back.")
    expect(go).to_have_text("Drop it")
    assert copy.find(".bar .guest").evaluate(
        "(row) => row.scrollWidth <= row.clientWidth && row.scrollHeight <= row.clientHeight"
    )
    page.set_viewport_size(WIDE)
    page.wait_for_function("probe.fits()")
    copy.find(".bar .hand").click()  # it was meant to be handed back
    expect(said).to_have_text("One difference is with your partner now.")
    expect(go).to_have_text("Follow")
    copy.drag(0, 3.4)
    go.click()
    go.click()
    page.wait_for_function("!location.pathname.includes('copy')")
    assert asked == ["beforeunload"]
    follower.agrees(sharing.owner)


def test_a_copy_s_pdf_is_made_while_the_link_holds_and_not_after(sharing: Sharing) -> None:
    follower = sharing.follow(sharing.start())
    copy = on_a_copy(follower)
    with follower.page.expect_download() as download:
        copy.menu("Bench form, PDF")
    made = Path(download.value.path()).read_bytes()
    assert made.startswith(b"%PDF")
    assert download.value.suggested_filename == "tidewater bench form.pdf"
    sharing.stop()
    expect(copy.find("#gone")).to_contain_text("Nothing of yours is lost.")
    arrived: list[Any] = []
    follower.page.on("download", lambda found: arrived.append(found))
    copy.find(".bar .menu [data-what=sheet]").dispatch_event("click")
    follower.page.wait_for_timeout(2500)
    assert not arrived


def test_stopping_ends_a_copy_too_and_says_what_was_not_handed_back(sharing: Sharing) -> None:
    follower = sharing.follow(sharing.start())
    copy = on_a_copy(follower)
    copy.drag(0, 2.8)
    copy.find(".bar .hand").click()
    expect(copy.find(".bar .guest p")).to_have_text("One difference is with your partner now.")
    copy.drag(1, 16)
    follower.page.wait_for_function("document.documentElement.dataset.unsent === '1'")
    sharing.stop()
    expect(copy.find("#gone span")).to_have_text(
        "Your partner has stopped sharing. One difference was not handed back, "
        "and cannot be from here. To go on, ask for a new link."
    )
    expect(copy.find("#gone a")).to_be_hidden()
    sharing.start()
    follower.open(urljoin(follower.page.url, "/copy"))
    expect(follower.page.locator("body")).to_have_text("Refused.")


def test_what_was_handed_back_outlives_a_kill_of_the_owner_s_program(
    sharing: Sharing, start: Start, visit: Visit
) -> None:
    follower = sharing.follow(sharing.start())
    copy = on_a_copy(follower)
    copy.drag(0, 2.8)
    copy.find(".bar .hand").click()
    expect(copy.find(".bar .guest p")).to_have_text("One difference is with your partner now.")
    sharing.owner.page.goto(urljoin(sharing.server.url, EMPTY))
    sharing.server.process.kill()
    follower.says("The line is lost. Nothing of yours is lost. Follow again")
    owner = visit(start().url)
    expect(owner.leaf).to_contain_text("What your partner handed back waits")
    owner.menu("Your partner's differences…")
    owner.leaf.locator(".given").get_by_role("button", name="Take").click()
    expect(owner.leaf).to_contain_text("Nothing is waiting.")
    assert owner.plot(0)["handle"] == copy.plot(0)["handle"]
