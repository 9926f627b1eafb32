"""Sentences about an assessment: the verdict, warnings, and short names of values."""

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cached_property, lru_cache
from typing import Any

import attrs
import numpy as np

from hobbyclosure import part_inputs, study
from hobbyclosure.assess import Assessment
from hobbyclosure.context import context as context
from hobbyclosure.design import Design, default_entry
from hobbyclosure.fields import FIELDS
from hobbyclosure.graph import CHECKS, Check
from hobbyclosure.phrases import amount, by_numbers, pressure, reached, sentence
from hobbyclosure.units import COUNT, PRESSURE, from_si, significant, trimmed

CAUTION = "A closure that lets go is a projectile. Never stand in line with it."
ESTIMATE = "Estimate. Prove it with water."
CAUTIONS = (
    "Pressure hardware and propellants kill. These numbers are estimates for people who will also "
    "prove the part with water, at a distance, with no air in it.",
    "Follow local law, the range's and club's rules, and licensed practice; have someone "
    "qualified review the design.",
    CAUTION,
    "Never prove with gas: compressed gas stores hundreds of times the energy of water.",
    "Live propellant leaves the room before metal is drilled. Cutting or trimming it follows its "
    "maker's and the club's rules. This tool holds no propellant or igniter recipes.",
)
NOTHING = 5e4  # Pa: no pressure worth a number
# Where a warning is pinned: the plot of the field that its part answers to.
SLOTS = {"case": "case.wall", "screw": "screw.count"}


@attrs.frozen
class Verdict:
    """One sentence in two voices: what happens (bold) and what is wanted, and its state."""

    bold: str
    plain: str
    state: str

    def __str__(self) -> str:
        return f"{self.bold} {self.plain}".strip()


@attrs.frozen(slots=False, eq=False)
class Warning:
    """A message pinned to a plot: level, check, perhaps a remedy; sentence and evidence.

    Many are counted and few are read: `says` is asked when sentence or evidence is.
    """

    level: str
    check: str
    slot: str
    says: Callable[[], tuple[str, str]] = attrs.field(repr=False)
    remedy: study.Remedy | None = None
    part: str = ""  # of a statement that no check makes: what it is about

    @cached_property
    def _said(self) -> tuple[str, str]:
        return self.says()

    @property
    def text(self) -> str:
        """The sentence."""
        return self._said[0]

    @property
    def evidence(self) -> str:
        """How founded it is, where that is practice or weak."""
        return self._said[1]


def _statement(
    level: str, slot: str, text: str, evidence: str = "", check: str = "", part: str = ""
) -> Warning:
    return Warning(level, check, slot, lambda: (text, evidence), part=part)


@lru_cache(maxsize=8)
def verdict(assessment: Assessment, system: str = "metric") -> Verdict:
    """The gravest short check if there is one, else what has no answer, else the first rung."""
    if worst := _gravest(assessment):
        return _founded(assessment, worst, system)
    states = assessment.counted
    blank = [CHECKS[i] for i, s in states.items() if s == "no answer"]
    if blank:
        why = assessment.reason(blank[0])
        return Verdict(f"No answer for {blank[0].label}.", f"{sentence(why)}.", "no answer")
    return _first_verdict(assessment, system)


def _gravest(assessment: Assessment) -> Check | None:
    """The short check furthest from what is wanted: this end's, then of pressure, then of size."""
    short = [CHECKS[i] for i, s in assessment.counted.items() if s == "short"]

    def after(check: Check) -> int:
        return 0 if check.basis else 1 if check.unit == "Pa" else 2

    return min(short, key=lambda c: (after(c), assessment.ratios[c.id]), default=None)


def lower(assessment: Assessment, system: str = "metric") -> str:
    """What is short and lets go first, where the verdict names another that holds longer."""
    worst, rungs = _gravest(assessment), study.ladder(assessment)
    rung = next((r for r in rungs if r.check or r.state == "short"), None)
    if worst is None or rung is None or rung.state != "short" or np.isnan(rung.pressure):
        return ""
    found, at = assessment.results[worst.id], np.inf
    if worst.id == OTHER_END_CHECK:
        at = float(assessment.values["case_other_end_holds"])
    elif worst.basis and not worst.told:
        at = float(assessment.values[worst.basis] * found.factor)
    if (rung.check.id if rung.check else OTHER_END_CHECK) == worst.id or rung.pressure >= at:
        return ""
    said, _ = _first(assessment, [r for r in rungs if r.check or r.state == "short"], system)
    below = "" if rung.pressure < NOTHING else _beneath(assessment, rung.pressure)
    if any(np.isnan(r.pressure) for r in rungs):
        said = f"Of what has an answer {said[:1].lower()}{said[1:]}"
    return f"{said}{below}."


