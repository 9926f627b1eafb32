"""A pressure–time trace: its samples, its figures, and what a design keeps of it.

Nothing is smoothed: the peak is the largest sample. Pressure is gauge, as given.
"""

import re
from collections.abc import Sequence
from functools import cached_property
from itertools import pairwise

import attrs
import numpy as np
from numpy.typing import NDArray

from hobbyclosure.units import PRESSURE, parse, quoted

Array = NDArray[np.float64]
LOW, HIGH = 0.1, 0.9  # of the peak: where rise and burn begin and end

WORDS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")


@attrs.frozen(eq=False, slots=False)
class Trace:
    """Samples of one run in s and Pa, the rows passed over, and the figures read from them.

    `top` is where its file has the peak, and as what: line, and number with unit.
    """

    name: str
    t: Array
    p: Array
    fingerprint: str
    remarks: tuple[str, ...] = ()
    top: tuple[str, str] = ("", "")

    @property
    def rows(self) -> int:
        """How many rows were kept."""
        return len(self.t)

    @cached_property
    def peak(self) -> float:
        """Largest sample, Pa."""
        return float(np.max(self.p))

    @cached_property
    def rise(self) -> tuple[float, float]:
        """When pressure first passes 10 % and 90 % of the peak, s; nan where it begins above."""
        return self._up(LOW * self.peak), self._up(HIGH * self.peak)

    @property
    def rise_time(self) -> float:
        """From 10 % to 90 % of the peak, s; nan when the trace begins above 10 %."""
        start, end = self.rise
        return end - start

    @cached_property
    def burn(self) -> tuple[float, float]:
        """When pressure first rises above 10 % of the peak and last falls below it, s."""
        return self.rise[0], self._down(LOW * self.peak)

    @property
    def burn_time(self) -> float:
        """From 10 % to 10 % of the peak, s; nan when the trace does not show both ends."""
        start, end = self.burn
        return end - start

    def _up(self, level: float) -> float:
        i = int(np.argmax(self.p >= level))
        return np.nan if i == 0 else _between(self.t, self.p, i, level)

    def _down(self, level: float) -> float:
        after = len(self.p) - int(np.argmax(self.p[::-1] >= level))
        return np.nan if after == len(self.p) else _between(self.t, self.p, after, level)

    def outline(self, points: int) -> tuple[Array, Array]:
        """A shorter trace for drawing that still goes through every least and largest sample."""
        if self.rows <= 2 * points:
            return self.t, self.p
        edges = np.linspace(0, self.rows, points + 1).astype(int)
        picked = {0, self.rows - 1}
        for a, b in pairwise(edges.tolist()):
            picked |= {a + int(np.argmin(self.p[a:b])), a + int(np.argmax(self.p[a:b]))}
        at = np.array(sorted(picked))
        return self.t[at], self.p[at]


def _between(t: Array, p: Array, i: int, level: float) -> float:
    """When the line from sample i - 1 to i passes a level."""
    share = (level - p[i - 1]) / (p[i] - p[i - 1])
    return float(t[i - 1] + share * (t[i] - t[i - 1]))


@attrs.frozen
class Run:
    """What a design keeps of a trace: its file and figures, SI, not its samples.

    The peak is rounded up to the next kPa, the times to a millisecond; None was not to be read.
    """

    file: str
    rows: int
    peak: float
    rise: float | None = None
    burn: float | None = None
    fingerprint: str = ""


def run(trace: Trace) -> Run:
    """What a design keeps of a trace."""
    rise, burn = (
        None if np.isnan(x) else round(float(x), 3) for x in (trace.rise_time, trace.burn_time)
    )
    kpa = np.ceil(trace.peak / 1e3 - 1e-6)
    peak = parse(f"{kpa / 1e3:.3f} MPa", PRESSURE)  # the very number that a file gives back
    return Run(trace.name, trace.rows, peak, rise, burn, trace.fingerprint)


def scatter(peaks: Sequence[float]) -> float:
    """Largest peak of several runs over their mean, less one; nan for a single run."""
    return max(peaks) / (sum(peaks) / len(peaks)) - 1 if len(peaks) > 1 else np.nan


def scatter_of(runs: Sequence[Run]) -> float:
    """The same from what a design keeps, rounded up to a tenth of a per cent."""
    shown = scatter([r.peak for r in runs])
    return float(np.ceil(1e3 * shown - 1e-6)) / 1e3


def named(runs: Sequence[Run]) -> str:
    """Runs in words: "trace a.csv, 4 812 rows", "the highest of three traces, a.csv"."""
    top = max(runs, key=lambda r: r.peak)
    if len(runs) == 1:
        return f"trace {top.file}, {grouped(top.rows)} rows"
    return f"the highest of {count(len(runs))} traces, {top.file}"


def count(number: int) -> str:
    """A number in words up to nine, with thin groups beyond a thousand: "three", "4 811"."""
    return WORDS[number] if number < len(WORDS) else grouped(number)


def grouped(number: int) -> str:
    """A whole number with its thousands apart."""
    return f"{number:,}".replace(",", " ")


def plain_name(name: str) -> str:
    """The last part of a file's name on one printable line of at most 60 characters."""
    return quoted(re.split(r"[/\\]", name)[-1], 60)[1:-1] or "trace"
