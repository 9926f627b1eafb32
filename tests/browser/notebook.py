"""The notebook as its user sees and handles it, and what it ought to show of a design."""

import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import attrs
from playwright.sync_api import Locator, Page
from playwright.sync_api import TimeoutError as TooLate

from hobbyclosure import Assessment, Design, study, words
from hobbyclosure.assess import CLOSE
from hobbyclosure.graph import CHECKS
from hobbyclosure.units import from_si

PATHS = ("case.wall", "screw.count", study.MEOP)
WALL, COUNT, MEOP = range(3)
LEFT, RIGHT = 26, 150  # px beside every plot's axis
PATIENCE = 15.0
OTHER_END = "other end"
PRESSURE = {"metric": ("MPa", 1), "inch": ("psi", 0)}
LENGTH = {"metric": ("mm", 3), "inch": ("inch", 4)}


@attrs.frozen
class Notebook:
    """One tab."""

    page: Page

    @classmethod
    def opened(cls, page: Page, url: str) -> "Notebook":
        """The tab, once everything is drawn and nothing is under way."""
        page.goto(url)
        return cls(page).drawn()

    def reloaded(self) -> "Notebook":
        """The same tab after F5."""
        self.page.reload()
        return self.drawn()

    def drawn(self) -> "Notebook":
        """The tab, once everything is drawn and nothing is under way."""
        ready = "document.documentElement.dataset.seq && Bokeh.documents[0].is_idle"
        self.page.wait_for_function(ready)
        self.page.wait_for_function("probe.fits()")
        return self

    # ---- reading

    def read(self) -> dict[str, Any]:
        """Everything the page says."""
        return self.page.evaluate("probe.page()")

    def plot(self, i: int) -> dict[str, Any]:
        """What one plot says."""
        return self.read()["plots"][i]

    def slot(self, i: int) -> dict[str, Any]:
        """The message above a plot."""
        return self.plot(i)["slot"]

    @property
    def leaf(self) -> Locator:
        """The one panel that opens."""
        return self.page.locator("aside.leaf:not([hidden])")

    def find(self, selector: str) -> Locator:
        """Something on the page."""
        return self.page.locator(selector)

    def of(self, i: int, selector: str) -> Locator:
        """Something of one plot."""
        return self.page.locator("section.plot").nth(i).locator(selector)

    # ---- waiting

    def wait(self, condition: str, arg: Any = None) -> None:
        """Wait for something to be true in the page."""
        self.page.wait_for_function(condition, arg=arg)

    def wait_past(self, seq: int, seconds: float = PATIENCE) -> None:
        """Wait until the page has been drawn anew."""
        self.page.wait_for_function(
            "(seq) => Number(document.documentElement.dataset.seq) > seq",
            arg=seq, timeout=max(seconds, 0.001) * 1000,
        )  # fmt: skip

    @contextmanager
    def redrawn(self) -> Iterator[None]:
        """What is done inside must make the page draw itself anew."""
        seq = self.read()["seq"]
        yield
        self.wait_past(seq)

    def shows(self, design: Design, system: str = "metric") -> dict[str, Any]:
        """Wait until the page says what the library says of a design; return what it says."""
        deadline, a = time.monotonic() + PATIENCE, Assessment(design)
        while faults := disagreement(found := self.read(), a, system):
            try:
                self.wait_past(found["seq"], deadline - time.monotonic())
            except TooLate:
                raise AssertionError("\n".join(faults)) from None
        return found

    # ---- doing

    def place(self, i: int) -> tuple[float, float]:
        """Where a hand takes the handle of a plot, in px."""
        box = self.of(i, ".grab").bounding_box()
        assert box
        return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2

    def far(self, i: int, value: float) -> float:
        """Px from a plot's value now to another one."""
        now, width = self.plot(i), self.width(i)
        per_unit = (width - LEFT - RIGHT) / (now["high"] - now["low"])
        return (value - now["value"]) * per_unit

    def width(self, i: int) -> float:
        """Width of a plot, in px."""
        box = self.of(i, ".chart").bounding_box()
        assert box
        return box["width"]

    @contextmanager
    def dragging(self, i: int, to: float, moves: int = 6) -> Iterator[None]:
        """Drag a handle with the mouse; inside, it is still held."""
        (x, y), far = self.place(i), self.far(i, to)
        self.page.mouse.move(x, y)
        self.page.mouse.down()
        self.page.mouse.move(x + far, y, steps=moves)
        yield
        self.page.mouse.up()

    def drag(self, i: int, to: float, moves: int = 6) -> float:
        """Drag a handle to a value, let go, and return where it stands: a step or a stock size."""
        with self.dragging(i, to, moves):
            text = self.plot(i)["handle"]
        return self.page.wait_for_function(
            """([i, text]) => {
                const {handle, value} = probe.page().plots[i];
                return handle === text && Math.abs(value - Number(text)) < 0.001 && [value];
            }""",
            arg=[i, text],
        ).json_value()[0]

    def type(self, i: int, text: str, key: str = "Enter") -> None:
        """Double-tap a handle and type."""
        self.of(i, ".grab").dblclick()
        field = self.find(".typed")
        field.fill(text)
        field.press(key)

    def undone(self, design: Design) -> None:
        """Take back what was done, which the page has still to hear of, to a design."""
        self.find(".undo:enabled").wait_for()
        while self.find(".undo").is_enabled():
            with self.redrawn():
                self.find(".undo").click()
        self.shows(design)

    def resize(self, width: int, height: int) -> None:
        """Give the window another size; what follows it in the browser has followed."""
        self.page.set_viewport_size({"width": width, "height": height})
        self.page.evaluate("""() => new Promise((done) => {
            const frame = (left) => requestAnimationFrame(() => left ? frame(left - 1) : done());
            frame(3);
        })""")

    def open_file(self, name: str, content: str | bytes) -> None:
        """Pick a file to open."""
        data = content.encode() if isinstance(content, str) else content
        chosen = {"name": name, "mimeType": "text/plain", "buffer": data}
        self.find("header input[type=file]").set_input_files(chosen)

    def menu(self, label: str) -> None:
        """Pick an entry of the menu under the design's name."""
        self.find(".bar .name").click()
        self.find(".menu").get_by_role("menuitem", name=label, exact=True).click()