OTHER_END_CHECK = "loads.other_end"


def _beneath(assessment: Assessment, at: float, basis: str = "loads_meop") -> str:
    """What is to be added to a pressure at which something lets go before it should be reached."""
    meop, proof = (float(assessment.values[name]) for name in ("loads_meop", "loads_proof"))
    if at < 0.995 * meop:  # else it reads as the same number
        return ", below MEOP"
    return ", below proof" if basis == "loads_proof" and at < proof else ""


def _short_verdict(assessment: Assessment, check: Check, system: str) -> tuple[str, str]:
    """What happens, at which pressure or size, and what is wanted."""
    found = assessment.results[check.id]
    if check.id == OTHER_END_CHECK:
        at = float(assessment.values["case_other_end_holds"])
        wanted = reached(float(assessment.values["loads_proof"]), system)
        below = _beneath(assessment, at, "loads_proof")
        return f"The other end lets go at {pressure(at, system)}{below}.", f"{wanted} is wanted."
    if check.basis is None or check.told:
        return by_numbers(assessment, check, system)
    basis = float(assessment.values[check.basis])
    at, wanted = basis * float(found.factor), basis * float(found.required)
    low, high = told_apart(at, wanted, system)
    if at < NOTHING:
        return f"{check.says} at next to no pressure.", f"{high} is wanted."
    below = _beneath(assessment, at, check.basis)
    return f"{check.says} at {about(assessment, check)}{low}{below}.", f"{high} is wanted."


def about(assessment: Assessment, *checks: Check) -> str:
    """A word before a pressure of which the basis is weak."""
    weak = any(assessment.evidence(check) == "weak" for check in checks)
    return "about " if weak else ""


def said_of(assessment: Assessment, check: Check, system: str = "metric") -> Verdict:
    """What one check finds, whatever its state."""
    if assessment.states[check.id] == "no answer":
        why = sentence(assessment.reason(check))
        return Verdict(f"No answer for {check.label}.", f"{why}.", "no answer")
    return _founded(assessment, check, system)


def _founded(assessment: Assessment, check: Check, system: str) -> Verdict:
    """What a check finds; a size of which the basis is weak is followed by that."""
    bold, plain = _short_verdict(assessment, check, system)
    by_size = check.basis is None or check.told
    weak = " Weak basis." if by_size and about(assessment, check) else ""
    return Verdict(bold, plain + weak, assessment.states[check.id])


def told_apart(a: float, b: float, system: str) -> tuple[str, str]:
    """Two pressures as spoken, or with as many digits as it takes to tell them apart."""
    how = PRESSURE.shown(system)
    said = pressure(a, system), pressure(b, system)
    for decimals in range(how.decimals, how.decimals + 4):
        if said[0] != said[1]:
            break
        x, y = (trimmed(float(from_si(p, how.unit, "Pa")), decimals) for p in (a, b))
        said = f"{x} {how.label}", f"{y} {how.label}"
    return said


def _first_verdict(assessment: Assessment, system: str) -> Verdict:
    rungs = [r for r in study.ladder(assessment) if r.check]
    said, several = _first(assessment, rungs, system)
    first = study.first(rungs)
    assert first is not None
    assert first.wanted is not None
    wanted = f"{pressure(first.wanted, system)} is wanted."
    return Verdict(f"{said}.", "Too near to tell." if several else wanted, assessment.state)


def _first(assessment: Assessment, rungs: Sequence[study.Rung], system: str) -> tuple[str, bool]:
    """Which of these goes first and at which pressure; whether several are too near to tell."""
    lowest = next(r for r in rungs if not np.isnan(r.pressure))
    group = [r for r in rungs if r.pressure < study.NEAR * lowest.pressure]
    near = about(assessment, *(r.check for r in group if r.check))
    low, high = (pressure(r.pressure, system) for r in (lowest, group[-1]))
    span = high if low == high else f"{low.split()[0]} to {high}"
    at = "next to no pressure" if group[-1].pressure < NOTHING else f"{near}{span}"
    if len(group) == 1:
        says = lowest.check.says if lowest.check else "The other end lets go"
        return f"{says} first, at {at}", False
    names = list(dict.fromkeys(r.check.label if r.check else "the other end" for r in group))
    either = f"{', '.join(names[:-1])} or {names[-1]}" if len(names) > 1 else names[0]
    return f"{either[:1].upper()}{either[1:]} first, at {at}", True


