"""Retake the pictures of every state: `python -m tests.pictures` writes app/static/states/*.png."""

import io
import itertools
import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

from PIL import Image
from playwright.sync_api import Browser, Page, ViewportSize, sync_playwright

from app import sheet
from hobbyclosure import file
from tests.browser.conftest import chromium_path, started

ROOT = Path(__file__).parents[1]
DEMOS = ROOT / "demo_data"
OUT = ROOT / "app" / "static" / "states"
DESK, TABLET = ViewportSize(width=1440, height=900), ViewportSize(width=820, height=1180)
Act = Callable[[Page], None]


def turn(to: str) -> Act:
    """Another page of the notebook."""
    return lambda page: page.locator(f"nav button[data-page={to}]").click()


def slide(plot: int, far: float) -> Act:
    """Drag the handle of one of Hold's plots."""

    def act(page: Page) -> None:
        box = page.locator(".board.hold .onhandle").nth(plot).bounding_box()
        assert box
        x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
        page.mouse.move(x, y)
        page.mouse.down()
        page.mouse.move(x + far, y, steps=6)
        page.mouse.up()
        page.mouse.move(4, 600)

    return act


def click(where: str) -> Act:
    """Press the first of something."""
    return lambda page: page.locator(where).first.click()


def hover(where: str) -> Act:
    """Point at the first of something."""
    return lambda page: page.locator(where).first.hover()


def press(key: str, where: str = "body") -> Act:
    """A key, on something that is focused first."""

    def act(page: Page) -> None:
        if where != "body":
            page.locator(where).first.focus()
        page.keyboard.press(key)

    return act


def new_design(page: Page) -> None:
    """The form of a new design, with a mistake in it."""
    page.locator(".bar .name").click()
    page.get_by_role("menuitem", name="New design").click()
    page.locator("aside.leaf input[name='case.wall']").fill("thin")
    page.locator("aside.leaf .act").click()


def trace(page: Page) -> None:
    """A pressure trace added to the loads."""
    with page.expect_file_chooser() as chooser:
        page.get_by_text("Add a trace").first.click()
    chooser.value.set_files(ROOT / "demo_data" / "tidewater_trace.csv")


FIX = ".fix:not([hidden])"
SCREW = '.section [data-part="screw"]'
STATES: dict[str, tuple[str, tuple[Act, ...]]] = {
    "hold": ("tidewater", ()),
    "hold-faults": ("first_sketch", ()),
    "hold-inch": ("ebbstone", ()),
    "hold-remedy": ("tidewater", (slide(1, -30), hover(f".board.hold {FIX}"))),
    "hold-kept": ("tidewater", (click(".verdict .keep"), slide(0, 24), slide(1, -12))),
    "hold-swollen": ("tidewater", (press("End", ".section input[type=range]"),)),
    "hold-working": ("tidewater", (click(".ladder .rung:nth-of-type(2)"),)),
    "hold-map": ("tidewater", (press("m"),)),
    "hold-fields": ("tidewater", (press("Enter", SCREW),)),
    "hold-raw-factors": ("tidewater", (press("Enter", ".board.hold .plot .axisname"),)),
    "new-design": ("tidewater", (new_design,)),
    "seal": ("tidewater", (turn("seal"),)),
    "seal-faults": ("first_sketch", (turn("seal"),)),
    "loads": ("tidewater", (turn("loads"),)),
    "loads-trace": ("tidewater", (turn("loads"), trace)),
}  # fmt: skip
PARTNER = "with-partner"
PHONE = ViewportSize(width=390, height=860)
PAPER = {"sheet": sheet.pdf, "bench-form": sheet.bench_form}
LOOKS = list(itertools.product((DESK, TABLET), (False, True)))
ELSEWHERE = ("hold", "hold-faults", "hold-fields", "seal", "loads")  # at every size, day and night


