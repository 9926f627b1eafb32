"""Worst dimensions: of every field with a tolerance, the least and the most it may be.

Field `case.wall` gives quantities `case_wall_min` and `case_wall_max`; sweeps move the nominal.
"""

from hobbyclosure.fields import FIELDS, Field
from hobbyclosure.graph import QUANTITIES, Quantity
from hobbyclosure.units import metre, one


def least(x: metre, tol: metre) -> metre:
    """Least the dimension may be."""
    return x - tol


def most(x: metre, tol: metre) -> metre:
    """Most the dimension may be."""
    return x + tol


def share(x: metre, part: one) -> metre:
    """Tolerance as a share of the nominal."""
    return x * part


def _keep(field: Field) -> None:
    x, tol = field.name, f"{field.name}_tol"
    stem = field.symbol
    for name, fn, mark, word in (
        (f"{x}_min", least, "min", "least it may be"),
        (f"{x}_max", most, "max", "most it may be"),
    ):
        QUANTITIES[name] = Quantity(
            name=name, fn=fn, args=(x, tol), unit="m", evidence="theory",
            symbol=f"{stem},{mark}" if "_" in stem else f"{stem}_{mark}",
            title=f"{field.label}, {word}", source="tolerance of the dimension",
        )  # fmt: skip
    if field.tol.endswith("%"):
        QUANTITIES[tol] = Quantity(
            name=tol, fn=share, args=(x, f"{tol}_share"), symbol=f"Δ{stem}", unit="m",
            title=f"{field.label}, tolerance", evidence="practice",
            source=f"default ± {field.tol}, unless stated; common practice, no source",
        )  # fmt: skip


for _field in FIELDS.values():
    if _field.tol:
        _keep(_field)
