"""Parameter names are the wiring: every one leads somewhere, and no name stands for two things."""

import string

import pytest

from hobbyclosure import checks
from hobbyclosure.assess import behind
from hobbyclosure.design import inputs
from hobbyclosure.fields import FIELDS, PARTS
from hobbyclosure.graph import CHECKS, EVIDENCE, QUANTITIES
from hobbyclosure.working import symbol_of
from tests.designs import DEMO
from tests.rules.project import NODES

INPUTS = inputs(DEMO)
BASES = (None, "loads_meop", "loads_proof")


def test_the_register_is_filled():
    assert checks.__all__
    assert {c.split(".")[0] for c in CHECKS} >= {"case", "closure", "screw", "prove"}


@pytest.mark.parametrize("name", NODES)
def test_every_parameter_leads_to_an_input_or_a_quantity(name):
    known = INPUTS.keys() | QUANTITIES.keys()
    node = NODES[name]
    assert set(node.args) <= known
    assert set(node.limits) <= known
    assert set(getattr(node, "weak_outside", {})) <= known


def test_no_node_bears_the_name_of_an_input():
    # A check or quantity so named would silently return the input.
    assert INPUTS.keys() & {c.name for c in CHECKS.values()} == set()
    # Only the share of a percentage tolerance may be stated instead: then the input wins.
    shared = INPUTS.keys() & QUANTITIES.keys()
    assert {name for name in shared if not name.endswith("_tol")} == set()


def test_no_check_bears_the_name_of_a_quantity():
    assert QUANTITIES.keys() & {c.name for c in CHECKS.values()} == set()


def test_no_quantity_needs_itself():
    done: set[str] = set(INPUTS)
    left = set(QUANTITIES) - done
    while ready := {q for q in left if {*QUANTITIES[q].args, *QUANTITIES[q].limits} <= done}:
        done |= ready
        left -= ready
    assert left == set()


def test_every_quantity_is_needed_by_a_check():
    used = {name for id in CHECKS for name in behind(CHECKS[id])}
    used |= {name for q in QUANTITIES.values() for name in q.weak_outside}
    context = {f"{f.name}_{mark}" for f in FIELDS.values() if f.tol for mark in ("min", "max")}
    tolerances = {f"{f.name}_tol" for f in FIELDS.values()}
    assert QUANTITIES.keys() - used - context - tolerances == set()


@pytest.mark.parametrize("id", CHECKS)
def test_the_id_is_the_function_s_name_and_begins_with_a_part(id):
    check = CHECKS[id]
    assert check.id == id
    assert check.fn.__name__ == check.name == id.replace(".", "_")
    assert check.part in {*PARTS, "prove", "heat"}


@pytest.mark.parametrize("name", QUANTITIES)
def test_a_quantity_begins_with_a_part_and_is_written_with_a_symbol(name):
    quantity = QUANTITIES[name]
    assert quantity.name == name
    assert name.split("_")[0] in PARTS
    assert quantity.symbol
    assert quantity.title
    assert quantity.evidence in EVIDENCE
    assert quantity.source


@pytest.mark.parametrize("id", CHECKS)
def test_remedies_are_fields_that_the_check_depends_on(id):
    for path in CHECKS[id].remedy:
        names = {FIELDS[path].name}
        assert names & set(behind(CHECKS[id])), f"{path} moves nothing in {id}"
        assert FIELDS[path].kind is not None, "a remedy moves a number"


@pytest.mark.parametrize("id", CHECKS)
def test_what_is_required_and_what_it_grows_with_resolve(id):
    check = CHECKS[id]
    if not isinstance(check.required, float):
        assert check.required in INPUTS.keys() | QUANTITIES.keys()
    assert check.basis in BASES
    if check.basis is not None:
        found = behind(CHECKS[id])
        assert check.basis in found or set(QUANTITIES[check.basis].args) <= set(found)
    if check.outcome:
        assert check.basis == "loads_meop", "the ladder's rungs are pressures at MEOP's place"


@pytest.mark.parametrize("id", CHECKS)
def test_a_check_says_what_it_is(id):
    check = CHECKS[id]
    assert check.title
    assert check.label
    assert check.says
    assert check.source
    assert check.evidence in EVIDENCE
    said, told = (
        {name for _, name, _, _ in string.Formatter().parse(text) if name}
        for text in (check.says, check.told)
    )
    assert said | told <= {"demand", "capacity", "corner"}
    assert not said or check.basis is None, "only a sentence of geometry tells its number"
    assert bool(told) == bool(check.told)


def test_labels_and_sentences_tell_the_checks_apart():
    labels = [c.label for c in CHECKS.values()]
    assert len(set(labels)) == len(labels)


@pytest.mark.parametrize("name", NODES)
def test_no_two_values_in_one_formula_share_a_symbol(name):
    names = NODES[name].args
    symbols = [symbol_of(n) for n in names]
    assert len(set(symbols)) == len(symbols), f"{names} are written {symbols}"
