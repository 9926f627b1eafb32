"""Tearing of the tube beside its screw holes, and bending of its wall near them.

Two rows are staggered: p_2 pitch of a row along the circumference, s distance of the rows along
the axis, e from the row nearest the tube's end to that end. SI floats or arrays that broadcast;
the common shape comes back; nothing is raised.
"""

import numpy as np

from hobbyclosure import quick
from hobbyclosure.units import metre, newton, pascal, square_metre


def block_tear_force(f_u: pascal, f_y: pascal, A_nt: square_metre, A_nv: square_metre) -> newton:
    """Force that tears out a block: net area A_nt breaks in tension, A_nv yields in shear.

    No partial factors. Below M12 an extrapolation.

    Source: EN 1993-1-8:2005, 3.10.2(2), V_eff,1 for a symmetric group of screws.
    """
    return f_u * A_nt + f_y * A_nv / np.sqrt(3)


def block_shear_area(t: metre, e: metre, d_h: metre) -> square_metre:
    """Area of the two planes that lead from the block's outer holes to the edge, at e.

    Source: Steel Buildings in Europe, Part 5, A_nv = 2t(e_1 − 0.5 d_0) for one hole on each line.
    """
    return 2 * t * quick.maximum(e - d_h / 2, 0 * e)


def block_straight_area(t: metre, p_2: metre, d_h: metre) -> square_metre:
    """Area between two neighbouring holes of a row.

    Source: Steel Buildings in Europe, Part 5, A_nt = t(p_2 − d_0).
    """
    return t * quick.maximum(p_2 - d_h, 0 * p_2)


def block_zigzag_area(t: metre, p_2: metre, s: metre, d_h: metre) -> square_metre:
    """Area between two neighbouring holes of a row by way of the hole of the other row.

    Two diagonals s along and p_2/2 across, each worth s²/(4 p_2/2) more than straight.

    Source: EN 1993-1-1, 6.2.2.2(4) (Cochrane's rule).
    """
    return t * quick.maximum(p_2 - 2 * d_h + s**2 / p_2, 0 * p_2)


def row_bending_stress(p: pascal, R_m: metre, t: metre) -> pascal:
    """Bending stress of the wall at a screw row or a seal, on top of its membrane stress.

    R_m mean radius of the wall.

    Source: own shell model (beam on elastic foundation), about 0.33 p R_m/t; weak.
    """
    return 0.33 * p * R_m / t
