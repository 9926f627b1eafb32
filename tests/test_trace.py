"""Pressure traces: figures against the formula that made them, units, decimals, faults by line."""

import time

import attrs
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hobbyclosure import trace, trace_csv
from hobbyclosure.trace_csv import TraceError
from hobbyclosure.units import Q

RISE, BURN, PEAK = 0.2, 4.0, 6e6  # s, s, Pa: a trapezium whose flanks are as long as RISE


def trapezium(points: int = 4401) -> tuple[np.ndarray, np.ndarray]:
    """Rise, plateau with one point on top, fall; its figures are known without any code of ours."""
    t = np.linspace(0, BURN + 2 * RISE, points)
    flanks = np.minimum(t, t[-1] - t) / RISE
    return t, PEAK * np.clip(flanks, 0, 1)


def csv(t, p, head="time [s],pressure [Pa]", separator=",", point="."):
    rows = (f"{a:.9g}{separator}{b:.9g}".replace(".", point) if point != "." else
            f"{a:.9g}{separator}{b:.9g}" for a, b in zip(t, p, strict=True))  # fmt: skip
    return "\n".join([head, *rows])


def test_figures_of_a_trapezium_are_its_own():
    found = trace_csv.read(csv(*trapezium()))
    assert found.peak == pytest.approx(PEAK, rel=1e-9)
    assert found.rise_time == pytest.approx(0.8 * RISE, rel=1e-6)
    assert found.burn_time == pytest.approx(BURN + 2 * 0.9 * RISE, rel=1e-6)
    assert found.rows == 4401
    assert found.remarks == ()


def test_figures_of_a_half_sine_are_its_own():
    t = np.linspace(0, np.pi, 20_001)
    found = trace_csv.read(csv(t, 3e6 * np.sin(t)))
    ten, ninety = np.arcsin(0.1), np.arcsin(0.9)
    assert found.rise_time == pytest.approx(ninety - ten, rel=1e-5)
    assert found.burn_time == pytest.approx(np.pi - 2 * ten, rel=1e-5)


def test_one_sample_is_a_peak():
    t, p = trapezium()
    p[1234] = 1.25 * PEAK
    found = trace_csv.read(csv(t, p))
    assert found.peak == pytest.approx(1.25 * PEAK)
    drawn_t, drawn_p = found.outline(100)
    assert len(drawn_t) <= 202
    assert drawn_p.max() == found.peak
    assert t[1234] == pytest.approx(drawn_t[np.argmax(drawn_p)])


@pytest.mark.parametrize(
    "pressure",
    ["psi", "bar", "kPa", "MPa", "ksi", "atm", "N/mm^2", "lbf/in²", "kgf/cm^2", "mmHg", "PSI",
     "barg", "psig", "Bar"],
)  # fmt: skip
@pytest.mark.parametrize("clock", ["s", "ms", "min", "us", "sec"])
def test_every_unit_reads_back(pressure, clock):
    t, p = trapezium(401)
    plain = pressure.replace("²", "^2").removesuffix("g") if pressure != "mmHg" else pressure
    plain = {"PSI": "psi", "Bar": "bar"}.get(plain, plain)
    head = f"time [{clock}];pressure [{pressure}]"
    there = csv(Q(t, "s").m_as(clock), Q(p, "Pa").m_as(plain), head, ";")
    found = trace_csv.read(there)
    assert found.peak == pytest.approx(PEAK, rel=1e-7)
    assert found.burn_time == pytest.approx(BURN + 1.8 * RISE, rel=1e-4)


@pytest.mark.parametrize(("separator", "point"), [(";", ","), ("\t", ","), ("\t", "."), (",", ".")])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_separators_and_decimals(separator, point, end):
    head = separator.join(["t/ms", "note", "p (bar)"])
    t, p = trapezium(301)
    body = "\n".join(
        separator.join(
            [f"{1e3 * a:.6f}".replace(".", point), "x", f"{b / 1e5:.6f}".replace(".", point)]
        )
        for a, b in zip(t, p, strict=True)
    )
    found = trace_csv.read(f"{head}\n{body}\n".replace("\n", end))
    assert found.peak == pytest.approx(PEAK)
    assert found.t[-1] == pytest.approx(t[-1], abs=1e-6)


def test_encodings_and_a_mark_at_the_beginning():
    text = csv(*trapezium(51), head="time [µs],pressure [MPa]")
    plain = trace_csv.read(text)
    for code in ("utf-8", "utf-8-sig", "utf-16", "cp1252"):
        found = trace_csv.read(text.encode(code))
        assert found.peak == plain.peak
        assert found.t.tolist() == plain.t.tolist()


def faulty(line: int, text: str, rows: int = 4812) -> str:
    lines = csv(*trapezium(rows), separator=";", head="time [s];pressure [Pa]").split("\n")
    lines[line - 1] = text
    return "\n".join(lines)


