"""What a field is, and the one list of them."""

from collections.abc import Callable
from functools import cached_property

import attrs

from hobbyclosure import units
from hobbyclosure.units import LENGTH, Dimension, Shown

PARTS = {
    "loads": "Loads",
    "case": "Case",
    "closure": "Closure",
    "screw": "Screws",
    "seal": "Seals",
    "insulation": "Insulation",
    "plug": "Plug",
    "port": "Port",
}


def within(text: str) -> str:
    """A title or label within a sentence; an abbreviation stays as it is."""
    return text if text[1:2].isupper() else text[:1].lower() + text[1:]


@attrs.frozen(slots=False)
class Field:
    """One input: its name, kind, default, range and the words shown with it.

    A field with `choices` holds a key of that table; a field with `tol` (text: a length or a
    percentage of the nominal) is a dimension that can carry a tolerance and a measurement.
    """

    path: str
    label: str
    help: str
    kind: Dimension | None
    default: str | None
    low: str = ""
    high: str = ""
    symbol: str = ""
    tol: str = ""
    choices: Callable[[], dict[str, str]] | None = None
    essential: bool = False

    @property
    def word(self) -> str:
        """The label within a sentence."""
        return within(self.label)

    @property
    def part(self) -> str:
        """First word of the path."""
        return self.path.split(".")[0]

    @cached_property
    def name(self) -> str:
        """Name in quantities and checks: dots become underscores."""
        return self.path.replace(".", "_")

    def shown(self, system: str) -> Shown:
        """The unit its number has for a reader of that system; a share is told in per cent."""
        assert self.kind is not None
        return units.SHARE if self.low.endswith("%") else self.kind.shown(system)

    @cached_property
    def default_tolerance(self) -> float:
        """The unstated tolerance: a length in m, or a share of the nominal when in percent."""
        share = self.tol.endswith("%")
        return units.parse(self.tol, units.RATIO if share else LENGTH) if self.tol else 0.0

    @cached_property
    def range(self) -> tuple[float, float]:
        """Lowest and highest SI value allowed."""
        assert self.kind is not None
        return units.parse(self.low, self.kind), units.parse(self.high, self.kind)


FIELDS: dict[str, Field] = {}


def _keep(field: Field) -> None:
    FIELDS[field.path] = field


def number(
    path: str,
    label: str,
    kind: Dimension,
    default: str | None,
    low: str,
    high: str,
    symbol: str,
    help: str,
    tol: str = "",
    essential: bool = False,
) -> None:
    """Describe a field that holds a number."""
    _keep(Field(path, label, help, kind, default, low, high, symbol, tol, None, essential))


def choice(
    path: str,
    label: str,
    default: str,
    choices: Callable[[], dict[str, str]],
    help: str,
    essential: bool = False,
) -> None:
    """Describe a field that is picked from a list."""
    _keep(Field(path, label, help, None, default, choices=choices, essential=essential))


def labels(table: dict) -> Callable[[], dict[str, str]]:
    """Keys and labels of a table of data rows."""
    return lambda: {key: row.label for key, row in table.items()}
