"""The fields' rows as data: each field once, rails round its value, heavy where it meets."""

import itertools
import json

import numpy as np
import pytest

from app.demo import demo
from app.session import Session
from app.views import axis as axes
from app.views import picks, rails, rows
from app.views.notebook import Notebook
from hobbyclosure import Assessment, Design, data, study
from hobbyclosure.data import seals
from hobbyclosure.design import DesignError, inputs
from hobbyclosure.fields import FIELDS, PARTS
from hobbyclosure.starting import starting
from hobbyclosure.units import LENGTH, parse
from tests.designs import DEMO

NUMBERS = [path for path, field in FIELDS.items() if field.kind]
PICKS = [path for path, field in FIELDS.items() if field.choices]
SYSTEMS = ("metric", "inch")


def opened() -> Notebook:
    session = Session()
    assert session.load_text(demo().read_text(encoding="utf-8"), "demo")
    return Notebook(session)


@pytest.fixture
def hold() -> Notebook:
    """The demo, open."""
    return opened()


@pytest.fixture(scope="module")
def still() -> dict[str, Notebook]:
    """The demo, open for readers of each system; nothing may change it."""
    found = {system: opened() for system in SYSTEMS}
    for system, each in found.items():
        each.session.system = system
    return found


def told(hold: Notebook, path: str) -> dict:
    """The row of a field, in sight."""
    hold.rails.seen = frozenset(FIELDS)
    past = hold.session.past
    found = rows.fields(
        hold.scene(), FIELDS[path].part, hold.rails, past[-1].design if past else None
    )
    return found[path]


def slot(plot) -> dict:
    """The message of a plot as it was told."""
    return json.loads(plot.data)["slot"]


def state(design: Design, path: str, value: float) -> str:
    """What a design is with one field moved, or "refused"."""
    try:
        return Assessment(design.evolved(study.changes(design, path, value))).state
    except DesignError:
        return "refused"


@pytest.mark.parametrize("system", SYSTEMS)
def test_every_field_is_in_exactly_one_part_once(still, system):
    hold = still[system]
    frames = [rows.frame(hold.scene(), part) for part in rows.parts()]
    paths = [row["path"] for frame in frames for row in frame["rows"]]
    assert sorted(paths) == sorted(FIELDS)
    assert [key for key, _ in frames[0]["parts"]] == [p for p in PARTS if p in rows.parts()]
    for frame in frames:
        told_rows = rows.fields(hold.scene(), frame["part"], hold.rails)
        assert list(told_rows) == [row["path"] for row in frame["rows"]]


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("path", NUMBERS)
def test_a_rail_holds_its_value_inside_what_the_field_allows(still, path, system):
    hold = still[system]
    row, field = told(hold, path), FIELDS[path]
    rail = row["rail"]
    assert rail["lo"] <= row["value"] <= rail["hi"]
    assert rail["lo"] < rail["hi"]
    along = hold.rails.rail(hold.scene(), path)
    low, high = field.range
    assert along.si(rail["lo"]) >= low
    assert along.si(rail["hi"]) <= high
    assert (rail["hi"] - rail["lo"]) / rail["step"] < 3000
    assert along.si(along.shown(along.si(rail["lo"]))) == pytest.approx(along.si(rail["lo"]))
    for size, label in rail["stock"]:
        assert rail["lo"] <= size <= rail["hi"]
        assert label


@pytest.mark.parametrize("path", NUMBERS)
def test_a_rail_is_heavy_where_the_whole_design_meets_and_can_be_made(still, path):
    hold = still["metric"]
    along, design = hold.rails.rail(hold.scene(), path), hold.session.design
    spans = rails.meets(design, path, along)
    grid = along.grid(study.now(hold.session.shown.assessment, path))
    reach = 0.0 if along.whole else (grid[-1] - grid[0]) / (rails.POINTS - 1)
    tried = 0
    for value in np.linspace(grid[0], grid[-1], 8):
        x = float(np.round(value)) if along.whole else float(value)
        if along.whole or all(abs(x - end) > reach for span in spans for end in span):
            heavy = any(a <= x <= b for a, b in spans)
            assert heavy == (state(design, path, x) in ("meets", "close")), (x, spans)
            tried += 1
    assert tried >= 3


