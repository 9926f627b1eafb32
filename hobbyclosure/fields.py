"""Every field of a design, described once: widgets, file, --set, tables and errors read this."""

from collections.abc import Callable
from functools import cached_property

import attrs

from hobbyclosure import data, units
from hobbyclosure.units import (
    ANGLE,
    COUNT,
    LENGTH,
    PRESSURE,
    RATIO,
    TEMPERATURE,
    Dimension,
    Shown,
)

PARTS = {
    "loads": "Loads",
    "case": "Case",
    "closure": "Closure",
    "screw": "Screws",
    "seal": "Seals",
    "insulation": "Insulation",
    "plug": "Plug",
    "port": "Port",
}


@attrs.frozen(slots=False)
class Field:
    """One input: its name, kind, default, range and the words shown with it.

    A field with `choices` holds a key of that table; a field with `tol` (text: a length or a
    percentage of the nominal) is a dimension that can carry a tolerance and a measurement.
    """

    path: str
    label: str
    help: str
    kind: Dimension | None
    default: str | None
    low: str = ""
    high: str = ""
    symbol: str = ""
    tol: str = ""
    choices: Callable[[], dict[str, str]] | None = None
    essential: bool = False

    @property
    def part(self) -> str:
        """First word of the path."""
        return self.path.split(".")[0]

    @property
    def name(self) -> str:
        """Name in quantities and checks: dots become underscores."""
        return self.path.replace(".", "_")

    def shown(self, system: str) -> Shown:
        """The unit its number has for a reader of that system; a share is told in per cent."""
        assert self.kind is not None
        return units.SHARE if self.low.endswith("%") else self.kind.shown(system)

    @cached_property
    def default_tolerance(self) -> float:
        """The unstated tolerance: a length in m, or a share of the nominal when in percent."""
        share = self.tol.endswith("%")
        return units.parse(self.tol, units.RATIO if share else LENGTH) if self.tol else 0.0

    @cached_property
    def range(self) -> tuple[float, float]:
        """Lowest and highest SI value allowed."""
        assert self.kind is not None
        return units.parse(self.low, self.kind), units.parse(self.high, self.kind)


FIELDS: dict[str, Field] = {}


def _keep(field: Field) -> None:
    FIELDS[field.path] = field


def _number(
    path: str,
    label: str,
    kind: Dimension,
    default: str | None,
    low: str,
    high: str,
    symbol: str,
    help: str,
    tol: str = "",
    essential: bool = False,
) -> None:
    _keep(Field(path, label, help, kind, default, low, high, symbol, tol, None, essential))


def _choice(
    path: str,
    label: str,
    default: str,
    choices: Callable[[], dict[str, str]],
    help: str,
    essential: bool = False,
) -> None:
    _keep(Field(path, label, help, None, default, choices=choices, essential=essential))


def _labels(table: dict) -> Callable[[], dict[str, str]]:
    return lambda: {key: row.label for key, row in table.items()}


def _heads() -> dict[str, str]:
    return {form: next(iter(rows.values())).label for form, rows in data.HEADS.items()}


def _rings() -> dict[str, str]:
    return {dash: f"AS568-{dash}" for dash in data.RINGS}


HOLE_METHODS = {
    "together": "drilled through together",
    "guide": "drilled with a guide",
    "free-hand": "drilled free-hand",
    "unknown": "not known",
}
SHEAR_PLANES = {"threads": "through the threads", "shank": "through the plain shank"}
WALL_HOLDS = {"bore": "the bore", "outside": "the outside diameter"}

# ---- loads
_number(
    "loads.peak", "Expected peak pressure", PRESSURE, "5.2 MPa", "0.1 MPa", "40 MPa", "p_peak",
    "Highest gauge pressure expected on a normal day", essential=True,
)  # fmt: skip
_number(
    "loads.hot_day", "Hot-day rise", RATIO, "8 %", "0 %", "100 %", "r_hot",
    "How much the peak rises on the hottest day it may be fired",
)  # fmt: skip
_number(
    "loads.scatter", "Batch scatter", RATIO, "10 %", "0 %", "100 %", "r_batch",
    "How much one batch may exceed another",
)  # fmt: skip
_number(
    "loads.meop_given", "MEOP, stated", PRESSURE, None, "0.1 MPa", "60 MPa", "p_given",
    "States the maximum expected operating pressure instead of building it from the peak",
)  # fmt: skip
_number(
    "loads.ultimate_factor", "Wanted on ultimate", RATIO, "2.0", "1", "10", "S_u",
    "Factor wanted at MEOP before anything breaks; common practice, no source",
)  # fmt: skip
_number(
    "loads.yield_factor", "Wanted on yield", RATIO, "1.5", "1", "10", "S_y",
    "Factor wanted at MEOP before anything yields; common practice, no source",
)  # fmt: skip
_number(
    "loads.bending_factor", "Wanted on screw bending", RATIO, "1.5", "1", "10", "S_b",
    "Factor wanted at MEOP on the screws' dowel action; common practice, no source",
)  # fmt: skip
_number(
    "loads.proof_base", "Proof factor, cold", RATIO, "1.3", "1.05", "3", "S_p",
    "Proof pressure ÷ MEOP before the allowance for hot metal; common practice, no source",
)  # fmt: skip
_number(
    "loads.proof_yield_factor", "Wanted on yield at proof", RATIO, "1.1", "1", "3", "S_py",
    "Factor wanted on cold yield at proof pressure; common practice, no source",
)  # fmt: skip
_number(
    "loads.proof_bending_factor", "Wanted on screw bending at proof", RATIO, "1.0", "0.9", "3",
    "S_pb", "Factor wanted before a screw takes a set at proof; common practice, no source",
)  # fmt: skip

