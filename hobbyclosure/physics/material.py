"""Strength of a material at temperature, from its table."""

from typing import Any

import numpy as np

from hobbyclosure.units import kelvin, one


def strength_ratio(T: kelvin, T_table: Any, ratio_table: Any) -> one:
    """Strength when hot over strength at room temperature; nan outside the table.

    Below the table's first temperature, down to −50 °C, the ratio there counts: aluminium and
    steel gain strength in the cold. Above its last there is no answer.

    Source: the table's own row; linear between its points.
    """
    kelvins = T.to("K").magnitude if hasattr(T, "to") else T
    points = T_table.to("K").magnitude if hasattr(T_table, "to") else T_table
    return np.interp(kelvins, points, ratio_table, right=np.nan)
