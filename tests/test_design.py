"""The design record: refusals that name everything, measurements, collisions, own materials."""

import re

import attrs
import numpy as np
import pytest

from hobbyclosure import data, file
from hobbyclosure.assess import Assessment
from hobbyclosure.design import Design, DesignError, Entry, collisions, inputs, read
from hobbyclosure.fields import FIELDS
from tests.designs import CHOICES, DEMO, DEMO_FILE, NUMBERS


def refusals(changes, design=DEMO, assume="metric"):
    """The problems that a change of the design raises."""
    with pytest.raises(DesignError) as caught:
        design.evolved(changes, assume)
    return caught.value.problems


@pytest.mark.parametrize("field", NUMBERS, ids=lambda f: f.path)
def test_a_number_out_of_range_is_refused_by_name_value_and_limits(field):
    low, high = field.range
    for typed in (field.low, field.high):
        number = typed.rstrip("°").partition(" ")[0]
        unit = typed.removeprefix(number).strip()
        outside = float(number) - 1 if typed == field.low else float(number) * 2 + 1
        text = f"{outside:g} {unit}".strip()
        (problem,) = refusals({field.path: text})
        assert problem.field == field.path
        assert problem.typed == text
        for part in (field.path, text, field.low, field.high, field.help[1:]):
            assert part in problem.message
        assert "\n" not in problem.message
    step = max(1.0, 1e-8 * high)  # ends are given a billionth of slack
    for value in (low - step, high + step):
        (problem,) = refusals({field.path: value})
        assert field.low in problem.message


@pytest.mark.parametrize("field", CHOICES, ids=lambda f: f.path)
@pytest.mark.parametrize("raw", ["none of these", "", None, 3.0])
def test_a_choice_that_is_none_is_refused_with_what_there_is(field, raw):
    (problem,) = refusals({field.path: raw})
    assert problem.field == field.path
    assert next(iter(field.choices())) in problem.message


@pytest.mark.parametrize(
    ("value", "measured", "within"),
    [
        (0.03, 0.03, 20e-6),
        (0.1001, 0.1, 20e-6),  # what was read counts, not what was drawn
        (0.1, 0.1001, 30e-6),
        (0.15, 0.15, 30e-6),
    ],
)
def test_a_calliper_errs_more_on_what_is_larger(value, measured, within):
    """DIN 862, from memory: 20 µm up to 100 mm, 30 µm above."""
    assert Entry(value, measured=measured).within == pytest.approx(within, rel=1e-12)
    assert Entry(value, measured=measured, accuracy=5e-6).within == 5e-6


def test_what_may_be_picked_is_said_with_its_abbreviation_as_it_is():
    (problem,) = refusals({"seal.primary.ring": "none of these"})
    assert "(AS568 dash number" in problem.message


def test_text_of_the_wrong_kind_says_what_may_be_written():
    (problem,) = refusals({"case.wall": "5 MPa"})
    assert "'5 MPa' is no length: write mm" in problem.message
    assert "must be 0.5 mm to 25 mm (wall thickness of the tube)" in problem.message
    (problem,) = refusals({"screw.count": "14.5"})
    assert "'14.5' is no whole number" in problem.message
    (problem,) = refusals({"screw.rows": 1.5})
    assert "is no whole number" in problem.message
    (problem,) = refusals({"no.field": 3})
    assert "no.field: no such field" in problem.message
    (problem,) = refusals({"case.wall": "  "})
    assert "case.wall: empty" in problem.message


@pytest.mark.parametrize("raw", [np.nan, np.inf, -np.inf, "nan mm", "1e400 mm"])
def test_no_number_is_refused(raw):
    (problem,) = refusals({"case.wall": raw})
    assert problem.field == "case.wall"


def test_every_fault_of_a_change_is_told_and_nothing_changes():
    before = dict(DEMO.entries)
    found = refusals({"case.wall": "40 mm", "screw.count": "2", "screw.head": "fancy",
                      "loads.peak": "6 MPa"})  # fmt: skip
    assert [p.field for p in found] == ["case.wall", "screw.count", "screw.head"]
    assert dict(DEMO.entries) == before
    assert DEMO["loads.peak"].value == 5.2e6


def test_a_bare_number_takes_the_reader_s_unit():
    assert DEMO.evolved({"case.wall": "4"})["case.wall"].value == pytest.approx(4e-3)
    inch = DEMO.evolved({"case.wall": "3/16"}, "inch")["case.wall"]
    assert inch.value == pytest.approx(3 / 16 * 0.0254)
    assert DEMO.evolved({"loads.peak": "800"}, "inch")["loads.peak"].value == pytest.approx(
        5.5158e6, rel=1e-4
    )


def test_an_optional_field_can_be_emptied_again():
    stated = DEMO.evolved({"loads.meop_given": "7 MPa"})
    assert float(Assessment(stated).values["loads_meop"]) == 7e6
    emptied = stated.evolved({"loads.meop_given": ""})
    assert emptied["loads.meop_given"].value is None
    assert float(Assessment(emptied).values["loads_meop"]) == pytest.approx(5.2e6 * 1.08 * 1.1)


