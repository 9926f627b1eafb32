"""What may be typed as a number with a unit, what it is read as, and how it is written again."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hobbyclosure.units import (
    ANGLE,
    COUNT,
    LENGTH,
    PRESSURE,
    RATIO,
    TEMPERATURE,
    TIME,
    Dimension,
    InputError,
    Q,
    file_text,
    from_si,
    parse,
    plain,
    quantity_text,
    quoted,
    shown_value,
    significant,
    trimmed,
)

KINDS = (LENGTH, PRESSURE, TEMPERATURE, RATIO, COUNT, ANGLE, TIME)


@pytest.mark.parametrize(
    ("text", "kind", "si"),
    [
        ("3.175 mm", LENGTH, 3.175e-3),
        ("3.175mm", LENGTH, 3.175e-3),
        (" 25.4\tmm\n", LENGTH, 25.4e-3),
        (".5 in", LENGTH, 0.0127),
        ("5. mm", LENGTH, 5e-3),
        ("2.5e-1 cm", LENGTH, 2.5e-3),
        ("1/8 in", LENGTH, 0.003175),
        ("1 / 8 in", LENGTH, 0.003175),
        ('1/8"', LENGTH, 0.003175),
        ('3 1/4"', LENGTH, 0.08255),
        ("3 1/4″", LENGTH, 0.08255),
        ("1 1/2 in", LENGTH, 0.0381),  # a plain Pint reads 0.5 in
        ("1-1/2 in", LENGTH, 0.0381),
        ("1 - 1/2 inch", LENGTH, 0.0381),
        ("-1 1/2 in", LENGTH, -0.0381),
        ("−2 mm", LENGTH, -2e-3),  # a true minus sign
        ("+2 mm", LENGTH, 2e-3),
        ("125 thou", LENGTH, 0.003175),
        ("80 µm", LENGTH, 8e-5),
        ("80 μm", LENGTH, 8e-5),  # the Greek letter, not the micro sign
        ("80 um", LENGTH, 8e-5),
        ("12 MM", LENGTH, 0.012),
        ("6.9 MPa", PRESSURE, 6.9e6),
        ("6.9 mpa", PRESSURE, 6.9e6),
        ("52 bar", PRESSURE, 5.2e6),
        ("1000 psi", PRESSURE, 6894757.293168),
        ("1 ksi", PRESSURE, 6894757.293168),
        ("20 °C", TEMPERATURE, 293.15),  # a plain Pint raises
        ("20 C", TEMPERATURE, 293.15),
        ("-40 °F", TEMPERATURE, 233.15),
        ("176 degF", TEMPERATURE, 353.15),
        ("293.15 K", TEMPERATURE, 293.15),
        ("8 %", RATIO, 0.08),
        ("8%", RATIO, 0.08),
        ("1.25", RATIO, 1.25),
        ("14", COUNT, 14.0),
        ("90 °", ANGLE, math.pi / 2),
        ("180 deg", ANGLE, math.pi),
        ("1 rad", ANGLE, 1.0),
        ("3.6 s", TIME, 3.6),
        ("250 ms", TIME, 0.25),
    ],
)
def test_text_is_read_as_the_number_it_says(text, kind, si):
    assert parse(text, kind) == pytest.approx(si, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "kind", "unit", "si"),
    [
        ("3.2", LENGTH, "mm", 3.2e-3),
        ("1/8", LENGTH, "inch", 0.003175),
        ("80", TEMPERATURE, "degC", 353.15),
        ("176", TEMPERATURE, "degF", 353.15),
        ("900", PRESSURE, "psi", 900 * 6894.757293168),
        ("3 mm", LENGTH, "inch", 3e-3),  # what is typed wins over what is assumed
        ("45", ANGLE, "deg", math.pi / 4),
        ("2.2", RATIO, "", 2.2),
        ("14", COUNT, "", 14.0),
    ],
)
def test_a_bare_number_takes_the_shown_unit(text, kind, unit, si):
    assert parse(text, kind, unit) == pytest.approx(si, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "kind", "says"),
    [
        ("6,9 MPa", PRESSURE, "write decimals with a point, '6.9 MPa'"),
        ("1,5 mm", LENGTH, "'1.5 mm'"),
        ("3.2", LENGTH, "has no unit: write mm, cm, m, in or µm"),
        ("80", TEMPERATURE, "has no unit: write °C, °F or K"),
        ("5 MPa", LENGTH, "is no length: write mm, cm, m, in or µm"),
        ("5 mm", PRESSURE, "is no pressure"),
        ("5 K", LENGTH, "is no length"),
        ("5 mm", COUNT, "is no whole number: write no unit"),
        ("5 furlongs", LENGTH, "unknown unit 'furlongs'"),
        ("5 mm 3", LENGTH, "unknown unit 'mm 3'"),
        ("3.1.4 mm", LENGTH, "unknown unit"),
        ("1/0 in", LENGTH, "divides by nothing"),
        ("1 1/0 in", LENGTH, "divides by nothing"),
        ("1e400 mm", LENGTH, "is too large to be a length"),
        ("-1e999 MPa", PRESSURE, "is too large to be a pressure"),
        ("nan mm", LENGTH, "is no length"),
        ("NaN", RATIO, "is no number"),
        ("inf mm", LENGTH, "is no length"),
        ("", LENGTH, "is no length"),
        ("   ", PRESSURE, "is no pressure"),
        ("mm", LENGTH, "is no length"),
        ("three mm", LENGTH, "'three mm' is no length"),
        ("--3 mm", LENGTH, "is no length"),
        ("0x10 mm", LENGTH, "unknown unit"),
        ("__import__('os')", LENGTH, "is no length"),
        ("3 mm; rm", LENGTH, "unknown unit"),
        ("9" * 400 + " mm", LENGTH, "is 403 characters long"),
    ],
)
def test_what_cannot_be_read_is_refused_with_what_was_typed(text, kind, says):
    with pytest.raises(InputError) as caught:
        parse(text, kind)
    message = str(caught.value)
    assert says in message
    assert quoted(text) in message
    assert "\n" not in message
    assert len(message) < 160


def test_a_factor_that_overflows_is_refused_too():
    with pytest.raises(InputError):
        parse("1e308 MPa", PRESSURE)


@pytest.mark.parametrize(("text", "kind"), [("20 °", RATIO), ("3 deg", COUNT), ("50 %", ANGLE)])
def test_angles_and_shares_are_not_taken_for_each_other(text, kind):
    with pytest.raises(InputError):
        parse(text, kind)


@settings(deadline=None, max_examples=200)
@given(st.text(max_size=80), st.sampled_from(KINDS), st.sampled_from([None, "mm", "degC", ""]))
def test_any_text_is_a_finite_number_or_one_line_of_refusal(text, kind, assume):
    value, said = 0.0, ""
    try:
        value = parse(text, kind, assume)
    except InputError as error:
        said = str(error)
    assert math.isfinite(value)
    assert "\n" not in said
    assert len(said) < 220


SPANS = {
    "length": (0, 1), "pressure": (0, 5e11), "temperature": (200, 700), "number": (0, 10),
    "whole number": (0, 100), "angle": (0, 6.3), "time": (0, 100),
}  # fmt: skip


@pytest.mark.parametrize("system", ["metric", "inch"])
@pytest.mark.parametrize("kind", KINDS, ids=lambda k: k.name)
@settings(deadline=None, max_examples=60)
@given(st.data())
def test_what_is_written_to_a_file_reads_back_the_same(kind: Dimension, system, data):
    low, high = SPANS[kind.name]
    value = data.draw(st.floats(low, high, allow_subnormal=False))
    text = file_text(value, kind, system)
    assert len(text) < 40
    # Within the last bit or two where no decimal in that unit meets the float itself.
    assert parse(text, kind) == pytest.approx(value, rel=4e-16, abs=1e-18)


@pytest.mark.parametrize("system", ["metric", "inch"])
@pytest.mark.parametrize(
    ("text", "kind"),
    [("3.175 mm", LENGTH), ("5.2 MPa", PRESSURE), ("80 °C", TEMPERATURE), ("0.125", RATIO)],
)
def test_round_numbers_stay_short_in_a_file(text, kind, system):
    value = parse(text, kind)
    again = file_text(value, kind, system)
    assert parse(again, kind) == value
    assert system == "inch" or again == text


@settings(deadline=None, max_examples=60)
@given(st.floats(-1e6, 1e6), st.sampled_from(["degC", "degF", "K"]))
def test_temperatures_come_back_from_any_scale(value, unit):
    si = float(Q(value, unit).m_as("K"))
    assert from_si(si, unit, "K") == pytest.approx(value, rel=1e-12, abs=1e-9)


@pytest.mark.parametrize(
    ("si", "kind", "metric", "inch"),
    [
        (0.003175, LENGTH, "3.175 mm", "0.125 in"),
        (6894757.293168, PRESSURE, "6.89 MPa", "1000 psi"),
        (353.15, TEMPERATURE, "80 °C", "176 °F"),
        (14.0, COUNT, "14", "14"),
        (0.08, RATIO, "0.08", "0.08"),
        (-1e-9, LENGTH, "0 mm", "0 in"),
    ],
)
def test_a_value_is_shown_in_the_reader_s_unit(si, kind, metric, inch):
    assert shown_value(si, kind) == metric
    assert shown_value(si, kind, "inch") == inch
    assert shown_value(si, kind, unit=False) == metric.split(" ")[0]


@pytest.mark.parametrize(
    ("value", "metric", "inch"),
    [
        (Q(0.0381, "m"), "38.1 mm", "1.5 in"),
        (Q(7.9e7, "Pa"), "79 MPa", "11458 psi"),
        (Q(4448.22, "N"), "4.448 kN", "1000 lbf"),
        (Q(2.012e-5, "m**2"), "20.12 mm²", "0.03119 in²"),
        (Q(11.6, "N*m"), "11.6 N m", "102.7 lbf in"),
        (Q(1.6e6, "N/m"), "1600 N/mm", "9136 lbf/in"),
        (Q(353.15, "K"), "80 °C", "176 °F"),
        (1.2345678, "1.235", "1.235"),
        (Q(np.nan, "Pa"), "no answer", "no answer"),
    ],
)
def test_a_quantity_is_shown_with_four_digits(value, metric, inch):
    assert quantity_text(value) == metric
    assert quantity_text(value, "inch") == inch


@pytest.mark.parametrize(
    ("value", "text"),
    [(0, "0"), (np.nan, "no answer"), (np.inf, "no answer"), (1234567, "1234567"),
     (1e-9, "1.000e-09"), (0.00012346, "0.0001235"), (16.0, "16"), (-2.5, "-2.5")],
)  # fmt: skip
def test_significant_digits_without_exponents_in_the_usual_range(value, text):
    assert significant(value) == text


def test_trimmed_and_plain_and_quoted():
    assert trimmed(16.0, 3, least=1) == "16.0"
    assert trimmed(-0.0001, 2) == "0"
    assert plain(Q(5, "mm/m")) == pytest.approx(0.005)
    assert plain(3.0) == 3.0
    assert quoted("a\nb\x00c") == "'a b�c'"
    assert len(quoted("x" * 1000)) == 42
