"""Flat round plate under pressure, simply supported on its rim: stress, limit load, rotation.

Symbols: p pressure on the wet face, a radius of the rim, b radius of the hole, h thickness,
E and nu Young's modulus and Poisson's ratio, s depth of the rim's seal from the wet face (the
pressure acts on the rim too, from the wet face down to s). The hole is plugged: the plug's load
p π b² comes on its edge.

The stresses are thin-plate bending, raised for thickness (2.4 (h/2a)³), for the pressure through
the thickness and for the pressure on the rim. Made for 0.12 ≤ h/2a ≤ 0.5, b/a ≤ 0.4, s/h ≤ 2/3
and a support between 0.2 h from the dry face and the seal: there they are not below axisymmetric
finite elements. The larger of the dry and the wet face counts. Deeper seals earn no credit.

SI floats or arrays that broadcast; the common shape comes back; nothing is raised.
"""

from hobbyclosure import quick
from hobbyclosure.units import metre, one, pascal, radian


def plate_bending(p: pascal, a: metre, b: metre, h: metre, nu: one) -> pascal:
    """Greatest bending stress of the thin plate, at the hole's edge; with b = 0 at its middle.

    A hole doubles what the middle of the solid plate bears.
    Source: Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, 3(3 + ν)pa²/8h² for the
    solid plate; annular plate with uniform load plus a line load p b/2 on the inner edge.
    """
    times = quick.where(b > 0, 2, 1)
    return times * 3 / 8 * p / h**2 * ((3 + nu) * a**2 + (1 - nu) * b**2)


def plate_raised(sigma_b: pascal, p: pascal, a: metre, b: metre, h: metre, nu: one) -> pascal:
    """Bending stress sigma_b raised for the plate's thickness and the pressure through it.

    Source: this project's own, checked by finite elements.
    """
    times, slender = quick.where(b > 0, 2, 1), h / (2 * a)
    return sigma_b * (1 + 2.4 * slender**2 * slender) + times * (2 + nu) / 20 * p


def plate_dry_stress(sigma: pascal, p: pascal, a: metre, b: metre, h: metre, s: metre) -> pascal:
    """Greatest hoop tension of the dry face: the raised bending sigma and the rim's pressure.

    Source: this project's own, checked by finite elements.
    """
    squeezed = quick.where(b > 0, 2, 1) * a**2 / (a**2 - b**2) * p * s / h
    return sigma + squeezed * quick.maximum(2 - 3 * s / h, 0)


def plate_wet_stress(sigma: pascal, p: pascal, a: metre, b: metre, h: metre, s: metre) -> pascal:
    """Greatest compression of the wet face, von Mises at the middle of the solid plate.

    The rim's pressure s/h squeezes the whole plate and bends it too: on the wet face the two add
    to (s/h)(4 − 3s/h), on the dry face they give (s/h)(2 − 3s/h). On the solid plate the pressure
    on the face, a third compression, takes p off. Governs the holed plate as soon as the seal lies
    below the wet face.
    Source: as the dry face.
    """
    squeezed = quick.where(b > 0, 2, 1) * a**2 / (a**2 - b**2) * p * s / h
    return sigma + squeezed * (4 - 3 * s / h) - quick.where(b > 0, 0 * p, p)


def plate_limit_pressure(sigma: pascal, a: metre, b: metre, h: metre) -> pascal:
    """Pressure at which the plate with a plugged hole is plastic all over, its strength sigma.

    With b = 0 the solid plate. Thin-plate theory: no shear, no pressure on the rim.
    Source: Tresca's criterion with the hoop moment σh²/4 everywhere (Hopkins and Prager, J. Mech.
    Phys. Solids 2 (1953) for the solid plate); the hole's edge carries the plug's load.
    """
    return 1.5 * sigma * h**2 / (a**2 + a * b + b**2)


def rim_rotation(p: pascal, a: metre, b: metre, h: metre, E: pascal, nu: one) -> radian:
    """Angle by which the rim of the plate with a plugged hole turns, thin-plate theory.

    With b = 0 the solid plate. The rim spreads at the dry face and draws in at the wet one.
    Source: Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, annular plate with
    uniform load plus a line load p b/2 on the inner edge.
    """
    solid = 1.5 * (1 - nu) * p * a**2 * a / (E * h**2 * h)
    return solid * (1 + (3 + nu) * b**2 / ((1 - nu) * a**2))
