"""Screw threads: diameters, stress areas and the shear areas that strip.

SI floats or arrays that broadcast; returns their common shape; raises nothing; nan outside limits.
Unified threads enter with their pitch P = 1/n (n threads per inch).
"""

import numpy as np

from hobbyclosure.units import metre, square_metre


def pitch_diameter(d: metre, P: metre) -> metre:
    """Pitch diameter d_2, basic, of a 60° thread (ISO metric or unified).

    Source: ISO 724, table 1; ASME B1.1 (same profile).
    """
    return d - 0.649519 * P


def minor_diameter(d: metre, P: metre) -> metre:
    """Root diameter d_3 of an ISO metric external thread, root rounded to H/6.

    Source: ISO 724 and ISO 898-1, 9.1.6 (d_3 = d_1 − H/6).
    """
    return d - 1.226869 * P


def stress_area(d: metre, P: metre) -> square_metre:
    """Tensile stress area A_s of an ISO metric external thread.

    Source: ISO 898-1, 9.1.6 (area of the mean of d_2 and d_3); ISO 724 (d_2, d_3).
    """
    d_2 = pitch_diameter(d, P)
    d_3 = minor_diameter(d, P)
    return np.pi / 4 * ((d_2 + d_3) / 2) ** 2


def unified_minor_diameter(d: metre, P: metre) -> metre:
    """Root diameter d_r of a unified external thread, counted to the flat root: the smaller choice.

    Source: Shigley, Mechanical Engineering Design, 9th ed., table 8-2, footnote (ANSI B1.1-1974).
    """
    return d - 1.299038 * P


def unified_stress_area(d: metre, P: metre) -> square_metre:
    """Tensile stress area A_t of a unified thread, the form (π/4)(d − 0.9743/n)².

    Source: Shigley, Mechanical Engineering Design, 9th ed., table 8-2, footnote (ANSI B1.1-1974).
    """
    d_2 = pitch_diameter(d, P)
    d_r = unified_minor_diameter(d, P)
    return np.pi / 4 * ((d_2 + d_r) / 2) ** 2


def external_strip_area(P: metre, D1_max: metre, d2_min: metre) -> metre:
    """Shear area of the screw's thread per length of full thread, at minimum material.

    The screw's thread shears off along the crests of the tapped hole: D1_max largest minor
    diameter of the hole, d2_min smallest pitch diameter of the screw. Nominal sizes overstate it.

    Source: FED-STD-H28/2B, AS_s = π n L_e D_1max [1/(2n) + (d_2min − D_1max)/√3], with n = 1/P.
    """
    return np.pi / P * D1_max * (P / 2 + (d2_min - D1_max) / np.sqrt(3))


def internal_strip_area(P: metre, d_min: metre, D2_max: metre) -> metre:
    """Shear area of the tapped hole's thread per length of full thread, at minimum material.

    The hole's thread shears off along the crests of the screw: d_min smallest major diameter of
    the screw, D2_max largest pitch diameter of the hole.

    Source: FED-STD-H28/2B, AS_n = π n L_e d_min [1/(2n) + (d_min − D_2max)/√3], with n = 1/P.
    """
    return np.pi / P * d_min * (P / 2 + (d_min - D2_max) / np.sqrt(3))
