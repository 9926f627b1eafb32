"""Units live at the edges: one Pint registry, our own input grammar, and how numbers are shown.

Inside the model everything is an SI float (m, Pa, N, K, rad, s) or an array of them. Pint is no
parser for people ("1 1/2 in" becomes 0.5 in, "6,9 MPa" becomes 69 MPa, both silently), so text is
read here and number and unit are handed to Pint apart.
"""

import math
import re
from fractions import Fraction
from functools import lru_cache
from typing import Annotated, Any

import attrs
import numpy as np
import pint
from numpy.typing import NDArray

REGISTRY = pint.UnitRegistry()
Q: Any = REGISTRY.Quantity

Num = float | NDArray[np.float64]

# Checkable annotations of physics functions: a rule test feeds Pint values of these units.
one = Annotated[Any, ""]
metre = Annotated[Any, "m"]
square_metre = Annotated[Any, "m**2"]
newton = Annotated[Any, "N"]
newton_metre = Annotated[Any, "N*m"]
pascal = Annotated[Any, "Pa"]
newton_per_metre = Annotated[Any, "N/m"]
per_metre = Annotated[Any, "1/m"]
kelvin = Annotated[Any, "K"]
per_kelvin = Annotated[Any, "1/K"]
radian = Annotated[Any, "rad"]
second = Annotated[Any, "s"]

LONGEST_INPUT = 64
NO_ANSWER = "no answer"


class InputError(ValueError):
    """Text that is no value of the wanted kind; the message is one line a person can act on."""


@attrs.frozen
class Shown:
    """A unit as a person reads it, and how many decimals it deserves."""

    unit: str
    label: str
    decimals: int


@attrs.frozen
class Dimension:
    """A kind of number: its SI unit, how metric and inch readers see it, what may be typed."""

    name: str
    si: str
    metric: Shown
    inch: Shown
    typed: tuple[str, ...]

    def shown(self, system: str) -> Shown:
        """The unit of the "metric" or "inch" reader."""
        return self.inch if system == "inch" else self.metric


def _same(name: str, si: str, unit: str, label: str, decimals: int, *typed: str) -> Dimension:
    shown = Shown(unit, label, decimals)
    return Dimension(name, si, shown, shown, typed)


LENGTH = Dimension(
    "length", "m", Shown("mm", "mm", 3), Shown("inch", "in", 4), ("mm", "cm", "m", "in", "µm")
)
PRESSURE = Dimension(
    "pressure",
    "Pa",
    Shown("MPa", "MPa", 2),
    Shown("psi", "psi", 0),
    ("MPa", "bar", "psi", "ksi", "kPa"),
)
TEMPERATURE = Dimension(
    "temperature", "K", Shown("degC", "°C", 1), Shown("degF", "°F", 1), ("°C", "°F", "K")
)
RATIO = _same("number", "", "", "", 3, "%")
HARDNESS = _same("hardness", "", "", "Shore A", 0, "Shore A")
SHARE = Shown("percent", "%", 1)
COUNT = _same("whole number", "", "", "", 0)
ANGLE = _same("angle", "rad", "deg", "°", 2, "°", "deg", "rad")
EXPANSION = _same(
    "expansion", "1/K", "1/kelvin", "1/K", 9, "µm/m/K", "µm/m/°C", "ppm/K", "1/K", "1/°F"
)
TIME = _same("time", "s", "s", "s", 2, "s", "ms")

