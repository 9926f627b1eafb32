"""From the expected peak to MEOP, proof pressure and the force on the closure."""

import numpy as np

from hobbyclosure import quick
from hobbyclosure.graph import check, quantity
from hobbyclosure.physics.vessel import end_force


@quantity(
    "p_built", "Pa", evidence="theory", source="definition: peak, raised by hot day and by scatter"
)
def loads_built_up(loads_peak, loads_hot_day, loads_scatter):
    """Expected peak with hot day and batch scatter."""
    return loads_peak * (1 + loads_hot_day) * (1 + loads_scatter)


@quantity("p", "Pa", evidence="theory", source="definition; the warning beside it says how founded")
def loads_meop(loads_built_up, loads_meop_given):
    """Maximum expected operating pressure."""
    return quick.where(np.isnan(loads_meop_given), loads_built_up, loads_meop_given)


@quantity(
    "S_proof",
    "",
    evidence="practice",
    source="ASME VIII-1 UG-99, from memory: a cold test is raised by the ratio of strengths",
)
def loads_proof_factor(loads_proof_base, case_yield_ratio, closure_yield_ratio, screw_yield_ratio):
    """Proof pressure over MEOP, raised by what heat costs the weakest part."""
    tube_or_closure = quick.minimum(case_yield_ratio, closure_yield_ratio)
    return loads_proof_base / quick.minimum(quick.minimum(tube_or_closure, screw_yield_ratio), 1)


@quantity("p_proof", "Pa", source="definition")
def loads_proof(loads_meop, loads_proof_factor):
    """Proof pressure."""
    return loads_meop * loads_proof_factor


@quantity("F", "N", evidence="theory", source="statics")
def loads_end_force(loads_meop, case_bore_max):
    """Force on the closure at MEOP."""
    return end_force(loads_meop, case_bore_max)


@quantity("F_proof", "N", evidence="theory", source="statics")
def loads_proof_force(loads_proof, case_bore_max):
    """Force on the closure at proof pressure."""
    return end_force(loads_proof, case_bore_max)


@check(
    "loads.other_end", label="other end", unit="Pa", required=1.0, evidence="practice", basis=None,
    source="by your own reckoning or test; it must outlast the proof test",
    remedy=("loads.meop_given",), says="The other end lets go at {capacity}",
    applies={"case_other_end_holds": "not stated"},
)  # fmt: skip
def loads_other_end(loads_proof, case_other_end_holds):
    """Proof pressure against the pressure at which the other end lets go."""
    return loads_proof, case_other_end_holds


@check(
    "loads.meop_covers", label="MEOP over peak", unit="Pa", required=1.0, evidence="practice",
    basis=None,
    source="definition: no pressure is expected above MEOP",
    remedy=("loads.meop_given",), says="MEOP is {capacity}, below the expected peak",
)  # fmt: skip
def loads_meop_covers(loads_peak, loads_meop):
    """Expected peak against MEOP."""
    return loads_peak, loads_meop
