"""Who may import whom: the model knows no browser, and every arrow points one way."""

import pytest

from tests.rules.project import imports, is_ours, is_standard, modules

MODEL, APP = modules("hobbyclosure"), modules("app")

# Module (or package) → what of ours it may import; a package's modules share its line.
ARROWS = {
    "hobbyclosure": {"assess", "design", "file"},
    "hobbyclosure.units": set(),
    "hobbyclosure.quick": set(),
    "hobbyclosure.data": {"units", "data"},
    "hobbyclosure.fields": {"units", "data", "fields"},
    "hobbyclosure.seal_inputs": {"data", "fields", "part_inputs"},
    "hobbyclosure.part_inputs": {"units", "data"},
    "hobbyclosure.trace": {"units"},
    "hobbyclosure.trace_csv": {"units", "trace"},
    "hobbyclosure.clashes": {"units"},
    "hobbyclosure.clashes_seal": {"physics", "clashes"},
    "hobbyclosure.corners": {"checks", "physics"},
    "hobbyclosure.rings": {"data", "physics", "checks", "graph"},
    "hobbyclosure.grooves": {"rings", "study", "assess", "design", "graph", "data", "fields"},
    "hobbyclosure.design": {
        "units",
        "data",
        "fields",
        "clashes",
        "clashes_seal",
        "seal_inputs",
        "part_inputs",
        "trace",
    },
    "hobbyclosure.file": {"units", "data", "fields", "design", "own_rows", "trace"},
    "hobbyclosure.physics": {"units", "quick", "physics"},
    "hobbyclosure.graph": set(),
    "hobbyclosure.checks": {"units", "quick", "fields", "graph", "physics", "checks"},
    "hobbyclosure.starting": {
        "units",
        "data",
        "fields",
        "physics",
        "design",
        "rings",
        "checks",
        "assess",
    },
    "hobbyclosure.assess": {
        "units",
        "data",
        "fields",
        "design",
        "graph",
        "checks",
        "seal_inputs",
        "part_inputs",
    },
    "hobbyclosure.own_rows": {"units", "data", "design", "part_inputs"},
    "hobbyclosure.scatter": {"graph", "assess"},
    "hobbyclosure.lock": set(),
    "hobbyclosure.log": {"design", "file", "lock"},
    "hobbyclosure.fingerprint": {"fields", "design"},
    "hobbyclosure.differences": {"units", "fields", "design", "trace"},
    "hobbyclosure.study": {"units", "data", "fields", "design", "graph", "assess"},
    "hobbyclosure.phrases": {"units", "data", "graph", "checks", "corners", "assess"},
    "hobbyclosure.context": {"units", "data", "graph", "checks", "physics", "assess", "phrases"},
    "hobbyclosure.words": {
        "units",
        "fields",
        "design",
        "graph",
        "assess",
        "study",
        "phrases",
        "context",
        "part_inputs",
    },
    "hobbyclosure.formula": {"units"},
    "hobbyclosure.working": {
        "formula",
        "units",
        "data",
        "fields",
        "design",
        "graph",
        "assess",
        "seal_inputs",
        "part_inputs",
    },
    "hobbyclosure.shapes": set(),
    "hobbyclosure.profile": {"shapes"},
    "hobbyclosure.drawing": {"shapes", "profile", "fields", "design", "data"},
    "hobbyclosure.swell": {"shapes", "profile", "drawing", "physics", "units"},
    "hobbyclosure.lettering": {"shapes", "units"},
    "hobbyclosure.svg": {"shapes", "lettering", "units"},
    "hobbyclosure.gland": {"shapes", "corners", "checks", "physics"},
    "hobbyclosure.gland_words": {"gland", "lettering", "units"},
    "hobbyclosure.gland_svg": {"gland", "gland_words", "svg", "shapes", "lettering"},
    "hobbyclosure.push": {"gland", "profile", "checks", "physics"},
}
# Packages from outside, and the modules of the model that may use them (others of ours may not).
OUTSIDE = {
    "numpy": set(MODEL),
    "attrs": set(MODEL) - {m for m in MODEL if m.startswith("hobbyclosure.physics")},
    "pint": {"hobbyclosure.units"},
    "tomlkit": {"hobbyclosure.file", "hobbyclosure.log"},
}


def line_of(module: str) -> str:
    """The entry of ARROWS that speaks for a module."""
    parts = module.split(".")
    return ".".join(parts[:2]) if len(parts) > 1 else module


@pytest.mark.parametrize("module", MODEL)
def test_model_imports_only_along_the_arrows(module):
    assert line_of(module) in ARROWS, "a new module states what it may import"
    allowed = {f"hobbyclosure.{name}" for name in ARROWS[line_of(module)]}
    bare = {"hobbyclosure." + name.split(".")[1] for name in imports(MODEL[module])
            if name.startswith("hobbyclosure.")}  # fmt: skip
    assert bare <= allowed


@pytest.mark.parametrize("module", MODEL)
def test_model_imports_nothing_of_app_or_tests(module):
    ours = {name.split(".")[0] for name in imports(MODEL[module]) if is_ours(name)}
    assert ours <= {"hobbyclosure"}


@pytest.mark.parametrize("module", MODEL)
def test_model_uses_only_the_packages_it_may(module):
    outside = {name.split(".")[0] for name in imports(MODEL[module])
               if not is_ours(name) and not is_standard(name)}  # fmt: skip
    assert {name for name in outside if module not in OUTSIDE.get(name, ())} == set()


def test_arrows_make_no_circle():
    order, left = [], {k.split(".")[-1]: v - {k.split(".")[-1]} for k, v in ARROWS.items()}
    while free := [name for name, needs in left.items() if needs <= set(order)]:
        order += free
        left = {name: needs for name, needs in left.items() if name not in free}
    assert left == {}


@pytest.mark.parametrize("module", list(APP))
def test_app_imports_of_ours_only_the_model_and_itself(module):
    assert {name.split(".")[0] for name in imports(APP[module]) if is_ours(name)} <= {
        "hobbyclosure", "app", "demo_data",
    }  # fmt: skip
    assert "pint" not in {name.split(".")[0] for name in imports(APP[module])}