def meop_verdict(
    assessment: Assessment, spans: list[tuple[float, float]], system: str = "metric"
) -> Verdict:
    """MEOP, and how far up the design meets.

    `spans` is where it does, in Pa: to inf where no end was found.
    """
    meop, peak = (float(assessment.values[f"loads_{n}"]) for n in ("meop", "peak"))
    said = pressure(meop, system)
    if meop < peak:
        low, high = told_apart(meop, peak, system)
        return Verdict(f"MEOP is {low}, below the expected peak.",
                       f"{high} is expected.", "short")  # fmt: skip
    own = next((high for low, high in spans if low <= meop <= high), None)
    beyond = " and beyond" if own == np.inf else ""
    if own is not None:
        own = max(meop, FIELDS[study.MEOP].range[1]) if beyond else own
        said, most = _beside(meop, own, system)
        bold, plain = f"MEOP is {said}, {meop / peak:.2f} × peak.", f"The design meets up to {most}"
        return Verdict(bold, f"{plain}{beyond}.", assessment.state)
    bold = f"MEOP is {said}, {meop / peak:.2f} × peak."
    if not spans:
        return Verdict(bold, "The design meets at no pressure: see Hold.", assessment.state)
    most = max(high for _, high in spans)
    if meop > most:
        said, top = _beside(meop, most, system)
        bold = f"MEOP is {said}, above what meets."
        return Verdict(bold, f"{top} is the most.", assessment.state)
    least = min(low for low, _ in spans if low > meop)
    return Verdict(bold, f"The design meets from {pressure(least, system)} up.", assessment.state)


def _beside(meop: float, most: float, system: str) -> tuple[str, str]:
    """MEOP and the most that meets, with so many digits that the lower of them reads as such."""
    said = top = ""
    for more in range(4):
        said, top = pressure(meop, system, more=more), floored(most, system, more)
        above = float(said.split()[0]) > float(top.split()[0])
        if above == (meop > most):
            return said, top
    return (said, top) if meop > most else (said, said)  # the same to the last digit


def floored(value: float, system: str, more: int = 0) -> str:
    """A pressure as spoken, never more than it is."""
    step = study.STEPS[system, "pressure"] / 10**more
    return pressure(float(np.floor(value / step + 1e-6)) * step, system, more=more)


def field_number(path: str, value: float, system: str = "metric") -> str:
    """A field's SI value as its readers see it, without the unit: "4.763", "8" of per cent."""
    kind, how = FIELDS[path].kind, FIELDS[path].shown(system)
    assert kind is not None
    return trimmed(float(from_si(value, how.unit, kind.si)), how.decimals)


def field_value(path: str, value: float, system: str = "metric") -> str:
    """Short name of a field and a value: "13 screws", "1 liner backup ring", "Wall 4.763"."""
    shown = field_number(path, value, system)
    if path == study.MEOP:
        return f"MEOP {shown}"
    if FIELDS[path].kind is COUNT:
        noun = FIELDS[path].label.partition(" in ")[0].lower()
        return f"{shown} {noun.removesuffix('s') if value == 1 else noun}"
    return f"{FIELDS[path].label} {shown}"


def short_text(assessment: Assessment, check: Check, system: str) -> str:
    """Sentence of a check that is short or close: number and limit."""
    said, wanted = _short_verdict(assessment, check, system)
    if assessment.states[check.id] == "close" and wanted.endswith(" is wanted."):
        limit = wanted.removesuffix(" is wanted.").replace("Up to", "up to")
        return f"{said[:-1]}, close to what is wanted: {limit}."
    return f"{said} {wanted}"


def two_decimals(factor: float, wanted: float) -> tuple[str, str]:
    """Both numbers with two decimals, or as many as it takes to tell them apart."""
    digits = next((d for d in (2, 3, 4) if round(factor, d) != round(wanted, d)), 2)
    return f"{factor:.{digits}f}", f"{wanted:.2f}"


