"""The closure's skirt: stress in the fillet between skirt and plate.

Symbols: p pressure on the wet face, a radius of the rim, b radius of the plugged hole, h plate
thickness, nu Poisson's ratio, r_i inside radius of the skirt, r_f radius of the fillet. Made for
h/2a 0.15 to 0.3, a skirt 0.12 to 0.2 of 2a thick and 0.1 to 0.6 of 2a long, r_f/2a 0.015 to 0.05,
its screws anywhere along the skirt's middle: there never below axisymmetric finite elements.
SI floats or arrays that broadcast; the common shape comes back; nothing is raised.
"""

import numpy as np

from hobbyclosure.units import metre, one, pascal


def skirt_fillet_stress(p: pascal, a: metre, r_i: metre, r_f: metre, bending: pascal) -> pascal:
    """Greatest stress in the fillet, from the flat plate's bending stress and the skirt's load.

    Source: this project's own, checked by finite elements; the plate's part after Timoshenko.
    """
    sharp = np.maximum(np.sqrt(0.031 * 2 * a / r_f), 1)
    skirt = 2 * p * a**2 / (a**2 - r_i**2)
    return 1.25 * sharp * (0.3 * bending + skirt)


def fillet_stress_solid(p: pascal, a: metre, h: metre, nu: one, r_i: metre, r_f: metre) -> pascal:
    """Greatest stress in the fillet of a plate without a hole.

    Source: Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, 3(3 + ν)pa²/8h², in
    `skirt_fillet_stress`.
    """
    bending = 3 * (3 + nu) / 8 * p * a**2 / h**2
    return skirt_fillet_stress(p, a, r_i, r_f, bending)


def fillet_stress_holed(
    p: pascal, a: metre, b: metre, h: metre, nu: one, r_i: metre, r_f: metre
) -> pascal:
    """Greatest stress in the fillet of a plate with a plugged hole.

    Source: Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, annular plate with
    uniform load plus a line load p b/2 on the inner edge, in `skirt_fillet_stress`.
    """
    bending = 3 / 4 * p / h**2 * ((3 + nu) * a**2 + (1 - nu) * b**2)
    return skirt_fillet_stress(p, a, r_i, r_f, bending)
