"""The stair of the Loads page: from the peak to MEOP, and the factors that stand on it."""

import contextlib
import re
from collections.abc import Callable, Sequence
from functools import cache
from typing import Any

import attrs
import numpy as np
from numpy.typing import NDArray

from app.session import Shown
from app.views.axis import nice
from app.views.told import Scene, colour
from hobbyclosure import study, words
from hobbyclosure.assess import behind, results
from hobbyclosure.fields import FIELDS, Field
from hobbyclosure.graph import CHECKS, Check
from hobbyclosure.phrases import reached
from hobbyclosure.units import PRESSURE, from_si, trimmed

Span = tuple[float, float]
POINTS = 41  # along a rail
REACH = (0.15, 2.6)  # of MEOP or peak: how far the pressure is swept
APART = 0.06  # of the axis: how far apart two labels stand that are not one line
MEETS = ("meets", "close")
TIED = ("loads.yield_factor", "loads.bending_factor")  # one thumb as long as they are equal


@attrs.frozen
class Step:
    """A step of the stair: the field that makes it, its name, and the usual end of its rail."""

    id: str
    path: str
    name: str
    low: float
    high: float

    @property
    def field(self) -> Field:
        """The field its thumb moves."""
        return FIELDS[self.path]

    @property
    def share(self) -> bool:
        """Whether it adds a share, told in per cent, rather than multiplying."""
        return self.field.low.endswith("%")


STEPS = {
    step.id: step
    for step in (
        Step("peak", "loads.peak", "Expected peak", 0.4, 1.8),
        Step("meop", study.MEOP, "MEOP", 0.4, 1.8),
        Step("hot", "loads.hot_day", "Hot day", 0.0, 0.3),
        Step("scatter", "loads.scatter", "Batch scatter", 0.0, 0.3),
        Step("proof", "loads.proof_base", "Proof", 1.05, 1.8),
        Step("yield", "loads.yield_factor", "Yield", 1.0, 2.5),
        Step("ultimate", "loads.ultimate_factor", "Ultimate", 1.0, 3.0),
    )
}


def given(shown: Shown) -> bool:
    """Whether MEOP is stated rather than built up."""
    return not np.isnan(float(shown.assessment.values["loads_meop_given"]))


def tied(shown: Shown) -> bool:
    """Whether yield and screw bending are wanted alike, so that one thumb moves both."""
    yields, bending = (float(shown.assessment.values[FIELDS[p].name]) for p in TIED)
    return yields == bending


def levels(shown: Shown) -> dict[str, float]:
    """Every level of the stair, Pa."""
    v = shown.assessment.values
    peak, meop = float(v["loads_peak"]), float(v["loads_meop"])
    return {
        "peak": peak,
        "hot": peak * (1 + float(v["loads_hot_day"])),
        "scatter": float(v["loads_built_up"]),
        "meop": meop,
        "proof": float(v["loads_proof"]),
        "yield": meop * float(v["loads_yield_factor"]),
        "bending": meop * float(v["loads_bending_factor"]),
        "ultimate": meop * float(v["loads_ultimate_factor"]),
    }


def pressures(shown: Shown) -> list[Span]:
    """Which MEOP the whole design bears, Pa, whatever the expected peak; to inf without an end."""
    at = levels(shown)
    grid = np.linspace(*REACH, 2 * POINTS) * max(at["meop"], at["peak"])
    grid = study.holding(grid, at["meop"])

    def lines(along: NDArray[np.float64]) -> list[NDArray[np.float64]]:
        swept = study.swept(shown.assessment, study.MEOP, along)
        return study.counted({k: x for k, x in swept.items() if "loads_peak" not in CHECKS[k].args})

    spans = study.meets(grid, lines(grid), lines)
    most = FIELDS[study.MEOP].range[1]
    if spans and spans[-1][1] == grid[-1] < most:  # far below what it bears: look further up
        grid = np.union1d(grid, np.geomspace(grid[-1], most, 2 * POINTS))
        spans = study.meets(grid, lines(grid), lines)
    return [(0.0 if low == grid[0] else low, np.inf if high == grid[-1] else high)
            for low, high in spans]  # fmt: skip


@cache
def answering(path: str) -> tuple[str, ...]:
    """The checks that a field has a say in."""
    return tuple(id for id in CHECKS if FIELDS[path].name in behind(CHECKS[id]))


