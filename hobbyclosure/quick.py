"""NumPy's maximum, minimum and where, of which one design's numbers take a tenth of the time.

The same function serves one design and a million: what is an array or bears a unit goes to NumPy.
Of plain numbers comes a NumPy float, as from NumPy itself, so that dividing by nothing raises
nothing. They are called by this module's name, and formulas are read as if they were NumPy's.
"""

from typing import Any

import numpy as np

_PLAIN = (float, int)


def maximum(a: Any, b: Any) -> Any:
    """The greater of two, nan if either is."""
    if isinstance(a, _PLAIN) and isinstance(b, _PLAIN):
        return np.float64(a if a > b or a != a else b)
    return np.maximum(a, b)


def minimum(a: Any, b: Any) -> Any:
    """The lesser of two, nan if either is."""
    if isinstance(a, _PLAIN) and isinstance(b, _PLAIN):
        return np.float64(a if a < b or a != a else b)
    return np.minimum(a, b)


def where(condition: Any, a: Any, b: Any) -> Any:
    """What holds where the condition does, and else the other; of one condition for all, as it is.

    Not spread over the other's shape, as NumPy would do it: what follows broadcasts.
    """
    if isinstance(condition, (bool, np.bool_)):
        found = a if condition else b
        return np.float64(found) if isinstance(found, _PLAIN) else found
    return np.where(condition, a, b)
