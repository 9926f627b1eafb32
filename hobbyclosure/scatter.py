"""Many scattered designs through every check, in chunks that stay in the processor's cache."""

from collections.abc import Callable, Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from hobbyclosure.assess import results
from hobbyclosure.graph import CHECKS

Array = NDArray[np.float64]
CHUNK = 2**14  # scatter goes through in pieces that stay in cache


def scatter(
    values: Mapping[str, Any], draws: Mapping[str, Array], keep: Callable[[list], None]
) -> None:
    """Many designs through every check, in chunks: `keep` gets each chunk's results in turn."""
    size = len(next(iter(draws.values())))
    for start in range(0, size, CHUNK):
        chunk = {name: x[start : start + CHUNK] for name, x in draws.items()}
        keep(results({**values, **chunk}))


def share_short(values: Mapping[str, Any], draws: Mapping[str, Array]) -> dict[str, float]:
    """Share of scattered designs in which each check is short, by check id."""
    size = len(next(iter(draws.values())))
    short = dict.fromkeys(CHECKS, 0.0)

    def keep(chunk: list) -> None:
        for r in chunk:
            ratio = np.asarray(r.ratio)
            if ratio.ndim:
                short[r.check.id] += float(np.sum(ratio < 1))
            else:  # nothing it depends on is scattered
                short[r.check.id] = size * float(ratio < 1)

    scatter(values, draws, keep)
    return {id: count / size for id, count in short.items()}