class Stair:
    """The axis and the rails in use: each stays until a value leaves it, and while one is held."""

    def __init__(self) -> None:
        self.top = 0.0
        self.system = ""
        self._rails: dict[str, Span] = {}
        self._spans: tuple[Shown, list[Span]] | None = None

    def borne(self, shown: Shown) -> list[Span]:
        """`pressures`, found once for a design."""
        if self._spans is None or self._spans[0] is not shown:
            self._spans = (shown, pressures(shown))
        return self._spans[1]

    def meeting(self, shown: Shown) -> list[Span]:
        """What of it covers the peak."""
        peak = float(shown.assessment.values["loads_peak"])
        return [(max(low, peak), high) for low, high in self.borne(shown) if high >= peak]

    def settle(self, scene: Scene) -> None:
        """Axis and rails for what is shown."""
        at, fresh = levels(scene.shown), scene.system != self.system
        most = max(at.values())
        if fresh or not (scene.held or 0.55 * self.top <= most <= 0.96 * self.top):
            shown = float(from_si(1.1 * most, scene.unit, "Pa"))
            major = nice(shown / 7)
            per_unit = most / float(from_si(most, scene.unit, "Pa"))
            self.top = float(np.ceil(shown / major - 1e-9) * major * per_unit)
            self._rails.clear()
        self.system = scene.system
        for step in STEPS.values():
            value = study.now(scene.shown.assessment, step.path)
            low, high = self._rails.get(step.id, (np.inf, -np.inf))
            if not low <= value <= high:
                self._rails[step.id] = self._rail(step, value)

    def _rail(self, step: Step, value: float) -> Span:
        least, most = step.field.range
        if step.field.kind is PRESSURE:
            return max(least, step.low * value), min(most, max(1.2 * value, 0.98 * self.top))
        return max(least, min(step.low, value)), min(most, max(step.high, 1.3 * value))

    # ---- told to the browser

    def frame(self, scene: Scene) -> dict[str, Any]:
        """The pressure axis."""
        high = float(from_si(self.top, scene.unit, "Pa"))
        major = nice(high / 7)
        return {
            "unit": scene.unit, "top": round(high, 6),
            "ticks": [round(float(x), 6) for x in np.arange(0, high + major / 100, major)],
            "minor": [round(float(x), 6) for x in np.arange(0, high + major / 100, major / 2)],
        }  # fmt: skip

    def data(self, scene: Scene) -> dict[str, Any]:
        """Everything of the stair that may change on a move."""
        at = levels(scene.shown)
        built = not given(scene.shown)
        ids = ["hot", "scatter"] if built else ["meop"]
        runs = scene.shown.design.source("loads.peak")
        ids = ids if runs else ["peak", *ids]
        spans = self._meets(scene)
        steps = [self._step(scene, STEPS[i], at, spans[i])
                 for i in [*ids, "proof", "yield", "ultimate"]]  # fmt: skip
        return {
            "given": not built,
            "peak": {"p": scene.pressure(at["peak"]), "text": self._said(scene, at["peak"])},
            "meop": scene.pressure(at["meop"]),
            "steps": steps,
            "levels": self._levels(scene, at),
            "stems": stems(scene, self.more(scene)),
            "meets": self._shown(scene, self.meeting(scene.shown)),
            "kept": others(scene, scene.kept),
            "ghost": others(scene, scene.previewed),
        }

    def _said(self, scene: Scene, value: float) -> str:
        return words.pressure(value, scene.system, unit=False, more=self.more(scene))

    def more(self, scene: Scene) -> int:
        """How many digits more than spoken tell two levels apart that stand two lines apart."""
        spoken = study.STEPS[scene.system, "pressure"]
        return next(m for m in range(4) if m == 3 or spoken / 10**m < APART * self.top)

    def _shown(self, scene: Scene, spans: list[Span]) -> list[list[float | None]]:
        cut = [(a, min(b, self.top)) for a, b in spans if a < self.top]
        return [[scene.pressure(a), scene.pressure(b)] for a, b in cut]

    def _meets(self, scene: Scene) -> dict[str, list[Span]]:
        """Where the whole design meets with each step's field moved, in SI."""
        v = scene.shown.assessment.values
        hot, more = 1 + float(v["loads_hot_day"]), 1 + float(v["loads_scatter"])
        peak, along = float(v["loads_peak"]), self.borne(scene.shown)
        found = {
            "meop": self.meeting(scene.shown),
            "peak": [(a / hot / more, b / hot / more) for a, b in along],
            "hot": [(a / peak / more - 1, b / peak / more - 1) for a, b in along],
            "scatter": [(a / peak / hot - 1, b / peak / hot - 1) for a, b in along],
        }
        if given(scene.shown):  # the peak moves nothing but what MEOP must cover
            meop = float(v["loads_meop"])
            found["peak"] = [(0.0, meop) for a, b in along if a <= meop <= b]
        for id in ("proof", "yield", "ultimate"):
            found[id] = self._factor_meets(scene, STEPS[id])
        return {id: self._clipped(id, spans) for id, spans in found.items()}

    def _clipped(self, id: str, spans: list[Span]) -> list[Span]:
        low, high = self._rails[id]
        cut = [(max(a, low), min(b, high)) for a, b in spans]
        return [(a, b) for a, b in cut if a < b]

    def _factor_meets(self, scene: Scene, step: Step) -> list[Span]:
        """Only the checks that the field touches are reckoned anew."""
        a, both = scene.shown.assessment, step.id == "yield" and tied(scene.shown)
        paths = TIED if both else (step.path,)
        touched = {id for path in paths for id in answering(path)}
        if any(state not in MEETS for id, state in a.counted.items() if id not in touched):
            return []
        grid = np.linspace(*self._rails[step.id], POINTS)
        grid = study.holding(grid, study.now(a, step.path))

        def lines(along: NDArray[np.float64]) -> list[NDArray[np.float64]]:
            inputs = {**a.inputs, **{FIELDS[p].name: along for p in paths}}
            found = [r for r in results(inputs, sorted(touched)) if r.check.gravest == "stop"]
            return [np.broadcast_to(r.ratio, along.shape) for r in found]

        return study.meets(grid, lines(grid), lines)

    def _step(
        self, scene: Scene, step: Step, at: dict[str, float], spans: list[Span]
    ) -> dict[str, Any]:
        """One step: its rail, its value in words, and the pressures of both ends of its rail."""
        value = study.now(scene.shown.assessment, step.path)
        low, high = self._rails[step.id]
        base, pressure = base_of(step, at), pressure_of(step, at, value)
        number = reader(step, scene.system)
        unit = step.field.shown(scene.system)
        fine, key = (0.5, 0.5) if step.share else (0.01, 0.05)
        if step.field.kind is PRESSURE:
            fine = key = 10.0 if unit.label == "psi" else 0.1
        return {
            "id": step.id, "path": step.path, "name": self._name(scene, step),
            "share": step.share, "plain": step.field.kind is PRESSURE,
            "unit": unit.label, "decimals": unit.decimals if step.field.kind is PRESSURE else 2,
            "step": fine, "key": key, "lo": number(low), "hi": number(high), "value": number(value),
            "plo": scene.pressure(pressure(low)), "phi": scene.pressure(pressure(high)),
            "base": scene.pressure(base), "p": scene.pressure(at[step.id]),
            "more": self._more(scene, step, at),
            "meets": [[number(a), number(b)] for a, b in spans],
        }  # fmt: skip

    def _name(self, scene: Scene, step: Step) -> str:
        if step.id == "yield" and tied(scene.shown):
            return "Yield, screw bending"
        return "MEOP, given" if step.id == "meop" else step.name

    def _more(self, scene: Scene, step: Step, at: dict[str, float]) -> str:
        """What a step adds, or what hot metal asks of it."""
        if step.id == "proof" and (hot := hot_metal(scene.shown)) < 0.9995:
            return f"÷ {hot:.2f}, hot"
        if step.field.kind is PRESSURE:
            return "not built up" if step.id == "meop" else "your own number"
        added = at[step.id] - base_of(step, at)
        fewest = self.more(scene)
        said = [words.pressure(added, scene.system, more=m) for m in range(fewest, fewest + 3)]
        # A small step is not told as none.
        return f"+ {next((s for s in said if not added > 0 or re.search('[1-9]', s)), said[-1])}"

    def _levels(self, scene: Scene, at: dict[str, float]) -> list[dict[str, Any]]:
        """Each level as its product at the left and its number at the right."""
        v = scene.shown.assessment.values
        meop = _reckoned(scene, at["meop"])
        above = [scene.pressure(p) for p in at.values() if p > at["proof"]]

        def told(id: str, name: str, product: str, opens: str) -> dict[str, Any]:
            text = self._said(scene, at[id])
            total = f"{product} = {_reckoned(scene, at[id])}" if product else text
            if id == "proof" and _is_below(up := reached(at[id], scene.system, unit=False), above):
                text = up  # as the ladder says it
            return {"id": id, "name": name, "sum": total, "text": text,
                    "p": scene.pressure(at[id]), "opens": opens}  # fmt: skip

        def times(path: str) -> str:
            return f"{meop} × {trimmed(float(v[FIELDS[path].name]), 3, 1)}"

        hot = hot_metal(scene.shown)
        cold = f" ÷ {hot:.3f}" if hot < 0.9995 else ""
        shares = (1 + float(v[n]) for n in ("loads_hot_day", "loads_scatter"))
        built = " × ".join([_reckoned(scene, at["peak"]), *(trimmed(x, 3, 1) for x in shares)])
        both = tied(scene.shown)
        out = [
            told("meop", "MEOP, given" if given(scene.shown) else "MEOP",
                 "" if given(scene.shown) else built, "loads_meop"),
            told("proof", "Proof", f"{times('loads.proof_base')}{cold}", "loads_proof"),
            told("yield", "Yield, screw bending" if both else "Yield", times(TIED[0]), TIED[0]),
            told("ultimate", "Ultimate", times("loads.ultimate_factor"), "loads.ultimate_factor"),
        ]  # fmt: skip
        return out if both else [*out, told("bending", "Screw bending", times(TIED[1]), TIED[1])]


