"""Metal left between cuts: the land beside a groove, and what stands between a hole and a groove.

Stations x are counted along the axis, towards the hot side. SI floats or arrays that broadcast;
the common shape comes back; nothing is raised. Cuts that run into each other leave next to
nothing, never less: the forms stay finite and the checks fall short.
"""

import numpy as np

from hobbyclosure import quick
from hobbyclosure.units import metre, one, pascal


def metal_ahead(x: metre, x_g: metre, w_g: metre, x_end: metre) -> metre:
    """Metal from a hole's centre x towards the hot side, up to a groove or else to the end.

    The groove begins at x_g and is w_g wide; one that lies behind the hole does not count.

    Source: geometry.
    """
    nothing = 1e-3 * w_g
    ahead = quick.where(x_g + w_g > x, x_g - x, x_end - x)
    return quick.maximum(ahead, nothing)


def metal_between(x: metre, d: metre, x_g: metre, w_g: metre) -> metre:
    """Metal along the axis between the rim of a hole d at x and a groove on either side of it.

    Source: geometry.
    """
    gap = quick.maximum(x_g - (x + d / 2), (x - d / 2) - (x_g + w_g))
    return quick.maximum(gap, 0 * gap)


def land_stress(p: pascal, R: metre, R_f: metre, w: metre) -> pascal:
    """Greatest elastic stress at the root of a land w wide with the pressure p on one side.

    The land is a ring on the core, from the groove's floor R_f out to R, bent and sheared like a
    short cantilever; what it carries as a ring is left out. 2.5 is for the groove's corner, with a
    radius of a tenth of the land's width or height; 5 p for the pressure in the corner itself.

    Source: statics of a cantilever, Timoshenko, Strength of Materials, Part I; both additions are
    this project's own, checked by finite elements for w/(R − R_f) from 0.5 to 4.
    """
    H = quick.maximum(R - R_f, 0 * R)
    width = quick.maximum(w, 1e-4 * R)
    M = p * H**2 * (1 / 2 + H / (3 * R_f))
    V = p * H * (1 + H / (2 * R_f))
    bending = 6 * M / width**2
    shear = 1.5 * V / width
    return 2.5 * np.sqrt(bending**2 + 3 * shear**2) + 5 * p


def corner_share(r: metre, w: metre, R: metre, R_f: metre) -> one:
    """A groove's corner radius r over the width w or the height of its land, whichever is less.

    The land reaches from the floor R_f out to R. One of which nothing is left counts as rounded
    enough: it falls short by its stress.

    Source: definition; the range of `land_stress`.
    """
    least = quick.minimum(w, R - R_f)
    nothing = 0.01 * r + 1e-9 * R
    return r / quick.maximum(least, nothing)


def metal_between_holes(c: metre, d_1: metre, d_2: metre) -> metre:
    """Metal between the rims of two holes d_1 and d_2 whose centres stand c apart.

    Source: geometry.
    """
    gap = c - (d_1 + d_2) / 2
    return quick.maximum(gap, 0 * gap)


def least_ligament(d_1: metre, d_2: metre) -> metre:
    """Metal wanted between two holes: a third of their mean diameter.

    Centres 1 1/3 mean diameters apart, the least of ASME VIII-1 for openings that help each other.

    Source: ASME VIII-1, UG-42.
    """
    return (d_1 + d_2) / 2 / 3


def spread(R: metre, n: one) -> metre:
    """Distance of neighbours among n points spread evenly on a circle of radius R.

    Source: geometry.
    """
    return 2 * R * np.sin(np.pi / n)
