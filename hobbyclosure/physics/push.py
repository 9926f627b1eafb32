"""A ring on its way in: how a chamfer lets go of its squeeze, and the holes that it crosses.

s is the way past the tube's end, y the way past the holes' centres; l_c length and theta angle of
the chamfer from the axis, L gland depth in the bore, D bore, n holes of diameter d in a row. SI
floats or arrays that broadcast; nothing is raised.
"""

import numpy as np

from hobbyclosure import quick
from hobbyclosure.units import metre, one, radian


def depth_on_chamfer(L: metre, l_c: metre, theta: radian, s: metre) -> metre:
    """Room from floor to housing where the ring is on the chamfer, or behind it in the bore.

    Source: geometry.
    """
    return L + quick.maximum(l_c - s, 0 * l_c) * np.sin(theta) / np.cos(theta)


def share_over_holes(n: one, d: metre, D: metre, y: metre) -> one:
    """Share of a ring's circumference that lies over the holes of a row, y from their centres.

    Source: geometry, a chord of each hole; the ring's own width is left out.
    """
    chord = np.sqrt(quick.maximum(d**2 - 4 * y**2, 0 * d**2))
    return quick.minimum(n * chord / (np.pi * D), 1)


def climbing(d: metre, y: metre) -> one:
    """How steeply a hole's edge of diameter d is met, as a share of its own slope; leaving only.

    Source: geometry: at its sides the edge runs along the way, at its end across.
    """
    return quick.minimum(quick.maximum(2 * y / d, 0), 1)


def friction_that_moves(mu: one, theta: radian) -> one:
    """Friction, kept below what would lock a ring on the slope theta whatever the force.

    Source: Coulomb friction on an inclined plane, mu tan(theta) at most 0.95.
    """
    return quick.minimum(mu, 0.95 * np.cos(theta) / np.sin(theta))
