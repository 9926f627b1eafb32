"""Design files: what is read, what is refused and how, and that saving loses nothing."""

import attrs
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hobbyclosure import data, file
from hobbyclosure.assess import Assessment
from hobbyclosure.design import DesignError
from tests.designs import DEMO_FILE

TEXT = DEMO_FILE.read_text(encoding="utf-8")


def faults(text):
    """Messages of the problems in single fields."""
    return [str(p) for p in file.loads(text).problems]


def refusal(text):
    """The message of a text that cannot be read at all."""
    with pytest.raises(DesignError) as caught:
        file.loads(text, "mine.toml")
    (problem,) = caught.value.problems
    assert "\n" not in str(problem)
    return str(problem)


# ---- kept as it was


def test_the_demo_reads_without_fault_and_writes_back_byte_for_byte():
    loaded = file.load(DEMO_FILE)
    assert loaded.problems == ()
    assert loaded.unknown == ()
    assert loaded.design.name == "Tidewater"
    assert file.written(loaded.design, loaded.document) == TEXT


def lines_changed(before, after):
    """Lines of one text that the other has not, both ways, in pairs."""
    pairs = zip(before.splitlines(), after.splitlines(), strict=True)
    return [(a, b) for a, b in pairs if a != b]


def test_only_the_changed_key_is_rewritten_and_its_comment_stays():
    loaded = file.load(DEMO_FILE)
    changed = loaded.design.evolved({"closure.centre_hole": "21 mm", "screw.head": "cap"})
    plug = "   # M20 ignition plug"
    assert lines_changed(TEXT, file.written(changed, loaded.document)) == [
        ('centre_hole = "20 mm"' + plug, 'centre_hole = "21 mm"' + plug),
        ('head = "button"', 'head = "cap"'),
    ]


def test_what_is_typed_is_kept_as_typed_with_a_unit():
    loaded = file.load(DEMO_FILE)
    changed = loaded.design.evolved({"case.wall": "3/16 in", "loads.peak": "800"}, "inch")
    found = lines_changed(TEXT, file.written(changed, loaded.document, "inch"))
    assert [b.split("#")[0].strip() for _, b in found] == [
        'peak = "800 psi"', 'wall = "3/16 in"',
    ]  # fmt: skip


def test_a_new_key_goes_into_its_table_and_an_emptied_one_goes():
    loaded = file.load(DEMO_FILE)
    more = loaded.design.evolved({"loads.meop_given": "7 MPa"})
    text = file.written(more, loaded.document)
    assert text.replace('meop_given = "7 MPa"\n', "") == TEXT
    again = file.loads(text)
    less = again.design.evolved({"loads.meop_given": ""})
    assert file.written(less, again.document) == TEXT


@pytest.mark.parametrize("key", ["material.6061-T6-drawn-tube", "compound.NBR"])
def test_an_own_row_must_not_take_a_listed_name(key):
    kind = key.split(".")[0]
    numbers = {"material": 'F_ty = "200 MPa"', "compound": 'like = "NBR"'}[kind]
    found = file.loads(f"[{key}]\n{numbers}\n")
    said = f"{key}: is the name of a listed {kind}: choose another"
    assert said in [str(p) for p in found.problems]


def test_unknown_keys_are_named_and_kept():
    text = (
        TEXT.replace("[case]\n", '[case]\ncolour = "red"  # ours\n').replace(
            'wall = "1/8 in"', 'wall = { nominal = "1/8 in", maker = "Acme" }'
        )
        + '\n[paint]\ncoats = 2\n[notes]\nfirst = "anything may stand here"\n'
    )
    loaded = file.loads(text)
    assert loaded.problems == ()
    assert sorted(loaded.unknown) == ["case.colour", "case.wall.maker", "paint"]
    changed = loaded.design.evolved({"case.bore": "76 mm"})
    written = file.written(changed, loaded.document)
    assert written == text.replace('bore = "76.2 mm"', 'bore = "76 mm"')