@pytest.mark.parametrize(
    "path", [p for p in NUMBERS if DEMO[p].now is not None and DEMO[p].measured is None]
)
def test_a_design_that_meets_stands_on_the_heavy_part_of_every_rail(still, path):
    hold = still["metric"]
    assert hold.session.shown.assessment.state in ("meets", "close")
    row = told(hold, path)
    assert any(a - 1e-9 <= row["value"] <= b + 1e-9 for a, b in row["meets"])


def test_the_heavy_part_is_the_studys_own(hold):
    path = "closure.plate"
    a, along = hold.session.shown.assessment, hold.rails.rail(hold.scene(), path)
    grid = along.grid(study.now(a, path))

    def lines(places):
        return study.counted(study.sweep(a.inputs, path, places))

    low, high = study.meets(grid, lines(grid), lines)[0]
    row = told(hold, path)
    assert row["meets"][0][0] == pytest.approx(along.shown(low))
    assert row["meets"][0][1] <= along.shown(high) + 1e-9


def test_a_measured_field_is_moved_as_the_nominal_it_would_become(hold):
    """Its reading's accuracy goes with the reading: a new nominal has the usual tolerance."""
    nominal = hold.session.design.evolved({"case.wall": "3.2 mm"})
    measured = hold.session.design.measured("case.wall", "3.2 mm", "0.001 mm")
    along = hold.rails.rail(hold.scene(), "case.wall")
    found = rails.meets(measured, "case.wall", along)
    assert found == rails.meets(nominal, "case.wall", along)
    grid = along.grid(3.2e-3)
    exact = study.sweep(inputs(measured), "case.wall", grid)
    assert found != study.meets(grid, study.counted(exact))


def test_while_a_hand_is_on_a_rail_nothing_is_found_anew(hold, monkeypatch):
    before = told(hold, "case.edge_distance")
    hold.session.held = True
    monkeypatch.setattr(rails, "meets", lambda *_: pytest.fail("swept during a drag"))
    hold.session.move("case.edge_distance", 0.0231)
    during = told(hold, "case.edge_distance")
    assert during["rail"] == before["rail"]
    assert during["meets"] == before["meets"]
    assert during["value"] == pytest.approx(23.1)


def test_only_rows_in_sight_are_swept(hold):
    hold.rails.seen = frozenset({"case.bore"})
    found = rows.fields(hold.scene(), "case", hold.rails)
    assert found["case.bore"]["meets"]
    assert not found["case.edge_distance"]["meets"]


def test_a_value_at_a_rails_end_gets_a_new_rail_once_let_go(hold):
    high = told(hold, "closure.nose")["rail"]["hi"]
    hold.session.held = True
    hold.session.move("closure.nose", 1e-3 * 2.0)
    hold.session.move(
        "case.edge_distance", hold.rails.rail(hold.scene(), "case.edge_distance").si(24)
    )
    kept = told(hold, "case.edge_distance")["rail"]
    hold.session.held = False
    fresh = told(hold, "case.edge_distance")["rail"]
    assert kept["hi"] == 24 < fresh["hi"]
    assert told(hold, "closure.nose")["rail"]["hi"] <= high


@pytest.mark.parametrize(
    ("path", "sizes"),
    [
        ("case.wall", {round(1e3 * t.wall, 6) for t in data.TUBES if t.series == "inch"}),
        ("screw.length", {round(1e3 * x, 6) for x in data.SCREW_LENGTHS["metric"]}),
        ("screw.clearance_hole", {6.4, 6.6, 7.0}),  # ISO 273, M6: close, normal, loose; from memory
    ],
)
def test_stock_sizes_stand_on_their_rails(hold, path, sizes):
    rail = told(hold, path)["rail"]
    shown = [round(size, 6) for size, _ in rail["stock"]]
    assert len(shown) >= 3
    assert set(shown) == {x for x in sizes if rail["lo"] <= x <= rail["hi"]}


