"""O-rings of every list, rubber compounds and gland charts: data files as SI numbers.

AS568 rings come from `data.RINGS` under their dash number, metric rings under "69x3.55".
"""

from collections.abc import Mapping
from typing import Any

import attrs
import numpy as np

from hobbyclosure.data import OWN, RINGS, ZERO_CELSIUS, Datum, Ring, _read, stated

INCH, MM, PSI = 0.0254, 1e-3, 6894.757293168361


@attrs.frozen
class Compound:
    """A rubber: service range (K), linear expansion (1/K), share of the chart's gap it bears."""

    id: str
    label: str
    low: Datum
    high: Datum
    expansion: Datum
    gap_share: Datum
    durometers: tuple[float, ...]


@attrs.frozen
class Gland:
    """A row of the gland chart, m: depth, squeeze, width by number of backup rings, corner."""

    cs: float
    depth: tuple[float, float]
    squeeze: tuple[float, float]
    share: tuple[float, float]
    clearance: tuple[float, float]
    width: tuple[tuple[float, float], ...]
    corner: tuple[float, float]


def _pair(text: str, unit: float) -> tuple[float, float]:
    low, high = (float(figure) * unit for figure in text.split())
    return low, high


def _compounds() -> dict[str, Compound]:
    book = _read("compounds.toml")

    def datum(entry: list[str], zero: float = 0.0) -> Datum:
        figure, key, seen = entry
        return Datum(float(figure) + zero, book["sources"][key], seen)

    return {
        row["id"]: Compound(
            row["id"],
            row["label"],
            datum(row["low"], ZERO_CELSIUS),
            datum(row["high"], ZERO_CELSIUS),
            datum(row["expansion"]),
            datum(row["gap_share"]),
            tuple(float(figure) for figure in row["durometers"][0].split()),
        )
        for row in book["compound"]
    }


def _glands(book: Mapping[str, Any]) -> list[Gland]:
    return [
        Gland(
            float(row["cs"]) * INCH,
            _pair(row["L"], INCH),
            _pair(row["squeeze"], INCH),
            _pair(row["share"], 0.01),
            _pair(row["clearance"], INCH),
            tuple(_pair(text, INCH) for text in row["width"]),
            _pair(row["R"], INCH),
        )
        for row in book["chart"]["rows"]
    ]


def class_b_tolerance(d_1: float) -> float:
    """Tolerance of a metric ring's inside diameter, m, to 0.01 mm: ISO 3601-1 class B, annex A.4.

    As printed on a trade page, whose rule misprints the exponent: its own table obeys 0.95.
    """
    mm = d_1 / MM
    return round(0.009 * mm**0.95 + 0.11, 2) * MM


def _metric() -> dict[str, Ring]:
    book = _read("metric_rings.toml")
    found = {}
    for section in book["section"]:
        cs, tol = float(section["d2"]) * MM, float(section["tol"]) * MM
        for text in section["d1"].split():
            d_1 = round(float(text) * MM, 9)
            key = f"{text}x{float(section['d2']):g}"
            found[key] = Ring(
                key, d_1, class_b_tolerance(d_1), cs, tol, book["source"], book["seen"]
            )
    return found


_BOOK = _read("glands.toml")
COMPOUNDS: dict[str, Compound] = _compounds()
GLANDS: list[Gland] = _glands(_BOOK)
METRIC: dict[str, Ring] = _metric()
ALL: dict[str, Ring] = {**RINGS, **METRIC}
_CHART_UP_TO, GUIDE_TOP = (
    float(_BOOK[chart]["up_to"].split()[-1]) * PSI for chart in ("extrusion", "extrusion_guide")
)
CHART_TOP = Datum(_CHART_UP_TO, _BOOK["extrusion"]["source"], _BOOK["extrusion"]["seen"])
PUSH_MOST = Datum(float(_BOOK["push"]["most"]), _BOOK["push"]["source"], _BOOK["push"]["seen"])


def ring_label(key: str) -> str:
    """How a ring is called: "AS568-232", "69 × 3.55"."""
    return key.replace("x", " × ") if key in METRIC else f"AS568-{key}"


def ring_choices() -> dict[str, str]:
    """Keys and labels of every ring that may be picked."""
    return {key: ring_label(key) for key in ALL}


def compound_choices() -> dict[str, str]:
    """Keys and labels of the compounds."""
    return {key: row.label for key, row in COMPOUNDS.items()}


# What a design may state of its own compound.
COMPOUND_NUMBERS = ("low", "high", "expansion", "gap_share")


def compound_from_values(
    id: str,
    label: str,
    values: Mapping[str, float],
    source: str = OWN,
    like: Compound | None = None,
) -> Compound:
    """A compound of SI values that a design states, from a maker's sheet for instance.

    What it does not state comes from the row it is `like`; without one it bears half the chart's
    gap. Raises KeyError on a number that is neither stated nor taken over.
    """
    own = stated(values, source)
    half = Datum(0.5, "not stated, so as little as silicone bears", "stated")
    base = attrs.asdict(like, recurse=False) if like else {"gap_share": half}
    known = {name: own.get(name) or base[name] for name in COMPOUND_NUMBERS}
    return Compound(id, label, durometers=like.durometers if like else (70.0, 80.0, 90.0), **known)


def chart_depth(cs: Any) -> Any:
    """Gland depth of the chart for a section, m: mid of its range, in proportion between rows."""
    known = np.array([row.cs for row in GLANDS])
    shares = np.array([sum(row.depth) / 2 / row.cs for row in GLANDS])
    return cs * np.interp(cs, known, shares)


def chart_width(cs: Any, backups: int) -> Any:
    """Groove width of the chart for a section, m: mid of its range, in proportion between rows."""
    known = np.array([row.cs for row in GLANDS])
    shares = np.array([sum(row.width[backups]) / 2 / row.cs for row in GLANDS])
    return cs * np.interp(cs, known, shares)
