"""An O-ring in its groove: section, squeeze, fill, what it takes to push it in, its housing.

Symbols: d_1 inside diameter and d_2 section of the free ring, D bore, D_f groove floor, L gland
depth (bore radius less floor radius where the ring is looked at), c diametral clearance, w groove
width, alpha linear expansion, T_0 temperature at which everything was measured, H Shore A, C
squeeze as a share of the section, mu friction, theta angle. SI floats or arrays that broadcast;
the common shape comes back; nothing is raised.
"""

from typing import Annotated, Any

import numpy as np

from hobbyclosure import quick
from hobbyclosure.units import (
    kelvin,
    metre,
    newton,
    newton_per_metre,
    one,
    pascal,
    per_kelvin,
    radian,
)

cubic_metre = Annotated[Any, "m**3"]


def ring_volume(d_1: metre, d_2: metre) -> cubic_metre:
    """Volume of a ring.

    Source: geometry of the torus.
    """
    return np.pi**2 / 4 * d_2**2 * (d_1 + d_2)


def stretch(D_f: metre, d_1: metre) -> one:
    """Stretch of a ring on a groove floor, as a share of its inside diameter.

    Source: definition.
    """
    return D_f / d_1 - 1


def section_stretched(d_1: metre, d_2: metre, D_f: metre) -> metre:
    """Section of a ring stretched over a floor; a ring slack on it keeps its own.

    The volume stays, the section stays round.
    Source: geometry of the torus; Apple Rubber Seal Design Guide, seal compression, states the
    same two assumptions.
    """
    return d_2 * np.sqrt(quick.minimum((d_1 + d_2) / (D_f + d_2), 1))


def section_loss_empirical(x: one) -> one:
    """Share of its section that a ring loses by the stretch x: context, more than geometry gives.

    Made for stretches up to 25 %.
    Source: Parker O-Ring Handbook, Figure 3-3.
    """
    X = 100 * x
    low = -0.005 + 1.19 * X - 0.19 * X**2 - 0.001 * X**3 + 0.008 * X**4
    high = 0.56 + 0.59 * X - 0.0046 * X**2
    return quick.where(X <= 3, low, high) / 100


def section_at(
    d_2: metre, alpha_r: per_kelvin, alpha_m: per_kelvin, T: kelvin, T_0: kelvin
) -> metre:
    """Section at a temperature, measured in metal that changes with it.

    Source: linear expansion of rubber less that of the metal round it.
    """
    return d_2 * (1 + (alpha_r - alpha_m) * (T - T_0))


def gland_depth(D: metre, D_f: metre) -> metre:
    """Room from floor to bore with the closure in the middle; the clearance is in it.

    Source: geometry.
    """
    return (D - D_f) / 2


def squeeze(d_2: metre, L: metre) -> one:
    """Squeeze as a share of the section; below zero where the ring does not touch.

    Source: definition.
    """
    return 1 - L / d_2


def squeezed_width(d_2: metre, L: metre) -> metre:
    """Width of a section squeezed to the depth L: flat on two sides, round on two, area kept.

    Source: geometry.
    """
    flat = np.pi / 4 * (d_2**2 - L**2) / L
    return quick.maximum(L + flat, d_2)


def gland_fill(V: cubic_metre, D: metre, D_f: metre, w: metre) -> one:
    """Share of the groove that a ring of volume V fills.

    Source: geometry; the room is the ring between floor and bore.
    """
    return V / (np.pi / 4 * (D**2 - D_f**2) * w)


def free_projection(D_f: metre, d_2: metre, D: metre, c: metre) -> metre:
    """How far a ring stands outside the bore before it is pushed in, the closure off centre.

    Source: geometry.
    """
    return D_f / 2 + d_2 + c / 2 - D / 2


def chamfer_rise(l_c: metre, theta: radian) -> metre:
    """How far a chamfer of axial length l_c opens the bore, on the radius.

    Source: geometry; theta from the axis.
    """
    return l_c * np.sin(theta) / np.cos(theta)


def shore_modulus(H: one, E_1: pascal) -> pascal:
    """Young's modulus of rubber of the hardness H; E_1 is one megapascal, the form's own unit.

    Source: Gent (1958), 0.0981(56 + 7.62336 H)/[0.137505(254 − 2.54 H)] MPa.
    """
    return E_1 * 0.0981 * (56 + 7.62336 * H) / (0.137505 * (254 - 2.54 * H))


def squeeze_line_force(d_2: metre, E: pascal, C: one) -> newton_per_metre:
    """Force that squeezes a ring by C between two flats, over its length.

    Source: Lindley, J. Strain Analysis 2 (1967), E d (1.25 C^1.5 + 50 C^6).
    """
    share = quick.maximum(C, 0)
    cubed = share**2 * share
    return d_2 * E * (1.25 * share * np.sqrt(share) + 50 * cubed**2)


def push_sliding(q: newton_per_metre, D: metre, mu: one) -> newton:
    """Force that slides a ring along the bore, q its force on the bore over its length.

    Source: Coulomb friction.
    """
    return mu * q * np.pi * D


def push_entering(q: newton_per_metre, D: metre, mu: one, theta: radian) -> newton:
    """Force that pushes a ring up a chamfer when it is fully squeezed.

    Near and beyond where friction locks it, μ tan θ = 1, it is held at a twentieth of the way: a
    force that no hand gives.
    Source: Coulomb friction on an inclined plane.
    """
    free = quick.maximum(np.cos(theta) - mu * np.sin(theta), 0.05 * np.cos(theta))
    slope = (np.sin(theta) + mu * np.cos(theta)) / free
    return slope * q * np.pi * D


def thermal_opening(
    D: metre, alpha_1: per_kelvin, T_1: kelvin, alpha_2: per_kelvin, T_2: kelvin, T_0: kelvin
) -> metre:
    """How much a bore (1) outgrows the plug in it (2), on the diameter; never below zero.

    Source: linear expansion.
    """
    return D * quick.maximum(alpha_1 * (T_1 - T_0) - alpha_2 * (T_2 - T_0), 0)


def rim_opening(theta: radian, h: metre, s: metre) -> metre:
    """How much a plate's turning rim opens the gap at s from the wet face, on the diameter.

    theta the angle of the rim, h thickness. Below mid-thickness the gap closes: counted as zero.
    Source: geometry of a rim that turns about the middle of the plate.
    """
    return quick.maximum(2 * theta * (h / 2 - s), 0 * h)


def collapse_pressure(E: pascal, nu: one, t: metre, R: metre) -> pascal:
    """Outside pressure under which a long thin tube of mean radius R folds in.

    Source: Timoshenko and Gere, Theory of Elastic Stability, long tube (Bresse); two lobes.
    """
    thin = t / R
    return E / (4 * (1 - nu**2)) * thin**2 * thin


def hoop_pressed_outside(p: pascal, r_i: metre, r_o: metre) -> pascal:
    """Greatest hoop compression of a thick tube under outside pressure, at its bore.

    Source: Lamé; Timoshenko, Strength of Materials, Part II, thick-walled cylinder.
    """
    return 2 * p * r_o**2 / (r_o**2 - r_i**2)
