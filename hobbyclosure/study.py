"""Studies of a design: sweeps, where it meets, what lets go first, remedies, scatter.

Each substitutes arrays into the inputs and runs the very code that assesses one design.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

import attrs
import numpy as np
from numpy.typing import NDArray

from hobbyclosure import data
from hobbyclosure.assess import Assessment, result, results
from hobbyclosure.design import Design, DesignError
from hobbyclosure.fields import FIELDS, Field
from hobbyclosure.graph import CHECKS, Check, Values
from hobbyclosure.units import COUNT, LENGTH, PRESSURE

MEOP = "loads.meop_given"
CHUNK = 2**14  # scatter goes through in pieces that stay in cache
Array = NDArray[np.float64]


def moved(values: Mapping[str, Any], path: str, to: Any) -> dict[str, Any]:
    """Inputs with one field moved to a value or an array of them.

    A wall that holds the outside diameter takes the bore along.
    """
    out = dict(values) | {FIELDS[path].name: to}
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


def now(assessment: Assessment, path: str) -> float:
    """Today's SI value of a field; MEOP as stated or as built from the peak."""
    name = "loads_meop" if path == MEOP else FIELDS[path].name
    return float(assessment.values[name])


def sweep(values: Mapping[str, Any], path: str, grid: Array) -> dict[str, Array]:
    """Factor over required of every check along a field, by check id."""
    swept = results(moved(values, path, grid))
    return {r.check.id: np.broadcast_to(r.ratio, grid.shape) for r in swept}


def meets(grid: Array, ratios: Sequence[Array]) -> list[tuple[float, float]]:
    """Intervals of the grid where every ratio is at least 1, ends by straight interpolation."""
    worst = np.min([np.nan_to_num(r, nan=-1.0, posinf=9.0) for r in ratios], axis=0)
    inside = worst >= 1
    edges = np.flatnonzero(np.diff(inside.astype(int)))

    def end(i: Any) -> float:
        a, b = worst[i], worst[i + 1]
        return float(grid[i] + (grid[i + 1] - grid[i]) * (1 - a) / (b - a))

    ends = [end(i) if min(worst[i], worst[i + 1]) >= 0 else float(grid[i + (not inside[i])])
            for i in edges]  # fmt: skip
    if inside[0]:
        ends.insert(0, float(grid[0]))
    if inside[-1]:
        ends.append(float(grid[-1]))
    return list(zip(ends[::2], ends[1::2], strict=True))


def whole_meets(grid: Array, ratios: Sequence[Array]) -> list[tuple[float, float]]:
    """The same over whole numbers: first and last of each run that meets."""
    worst = np.min([np.nan_to_num(r, nan=-1.0) for r in ratios], axis=0)
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


def ladder(assessment: Assessment) -> list[Rung]:
    """Every check with an outcome by the pressure at which its factor is 1, lowest first."""
    rungs = [
        Rung(check, p, _wanted(assessment, check), assessment.states[check.id])
        for check, p in letting_go(assessment.inputs).items()
    ]
    other = float(assessment.values["case_other_end_holds"])
    if not np.isnan(other):
        rungs.append(Rung(None, other, None, "wish"))
    rungs.sort(key=lambda r: np.inf if np.isnan(r.pressure) else r.pressure)
    out: list[Rung] = []
    for r in rungs:
        near = bool(out) and bool(r.check) and bool(out[-1].check)
        out.append(attrs.evolve(r, either=near and r.pressure < NEAR * out[-1].pressure))
    return out


def _wanted(assessment: Assessment, check: Check) -> float:
    return float(assessment.results[check.id].required * assessment.values["loads_meop"])


def letting_go(values: Mapping[str, Any]) -> dict[Check, float]:
    """Pressure at which each outcome's factor is 1; nan where there is no answer.

    A coarse grid from 0.01 to 1000 MPa, twice a finer one, then straight in logarithms.
    """
    told = [c for c in CHECKS.values() if c.outcome]
    pick, steps = np.arange(len(told)), np.linspace(0, 1, 41)
    low, high = np.full(len(told), 1e4), np.full(len(told), 1e9)
    f0 = f1 = np.ones(len(told))
    for _ in range(3):
        grid = low[:, None] * (high / low)[:, None] ** steps
        factor = _factors(told, values, grid)
        at = np.clip(np.argmax(~(factor >= 1), axis=1), 1, len(steps) - 1)
        low, high = grid[pick, at - 1], grid[pick, at]
        f0, f1 = factor[pick, at - 1], factor[pick, at]
    with np.errstate(invalid="ignore", divide="ignore"):
        share = np.where(f0 > f1, np.log(f0) / np.log(f0 / f1), 0.5)
    pressure = low * (high / low) ** np.clip(share, 0, 1)
    return {c: float(p) for c, p in zip(told, pressure, strict=True)}


