"""Growth of the bore at a seal near the tube's free end, where it is not the far-field growth.

The gas ends at the ring, a distance d from the free end; the screws pull the end force in at e from
the free end. The tube is a beam on an elastic foundation: X = βd, Y = βe with
β = [3(1 − ν²)]^¼/√(R_m t). Symbols as in `vessel`; SI floats or arrays that broadcast; the common
shape comes back; nothing is raised. For d above zero.
"""

import numpy as np

from hobbyclosure.physics.vessel import axial_stress, bore_growth, hoop_bore
from hobbyclosure.units import metre, one, pascal, per_metre


def foundation_number(r_i: metre, r_o: metre, nu: one) -> per_metre:
    """β of the tube's wall as a beam on an elastic foundation.

    Source: Timoshenko, Strength of Materials, Part II, thin cylinder, axially symmetric bending.
    """
    R_m, t = (r_i + r_o) / 2, r_o - r_i
    return (3 * (1 - nu**2)) ** 0.25 / np.sqrt(R_m * t)


def growth_by_pressure(p: pascal, r_i: metre, r_o: metre, E: pascal, nu: one) -> metre:
    """Radial growth of the bore of an open tube: what pressure does without the end's pull.

    Source: Lamé with Hooke's law.
    """
    return r_i / E * (hoop_bore(p, r_i, r_o) + nu * p)


def shrink_by_pull(p: pascal, r_i: metre, r_o: metre, E: pascal, nu: one) -> metre:
    """Radial shrinking of the bore by the pull of the end force.

    Source: Lamé with Hooke's law.
    """
    return r_i / E * nu * axial_stress(p, r_i, r_o)


def share_of_pressure(X: one) -> one:
    """Share of the open tube's growth where the pressure ends, X from the free end.

    Source: Timoshenko, Strength of Materials, Part II: semi-infinite beam on an elastic
    foundation, loaded from X on; derived for this project, compared with finite elements.
    """
    return (1 + np.exp(-2 * X) * (1 - np.sin(2 * X))) / 2


def share_of_pull(X: one, Y: one) -> one:
    """Share of the pull's shrinking at X, when the pull begins at Y from the free end.

    Source: as share_of_pressure.
    """
    Z = np.maximum(X - Y, Y - X)
    near = np.exp(-Z) * np.cos(Z)
    B_X, D_X = np.exp(-X) * np.sin(X), np.exp(-X) * np.cos(X)
    B_Y, C_Y = np.exp(-Y) * np.sin(Y), np.exp(-Y) * (np.cos(Y) - np.sin(Y))
    inside = np.where(X < Y, near / 2, 1 - near / 2)
    return inside + ((C_Y - B_Y) * D_X + B_Y * B_X) / 2


def growth_at_ring(
    p: pascal, r_i: metre, r_o: metre, E: pascal, nu: one, d: metre, e: metre
) -> metre:
    """Radial growth of the bore at a ring: the pressure ends there, the screws pull at e.

    The screws' load is taken in the middle of the wall.
    Source: as share_of_pressure; within 1.2 % of finite elements for d from 0.6 √(R_m t) up.
    """
    beta = foundation_number(r_i, r_o, nu)
    X, Y = beta * d, beta * e
    opening = share_of_pressure(X) * growth_by_pressure(p, r_i, r_o, E, nu)
    return opening - share_of_pull(X, Y) * shrink_by_pull(p, r_i, r_o, E, nu)


def growth_bound(p: pascal, r_i: metre, r_o: metre, E: pascal, nu: one, d: metre) -> metre:
    """Bound on the growth at a ring: 0.6 of the far-field growth, rising to all of it at the end.

    Covers screws that bear on the outer third of the wall. 0.6 for d ≥ 0.6 √(R_m t), 1 for
    d ≤ 0.3 √(R_m t), in proportion between.
    Source: own finite elements (0.40 to 0.57 found).
    """
    xi = d / np.sqrt((r_i + r_o) / 2 * (r_o - r_i))
    far = np.minimum(np.maximum((xi - 0.3) / 0.3, 0), 1)
    return (1 - 0.4 * far) * bore_growth(p, r_i, r_o, E, nu)