def test_a_faulty_row_is_named_by_its_line_and_the_rest_is_kept():
    found = trace_csv.read(faulty(412, "0.3;5,2,1"))
    assert found.remarks == ("Line 412: '5,2,1' is no number. 4 811 rows kept.",)
    assert found.rows == 4811
    assert found.peak == pytest.approx(PEAK)


@pytest.mark.parametrize("word", ["nan", "inf", "-inf", "1_000", "1e999", "", "٣", "0x10", "--"])
def test_what_is_no_number_is_not_taken_for_one(word):
    found = trace_csv.read(faulty(9, f"0.3;{word}"))
    assert found.remarks[0].startswith("Line 9: ")
    assert np.all(np.isfinite(found.p))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "The file is empty."),
        ("\n \n", "The file is empty."),
        ("time [s],pressure\n0,1\n",
         "Pressure has no unit in the header. Write it as pressure [bar]."),
        ("time,pressure [bar]\n0,1\n", "Time has no unit in the header. Write it as time [s]."),
        ("0,1\n1,2\n", "The first line holds numbers, no units. "
         "Write above it: time [s], pressure [bar]."),
        ("time [s],pressure [psia]\n0,1", "'pressure [psia]' is absolute pressure. "
         "Take the air's off and write it as pressure [bar]."),
        ("time [s],pressure [bar]\n", "No row of numbers; at least five make a trace."),
        ("time [s],pressure [bar]\n0,0\n1,5\n2,0\n",
         "Only three rows of numbers; at least five make a trace."),
        ("time [s],pressure [bar]\n" + "0,1,5,2\n" * 9, "Line 2: '0,1,5,2' is no row: with decimal "
         "commas part the columns by semicolons. So are 8 more. Nothing was taken."),
        ("time [s],p [bar]\n0,0\n1,2\n0.5,3\n2,3\n3,1\n",
         "Line 4: time runs backwards, from 1 to 0.5 s. Nothing was taken."),
        ("time [s],p [bar]\n" + "1,2\n" * 9, "Time stands still in every row."),
        ("time [s],p [bar]\n" + "".join(f"{i},0\n" for i in range(9)),
         "The pressure is nowhere above nothing: there is no peak to read."),
        ("time [s],pressure [m]\n0,1\n", "The header 'time [s], pressure [m]' names no pressure "
         "with a unit. Write it as pressure [bar]."),
        ("PK\x03\x04\x00\x00", "This is no text file. A trace is CSV: time [s], pressure [bar]."),
    ],
)  # fmt: skip
def test_what_is_no_trace_is_refused_in_a_sentence(text, said):
    with pytest.raises(TraceError) as refusal:
        trace_csv.read(text)
    assert str(refusal.value) == said


@pytest.mark.parametrize(
    "unit", ["9**9**9**9", "bar" * 400, "a.b", "__import__('os')", "[", "bar]"]
)
def test_a_hostile_unit_is_only_an_unknown_one(unit):
    with pytest.raises(TraceError):  # and not after a minute's reckoning of its power
        trace_csv.read(f"time [s],pressure [{unit}]\n0,1\n")


@pytest.mark.parametrize(
    "nonsense",
    [b"\xff\xfe" + b"\x12\x00" * 3_000_000, b"x" * 10_000_000, bytes(range(256)) * 30_000,
     b"time [s],pressure [bar]\n" + b"a,b\n" * 400_000, b"\n" * 7_000_000,
     b"time [s],p [bar]\n" + b"," * 7_000_000],
    ids=["utf-16", "long", "binary", "words", "blank", "commas"],
)  # fmt: skip
def test_millions_of_bytes_of_nonsense_are_refused(nonsense):
    with pytest.raises(TraceError) as refusal:
        trace_csv.read(nonsense, "x")
    assert len(str(refusal.value)) < 300


def test_what_a_trace_does_not_show_is_said():
    t, p = trapezium()
    late = trace_csv.read(csv(t[400:], p[400:]))
    assert np.isnan(late.rise_time)
    assert np.isnan(late.burn_time)
    assert "begins above a tenth" in late.remarks[0]
    early = trace_csv.read(csv(t[:-400], p[:-400]))
    assert early.rise_time == pytest.approx(0.8 * RISE, rel=1e-6)
    assert np.isnan(early.burn_time)
    assert "ends above a tenth" in early.remarks[0]
    raised = trace_csv.read(csv(t, p + 1e5 * 3))
    assert "is it gauge pressure?" in raised.remarks[0]
    kept = trace.run(late)
    assert (kept.rise, kept.burn) == (None, None)


def test_the_first_of_two_pressures_is_read_and_said():
    head = "time [s],chamber [bar],nozzle [bar]\n"
    found = trace_csv.read(
        head + "".join(f"{i},{v},99\n" for i, v in enumerate((0, 2, 9, 2, 0, 0)))
    )
    assert found.peak == pytest.approx(9e5)
    assert found.remarks == ("Two columns of pressure. The first, 'chamber', is read.",)