def test_unknown_keys_of_a_dimension_survive_its_change():
    text = TEXT.replace('wall = "1/8 in"', 'wall = { nominal = "1/8 in", maker = "Acme" }')
    loaded = file.loads(text)
    written = file.written(loaded.design.evolved({"case.wall": "4 mm"}), loaded.document)
    assert 'maker = "Acme"' in written


def test_windows_line_ends_and_accents_stay():
    text = TEXT.replace('Tidewater"', 'Ebbe & Flut – Größe Ä"').replace("\n", "\r\n")
    loaded = file.loads(text)
    assert loaded.design.name == "Ebbe & Flut – Größe Ä"
    assert file.written(loaded.design, loaded.document) == text


# ---- dimensions


def wall(entry):
    """The demo's wall as read from such a value."""
    loaded = file.loads(TEXT.replace('wall = "1/8 in"', f"wall = {entry}"))
    assert loaded.problems == ()
    return loaded.design["case.wall"]


def test_a_dimension_carries_tolerance_measurement_and_accuracy():
    found = wall(
        '{ nominal = "3.175 mm", tol = "0.1 mm", measured = "3.14 mm", accuracy = "0.02 mm" }'
    )
    assert (found.value, found.tol, found.measured, found.accuracy) == pytest.approx(
        (3.175e-3, 1e-4, 3.14e-3, 2e-5)
    )
    assert wall('{ nominal = "3 mm", tol = "5 %" }').tol == pytest.approx(1.5e-4)
    assert wall('{ nominal = "3 mm", tol = "± 0.1 mm" }').tol == pytest.approx(1e-4)


def test_a_dimension_in_full_reads_back_after_a_change_of_units():
    text = TEXT.replace(
        'wall = "1/8 in"', 'wall = { nominal = "3 mm", tol = "0.1 mm", measured = "3.1 mm" }'
    )
    loaded = file.loads(text)
    entry = loaded.design["case.wall"]
    moved = attrs.evolve(loaded.design, entries=dict(loaded.design.entries) | {
        "case.wall": attrs.evolve(entry, accuracy=1e-5)})  # fmt: skip
    for system in ("metric", "inch"):
        again = file.loads(file.written(moved, loaded.document, system)).design["case.wall"]
        assert (again.value, again.tol, again.measured, again.accuracy) == pytest.approx(
            (3e-3, 1e-4, 3.1e-3, 1e-5), rel=1e-12
        )


@pytest.mark.parametrize(
    ("entry", "says"),
    [
        ('{ tol = "0.1 mm" }', "case.wall: has no nominal"),
        ('{ nominal = "3 mm", tol = "-0.1 mm" }', "must not be below zero"),
        ('{ nominal = "3 mm", tol = "0.1" }', "has no unit"),
        ('{ nominal = "3 mm", measured = "30 mm" }', "must be 0.5 mm to 25 mm"),
        ('{ nominal = "3 mm", tol = "nan mm" }', "tol"),
        ('{ nominal = "3 mm", accuracy = "1e400 mm" }', "accuracy"),
    ],
)
def test_a_faulty_dimension_is_named(entry, says):
    (found,) = faults(TEXT.replace('wall = "1/8 in"', f"wall = {entry}"))
    assert found.startswith("case.wall")
    assert says in found


def test_a_tolerance_that_leaves_nothing_is_a_fault():
    text = TEXT.replace('wall = "1/8 in"', 'wall = { nominal = "3 mm", tol = "4 mm" }')
    assert "case.wall: '3 mm': its tolerance leaves nothing of it, by 1 mm" in faults(text)


def test_a_choice_carries_no_tolerance():
    (found,) = faults(TEXT.replace('head = "button"', 'head = { nominal = "button" }'))
    assert "carries no tolerance" in found


# ---- faults


