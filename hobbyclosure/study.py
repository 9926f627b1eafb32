"""Studies of a design: sweeps, where it meets, what lets go first, remedies.

Each substitutes arrays into the inputs and runs the very code that assesses one design.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import lru_cache
from typing import Any

import attrs
import numpy as np
from numpy.typing import NDArray

from hobbyclosure import data
from hobbyclosure.assess import (
    ABSENT,
    CLOSE,
    Assessment,
    ratios_of,
    result,
    results,
    substituted,
    succeeding,
)
from hobbyclosure.design import Design, DesignError
from hobbyclosure.fields import FIELDS, Field
from hobbyclosure.graph import CHECKS, Check
from hobbyclosure.units import COUNT, LENGTH

OTHER_END = "case.other_end_holds"
MEOP = "loads.meop_given"
Array = NDArray[np.float64]


def moved(values: Mapping[str, Any], path: str, to: Any) -> dict[str, Any]:
    """Inputs with one field moved to a value or an array of them.

    A wall that holds the outside diameter takes the bore along.
    """
    return {**values, **_moves(values, path, to)}


def _moves(values: Mapping[str, Any], path: str, to: Any) -> dict[str, Any]:
    out = {FIELDS[path].name: to}
    if path == "case.wall" and values["case_wall_holds"] == "outside":
        out["case_bore"] = values["case_bore"] + 2 * (values["case_wall"] - to)
    return out


def changes(design: Design, path: str, to: float) -> dict[str, Any]:
    """The fields that `moved` moves, as changes of the design."""
    out: dict[str, Any] = {path: to}
    if path == "case.wall" and design["case.wall_holds"].value == "outside":
        bore, wall = design["case.bore"].now, design["case.wall"].now
        out["case.bore"] = float(bore) + 2 * (float(wall) - to)  # type: ignore[arg-type]
    return out


def takes_along(design: Design, path: str, key: str) -> dict[str, float]:
    """What a choice from a list takes along: a thread its clearance hole, SI.

    The hole keeps its fit; one of no fit stays unless the screw would not go through.
    """
    new = data.THREADS.get(key) if path == "screw.thread" else None
    if new is None:
        return {}
    old, hole = data.THREADS[str(design[path].value)], float(design["screw.clearance_hole"].now)  # type: ignore[arg-type]
    fit = next((fit for fit, size in old.holes.items() if abs(size - hole) < 1e-6), None)
    if new is old or (fit is None and hole >= new.d):
        return {}
    return {"screw.clearance_hole": new.holes[fit or "close"]}


def now(assessment: Assessment, path: str) -> float:
    """Today's SI value of a field; MEOP as stated or as built from the peak."""
    name = "loads_meop" if path == MEOP else FIELDS[path].name
    return float(assessment.values[name])


def sweep(values: Mapping[str, Any], path: str, grid: Array) -> dict[str, Array]:
    """Factor over required of every check along a field, by check id.

    Endless (inf) where a check does not apply.
    """
    swept = results(moved(values, path, grid))
    return {r.check.id: np.broadcast_to(r.ratio, grid.shape) for r in swept}


def swept(assessment: Assessment, path: str, grid: Array) -> dict[str, Array]:
    """The same for a design that is assessed: what the field does not touch is not done again."""
    values, touched = substituted(assessment, _moves(assessment.inputs, path, grid))
    found = assessment.results
    still = {id: found[id].ratio for id in CHECKS if id not in touched}
    rows = ratios_of([CHECKS[id] for id in touched], values, grid.shape)
    along = dict(zip(touched, rows, strict=True))
    return {id: along[id] if id in along else np.full(grid.shape, still[id]) for id in CHECKS}