def test_scatter_is_the_largest_over_the_mean():
    assert trace.scatter([5.0, 4.0, 4.5]) == pytest.approx(5 / 4.5 - 1)
    assert np.isnan(trace.scatter([5.0]))


def test_what_is_kept_rounds_up():
    found = trace.run(trace_csv.read(csv(*trapezium()), "/home/me/<b>run</b> 1.csv"))
    assert found.peak == PEAK
    raised = attrs.evolve(trace_csv.read(csv(*trapezium())), p=np.array([0, 5_200_100.0, 0]))
    assert trace.run(raised).peak == 5_201_000
    assert found.file == "b> 1.csv"


def outcome(text: str) -> tuple[trace.Trace | None, str]:
    """A trace, or the words of its refusal; any other error is the test's."""
    try:
        return trace_csv.read(text), ""
    except TraceError as refusal:
        return None, str(refusal)


NUMBER = st.floats(0, 3e7).map(lambda x: round(x, 3))


@given(st.lists(NUMBER, min_size=5, max_size=60), st.sampled_from("ab\x00;,\"'<\n#5."), st.data())
def test_any_trace_reads_back_and_any_damage_is_named_or_harmless(pressures, dirt, data):
    text = csv(np.arange(len(pressures)), pressures)
    damaged = data.draw(st.integers(0, len(text)))
    for candidate in (text, text[:damaged] + dirt + text[damaged:]):
        found, refusal = outcome(candidate)
        if found is None:
            assert 10 < len(refusal) < 300
            assert candidate != text or max(pressures) == 0
        else:
            assert np.all(np.isfinite(found.p))
            assert np.all(np.diff(found.t) >= 0)
            assert found.peak == found.p.max() > 0
            if candidate == text:
                assert found.p.tolist() == [float(f"{p:.9g}") for p in pressures]


@given(st.text(max_size=300))
def test_any_text_at_all_is_a_trace_or_a_refusal(text):
    for candidate in (text, f"time [s],pressure [bar]\n{text}"):
        found, refusal = outcome(candidate)
        assert found or refusal


def test_a_hundred_thousand_rows_are_read_in_the_time_of_their_numbers():
    text = csv(*trapezium(100_000), separator=";", point=",", head="time [s];pressure [Pa]")

    def plainly():
        lines = text.split("\n")[1:]
        return np.array([[float(x) for x in line.replace(",", ".").split(";")] for line in lines])

    def least(call):
        found = []
        for _ in range(3):
            began = time.process_time()
            call()
            found.append(time.process_time() - began)
        return min(found)

    assert trace_csv.read(text).rows == 100_000
    assert least(lambda: trace_csv.read(text)) < 6 * least(plainly)


@pytest.mark.parametrize(
    "rows",
    [
        ["0\t0.0", "1\t800.0", "2\t1,000", "3\t900.0", "4\t0.0"],  # points beside it
        ["0\t0", "1\t800", "2\t1,000", "3\t900", "4\t0"],  # a hundred and more without
        ["0\t0", "1\t1,234.5", "2\t1,000.0", "3\t900.0", "4\t0"],
        ["0\t0", '1\t"1,000"', "2\t800", "3\t900", "4\t0"],
    ],
)
def test_a_comma_that_may_part_thousands_is_refused(rows):
    text = "\n".join(["t [s]\tp [psi]", *rows])
    with pytest.raises(TraceError, match=r"Line \d: '1,\d\d\d.*' may be read two ways"):
        trace_csv.read(text)


def test_a_comment_says_nothing_of_commas():
    text = "\n".join(["t [s];p [bar]", "# logged 26.11.2026; 1.5 kHz", "0,00;0,00", "0,5;12,12",
                      "1,0;52,01", "1,5;9,00", "2,0;0,00"])  # fmt: skip
    assert trace_csv.read(text).peak == pytest.approx(52.01e5)


def test_a_decimal_comma_is_none():
    text = "\n".join(["t [s];p [bar]", "0,000;0,000", "0,5;12,125", "1,0;52,001", "1,5;9", "2;0"])
    assert trace_csv.read(text).peak == pytest.approx(52.001e5)


@pytest.mark.parametrize(
    ("unit", "pascal"),
    [("inH2O", 249.089), ("technical_atmosphere", 98066.5), ("bar(g)", 1e5), ("psi(g)", 6894.757),
     ("N/mm2", 1e6), ("N/mm^2", 1e6), ("kgf/cm2", 98066.5)],
)  # fmt: skip
def test_any_unit_that_the_registry_knows_may_stand_in_the_header(unit, pascal):
    text = "\n".join([f"t [s];p [{unit}]", "0;0", "1;1", "2;2", "3;1", "4;0"])
    assert trace_csv.read(text).peak == pytest.approx(2 * pascal, rel=1e-3)
