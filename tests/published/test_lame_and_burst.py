"""Thick cylinders, burst and net section against worked examples in print.

Seen, in stored public text that was read:
- femorph-solver, Verification, "Thick-walled cylinder under internal pressure (Lamé)": a 10 mm,
  b 20 mm, 100 MPa, E 210 GPa, ν 0.3; σ_θ(a) 166.7 MPa, u_r(a) 9.08e-6 m (plane strain).
- MOOSE example "Case 53: Pressure Vessel": r_i 1 m, r_o 2 m, 100 MPa; A = p r_i²/(r_o² − r_i²) =
  33.33 MPa, which is the axial stress of a tube with closed ends.
- A cold-drawn AISI 1015 tube 300 mm by 200 mm (a problem of Shigley's, from memory) as solved on
  a public homework page: |hoop| 2.6 p at the loaded face, 230.76 MPa at 600 MPa.
- FOSSEE textbook companion 764, example 22.4 of "Cylinders and Pressure Vessels" (the book is
  Bhandari, Design of Machine Elements, from memory): Clavarino's equation, closed ends, D_i
  250 mm, 15 MPa, S_ut 340 MPa, safety factor 5, μ 0.27; t 30 mm.
- API RP 1111, 4.3.1: burst 0.45(S + U) ln(D/D_i), eq. (4), in a stored extract that calls it
  equivalent to eq. (5) above D/t 15. Number from a public pipeline package's test, worked there
  with eq. (5), 0.90(S + U) t/(D − t): 12.75 in by 0.5 in, S 448.16, U 530.9 MPa; 36.0 MPa.
- N. Holtz, Steel 1 course, example T01 "Net Areas of Plates with Staggered Holes" (public book
  repository nholtz/steel1-book): 210 mm plate, holes 24 mm.
"""

import numpy as np
import pytest

from hobbyclosure.physics.vessel import (
    axial_stress,
    bore_growth,
    burst_mean_diameter,
    hoop_bore,
    net_area_straight,
    net_area_zigzag,
    von_mises_bore,
)
from hobbyclosure.units import Q
from tests.support import published, rounds_to


@published(hoop_bore, "femorph-solver verification, Lamé cylinder; AISI 1015 tube; seen")
@pytest.mark.parametrize(
    ("p", "r_i", "r_o", "printed"),
    [
        ("100 MPa", "10 mm", "20 mm", "166.7 MPa"),
        # Pressed from outside: at the loaded face the same coefficient with the other sign.
        ("230.76 MPa", "100 mm", "150 mm", "600 MPa"),
    ],
)
def test_hoop_stress_at_the_bore_rounds_to_the_printed_value(p, r_i, r_o, printed):
    assert rounds_to(hoop_bore(Q(p), Q(r_i), Q(r_o)), printed)


@published(axial_stress, "MOOSE example case 53, constant A; seen")
def test_axial_stress_rounds_to_the_printed_value():
    assert rounds_to(axial_stress(Q("100 MPa"), Q("1 m"), Q("2 m")), "33.33 MPa")


@published(von_mises_bore, "the printed stresses of the two examples, combined; seen")
def test_von_mises_stress_combines_the_printed_stresses():
    hoop, axial, radial = 166.7, 33.33, -100.0
    unequal = (hoop - axial) ** 2 + (axial - radial) ** 2 + (radial - hoop) ** 2
    found = von_mises_bore(Q("100 MPa"), Q("10 mm"), Q("20 mm")).to("MPa").magnitude
    assert found == pytest.approx(np.sqrt(unequal / 2), abs=0.1)  # the stresses' last digits


@published(bore_growth, "femorph-solver verification, Lamé cylinder; seen")
def test_bore_growth_with_the_ends_held_rounds_to_the_printed_value():
    p, r_i, r_o, E, nu = Q("100 MPa"), Q("10 mm"), Q("20 mm"), Q("210 GPa"), 0.3
    # Plane strain: an axial stress (1 − 2ν)A less than with closed ends.
    held = bore_growth(p, r_i, r_o, E, nu) + nu * (1 - 2 * nu) * axial_stress(p, r_i, r_o) * r_i / E
    assert rounds_to(held, "9.08e-6 m")


@published(bore_growth, "FOSSEE textbook companion 764, example 22.4 (Clavarino); seen")
def test_bore_strain_sizes_the_wall_to_the_printed_millimetre():
    p, r_i, E, mu = Q("15 MPa"), Q("125 mm"), Q("200 GPa"), 0.27
    thin, thick = (
        (E * bore_growth(p, r_i, r_i + Q(t, "mm"), E, mu) / r_i).to("MPa").magnitude
        for t in (29.5, 30.5)
    )
    assert thick < 340 / 5 < thin


@published(burst_mean_diameter, "API RP 1111, 4.3.1, eq. (4) and (5), 12.75 in × 0.5 in; seen")
def test_burst_pressure_rounds_to_the_printed_value():
    flow = 0.45 * (Q("448.16 MPa") + Q("530.9 MPa"))  # RP 1111 reduces the strength, not the form
    assert rounds_to(burst_mean_diameter(flow, Q("5.875 in"), Q("6.375 in")), "36.0 MPa")


WIDTH, HOLE, T = Q("210 mm"), Q("24 mm"), Q("10 mm")
BORE = WIDTH / np.pi - T  # the tube whose wall unrolls to the plate


@published(net_area_straight, "Holtz, Steel 1, T01, 20 mm plate, path 1-1; seen")
def test_straight_net_area_rounds_to_the_printed_value():
    t = Q("20 mm")
    assert rounds_to(net_area_straight(WIDTH / np.pi - t, t, 1, HOLE), "3720 mm**2")


@published(net_area_zigzag, "Holtz, Steel 1, T01, paths 2-2 and 3-3, 2-2 and 2-3; seen")
@pytest.mark.parametrize(
    ("diagonals", "printed"),
    [
        ([(50, 45)], "175.9 mm"),
        ([(55, 50), (50, 45)], "167.0 mm"),
        ([(50, 50)], "174.5 mm"),
        ([(50, 50), (50, 95)], "157.1 mm"),
    ],
)
def test_zigzag_net_width_rounds_to_the_printed_value(diagonals, printed):
    # On a plate the path has one hole more than diagonals; round a tube as many. So each hole
    # with its diagonal is what half a hole a row takes off, and one hole goes off by itself.
    width = WIDTH - HOLE
    for s, p in diagonals:
        pair = net_area_zigzag(BORE, T, 0.5, HOLE, Q(s, "mm"), Q(p, "mm"))
        width = width - (WIDTH * T - pair) / T
    assert rounds_to(width, printed)