def test_a_stock_size_is_taken_exactly(hold):
    along = hold.rails.rail(hold.scene(), "case.wall")
    for size, _ in along.stock:
        assert along.si(round(along.shown(size), 9)) == size


def test_a_field_that_states_nothing_says_what_stands_in(hold):
    row = told(hold, study.MEOP)
    assert row["text"] == ""
    assert not row["stated"]
    assert "6.2 MPa from peak" in row["note"]
    assert row["value"] == pytest.approx(6.1776)


def test_a_share_is_told_and_taken_in_per_cent(hold):
    assert told(hold, "loads.hot_day")["text"] == "8"
    assert hold.session.change({"loads.hot_day": "9"})
    assert hold.session.design["loads.hot_day"].value == pytest.approx(0.09)
    assert not hold.session.change({"loads.hot_day": "900"})
    assert told(hold, "loads.hot_day")["refused"] == "'900' must be 0 % to 100 %. Still 9 %."


@pytest.mark.parametrize(
    ("act", "says"),
    [
        (
            lambda s: s.change({"case.wall": "0.2 mm"}),
            "'0.2 mm' must be 0.5 mm to 25 mm. Still 3.175 mm.",
        ),
        (lambda s: s.change({"case.wall": "thick"}), "'thick' is no length"),
        (lambda s: s.measure("case.wall", "33"), "'33' must be 0.5 mm to 25 mm. Not taken."),
        (lambda s: s.measure("case.wall", "3.2", "x"), "Accuracy 'x' is no length"),
        (lambda s: s.tolerate("case.wall", "-1"), "Tolerance '-1' must not be below zero"),
    ],
)
def test_a_refusal_stands_in_its_own_row_and_nothing_changes(hold, act, says):
    before = hold.session.design
    assert not act(hold.session)
    assert told(hold, "case.wall")["refused"].startswith(says)
    assert not told(hold, "case.bore")["refused"]
    assert hold.session.design == before
    assert not hold.session.past


def test_a_measurement_replaces_the_nominal_and_says_so(hold):
    assert hold.session.measure("case.wall", "3.21", "0.02")
    row = told(hold, "case.wall")
    assert (row["text"], row["measured"], row["accuracy"]) == ("3.21", "3.21", "0.02")
    assert hold.session.past[-1].what == "measured wall"
    assert hold.session.measure("case.wall", "")
    row = told(hold, "case.wall")
    assert (row["text"], row["measured"], row["dropped"]) == ("3.175", "", "")


def test_a_new_nominal_drops_the_measurement_and_undo_brings_it_back(hold):
    hold.session.measure("case.wall", "3.21", "0.02")
    assert not told(hold, "case.wall")["dropped"]
    hold.session.move("case.wall", 3.3e-3)
    said = "Measured 3.21 mm set aside: Undo brings it back."
    assert told(hold, "case.wall")["dropped"] == said
    assert slot(hold.hold.plots["case.wall"])["text"].startswith(said)
    assert hold.session.past[-1].what == "wall, measured 3.21 mm set aside"
    assert told(hold, "case.wall")["measured"] == ""
    hold.session.undo()
    assert told(hold, "case.wall")["measured"] == "3.21"
    assert not told(hold, "case.wall")["dropped"]
    assert "set aside" not in slot(hold.hold.plots["case.wall"])["text"]


def test_a_tolerance_is_a_length_or_a_share_and_can_be_taken_back(hold):
    hold.session.tolerate("case.wall", "0.1")
    assert told(hold, "case.wall")["tol"] == "0.1"
    assert hold.session.past[-1].what == "tolerance of wall"
    hold.session.tolerate("case.wall", "± 4 %")
    assert hold.session.design["case.wall"].tol == pytest.approx(0.04 * 3.175e-3)
    hold.session.tolerate("case.wall", "")
    assert told(hold, "case.wall")["tol"] == ""


