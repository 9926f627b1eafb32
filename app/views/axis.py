"""The axes of the factor plots, which are also sliders: range, ticks, steps and stock sizes."""

from collections.abc import Callable
from typing import Any

import attrs
import numpy as np
from numpy.typing import NDArray

from hobbyclosure import data, study
from hobbyclosure.assess import Assessment
from hobbyclosure.design import Design
from hobbyclosure.fields import FIELDS, Field
from hobbyclosure.units import COUNT, Shown, from_si, nudged, trimmed

POINTS = 121
SHORT = {"low": 0, "high": 1, "text": "short"}
# How tall a plot is and what is marked on it; with raw factors every line has its own requirement.
OVER_REQUIRED = {
    "yhi": 2.5, "yticks": [0, 1, 2], "zones": [SHORT], "reqs": [1], "places": 2,
    "said": " of what is wanted",
}  # fmt: skip
RAW = OVER_REQUIRED | {"yhi": 5, "yticks": [0, 1, 2, 3, 4, 5], "zones": [], "reqs": []}


@attrs.frozen(eq=False)
class Axis:
    """One slider axis in the reader's unit; `grid` holds its points in SI."""

    path: str
    title: str
    detail: str
    low: float
    high: float
    step: float
    key: float
    ticks: list[float]
    minor: list[float]
    stock: list[tuple[float, str]]
    unit: Shown
    grid: NDArray[np.float64]

    @property
    def shown_grid(self) -> NDArray[np.float64]:
        """The grid in the axis' unit."""
        return np.asarray(from_si(self.grid, self.unit.unit, self._si))

    @property
    def field(self) -> Field:
        """The field that the axis moves."""
        return FIELDS[self.path]

    @property
    def whole(self) -> bool:
        """Whether the field counts things."""
        return self.field.kind is COUNT

    def shown(self, value: float) -> float:
        """An SI value in the axis' unit."""
        return float(from_si(value, self.unit.unit, self._si))

    def si(self, shown: float) -> float:
        """A value of the axis in SI."""
        one = float(from_si(1.0, self.unit.unit, self._si))
        for tube_shown, _ in self.stock:  # a snapped stock size is exact, not rounded
            if abs(shown - tube_shown) < 1e-9:
                return tube_shown / one
        return shown / one

    @property
    def _si(self) -> str:
        assert self.field.kind is not None
        return self.field.kind.si

    def text(self, value: float) -> str:
        """An SI value as the handle shows it."""
        return f"{nudged(self.shown(value)):.{self.unit.decimals}f}"

    def holds(self, value: float) -> bool:
        """Whether an SI value lies on the axis."""
        return self.low - 1e-9 <= self.shown(value) <= self.high + 1e-9

    def frame(self, first: bool, raw: bool = False) -> dict[str, Any]:
        """What of the plot stays on a move."""
        return {
            "field": self.path, "title": self.title, "detail": self.detail,
            "axis": "factor" if raw else "factor ÷ required", "first": first, "raw": raw,
            "lo": self.low, "hi": self.high, "step": self.step, "key": self.key,
            "xs": np.round(self.shown_grid, 5).tolist(),
            "whole": self.whole,
            "decimals": self.unit.decimals, "unit": "" if self.whole else self.unit.label,
            "ticks": self.ticks, "minor": self.minor, "stock": self.stock, "walls": [],
            **(RAW if raw else OVER_REQUIRED),
        }  # fmt: skip


def nice(size: float) -> float:
    """The step 1, 2 or 5 times a power of ten next to a size."""
    power = 10.0 ** np.floor(np.log10(size))
    return float(power * min((1, 2, 5, 10), key=lambda m: abs(np.log(m * power / size))))


def major_step(minor: float) -> float:
    """The round step of the numbers over marks so far apart: four or five of them."""
    return nice(4.5 * minor)


def _steps(low: float, high: float, step: float) -> list[float]:
    first = np.ceil(low / step - 1e-9) * step
    return [round(float(x), 9) for x in np.arange(first, high + step * 1e-6, step)]


def _axis(
    path: str, title: str, detail: str, around: float, shown: Shown, stock: Callable[[float], Any],
    down: float, up: float, fine: float,
) -> Axis:  # fmt: skip
    field = FIELDS[path]
    assert field.kind is not None
    value = float(from_si(around, shown.unit, field.kind.si))
    least, most = (float(from_si(x, shown.unit, field.kind.si)) for x in field.range)
    minor = nice(value / 16)
    low = max(np.floor(down * value / minor) * minor, np.ceil(least / minor - 1e-9) * minor)
    high = min(np.ceil(up * value / minor) * minor, np.floor(most / minor + 1e-9) * minor)
    low, high = round(float(low), 9), round(float(high), 9)
    scale = 1 / float(from_si(1.0, shown.unit, field.kind.si))
    return Axis(
        path, title, detail, low, high, fine, minor / 4 if fine < minor / 4 else fine,
        _steps(low, high, major_step(minor)), _steps(low, high, minor),
        [(x, label) for x, label in stock(scale) if low <= x <= high],
        shown, np.linspace(low, high, POINTS) * scale,
    )  # fmt: skip


