"""Evidence is earned: what claims a standard or theory rests on tests against print or numbers."""

import re
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path

import pytest

from hobbyclosure.assess import behind
from hobbyclosure.graph import CHECKS, QUANTITIES
from tests.rules.project import NODES, called, physics
from tests.support import PUBLISHED

TESTS = Path(__file__).parents[1]
NAMES = {fn: name for name, fn in physics().items()}

# Definitions, statics and geometry: no print or numerical model could tell more.
PLAIN = {
    "vessel.end_force": "pressure times area",
    "joint.worst_screw_load": "definition of the sharing factor",
    "joint.circular_pitch": "circumference over the number of holes",
    "joint.bearing_stress": "definition: force over projected area",
    "land.metal_ahead": "geometry: the nearer of groove and end",
    "land.metal_between": "geometry: from the hole's rim to the groove's wall",
    "land.corner_share": "definition: radius over the land's lesser size",
    "joint.bearing_line_load": "definition: strength times diameter",
    "seal.thermal_opening": "definition: linear expansion of one size less another",
    "material.strength_ratio": "reads the material's own table, held against print with the data",
}


def load_published() -> None:
    """Import every test that may record itself; what memory confirms earns nothing."""
    found = [*TESTS.glob("published/test_*.py"), *TESTS.glob("test_*.py")]
    for path in found:
        if "@published" in path.read_text(encoding="utf-8"):
            parts = path.relative_to(TESTS.parent).with_suffix("").parts
            import_module(".".join(parts))


load_published()
RECORDED = {NAMES[fn] for fn, _ in PUBLISHED if fn in NAMES}


def rests_on(name: str) -> Iterator[str]:
    """The physics functions that a node calls itself."""
    return (NAMES[fn] for fn in called(NODES[name].fn))


CLAIMS = [n for n, node in NODES.items() if node.evidence in ("standard", "theory")]


@pytest.mark.parametrize("name", CLAIMS)
def test_what_claims_a_standard_or_theory_is_held_against_it(name):
    lacking = {fn for fn in rests_on(name) if fn not in RECORDED and fn not in PLAIN}
    assert lacking == set()


# What a node without a form of its own may rest on: what anyone can check with a pencil.
PENCIL = re.compile(
    r"geometry|count|definition|statics|sum|tolerance of the dimension|stated or not|"
    r"the (worst|hottest) of|no credit|a countersink takes|closure lying against|material row"
)


@pytest.mark.parametrize("name", [n for n in CLAIMS if not list(rests_on(n))])
def test_what_claims_without_a_form_is_pencil_work_or_passes_a_form_on(name):
    behind_it = [arg for arg in NODES[name].args if arg in QUANTITIES]
    assert PENCIL.match(NODES[name].source) or any(list(rests_on(arg)) for arg in behind_it)


@pytest.mark.parametrize("id", [id for id, c in CHECKS.items() if c.evidence != "practice"])
def test_a_check_that_claims_more_than_practice_has_a_published_form_behind_it(id):
    nodes = [id, *(n for n in behind(CHECKS[id]) if n in QUANTITIES)]
    assert {fn for n in nodes for fn in rests_on(n)} & RECORDED


def test_memory_earns_no_evidence():
    for path in TESTS.rglob("test_*from_memory*.py"):
        assert "@published" not in path.read_text(encoding="utf-8"), path.name


def test_every_record_states_its_source():
    assert all(len(source) > 10 for _, source in PUBLISHED)
    assert "from memory" not in " ".join(source for _, source in PUBLISHED)


def test_the_plain_list_holds_nothing_that_is_published_or_gone():
    assert set(PLAIN) <= set(NAMES.values())
    assert set(PLAIN) & RECORDED == set()
