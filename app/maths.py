"""Formulas for the browser: Typst maths to MathML, offline and without scripts."""

import html
import re
from collections.abc import Sequence
from functools import lru_cache

import typst

_MATH = re.compile(r"<math.*?</math>", re.DOTALL)


def mathml(formulas: Sequence[str]) -> list[str]:
    """MathML of each formula; all in one compilation."""
    return list(_compiled(tuple(formulas)))


@lru_cache(maxsize=512)
def _compiled(formulas: tuple[str, ...]) -> tuple[str, ...]:
    if not formulas:
        return ()
    source = "\n\n".join(f"$ {formula} $" for formula in formulas)
    try:
        page, _ = typst.compile_with_warnings(
            source.encode(), format="html", ignore_system_fonts=True
        )
    except typst.TypstError:
        page = b""
    found = _MATH.findall((page or b"").decode())
    if len(found) != len(formulas):  # never lose the working for the sake of its looks
        return tuple(f"<code>{html.escape(formula)}</code>" for formula in formulas)
    return tuple(found)