def test_all_faults_are_reported_at_once_and_the_rest_is_read(tmp_path):
    text = (
        TEXT.replace('wall = "1/8 in"', 'wall = "40 mm"')
        .replace('peak = "5.2 MPa"', 'peak = "5,2 MPa"')
        .replace('thread = "M6"', 'thread = "M7"')
        .replace('count = "14"', 'count = "fourteen"')
        .replace('bore = "76.2 mm"', "")
        .replace("schema = 1", "schema = 9")
    )
    loaded = file.loads(text)
    assert {p.field for p in loaded.problems} == {
        "schema", "loads.peak", "case.wall", "screw.thread", "screw.count", "case.bore",
    }  # fmt: skip
    assert loaded.design["closure.plate"].value == pytest.approx(0.0228)
    by_field = {p.field: str(p) for p in loaded.problems}
    assert "'5.2 MPa'" in by_field["loads.peak"]
    assert "missing; every design states it" in by_field["case.bore"]
    faulty = tmp_path / "faulty.toml"
    faulty.write_text(text, encoding="utf-8")
    with pytest.raises(DesignError) as caught:
        file.opened(faulty)
    assert len(caught.value.problems) == 6


@pytest.mark.parametrize(
    ("old", "new", "field", "says"),
    [
        ('wall = "1/8 in"', "wall = 3", "case.wall", "has no unit"),
        ('wall = "1/8 in"', "wall = nan", "case.wall", "'nan' is no length"),
        ('wall = "1/8 in"', "wall = inf", "case.wall", "'inf' is no length"),
        ('wall = "1/8 in"', "wall = true", "case.wall", "is no value for a field"),
        ('wall = "1/8 in"', "wall = [1, 2]", "case.wall", "is no value for a field"),
        ('wall = "1/8 in"', "wall = 1979-05-27", "case.wall", "is no value for a field"),
        ('wall = "1/8 in"', 'wall = ""', "case.wall", "empty"),
        ('wall = "1/8 in"', 'wall = "3 kg"', "case.wall", "unknown unit 'kg'"),
        ('wall = "1/8 in"', 'wall = "1e400 mm"', "case.wall", "too large"),
        ('peak = "5.2 MPa"', 'peak = "5.2 mm"', "loads.peak", "is no pressure"),
        ('count = "14"', "count = 9999999999999999999999", "screw.count", "must be 3 to 60"),
        ('count = "14"', "count = -14", "screw.count", "must be 3 to 60"),
        ('count = "14"', "count = 14.5", "screw.count", "is no whole number"),
        ('count = "14"', 'count = "1e18"', "screw.count", "must be 3 to 60"),
        ('metal_temperature = "80 °C"\nother', 'metal_temperature = "900 °C"\nother',
         "case.metal_temperature", "must be -50 °C to 400 °C"),
        ('material = "6061-T6-bar"', 'material = "unobtainium"', "closure.material", "none of"),
        ('material = "6061-T6-bar"', "material = 6061", "closure.material", "none of"),
    ],
)  # fmt: skip
def test_a_fault_names_the_field_what_was_typed_and_what_is_allowed(old, new, field, says):
    assert old in TEXT
    (problem,) = file.loads(TEXT.replace(old, new)).problems
    assert problem.field == field
    assert says in str(problem)
    assert str(problem).startswith(field)
    assert "\n" not in str(problem)
    assert len(str(problem)) < 400


def test_a_whole_number_may_stand_bare():
    assert file.loads(TEXT.replace('count = "14"', "count = 14")).design["screw.count"].value == 14


