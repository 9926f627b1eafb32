"""Fields of the tube."""

from hobbyclosure import data
from hobbyclosure.fields.base import choice, labels, number
from hobbyclosure.units import ANGLE, LENGTH, PRESSURE, TEMPERATURE

WALL_HOLDS = {"bore": "the bore", "outside": "the outside diameter"}

choice(
    "case.material", "Tube material", "6061-T6-drawn-tube", labels(data.MATERIALS),
    "Picks the strengths; a certificate's own values can stand in the file", essential=True,
)  # fmt: skip
number(
    "case.bore", "Bore", LENGTH, "76.2 mm", "10 mm", "400 mm", "D",
    "Inside diameter of the tube", tol="0.1 mm", essential=True,
)  # fmt: skip
number(
    "case.wall", "Wall", LENGTH, "3.175 mm", "0.5 mm", "25 mm", "t",
    "Wall thickness of the tube", tol="10 %", essential=True,
)  # fmt: skip
choice(
    "case.wall_holds", "A change of wall holds", "bore", lambda: WALL_HOLDS,
    "What stays when the wall changes: the bore, or the outside diameter",
)  # fmt: skip
number(
    "case.edge_distance", "Screw row to tube end", LENGTH, "14 mm", "1 mm", "100 mm", "e",
    "From the tube's end to the centre of the nearest screw row", tol="0.2 mm",
)  # fmt: skip
number(
    "case.hole_chamfer", "Hole chamfer inside", LENGTH, "0.2 mm", "0 mm", "3 mm", "c_h",
    "Broken edge of each screw hole inside: saves the rings, shortens the screws' bearing",
)  # fmt: skip
number(
    "case.lead_in", "Lead-in chamfer, length", LENGTH, "3 mm", "0 mm", "30 mm", "l_c",
    "Axial length of the chamfer inside the tube's end", tol="0.2 mm",
)  # fmt: skip
number(
    "case.lead_in_angle", "Lead-in chamfer, angle", ANGLE, "20°", "5°", "45°", "θ_c",
    "From the axis; 15° to 20° is usual",
)  # fmt: skip
number(
    "case.metal_temperature", "Tube metal at peak", TEMPERATURE, "80 °C", "-50 °C", "400 °C",
    "T_case", "Tube metal at the time of peak pressure",
)  # fmt: skip
number(
    "case.other_end_holds", "Other end lets go at", PRESSURE, None, "0.1 MPa", "200 MPa",
    "p_other", "Pressure at which the nozzle end lets go, by your own reckoning or test",
)  # fmt: skip