# ---- case
_choice(
    "case.material", "Tube material", "6061-T6-drawn-tube", _labels(data.MATERIALS),
    "Picks the strengths; a certificate's own values can stand in the file", essential=True,
)  # fmt: skip
_number(
    "case.bore", "Bore", LENGTH, "76.2 mm", "10 mm", "400 mm", "D",
    "Inside diameter of the tube", tol="0.1 mm", essential=True,
)  # fmt: skip
_number(
    "case.wall", "Wall", LENGTH, "3.175 mm", "0.5 mm", "25 mm", "t",
    "Wall thickness of the tube", tol="10 %", essential=True,
)  # fmt: skip
_choice(
    "case.wall_holds", "A change of wall holds", "bore", lambda: WALL_HOLDS,
    "What stays when the wall changes: the bore, or the outside diameter",
)  # fmt: skip
_number(
    "case.edge_distance", "Screw row to tube end", LENGTH, "14 mm", "1 mm", "100 mm", "e",
    "From the tube's end to the centre of the nearest screw row", tol="0.2 mm",
)  # fmt: skip
_number(
    "case.hole_chamfer", "Hole chamfer inside", LENGTH, "0.2 mm", "0 mm", "3 mm", "c_h",
    "Broken edge of each screw hole inside: saves the rings, shortens the screws' bearing",
)  # fmt: skip
_number(
    "case.metal_temperature", "Tube metal at peak", TEMPERATURE, "80 °C", "-50 °C", "400 °C",
    "T_case", "Tube metal at the time of peak pressure",
)  # fmt: skip
_number(
    "case.other_end_holds", "Other end lets go at", PRESSURE, None, "0.1 MPa", "200 MPa",
    "p_other", "Pressure at which the nozzle end lets go, by your own reckoning or test",
)  # fmt: skip

# ---- closure
_choice(
    "closure.material", "Closure material", "6061-T6-bar", _labels(data.MATERIALS),
    "Picks the strengths; a certificate's own values can stand in the file",
)  # fmt: skip
_number(
    "closure.metal_temperature", "Closure metal at peak", TEMPERATURE, "80 °C", "-50 °C",
    "400 °C", "T_closure", "Closure metal at the time of peak pressure",
)  # fmt: skip
_number(
    "closure.clearance", "Clearance, on diameter", LENGTH, "0.08 mm", "0 mm", "2 mm", "c_d",
    "Bore less closure diameter", tol="0.03 mm",
)  # fmt: skip
_number(
    "closure.length", "Length", LENGTH, "48 mm", "5 mm", "300 mm", "L",
    "Cold face to wet face", tol="0.1 mm",
)  # fmt: skip
_number(
    "closure.plate", "Plate", LENGTH, "18 mm", "1 mm", "150 mm", "h",
    "Thickness of the plate, wet face to skirt floor", tol="0.1 mm",
)  # fmt: skip
_number(
    "closure.skirt_wall", "Skirt wall", LENGTH, "9.5 mm", "1 mm", "150 mm", "w_s",
    "Radial thickness of the skirt the screws go into", tol="0.1 mm",
)  # fmt: skip
_number(
    "closure.fillet", "Fillet in the skirt", LENGTH, "2.2 mm", "0.1 mm", "20 mm", "r_f",
    "Radius between skirt and plate",
)  # fmt: skip
_number(
    "closure.nose", "Nose", LENGTH, "7 mm", "0 mm", "100 mm", "L_n",
    "Length of the reduced diameter at the hot end that enters the liner",
)  # fmt: skip
_number(
    "closure.nose_diameter", "Nose diameter", LENGTH, "69.6 mm", "1 mm", "400 mm", "D_n",
    "Diameter of the nose", tol="0.05 mm",
)  # fmt: skip
_number(
    "closure.screw_station", "Screw row from cold face", LENGTH, "14 mm", "1 mm", "200 mm", "x_s",
    "Cold face to the centre of the screw row nearest to it", tol="0.1 mm",
)  # fmt: skip
_number(
    "closure.centre_hole", "Centre hole, thread major", LENGTH, "20 mm", "0 mm", "300 mm", "D_c",
    "Major diameter of the plug's thread; 0 for a plate without a hole",
)  # fmt: skip

