"""Fields of the loads: pressures, temperatures, and the factors wanted."""

from hobbyclosure.fields.base import number
from hobbyclosure.units import LENGTH, PRESSURE, RATIO, TEMPERATURE

number(
    "loads.peak", "Expected peak pressure", PRESSURE, "5.2 MPa", "0.1 MPa", "40 MPa", "p_peak",
    "Highest gauge pressure expected on a normal day", essential=True,
)  # fmt: skip
number(
    "loads.hot_day", "Hot-day rise", RATIO, "8 %", "0 %", "100 %", "r_hot",
    "How much the peak rises on the hottest day it may be fired",
)  # fmt: skip
number(
    "loads.scatter", "Batch scatter", RATIO, "10 %", "0 %", "100 %", "r_batch",
    "How much one batch may exceed another",
)  # fmt: skip
number(
    "loads.meop_given", "MEOP, stated", PRESSURE, None, "0.1 MPa", "60 MPa", "p_given",
    "States the maximum expected operating pressure instead of building it from the peak",
)  # fmt: skip
number(
    "loads.cold", "Coldest day", TEMPERATURE, "-5 °C", "-50 °C", "30 °C", "T_cold",
    "Coldest the closure may be when it is pressurised",
)  # fmt: skip
number(
    "loads.hot", "Hottest day", TEMPERATURE, "40 °C", "0 °C", "80 °C", "T_hot",
    "Hottest the closure may be before it is pressurised",
)  # fmt: skip
number(
    "loads.room", "Parts measured at", TEMPERATURE, "20 °C", "0 °C", "40 °C", "T_0",
    "Temperature at which parts and rings were measured",
)  # fmt: skip
number(
    "loads.ultimate_factor", "Wanted on ultimate", RATIO, "2.0", "1", "10", "S_u",
    "Factor wanted at MEOP before anything breaks; common practice, no source",
)  # fmt: skip
number(
    "loads.yield_factor", "Wanted on yield", RATIO, "1.5", "1", "10", "S_y",
    "Factor wanted at MEOP before anything yields; common practice, no source",
)  # fmt: skip
number(
    "loads.bending_factor", "Wanted on screw bending", RATIO, "1.5", "1", "10", "S_b",
    "Factor wanted at MEOP on the screws' dowel action; common practice, no source",
)  # fmt: skip
number(
    "loads.proof_base", "Proof factor, cold", RATIO, "1.3", "1.05", "3", "S_p",
    "Proof pressure ÷ MEOP before the allowance for hot metal; common practice, no source",
)  # fmt: skip
number(
    "loads.proof_yield_factor", "Wanted on yield at proof", RATIO, "1.1", "1", "3", "S_py",
    "Factor wanted on cold yield at proof pressure; common practice, no source",
)  # fmt: skip
number(
    "loads.proof_bending_factor", "Wanted on screw bending at proof", RATIO, "1.0", "0.9", "3",
    "S_pb", "Factor wanted before a screw takes a set at proof; common practice, no source",
)  # fmt: skip
number(
    "loads.gap_factor", "Wanted on the seal gap", RATIO, "1.25", "1", "5", "S_gap",
    "Factor wanted on the gap a ring may bridge; common practice, no source",
)  # fmt: skip
number(
    "loads.squeeze_least", "Squeeze, at least", RATIO, "10 %", "1 %", "30 %", "C_min",
    "Squeeze wanted in the loosest corner; common practice, no source",
)  # fmt: skip
number(
    "loads.squeeze_most", "Squeeze, at most", RATIO, "30 %", "5 %", "50 %", "C_max",
    "Squeeze allowed in the tightest corner, static rings (Mechanical Engineers' Handbook)",
)  # fmt: skip
number(
    "loads.stretch_most", "Stretch, at most", RATIO, "5 %", "0.5 %", "25 %", "x_max",
    "Stretch allowed on the groove floor (three design guides)",
)  # fmt: skip
number(
    "loads.slack_most", "Slack, at most", RATIO, "2 %", "0.1 %", "10 %", "x_slack",
    "How loose a ring may hang on its floor; common practice, no source",
)  # fmt: skip
number(
    "loads.fitting_most", "Stretch while fitting, at most", RATIO, "50 %", "5 %", "150 %",
    "x_fit", "Stretch allowed for a moment while a ring goes over its land (two design guides)",
)  # fmt: skip
number(
    "loads.fill_most", "Groove fill, at most", RATIO, "85 %", "50 %", "100 %", "φ_max",
    "Share of the groove a hot ring may fill (design note; another guide allows 90 %)",
)  # fmt: skip
number(
    "loads.edge_break", "Broken edge, at least", LENGTH, "0.127 mm", "0.01 mm", "2 mm", "c_b",
    "Edge break wanted on every hole a ring passes: 0.005 in (Seal Design Guide, machining)",
)  # fmt: skip
