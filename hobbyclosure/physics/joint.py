"""The screw joint: load on a screw, bearing and shear-out of the members, bending of the screw.

SI floats or arrays that broadcast; returns their common shape; raises nothing; nan outside limits.
F load on one screw across its axis, d its diameter, d_3 its root, d_h clearance hole, t wall,
e from hole centre to the edge the load points at, g gap between wall and closure at the screw.
"""

import numpy as np

from hobbyclosure import quick
from hobbyclosure.units import (
    metre,
    newton,
    newton_metre,
    newton_per_metre,
    one,
    pascal,
    square_metre,
)


def worst_screw_load(k: one, F: newton, n: one) -> newton:
    """Load F_s on the most loaded of n screws that share F; k worst over mean load.

    Source: definition of k.
    """
    return k * F / n


def circular_pitch(D: metre, n_row: one) -> metre:
    """Arc between neighbouring screws of one row on the diameter D; EN 1993-1-8 calls it p_2.

    Source: geometry.
    """
    return np.pi * D / n_row


def bearing_stress(F_s: newton, d: metre, t_eff: metre) -> pascal:
    """Bearing stress of a screw on the projected area d t_eff of its hole.

    Source: MIL-HDBK-5J, 1.4.7 (bearing stress on the pin diameter times the thickness).
    """
    return F_s / (d * t_eff)


def bearing_strength_en(e: metre, p_2: metre, d_h: metre, f_u: pascal, f_ub: pascal) -> pascal:
    """Bearing strength k_1 α_b f_u of a hole, no partial factor: e end distance along the load.

    p_2 pitch across the load; a closed ring has no edge across it. Below M12 an extrapolation.

    Source: EN 1993-1-8:2005, table 3.4, bearing resistance.
    """
    alpha_b = quick.minimum(quick.minimum(e / (3 * d_h), f_ub / f_u), 1)
    k_1 = quick.maximum(quick.minimum(1.4 * p_2 / d_h - 1.7, 2.5), 0)
    return k_1 * alpha_b * f_u


def bearing_strength_at(e: metre, d_h: metre, F_15: pascal, F_20: pascal) -> pascal:
    """Bearing allowable at e/d_h from those at 1.5 (F_15) and 2.0 (F_20).

    Linear between, constant above 2.0; below 1.5 reduced in proportion to e/d_h: an estimate.

    Source: MIL-HDBK-5J, 1.4.7 (allowables at e/D 1.5 and 2.0); between: common practice, no source;
    below: own.
    """
    r = quick.minimum(e / d_h, 2)
    between = F_15 + (F_20 - F_15) * (r - 1.5) / 0.5
    below = quick.where(r < 1.5, F_15 * r / 1.5, between)
    return quick.where(r < 2, below, F_20)


def shear_out_area(t: metre, e: metre, d_h: metre) -> square_metre:
    """Area 2 t (e − d_h/2) of the two planes along which a screw tears out towards the edge.

    Planes counted from the hole's rim, the shorter of the usual choices.

    Source: common practice, no source.
    """
    return 2 * t * (e - d_h / 2)


def screw_shear_capacity_threads(alpha_v: one, f_ub: pascal, A_s: square_metre) -> newton:
    """Shear capacity of a screw with threads in the shear plane, no partial factor.

    α_v 0.6 for 8.8; 0.5 for 10.9, 12.9 and stainless. Below M12, and for 12.9, an extrapolation.

    Source: EN 1993-1-8:2005, table 3.4, shear resistance.
    """
    return alpha_v * f_ub * A_s


def screw_shear_capacity_shank(f_ub: pascal, d: metre) -> newton:
    """Shear capacity of a screw with the full shank in the shear plane, no partial factor.

    Source: EN 1993-1-8:2005, table 3.4, shear resistance, α_v = 0.6.
    """
    return 0.6 * f_ub * np.pi / 4 * d**2


def plastic_moment(S_y: pascal, d_3: metre) -> newton_metre:
    """Fully plastic moment M_p of the round root section; with f_ub for S_y the ultimate moment.

    Source: theory of plasticity, section modulus d³/6 of a solid circle.
    """
    return S_y * d_3**2 * d_3 / 6


def shear_yield_force(S_y: pascal, A_s: square_metre) -> newton:
    """Force V_p that shears the stress area at von Mises yield.

    Source: von Mises, shear yield S_y/√3.
    """
    return A_s * S_y / np.sqrt(3)