def warnings(
    assessment: Assessment, system: str = "metric", remedied: bool = True
) -> list[Warning]:
    """Everything to be said about a design, gravest first; what is short with its remedy.

    A remedy takes milliseconds: a page asks `with_remedy` for those it shows instead.
    """
    found: list[Warning] = []
    ratios = {id: 1.0 if np.isnan(r) else r for id, r in assessment.ratios.items()}
    order = sorted(CHECKS.values(), key=lambda c: ratios[c.id])
    for level in ("stop", "look"):
        told = [c for c in order if level_of(assessment, c) == level]
        found += [_of_check(assessment, check, level, system) for check in told]
    said = [*_order_of_failure(assessment, system), *_statements(assessment, system)]
    found += sorted(said, key=lambda w: ("look", "know").index(w.level))
    return [with_remedy(assessment, w, system) for w in found] if remedied else found


def with_remedy(assessment: Assessment, warning: Warning, system: str) -> Warning:
    """A warning with its remedy, if it is a stop and there is one."""
    if warning.level != "stop":
        return warning
    return attrs.evolve(warning, remedy=study.remedy(assessment, CHECKS[warning.check], system))


def level_of(assessment: Assessment, check: Check) -> str:
    """Level of a check's warning; empty where it meets or does not apply."""
    state = assessment.states[check.id]
    if state == "short":
        return check.gravest
    return "look" if state in ("close", "no answer") else ""


def wanted(rung: study.Rung, system: str) -> str:
    """The pressure a rung is to reach, without its unit; empty where none is asked for."""
    if rung.wanted is None:
        return ""
    return (pressure if rung.check else reached)(rung.wanted, system, unit=False)


def other_end(assessment: Assessment, rung: study.Rung) -> str:
    """What the other end's rung says, beside those at this end, MEOP and the proof pressure."""
    rungs = study.ladder(assessment)
    meop, proof = (float(assessment.values[name]) for name in ("loads_meop", "loads_proof"))
    if rung.pressure < meop or rung.pressure < proof:
        return f"lets go before {'MEOP' if rung.pressure < meop else 'proof'}"
    first = study.first(rungs)
    if first is not None and rung.pressure >= study.NEAR * first.pressure:
        return "holds longer than this end"
    if np.isnan([proof, *(r.pressure for r in rungs)]).any():
        return "no answer at this end yet"
    if first is None or study.NEAR * rung.pressure <= first.pressure:
        return "lets go first, as wished"
    return "too near this end to tell"


def _slot(check: Check) -> str:
    if check.id.startswith("prove."):
        return "screw.count" if "bearing" in check.id else "case.wall"
    return SLOTS.get(check.part, study.MEOP)


def _of_check(assessment: Assessment, check: Check, level: str, system: str) -> Warning:
    def says() -> tuple[str, str]:
        if assessment.states[check.id] == "no answer":
            return f"No answer for {check.label}: {assessment.reason(check)}.", ""
        grade = assessment.evidence(check)
        grade = grade if grade in ("practice", "weak") else ""
        return short_text(assessment, check, system), grade

    return Warning(level, check.id, _slot(check), says)


def _order_of_failure(assessment: Assessment, system: str) -> list[Warning]:
    """Say when the closure would go before the end that should, or might."""
    other = float(assessment.values["case_other_end_holds"])
    first = study.first(study.ladder(assessment))
    if first is None or first.check is None or not other * study.NEAR > first.pressure:
        return []
    grade = "weak" if (near := about(assessment, first.check)) else "practice"
    holds, goes = pressure(other, system), near + pressure(first.pressure, system)
    if other > study.NEAR * first.pressure:
        level, text = "look", f"{first.check.label} comes before it, at {goes}"
    else:
        level, text = "know", f"too near {first.check.label} at {goes} to tell which goes first"
    text = f"The other end holds to {holds}: {text}."
    return [_statement(level, study.MEOP, text, grade, first.check.id)]


def _statements(assessment: Assessment, system: str) -> Iterator[Warning]:
    """What no check says: how the pressure is founded, what is left out, what is counted on."""
    design, values = assessment.design, assessment.values
    if below := below_trace(design, system):
        yield _statement("look", study.MEOP, below)
    peak, built, meop = (float(values[f"loads_{n}"]) for n in ("peak", "built_up", "meop"))
    if peak <= meop < built * (1 - 1e-9):
        low, high = told_apart(meop, built, system)
        text = f"MEOP is stated as {low}; peak, hot day and scatter make {high}."
        yield _statement("look", study.MEOP, text, "practice")
    if values["insulation_liner"] > 0:
        yield from _liner(values, system)
    elif values["closure_has_nose"] > 0:
        text = "No liner, so the seal on the nose has nothing to seal against."
        yield _statement("look", study.MEOP, text, part="seal")
    if eased := _eased(design, system):
        yield _statement("look", study.MEOP, eased)
    yield from _beyond(design, system)
    stated = not np.isnan(values["loads_meop_given"])
    how = "stated" if stated else "peak, hot day and scatter"
    source = design.source("loads.peak")
    behind = f"The peak is from {source}." if source else "No trace stands behind it."
    text = f"MEOP is {meop / peak:.2f} × peak ({how}). {behind}"
    yield _statement("know", study.MEOP, text, "practice")
    if design["screw.hole_method"].value == "together":
        text = "The screws share the load only if tube and closure are drilled through together."
        yield _statement("know", "screw.count", text, "weak")


