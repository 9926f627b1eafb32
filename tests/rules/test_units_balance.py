"""Units balance: the formulas run on Pint quantities and give what they declare."""

import inspect
from typing import Any, get_args

import numpy as np
import pytest

from hobbyclosure.assess import Assessment
from hobbyclosure.graph import CHECKS, QUANTITIES, Values
from hobbyclosure.units import Q
from hobbyclosure.working import with_unit
from tests.designs import DEMO, demo
from tests.rules.project import physics

PHYSICS = physics()
# Plain sizes by parameter, so that radii, walls and tables stand in a sensible order.
SIZES = {
    "r_o": 0.041, "r_i": 0.038, "D": 0.076, "a": 0.05, "b": 0.01, "h": 0.018, "t": 0.003,
    "d": 0.006, "P": 0.001, "d_h": 0.0065, "d_3": 0.0048, "e": 0.011, "p_2": 0.017, "s": 0.014,
    "D1_max": 0.0052, "d2_min": 0.0053, "d_min": 0.0058, "D2_max": 0.0055, "g": 4e-4,
    "T": 330.0, "nu": 0.33, "n": 14.0, "n_row": 14.0, "k": 1.2, "sigma": 5e-5, "c": 4e-4,
    "delta_y": 8e-5, "alpha_v": 0.6, "arm": 2.5e-3, "t_eff": 2.6e-3, "A_s": 2e-5,
    "H": 80.0, "C": 0.2, "mu": 0.2, "theta": 0.35, "x": 0.02, "X": 1.2, "Y": 0.5,
    "alpha_r": 1.6e-4, "alpha_m": 2.4e-5, "alpha_1": 2.4e-5, "alpha_2": 1.2e-5,
    "T_0": 293.0, "T_1": 353.0, "T_2": 333.0, "V": 8e-6, "d_2": 0.0035, "L": 0.0028,
    "D_f": 0.0705, "d_1": 0.069, "R": 0.037, "band": 3, "xi": 0.45,
}  # fmt: skip
BY_UNIT = {"Pa": 3e8, "N": 4e3, "N*m": 12.0, "N/m": 1.6e6, "m": 0.012, "m**2": 2e-5, "K": 330.0}
TABLES = {"T_table": Q(np.array([250.0, 400.0]), "K"), "ratio_table": np.array([1.0, 0.8])}
OTHER = {"m": "inch", "m**2": "mm**2", "Pa": "ksi", "N": "lbf", "N*m": "lbf*inch",
         "N/m": "N/mm", "K": "degR"}  # fmt: skip


def unit(annotation: Any) -> str | None:
    """The unit a parameter or result declares."""
    found = get_args(annotation)
    return found[1] if len(found) == 2 else None


def sizes(fn: Any) -> dict[str, tuple[float, str]]:
    """A plain size and its unit for every parameter that declares one."""
    out = {}
    for name, parameter in inspect.signature(fn).parameters.items():
        declared = unit(parameter.annotation)
        if name not in TABLES:
            assert declared is not None, f"{name} declares no unit"
            size = 6.4e8 if name in SIZES and declared == "Pa" else SIZES.get(name)
            out[name] = (size or BY_UNIT[declared], declared)
    return out


def tables(fn: Any) -> dict[str, Any]:
    return {k: v for k, v in TABLES.items() if k in inspect.signature(fn).parameters}


@pytest.mark.parametrize("name", [n for n in PHYSICS if n != "sharing.sharing_table"])
def test_a_physics_function_gives_the_unit_it_declares(name):
    fn = PHYSICS[name]
    given = sizes(fn)
    declared = unit(inspect.signature(fn).return_annotation)
    assert declared is not None
    plain_tables = {k: getattr(v, "magnitude", v) for k, v in tables(fn).items()}
    plain = fn(**{k: v for k, (v, _) in given.items()}, **plain_tables)
    si = fn(**{k: Q(v, u or "dimensionless") for k, (v, u) in given.items()}, **tables(fn))
    mixed = {k: Q(v, u or "dimensionless") for k, (v, u) in given.items()}
    for k, (_, u) in list(given.items())[::2]:  # every other one as an inch reader has it
        mixed[k] = mixed[k].to(OTHER.get(u, u or "dimensionless"))
    assert np.isfinite(plain)
    for found in (si, fn(**mixed, **tables(fn))):
        assert Q(found).to(declared or "dimensionless").magnitude == pytest.approx(plain, rel=1e-9)


@pytest.fixture(scope="module", params=["one row", "two rows, unified, no hole"])
def both(request):
    """A design's values as plain numbers and as quantities with units."""
    assessment = Assessment(DEMO)
    if request.param != "one row":
        assessment = demo(
            screw__rows="2", screw__row_spacing="3 mm", screw__thread="1/4-20",
            screw__clearance_hole="6.8 mm", screw__strength_class="Grade 8",
            screw__shear_plane="shank", closure__centre_hole="0 mm",
            screw__hole_method="unknown", loads__meop_given="6 MPa",
        )  # fmt: skip
    with_units = {k: with_unit(k, v) for k, v in assessment.inputs.items()}
    return Values(assessment.inputs), Values(with_units)


@pytest.mark.parametrize("name", QUANTITIES)
def test_a_quantity_has_its_declared_unit(name, both):
    plain, quantities = both
    found = Q(quantities[name])
    assert found.to(QUANTITIES[name].unit or "dimensionless").magnitude == pytest.approx(
        plain[name], rel=1e-9, nan_ok=True
    )  # a ring by its numbers: not stated


@pytest.mark.parametrize("id", CHECKS)
def test_demand_and_capacity_have_the_check_s_unit(id, both):
    check = CHECKS[id]
    for plain, found in zip(*(v.demand_and_capacity(check) for v in both), strict=True):
        size = Q(found).to(check.unit or "dimensionless").magnitude
        assert size == pytest.approx(plain, rel=1e-9, nan_ok=True)  # room for heads: not stated