def _is_below(text: str, levels: Sequence[float | None]) -> bool:
    """Whether a pressure that is rounded up is still below the levels above it."""
    with contextlib.suppress(ValueError):  # no answer
        return all(p is None or float(text) < p for p in levels)
    return False


def _reckoned(scene: Scene, pressure: float) -> str:
    """A pressure in a sum, with so many digits that the sum comes out."""
    shown = scene.pressure(pressure)
    return "no answer" if shown is None else f"{shown:.{0 if scene.unit == 'psi' else 2}f}"


def hot_metal(shown: Shown) -> float:
    """What heat leaves of the yield strength of the part that loses most: it raises the proof."""
    v = shown.assessment.values
    return float(v["loads_proof_base"] / v["loads_proof_factor"])


def base_of(step: Step, at: dict[str, float]) -> float:
    """The level a step stands on."""
    return {"peak": 0.0, "meop": at["peak"], "hot": at["peak"], "scatter": at["hot"]}.get(
        step.id, at["meop"]
    )


def pressure_of(step: Step, at: dict[str, float], value: float) -> Callable[[float], float]:
    """The pressure that a value of the step's field makes; straight in the value."""
    base = base_of(step, at)
    if step.field.kind is PRESSURE:
        return lambda x: x
    if step.share:
        return lambda x: base * (1 + x)
    return lambda x: at[step.id] * x / value