def _liner(values: Mapping[str, Any], system: str) -> Iterator[Warning]:
    """What is said of a liner that no check says."""
    if values["closure_has_nose"] <= 0:
        text = "No nose, so no seal to the liner: gas may creep behind it to the tube."
        yield _statement("look", study.MEOP, text, "practice", part="seal")
    elif values["insulation_slack"] <= 0:
        text = ("The liner counts as bonded into the tube: slack behind it would open the gap at "
                "the nose by as much.")  # fmt: skip
        yield _statement("know", study.MEOP, text, "practice", part="seal")
    room = (values["case_bore_max"] - values["seal_liner_bore_min"]) / 2
    over = float(values["insulation_liner_min"] - room)
    if over > 1e-9:
        text = f"The liner is {amount(over, 'm', system)} too thick for the room in its tube."
        yield _statement("look", study.MEOP, text, part="seal")


WANTED = tuple(path for path in FIELDS if path.startswith("loads.") and path.endswith("_factor")
               and FIELDS[path].label.startswith("Wanted"))  # fmt: skip


def _eased(design: Design, system: str) -> str:
    """Which factors are wanted lower than common practice has them; empty when none is."""
    lower = []
    for path in WANTED:
        now, usual = (float(e.now or np.nan) for e in (design[path], default_entry(path)))
        if now < usual * (1 - 1e-9):
            less, more = (field_number(path, x, system) for x in (now, usual))
            lower.append(f"{FIELDS[path].word} {less} instead of {more}")
    return f"Less than common practice is asked: {', '.join(lower)}." if lower else ""


def _beyond(design: Design, system: str) -> list[Warning]:
    """Rows used for a part they were not given for."""
    why = {
        f"{part}.material": part_inputs.beyond_row(design, part, system)
        for part in part_inputs.PARTS
    } | {"screw.strength_class": part_inputs.beyond_class(design, system)}
    return [
        _statement("look", SLOTS.get(FIELDS[path].part, study.MEOP),
                   f"{FIELDS[path].label} {design[path].value}: {said}.", "weak")
        for path, said in why.items() if said
    ]  # fmt: skip


def below_trace(design: Design, system: str = "metric") -> str:
    """A peak lower than a trace shows; empty when it is not."""
    shown = max((r.peak for r in design.runs), default=0.0)
    peak = float(design["loads.peak"].now or np.nan)
    if not peak < shown:
        return ""
    low, high = told_apart(peak, shown, system)
    return f"Peak is {low}; the trace shows {high}."


def rest(path: str, spans: list[tuple[float, float]], grid: np.ndarray, system: str) -> str:
    """Resting sentence of a plot: where the whole design meets with that one value moved."""
    if not spans:
        return "No value here meets. Move another slider first."
    kind = FIELDS[path].kind
    assert kind is not None
    low, high = max(spans, key=lambda span: span[1] - span[0])
    unit = "screws" if kind is COUNT else kind.shown(system).label

    def said(x: float, up: bool) -> str:
        if kind is COUNT:
            return f"{x:.0f}"
        y = float(from_si(x, kind.shown(system).unit, kind.si))
        step = {"mm": 0.01, "in": 0.001, "MPa": 0.1, "psi": 10}.get(unit, 0.01)
        whole = np.ceil(y / step - 1e-9) if up else np.floor(y / step + 1e-9)
        return re.sub(r"\.0$", "", significant(float(whole * step), 4))

    at_low, at_high = low <= grid[0], high >= grid[-1]
    if at_low and at_high:
        return "Meets all along this axis."
    if at_low:
        return f"Meets up to {said(high, up=False)} {unit}."
    if at_high:
        return f"Meets from {said(low, up=True)} {unit} up."
    if kind is COUNT and low == high:
        return f"Meets with {said(low, up=True)} {unit} only."
    return f"Meets from {said(low, up=True)} to {said(high, up=False)} {unit}."
