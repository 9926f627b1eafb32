"""A design that a trace gave its peak: what it keeps, what it says, and what takes that away."""

import attrs
import pytest
import tomlkit
from hypothesis import given, settings
from hypothesis import strategies as st

from app import report
from app.demo import demo
from app.session import Session
from hobbyclosure import file, trace, trace_csv, words
from hobbyclosure.assess import Assessment
from hobbyclosure.design import Design, DesignError
from hobbyclosure.trace import Run
from hobbyclosure.units import PRESSURE, parse
from hobbyclosure.working import working
from tests.designs import DEMO, DEMO_FILE

DEMO_TRACE = DEMO_FILE.with_name("tidewater_trace.csv")
ONE = Run("a.csv", 4812, 5.34e6, 0.117, 3.6, "0123456789abcdef")
TWO = Run("b.csv", 4000, 4.2e6, 0.12, 3.7, "fedcba9876543210")


def test_the_shipped_trace_shows_what_it_is_said_to():
    found = trace.run(trace_csv.read(DEMO_TRACE.read_bytes(), DEMO_TRACE.name))
    assert found.peak == 5.2e6
    assert found.burn == pytest.approx(3.6, abs=0.005)
    assert found.rows == 1201
    assert "Invented" in DEMO_TRACE.read_text(encoding="utf-8").split("\n")[0]


def test_a_trace_replaces_the_peak_and_is_named():
    traced = DEMO.traced([ONE])
    assert traced["loads.peak"].value == 5.34e6
    assert traced["loads.scatter"] == DEMO["loads.scatter"]
    assert traced.source("loads.peak") == "trace a.csv, 4 812 rows"
    assert traced.source("loads.scatter") == traced.source("case.wall") == ""
    assert not traced.says_the_same(DEMO.evolved({"loads.peak": "5.34 MPa"}))


def test_several_traces_give_the_largest_peak_and_raise_scatter():
    traced = DEMO.traced([TWO, ONE])
    shown = 5.34 / ((5.34 + 4.2) / 2) - 1
    assert traced["loads.peak"].value == 5.34e6
    assert shown <= traced["loads.scatter"].value < shown + 0.001
    assert traced.source("loads.scatter") == "the highest of two traces, a.csv"


def test_scatter_is_never_lowered_by_a_few_runs():
    alike = DEMO.traced([ONE, attrs.evolve(ONE, peak=5.3e6)])
    assert alike["loads.scatter"].value == pytest.approx(0.1)
    assert alike.source("loads.scatter") == ""


def test_another_peak_drops_the_mark_and_undo_brings_it_back():
    session = Session()
    session.load_text(demo().read_text(encoding="utf-8"), "demo")
    assert session.trace([ONE])
    assert session.past[-1].what == "trace"
    session.change({"loads.peak": "5.5 MPa"})
    assert session.design.source("loads.peak") == ""
    assert session.design.runs == (ONE,)
    session.undo()
    assert session.design.source("loads.peak")
    session.undo()
    assert session.design.runs == ()
    assert session.design["loads.peak"].value == 5.2e6


def test_a_peak_below_its_trace_is_said():
    below = DEMO.traced([ONE]).evolved({"loads.peak": "5.0 MPa"})
    said = [w.text for w in words.warnings(Assessment(below)) if w.level == "look"]
    assert "Peak is 5.0 MPa; the trace shows 5.3 MPa." in said
    assert words.below_trace(below, "inch") == "Peak is 725 psi; the trace shows 775 psi."
    assert words.below_trace(DEMO.traced([ONE])) == words.below_trace(DEMO) == ""


def test_taking_traces_away_leaves_the_number_as_the_design_s_own():
    traced = DEMO.traced([ONE, TWO])
    assert traced.traced([TWO])["loads.peak"].value == 4.2e6
    none = traced.traced([])
    assert (none["loads.peak"].value, none.source("loads.peak"), none.runs) == (5.34e6, "", ())
    own = traced.evolved({"loads.peak": "6 MPa"}).traced([TWO])
    assert own["loads.peak"].value == pytest.approx(6e6)


def test_a_peak_out_of_range_is_refused_by_name():
    with pytest.raises(DesignError, match=r"loads\.peak: .* must be 0.1 MPa to 40 MPa"):
        DEMO.traced([attrs.evolve(ONE, peak=5e7)])