def test_a_collision_is_a_fault_of_its_field():
    (found,) = faults(TEXT.replace('clearance_hole = "6.2 mm"', 'clearance_hole = "5 mm"'))
    assert found.startswith("screw.clearance_hole: '5 mm': the hole ")
    assert found.endswith("smaller than the screw by 1 mm; at least 6 mm")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "mine.toml: is empty"),
        ("  \n\n", "mine.toml: is empty"),
        ("[case]\nwall = 3 mm\n", "mine.toml, line 2: 'wall = 3 mm' is no TOML"),
        ("hello there", "line 1"),
        ("[case\n", "line 1"),
        ('a = 1\na = 2\n', "mine.toml, line 2: 'a = 2' states what a line above states already"),
        ("[a]\n[b]\n[a]\n", "mine.toml, line 3: '[a]' states what a line above states already"),
        ("a = 1\r\nb = 3 mm\r\n", "mine.toml, line 2: 'b = 3 mm' is no TOML"),
        ('a = """\nb\n', "mine.toml, line 3: the end is no TOML"),
        ("a = " + "9" * 5000, "mine.toml: is no TOML: Exceeds the limit"),
        ("\x00\x01\x02", "mine.toml"),
        ("[" * 5000, "mine.toml"),
        ("a = " + "[" * 5000, "mine.toml: states tables within tables, more than 8 deep"),
        ("a" + ".a" * 9 + " = 1", "mine.toml: states tables within tables, more than 8 deep"),
        ("a = [" + "1," * 3000 + "]", "mine.toml: states more than 3000 values"),
        ("a.b.c = 1\na.b = 2", "mine.toml, line 2"),
    ],
)  # fmt: skip
def test_what_is_no_toml_is_refused_in_one_line(text, says):
    assert says in refusal(text)