# Units in which working and tables show a number of that dimension, first match wins.
SHOWN = {
    "metric": (
        "",
        "mm",
        "mm**2",
        "mm**3",
        "mm**4",
        "MPa",
        "kN",
        "N*m",
        "N/mm",
        "1/mm",
        "1/kN",
        "1/kN**2",
        "degC",
        "s",
        "deg",
    ),
    "inch": (
        "",
        "in",
        "in**2",
        "in**3",
        "in**4",
        "psi",
        "lbf",
        "lbf*in",
        "lbf/in",
        "1/in",
        "1/lbf",
        "1/lbf**2",
        "degF",
        "s",
    ),
}
LABELS = {
    "inch": "in",
    "inch ** 2": "in²",
    "inch ** 3": "in³",
    "inch ** 4": "in⁴",
    "millimeter": "mm",
    "millimeter ** 2": "mm²",
    "millimeter ** 3": "mm³",
    "millimeter ** 4": "mm⁴",
    "megapascal": "MPa",
    "pound_force_per_square_inch": "psi",
    "kilonewton": "kN",
    "force_pound": "lbf",
    "meter * newton": "N m",
    "newton * meter": "N m",
    "force_pound * inch": "lbf in",
    "inch * force_pound": "lbf in",
    "newton / millimeter": "N/mm",
    "force_pound / inch": "lbf/in",
    "1 / millimeter": "1/mm",
    "1 / inch": "1/in",
    "1 / kilonewton": "1/kN",
    "1 / force_pound": "1/lbf",
    "1 / kilonewton ** 2": "1/kN²",
    "1 / force_pound ** 2": "1/lbf²",
    "degree_Celsius": "°C",
    "degree_Fahrenheit": "°F",
    "second": "s",
    "degree": "°",
    "dimensionless": "",
}

_ALIASES = {
    '"': "inch",
    "″": "inch",
    "in": "inch",
    "inch": "inch",
    "inches": "inch",
    "thou": "thou",
    "°": "deg",
    "deg": "deg",
    "°c": "degC",
    "degc": "degC",
    "c": "degC",
    "°f": "degF",
    "degf": "degF",
    "f": "degF",
    "k": "kelvin",
    "%": "percent",
    "mpa": "MPa",
    "gpa": "GPa",
    "kpa": "kPa",
    "pa": "Pa",
    "bar": "bar",
    "psi": "psi",
    "ksi": "ksi",
    "mm": "mm",
    "cm": "cm",
    "m": "m",
    "µm": "micrometer",
    "μm": "micrometer",
    "um": "micrometer",
    "s": "s",
    "ms": "ms",
    "rad": "rad",
    "shore a": "dimensionless",
    "ppm/k": "ppm/kelvin",
    "ppm/°c": "ppm/delta_degC",
}
# Expansion per degree: the sign before "m" may be either micro, "/K" stands for "1/K".
_ALIASES |= {
    f"{top}/{degree}": f"{name}/{unit}"
    for top, name in (("1", "1"), ("", "1"), ("µm/m", "micrometer/meter"),
                      ("μm/m", "micrometer/meter"), ("um/m", "micrometer/meter"))
    for degree, unit in (("k", "kelvin"), ("°c", "delta_degC"), ("°f", "delta_degF"))
}  # fmt: skip
_DECIMAL = r"(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?"
_NUMBER = re.compile(
    rf"(?P<sign>[+-]?)\s*(?:(?P<whole>\d+)(?:\s+|\s*-\s*)(?P<top>\d+)\s*/\s*(?P<bottom>\d+)"
    rf"|(?P<num>\d+)\s*/\s*(?P<den>\d+)|(?P<decimal>{_DECIMAL}))\s*(?P<unit>.*)",
    re.DOTALL,
)
_COMMA = re.compile(r"\d,\d")


def quoted(text: str, longest: int = 40) -> str:
    """What was typed, in quotes, on one line and short enough to read."""
    line = "".join(c if c.isprintable() else "�" for c in " ".join(text[:400].split()))
    return f"'{line if len(line) <= longest else line[: longest - 1] + '…'}'"


def one_line(text: str, longest: int = 200) -> str:
    """A name that people gave, cut; a sign stands for what cannot be seen or turns text round."""
    return "".join(c if c.isprintable() else "�" for c in text[:longest])