def test_report_and_working_name_the_trace():
    a = Assessment(DEMO.traced([ONE]))
    table = " ".join(report.as_table(a, "metric").split())
    assert "Peak 5.3 MPa from trace a.csv, 4 812 rows." in table
    told = report.as_json(a)
    assert told["from_trace"] == {"loads.peak": "trace a.csv, 4 812 rows"}
    assert told["traces"][0]["burn"] == 3.6
    assert "traces" not in report.as_json(Assessment(DEMO))
    uses = [use.title for use in working(a, "loads_built_up").uses]
    assert "Expected peak pressure (from trace a.csv, 4 812 rows)" in uses
    assert any("from trace a.csv" in w.text for w in words.warnings(a))
    assert any("No trace stands behind it" in w.text for w in words.warnings(Assessment(DEMO)))


TIMES = st.none() | st.floats(0, 9).map(lambda x: round(x, 3))
RUNS = st.builds(
    Run, st.text(min_size=1, max_size=30).map(trace.plain_name), st.integers(1, 10**6),
    st.integers(20_000, 35_000).map(lambda x: parse(f"{x / 1e3:.3f} MPa", PRESSURE)), TIMES, TIMES,
    st.text("0123456789abcdef", max_size=16),
)  # fmt: skip


def same(one: Design, other: Design) -> bool:
    """Whether two designs say the same but for the last digit of a number in another unit."""
    peaks = [float(d["loads.peak"].now) for d in (one, other)]
    level = {p: e for p, e in one.entries.items() if p == "loads.peak"}
    return peaks[0] == pytest.approx(peaks[1], rel=1e-12) and one.says_the_same(
        attrs.evolve(other, entries={**other.entries, **level})
    )


@settings(max_examples=25, deadline=None)
@given(st.lists(RUNS, max_size=4, unique=True), st.sampled_from(["metric", "inch"]), st.data())
def test_traces_round_trip_through_a_file_with_its_comments(runs, system, data):
    traced = DEMO.traced(runs)
    text = file.written(traced, tomlkit.parse(DEMO_FILE.read_text(encoding="utf-8")), system)
    loaded = file.loads(text)
    assert loaded.problems == loaded.unknown == ()
    assert same(loaded.design, traced)
    assert loaded.design.source("loads.peak") == traced.source("loads.peak")
    assert "# expected on a normal day" in text or runs
    fewer = data.draw(st.lists(st.sampled_from(runs), unique=True)) if runs else []
    again = loaded.design.traced(fewer).evolved({"loads.proof_base": 1.42})
    reread = file.loads(file.written(again, loaded.document, system)).design
    assert same(reread, again)


def with_loads(lines: str) -> file.Loaded:
    text = DEMO_FILE.read_text(encoding="utf-8")
    return file.loads(text.replace("[loads]", f"[loads]\n{lines}"))


def test_what_is_unknown_of_a_trace_is_kept_and_named():
    line = 'trace = [{file = "a.csv", rows = 9, peak = "5.2 MPa", grain = "long"}]  # ours'
    loaded = with_loads(line)
    assert loaded.unknown == ("loads.trace.grain",)
    assert loaded.design.source("loads.peak") == "trace a.csv, 9 rows"
    text = file.written(loaded.design.evolved({"loads.hot_day": "9 %"}), loaded.document)
    assert line in text
    more = file.written(loaded.design.traced([*loaded.design.runs, TWO]), loaded.document)
    assert 'grain = "long"' in more


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("trace = 3", "is no table"),
        ('trace = [{file = "a"}]', "has no rows"),
        ('trace = [{file = "a", rows = "x", peak = "5 MPa"}]', "is no number of rows"),
        ('trace = [{file = "a", rows = true, peak = "5 MPa"}]', "is no number of rows"),
        ('trace = [{file = "a", rows = 3, peak = "5 kg"}]', "unknown unit"),
        ('trace = [{file = "a", rows = 3, peak = "-5 MPa"}]', "out of range"),
        ('trace = [{file = "a", rows = 3, peak = "5 MPa", burn = "-1 s"}]', "out of range"),
        (f"trace = [{', '.join(['{}'] * 30)}]", "at most 24"),
    ],
)
def test_a_faulty_trace_is_named(line, said):
    found = [p.message for p in with_loads(line).problems]
    assert any(m.startswith("loads.trace") and said in m for m in found)


def test_a_table_for_each_trace_is_read_as_well():
    text = DEMO_FILE.read_text(encoding="utf-8")
    table = '[[loads.trace]]\nfile = "a.csv"\nrows = 9\npeak = "5.2 MPa"\n'
    loaded = file.loads(text + table)
    assert loaded.design.runs == (Run("a.csv", 9, 5.2e6),)
    changed = loaded.design.traced([*loaded.design.runs, ONE]).evolved({"loads.hot_day": "9 %"})
    assert file.loads(file.written(changed, loaded.document)).design.says_the_same(changed)