def test_ten_megabytes_of_nonsense_are_not_read(tmp_path):
    big = tmp_path / "big.toml"
    big.write_bytes(b"wall = [" * (10 * 2**20 // 8))
    with pytest.raises(DesignError, match=r"big\.toml: is 10\.5 MB; .* at most 150 kB is read"):
        file.load(big)
    assert "is 10.5 MB" in refusal("a" * (10 * 2**20))


@pytest.mark.parametrize(
    ("content", "says"),
    [(bytes(range(256)), "is no text file"), (b"\xff\xfe[\x00", "is no text file")],
)
def test_binary_files_are_refused(tmp_path, content, says):
    odd = tmp_path / "odd.toml"
    odd.write_bytes(content)
    with pytest.raises(DesignError, match=says):
        file.load(odd)


def test_no_file_and_a_folder_are_refused(tmp_path):
    with pytest.raises(DesignError, match=r"none\.toml: cannot be read: No such file"):
        file.load(tmp_path / "none.toml")
    with pytest.raises(DesignError, match="cannot be read"):
        file.load(tmp_path)


NONSENSE = st.one_of(
    st.text(max_size=200),
    st.lists(st.sampled_from(
        ["[case]\n", "wall = ", '"3 mm"\n', "[[case]]\n", "case.wall = 1\n", "screw = 3\n",
         "[material.a]\n", "F_ty = '1 MPa'\n", "material = 3\n", "name = 4\n", "loads = []\n",
         "[seal.primary]\n", "ring = '232'\n", "seal = { primary = 1 }\n", "'' = 1\n",
         "wall = { nominal = {} }\n", "wall = { nominal = '3 mm', tol = [] }\n", "schema = {}\n",
         "material.a = 1\n", "[material.'x y']\n", "label = 3\n", "notes = 1\n"]),
        max_size=12).map("".join),
)  # fmt: skip


@settings(deadline=None, max_examples=150)
@given(NONSENSE)
def test_any_text_is_read_or_refused_without_another_exception(text):
    try:
        problems = file.loads(text).problems
    except DesignError as error:
        problems = error.problems
    assert problems  # such text never states a whole design
    assert all("\n" not in str(p) for p in problems)


# ---- own materials


def test_a_file_without_a_document_states_rows_of_its_own_and_assesses_the_same():
    rubber = (
        '[compound."Shore 80 \\u00e9"]\nlabel = "Mine"\nlike = "FKM"\nhigh = "190 °C"\n'
        'batch = "17 of \\"May\\""\n'
    )
    ring = "[seal.primary]\n"
    assert ring in TEXT
    text = TEXT.replace(ring, ring + 'compound = "Shore 80 é"\n') + OWN + rubber
    swap = ('material = "6061-T6-drawn-tube"', 'material = "mine"')
    assert swap[0] in text
    loaded = file.loads(text.replace(*swap))
    assert loaded.problems == ()
    again = file.loads(file.written(loaded.design, None))
    assert again.problems == ()
    assert again.unknown == loaded.unknown == ("compound.Shore 80 é.batch",)
    assert again.design.says_the_same(loaded.design)
    assert again.design.own_rows == loaded.design.own_rows
    assert Assessment(again.design).ratios == pytest.approx(
        Assessment(loaded.design).ratios, nan_ok=True
    )
    assert file.written(again.design, again.document) == file.written(loaded.design, None)
    # and into the document of a file that lacks them, and out again
    demo = file.load(DEMO_FILE)
    into = file.written(loaded.design, demo.document)
    assert file.loads(into).design.says_the_same(loaded.design)
    out = file.loads(file.written(demo.design, file.loads(into).document))
    assert out.design.says_the_same(demo.design)


OWN = """
[material.mine]
label = "Heat 4711"
source = "certificate of the maker"
F_ty = "250 MPa"
F_tu = "43.5 ksi"
E = "69 GPa"
nu = 0.33
"""


@pytest.mark.parametrize(
    ("typed", "per_kelvin"),
    [("23.6e-6 1/K", 23.6e-6), ("23.6e-6/K", 23.6e-6), ("23.6 µm/m/K", 23.6e-6),
     ("23.6 um/m/°C", 23.6e-6), ("13.1e-6 1/°F", 23.58e-6), ("23.6 ppm/K", 23.6e-6)],
)  # fmt: skip
def test_expansion_is_read_in_the_units_people_write(typed, per_kelvin):
    own = f'{OWN}\nalpha = "{typed}"\n'
    text = TEXT.replace('material = "6061-T6-drawn-tube"', 'material = "mine"') + own
    loaded = file.loads(text)
    assert loaded.problems == ()
    assert loaded.design.material("case").value("alpha") == pytest.approx(per_kelvin)


@pytest.mark.parametrize("typed", ["23.6e-6", "23.6 mm", "23.6 µm", "23 K"])
def test_what_is_no_expansion_is_refused_by_name(typed):
    own = f'{OWN}\nalpha = "{typed}"\n'
    found = [str(p) for p in file.loads(TEXT + own).problems]
    assert any(m.startswith("material.mine: alpha: ") and "µm/m/K" in m for m in found)


def test_a_material_of_the_file_is_read_picked_and_kept():
    text = TEXT.replace('material = "6061-T6-drawn-tube"', 'material = "mine"') + OWN
    loaded = file.loads(text)
    assert loaded.problems == ()
    assert loaded.unknown == ()
    found = loaded.design.material("case")
    assert found.label == "Heat 4711"
    assert found.value("F_tu") == pytest.approx(43.5 * 6894757.293168)
    assert found["F_ty"].source == "certificate of the maker"
    changed = loaded.design.evolved({"case.bore": "76 mm"})
    assert file.loads(file.written(changed, loaded.document)).design.material("case").value(
        "F_ty"
    ) == pytest.approx(250e6)


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('F_ty = "250 MPa"', 'F_ty = "250"', "F_ty: '250' has no unit"),
        ('F_ty = "250 MPa"', 'F_ty = "-250 MPa"', "out of range"),
        ('F_ty = "250 MPa"', 'F_ty = "1e30 MPa"', "out of range"),
        ("nu = 0.33", "nu = 0.7", "out of range"),
        ("nu = 0.33", 'nu = "nan"', "is no number"),
    ],
)
def test_a_faulty_material_is_named(old, new, says):
    found = faults(TEXT + OWN.replace(old, new))
    assert any(m.startswith("material.mine: ") and says in m for m in found)


