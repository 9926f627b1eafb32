"""The rails of the fields: a range round the value, stock sizes, and where the design meets."""

from typing import Any

import attrs
import numpy as np
from numpy.typing import NDArray

from app.session import Shown
from app.views.axis import nice, tube_walls
from app.views.told import Scene
from hobbyclosure import data, study
from hobbyclosure.design import Design, DesignError, inputs
from hobbyclosure.fields import FIELDS, Field
from hobbyclosure.units import ANGLE, COUNT, LENGTH, PRESSURE, TEMPERATURE, from_si, trimmed

POINTS, CLOSER = 31, 9  # along a rail, and again beside the value: what meets may be narrow
WIDE = 0.03  # m; a larger diameter or length moves by less of itself
HALVINGS = 7  # of the way from a value that can be made to one that cannot
Span = tuple[float, float]


@attrs.frozen(eq=False)
class Rail:
    """One rail; its numbers are in the reader's unit, stock sizes and grid in SI."""

    field: Field
    system: str
    low: float
    high: float
    step: float
    stock: list[tuple[float, str]]

    def shown(self, value: float) -> float:
        """An SI value in the rail's unit."""
        assert self.field.kind is not None
        return float(from_si(value, self.field.shown(self.system).unit, self.field.kind.si))

    def si(self, shown: float) -> float:
        """A place on the rail in SI; a stock size is exact, not rounded."""
        for size, _ in self.stock:
            if abs(self.shown(size) - shown) < 1e-6 * self.step:
                return size
        zero, unity = self.shown(0.0), self.shown(1.0)
        low, high = self.field.range
        return min(max((shown - zero) / (unity - zero), low), high)

    @property
    def whole(self) -> bool:
        """Whether the field counts things."""
        return self.field.kind is COUNT

    def grid(self, value: float) -> NDArray[np.float64]:
        """Places along the rail, closer together round a value, in SI."""
        if self.whole:
            return np.arange(self.low, self.high + 1)
        coarse = np.linspace(self.si(self.low), self.si(self.high), POINTS)
        near = value + (coarse[1] - coarse[0]) * np.linspace(-1, 1, CLOSER)
        return np.unique([*coarse, *near[(near > coarse[0]) & (near < coarse[-1])]])

    def holds(self, value: float) -> bool:
        """Whether an SI value lies on the rail."""
        return self.low - 1e-9 <= self.shown(value) <= self.high + 1e-9

    def room(self, value: float) -> bool:
        """Whether the rail goes on to both sides of a value, as far as the field does."""
        least, most = map(self.shown, self.field.range)
        at, margin = self.shown(value), self.step / 2
        return (at > self.low + margin or self.low <= least + margin) and (
            at < self.high - margin or self.high >= most - margin
        )

    def frame(self) -> dict[str, Any]:
        """What a browser needs to draw it."""
        return {
            "lo": self.low, "hi": self.high, "step": self.step, "whole": self.whole,
            "decimals": self.field.shown(self.system).decimals,
            "stock": [[round(self.shown(size), 9), label] for size, label in self.stock],
        }  # fmt: skip


def rail(scene: Scene, path: str) -> Rail:
    """A rail round today's value; the three fields of the plots have the range of their axes."""
    field, system = FIELDS[path], scene.system
    bare = Rail(field, system, 0.0, 0.0, 1.0, [])
    least, most = (round(bare.shown(x), 9) for x in field.range)
    if path in scene.axes:
        axis = scene.axes[path]
        low, high, step = axis.low, axis.high, axis.step
    else:
        low, high, step = _range(field, bare, around(scene, path), least, most)
    if path == "screw.clearance_hole":  # no hole is smaller than its screw
        at, d = (
            bare.shown(float(scene.shown.assessment.values[n])) for n in (field.name, "screw_d")
        )
        low, high = min(d, at), max(round(1.4 * d, 3), at)
    own = attrs.evolve(bare, low=max(low, least), high=min(high, most), step=step)
    sizes = [(size, label) for size, label in stock(scene.shown, path, system) if own.holds(size)]
    return attrs.evolve(own, stock=sizes)


def around(scene: Scene, path: str) -> float:
    """Today's SI value, or where the thumb of a field that states nothing waits."""
    value = study.now(scene.shown.assessment, path)
    if not np.isnan(value):
        return value
    field = FIELDS[path]
    if field.kind is not PRESSURE:
        low, high = field.range
        return low + (high - low) / 5
    first = next((r.pressure for r in scene.shown.ladder), np.nan)
    return float(scene.shown.assessment.values["loads_meop"]) if np.isnan(first) else first