def take(browser: Browser, url: str, name: str, size: ViewportSize, night: bool) -> None:
    """One state at one size, by day or night."""
    page = browser.new_page(
        viewport=size, color_scheme="dark" if night else "light", reduced_motion="reduce"
    )
    page.goto(url)
    page.locator(".ladder .rung").first.wait_for()
    page.wait_for_timeout(1500)
    for act in STATES[name][1]:
        act(page)
        page.wait_for_timeout(900)
    mark = ("-tablet" if size is TABLET else "") + ("-night" if night else "")
    path = OUT / f"{name}{mark}.png"
    page.screenshot(path=path)
    page.close()
    with Image.open(path) as picture:  # a third of the size, to the eye the same
        _flattened(picture.convert("RGB")).save(path, optimize=True)


def partner(browser: Browser, folder: Path) -> None:
    """The owner's page with the panel open, and beside it a partner's telephone that follows."""
    server = started(folder, str(DEMOS / "tidewater.toml"), "--as-saved", "--share-address",
                     "127.0.0.2")  # fmt: skip
    try:
        owner, phone = (
            browser.new_page(viewport=size, color_scheme="light", reduced_motion="reduce")
            for size in (DESK, PHONE)
        )
        owner.goto(server.url)
        owner.locator(".ladder .rung").first.wait_for()
        owner.locator(".bar .name").click()
        owner.get_by_role("menuitem", name="Share with a partner…").click()
        owner.get_by_role("button", name="Start sharing").click()
        phone.goto(owner.locator("aside.leaf .link").inner_text())
        phone.locator(".ladder .rung").first.wait_for()
        slide(0, 12)(owner)
        owner.wait_for_timeout(1500)
        phone.evaluate("scrollTo(0, 0)")
        shots = [Image.open(io.BytesIO(page.screenshot())) for page in (owner, phone)]
    finally:
        server.end()
    gap, (wide, tall) = 40, DESK.values()
    picture = Image.new("RGB", (wide + PHONE["width"] + 3 * gap, tall + 2 * gap), "#d8d1c1")
    picture.paste(shots[0], (gap, gap))
    picture.paste(shots[1], (wide + 2 * gap, gap + (tall - PHONE["height"]) // 2))
    _flattened(picture).save(OUT / f"{PARTNER}.png", optimize=True)


def _flattened(picture: Image.Image) -> Image.Image:
    """The picture in its own 256 commonest colours: flat areas keep theirs exactly."""
    commonest = sorted(picture.getcolors(2**24) or [], reverse=True)[:256]
    palette = Image.new("P", (1, 1))
    palette.putpalette([part for _, colour in commonest for part in colour])
    return picture.quantize(palette=palette, dither=Image.Dither.NONE)


def paper(name: str) -> None:
    """The first page of a PDF, by Poppler: three times as fine and reduced, or hairlines swell."""
    design = file.load(DEMOS / "tidewater.toml").design
    with tempfile.TemporaryDirectory() as folder:
        made = Path(folder) / "made.pdf"
        made.write_bytes(PAPER[name](design))
        subprocess.run(["pdftoppm", "-r", "300", "-gray", "-png", "-singlefile", made,
                        made.with_suffix("")], check=True, stderr=subprocess.DEVNULL)  # fmt: skip
        with Image.open(made.with_suffix(".png")) as page:
            small = page.reduce(3)
            small.quantize(32).save(OUT / f"{name}.png", optimize=True)


def main() -> None:
    """Take them all, or those named."""
    wanted = sys.argv[1:] or [*STATES, *PAPER, PARTNER]
    OUT.mkdir(exist_ok=True)
    for name in PAPER.keys() & set(wanted):
        paper(name)
    alongside = PARTNER in wanted
    wanted = [name for name in wanted if name in STATES]
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as play:
        browser = play.chromium.launch(executable_path=chromium_path(), args=["--no-sandbox"])
        for design in dict.fromkeys(STATES[name][0] for name in wanted):
            server = started(Path(folder), str(DEMOS / f"{design}.toml"), "--as-saved")
            try:
                for name in (n for n in wanted if STATES[n][0] == design):
                    for size, night in LOOKS if name in ELSEWHERE else LOOKS[:1]:
                        take(browser, server.url, name, size, night)
            finally:
                server.end()
        if alongside:
            partner(browser, Path(folder))
        browser.close()


if __name__ == "__main__":
    main()
