"""Fields of the Seal page, described once; `register` adds them to all others."""

from hobbyclosure.data import seals
from hobbyclosure.fields import FIELDS, Field
from hobbyclosure.units import ANGLE, COUNT, LENGTH, PRESSURE, RATIO, TEMPERATURE, Dimension

RING_NAMES = {"primary": "Primary", "secondary": "Secondary", "liner": "Liner"}
SEAL_FIELDS: dict[str, Field] = {}


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
) -> None:
    SEAL_FIELDS[path] = Field(path, label, help, kind, default, low, high, symbol, tol)


def register() -> None:
    """Add these fields to the fields of a design."""
    FIELDS.update(SEAL_FIELDS)


# ---- loads: temperatures, and what is wanted of every ring
_number(
    "loads.room", "Parts measured at", TEMPERATURE, "20 °C", "0 °C", "40 °C", "T_0",
    "Temperature at which parts and rings were measured",
)  # fmt: skip
_number(
    "loads.cold", "Coldest day", TEMPERATURE, "-5 °C", "-50 °C", "30 °C", "T_cold",
    "Coldest the closure may be when it is pressurised",
)  # fmt: skip
_number(
    "loads.hot", "Hottest day", TEMPERATURE, "40 °C", "0 °C", "80 °C", "T_hot",
    "Hottest the closure may be before it is pressurised",
)  # fmt: skip
_number(
    "loads.gap_factor", "Wanted on the seal gap", RATIO, "1.25", "1", "5", "S_gap",
    "Factor wanted on the gap a ring may bridge; common practice, no source",
)  # fmt: skip
_number(
    "loads.squeeze_least", "Squeeze, at least", RATIO, "10 %", "1 %", "30 %", "C_min",
    "Squeeze wanted in the loosest corner; common practice, no source",
)  # fmt: skip
_number(
    "loads.squeeze_most", "Squeeze, at most", RATIO, "30 %", "5 %", "50 %", "C_max",
    "Squeeze allowed in the tightest corner, static rings (Mechanical Engineers' Handbook)",
)  # fmt: skip
_number(
    "loads.stretch_most", "Stretch, at most", RATIO, "5 %", "0.5 %", "25 %", "x_max",
    "Stretch allowed on the groove floor (three design guides)",
)  # fmt: skip
_number(
    "loads.slack_most", "Slack, at most", RATIO, "2 %", "0.1 %", "10 %", "x_slack",
    "How loose a ring may hang on its floor; common practice, no source",
)  # fmt: skip
_number(
    "loads.fitting_most", "Stretch while fitting, at most", RATIO, "50 %", "5 %", "150 %",
    "x_fit", "Stretch allowed for a moment while a ring goes over its land (two design guides)",
)  # fmt: skip
_number(
    "loads.fill_most", "Groove fill, at most", RATIO, "85 %", "50 %", "100 %", "φ_max",
    "Share of the groove a hot ring may fill (design note; another guide allows 90 %)",
)  # fmt: skip
_number(
    "loads.edge_break", "Broken edge, at least", LENGTH, "0.127 mm", "0.01 mm", "2 mm", "c_b",
    "Edge break wanted on every hole a ring passes: 0.005 in (Seal Design Guide, machining)",
)  # fmt: skip

# ---- case and liner: where rings go in
_number(
    "case.lead_in", "Lead-in chamfer, length", LENGTH, "4 mm", "0 mm", "30 mm", "l_c",
    "Axial length of the chamfer inside the tube's end", tol="0.2 mm",
)  # fmt: skip
_number(
    "case.lead_in_angle", "Lead-in chamfer, angle", ANGLE, "20 deg", "5 deg", "45 deg", "θ_c",
    "From the axis; 15° to 20° is usual",
)  # fmt: skip
_number(
    "insulation.liner_bore", "Liner bore", LENGTH, None, "5 mm", "400 mm", "D_l",
    "Inside diameter of the liner in the tube; else the bore less two liner walls", tol="0.2 mm",
)  # fmt: skip
_number(
    "insulation.liner_lead_in", "Liner lead-in, length", LENGTH, "4 mm", "0 mm", "30 mm", "l_l",
    "Axial length of the chamfer inside the liner's end", tol="0.2 mm",
)  # fmt: skip
_number(
    "insulation.liner_modulus", "Liner stiffness", PRESSURE, "5000 MPa", "100 MPa",
    "100000 MPa", "E_l", "Modulus of the liner round its circumference; an estimate",
)  # fmt: skip
_number(
    "insulation.liner_strength", "Liner strength", PRESSURE, "60 MPa", "1 MPa", "500 MPa", "F_l",
    "What the liner bears through its thickness before it is crushed; an estimate",
)  # fmt: skip
_number(
    "insulation.trapped_share", "Trapped behind the liner", RATIO, "5 %", "0 %", "100 %", "r_t",
    "Pressure left behind the liner at tail-off, as a share of MEOP; an estimate",
)  # fmt: skip
_number(
    "seal.friction", "Friction of the rings", RATIO, "0.2", "0.02", "1.5", "μ",
    "0.2 with grease, 0.5 and more dry; common practice, no source",
)  # fmt: skip

# ---- each ring
for _ring, _name in RING_NAMES.items():
    _of = _ring[:3]
    SEAL_FIELDS[f"seal.{_ring}.compound"] = Field(
        f"seal.{_ring}.compound", f"{_name} ring compound", "Rubber of the ring", None, "FKM",
        choices=seals.compound_choices,
    )  # fmt: skip
    _number(
        f"seal.{_ring}.durometer", f"{_name} ring hardness", RATIO, "80", "70", "90",
        f"H_{_of}", "Shore A; 80 is read half-way between the chart's 70 and 90",
    )  # fmt: skip
    _number(
        f"seal.{_ring}.backups", f"{_name} backup rings", COUNT, "0", "0", "2", f"n_{_of}",
        "Backup rings in the groove, one on the cold side or one on both",
    )  # fmt: skip
    _number(
        f"seal.{_ring}.ring_id", f"{_name} ring, inside", LENGTH, None, "0.5 mm", "700 mm",
        f"d1_{_of}", "Inside diameter of a ring by its numbers, in place of the list's",
        tol="0.5 mm",
    )  # fmt: skip
    _number(
        f"seal.{_ring}.ring_cs", f"{_name} ring, section", LENGTH, None, "0.5 mm", "15 mm",
        f"d2_{_of}", "Section of a ring by its numbers, in place of the list's", tol="0.1 mm",
    )  # fmt: skip
    _number(
        f"seal.{_ring}.corner_radius", f"{_name} groove, corner radius", LENGTH, "0.4 mm", "0 mm",
        "5 mm", f"R_{_of}", "Radius between the groove's floor and walls",
    )  # fmt: skip
    _number(
        f"seal.{_ring}.hot", f"{_name} ring at its hottest", TEMPERATURE, None, "0 °C",
        "400 °C", f"T_{_of}", "Rubber at its hottest; else as hot as the closure's metal",
    )  # fmt: skip