def test_a_change_loses_nothing_else():
    changed = DEMO.evolved({"case.wall": "4 mm"})
    assert changed.name == DEMO.name
    assert {p: e for p, e in changed.entries.items() if p != "case.wall"} == {
        p: e for p, e in DEMO.entries.items() if p != "case.wall"
    }


def stating(path, **entry):
    """The demo with one entry's tolerance or measurement stated."""
    found = attrs.evolve(DEMO[path], **entry)
    return attrs.evolve(DEMO, entries={**DEMO.entries, path: found})


def test_a_measurement_replaces_nominal_and_tolerance():
    measured = stating("case.wall", tol=2e-4, measured=3.05e-3, accuracy=2e-5)
    v = Assessment(measured).values
    assert v["case_wall"] == 3.05e-3
    assert v["case_wall_min"] == pytest.approx(3.03e-3)
    assert v["case_wall_max"] == pytest.approx(3.07e-3)


def test_a_new_nominal_drops_the_measurement_and_keeps_the_tolerance():
    measured = stating("case.wall", tol=2e-4, measured=3.05e-3, accuracy=2e-5)
    entry = measured.evolved({"case.wall": "4 mm"})["case.wall"]
    assert entry == Entry(4e-3, "4 mm", tol=2e-4)
    assert measured["case.wall"].measured == 3.05e-3


def test_tolerances_stated_shared_and_by_default():
    v = inputs(DEMO)
    assert v["case_bore_tol"] == pytest.approx(1e-4)
    assert v["case_wall_tol_share"] == pytest.approx(0.1)
    assert "case_wall_tol" not in v
    assert Assessment(DEMO).values["case_wall_min"] == pytest.approx(0.9 * 3.175e-3)
    assert Assessment(stating("case.wall", tol=1e-4)).values["case_wall_min"] == pytest.approx(
        3.075e-3
    )


COLLIDING = {
    "case.wall": [{"case.bore": "40 mm", "case.wall": "21 mm"}],
    "case.edge_distance": [
        {"case.edge_distance": "3 mm"},
        {"case.edge_distance": "80 mm"},
    ],
    "screw.count": [{"screw.count": "40"}],
    "screw.clearance_hole": [{"screw.clearance_hole": "5 mm"}],
    "screw.row_spacing": [
        {"screw.rows": "2", "screw.row_spacing": "2 mm", "screw.count": "24"},
    ],
    "case.hole_chamfer": [{"case.hole_chamfer": "3 mm"}],
    "closure.screw_station": [
        {"closure.screw_station": "2 mm"},
        {"closure.screw_station": "51 mm"},
        {"screw.rows": "2", "screw.row_spacing": "60 mm"},
    ],
    "closure.plate": [{"closure.plate": "57 mm"}],
    "closure.skirt_wall": [{"closure.skirt_wall": "39 mm"}],
    "closure.centre_hole": [{"closure.centre_hole": "77 mm"}],
}  # fmt: skip


@pytest.mark.parametrize(
    ("path", "changes"), [(p, c) for p, several in COLLIDING.items() for c in several]
)
def test_geometry_that_cannot_be_made_is_refused_at_its_field(path, changes):
    if "case.bore" in changes:  # another collision must not hide this one
        found = collisions(attrs.evolve(DEMO, entries=dict(DEMO.entries) | {
            p: read(p, v, DEMO) for p, v in changes.items()}))  # fmt: skip
    else:
        found = refusals(changes)
    (told,) = {p.message for p in found if p.field == path}
    typed = changes.get(path) or DEMO[path].typed
    assert told.startswith(f"{path}: '{typed}': ")
    assert re.search(r" by [\d.]+ mm; (at least|at most) ([\d.]+ mm|\d+)$|; must be .* to .*", told)


def test_what_a_refusal_allows_is_allowed():
    for path, changes in (("case.edge_distance", "1 mm"), ("closure.screw_station", "2 mm"),
                          ("case.lead_in", "25 mm"), ("screw.clearance_hole", "5 mm")):  # fmt: skip
        (told,) = {p.message for p in refusals({path: changes}) if p.field == path}
        limit = re.search(r"at (?:least|most) ([\d.]+ mm)$", told)
        assert limit
        entry = read(path, limit[1], DEMO)  # just as it is said
        changed = attrs.evolve(DEMO, entries={**DEMO.entries, path: entry})
        assert path not in {p.field for p in collisions(changed)}


def test_the_demo_and_a_design_of_defaults_collide_nowhere():
    assert collisions(DEMO) == []
    assert collisions(Design()) == []


def test_worst_dimensions_collide_before_nominal_ones():
    # 0.95 mm of a wall of 1 mm: with its 10 % less, nothing would be left to bear on.
    refusals({"case.wall": "1 mm", "case.hole_chamfer": "0.95 mm"})
    DEMO.evolved({"case.wall": "1 mm", "case.hole_chamfer": "0.85 mm"})
    refusals({"case.edge_distance": "3.4 mm"})  # a hole of 6.4 mm, each a little off
    DEMO.evolved({"case.edge_distance": "3.5 mm", "case.lead_in": "0 mm"})