# ---- screw
_choice(
    "screw.thread", "Thread", "M6", _labels(data.THREADS),
    "Screw thread, metric coarse or unified", essential=True,
)  # fmt: skip
_choice(
    "screw.strength_class", "Strength class", "8.8", _labels(data.CLASSES),
    "Property class stamped on the screws or their box",
)  # fmt: skip
_choice(
    "screw.head", "Head", "button", _heads,
    "Head form; a head outside the tube needs room",
)  # fmt: skip
_number(
    "screw.count", "Screws in a row", COUNT, "14", "3", "60", "n_row",
    "Screws in each row", essential=True,
)  # fmt: skip
_number("screw.rows", "Rows", COUNT, "1", "1", "2", "m", "One row, or two staggered rows")
_number(
    "screw.row_spacing", "Row spacing", LENGTH, "14 mm", "1 mm", "100 mm", "s",
    "Between two staggered rows, along the tube",
)  # fmt: skip
_number(
    "screw.clearance_hole", "Hole in the tube", LENGTH, "6.4 mm", "1 mm", "40 mm", "d_h",
    "Diameter of the clearance hole in the tube", tol="0.1 mm",
)  # fmt: skip
_number(
    "screw.length", "Length under head", LENGTH, "12 mm", "2 mm", "120 mm", "L_s",
    "Stock length of the screw; engagement follows",
)  # fmt: skip
_number(
    "screw.head_room", "Room for the heads", LENGTH, None, "0 mm", "50 mm", "k_room",
    "How far heads may stand out of the tube, if something slides over it",
)  # fmt: skip
_choice(
    "screw.shear_plane", "Shear plane", "threads", lambda: SHEAR_PLANES,
    "What of the screw stands between tube and closure",
)  # fmt: skip
_choice(
    "screw.hole_method", "Holes were", "guide", lambda: HOLE_METHODS,
    "How the holes of tube and closure were made to meet: decides how evenly the screws share",
)  # fmt: skip

# ---- seals, insulation, plug, port: drawn here, judged on their own pages
for _ring, _station, _floor, _width, _dash in (
    ("primary", "33.5 mm", "70.5 mm", "4.9 mm", "232"),
    ("secondary", "25.4 mm", "70.5 mm", "4.9 mm", "232"),
    ("liner", "42.4 mm", "65.8 mm", "3.6 mm", "145"),
):
    _choice(
        f"seal.{_ring}.ring", f"{_ring.capitalize()} ring", _dash, _rings,
        "AS568 dash number",
    )  # fmt: skip
    _number(
        f"seal.{_ring}.station", f"{_ring.capitalize()} groove from cold face", LENGTH, _station,
        "0 mm", "300 mm", f"x_{_ring[:3]}", "Cold face to the cold wall of the groove",
        tol="0.1 mm",
    )  # fmt: skip
    _number(
        f"seal.{_ring}.groove_width", f"{_ring.capitalize()} groove width", LENGTH, _width,
        "0.5 mm", "30 mm", f"w_{_ring[:3]}", "Axial width of the groove", tol="0.1 mm",
    )  # fmt: skip
    _number(
        f"seal.{_ring}.groove_diameter", f"{_ring.capitalize()} groove floor", LENGTH, _floor,
        "1 mm", "400 mm", f"D_{_ring[:3]}", "Diameter of the groove's floor", tol="0.05 mm",
    )  # fmt: skip
_number(
    "insulation.disc", "Disc thickness", LENGTH, "5 mm", "0 mm", "50 mm", "t_d",
    "Insulation disc on the hot face",
)  # fmt: skip
_number(
    "insulation.liner", "Liner thickness", LENGTH, "3 mm", "0 mm", "30 mm", "t_l",
    "Thermal liner inside the tube",
)  # fmt: skip
_number(
    "plug.drive", "Plug hexagon", LENGTH, "17 mm", "1 mm", "200 mm", "s_p",
    "Across the flats of the plug's drive",
)  # fmt: skip
_number("port.count", "Ports", COUNT, "1", "0", "4", "n_p", "Pressure ports in the plate")
_number(
    "port.pitch_circle", "Port pitch circle", LENGTH, "41.7 mm", "1 mm", "350 mm", "D_port",
    "Diameter of the circle the ports lie on",
)  # fmt: skip
_number(
    "port.clocking", "First port at", ANGLE, "192.86 deg", "0 deg", "360 deg", "φ_port",
    "Clockwise from the first screw, seen from outside",
)  # fmt: skip
_number(
    "port.thread_diameter", "Port thread, major", LENGTH, "10.29 mm", "3 mm", "40 mm", "d_port",
    "Major diameter of the port's pipe thread: 1/8 NPT 10.29 mm, 1/4 NPT 13.72 mm (ASME B1.20.1)",
)  # fmt: skip
_number(
    "port.sensor_hexagon", "Sensor hexagon", LENGTH, "13 mm", "1 mm", "80 mm", "s_h",
    "Across the flats of the sensor",
)  # fmt: skip
