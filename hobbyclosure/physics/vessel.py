"""Tube under internal pressure: end force, stress, burst, growth and net section.

Symbols: p gauge pressure inside, D bore, t wall, r_i and r_o inner and outer radius, K = r_o/r_i,
F_ty and F_tu yield and ultimate strength in tension. The tube is long, straight and elastic, its
ends closed: it carries the end force. SI floats or arrays that broadcast; the common shape comes
back; nothing is raised.
"""

import numpy as np

from hobbyclosure.units import metre, newton, one, pascal, square_metre


def end_force(p: pascal, D: metre) -> newton:
    """Force of the pressure p on a closure that seals on the diameter D.

    Source: statics.
    """
    return np.pi / 4 * p * D**2


def axial_stress(p: pascal, r_i: metre, r_o: metre) -> pascal:
    """Axial stress of a thick tube with closed ends, the same all through the wall.

    Source: Lamé; Timoshenko, Strength of Materials, Part II, thick-walled cylinder.
    """
    K = r_o / r_i
    return p / (K**2 - 1)


def hoop_bore(p: pascal, r_i: metre, r_o: metre) -> pascal:
    """Hoop stress at the bore of a thick tube, its greatest.

    Source: Lamé; Timoshenko, Strength of Materials, Part II, thick-walled cylinder.
    """
    K = r_o / r_i
    return p * (K**2 + 1) / (K**2 - 1)


def von_mises_bore(p: pascal, r_i: metre, r_o: metre) -> pascal:
    """Von Mises stress at the bore of a thick tube with closed ends (exact for Lamé's stresses).

    Hoop p(K² + 1)/(K² − 1), axial p/(K² − 1) and radial −p: the axial stress is the mean of the
    other two, which leaves √3/2 of their difference.
    Source: Lamé with the von Mises criterion.
    """
    K = r_o / r_i
    return np.sqrt(3) * p * K**2 / (K**2 - 1)


def bore_growth(p: pascal, r_i: metre, r_o: metre, E: pascal, nu: one) -> metre:
    """Radial growth of the bore of a thick tube with closed ends, far from its ends.

    E Young's modulus, nu Poisson's ratio. Near a free end, a seal or a screw row the growth is
    another one.
    Source: Lamé with Hooke's law, u = r_i/E·[σ_hoop − ν(σ_axial + σ_radial)].
    """
    sigma_h = hoop_bore(p, r_i, r_o)
    sigma_a = axial_stress(p, r_i, r_o)
    return r_i / E * (sigma_h - nu * (sigma_a - p))


def outside_growth(p: pascal, r_i: metre, r_o: metre, E: pascal, nu: one) -> metre:
    """Radial growth of the outside of a thick tube with closed ends, far from its ends.

    It is less than that of the bore: the wall is pressed thinner.
    Source: Lamé with Hooke's law, u = r_o/E·[σ_hoop − ν σ_axial], σ_radial = 0 outside.
    """
    return p * r_i**2 * r_o * (2 - nu) / (E * (r_o**2 - r_i**2))


def burst_mean_diameter(F_tu: pascal, r_i: metre, r_o: metre) -> pascal:
    """Pressure that bursts the tube when the whole wall carries F_tu: the safe form.

    F_tu ln K is F_tu t/R_m with R_m the mean radius, to 0.1 % up to K = 1.1. It lies 6 % to 12 %
    below burst for metals that harden like 6061-T6; screw holes are not in it.
    Source: fully plastic cylinder after Tresca (Hill, The Mathematical Theory of Plasticity,
    1950) with the ultimate strength for the yield strength.
    """
    return F_tu * np.log(r_o / r_i)


def burst_faupel(F_ty: pascal, F_tu: pascal, r_i: metre, r_o: metre) -> pascal:
    """Burst pressure after Faupel: 2 % to 3 % optimistic for metals like 6061-T6.

    Careful for metals that yield early and harden much, where it is below the other forms.

    Source: Faupel, Trans. ASME 78 (1956), 1031–1064.
    """
    return 2 / np.sqrt(3) * F_ty * (2 - F_ty / F_tu) * np.log(r_o / r_i)


def burst_svensson(F_tu: pascal, n: one, r_i: metre, r_o: metre) -> pascal:
    """Burst pressure after Svensson: 2 % to 4 % pessimistic for metals like 6061-T6.

    n is the exponent of the material's hardening law σ ∝ εⁿ.
    Source: Svensson, J. Applied Mechanics 25 (1958), 89–96.
    """
    return F_tu * (0.25 / (n + 0.227)) * (np.exp(1) / n) ** n * np.log(r_o / r_i)


def net_area_straight(D: metre, t: metre, n_row: one, d_h: metre) -> square_metre:
    """Area of the wall left between the n_row holes d_h of one row.

    Source: statics; the wall's area is π(D + t)t.
    """
    return np.pi * (D + t) * t - n_row * t * d_h


def net_area_zigzag(D: metre, t: metre, n_row: one, d_h: metre, s: metre, p: metre) -> square_metre:
    """Area of the wall left on the zigzag line through all holes of two staggered rows.

    n_row holes d_h in each row, s distance of the rows along the axis, p half the pitch of a row
    along the circumference. Less than the straight section while s < √(2 p d_h).
    Source: EN 1993-1-1, 6.2.2.2(4) (Cochrane's rule), once round the tube.
    """
    return np.pi * (D + t) * t - 2 * n_row * t * (d_h - s**2 / (4 * p))