def bending_arm(g: metre, t: metre, d_3: metre, E_closure: pascal, E_screw: pascal) -> metre:
    """Arm M/F of the largest bending moment in the screw, which lies inside the tapped hole.

    The screw is a beam on an elastic foundation, the closure, loaded at e from its surface; λ the
    inverse length of the foundation. The load sits at mid-wall, or nearer when the wall is thick.

    Source: Hetényi, Beams on Elastic Foundation, 1946 (semi-infinite beam, end load and moment),
    foundation modulus E_closure; 16 to 20 % above beam finite elements.
    """
    I = np.pi * d_3**4 / 64  # noqa: E741 - the source's symbol
    λ = (E_closure / (4 * E_screw * I)) ** 0.25
    e = g + quick.minimum(t / 2, 0.3 / λ)
    X = np.arctan(1 / (1 + 2 * e * λ))
    return np.exp(-X) * (np.sin(X) / λ + e * (np.cos(X) + np.sin(X)))


def proof_bending_force(arm: metre, M_p: newton_metre, V_p: newton) -> newton:
    """Force at which bending and shear together make the root section plastic.

    The F of F arm/M_p + (F/V_p)² = 1, written so that a vanishing arm costs no digits.

    Source: theory of plasticity, interaction of moment and shear for a solid section.
    """
    b = arm / M_p
    return 2 / (b + np.sqrt(b**2 + 4 / V_p**2))


def bearing_line_load(f_b: pascal, d_3: metre) -> newton_per_metre:
    """Bearing load q per length of screw, counted on the root diameter.

    Source: definition; f_b bearing strength of the member at its own edge distance.
    """
    return f_b * d_3


def dowel_force(
    g: metre, q_wall: newton_per_metre, q_closure: newton_per_metre, M_p: newton_metre
) -> newton:
    """Force at which a dowel in plastic bearing forms its hinge inside the closure.

    The F of F g + F²/(2 q_wall) + F²/(2 q_closure) = M_p. The hinge forms where the shear is zero,
    so no shear term: the section at the surface, under full shear, is `surface_force`.

    Source: dowel action in plastic bearing (Johansen's theory, one hinge, free in the wall).
    """
    a = (1 / (2 * q_wall) + 1 / (2 * q_closure)) / M_p
    b = g / M_p
    return 2 / (b + np.sqrt(b**2 + 4 * a))


def dowel_moment(
    F: newton, g: metre, q_wall: newton_per_metre, q_closure: newton_per_metre
) -> newton_metre:
    """Largest moment in a dowel in plastic bearing under the load F, inside the closure.

    Source: dowel action in plastic bearing (Johansen's theory), where the shear is zero.
    """
    return F * g + F**2 / (2 * q_wall) + F**2 / (2 * q_closure)


def surface_force(g: metre, q_wall: newton_per_metre, M_p: newton_metre, V_p: newton) -> newton:
    """Force at which the screw's section at the closure's surface is plastic under full shear.

    The F of [F g + F²/(2 q_wall)]/M_p + (F/V_p)² = 1.

    Source: as dowel_force, moment taken at the closure's surface.
    """
    a = 1 / (2 * q_wall * M_p) + 1 / V_p**2
    b = g / M_p
    return 2 / (b + np.sqrt(b**2 + 4 * a))


def dowel_capacity(
    g: metre,
    t: metre,
    q_wall: newton_per_metre,
    q_closure: newton_per_metre,
    M_p: newton_metre,
    V_p: newton,
) -> newton:
    """Ultimate load of a screw in bending: hinge in the closure, its surface, or the wall crushed.

    Source: dowel_force and surface_force; both hold while F ≤ q_wall t, the wall's whole bearing.
    """
    F_hinge = dowel_force(g, q_wall, q_closure, M_p)
    F_surface = surface_force(g, q_wall, M_p, V_p)
    return quick.minimum(quick.minimum(F_hinge, F_surface), q_wall * t)


def full_dowel_embedment(F: newton, q: newton_per_metre, M: newton_metre) -> metre:
    """Depth of thread in the closure that dowel action under F and its moment M needs.

    F/q down to the largest moment, then two lengths of opposite bearing that bring it to zero;
    about 1.25 d when M is the screw's plastic moment.

    Source: dowel action in plastic bearing (Johansen's theory), equilibrium below the hinge.
    """
    return F / q + 2 * np.sqrt(M / q)
