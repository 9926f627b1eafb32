"""Materials and compounds that a design's file states itself: [material.NAME], [compound.NAME]."""

import contextlib
from collections.abc import Callable, Collection, Mapping
from typing import Any

from hobbyclosure import data
from hobbyclosure.data import seals
from hobbyclosure.design import Problem, spelled
from hobbyclosure.part_inputs import MATERIAL_NUMBERS
from hobbyclosure.units import (
    EXPANSION,
    PRESSURE,
    RATIO,
    TEMPERATURE,
    Dimension,
    InputError,
    one_line,
    parse,
    quoted,
)

LONGEST = 80  # letters of a row's name and of its label

# Dimension and most of what an own row may state; a material's other numbers are pressures.
# At a Poisson's ratio of 0.5 the plate's forms divide by nothing.
_OTHERS = {"nu": (RATIO, 0.499), "alpha": (EXPANSION, 1e-3)}
_RUBBER = {
    "low": (TEMPERATURE, 400.0), "high": (TEMPERATURE, 700.0), "expansion": (EXPANSION, 1e-3),
    "gap_share": (RATIO, 1.0),
}  # fmt: skip


class _SkippedError(Exception):
    """A faulty row was noted and is passed over."""


class OwnRows:
    """What a file's tree states of its own; faults and names that are no number's are kept."""

    def __init__(self, tree: Mapping[str, Any]) -> None:
        self.tree = tree
        self.problems: list[Problem] = []
        self.unknown: list[str] = []
        self.rows: dict[str, dict[str, Any]] = {}  # of those that have no fault, as written
        self.materials = self._own("material", self._material, data.MATERIALS)
        self.compounds = self._own("compound", self._compound, seals.COMPOUNDS)

    def _own(
        self, kind: str, read_row: Callable[[str, Any], Any], listed: Collection[str]
    ) -> dict[str, Any]:
        """The design's own materials or compounds by key; faulty ones are named and left out."""
        own = self.tree.get(kind, {})
        found = {}
        for key, row in own.items() if isinstance(own, Mapping) else ():
            with contextlib.suppress(_SkippedError):
                if one_line(key, LONGEST) != key:
                    raise self._bad(kind, key, f"a name has at most {LONGEST} letters that show")
                if key in listed:
                    raise self._bad(kind, key, f"is the name of a listed {kind}: choose another")
                found[str(key)] = read_row(str(key), row)
                self.rows.setdefault(kind, {})[str(key)] = row
        return found

    def _material(self, key: str, row: Any) -> data.Material:
        kinds = dict.fromkeys(MATERIAL_NUMBERS, (PRESSURE, 5e11)) | _OTHERS
        values, about = self._values("material", key, row, kinds, set(data.PROPERTIES))
        like = self._like("material", key, row, data.MATERIALS)
        return data.material_from_values(key, about[0], values, about[1], like)

    def _compound(self, key: str, row: Any) -> seals.Compound:
        values, about = self._values("compound", key, row, _RUBBER)
        like = self._like("compound", key, row, seals.COMPOUNDS)
        lacking = [n for n in ("low", "high", "expansion") if n not in values and like is None]
        if lacking:
            raise self._bad(
                "compound", key, f"{lacking[0]} is missing: state it, or what it is like"
            )
        rubber = seals.compound_from_values(key, about[0], values, about[1], like)
        if rubber.low.value >= rubber.high.value:
            raise self._bad("compound", key, "low is not below high")
        return rubber

    def _values(
        self,
        kind: str,
        key: str,
        row: Any,
        kinds: Mapping[str, tuple[Dimension, float]],
        known: Collection[str] = (),
    ) -> tuple[dict[str, float], tuple[str, str]]:
        """Numbers of an own row by name, each above zero and below its most; label and source."""
        if not isinstance(row, Mapping):
            raise self._bad(kind, key, "is no table of values")
        values: dict[str, float] = {}
        for name, raw in row.items():
            if name in ("label", "source", "like"):
                continue
            if name not in kinds:
                self.unknown += [] if name in known else [f"{kind}.{key}.{quoted(name, 40)[1:-1]}"]
                continue
            dimension, most = kinds[name]
            try:
                values[name] = parse(str(raw), dimension)
            except InputError as error:
                raise self._bad(kind, key, f"{name}: {error}") from None
            if not 0 < values[name] <= most:
                raise self._bad(kind, key, f"{name} {quoted(str(raw))} is out of range")
        source = one_line(str(row.get("source", ""))) or data.OWN
        return values, (one_line(str(row.get("label", key)), LONGEST), source)

    def _like(self, kind: str, key: str, row: Any, rows: Mapping[str, Any]) -> Any:
        """The listed row that an own one is like, if it says so."""
        if "like" not in row:
            return None
        found = spelled(row["like"], {id: each.label for id, each in rows.items()})
        if len(found) != 1:
            raise self._bad(kind, key, f"like: {quoted(str(row['like']))} is no {kind}")
        return rows[found[0]]

    def _bad(self, kind: str, key: str, says: str) -> "_SkippedError":
        path = f"{kind}.{quoted(key, 40)[1:-1]}"
        self.problems.append(Problem(path, "", f"{path}: {says}"))
        return _SkippedError()
