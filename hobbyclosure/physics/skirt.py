"""The closure's skirt: stress in the fillet between skirt and plate.

Symbols: p pressure on the wet face, a radius of the rim, r_i inside radius of the skirt, r_f
radius of the fillet; h plate thickness. Made for h/2a 0.15 to 0.3, a skirt 0.12 to 0.2 of 2a
thick and 0.1 to 0.6 of 2a long, r_f/2a 0.015 to 0.05, its screws anywhere along the skirt's
middle: there never below axisymmetric finite elements.
SI floats or arrays that broadcast; the common shape comes back; nothing is raised.
"""

import numpy as np

from hobbyclosure import quick
from hobbyclosure.units import metre, pascal


def skirt_fillet_stress(p: pascal, a: metre, r_i: metre, r_f: metre, bending: pascal) -> pascal:
    """Greatest stress in the fillet, from the thin plate's bending stress and the skirt's load.

    Source: this project's own, checked by finite elements; the plate's part after Timoshenko.
    """
    sharp = quick.maximum(np.sqrt(0.031 * 2 * a / r_f), 1)
    skirt = 2 * p * a**2 / (a**2 - r_i**2)
    return 1.25 * sharp * (0.3 * bending + skirt)
