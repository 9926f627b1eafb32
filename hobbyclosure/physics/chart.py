"""What is read from charts: the gap a ring may bridge, and grooves by section.

SI floats, arrays that broadcast, or Pint quantities; returns their common shape; raises nothing.
"""

import tomllib
from importlib import resources
from typing import Any

import numpy as np

from hobbyclosure.units import Q, metre, one, pascal

_INCH, _PSI = 0.0254, 6894.757293168361


def _book() -> dict[str, Any]:
    return tomllib.loads(
        resources.files("hobbyclosure").joinpath("data/glands.toml").read_text("utf-8")
    )


def _row(text: str, unit: float) -> Any:
    return np.array(text.split(), float) * unit


_BOOK = _book()
_ENDS = _row(_BOOK["extrusion"]["up_to"], _PSI)
_SOFT, _HARD = _row(_BOOK["extrusion"]["70"], _INCH), _row(_BOOK["extrusion"]["90"], _INCH)
_HARDER = _HARD - _SOFT
_ROWS = _BOOK["chart"]["rows"]
_CS = np.array([float(row["cs"]) for row in _ROWS]) * _INCH
_CORNER = np.array([float(row["R"].split()[1]) for row in _ROWS]) * _INCH
_BACKUP = np.array(
    [(float(row["width"][2].split()[0]) - float(row["width"][0].split()[0])) / 2 for row in _ROWS]
) * _INCH  # fmt: skip


def _plain(x: Any, unit: str) -> Any:
    return x.to(unit).magnitude if hasattr(x, "to") else x


def _like(x: Any, metres: Any) -> Any:
    return Q(metres, "m") if hasattr(x, "to") else metres


def extrusion_limit(H: one, p: pascal) -> metre:
    """Largest diametral gap that a ring of the hardness H bridges at the pressure p.

    Pressure counts by bands, as printed: nothing is read between them. Between 70 and 90 Shore the
    gap is read in proportion, above 90 as at 90, below 70 there is no answer. Above the last band
    its value stands: whoever calls says that the chart has ended.

    Source: trade chart of diametral clearance by hardness and pressure band (see glands.toml).
    """
    hardness, pressure = _plain(H, "dimensionless"), _plain(p, "Pa")
    band = np.minimum(np.searchsorted(_ENDS, pressure * (1 - 1e-12)), len(_ENDS) - 1)
    share = np.minimum(np.maximum((hardness - 70) / 20, 0), 1)
    limit = _SOFT[band] + share * _HARDER[band]
    return _like(p, np.where(hardness >= 70, limit, np.nan)[()])


def corner_radius_most(d_2: metre) -> metre:
    """Largest corner radius of a groove's floor for a ring of section d_2.

    In proportion between the chart's sections, its ends beyond them.

    Source: gland chart, static radial (see glands.toml).
    """
    return _like(d_2, np.interp(_plain(d_2, "m"), _CS, _CORNER))


def backup_thickness(d_2: metre) -> metre:
    """Width that one backup ring takes in the groove of a ring of section d_2.

    Half of what the chart widens a groove by for two of them.

    Source: gland chart, static radial (see glands.toml).
    """
    return _like(d_2, np.interp(_plain(d_2, "m"), _CS, _BACKUP))