@lru_cache(maxsize=256)
def _factor(unit: str, si: str) -> tuple[float, float, float] | None:
    """(top, bottom, offset) so that SI = value × top / bottom + offset; None for another kind.

    Millimetres go by division by 1000, so that 3.175 mm is 0.003175 m to the last digit.
    """
    if not Q(1, unit).is_compatible_with(si or "dimensionless"):
        return None
    zero, unity = (float(Q(x, unit).m_as(si or "dimensionless")) for x in (0.0, 1.0))
    scale = unity - zero
    share = Fraction(scale).limit_denominator(10**4)
    if abs(float(share) - scale) <= 1e-15 * abs(scale):
        return float(share.numerator), float(share.denominator), zero
    return scale, 1.0, zero


def parse(text: str, kind: Dimension, assume: str | None = None) -> float:
    """SI value of typed text: number, fraction or mixed fraction, then a unit.

    `assume` is the unit taken for a bare number (on screen: the shown one); without it a kind
    that has units needs one. Raises InputError, one line, naming what was typed.
    """
    shown = quoted(text)
    example = f"{(kind.metric.unit and '25 ' + kind.typed[0]) or '25'}"
    if len(text) > LONGEST_INPUT:
        raise InputError(f"{shown} is {len(text)} characters long: write a number like {example}")
    cleaned = text.strip().replace("−", "-")
    if _COMMA.search(cleaned):
        point = "" if "." in cleaned else "."
        hint = quoted(_COMMA.sub(lambda m: m[0].replace(",", point), cleaned))
        raise InputError(f"{shown} has a comma: write decimals with a point, {hint}")
    found = _NUMBER.fullmatch(cleaned)
    if not found:
        raise InputError(f"{shown} is no {kind.name}: write a number like {example}")
    part = found.groupdict()
    bottom = int(part["bottom"] or part["den"] or 1)
    if bottom == 0:
        raise InputError(f"{shown} divides by nothing")
    number = (
        float(part["decimal"])
        if part["decimal"]
        else int(part["whole"] or 0) + int(part["top"] or part["num"]) / bottom
    )
    number = -number if part["sign"] == "-" else number
    if not np.isfinite(number):
        raise InputError(f"{shown} is too large to be a {kind.name}")
    return _to_si(number, part["unit"].strip(), kind, assume, shown)


def named_unit(text: str) -> str | None:
    """Pint's name of a unit as people write it; None for a word this project does not use."""
    return _ALIASES.get(text.lower())


def _to_si(number: float, unit: str, kind: Dimension, assume: str | None, shown: str) -> float:
    name = _ALIASES.get(unit.lower()) if unit else assume
    wanted = (
        ", ".join(kind.typed[:-1]) + (" or " if kind.typed[1:] else "") + kind.typed[-1]
        if (kind.typed)
        else "no unit"
    )
    if unit and name is None:
        raise InputError(f"{shown} has an unknown unit {quoted(unit)}: write {wanted}")
    if name is None and kind.si:
        raise InputError(f"{shown} has no unit: write {wanted}")
    factor = _factor(name or "dimensionless", kind.si)
    # Pint calls shares, angles, hardness and plain numbers alike dimensionless; we do not.
    families = {"percent": "%", "deg": "deg", "rad": "deg", "dimensionless": "Shore A"}
    family = families.get(name or "", "")
    if (
        factor is None
        or (family and family not in kind.typed)
        or ("deg" in kind.typed and family != "deg")
    ):
        raise InputError(f"{shown} is no {kind.name}: write {wanted}")
    value = number * factor[0] / factor[1] + factor[2]
    if not np.isfinite(value):
        raise InputError(f"{shown} is too large to be a {kind.name}")
    return value


def from_si(value: Num, unit: str, si: str) -> Num:
    """An SI number in another unit of its kind."""
    top, bottom, offset = _factor(unit or "dimensionless", si) or (1.0, 1.0, 0.0)
    return (value - offset) * bottom / top


def snapped(value: float, kind: Dimension, system: str = "metric") -> float:
    """The SI value that typing the shown number gives: without the noise of a conversion."""
    how = kind.shown(system)
    top, bottom, offset = _factor(how.unit or "dimensionless", kind.si) or (1.0, 1.0, 0.0)
    number = round(float(f"{(value - offset) * bottom / top:.12g}"), 9)
    return number * top / bottom + offset