def ranked(*assessments: Assessment, looks: bool = False) -> list[Check]:
    """The checks by what each comes to at worst in any of some designs, the lowest first.

    Those that decide, with `looks` those that are no more than a look, too. One that decides and
    has no answer comes before all. A rule of geometry that is kept well says nothing about
    pressure: it is passed over.
    """
    worst: dict[Check, float] = {}
    for a in assessments:
        for check in CHECKS.values():
            ratio, decides = a.ratios[check.id], check.gravest == "stop"
            if not (decides or looks):
                continue
            if np.isnan(ratio):
                if not decides or a.states[check.id] == ABSENT:
                    continue
                ratio = -np.inf
            if check.basis or ratio < CLOSE:
                worst[check] = min(ratio, worst.get(check, np.inf))
    return sorted(worst, key=worst.__getitem__)


def worst_map(values: Mapping[str, Any], x: str, xs: Array, y: str, ys: Array) -> Array:
    """Lowest factor over required of what counts on a grid of two fields, shape (ys, xs).

    nan where a check has no answer.
    """
    return np.min([r for _, r in _mapped(values, x, xs, y, ys)], axis=0)


def governing_map(
    values: Mapping[str, Any], x: str, xs: Array, y: str, ys: Array
) -> tuple[Array, list[Check], NDArray[np.intp]]:
    """The same with the checks that count and, for each place, which is lowest or has no answer.

    A rule of geometry that is kept well is passed over, as in the plots.
    """
    checks, ratios = zip(*_mapped(values, x, xs, y, ys), strict=True)
    ranked = np.stack([
        r if check.basis else np.where(r >= CLOSE, np.inf, r)
        for check, r in zip(checks, ratios, strict=True)
    ])  # fmt: skip
    return np.min(ranked, axis=0), list(checks), np.argmin(ranked, axis=0)


def _mapped(
    values: Mapping[str, Any], x: str, xs: Array, y: str, ys: Array
) -> list[tuple[Check, Array]]:
    """Each check that counts with its factor over required on the grid."""
    both = moved(moved(values, x, xs[None, :]), y, ys[:, None])
    found = [r for r in results(both) if r.check.gravest == "stop"]
    return [(r.check, np.broadcast_to(r.ratio, (len(ys), len(xs)))) for r in found]


def counted(swept: Mapping[str, Array]) -> list[Array]:
    """The lines of a sweep that decide whether the design meets."""
    return [ratio for id, ratio in swept.items() if CHECKS[id].gravest == "stop"]


def meets(
    grid: Array, ratios: Sequence[Array], anew: Callable[[Array], Sequence[Array]] | None = None
) -> list[tuple[float, float]]:
    """Intervals of the grid where every ratio is at least 1.

    Ends come by straight interpolation. Where the lowest ratio leaps or has no answer, as at a step
    of the extrusion chart, `anew` gives the ratios of a finer grid: the end is its last that meets.
    """
    worst = _lowest(ratios)
    inside = worst >= 1
    edges = np.flatnonzero(np.diff(inside.astype(int)))

    def end(i: int) -> float:
        good, bad = (i, i + 1) if inside[i] else (i + 1, i)
        a, b = worst[good], worst[bad]
        if anew is not None and (b < 0 or _leaps(worst, good, bad)):
            fine = np.linspace(grid[good], grid[bad], FINER)
            return float(fine[np.flatnonzero(_lowest(anew(fine)) < 1)[0] - 1])
        if b < 0:
            return float(grid[good])
        return float(grid[good] + (grid[bad] - grid[good]) * (a - 1) / (a - b))

    ends = [end(int(i)) for i in edges]
    if inside[0]:
        ends.insert(0, float(grid[0]))
    if inside[-1]:
        ends.append(float(grid[-1]))
    return list(zip(ends[::2], ends[1::2], strict=True))


def holding(grid: Array, value: float) -> Array:
    """The grid with a value among its points: what meets there lies inside what `meets` finds."""
    return np.union1d(grid, [value]) if grid[0] <= value <= grid[-1] else grid


FINER = 129  # points between two of a grid, where a line leaps
LEAP = 0.03  # how far a line may be from straight between two of a grid


