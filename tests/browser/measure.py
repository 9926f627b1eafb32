"""Measures of a page as it is seen: texts and their contrast, edges, targets."""

import io
import itertools
from typing import Any

import numpy as np
from PIL import Image

from tests.browser.notebook import Notebook

LEAST = 4.5  # WCAG 2.2, 1.4.3, contrast of text; from memory
TARGET = 44  # px, the look's own rule
PRIMARY = (
    ".bar button, .thumb button, .switch button, .verdict .keep, .grab, .fix, .swell input, "
    ".menu button"
)

Box = tuple[float, float, float, float]
Text = tuple[str, Box, str]


def texts(notebook: Notebook) -> list[Text]:
    """Every text in sight, the body of its letters, its colour."""
    out = []
    for text, left, top, right, bottom, colour in notebook.page.evaluate("probe.texts()"):
        air = 0.2 * (bottom - top)  # above and below the letters
        out.append((text, (left, top + air, right, bottom - air), colour))
    return out


def overlaps(found: list[Text]) -> list[tuple[str, str]]:
    """Texts whose letters touch."""
    return [
        (one, other)
        for (one, a, _), (other, b, _) in itertools.combinations(found, 2)
        if a[0] < b[2] - 1 and b[0] < a[2] - 1 and a[1] < b[3] - 1 and b[1] < a[3] - 1
    ]


def luminance(rgb: Any) -> float:
    """Relative luminance as WCAG 2 defines it; from memory."""
    c = np.asarray(rgb, float)[:3] / 255
    linear = np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4)
    return float(linear @ (0.2126, 0.7152, 0.0722))


def contrast(one: Any, other: Any) -> float:
    """Contrast of two colours, 1 to 21; WCAG 2, from memory."""
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def grounds(notebook: Notebook, found: list[Text]) -> list[tuple[int, ...]]:
    """What really lies behind each text: the commonest pixel of its box, its letters taken out."""
    clear = "* { color: transparent !important } svg text { fill: transparent !important }"
    notebook.page.evaluate("""(css) => {
        const add = (root) => {
            const style = document.createElement("style");
            style.className = "clear";
            style.textContent = css;
            (root.head ?? root).append(style);
            for (const {shadowRoot} of root.querySelectorAll("*")) if (shadowRoot) add(shadowRoot);
        };
        add(document);
    }""", clear)  # fmt: skip
    shot = notebook.page.screenshot(full_page=True, animations="disabled")
    notebook.page.evaluate("probe.all('style.clear').forEach((style) => style.remove())")
    red, green, blue = np.asarray(Image.open(io.BytesIO(shot)).convert("RGB")).T.astype(int)
    pixels = (red << 16 | green << 8 | blue).T
    out = []
    for _, (left, top, right, bottom), _ in found:
        box = pixels[round(top) : round(bottom) + 1, round(left) : round(right) + 1]
        colours, firsts, counts = np.unique(box, return_index=True, return_counts=True)
        likely = max(zip(counts, -firsts, colours, strict=True), default=(0, 0, 0))[2]
        out.append((int(likely) >> 16, int(likely) >> 8 & 255, int(likely) & 255))
    return out


def faint(notebook: Notebook, found: list[Text]) -> list[str]:
    """Texts with too little contrast."""
    out = []
    for (text, _, colour), ground in zip(found, grounds(notebook, found), strict=True):
        ink = [float(part) for part in colour.strip("rgba()").split(",")]
        ratio = contrast(ink, ground)
        if ratio < LEAST or (len(ink) > 3 and ink[3] < 1):
            out.append(f"{text!r}: {ratio:.2f}, {colour} on {ground}")
    return out


def outside(notebook: Notebook, found: list[Text]) -> list[str]:
    """Texts beyond the page's edges."""
    wide, tall = notebook.page.evaluate("[innerWidth, document.documentElement.scrollHeight]")
    return [t for t, b, _ in found if b[0] < 0 or b[2] > wide or b[1] < 0 or b[3] > tall]


def small(notebook: Notebook) -> list[str]:
    """Primary controls that a finger would miss."""
    return notebook.page.evaluate(
        """([which, least]) => probe.all(which).filter((node) => node.getClientRects().length
            && getComputedStyle(node).visibility === "visible")
          .map((node) => [node.className || node.textContent, node.getBoundingClientRect()])
          .filter(([, box]) => box.width < least - 0.5 || box.height < least - 0.5)
          .map(([name, box]) => `${name} ${box.width} ${box.height}`)""",
        [PRIMARY, TARGET],
    )


def sideways(notebook: Notebook) -> int:
    """Px that the page could be scrolled sideways."""
    return notebook.page.evaluate("document.documentElement.scrollWidth - innerWidth")


def covered(notebook: Notebook) -> list[str]:
    """What may be pressed but cannot be reached: something else lies over its middle."""
    return notebook.page.evaluate("""() => {
        const which = ".more, .fix, .say[role], .named, .rung, .axisname:enabled, nav button";
        return probe.all(which).filter(probe.shown).filter((node) => {
            node.scrollIntoView({block: "center"});
            const box = node.getBoundingClientRect();
            const [x, y] = [(box.left + box.right) / 2, (box.top + box.bottom) / 2];
            const hit = node.getRootNode().elementFromPoint(x, y);
            return !hit || !(node.contains(hit) || hit.contains(node));
        }).map((node) => node.className + " " + node.textContent);
    }""")