def disagreement(found: dict[str, Any], a: Assessment, system: str = "metric") -> list[str]:
    """Where a page differs from the library's assessment of a design."""
    design, said = a.design, words.warnings(a, system)
    pairs = [
        ("name", found["name"], design.name),
        ("verdict", found["verdict"], str(words.verdict(a, system))),
        ("ladder", [rung[::2] for rung in found["ladder"]], ladder(a, system)),
        ("outcomes", [rung[1] for rung in found["ladder"] if rung[0] != OTHER_END], outcomes(a)),
        ("end view", found["pictures"][1][0], f"{design['screw.count'].now:.0f} screws"),
    ]
    for path, plot in zip(PATHS, found["plots"], strict=True):
        value, decimals = number(a, path, system)
        pairs += [
            (f"{path} value", round(plot["value"], 5), round(value, 5)),
            (f"{path} handle", is_text_of(plot["handle"], value, decimals), True),
            (f"{path} lines", [name for name, _ in plot["now"]], lines(a)),
            (f"{path} warning", warned(plot["slot"]), warning(said, path, system)),
        ]
        pairs += [
            (f"{path} {name}", shown, f"about {ratio:.4f}")
            for (name, shown), ratio in zip(plot["now"], lowest(a).values(), strict=False)
            if (shown == "< 0") != (ratio < 0)
            or (ratio >= 0 and abs(float(shown) - ratio) > 0.0051)
        ]
    return [f"{what}: page {one!r}, library {two!r}" for what, one, two in pairs if one != two]


def number(a: Assessment, path: str, system: str) -> tuple[float, int]:
    """Value of a slider in the reader's unit, and how many decimals it is shown with."""
    unit, decimals, base = {
        PATHS[WALL]: (*LENGTH[system], "m"),
        PATHS[COUNT]: ("", 0, ""),
        PATHS[MEOP]: (*PRESSURE[system], "Pa"),
    }[path]
    return float(from_si(study.now(a, path), unit, base)), decimals


def is_text_of(text: str, value: float, decimals: int) -> bool:
    """Whether a handle's text is the value rounded (a tie may go either way)."""
    near = abs(float(text) - value) <= 0.5 * 10.0**-decimals + 1e-7
    return near and len(text.partition(".")[2]) == decimals


def lowest(a: Assessment) -> dict[str, float]:
    """The five lowest checks by id."""
    return five({id: ratio for id, ratio in a.ratios.items() if ratio == ratio})


def five(ratios: dict[str, float]) -> dict[str, float]:
    """The five lowest; a rule of geometry counts only when it is hardly kept, or is not."""
    told = [id for id, ratio in ratios.items() if CHECKS[id].basis or ratio < CLOSE]
    return {id: ratios[id] for id in sorted(told, key=lambda id: ratios[id])[:5]}


def lines(a: Assessment) -> list[str]:
    """Names of the five lines that are coloured."""
    return [CHECKS[id].brief for id in lowest(a)]


def ladder(a: Assessment, system: str) -> list[list[str]]:
    """Name and pressure of the first six rungs."""
    out = []
    for rung in study.ladder(a)[:6]:
        shown = float(from_si(rung.pressure, PRESSURE[system][0], "Pa"))
        psi = f"{shown:.0f}" if shown < 999.5 else f"{10 * round(shown / 10)}"
        text = f"{shown:.1f}" if system == "metric" else psi
        weak = rung.check and a.evidence(rung.check) == "weak"
        text = f"≈{text}" if weak else text
        out.append([rung.check.label if rung.check else OTHER_END, text])
    return out


def outcomes(a: Assessment) -> list[str]:
    """What each of them looks like, the other end's apart."""
    return [rung.check.outcome for rung in study.ladder(a)[:6] if rung.check]


def warning(said: list[words.Warning], path: str, system: str) -> tuple[str, str]:
    """Gravest sentence that belongs beside a plot, and the name of its remedy."""
    here = [w for w in said if w.slot == path and w.level != "know"]
    if not here:
        return "", ""
    worst = min(here, key=lambda w: ("stop", "look").index(w.level))
    remedy = worst.remedy
    return worst.text, words.field_value(remedy.path, remedy.value, system) if remedy else ""


def warned(slot: dict[str, Any]) -> tuple[str, str]:
    """The same, as the page has it."""
    return (slot["text"], slot["fix"]) if slot["warns"] else ("", "")
