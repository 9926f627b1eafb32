"""Samples, and the Markdown table in which each measure stands beside the floor of its run."""

from collections.abc import Sequence

import attrs
import numpy as np


@attrs.frozen
class Samples:
    """Runs of one measure: the median over runs of each run's median and of its 95th percentile.

    One disturbed run then moves neither.
    """

    runs: Sequence[Sequence[float]]

    @property
    def median(self) -> float:
        """Median of the runs' medians."""
        return float(np.median([np.median(run) for run in self.runs]))

    @property
    def p95(self) -> float:
        """Median of the runs' 95th percentiles."""
        return float(np.median([np.percentile(run, 95) for run in self.runs]))


@attrs.frozen
class Row:
    """One line of the table; the floor is what the machine asks for the same with nothing in it."""

    measure: str
    found: Samples
    floor: Samples | None = None
    floor_name: str = ""
    unit: str = "ms"
    target: str = ""
    note: str = ""

    def cells(self) -> list[str]:
        """The line's cells as text."""
        found = [number(self.found.median), number(self.found.p95)]
        floor, ratios = ["", ""], ["", ""]
        if self.floor is not None:
            floor = [number(self.floor.median), number(self.floor.p95)]
            ratios = [
                f"**{self.found.median / self.floor.median:.2f}**",
                f"{self.found.p95 / self.floor.p95:.2f}",
            ]
        return [self.measure, self.unit, *found, self.floor_name, *floor, *ratios, self.target,
                self.note]  # fmt: skip


def number(value: float) -> str:
    """Three significant digits."""
    return f"{value:.3g}" if value < 1000 else f"{value:.0f}"


HEAD = (
    "measure", "unit", "median", "p95", "floor", "its median", "its p95", "ratio", "ratio p95",
    "wanted", "note",
)  # fmt: skip


def table(rows: Sequence[Row]) -> str:
    """Rows as a Markdown table."""
    lines = [HEAD, ["---"] * len(HEAD), *(row.cells() for row in rows)]
    return "\n".join(f"| {' | '.join(line)} |" for line in lines)