def _range(field: Field, bare: Rail, value: float, least: float, most: float) -> tuple[float, ...]:
    at = bare.shown(value)
    if field.kind is COUNT:
        few = most - least <= 20
        return (least, most, 1.0) if few else (at - 8, at + 10, 1.0)
    if field.kind is ANGLE:
        return least, most, 0.5
    if field.kind is TEMPERATURE:
        reach = 200.0 if bare.system == "inch" else 100.0
        middle = round(at / 10) * 10
        return middle - reach, middle + reach, 1.0
    wide = field.kind is LENGTH and value > WIDE
    usual = bare.shown(Design()[field.path].value or value)  # type: ignore[arg-type]
    size = max(abs(at), usual / 4)
    major = nice(size / 8)
    low = np.floor((0.7 if wide else 0.4) * at / major) * major
    high = np.ceil((1.3 if wide else 1.8) * size / major) * major
    finest = 10.0 ** -field.shown(bare.system).decimals
    coarsest = {"mm": 0.1, "in": 0.005}.get(field.shown(bare.system).label, np.inf)
    step = min(max(nice(size / 200), finest), coarsest)
    return round(float(low), 9), round(float(high), 9), float(step)


def stock(shown: Shown, path: str, system: str) -> list[tuple[float, str]]:
    """Sizes of a field that can be bought or drilled, SI, and what they are called."""
    design = shown.design
    thread = data.THREADS[str(design["screw.thread"].value)]
    if path == "case.wall":
        return [(wall, f"{label}, stock") for wall, label in tube_walls(design, system)]
    if path == "screw.length":
        series = "inch" if thread.series == "unified" else "metric"
        unit = FIELDS[path].shown(series)
        return [
            (x, f"{trimmed(float(from_si(x, unit.unit, 'm')), unit.decimals)} {unit.label}, stock")
            for x in data.SCREW_LENGTHS[series]
        ]
    if path == "screw.clearance_hole":
        return [(size, f"{fit} fit for {thread.id}") for fit, size in thread.holes.items()]
    if path == "closure.centre_hole":
        series = "unified" if system == "inch" else "metric"
        found = {t.d: f"{t.id} thread" for t in data.THREADS.values() if t.series == series}
        return list(found.items())
    if path == study.MEOP:
        return [(float(shown.assessment.values["loads_peak"]), "expected peak")]
    return []


def meets(design: Design, path: str, along: Rail) -> list[Span]:
    """Where the whole design meets, and can be made, with one field moved along its rail.

    A measured field is moved as the nominal it would become.
    """
    bare = _unmeasured(design, path)
    values = inputs(bare)
    today = float(values[FIELDS[path].name])
    middle = (along.si(along.low) + along.si(along.high)) / 2
    grid = along.grid(middle if np.isnan(today) else today)

    def lines(places: NDArray[np.float64]) -> list[NDArray[np.float64]]:
        return study.counted(study.sweep(values, path, places))

    spans = (
        study.whole_meets(grid, lines(grid))
        if along.whole
        else study.meets(grid, lines(grid), lines)
    )
    if not spans:
        return []
    low, high = _makeable(bare, path, grid)
    cut = [(max(a, low), min(b, high)) for a, b in spans]
    return [(a, b) for a, b in cut if a <= b]


def _unmeasured(design: Design, path: str) -> Design:
    entry = design[path]
    if entry.measured is None:
        return design
    nominal = attrs.evolve(entry, value=entry.now, measured=None, accuracy=None)
    return attrs.evolve(design, entries={**design.entries, path: nominal})


def _makeable(design: Design, path: str, grid: NDArray[np.float64]) -> Span:
    """How far a field goes either way before something collides."""
    now = design[path].now
    start = float(grid[len(grid) // 2]) if now is None else float(now)

    def can(value: float) -> bool:
        try:
            design.evolved(study.changes(design, path, value))
        except DesignError:
            return False
        return True

    def reach(end: float) -> float:
        if can(end):
            return end
        good, bad = start, end
        whole = FIELDS[path].kind is COUNT
        for _ in range(HALVINGS):
            middle = (good + bad) / 2
            middle = float(np.round(middle)) if whole else middle
            good, bad = (middle, bad) if can(middle) else (good, middle)
        return good

    return reach(float(grid[0])), reach(float(grid[-1]))


class Rails:
    """The rails in use: each stays as it is until its value leaves it, or its words change."""

    def __init__(self) -> None:
        self._rails: dict[str, tuple[Any, Rail]] = {}
        self._spans: dict[str, tuple[Shown, Rail, list[Span]]] = {}
        self.seen: frozenset[str] = frozenset()  # paths of the rows in sight

    def rail(self, scene: Scene, path: str) -> Rail:
        """The rail of a field; while a hand is on one, none moves."""
        design, value = scene.shown.design, around(scene, path)
        key = (scene.system, design["screw.thread"].value, scene.axes.get(path))
        was, old = self._rails.get(path, (None, None))
        roomy = scene.held or path in scene.axes or (old and old.room(value))
        stays = old and was == key and old.holds(value) and roomy
        if not (old and stays):
            old = rail(scene, path)
            self._rails[path] = (key, old)
        return old

    def spans(self, scene: Scene, path: str) -> list[Span]:
        """Where the design meets along a rail; found anew only for rows in sight, hands off."""
        along = self.rail(scene, path)
        was = self._spans.get(path)
        fresh = was and was[0] is scene.shown and was[1] is along
        if was and (fresh or scene.held):
            return was[2]
        if scene.held or path not in self.seen:
            return []
        found = meets(scene.shown.design, path, along)
        self._spans[path] = (scene.shown, along, found)
        return found