@pytest.mark.parametrize("path", PICKS)
@pytest.mark.parametrize("system", SYSTEMS)
def test_every_choice_shows_its_data(path, system):
    field, design = FIELDS[path], DEMO
    found = picks.options(design, field, system)
    assert [key for key, *_ in found] == list(design.choices(field))
    for _, label, numbers, _source in found:
        assert label
        assert numbers or path == "case.wall_holds"


def test_a_material_shows_strengths_in_the_readers_unit_and_what_is_recalled():
    material = FIELDS["case.material"]

    def line(key, system):
        return picks.line(DEMO, material, key, system)

    numbers, source = line("6061-T6-drawn-tube", "metric")
    assert numbers == "yield 241, ultimate 290, shear 186 MPa"
    assert source.startswith("MIL-HDBK-5J, Table 3.6.2.0(c1)")
    assert picks.MEMORY not in source
    assert line("6061-T6-drawn-tube", "inch")[0] == "yield 35, ultimate 42, shear 27 ksi"
    numbers, source = line("6082-T6-bar", "metric")
    assert "shear not stated" in numbers
    assert picks.MEMORY in source


def test_lists_that_are_the_same_are_sent_once():
    lists = picks.lists(DEMO, "seal", "metric")
    assert list(lists) == ["ring", "compound"]
    assert len(lists["ring"]) == len(seals.ALL)


def test_what_a_browser_sends_amiss_is_ignored(hold):
    before = hold.session.design
    sent = itertools.product(
        ("slid", "field", "pick", "measured", "tolerance", "seen", "part", "nonsense"),
        (None, 3, "x", [], {}, {"path": "no.field"}, {"path": 7}, {"path": "case.bore"},
         {"path": "case.bore", "value": float("nan")}, {"path": "case.material", "value": 1.0},
         {"path": "case.wall_holds", "text": "x", "at": "y"}),
    )  # fmt: skip
    for kind, payload in sent:
        hold._fields_heard(kind, payload)
    assert hold.session.design == before


def test_a_groove_floor_s_measurement_is_set_aside_in_so_many_words(hold):
    hold.turn("seal")
    path, plot = "seal.primary.groove_diameter", hold.seal.plots["floor"]
    hold.session.measure(path, "70.5")
    assert "set aside" not in slot(plot)["text"]
    hold.session.change({path: "70.4 mm"})
    assert slot(plot)["text"].startswith("Measured 70.5 mm set aside: Undo brings it back.")


@pytest.mark.parametrize(
    ("bore", "wall", "system", "series"),
    [
        ("54 mm", "3.175 mm", "metric", "metric"),
        ("54 mm", "3 mm", "metric", "metric"),
        ("2.56 in", "0.125 in", "inch", "inch"),
        ("76.2 mm", "3 mm", "metric", "inch"),
    ],
)
def test_plot_handle_and_rail_know_the_same_stock(hold, bore, wall, system, series):
    hold.session.begin(starting(parse(bore, LENGTH), parse(wall, LENGTH), 4e6))
    hold.session.system = system
    axis, along = hold.hold.axes["case.wall"], hold.rails.rail(hold.scene(), "case.wall")
    walls = {round(t.wall, 9): t.label for t in data.TUBES if t.series == series}
    pins = {round(axis.si(at), 9): label for at, label in axis.stock}
    assert len(pins) >= 3
    assert pins.items() <= walls.items()
    assert {round(at, 9): label.removesuffix(", stock") for at, label in along.stock} == pins
    there = round(parse(wall, LENGTH), 9)
    said = f"{walls[there]}, stock" if there in walls else "not a stock size"
    assert axes.note(axis, parse(wall, LENGTH), 4e6) == said
