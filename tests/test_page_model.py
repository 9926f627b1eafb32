"""Two thousand designs through the page's own model: every view is told something, none breaks."""

import base64
import json
import re

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from app.session import Session, Shown
from app.views import told_push
from app.views.notebook import Notebook
from app.views.told_seal_plots import floor_wanted
from hobbyclosure import study, units
from hobbyclosure.fields import FIELDS
from hobbyclosure.graph import CHECKS, Values
from hobbyclosure.push import push_curve
from tests.designs import DEMO, DEMO_FILE, DESIGNS

GAP = -32768
LENGTHS = [field for field in FIELDS.values() if field.kind is units.LENGTH]


@pytest.fixture(scope="module")
def hold(tmp_path_factory):
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_STATE_HOME", str(tmp_path_factory.mktemp("state")))
        session = Session()
        session.begin(DEMO)
        yield Notebook(session)
        session.autosave.clear()


@pytest.mark.parametrize("part", range(2))  # for two workers
@settings(max_examples=600, deadline=None, database=None, suppress_health_check=list(HealthCheck))
@given(design=DESIGNS)
def test_any_design_can_be_shown(hold, part, design):
    before = hold.seq
    hold.session.begin(design)
    hold.session.past.clear()
    assert hold.seq > before
    told = json.loads(hold.verdict.data, parse_constant=pytest.fail)
    assert told["bold"].endswith(".")
    page = hold.hold
    for view in (page.ladder, page.section, page.end_view, *page.plots.values()):
        json.loads(view.data, parse_constant=pytest.fail)


@settings(max_examples=300, deadline=None, database=None, suppress_health_check=list(HealthCheck))
@given(st.sampled_from(LENGTHS), st.floats(0, 1), st.sampled_from(LENGTHS), st.floats(0, 1))
def test_any_geometry_that_is_refused_can_be_drawn(hold, one, share, other, other_share):
    session = hold.session
    session.begin(DEMO)
    session.past.clear()
    session.change({f.path: f.range[0] + s * (f.range[1] - f.range[0])
                    for f, s in ((one, share), (other, other_share))})  # fmt: skip
    for view in (hold.hold.section, hold.hold.end_view):
        assert "nan" not in json.loads(view.data, parse_constant=pytest.fail)["svg"]


@pytest.mark.parametrize("radius", [0.0, 5e-324, 1e-300])
def test_a_demand_of_next_to_nothing_is_shown(hold, radius):
    hold.session.begin(DEMO)
    assert hold.session.change({"seal.primary.corner_radius": radius})
    for view in (hold.hold.ladder, *hold.hold.plots.values()):
        json.loads(view.data, parse_constant=pytest.fail)
    hold.session.past.clear()


def frame(plot):
    return json.loads(plot.frame)["frame"]


def drawn(frame, told):
    """Thousandths of each line, as a browser makes them of what it is sent."""
    rows = np.frombuffer(base64.b64decode(told["ys"]), "<i2").astype(float)
    rows = rows.reshape(len(told["ids"]), len(frame["xs"]))
    heights = np.where(rows == GAP, np.nan, rows * frame["yhi"] / 10)
    return dict(zip(told["ids"], heights, strict=True))


@pytest.mark.parametrize("raw", [False, True])
@pytest.mark.parametrize("changes", [{"case.bore": "76.6"}, {"loads.peak": "14 MPa"}])
def test_the_lines_that_are_sent_are_those_of_the_sweep(raw, changes):
    book = Notebook(Session())
    book.session.begin(DEMO.evolved(changes))
    book.session.raw = raw
    gaps = 0
    for path, plot in book.hold.plots.items():
        axis, a = book.hold.axes[path], book.session.shown.assessment
        swept = study.sweep(a.inputs, path, axis.grid)
        sent = drawn(frame(plot), json.loads(plot.curves))
        assert frame(plot)["names"].keys() == CHECKS.keys()
        assert set(book.hold.five) <= set(sent)
        for id, ratio in swept.items():
            ratio = ratio * float(a.results[id].required) if raw else ratio
            if id not in sent:
                assert not np.any(ratio < frame(plot)["yhi"])
                continue
            gaps += int(np.isnan(ratio).sum())
            near = np.isnan(ratio) | (np.abs(ratio) < 3 * frame(plot)["yhi"])
            np.testing.assert_allclose(sent[id][near] / 1000, ratio[near], atol=3e-4)
            assert np.all(sent[id][~near] * np.sign(ratio[~near]) > 2500)
    assert (gaps > 0) == ("loads.peak" in changes)  # beyond the chart there is no answer


