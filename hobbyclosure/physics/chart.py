"""What is read from charts: the gap a ring may bridge, and grooves by section.

SI floats, arrays that broadcast, or Pint quantities; returns their common shape; raises nothing.
"""

import tomllib
from importlib import resources
from typing import Any

import numpy as np

from hobbyclosure import quick
from hobbyclosure.units import Q, metre, one, pascal

_INCH, _PSI = 0.0254, 6894.757293168361


def _book() -> dict[str, Any]:
    return tomllib.loads(
        resources.files("hobbyclosure").joinpath("data/glands.toml").read_text("utf-8")
    )


def _row(text: str, unit: float) -> Any:
    return np.array(text.split(), float) * unit


def _steps(chart: dict[str, Any], ends: Any) -> Any:
    """Gaps of a chart by hardness (rows) and by the bands of both charts; its last one goes on."""
    own = _row(chart["up_to"], _PSI)
    band = quick.minimum(np.searchsorted(own, ends), len(own) - 1)
    return np.array([_row(chart[key], _INCH)[band] for key in sorted(chart) if key.isdigit()])


_BOOK = _book()
_CHART, _GUIDE = _BOOK["extrusion"], _BOOK["extrusion_guide"]
_ENDS = np.unique([end for chart in (_CHART, _GUIDE) for end in _row(chart["up_to"], _PSI)])
_SOFT, _HARD = _steps(_CHART, _ENDS)
_HARDER = _HARD - _SOFT
_GUIDED = _steps(_GUIDE, _ENDS)
_ROWS = _BOOK["chart"]["rows"]
_CS = np.array([float(row["cs"]) for row in _ROWS]) * _INCH
_SHARPEST, _CORNER = (
    np.array([float(row["R"].split()[end]) for row in _ROWS]) * _INCH for end in (0, 1)
)
_BACKUP = np.array(
    [(float(row["width"][2].split()[0]) - float(row["width"][0].split()[0])) / 2 for row in _ROWS]
) * _INCH  # fmt: skip


def _plain(x: Any, unit: str) -> Any:
    return x.to(unit).magnitude if hasattr(x, "to") else x


def _like(x: Any, metres: Any) -> Any:
    return Q(metres, "m") if hasattr(x, "to") else metres


def chart_band(p: pascal) -> one:
    """Which band of the extrusion charts the pressure p falls in, counted from 0.

    Pressure counts by bands, as printed: nothing is read between them. Above the last band it
    stands: whoever calls says that the charts have ended.

    Source: the steps of both charts (see glands.toml).
    """
    steps = np.searchsorted(_ENDS, _plain(p, "Pa") * (1 - 1e-12))
    return quick.minimum(steps, len(_ENDS) - 1)


def _band(band: Any) -> Any:
    return np.asarray(_plain(band, "dimensionless")).astype(int, copy=False)


def chart_gap(H: one, band: one) -> metre:
    """Diametral gap that a ring of the hardness H bridges in a band of pressure, trade chart.

    Read in proportion between 70 and 90 Shore, above 90 as at 90; below 70 there is no answer.

    Source: trade chart of diametral clearance by hardness and pressure band (see glands.toml).
    """
    hardness, at = _plain(H, "dimensionless"), _band(band)
    share = quick.minimum(quick.maximum((hardness - 70) / 20, 0), 1)
    gap = _SOFT[at] + share * _HARDER[at]
    return _like(H, quick.where(hardness >= 70, gap, np.nan))


def guide_gap(H: one, band: one) -> metre:
    """Diametral gap that a ring of the hardness H bridges in a band of pressure, design guide.

    Read at the next lower of 70, 80 and 90 Shore, as the guide asks; below 70 there is no answer.
    Above the guide's last band its last value stands.

    Source: ring design guide, maximum recommended total diametral clearance (see glands.toml).
    """
    hardness, at = _plain(H, "dimensionless"), _band(band)
    gap = _GUIDED[(hardness >= 80) * 1 + (hardness >= 90), at]
    return _like(H, quick.where(hardness >= 70, gap, np.nan))


def extrusion_limit(H: one, band: one) -> metre:
    """Largest diametral gap that a ring of the hardness H bridges in a band of pressure.

    Source: the lesser of chart_gap and guide_gap.
    """
    return quick.minimum(chart_gap(H, band), guide_gap(H, band))


def corner_radius_most(d_2: metre) -> metre:
    """Largest corner radius of a groove's floor for a ring of section d_2.

    In proportion between the chart's sections, its ends beyond them.

    Source: gland chart, static radial (see glands.toml).
    """
    return _like(d_2, np.interp(_plain(d_2, "m"), _CS, _CORNER))


def corner_radius_least(d_2: metre) -> metre:
    """Smallest corner radius of a groove's floor for a ring of section d_2, as the largest.

    Source: gland chart, static radial (see glands.toml).
    """
    return _like(d_2, np.interp(_plain(d_2, "m"), _CS, _SHARPEST))


def backup_thickness(d_2: metre) -> metre:
    """Width that one backup ring takes in the groove of a ring of section d_2.

    Half of what the chart widens a groove by for two of them.

    Source: gland chart, static radial (see glands.toml).
    """
    return _like(d_2, np.interp(_plain(d_2, "m"), _CS, _BACKUP))
