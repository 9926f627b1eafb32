"""Fields of disc and liner."""

from hobbyclosure.fields.base import number
from hobbyclosure.units import LENGTH, PRESSURE, RATIO

number(
    "insulation.disc", "Disc thickness", LENGTH, "5 mm", "0 mm", "50 mm", "t_d",
    "Insulation disc on the hot face",
)  # fmt: skip
number(
    "insulation.liner", "Liner thickness", LENGTH, "3 mm", "0 mm", "30 mm", "t_l",
    "Thermal liner inside the tube", tol="0.1 mm",
)  # fmt: skip
number(
    "insulation.liner_bore", "Liner bore", LENGTH, None, "5 mm", "400 mm", "D_l",
    "Inside diameter of the liner in the tube; else the bore less two liner walls", tol="0.2 mm",
)  # fmt: skip
number(
    "insulation.slack", "Slack behind the liner", LENGTH, "0.1 mm", "0 mm", "10 mm", "s_l",
    "Bore less the liner's outside, on the diameter: pressure closes it, and so opens the gap at "
    "the nose; 0 where the liner is bonded in",
)  # fmt: skip
number(
    "insulation.liner_lead_in", "Liner lead-in, length", LENGTH, "3 mm", "0 mm", "30 mm", "l_l",
    "Axial length of the chamfer inside the liner's end", tol="0.2 mm",
)  # fmt: skip
number(
    "insulation.liner_modulus", "Liner stiffness", PRESSURE, "5000 MPa", "100 MPa",
    "100000 MPa", "E_l", "Modulus of the liner round its circumference; an estimate",
)  # fmt: skip
number(
    "insulation.liner_strength", "Liner strength", PRESSURE, "60 MPa", "1 MPa", "500 MPa", "F_l",
    "What the liner bears through its thickness before it is crushed; an estimate",
)  # fmt: skip
number(
    "insulation.trapped_share", "Trapped behind the liner", RATIO, "5 %", "0 %", "100 %", "r_t",
    "Pressure left behind the liner at tail-off, as a share of MEOP; an estimate",
)  # fmt: skip