def _lowest(ratios: Sequence[Array]) -> Array:
    return np.nan_to_num(np.array(ratios), nan=-1.0, posinf=9.0).min(axis=0)


def _leaps(worst: Array, good: int, bad: int) -> bool:
    """Whether the lowest line falls further to `bad` than it fell on its way to `good`."""
    before = 2 * good - bad
    fell = worst[before] - worst[good] if 0 <= before < len(worst) else 0.0
    return bool(worst[good] - worst[bad] > max(fell, 0.0) + LEAP)


def whole_meets(grid: Array, ratios: Sequence[Array]) -> list[tuple[float, float]]:
    """The same over whole numbers: first and last of each run that meets."""
    worst = np.nan_to_num(np.array(ratios), nan=-1.0).min(axis=0)
    runs = np.split(np.arange(len(grid)), np.flatnonzero(np.diff((worst >= 1).astype(int))) + 1)
    return [(float(grid[r[0]]), float(grid[r[-1]])) for r in runs if worst[r[0]] >= 1]


@attrs.frozen
class Rung:
    """A way to let go: its check (None for the other end), the pressure, and what is wanted."""

    check: Check | None
    pressure: float
    wanted: float | None
    state: str
    either: bool = False


NEAR = 1.15  # rungs closer than this cannot be told apart


@lru_cache(maxsize=8)
def ladder(assessment: Assessment) -> tuple[Rung, ...]:
    """Every check with an outcome by the pressure at which its factor is 1, lowest first."""
    rungs = [_rung(assessment, check, p) for check, p in letting_go(assessment).items()]
    other, proof = (float(assessment.values[n]) for n in (FIELDS[OTHER_END].name, "loads_proof"))
    if not np.isnan(other):
        wanted = float(assessment.values["loads_meop"]) if np.isnan(proof) else proof
        early = other < wanted
        rungs.append(Rung(None, other, wanted if early else None, "short" if early else "wish"))
    rungs.sort(key=lambda r: np.inf if np.isnan(r.pressure) else r.pressure)
    out: list[Rung] = []
    for r in rungs:
        near = bool(out) and r.pressure < NEAR * out[-1].pressure
        out.append(attrs.evolve(r, either=near))
    return tuple(out)


def first(rungs: Sequence[Rung]) -> Rung | None:
    """What lets go first at this end, of what has an answer."""
    return next((r for r in rungs if r.check and not np.isnan(r.pressure)), None)


def _rung(assessment: Assessment, check: Check, pressure: float) -> Rung:
    """A check's rung. Where a chart steps, one that meets at MEOP may let go before its wanted."""
    wanted = float(assessment.results[check.id].required * assessment.values["loads_meop"])
    state = "short" if pressure < wanted else assessment.states[check.id]
    return Rung(check, pressure, wanted, state)


def letting_go(assessment: Assessment) -> dict[Check, float]:
    """Pressure at which each outcome's factor is 1; nan where there is no answer."""
    outcomes = [c for c in CHECKS.values() if c.outcome]
    told = [c for c in outcomes if all(assessment.values[name] > 0 for name in c.applies)]
    known = assessment.lets_go
    known |= _letting_go(assessment, [c for c in told if c.id not in known])
    return {c: known[c.id] for c in told}


