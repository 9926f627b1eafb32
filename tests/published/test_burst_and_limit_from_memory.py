"""Forms whose numbers we could not find in print: held only against memory, so no evidence.

- Faupel, Trans. ASME 78 (1956): the form was seen on a public page, without a worked number. With
  F_ty = F_tu it is the fully plastic cylinder after von Mises, for which de Souza Neto, Perić and
  Owen, Computational Methods for Plasticity (2008), 7.5.1, give 0.19209 GPa (from memory).
- Svensson, J. Appl. Mech. 25 (1958): form from memory, numbers worked from it by hand.
- Hopkins and Prager (1953): simply supported plate 6 M_0/a² (from memory).
"""

import pytest

from hobbyclosure.physics.plate import plate_limit_pressure
from hobbyclosure.physics.vessel import burst_faupel, burst_svensson
from hobbyclosure.units import Q
from tests.support import rounds_to


def test_faupel_without_hardening_is_the_fully_plastic_cylinder():
    Y = Q("0.24 GPa")
    assert rounds_to(burst_faupel(Y, Y, Q("100 mm"), Q("200 mm")), "0.19209 GPa")


def test_faupel_counts_hardening_once():
    # 2/√3 × 240 × (2 − 240/260) × ln(28/25) = 277.128 × 1.076923 × 0.113329
    found = burst_faupel(Q("240 MPa"), Q("260 MPa"), Q("25 mm"), Q("28 mm"))
    assert rounds_to(found, "33.82 MPa")


def test_svensson_by_hand():
    # 260 × 0.25/0.287 × (2.718282/0.06)^0.06 × 0.113329 = 226.481 × 1.257137 × 0.113329
    assert rounds_to(burst_svensson(Q("260 MPa"), 0.06, Q("25 mm"), Q("28 mm")), "32.27 MPa")


def test_limit_pressure_of_the_solid_plate_is_six_plastic_moments():
    sigma, a, h = 260.0, 50.0, 8.0
    assert plate_limit_pressure(sigma, a, 0.0, h) == pytest.approx(6 * (sigma * h**2 / 4) / a**2)
