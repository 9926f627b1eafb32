"""Proof test with water: every yield check again at proof pressure, with cold strength."""

from hobbyclosure.checks.closure import PLATE_RANGE
from hobbyclosure.graph import check
from hobbyclosure.physics.vessel import von_mises_bore

WANTED = {"required": "loads_proof_yield_factor", "basis": "loads_proof"}


@check(
    "prove.wall", label="wall proof", unit="Pa", evidence="theory",
    source="Lamé, closed ends, with the von Mises criterion; cold strength",
    remedy=("case.wall", "loads.meop_given"), says="Wall yields", **WANTED,
)  # fmt: skip
def prove_wall(loads_proof, case_r_i, case_r_o, case_F_ty):
    """Von Mises stress at the bore at proof against cold yield."""
    return von_mises_bore(loads_proof, case_r_i, case_r_o), case_F_ty


@check(
    "prove.net_section", label="section proof", unit="Pa", evidence="standard",
    source="EN 1993-1-1, 6.2.2.2, net section; cold strength",
    remedy=("case.wall", "screw.count", "loads.meop_given"),
    says="Tube yields between the holes", **WANTED,
)  # fmt: skip
def prove_net_section(loads_proof_force, case_net_area, case_F_ty):
    """Mean stress between the screw holes at proof against cold yield."""
    return loads_proof_force / case_net_area, case_F_ty


@check(
    "prove.bearing", label="bearing proof", unit="Pa", evidence="standard",
    source="MIL-HDBK-5J, bearing yield at e/d; cold strength",
    remedy=("case.edge_distance", "screw.count", "case.wall", "loads.meop_given"),
    says="Screw holes stretch", **WANTED,
)  # fmt: skip
def prove_bearing(case_bearing_demand, loads_proof_factor, case_bearing_yield_strength):
    """Bearing stress of the worst screw at proof against cold bearing yield."""
    return case_bearing_demand * loads_proof_factor, case_bearing_yield_strength


@check(
    "prove.plate", label="plate proof", unit="Pa", evidence="theory", limits=PLATE_RANGE,
    source="plate simply supported at the screw circle, thick-plate form; cold strength",
    remedy=("closure.plate", "loads.meop_given"), says="Plate yields", **WANTED,
)  # fmt: skip
def prove_plate(closure_plate_stress, loads_proof_factor, closure_F_ty):
    """Greatest elastic stress in the plate at proof against cold yield."""
    return closure_plate_stress * loads_proof_factor, closure_F_ty