def _letting_go(assessment: Assessment, told: list[Check]) -> dict[str, float]:
    """The same of some checks, by id.

    A coarse grid from 1 Pa to 1000 GPa, once a finer one, then straight in logarithms.
    """
    if not told:
        return {}
    pick, steps = np.arange(len(told)), np.linspace(0, 1, 31)
    low, high = np.full(len(told), 1.0), np.full(len(told), 1e12)
    f0 = f1 = np.ones(len(told))
    for _ in range(2):
        grid = low[:, None] * (high / low)[:, None] ** steps
        factor = _factors(told, assessment, grid)
        at = np.clip(np.argmax(~(factor >= 1), axis=1), 1, len(steps) - 1)
        low, high = grid[pick, at - 1], grid[pick, at]
        f0, f1 = factor[pick, at - 1], factor[pick, at]
    stepped = [i for i, c in enumerate(told) if c.told]  # these jump where their chart steps
    if stepped:
        pick, some = np.arange(len(stepped)), [told[i] for i in stepped]
        grid = low[stepped, None] * (high / low)[stepped, None] ** steps
        factor = _factors(some, assessment, grid)
        at = np.clip(np.argmax(~(factor >= 1), axis=1), 1, len(steps) - 1)
        low[stepped], high[stepped] = grid[pick, at - 1], grid[pick, at]
        f0[stepped], f1[stepped] = factor[pick, at - 1], factor[pick, at]
    with np.errstate(invalid="ignore", divide="ignore"):
        share = np.where(f0 > f1, np.log(f0) / np.log(f0 / f1), 0.5 + 0 * f0 + 0 * f1)
    pressure = low * (high / low) ** np.clip(share, 0, 1)
    return {c.id: float(p) for c, p in zip(told, pressure, strict=True)}


def _factors(told: list[Check], assessment: Assessment, meop: Array) -> Array:
    """Factor of each check along its own row of pressures."""
    values, _ = substituted(assessment, {"loads_meop": meop, "loads_meop_given": meop})
    demand, capacity = np.empty(meop.shape), np.empty(meop.shape)
    for i, check in enumerate(told):
        d, c = values.demand_and_capacity(check)
        demand[i] = d[i] if np.ndim(d) == 2 else d
        capacity[i] = c[i] if np.ndim(c) == 2 else c
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.divide(capacity, demand)


@attrs.frozen
class Remedy:
    """A field moved so that a check meets: the value (SI), and the checks it cures and spoils."""

    path: str
    value: float
    cures: frozenset[str]
    spoils: frozenset[str]

    @property
    def fixes(self) -> int:
        """How many stops it clears."""
        return sum(CHECKS[id].gravest == "stop" for id in self.cures)

    @property
    def breaks(self) -> int:
        """How many stops it makes."""
        return sum(CHECKS[id].gravest == "stop" for id in self.spoils)


def remedies(assessment: Assessment, check: Check, system: str = "metric") -> Iterator[Remedy]:
    """Ways to make a short check meet, in the check's own order of preference.

    Values are such as readers of that system would choose. A MEOP lowered below peak, hot day and
    scatter is none: it would silence checks and change no metal. Nor is what no longer goes in.
    """
    built, meop = (float(assessment.values[f"loads_{n}"]) for n in ("built_up", "meop"))
    told = False
    for farther in (False, True):  # than a builder likes to go: only where nothing else helps
        for path in check.remedy if not told else ():
            for value in _meeting_values(assessment, check, FIELDS[path], system, farther):
                if path == MEOP and value < min(built, meop):
                    continue
                found = effect(assessment, path, value)
                # Moving a measured dimension drops its reading, so its tolerance changes too.
                if found is not None and check.id in found.cures and not SLIPS & found.spoils:
                    told = True
                    yield found
                    break


@lru_cache(maxsize=64)
def remedy(assessment: Assessment, check: Check, system: str = "metric") -> Remedy | None:
    """The first remedy that breaks nothing; less pressure only if no other does more good."""
    found: list[Remedy] = []
    for r in remedies(assessment, check, system):
        if not r.breaks and r.path != MEOP:
            return r
        found.append(r)
    helping = [r for r in found if r.fixes > r.breaks and r.path != MEOP]
    helping.sort(key=lambda r: r.breaks - r.fixes)
    last = [r for r in found if r.path == MEOP] + found
    return next(iter(helping + last), None)