def test_a_move_leaves_the_lines_of_its_own_plot_and_no_others():
    book = Notebook(Session())
    book.session.begin(DEMO)
    session, plots = book.session, book.hold.plots
    for path, to in (("case.wall", 3.3e-3), ("screw.count", 15), ("loads.meop_given", 6.5e6)):
        session.held = False
        first = {other: plot.curves for other, plot in plots.items()}
        assert session.move(path, to)
        same = {other for other, plot in plots.items() if plot.curves == first[other]}
        assert same == {path}
        fresh = Notebook(Session())
        fresh.session.begin(session.design)
        assert list(fresh.hold.five) == list(book.hold.five)
        for other, plot in fresh.hold.plots.items():
            if fresh.hold.axes[other].grid.tolist() == book.hold.axes[other].grid.tolist():
                assert plot.curves == plots[other].curves
                assert json.loads(plot.data) == json.loads(plots[other].data)


def test_the_kept_design_s_lines_stay_on_the_seal_page():
    book = Notebook(Session())
    book.session.begin(DEMO)
    book.turn("seal")
    plots = book.seal.plots
    before = {name: (frame(plot), json.loads(plot.curves)) for name, plot in plots.items()}
    book.session.keep()
    book.session.change({"seal.primary.groove_diameter": "70.3 mm", "loads.peak": "5.4 MPa"})
    for name, plot in plots.items():
        kept = json.loads(plot.data)["kept"]
        first = drawn(*before[name])
        past = drawn(frame(plot), kept)
        shared = past.keys() & first.keys()
        assert shared
        if before[name][0]["xs"] == frame(plot)["xs"]:
            assert all(np.array_equal(past[id], first[id], equal_nan=True) for id in shared)
    assert json.loads(plots["floor"].data)["kept"]["value"] == pytest.approx(70.6)
    book.session.drop()
    assert all(json.loads(plot.data)["kept"] is None for plot in plots.values())


def test_every_name_fits_beside_a_plot():
    names = [check.brief for check in CHECKS.values()]
    assert max(map(len, names)) <= 15
    assert len(set(names)) == len({check.label for check in CHECKS.values()}) == len(CHECKS)


def test_a_size_that_is_told_twice_has_its_drawing_sent_again():
    """What was lost on the way comes; a size told anew draws anew."""
    book = Notebook(Session())
    section = book.hold.section
    book.hold._picture_heard("section")("size", [500, 320])
    first = section.data
    for _ in range(2):
        before = section.data
        book.hold._picture_heard("section")("size", [500, 320])
        assert section.data != before
        assert json.loads(section.data) == json.loads(first)
    book.hold._picture_heard("section")("size", [520, 320])
    assert json.loads(section.data) != json.loads(first)
    book.hold._picture_heard("section")("size", "nonsense")


