"""Fields of ignition plug and pressure ports."""

from hobbyclosure.fields.base import number
from hobbyclosure.units import ANGLE, COUNT, LENGTH

number(
    "plug.drive", "Plug hexagon", LENGTH, "17 mm", "1 mm", "200 mm", "s_p",
    "Across the flats of the plug's drive",
)  # fmt: skip
number("port.count", "Ports", COUNT, "1", "0", "4", "n_p", "Pressure ports in the plate")
number(
    "port.pitch_circle", "Port pitch circle", LENGTH, "41.7 mm", "1 mm", "350 mm", "D_port",
    "Diameter of the circle the ports lie on", tol="0.2 mm",
)  # fmt: skip
number(
    "port.clocking", "First port at", ANGLE, "192.86°", "0°", "360°", "φ_port",
    "Clockwise from the first screw, seen from outside",
)  # fmt: skip
number(
    "port.thread_diameter", "Port thread, major", LENGTH, "10.29 mm", "3 mm", "40 mm", "d_port",
    "Major diameter of the port's pipe thread: 1/8 NPT 10.29 mm, 1/4 NPT 13.72 mm (ASME B1.20.1)",
)  # fmt: skip
number(
    "port.sensor_hexagon", "Sensor hexagon", LENGTH, "13 mm", "1 mm", "80 mm", "s_h",
    "Across the flats of the sensor",
)  # fmt: skip