OWN = data.material_from_values(
    "mine", "Tube of heat 4711", {"F_ty": 250e6, "F_tu": 300e6, "F_su": 190e6, "F_bry_15": 340e6,
    "F_bry_20": 390e6, "F_bru_15": 480e6, "F_bru_20": 610e6, "E": 69e9, "nu": 0.33},
)  # fmt: skip


def test_a_design_s_own_material_can_be_picked_and_counts():
    own = attrs.evolve(DEMO, materials={"mine": OWN})
    picked = own.evolved({"case.material": "mine", "case.metal_temperature": "20 °C"})
    assert picked.material("case").label == "Tube of heat 4711"
    assert inputs(picked)["case_F_ty"] == 250e6
    assert picked.choices(FIELDS["case.material"])["mine"] == "Tube of heat 4711"
    assert Assessment(picked).states["case.wall.burst"] == "meets"
    refusals({"case.material": "mine"})  # only in the design that carries it


@pytest.mark.parametrize("spelled", ["69x3.55", "69 x 3.55", "69 × 3.55", "69X3.55"])
def test_a_choice_may_be_spelled_as_people_do(spelled):
    assert DEMO.evolved({"seal.primary.ring": spelled})["seal.primary.ring"].value == "69x3.55"


@pytest.mark.parametrize(
    ("path", "spelled", "key"),
    [
        ("seal.primary.ring", "-232", "232"), ("seal.primary.ring", "as568-232", "232"),
        ("screw.thread", "m6", "M6"), ("screw.thread", "M6 x 1", "M6"),
        ("seal.liner.compound", "fkm", "FKM"), ("case.material", "6061-t6-EN", "6061-T6-en"),
    ],
)  # fmt: skip
def test_capitals_and_the_dash_of_a_dash_number_do_not_matter(path, spelled, key):
    assert DEMO.evolved({path: spelled})[path].value == key
    part, _, field = path.rpartition(".")
    text = f'[{part}]\n{field} = "{spelled}"\n'
    assert file.loads(text).design[path].value == key


def test_a_name_that_may_be_either_of_two_is_refused_and_says_which():
    text = DEMO_FILE.read_text(encoding="utf-8")
    row = '[material.{}]\nlike = "6061-t6-BAR"\n'
    loaded = file.loads(text + row.format("Heat7") + row.format("heat7"))
    assert loaded.problems == ()
    assert loaded.design.materials["heat7"].values == data.MATERIALS["6061-T6-bar"].values
    for exact in ("Heat7", "heat7"):
        assert loaded.design.evolved({"case.material": exact})["case.material"].value == exact
    with pytest.raises(DesignError, match="'HEAT7' may be any of Heat7, heat7"):
        loaded.design.evolved({"case.material": "HEAT7"})


def test_a_key_goes_before_a_label():
    """A design's own tube labelled like a listed key does not stand in for the listed one."""
    sly = attrs.evolve(OWN, label="6061-T6-drawn-tube")
    own = attrs.evolve(DEMO, materials={"mine": sly})
    picked = own.evolved({"case.material": "6061-T6-drawn-tube"})
    assert picked["case.material"].value == "6061-T6-drawn-tube"


def test_other_strengths_of_an_own_material_are_another_design():
    one, same, other = (
        attrs.evolve(DEMO, materials={"mine": m})
        for m in (
            OWN,
            attrs.evolve(OWN),
            attrs.evolve(OWN, values={**OWN.values, "F_ty": OWN["E"]}),
        )
    )
    assert one.says_the_same(same)
    assert not one.says_the_same(other)
    assert not one.says_the_same(DEMO)


def test_a_material_without_a_value_leaves_no_answer_not_a_number():
    bare = data.material_from_values(
        "bare", "Bare", {"F_ty": 250e6, "F_tu": 300e6, "E": 69e9, "alpha": 23e-6}
    )
    design = attrs.evolve(DEMO, materials={"bare": bare}).evolved(
        {"case.material": "bare", "case.metal_temperature": "20 °C"}
    )
    found = Assessment(design)
    assert np.isnan(inputs(design)["case_F_su"])
    assert found.states["case.shear_out"] == "no answer"
    tear = found.results["case.shear_out"].check
    assert "Bare states no ultimate shear strength" in found.reason(tear)
    assert found.states["case.wall.yield"] == "meets"


def test_another_design_s_own_row_is_refused_where_it_is_not_stated():
    entry = Entry("mine", "mine")
    with pytest.raises(DesignError, match=r"case\.material: 'mine' is none of"):
        DEMO.stated("case.material", entry)
    own = attrs.evolve(DEMO, materials={"mine": OWN})
    assert own.stated("case.material", entry)["case.material"].value == "mine"
