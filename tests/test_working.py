"""The working says what the assessment says, in the reader's units, and drops nothing."""

import re
from collections import Counter
from itertools import product

import numpy as np
import pytest

from hobbyclosure import working
from hobbyclosure.assess import ABSENT, Assessment
from hobbyclosure.graph import CHECKS, QUANTITIES
from hobbyclosure.physics.vessel import von_mises_bore
from hobbyclosure.units import LABELS, Q, quantity_text
from tests.designs import DEMO, demo
from tests.support import case, each_working_once

CASES = {
    "demo": Assessment(DEMO),
    "two rows": demo(
        screw__rows="2", screw__row_spacing="9 mm", closure__screw_station="9 mm",
        screw__shear_plane="shank",
        case__edge_distance="8.5 mm", closure__centre_hole="0 mm",
    ),
    "unified": demo(
        screw__thread="1/4-20", screw__clearance_hole="6.8 mm", screw__strength_class="Grade 8",
        screw__hole_method="unknown", loads__meop_given="900 psi",
    ),
    "long screws": demo(screw__length="16 mm", screw__head_room="4 mm", port__count="2"),
    "flush heads": demo(screw__head="countersunk", closure__nose="0 mm"),
}  # fmt: skip
SYSTEMS = ("metric", "inch")
METRIC = re.compile(r"\d (mm|mm²|mm⁴|MPa|kN|N m|N/mm|1/mm|1/kN|°C)(?!\w)")
INCH = re.compile(r"\d (in|in²|in⁴|psi|lbf|lbf in|lbf/in|1/in|1/lbf|°F)(?!\w)")


@pytest.fixture(scope="module", autouse=True)
def _each_once():
    with each_working_once():
        yield


@pytest.mark.parametrize("id", CHECKS)
def test_the_result_lines_are_the_assessment_s_numbers(id):
    for name, system in product(CASES, SYSTEMS):
        with case(name, system):
            result_lines_are_the_numbers(id, CASES[name], system)


def result_lines_are_the_numbers(id, found, system):
    """Demand, capacity and factor; or the reason why there are none."""
    result, unit = found.results[id], CHECKS[id].unit
    shown = working.working(found, id, system)
    if found.states[id] == ABSENT:
        assert (shown.lines, shown.reason) == ((), found.reason(CHECKS[id]))
        assert f"Does not apply: {shown.reason}." in working.plain(found, id, system)
        return
    lines = {line.head: line for line in shown.lines}
    if found.states[id] == "no answer":
        assert shown.reason
        return
    for head in ("demand", "capacity"):
        number = float(getattr(result, head))
        assert lines[head].result == quantity_text(Q(number, unit), system)
    assert lines["factor"].result == f"{float(result.factor):.3g}"
    assert shown.evidence == found.evidence(CHECKS[id])
    assert shown.source == CHECKS[id].source
    assert shown.reason == ""


@pytest.mark.parametrize("name", QUANTITIES)
def test_the_last_line_of_a_quantity_is_its_value(name):
    for title, system in product(CASES, SYSTEMS):
        with case(title, system):
            found = CASES[title]
            shown = working.working(found, name, system)
            value = quantity_text(Q(float(found.values[name]), QUANTITIES[name].unit), system)
            assert shown.lines[-1].result == value
            assert shown.lines[-1].head == QUANTITIES[name].symbol


@pytest.mark.parametrize("id", CHECKS)
def test_each_reader_sees_only_own_units(id):
    for name, found in CASES.items():
        with case(name):
            metric, inch = (working.plain(found, id, system) for system in SYSTEMS)
            steps = [[x for x in t.splitlines() if x.startswith("  ")] for t in (metric, inch)]
            assert not any(INCH.search(x) for x in steps[0])
            assert not any(METRIC.search(x) for x in steps[1])
            assert len(steps[0]) == len(steps[1])


@pytest.mark.parametrize("name", [*QUANTITIES, *CHECKS])
def test_every_value_that_goes_in_is_listed_with_title_and_unit(name):
    node = working.node_of(name)
    uses = working.working(CASES["demo"], name).uses
    tables = [a for a in node.args if np.ndim(CASES["demo"].values[a]) > 0]
    assert [u.symbol for u in uses] == [working.symbol_of(a) for a in node.args if a not in tables]
    for use, arg in zip(uses, (a for a in node.args if a not in tables), strict=True):
        assert use.title
        assert use.text
        assert use.opens == (arg if arg in QUANTITIES else "")


@pytest.mark.parametrize("id", CHECKS)
def test_what_is_from_memory_is_said(id):
    found = CASES["demo"]
    text = working.plain(found, id)
    assert ("From memory, confirm" in text) == bool(found.confirm(CHECKS[id]))
    assert text.splitlines()[-1].startswith(("From memory", found.evidence(CHECKS[id])))


@pytest.mark.parametrize("name", ["case.wall", "nothing", "", "case_wall", "__import__"])
def test_an_unknown_name_is_refused(name):
    with pytest.raises(KeyError):
        working.working(CASES["demo"], name)


# ---- no answer


