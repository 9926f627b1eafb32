"""Two thousand designs through the page's own model: every view is told something, none breaks."""

import json

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from app.session import Session
from app.views.notebook import Notebook
from hobbyclosure import units
from hobbyclosure.fields import FIELDS
from hobbyclosure.graph import CHECKS
from tests.designs import DEMO, DESIGNS

LENGTHS = [field for field in FIELDS.values() if field.kind is units.LENGTH]


@pytest.fixture(scope="module")
def hold(tmp_path_factory):
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_STATE_HOME", str(tmp_path_factory.mktemp("state")))
        session = Session()
        session.begin(DEMO)
        yield Notebook(session)
        session.autosave.clear()


@settings(max_examples=2000, deadline=None, database=None, suppress_health_check=list(HealthCheck))
@given(DESIGNS)
def test_any_design_can_be_shown(hold, design):
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


def test_the_kept_design_s_lines_stay_on_the_seal_page():
    book = Notebook(Session())
    book.session.begin(DEMO)
    book.turn("seal")
    plots = book.seal.plots
    before = {name: json.loads(plot.curves) for name, plot in plots.items()}
    book.session.keep()
    book.session.change({"seal.primary.groove_diameter": "70.3 mm", "loads.peak": "5.4 MPa"})
    for name, plot in plots.items():
        kept = json.loads(plot.data)["kept"]
        first = {line["id"]: line["y"] for line in before[name]["lines"]}
        shared = [id for id in kept["lines"] if id in first]
        assert shared
        if before[name]["xs"] == json.loads(plot.curves)["xs"]:
            assert all(kept["lines"][id] == first[id] for id in shared)
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
         "Bore 76.22 measured: cut the groove floor to 70.62, leave 0.02 mm more.",
         "Bore 76.22 measured: turn the closure to 76.14, leave 0.02 mm more."),
        ({"case.bore": "76.16", "seal.primary.groove_diameter": "70.6"},
         "Bore 76.16 measured: cut the groove floor to 70.56, remove 0.04 mm more.",
         "Bore 76.16 measured: turn the closure to 76.08, remove 0.04 mm more."),
        ({"case.bore": "76.16", "seal.primary.groove_diameter": "70.56"}, "", None),  # as asked
    ],
)  # fmt: skip
def test_a_measured_bore_says_where_floor_and_closure_go(changes, floor, clearance):
    book = Notebook(Session())
    book.session.begin(DEMO)
    book.turn("seal")
    for path, value in changes.items():
        assert book.session.measure(path, value)
    said = {name: json.loads(plot.data)["slot"]["text"] for name, plot in book.seal.plots.items()}
    assert said["floor"].startswith(floor) if floor else "measured" not in said["floor"]
    if clearance:
        assert said["closure.clearance"] == clearance


def test_a_measured_ring_moves_its_floor_and_another_ring_s_section_does_not():
    book = Notebook(Session())
    book.session.begin(DEMO)
    book.turn("seal")
    book.session.change({"seal.primary.ring_cs": "3.51 mm"})
    text = json.loads(book.seal.plots["floor"].data)["slot"]["text"]
    depth = 5.6 * 3.51 / 3.5306  # as drawn, less in proportion to the ring's section (0.139 in)
    assert text.startswith(f"Ring 3.51 measured: cut the groove floor to {76.2 - depth:.3f}")
    assert "leave 0.033 mm more" in text
    book.session.change({"seal.primary.ring_cs": "4 mm"})
    assert "measured" not in json.loads(book.seal.plots["floor"].data)["slot"]["text"]
