"""Bodies are straight, so that the working can be read from them, and every formula is shown."""

import ast
import inspect

import pytest

from hobbyclosure import working
from hobbyclosure.assess import ABSENT, Assessment
from hobbyclosure.graph import CHECKS, QUANTITIES
from tests.designs import DEMO, demo
from tests.rules.project import NODES, body, called, physics
from tests.support import case, each_working_once

PHYSICS = physics()
# Looked up, not reckoned: the working names the table and shows what went in and came out.
OPAQUE = {
    "material.strength_ratio", "sharing.sharing_factor", "sharing.sharing_table",
    "chart.chart_band", "chart.chart_gap", "chart.guide_gap",
    "chart.corner_radius_least", "chart.corner_radius_most", "chart.backup_thickness",
}  # fmt: skip
NUMPY = {"sqrt", "minimum", "maximum", "where", "log", "exp", "sin", "cos", "arctan", "isnan"}
ALLOWED = (
    ast.BinOp, ast.UnaryOp, ast.Compare, ast.Call, ast.Name, ast.Attribute, ast.Constant,
    ast.Tuple, ast.operator, ast.unaryop, ast.cmpop, ast.expr_context,
)  # fmt: skip

CASES = {
    "demo": Assessment(DEMO),
    "two rows": demo(
        screw__rows="2", screw__row_spacing="3 mm", screw__shear_plane="shank",
        case__edge_distance="8 mm", closure__centre_hole="0 mm",
    ),
    "unified": demo(
        screw__thread="1/4-20", screw__clearance_hole="6.8 mm", screw__strength_class="Grade 8",
        screw__hole_method="unknown", loads__meop_given="900 psi",
        seal__secondary__station="20 mm",
    ),
    "long screws": demo(screw__length="16 mm", screw__head_room="4 mm", port__count="2"),
    "flush heads": demo(screw__head="countersunk", closure__nose="0 mm"),
    "slack rings": demo(
        seal__primary__ring="234", seal__secondary__ring="234", seal__liner__ring="232",
    ),
}  # fmt: skip


def crooked(fn):
    """What keeps a body from being read: anything but assignments, one return, plain arithmetic."""
    statements = body(fn)
    if not isinstance(statements[-1], ast.Return):
        return "ends without a return"
    if not all(isinstance(s, ast.Assign) for s in statements[:-1]):
        return "does more than assign"
    for s in statements:
        for node in ast.walk(s.value):
            if not isinstance(node, ALLOWED):
                return f"contains {ast.unparse(node) if isinstance(node, ast.expr) else node}"
            if isinstance(node, ast.Call):
                f = node.func
                if node.keywords:
                    return f"names an argument in {ast.unparse(node)}"
                if isinstance(f, ast.Attribute) and f.attr not in NUMPY:
                    return f"calls {ast.unparse(f)}"
    return ""


@pytest.mark.parametrize("name", sorted(set(PHYSICS) - OPAQUE))
def test_a_physics_function_is_straight(name):
    assert crooked(PHYSICS[name]) == ""


@pytest.mark.parametrize("name", NODES)
def test_a_quantity_or_check_is_straight(name):
    assert crooked(NODES[name].fn) == ""


@pytest.mark.parametrize("name", PHYSICS)
def test_a_physics_function_names_its_source(name):
    text = inspect.getdoc(PHYSICS[name]) or ""
    if name != "sharing.sharing_table":  # reads a file whose head states the source
        assert any(line.startswith("Source: ") and len(line) > 12 for line in text.splitlines())
    assert text.splitlines()[0].endswith(".")


def test_opaque_functions_are_still_needed():
    assert set(PHYSICS) >= OPAQUE


@pytest.fixture(scope="module", autouse=True)
def _each_once():
    with each_working_once():
        yield


@pytest.mark.parametrize("name", NODES)
def test_every_step_is_shown(name):
    for title, assessment in CASES.items():
        with case(title):
            every_step_is_shown(name, assessment)


def every_step_is_shown(name, assessment):
    """No step is a bare call; a check that does not apply says why instead."""
    found = working.working(assessment, name)
    if assessment.states.get(name) == ABSENT:
        assert found.lines == ()
        assert found.reason in CHECKS[name].applies.values()
        return
    steps = [line for line in found.lines if line.head != "factor"]
    assert steps, "fell back to a bare number"
    looked_up = {PHYSICS[n].__name__.replace("_", " ") + "(" for n in set(PHYSICS) - OPAQUE}
    for line in steps:
        assert line.result
        assert not any(line.formula.startswith(word) for word in looked_up)


@pytest.mark.parametrize("id", CHECKS)
def test_every_check_applies_in_a_case_and_says_why_it_does_not(id):
    states = {found.states[id] for found in CASES.values()}
    assert states != {ABSENT}
    assert all(CHECKS[id].applies.values())


@pytest.mark.parametrize("id", CHECKS)
def test_the_whole_working_shows_every_quantity_behind_it(id):
    assessment = next(found for found in CASES.values() if found.states[id] != ABSENT)
    text = working.plain(assessment, id)
    assert CHECKS[id].title in text
    assert "no answer" not in text
    for name in CHECKS[id].args:
        if name in QUANTITIES:
            assert QUANTITIES[name].title in text
    if any(called(CHECKS[id].fn)):
        assert "factor = capacity / demand" in text