def wall_axis(design: Design, system: str) -> Axis:
    """Wall thickness, with the walls that tube of this bore is stocked in."""
    kind = FIELDS["case.wall"].kind
    assert kind is not None
    shown = kind.shown(system)
    holds = "bore held" if design["case.wall_holds"].value == "bore" else "outside held"

    def stock(scale: float) -> list[tuple[float, str]]:
        return [(wall / scale, label) for wall, label in tube_walls(design, system)]

    fine = 0.005 if system == "metric" else 0.0005
    around = float(design["case.wall"].now)  # type: ignore[arg-type]
    return _axis("case.wall", "Wall", f"{shown.label}, {holds}", around, shown, stock,
                 0.38, 1.63, fine)  # fmt: skip


def tube_walls(design: Design, system: str) -> list[tuple[float, str]]:
    """Walls that tube of this bore is stocked in, m, and what they are called.

    Inch walls for a reader in inches, and for a bore that comes in sixteenths.
    """
    sixteenths = float(design["case.bore"].now) / 25.4e-3 * 16  # type: ignore[arg-type]
    inch = system == "inch" or abs(sixteenths - round(sixteenths)) < 1e-4
    series = "inch" if inch else "metric"
    return sorted((t.wall, t.label) for t in data.TUBES if t.series == series)


def meop_axis(design: Design, system: str, meop: float, peak: float) -> Axis:
    """Maximum expected operating pressure, with the expected peak as its one mark."""
    kind = FIELDS[study.MEOP].kind
    assert kind is not None
    shown = attrs.evolve(kind.shown(system), decimals=1 if system == "metric" else 0)
    fine = 0.1 if system == "metric" else 10.0
    return _axis(study.MEOP, "MEOP", shown.label, meop, shown,
                 lambda scale: [(peak / scale, "peak")], 0.33, 1.94, fine)  # fmt: skip


def count_axis(design: Design) -> Axis:
    """Screws in a row."""
    field = FIELDS["screw.count"]
    assert field.kind is not None
    least, most = field.range
    count = float(design["screw.count"].now)  # type: ignore[arg-type]
    low, high = max(least, count - 8), min(most, count + 10)
    rows = "one row" if design["screw.rows"].now == 1 else "in each of two rows"
    grid = np.arange(low, high + 1)
    return Axis(
        "screw.count", "Screws", f"{design['screw.thread'].value}, {rows}", low, high, 1.0, 1.0,
        [x for x in grid.tolist() if x % 2 == 0], grid.tolist(), [], field.kind.metric, grid,
    )  # fmt: skip


def factor_axis(path: str, assessment: Assessment, system: str) -> Axis:
    """The axis of one of the three factor plots, around the value of today."""
    design = assessment.design
    if path == "case.wall":
        return wall_axis(design, system)
    if path == "screw.count":
        return count_axis(design)
    meop, peak = (float(assessment.values[f"loads_{n}"]) for n in ("meop", "peak"))
    return meop_axis(design, system, meop, peak)


def note(axis: Axis, value: float, peak: float) -> str:
    """The words beside a handle: stock name, spacing, or ratio to the expected peak."""
    if axis.path == "case.wall":
        at = axis.shown(value)
        label = next((label for wall, label in axis.stock if abs(wall - at) < 1e-6), None)
        return f"{label}, stock" if label else "not a stock size"
    if axis.path == "screw.count":
        return f"{trimmed(360 / value, 1)}° apart"
    return f"{value / peak:.2f} × peak"


def _between(
    path: str, title: str, detail: str, low: float, high: float, shown: Shown, fine: float
) -> Axis:
    """An axis from one SI value to another, with round ends."""
    field = FIELDS[path]
    assert field.kind is not None
    scale = 1 / float(from_si(1.0, shown.unit, field.kind.si))
    minor = nice((high - low) / scale / 20)
    a, b = np.floor(low / scale / minor) * minor, np.ceil(high / scale / minor) * minor
    a, b = round(max(float(a), 0.0), 9), round(float(b), 9)
    key = max(fine, nice(minor / 4))
    return Axis(path, title, detail, a, b, fine, key, _steps(a, b, major_step(minor)),
                _steps(a, b, minor), [], shown, np.linspace(a, b, POINTS) * scale)  # fmt: skip


def floor_axis(design: Design, system: str, path: str, floor: float, section: float) -> Axis:
    """Diameter of a groove's floor, as far as a third of the ring's section either way."""
    kind = FIELDS[path].kind
    assert kind is not None
    shown = kind.shown(system)
    fine = 0.005 if system == "metric" else 0.0005
    half = section / 3
    return _between(path, "Groove floor", f"{shown.label}, diameter", floor - half, floor + half,
                    shown, fine)  # fmt: skip


def clearance_axis(system: str, clearance: float) -> Axis:
    """Clearance of the closure in the bore, on the diameter."""
    path = "closure.clearance"
    kind = FIELDS[path].kind
    assert kind is not None
    shown = kind.shown(system)
    fine = 0.005 if system == "metric" else 0.0002
    return _between(path, "Clearance", f"{shown.label}, on diameter", 0.0,
                    max(3 * clearance, 3e-4), shown, fine)  # fmt: skip
