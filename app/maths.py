"""Formulas for the browser: Typst maths to MathML, offline and without scripts."""

import html
import re
from collections.abc import Sequence
from functools import cache, lru_cache

import typst

_MATH = re.compile(r"<math.*?</math>", re.DOTALL)
# A number, or one with its unit: set by Typst as <mn> or <mtext>, however long it is.
_VALUE = re.compile(r'"(\d+(?:\.\d+)?|[^"]*\u2009[^"]*)"')
_STAND_IN = re.compile(r"\ue000(\d+)\ue000|(?<![-−])\b99(\d{5})\b")


def mathml(formulas: Sequence[str]) -> list[str]:
    """MathML of each formula; all in one compilation.

    Values are put in afterwards: on a move they alone differ, and compiling takes milliseconds.
    """
    values: list[str] = []

    def hidden(found: re.Match[str]) -> str:
        values.append(found[1])
        n = len(values) - 1
        return f'"{9_900_000 + n}"' if "\u2009" not in found[1] else f'"\ue000{n}\ue000"'

    def shown(found: re.Match[str]) -> str:
        return html.escape(values[int(found[1] or found[2])], quote=False)

    made = _compiled(tuple(_VALUE.sub(hidden, formula) for formula in formulas))
    return [_STAND_IN.sub(shown, text) for text in made]


@cache
def _faces() -> typst.Fonts:
    return typst.Fonts(include_system_fonts=False)


@lru_cache(maxsize=512)
def _compiled(formulas: tuple[str, ...]) -> tuple[str, ...]:
    if not formulas:
        return ()
    source = "\n\n".join(f"$ {formula} $" for formula in formulas)
    try:
        page, _ = typst.compile_with_warnings(source.encode(), format="html", font_paths=_faces())
    except typst.TypstError:
        page = b""
    found = _MATH.findall((page or b"").decode())
    if len(found) != len(formulas):  # never lose the working for the sake of its looks
        return tuple(f"<code>{html.escape(formula)}</code>" for formula in formulas)
    return tuple(found)
