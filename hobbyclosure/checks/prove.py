"""Proof test with water: every yield check again at proof pressure, with cold strength."""

from hobbyclosure.checks.closure import PLATE_RANGE
from hobbyclosure.checks.each import NO_NOSE
from hobbyclosure.checks.skirt import FILLET_RANGE, SKIRT
from hobbyclosure.graph import check
from hobbyclosure.physics.vessel import von_mises_bore

WANTED = {"required": "loads_proof_yield_factor", "basis": "loads_proof"}


@check(
    "prove.wall", label="wall proof", unit="Pa", evidence="practice",
    source="Lamé, closed ends, with the von Mises criterion; cold strength",
    remedy=("case.wall", "loads.meop_given"), says="Wall yields", **WANTED,
)  # fmt: skip
def prove_wall(loads_proof, case_r_i, case_r_o, case_F_ty):
    """Von Mises stress at the bore at proof against cold yield."""
    return von_mises_bore(loads_proof, case_r_i, case_r_o), case_F_ty


@check(
    "prove.net_section", label="section proof", unit="Pa", evidence="practice",
    source="EN 1993-1-1, 6.2.2.2, net section; cold strength",
    remedy=("case.wall", "screw.count", "loads.meop_given"),
    says="Tube yields between the holes", **WANTED,
)  # fmt: skip
def prove_net_section(loads_proof_force, case_net_area, case_F_ty):
    """Mean stress between the screw holes at proof against cold yield."""
    return loads_proof_force / case_net_area, case_F_ty


@check(
    "prove.bearing", label="bearing proof", unit="Pa", evidence="practice",
    source="MIL-HDBK-5J, bearing yield at e/d; cold strength",
    remedy=("case.edge_distance", "screw.count", "case.wall", "loads.meop_given"),
    says="Screw holes stretch", **WANTED,
)  # fmt: skip
def prove_bearing(case_bearing_demand, loads_proof_factor, case_bearing_yield_strength):
    """Bearing stress of the worst screw at proof against cold bearing yield."""
    return case_bearing_demand * loads_proof_factor, case_bearing_yield_strength


@check(
    "prove.plate", label="plate proof", unit="Pa", evidence="practice", limits=PLATE_RANGE,
    source="plate simply supported at the screw circle, thick-plate form; cold strength",
    remedy=("closure.plate", "loads.meop_given"), says="Plate yields", **WANTED,
)  # fmt: skip
def prove_plate(closure_plate_stress, loads_proof_factor, closure_F_ty):
    """Greatest elastic stress in the plate at proof against cold yield."""
    return closure_plate_stress * loads_proof_factor, closure_F_ty


@check(
    "prove.closure_bearing", label="closure proof", unit="N", evidence="practice",
    source="MIL-HDBK-5J, bearing yield at e/d of the land; cold strength",
    remedy=("closure.screw_station", "seal.secondary.station", "screw.count", "screw.length",
            "loads.meop_given"),
    says="Tapped holes stretch", **WANTED,
)  # fmt: skip
def prove_closure_bearing(
    screw_load, loads_proof_factor, closure_bearing_yield_strength, screw_d,
    closure_bearing_length,
):  # fmt: skip
    """Load of the worst screw at proof against cold bearing yield of its tapped hole."""
    capacity = closure_bearing_yield_strength * screw_d * closure_bearing_length
    return screw_load * loads_proof_factor, capacity


@check(
    "prove.fillet", label="fillet proof", unit="Pa", evidence="weak", limits=FILLET_RANGE,
    source="own form, compared with FE in its range; cold strength",
    remedy=("closure.fillet", "closure.plate", "closure.skirt_wall", "loads.meop_given"),
    says="Fillet of the skirt yields", **SKIRT, **WANTED,
)  # fmt: skip
def prove_fillet(closure_fillet_stress, loads_proof_factor, closure_F_ty):
    """Greatest stress in the skirt's fillet at proof against cold yield."""
    return closure_fillet_stress * loads_proof_factor, closure_F_ty


@check(
    "prove.lands", label="land proof", unit="Pa", evidence="practice",
    source="short cantilever, the weakest land; cold strength",
    remedy=("closure.length", "seal.primary.station", "seal.secondary.station",
            "seal.liner.station", "loads.meop_given"),
    says="A land between cuts yields", **WANTED,
)  # fmt: skip
def prove_lands(closure_lands_stress, loads_proof_factor, closure_F_ty):
    """Stress of the weakest land at proof against cold yield."""
    return closure_lands_stress * loads_proof_factor, closure_F_ty


@check(
    "prove.skirt", label="skirt proof", unit="Pa", evidence="practice",
    source="statics: the end force on the skirt's least section; cold strength",
    remedy=("closure.skirt_wall", "screw.count", "loads.meop_given"), says="Skirt is crushed",
    applies={"closure_skirt_loaded": "no skirt between plate and screws"}, **WANTED,
)  # fmt: skip
def prove_skirt(loads_proof_force, closure_skirt_area, closure_F_ty):
    """Compression of the skirt at proof against cold yield."""
    return loads_proof_force / closure_skirt_area, closure_F_ty


@check(
    "prove.nose", label="nose proof", unit="Pa", evidence="practice",
    source="Lamé, outside pressure, from the groove's floor to the centre hole; cold strength",
    remedy=("seal.liner.groove_diameter", "closure.centre_hole", "loads.meop_given"),
    says="The nose yields under its groove", applies=NO_NOSE, **WANTED,
)  # fmt: skip
def prove_nose(closure_nose_stress, loads_proof_factor, closure_F_ty):
    """Hoop compression of the nose under its groove at proof against cold yield."""
    return closure_nose_stress * loads_proof_factor, closure_F_ty
