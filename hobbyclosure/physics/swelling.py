"""Growth of the bore at a seal near the tube's free end, where it is not the far-field growth.

The gas ends at the ring, a distance d from the free end; the screws pull the end force in at e from
the free end. The tube is a beam on an elastic foundation: X = βd, Y = βe with
β = [3(1 − ν²)]^¼/√(R_m t). Symbols as in `vessel`; SI floats or arrays that broadcast; the common
shape comes back; nothing is raised. For d above zero.
"""

import numpy as np

from hobbyclosure import quick
from hobbyclosure.physics.vessel import axial_stress, hoop_bore
from hobbyclosure.units import metre, one, pascal, per_metre


def foundation_length(r_i: metre, r_o: metre) -> metre:
    """√(R_m t), the length over which a bend of the tube's wall dies away.

    Source: as foundation_number.
    """
    return np.sqrt((r_i + r_o) / 2 * (r_o - r_i))


def foundation_number(length: metre, nu: one) -> per_metre:
    """β of the tube's wall as a beam on an elastic foundation, length = √(R_m t).

    Source: Timoshenko, Strength of Materials, Part II, thin cylinder, axially symmetric bending.
    """
    return (3 * (1 - nu**2)) ** 0.25 / length


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


def growth_at_ring(X: one, Y: one, u_p: metre, u_F: metre) -> metre:
    """Radial growth of the bore at a ring X from the free end, where the pressure ends.

    u_p growth by pressure, u_F shrinking by the pull of the screws, which begins at Y. The screws'
    load is taken in the middle of the wall.
    Source: Timoshenko, Strength of Materials, Part II: semi-infinite beam on an elastic
    foundation, loaded from X on; derived for this project, within 1.2 % of finite elements for X
    from 0.6 β√(R_m t) up.
    """
    fade, sin_X, cos_X, sin_Y, cos_Y = np.exp(-X), np.sin(X), np.cos(X), np.sin(Y), np.cos(Y)
    pressed = (1 + fade**2 * (1 - 2 * sin_X * cos_X)) / 2
    near = np.exp(-quick.maximum(X - Y, Y - X)) * (cos_X * cos_Y + sin_X * sin_Y) / 2
    inside = quick.where(X < Y, near, 1 - near)
    mirrored = (cos_Y - 2 * sin_Y) * cos_X + sin_Y * sin_X
    pulled = inside + fade * np.exp(-Y) * mirrored / 2
    return pressed * u_p - pulled * u_F


def growth_bound(xi: one, u_far: metre) -> metre:
    """Bound on the growth at a ring: 0.6 of the far-field growth, rising to all of it at the end.

    Covers screws that bear on the outer third of the wall. xi = d/√(R_m t): 0.6 from xi = 0.6 on,
    1 up to 0.3, in proportion between.
    Source: own finite elements (0.40 to 0.57 found).
    """
    far = quick.minimum(quick.maximum((xi - 0.3) / 0.3, 0), 1)
    return (1 - 0.4 * far) * u_far