# ---- own compounds


RUBBER = """
[compound.lowfkm]
label = "FKM, low temperature"
source = "sheet of the maker"
like = "FKM"
low = "-40 °C"
expansion = "150 µm/m/K"
"""


def with_compound(own):
    picked = '[seal.primary]\ncompound = "lowfkm"\n'
    return file.loads(TEXT.replace("[seal.primary]\n", picked) + own)


def test_a_compound_of_the_file_is_read_picked_and_counts():
    loaded = with_compound(RUBBER)
    assert (loaded.problems, loaded.unknown) == ((), ())
    rubber = loaded.design.compound("primary")
    assert rubber.low.value == pytest.approx(233.15)
    assert rubber.high.value == pytest.approx(473.15)  # as FKM
    found = Assessment(loaded.design)
    assert found.inputs["seal_primary_expansion"] == pytest.approx(150e-6)
    assert found.inputs["seal_secondary_expansion"] == pytest.approx(162e-6)
    colder = Assessment(loaded.design.evolved({"loads.cold": "-30 °C"}))
    assert colder.states["seal.primary.temperature"] == "meets"
    assert colder.states["seal.secondary.temperature"] == "short"
    assert data.evidence(found.rows["seal_primary_low"]) == "practice"
    assert "sheet of the maker" in found.rows["seal_primary_low"].source
    again = file.loads(file.written(loaded.design, loaded.document))
    assert again.design.compound("primary") == rubber


def test_a_compound_that_is_like_none_states_its_range_and_bears_half_the_gap():
    own = RUBBER.replace('like = "FKM"', 'high = "180 °C"')
    found = Assessment(with_compound(own).design)
    assert found.inputs["seal_primary_gap_share"] == 0.5
    assert data.evidence(found.rows["seal_primary_gap_share"]) == "practice"  # nobody printed it
    assert found.inputs["seal_primary_high"] == pytest.approx(453.15)


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('like = "FKM"', 'like = "PTFE"', "is no compound"),
        ('like = "FKM"', "", "high is missing"),
        ('"-40 °C"', '"-40 mm"', "low: "),
        ('like = "FKM"', 'like = "FKM"\nhigh = "-50 °C"', "low is not below high"),
        ('like = "FKM"', 'like = "FKM"\nhigh = "-40 °C"', "low is not below high"),
        ('"150 µm/m/K"', '"1500 µm/m/K"', "out of range"),
        ('"150 µm/m/K"', '"0 µm/m/K"', "out of range"),
        ('like = "FKM"', 'like = "FKM"\ngap_share = "1.01"', "out of range"),
    ],
)
def test_a_faulty_compound_is_named(old, new, says):
    found = [str(p) for p in file.loads(TEXT + RUBBER.replace(old, new)).problems]
    assert any(m.startswith("compound.lowfkm: ") and says in m for m in found), found


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("case = 3", "case: '3' is no table of values: write [case] above them"),
        ("material = true", "material: 'true' is no table of values: write [material] above them"),
    ],
)
def test_a_part_that_is_no_table_is_named(line, said):
    assert said in [str(p) for p in file.loads(f"{line}\n").problems]


def test_a_truth_is_no_value_and_is_named_as_it_was_typed():
    found = [str(p) for p in file.loads("[case]\nwall = true\n").problems]
    assert any(
        p.startswith("case.wall: 'true' is no value for a field; must be 0.5 mm") for p in found
    )


def test_a_file_of_an_editor_that_marks_its_beginning_is_read(tmp_path):
    path = tmp_path / "notepad.toml"
    path.write_bytes(b"\xef\xbb\xbf" + DEMO_FILE.read_bytes())
    assert file.load(path).problems == ()
    assert file.load(path).design.name == "Tidewater"
