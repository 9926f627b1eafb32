"""How numbers are said, and sentences of checks that tell their own numbers and their corner."""

import re
import string
from functools import lru_cache

import numpy as np

from hobbyclosure.assess import Assessment
from hobbyclosure.checks.each import RINGS
from hobbyclosure.corners import Corner, corners, governing
from hobbyclosure.graph import Check
from hobbyclosure.units import (
    PRESSURE,
    TEMPERATURE,
    Q,
    from_si,
    quantity_text,
    shown_value,
    significant,
)


def pressure(value: float, system: str = "metric", unit: bool = True, more: int = 0) -> str:
    """A pressure as spoken: "11.3 MPa", "1640 psi", "772 psi"; with so many digits `more`."""
    if np.isnan(value):
        return "no answer"
    if system == "inch":
        psi = float(from_si(value, "psi", "Pa"))
        digits = more - (abs(psi) >= 999.5)
        text = f"{round(psi, digits):.{max(digits, 0)}f}"
        return f"{text} psi" if unit else text
    text = re.sub(r"^-(?=[0.]+$)", "", f"{value / 1e6:.{1 + more}f}")
    return f"{text} MPa" if unit else text


def reached(p: float, system: str, unit: bool = True) -> str:
    """A pressure that a gauge is to reach, never less than it is: "8.65 MPa", "1260 psi"."""
    if not np.isfinite(p):
        return pressure(p, system, unit)
    if p <= 0:
        text = "0"
    elif system == "inch":
        text = f"{10 * np.ceil(float(from_si(p, 'psi', 'Pa')) / 10 - 1e-6):.0f}"
    else:
        step = 10.0 ** (np.floor(np.log10(p / 1e6) + 1e-9) - 2)
        up = step * np.ceil(p / 1e6 / step - 1e-6)
        text = f"{up:.{max(0, 2 - int(np.floor(np.log10(up) + 1e-9)))}f}"
    return f"{text} {PRESSURE.shown(system).label}" if unit else text


def amount(value: float, unit: str, system: str, digits: int = 3) -> str:
    """A number in SI as a reader sees it: "13.2 mm", "2.1"."""
    return quantity_text(Q(value, unit), system, digits)


def sentence(text: str) -> str:
    """Text with a capital first letter."""
    return text[:1].upper() + text[1:]


def size(check: Check, value: float, system: str, digits: int = 3) -> str:
    """Demand or capacity of a check as a reader sees it; a share in per cent."""
    if check.share:
        shown = digits - (digits == 3 and abs(value) < 0.1)
        return f"{significant(100 * value, shown)} %".replace("-", "−")
    return amount(value, check.unit, system, digits)


def by_numbers(assessment: Assessment, check: Check, system: str) -> tuple[str, str]:
    """What a check finds, with its own numbers, and what is wanted."""
    what = check.id.rpartition(".")[2]
    if what in _SPECIAL and (said := _SPECIAL[what](assessment, check, system)):
        return said
    found = assessment.results[check.id]
    demand, capacity, required = (float(x) for x in (found.demand, found.capacity, found.required))
    template = check.told or check.says
    named = {name for _, name, _, _ in string.Formatter().parse(template) if name}
    limits = (capacity / required, demand) if "demand" in named else (demand * required, capacity)
    digits = next((n for n in (3, 4, 5) if _apart(check, limits, system, n)), 3)
    wanted, there = (size(check, x, system, digits) for x in limits)
    corner = corner_of(assessment, check) if "corner" in named else ""
    said = template.format(demand=there, capacity=there, corner=corner and f", {corner}")
    return f"{said}.", f"{'Up to ' if 'demand' in named else ''}{wanted} is wanted."


def _apart(check: Check, pair: tuple[float, float], system: str, digits: int) -> bool:
    a, b = (size(check, x, system, digits) for x in pair)
    return a != b


@lru_cache(maxsize=12)
def corners_of(assessment: Assessment, ring: str) -> list[Corner]:
    """All twelve corners of a ring of a design."""
    return corners(assessment.values, ring)


def corner_of(assessment: Assessment, check: Check) -> str:
    """The corner that governs a ring's check, in a word or two: "cold", "hot at proof"."""
    _, ring, what = check.id.split(".")
    if what == "temperature":
        v = assessment.values
        hot = (v[f"seal_{ring}_ring_hot"] - v["loads_room"]) / (
            v[f"seal_{ring}_high"] - v["loads_room"]
        )
        return "hot" if hot >= assessment.results[check.id].demand * (1 - 1e-9) else "cold"
    loads = {"gap": ("MEOP",), "gap_proof": ("proof",)}.get(what, ("none", "MEOP", "proof"))
    found = [c for c in corners_of(assessment, ring) if c.load in loads]
    worst = governing(found, what.removesuffix("_proof"))
    day = "hot" if worst.hot else "cold"
    told = worst.load != "none" and len(loads) > 1
    return f"{day} at {worst.load}" if told else day


# ---- what no template says


def _apart_from_bore(assessment: Assessment, check: Check, system: str) -> tuple[str, str] | None:
    found = assessment.results[check.id]
    if float(found.capacity) > 0:
        return None
    housing = "the liner" if ".liner." in check.id else "the bore"
    said = f"{_ring(check)} does not touch {housing}, {corner_of(assessment, check)}."
    return said, f"{size(check, float(found.demand), system)} of squeeze is wanted."


def _stretched(assessment: Assessment, check: Check, system: str) -> tuple[str, str] | None:
    found = assessment.results[check.id]
    if assessment.states[check.id] != "short":
        return None
    there, most = (size(check, float(x), system) for x in (found.demand, found.capacity))
    land = "the nose" if ".liner." in check.id else "its land"
    return f"{_ring(check)} cannot be stretched over {land}.", f"{there} against {most[:-2]}."


def _lead_in(assessment: Assessment, check: Check, system: str) -> tuple[str, str] | None:
    found = assessment.results[check.id]
    if assessment.states[check.id] != "short":
        return None
    outside = amount(float(found.demand - found.capacity), "m", system, 2)
    return f"{_ring(check)}'s free edge stands {outside} outside the chamfer.", "It is cut."


def _range(assessment: Assessment, check: Check, system: str) -> tuple[str, str]:
    rubber = assessment.design.compound(check.id.split(".")[1])
    low, high = (
        shown_value(end.value, TEMPERATURE, system).replace("-", "−")
        for end in (rubber.low, rubber.high)
    )
    past = "leaves" if assessment.states[check.id] == "short" else "comes near the end of"
    said = f"{_ring(check)} {past} its compound's range, {corner_of(assessment, check)}."
    return said, f"{rubber.id} serves from {low.split()[0]} to {high}."


def _ring(check: Check) -> str:
    return RINGS[check.id.split(".")[1]]


_SPECIAL = {
    "squeeze_least": _apart_from_bore,
    "fitting_stretch": _stretched,
    "lead_in": _lead_in,
    "temperature": _range,
}
