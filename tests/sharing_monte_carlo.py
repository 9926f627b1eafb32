"""Make hobbyclosure/data/sharing.csv: python tests/sharing_monte_carlo.py (a minute or two)."""

from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri

TRIALS, SEED, DUCTILITY, EXCEEDED = 20_000, 20_240, 3.0, 0.05
SIGMA = [*(x / 10 for x in range(21)), 2.25, 2.5, 3, 3.5, 4]  # σ/δ_y
CLEARANCE = [0, 2, 2.5, *(x / 2 for x in range(6, 17)), 9, 10, 11, 12, 14, 16, 20, 24, 32, 40]
SCREWS = [*range(2, 25), 26, 28, 30, 32, 36, 40, 44, 48]
TARGET = Path(__file__).parent.parent / "hobbyclosure" / "data" / "sharing.csv"
HEAD = """\
# Worst over mean screw load k, exceeded in 5 % of joints; columns are n, rounded up to 0.01.
# Source: own Monte Carlo, tests/sharing_monte_carlo.py; model in hobbyclosure/physics/sharing.py.
"""


def worst_over_mean(gap: NDArray[np.float64]) -> NDArray[np.float64]:
    """K of each joint (row) from its gaps in units of δ_y, when its first screw fails."""
    late = gap - gap.min(axis=-1, keepdims=True)
    return 1 / np.clip(DUCTILITY - late, 0, 1).mean(axis=-1)


def gaps(sigma: float, c: float, chance: NDArray[np.float64]) -> NDArray[np.float64]:
    """Gaps c/2 + error, the error normal and cut off at ± c/2, from evenly spread chances."""
    if sigma == 0 or c == 0:
        return np.full(chance.shape, c / 2)
    low = ndtr(-c / 2 / sigma)
    return c / 2 + sigma * ndtri(low + chance * (1 - 2 * low))


def simulated(
    sigma: float, c: float, screws: list[int], chance: NDArray[np.float64]
) -> list[float]:
    """K exceeded by one joint in twenty, for each number of screws."""
    gap = gaps(sigma, c, chance)
    return [float(np.quantile(worst_over_mean(gap[:, :n]), 1 - EXCEEDED)) for n in screws]


def table() -> NDArray[np.float64]:
    """K over SIGMA, CLEARANCE and SCREWS; noise never lets it fall with σ or c."""
    chance = np.random.default_rng(SEED).random((TRIALS, max(SCREWS)))
    k = np.array([[simulated(s, c, SCREWS, chance) for c in CLEARANCE] for s in SIGMA])
    return np.maximum.accumulate(np.maximum.accumulate(k, axis=0), axis=1)


def main() -> None:
    """Write the table, every k rounded up."""
    k = np.ceil(table() * 100 - 1e-9) / 100
    lines = [",".join(["sigma_over_delta_y", "c_over_delta_y", *map(str, SCREWS)])]
    for i, s in enumerate(SIGMA):
        lines += [
            ",".join([f"{s:g}", f"{c:g}", *(f"{x:.2f}" for x in k[i, j])])
            for j, c in enumerate(CLEARANCE)
        ]
    TARGET.write_text(HEAD + "\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