def reader(step: Step, system: str) -> Callable[[float], float]:
    """A field's SI value as the reader's number."""
    kind, how = step.field.kind, step.field.shown(system)
    assert kind is not None
    return lambda x: round(float(from_si(x, how.unit, kind.si)), 9)


def si(step: Step, shown: float, system: str) -> float:
    """The reader's number in SI."""
    kind, how = step.field.kind, step.field.shown(system)
    assert kind is not None
    zero, unity = (float(from_si(x, how.unit, kind.si)) for x in (0.0, 1.0))
    return (shown - zero) / (unity - zero)


def stems(scene: Scene, more: int = 0) -> list[dict[str, Any]]:
    """What the design reaches over each level: the lowest check of those that answer to it.

    With so many digits `more` than spoken.
    """
    a, at = scene.shown.assessment, levels(scene.shown)
    out = []
    for id, told in (("proof", _is_proof), ("yield", _is_yield), ("ultimate", _is_ultimate)):
        ratios = {i: a.ratios[i] for i in a.counted if told(CHECKS[i])}
        ratios = {i: r for i, r in ratios.items() if not np.isnan(r)}
        if not ratios:
            continue
        lowest = min(ratios, key=lambda i: ratios[i])
        check = CHECKS[lowest]
        level = at["bending"] if check.required == FIELDS[TIED[1]].name else at[id]
        reach = level * ratios[lowest]
        out.append({
            "id": id, "check": lowest, "name": check.brief, "part": colour(check),
            "p": scene.pressure(reach),
            "text": words.pressure(reach, scene.system, unit=False, more=more),
        })  # fmt: skip
    return out


def _is_proof(check: Check) -> bool:
    return check.basis == "loads_proof"


def _is_yield(check: Check) -> bool:
    names = {FIELDS[path].name for path in TIED}
    return check.basis == "loads_meop" and check.required in names


def _is_ultimate(check: Check) -> bool:
    return check.required == FIELDS["loads.ultimate_factor"].name


def others(scene: Scene, shown: Shown | None) -> dict[str, float | None] | None:
    """The levels of the kept or the previewed design."""
    if shown is None:
        return None
    return {id: scene.pressure(p) for id, p in levels(shown).items()}