@pytest.mark.parametrize(
    ("changes", "floor", "clearance"),
    [
        ({"case.bore": "76.22"},
         "Bore 76.22 measured: the floor fits, 70.6 mm on the diameter. Meets from",
         "Bore 76.22 measured: turn the closure to 76.14 mm on the diameter, not 76.12."),
        ({"case.bore": "76.1"},
         "Bore 76.1 measured: the floor fits, 70.6 mm on the diameter. Meets from",
         "Bore 76.1 measured: turn the closure to 76.02 mm on the diameter, not 76.12."),
        ({"case.bore": "76.1", "closure.clearance": "0.08"}, None, ""),  # that is turned
        ({"case.bore": "76.2"}, "Bore 76.2 measured: the floor fits", ""),  # as drawn
    ],
)  # fmt: skip
def test_a_measured_bore_says_where_floor_and_closure_go(changes, floor, clearance):
    book = Notebook(Session())
    book.session.begin(DEMO)
    book.turn("seal")
    for path, value in changes.items():
        assert book.session.measure(path, value)
    said = {name: json.loads(plot.data)["slot"]["text"] for name, plot in book.seal.plots.items()}
    assert said["floor"].startswith(floor or "")
    if clearance:
        assert said["closure.clearance"] == clearance
    else:
        assert "turn" not in said["closure.clearance"]


@pytest.mark.parametrize("bore", ["75.7", "76.1", "76.4", "76.6"])
@pytest.mark.parametrize("ring", ["primary", "secondary"])
def test_the_floor_asked_for_is_reached_and_then_no_other_is_asked_for(bore, ring):
    book = Notebook(Session())
    book.session.begin(DEMO)
    book.turn("seal")
    book.seal._gland_heard("ring", ring)
    assert book.session.measure("case.bore", bore)

    def text() -> str:
        return json.loads(book.seal.plots["floor"].data)["slot"]["text"]

    asked = re.search(r"cut the floor to ([\d.]+) mm on the diameter", text())
    assert bool(asked) == (bore != "76.1")
    if asked:
        floors = (f"seal.{each}.groove_diameter" for each in ("primary", "secondary"))
        book.session.change(dict.fromkeys(floors, f"{asked[1]} mm"))
    wanted = floor_wanted(book.session.design, ring)
    assert wanted is not None
    assert wanted[0] == book.session.design[f"seal.{ring}.groove_diameter"].value
    assert "the floor fits" in text()
    assert "cut the floor" not in text()


@pytest.mark.parametrize(("ring", "said"), [
    ("primary", "groove 2.76, gland 2.8 deep"),  # (76.12 - 70.6) / 2, (76.2 - 70.6) / 2
    ("liner", "groove 2.725, gland 2.75 deep"),  # (70.15 - 64.7) / 2, (70.2 - 64.7) / 2
])  # fmt: skip
def test_a_groove_is_told_as_deep_as_it_is_turned(ring, said):
    book = Notebook(Session())
    book.session.begin(DEMO)
    book.turn("seal")
    book.seal._gland_heard("ring", ring)
    assert json.loads(book.seal.plots["floor"].data)["note"] == said


def test_the_floor_plot_shows_its_own_ring_s_fault_first():
    book = Notebook(Session())
    short = {"seal.liner.groove_diameter": "63.6 mm", "seal.primary.groove_diameter": "70.3 mm"}
    book.session.begin(DEMO.evolved(short))
    book.turn("seal")
    for ring in ("primary", "liner"):
        book.seal._gland_heard("ring", ring)
        slot = json.loads(book.seal.plots["floor"].data)["slot"]
        assert slot["level"] == "stop"
        assert slot["check"].startswith(f"seal.{ring}.")


@pytest.mark.parametrize(("changes", "liner", "bold"), [
    ({}, "meets", ""),
    # Its collapse is but a look.
    ({"insulation.liner_modulus": "2000 MPa"}, "close", "The liner folds in"),
    ({"seal.liner.groove_diameter": "63.6 mm"}, "short", "Liner seal"),
])  # fmt: skip
def test_headline_and_tabs_of_the_seals_tell_the_same(changes, liner, bold):
    book = Notebook(Session())
    book.session.begin(DEMO.evolved(changes))
    book.turn("seal")
    tabs = {ring["id"]: ring["state"] for ring in json.loads(book.seal.gland.data)["rings"]}
    said = json.loads(book.verdict.data)
    assert tabs == {"primary": "meets", "secondary": "meets", "liner": liner}
    assert said["state"] == liner
    assert said["bold"].startswith(bold)