@lru_cache(maxsize=512)
def effect(assessment: Assessment, path: str, value: float) -> Remedy | None:
    """What moving a field to a value fixes and breaks; None when the geometry does not allow it."""
    try:
        design = assessment.design.evolved(changes(assessment.design, path, value))
    except DesignError:
        return None
    before, after = (
        {id for id, state in a.states.items() if state in ("short", "no answer")}
        for a in (assessment, succeeding(assessment, design))
    )
    return Remedy(path, value, frozenset(before - after), frozenset(after - before))


def _meeting_values(
    assessment: Assessment, check: Check, field: Field, system: str, farther: bool
) -> list[float]:
    """Values of a field at which the check meets, nearest first, each a number one can make."""
    today = now(assessment, field.path)
    options = stocked(field, system)
    if options is None:
        options = makeable(field, _crossing(assessment, check, field, today), system)
    near, far = field.range if farther else reach(field, today)
    options = options[(options >= near) & (options <= far)]
    ratio = _ratio(assessment, check, field.path, options)
    good = options[ratio >= 1]
    return [float(x) for x in good[np.argsort(np.abs(good - today))][:3]]


def reach(field: Field, today: float) -> tuple[float, float]:
    """How far a builder would go from today's value: a length half to twice, a small one more."""
    if field.kind is not LENGTH or np.isnan(today):
        return field.range
    return min(today / 2, today - SMALL), max(today * 2, today + SMALL)


SLIPS = frozenset({"closure.slip", "closure.nose_slip"})
SMALL = 1e-3  # m; edges, corners and clearances are cut to any size


def _ratio(assessment: Assessment, check: Check, path: str, grid: Array) -> Array:
    values, _ = substituted(assessment, _moves(assessment.inputs, path, grid))
    return np.broadcast_to(result(check, values).ratio, grid.shape)


def _crossing(assessment: Assessment, check: Check, field: Field, today: float) -> float:
    """Where the check begins to meet, nearest to today's value; nan where it never turns."""
    low, high = field.range
    grid = np.linspace(low, high, 201)
    if not np.isnan(today):  # what meets may be a slip of hundredths beside today's value
        near = np.clip(today * np.linspace(0.97, 1.03, 121), low, high)
        grid = np.union1d(grid, near)
    for _ in range(2):
        meets_there = _ratio(assessment, check, field.path, grid) >= 1
        turns = np.flatnonzero(np.diff(meets_there.astype(int)))
        if not turns.size:
            return np.nan
        mid = (grid[turns] + grid[turns + 1]) / 2
        i = turns[np.argmin(np.abs(mid - today))]
        grid = np.linspace(grid[i], grid[i + 1], 201)
    return float(grid[100])


STEPS = {  # m and Pa that readers of each system round to
    ("metric", "length"): 1e-4, ("inch", "length"): 1.27e-4,
    ("metric", "pressure"): 1e5, ("inch", "pressure"): 10 * 6894.757293168361,
}  # fmt: skip
FINE = ("case.hole_chamfer", "closure.clearance", "closure.nose_diameter")  # told in hundredths


def stocked(field: Field, system: str) -> Array | None:
    """The values there are of a field that comes in sizes or is counted; None for any other."""
    low, high = field.range
    if field.kind is COUNT:
        return np.arange(low, high + 1)
    if field.path == "case.wall":
        options = np.array(sorted({tube.wall for tube in data.TUBES}))
    elif field.path == "screw.length":
        options = np.array(data.SCREW_LENGTHS[system])
    elif field.path.endswith(".durometer"):
        options = np.array([70.0, 80.0, 90.0])
    else:
        return None
    return options[(options >= low) & (options <= high)]


def makeable(field: Field, about: float, system: str) -> Array:
    """Round numbers near a value, such as a person would choose; none near nan."""
    if np.isnan(about):
        return np.array([])
    assert field.kind is not None
    step = STEPS.get((system, field.kind.name), 1e-2)
    step /= 5 if field.path in FINE else 2 if field.path.endswith("groove_diameter") else 1
    options = (np.round(about / step) + np.arange(-2, 3)) * step
    low, high = field.range
    return options[(options >= low) & (options <= high)]