BLANK = demo(closure__plate="8 mm")


@pytest.mark.parametrize("id", ["closure.plate.limit", "closure.plate.yield", "prove.plate"])
@pytest.mark.parametrize("system", SYSTEMS)
def test_a_check_without_an_answer_shows_none_and_says_why(id, system):
    shown = working.working(BLANK, id, system)
    why = "plate thickness over the bore is 0.1, outside 0.12 to 0.5"
    assert shown.reason == why
    assert shown.lines[-1].result == "no answer"
    assert why in working.plain(BLANK, id, system)


# ---- reading a body


def steps(fn, **values):
    """Plain lines of a function run on such values, and what it returns."""
    lines, results = working.steps(fn, values, {}, ["result"], "metric")
    text = [
        " = ".join(dict.fromkeys(t for t in (x.head, x.formula, x.numbers, x.result) if t))
        for x in lines
    ]
    return text, results


def deflection_def(return_load, definite):
    """Names that hold words of the language."""
    deflection = return_load / definite
    imports = 2 * deflection
    return imports - definite


def test_no_line_is_dropped_for_its_name():
    text, (found,) = steps(deflection_def, return_load=Q(6, ""), definite=Q(4, ""))
    assert found == pytest.approx(-1)
    assert text == [
        "deflection = return_load / definite = 6 / 4 = 1.5",
        "imports = 2 × deflection = 2 × 1.5 = 3",
        "result = imports − definite = 3 − 4 = -1",
    ]


def branching(x, y):
    """One of two."""
    low = x + y
    high = x * y
    return np.where(x > 2, high, low)


def test_only_the_branch_that_is_taken_is_shown():
    assert steps(branching, x=Q(3, ""), y=Q(2, ""))[0] == ["result = x × y = 3 × 2 = 6"]
    assert steps(branching, x=Q(1, ""), y=Q(2, ""))[0] == ["result = x + y = 1 + 2 = 3"]


def bracketed(a, b, c):
    """Order of operations."""
    return (a - (b - c)) / (a * (b + c)) ** 2


def test_brackets_stand_where_they_must():
    (line,), (found,) = steps(bracketed, a=Q(2, ""), b=Q(3, ""), c=Q(4, ""))
    assert line.startswith(
        "result = (a − (b − c)) / (a × (b + c))² = (2 − (3 − 4)) / (2 × (3 + 4))²"
    )
    assert found == pytest.approx(3 / 14**2)


def divided(a, b, c):
    """Quotients of quotients."""
    return a / (b / c) - -a / b / c


def test_divisions_read_in_the_order_they_are_done():
    (line,), (found,) = steps(divided, a=Q(2, ""), b=Q(3, ""), c=Q(4, ""))
    formula = line.split(" = ")[1]
    read = formula.replace("−", "-")
    assert eval(read, {"a": 2, "b": 3, "c": 4}) == pytest.approx(float(found))


def looped(x):
    """No straight body."""
    for _ in range(3):
        x = x + 1
    return x


def conditional(x):
    """No straight body either."""
    return x if x > 1 else -x


@pytest.mark.parametrize("fn", [looped, conditional])
def test_a_crooked_body_is_refused_not_shortened(fn):
    with pytest.raises(working.UnreadableError):
        steps(fn, x=Q(1, ""))


def test_physics_is_shown_step_by_step():
    text, (found,) = steps(von_mises_bore, p=Q("7 MPa"), r_i=Q("38.1 mm"), r_o=Q("41.275 mm"))
    assert text[0] == "K = r_o / r_i = 41.28 mm / 38.1 mm = 1.083"
    assert text[1].startswith(
        "result = √(3) × p × K² / (K² − 1) = √(3) × 7 MPa × 1.083² / (1.083² − 1)"
    )
    assert found.to("Pa").magnitude == pytest.approx(von_mises_bore(7e6, 0.0381, 0.041275))


def test_a_sum_of_unlike_units_is_refused():
    with pytest.raises(Exception, match="Cannot convert"):
        steps(bracketed, a=Q(2, "m"), b=Q(3, "Pa"), c=Q(4, "Pa"))


@pytest.mark.parametrize("system", ["metric", "inch"])
def test_every_number_is_said_in_a_unit_a_reader_knows(system):
    known = {*LABELS.values(), "1/K"}
    for name in [*CHECKS, *QUANTITIES]:
        found = working.working(CASES["demo"], name, system)
        for text in [*(line.result for line in found.lines), *(use.text for use in found.uses)]:
            number, _, unit = text.partition(" ")
            if number.lstrip("-−")[:1].isdigit():
                assert unit in known, (name, text)


def test_a_tolerance_that_is_a_share_has_a_name():
    assert working.title_of("case_wall_tol_share") == "Wall, tolerance, as a share"


def test_no_two_values_share_a_symbol():
    names = set(QUANTITIES)
    for node in (*QUANTITIES.values(), *CHECKS.values()):
        names |= set(node.args)
    often = Counter(working.symbol_of(name) for name in names)
    assert [symbol for symbol, count in often.items() if count > 1] == []