def test_a_floor_that_was_cut_and_does_not_fit_is_not_asked_to_be_cut_again():
    book = Notebook(Session())
    book.session.begin(DEMO)
    book.turn("seal")
    for path, value in {"case.bore": "76.6", "seal.primary.groove_diameter": "70.6"}.items():
        assert book.session.measure(path, value)
    said = json.loads(book.seal.plots["floor"].data)["slot"]
    assert said["level"] == "stop"
    assert "cut the floor" not in said["text"]


def test_a_measured_ring_moves_its_floor_and_another_ring_s_section_does_not():
    book = Notebook(Session())
    book.session.begin(DEMO)
    book.turn("seal")
    book.session.change({"seal.primary.ring_cs": "3.4 mm"})
    text = json.loads(book.seal.plots["floor"].data)["slot"]["text"]
    depth = 5.6 * 3.4 / 3.5306  # as drawn, less in proportion to the ring's section (0.139 in)
    assert f"Ring 3.4 measured: cut the floor to {76.2 - depth:.3f} mm on the diameter." in text
    book.session.change({"seal.primary.ring_cs": "3.51 mm"})
    text = json.loads(book.seal.plots["floor"].data)["slot"]["text"]
    assert text.startswith("Ring 3.51 measured: the floor fits, 70.6 mm on the diameter.")
    book.session.change({"seal.primary.ring_cs": "4 mm"})
    assert "measured" not in json.loads(book.seal.plots["floor"].data)["slot"]["text"]


@pytest.mark.parametrize(("more", "said"), [(1.0, ""), (1.08, " in the check"), (0.9, "")])
def test_the_push_plot_says_what_the_check_counts_on_top(more, said):
    shown = Shown(DEMO)
    peak = push_curve(shown.assessment.values).peak
    values = Values({**shown.assessment.values, "seal_push_force": more * peak})
    text = told_push._push(values, "metric")["peakText"]
    assert text.startswith(f"peak {peak / 1e3:.2f} kN")
    assert text.endswith(f", {more * peak / 1e3:.2f}{said}" if said else "kN")


def test_grooves_for_rings_are_told_as_they_are_taken_and_stay_while_a_hand_drags():
    book = Notebook(Session())
    book.session.begin(DEMO)
    book.turn("seal")
    book.seal._rings_heard("turn", None)
    listed = json.loads(book.seal.rings.data)["rows"]
    good = [row for row in listed if not row["note"].startswith("short")]
    assert listed[: len(good)] == good  # what is short stands last
    assert all(re.fullmatch(r"⌀ [\d.]+, [\d.]+ wide", row["note"]) for row in good)
    book.session.held = True
    book.session.move("closure.clearance", 0.09e-3)
    assert json.loads(book.seal.rings.data)["rows"] == listed
    book.session.held = False
    book.session.undo()
    for row in good:
        book.seal._rings_heard("take ring", row["key"])
        floor = float(row["note"].split()[1].strip(","))
        taken = study.now(book.session.shown.assessment, "seal.primary.groove_diameter")
        assert taken == pytest.approx(floor / 1e3)
        assert book.session.shown.assessment.state in ("meets", "close")
        book.session.undo()


def test_the_ladder_s_scale_reaches_meop_and_proof(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path))
    session = Session()
    session.load_text(DEMO_FILE.read_text(encoding="utf-8"), "demo")
    book = Notebook(session)
    for meop in ("35 MPa", "3 MPa", "6 MPa"):
        session.change({"loads.meop_given": meop})
        told = json.loads(book.hold.ladder.data)
        assert told["proof"]["at"] <= told["hi"] <= 20 * told["meop"]["at"]
    session.change({"loads.meop_given": "6.2 MPa"})  # and stays where it does
    assert json.loads(book.hold.ladder.data)["hi"] == told["hi"]
