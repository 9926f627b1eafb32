"""Every field is described in full, and its default is a value it allows."""

import pytest

from hobbyclosure import units
from hobbyclosure.design import Design, default_entry, inputs, read
from hobbyclosure.fields import FIELDS, PARTS

NUMBERS = [p for p, f in FIELDS.items() if f.kind is not None]
CHOICES = [p for p, f in FIELDS.items() if f.kind is None]


@pytest.mark.parametrize("path", FIELDS)
def test_a_field_has_label_help_and_part(path):
    field = FIELDS[path]
    assert field.path == path
    assert field.part in PARTS
    assert 2 < len(field.label) <= 40
    assert len(field.help) >= 10
    assert field.help[0].isupper() or field.help[0].isdigit()
    assert not field.help.endswith(".")
    assert field.name == path.replace(".", "_")


def test_no_part_has_an_underscore_and_no_two_fields_a_name():
    assert not any("_" in part for part in PARTS)
    assert len({f.name for f in FIELDS.values()}) == len(FIELDS)


@pytest.mark.parametrize("path", NUMBERS)
def test_a_number_has_a_symbol_a_range_and_a_default_inside(path):
    field = FIELDS[path]
    low, high = field.range
    assert field.symbol
    assert low < high
    if field.default is not None:
        assert low <= units.parse(field.default, field.kind) <= high
        assert read(path, field.default, Design()).value == default_entry(path).value
    if field.tol:
        assert field.kind is units.LENGTH
        assert units.parse(field.tol, units.RATIO if "%" in field.tol else units.LENGTH) > 0


@pytest.mark.parametrize("path", CHOICES)
def test_a_choice_offers_its_default_and_words_for_each(path):
    field = FIELDS[path]
    assert field.default in field.choices()
    assert all(field.choices().values())
    assert (field.low, field.high, field.tol) == ("", "", "")


@pytest.mark.parametrize("part", PARTS)
def test_symbols_are_told_apart_within_a_part(part):
    symbols = [f.symbol for f in FIELDS.values() if f.part == part and f.symbol]
    assert len(set(symbols)) == len(symbols)


def test_every_field_becomes_an_input():
    assert {f.name for f in FIELDS.values()} <= inputs(Design()).keys()
