"""Fields of the closure."""

from hobbyclosure import data
from hobbyclosure.fields.base import choice, labels, number
from hobbyclosure.units import LENGTH, TEMPERATURE

choice(
    "closure.material", "Closure material", "6061-T6-bar", labels(data.MATERIALS),
    "Picks the strengths; a certificate's own values can stand in the file",
)  # fmt: skip
number(
    "closure.metal_temperature", "Closure metal at peak", TEMPERATURE, "80 °C", "-50 °C",
    "400 °C", "T_closure", "Closure metal at the time of peak pressure",
)  # fmt: skip
number(
    "closure.clearance", "Clearance, on diameter", LENGTH, "0.08 mm", "0 mm", "2 mm", "c_d",
    "Bore less closure diameter", tol="0.03 mm",
)  # fmt: skip
number(
    "closure.length", "Length", LENGTH, "48 mm", "5 mm", "300 mm", "L",
    "Cold face to wet face", tol="0.1 mm",
)  # fmt: skip
number(
    "closure.plate", "Plate", LENGTH, "18 mm", "1 mm", "150 mm", "h",
    "Thickness of the plate, wet face to skirt floor", tol="0.1 mm",
)  # fmt: skip
number(
    "closure.skirt_wall", "Skirt wall", LENGTH, "9.5 mm", "1 mm", "150 mm", "w_s",
    "Radial thickness of the skirt the screws go into", tol="0.1 mm",
)  # fmt: skip
number(
    "closure.fillet", "Fillet in the skirt", LENGTH, "2.2 mm", "0.1 mm", "20 mm", "r_f",
    "Radius between skirt and plate",
)  # fmt: skip
number(
    "closure.nose", "Nose", LENGTH, "7 mm", "0 mm", "100 mm", "L_n",
    "Length of the reduced diameter at the hot end that enters the liner", tol="0.1 mm",
)  # fmt: skip
number(
    "closure.nose_diameter", "Nose diameter", LENGTH, "69.6 mm", "1 mm", "400 mm", "D_n",
    "Diameter of the nose", tol="0.05 mm",
)  # fmt: skip
number(
    "closure.screw_station", "Screw row from cold face", LENGTH, "14 mm", "1 mm", "200 mm", "x_s",
    "Cold face to the centre of the screw row nearest to it", tol="0.1 mm",
)  # fmt: skip
number(
    "closure.centre_hole", "Centre hole, thread major", LENGTH, "20 mm", "0 mm", "300 mm", "D_c",
    "Major diameter of the plug's thread; 0 for a plate without a hole",
)  # fmt: skip