def outward(
    value: float, sign: int, kind: Dimension, system: str = "metric", more: int = 0
) -> float:
    """The next value up (sign 1) or down (−1) that is shown whole, so that it may be typed.

    Whole is what has no more decimals than are shown, and so many `more`.
    """
    how = kind.shown(system)
    decimals = how.decimals + more
    step = 10.0**-decimals
    number = sign * np.ceil(sign * float(from_si(value, how.unit, kind.si)) / step - 1e-6) * step
    top, bottom, offset = _factor(how.unit or "dimensionless", kind.si) or (1.0, 1.0, 0.0)
    return float(round(number, decimals) * top / bottom + offset)


def nudged(value: float) -> float:
    """A value that rounds up at a half although its unit's factor left it a hair below."""
    return value * (1 + 1e-12)


def trimmed(value: float, decimals: int, least: int = 0) -> str:
    """Decimal text without useless zeros: 3.175, 16.0 (least=1), 12."""
    out = f"{nudged(value):.{decimals}f}"
    if "." in out:
        whole, rest = out.split(".")
        rest = rest.rstrip("0")
        out = f"{whole}.{rest.ljust(least, '0')}" if rest or least else whole
    return "0" if out in ("-0", "0") else out


def shown_value(value: float, kind: Dimension, system: str = "metric", unit: bool = True) -> str:
    """A value as a reader of that system sees it: "3.175 mm", "900 psi", "80 °C"."""
    how = kind.shown(system)
    text = trimmed(float(from_si(value, how.unit, kind.si)), how.decimals)
    return f"{text} {how.label}" if unit and how.label else text


def file_text(value: float, kind: Dimension, system: str = "metric") -> str:
    """A value as written to a file: shortest decimal that reads back to the same float."""
    how = kind.shown(system)
    number = float(from_si(value, how.unit, kind.si))
    label = "deg" if how.label == "°" else how.label
    for digits in range(1, 18):
        text = f"{number:.{digits}g}"
        text = text if "e" not in text else f"{number:.12f}".rstrip("0").rstrip(".")
        typed = f"{text} {label}".strip()
        if parse(typed, kind) == value:
            return typed
    return f"{number!r} {label}".strip()


@lru_cache(maxsize=512)
def _reading(units: Any, system: str) -> tuple[float, float, str]:
    """(scale, offset, label) by which a magnitude in some units is read: the first of SHOWN."""
    zero, unity = Q(0.0, units), Q(1.0, units)
    for name in SHOWN[system]:
        unit = Q(1, name or "dimensionless")
        if unit.dimensionality == unity.dimensionality:
            zero, unity = zero.to(unit.units), unity.to(unit.units)
            break
    label = LABELS.get(str(unity.units), f"{unity.units:~P}")
    return float(unity.m - zero.m), float(zero.m), label


def quantity_text(value: Any, system: str = "metric", digits: int = 4) -> str:
    """A Pint quantity (or plain number) in the reader's unit with four significant digits."""
    if not hasattr(value, "to"):
        return significant(float(value), digits)
    scale, offset, label = _reading(value.units, system)
    number = float(value.m) * scale + offset
    if not math.isfinite(number):
        return NO_ANSWER
    return f"{significant(number, digits)} {label}".strip()


def significant(value: float, digits: int = 4) -> str:
    """Plain decimal text with so many significant digits; no exponent between 1e-5 and 1e7."""
    if not math.isfinite(value):
        return NO_ANSWER
    if value == 0:
        return "0"
    size = math.floor(math.log10(abs(value)))
    if size < -5 or size > 7:
        return f"{value:.{digits - 1}e}"
    return trimmed(value, max(0, digits - 1 - size))


def plain(x: Any) -> Any:
    """A dimensionless Pint quantity as bare number or array; numbers pass unchanged."""
    return x.to("dimensionless").magnitude if hasattr(x, "to") else x