def _factors(told: list[Check], values: Mapping[str, Any], meop: Array) -> Array:
    """Factor of each check along its own row of pressures."""
    shared = Values({**values, "loads_meop": meop, "loads_meop_given": meop})
    rows = [np.broadcast_to(result(c, shared).factor, meop.shape)[i] for i, c in enumerate(told)]
    return np.stack(rows)


@attrs.frozen
class Remedy:
    """A field moved so that a check meets: the value (SI), and what that fixes and breaks."""

    path: str
    value: float
    fixes: int
    breaks: int


def remedies(assessment: Assessment, check: Check) -> Iterator[Remedy]:
    """Ways to make a short check meet, in the check's own order of preference."""
    for path in check.remedy:
        field = FIELDS[path]
        for value in _meeting_values(assessment, check, field):
            if (found := effect(assessment, path, value)) is not None:
                yield found
                break


def remedy(assessment: Assessment, check: Check) -> Remedy | None:
    """The first remedy that breaks nothing, else the one that breaks least."""
    found: list[Remedy] = []
    for candidate in remedies(assessment, check):
        if not candidate.breaks:
            return candidate
        found.append(candidate)
    return min(found, key=lambda r: r.breaks, default=None)


def effect(assessment: Assessment, path: str, value: float) -> Remedy | None:
    """What moving a field to a value fixes and breaks; None when the geometry does not allow it."""
    try:
        changed = Assessment(assessment.design.evolved(changes(assessment.design, path, value)))
    except DesignError:
        return None
    before, after = assessment.states, changed.states
    bad = {"short", "no answer"}
    fixes = sum(before[i] in bad and after[i] not in bad for i in before)
    breaks = sum(before[i] not in bad and after[i] in bad for i in before)
    return Remedy(path, value, fixes, breaks)


def _meeting_values(assessment: Assessment, check: Check, field: Field) -> list[float]:
    """Values of a field at which the check meets, nearest first, each a number one can make."""
    low, high = field.range
    today = now(assessment, field.path)
    if field.kind is COUNT:
        options = np.arange(low, high + 1)
    else:
        options = _coarse_then_fine(assessment, check, field, today)
    ratio = _ratio(assessment, check, field.path, options)
    good = options[ratio >= 1]
    return [float(x) for x in good[np.argsort(np.abs(good - today))][:3]]


def _ratio(assessment: Assessment, check: Check, path: str, grid: Array) -> Array:
    values = Values(moved(assessment.inputs, path, grid))
    return np.broadcast_to(result(check, values).ratio, grid.shape)


def _coarse_then_fine(assessment: Assessment, check: Check, field: Field, today: float) -> Array:
    """Makeable values around the crossing nearest today's value."""
    low, high = field.range
    grid = np.linspace(low, high, 201)
    for _ in range(2):
        meets_there = _ratio(assessment, check, field.path, grid) >= 1
        turns = np.flatnonzero(np.diff(meets_there.astype(int)))
        if not turns.size:
            return np.array([])
        mid = (grid[turns] + grid[turns + 1]) / 2
        i = turns[np.argmin(np.abs(mid - today))]
        grid = np.linspace(grid[i], grid[i + 1], 201)
    return makeable(field, float(grid[100]), low, high)


def makeable(field: Field, about: float, low: float, high: float) -> Array:
    """Values near one that a person would choose: stock walls, tenths of a millimetre or MPa."""
    if field.path == "case.wall":
        options = np.array(sorted({tube.wall for tube in data.TUBES}))
    else:
        step = {LENGTH.name: 1e-4, PRESSURE.name: 1e5}.get(field.kind.name if field.kind else "")
        step = 5e-5 if field.path in ("case.hole_chamfer", "closure.clearance") else step or 1e-2
        options = (np.round(about / step) + np.arange(-2, 3)) * step
    return options[(options >= low) & (options <= high)]


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
            count = np.sum(ratio < 1) if ratio.ndim else float(ratio < 1) * min(CHUNK, size)
            short[r.check.id] += float(count)

    scatter(values, draws, keep)
    return {id: count / size for id, count in short.items()}
