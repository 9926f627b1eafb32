"""How the sheets write a length where a calliper or a gauge is held beside it."""

import numpy as np

from hobbyclosure.units import from_si


def size(value: float, system: str, more: int = 0) -> str:
    """A length without its unit, to 1 µm in mm (a last nought left out) or 0.0001 in.

    With so many digits more.
    """
    if np.isnan(value):
        return "no answer"
    if system == "inch":
        return f"{float(from_si(value, 'inch', 'm')):.{4 + more}f}"
    return f"{1e3 * value:.{3 + more}f}".removesuffix("0")
