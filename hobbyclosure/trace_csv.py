"""A trace read from CSV: units in the header, decimal comma or point, faults by line."""

import hashlib
import re
from collections.abc import Callable, Iterable
from functools import lru_cache
from math import isfinite
from typing import Any

import attrs
import numpy as np

from hobbyclosure.trace import Array, Trace, count, grouped, plain_name
from hobbyclosure.units import Q, named_unit, quoted, significant

LARGEST = 8_000_000  # bytes; a hundred thousand rows are about two million
MOST_ROWS, LONGEST_LINE = 500_000, 20_000
FEWEST = 5  # rows that may be called a trace
SPARED = 3  # faulty rows that are passed over whatever the length, and one in fifty beyond
_PLENTY = 10_000  # faulty rows that are counted out
REST = 0.02  # of the peak: what a trace may show before ignition

_SEPARATORS = (";", "\t", ",")
_HEADER = re.compile(
    r"\s*(?P<name>[^\[\]()]*?)\s*(?:\[(?P<unit>[^\]]*)\]|\((?P<round>[^)]*)\))?\s*"
)
_SLASHED = re.compile(r"(?P<name>[^/\s]+)\s*/\s*(?P<unit>\S+)")
_WORD = r"[A-Za-zµμ][A-Za-zµμ0-9_]*(?:\^[1-3])?"
_UNIT = re.compile(rf"{_WORD}(?:[*/]{_WORD}){{0,2}}")
_AREA = re.compile(r"(?<=m)2$")  # N/mm2
_BLANK, _PARTED = r"[^\S\n]*", r"[+-]?[0-9]{1,3}(?:,[0-9]{3})+(?:\.[0-9]*)?"
_COMMA = r"[+-]?(?:[0-9]+,[0-9]*|,[0-9]+)(?:[eE][+-]?[0-9]{1,3})?"
# In the cells of one column, a line each: one that a comma may part or that has a decimal comma;
# one whose comma cannot part thousands; a number of a hundred and more without any.
_COMMAED = re.compile(rf"^{_BLANK}(?:{_PARTED}|{_COMMA}){_BLANK}$", re.MULTILINE)
_DECIMAL = re.compile(rf"^{_BLANK}(?!{_PARTED}{_BLANK}$){_COMMA}{_BLANK}$", re.MULTILINE)
_BARE = re.compile(rf"^{_BLANK}(?:[+-]+\d{{2,}}|\d{{3,}}){_BLANK}$", re.MULTILINE)
_NUMBER = re.compile(r"[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d{1,3})?", re.ASCII)
_ABSOLUTE = ("psia", "bara", "kpaa", "mpaa", "bar(a)", "psi(a)", "bar abs", "psi abs")
_GAUGE = ("psig", "barg", "kpag", "mpag", "psi(g)", "bar(g)", "kpa(g)", "mpa(g)")
# A number in quotes that is a whole cell, its comma or point apart.
_QUOTED_NUMBER = re.compile(
    r'(?<![^,;\t\n])"([+-]?[0-9]*)[,.]?((?:[0-9]*)(?:[eE][+-]?[0-9]{1,3})?)"(?![^,;\t\n])'
)
_QUOTED = {s: re.compile(rf'(?:^|{s})\s*("[^"]*"|[^{s}]*)') for s in _SEPARATORS}
_CONTROL = re.compile(r"[\x00-\x08\x0e-\x1f]")


class TraceError(ValueError):
    """A file that is no trace; the message is a sentence or two that a person can act on."""


@attrs.frozen
class _Column:
    """Where a quantity stands in each row, and what turns its numbers into SI."""

    at: int
    name: str
    factor: float
    unit: str


@attrs.frozen
class _Form:
    """How rows are written: what parts their cells, how many the header has, which count."""

    separator: str
    width: int
    columns: tuple[int, int]


def decoded(content: bytes) -> str:
    """Text of a file: UTF-8, UTF-16 by its mark, else Latin. Raises TraceError for no text."""
    if len(content) > LARGEST:
        raise TraceError(too_large(len(content)))
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        return content.decode("utf-16", "replace")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return content.decode("cp1252", "replace")


def too_large(size: float) -> str:
    """What is said of a file of so many bytes."""
    return f"The file is {size / 1e6:.1f} MB; at most {LARGEST / 1e6:.0f} MB is read."


def read(content: str | bytes, name: str = "trace.csv") -> Trace:
    """A trace from the text of a CSV file. Raises TraceError."""
    text = decoded(content) if isinstance(content, bytes) else content
    if len(text) > LARGEST:
        raise TraceError(too_large(len(text)))
    if _CONTROL.search(text[:100_000]):
        raise TraceError("This is no text file. A trace is CSV: time [s], pressure [bar].")
    digest = hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()[:16]
    lines = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n").split("\n")
    if len(lines) > MOST_ROWS:
        raise TraceError(f"The file has {grouped(len(lines))} lines; "
                         f"at most {grouped(MOST_ROWS)} are read.")  # fmt: skip
    longest = max(map(len, lines))
    if longest > LONGEST_LINE:
        i = next(i for i, line in enumerate(lines, 1) if len(line) == longest)
        raise TraceError(f"Line {grouped(i)} is {grouped(longest)} characters long; "
                         f"at most {grouped(LONGEST_LINE)} are read.")  # fmt: skip
    head = next((i for i, line in enumerate(lines) if _says(line)), None)
    if head is None:
        raise TraceError("The file is empty.")
    separator = next((s for s in _SEPARATORS if s in lines[head]), ",")
    cells = _cells(lines[head], separator)
    time, pressure, remarks = _columns(cells)
    rows = _Rows(lines, head + 1, _Form(separator, len(cells), (time.at, pressure.at)))
    t, p = rows.numbers[0] * time.factor, rows.numbers[1] * pressure.factor
    rows.refuse_nonsense()
    _forwards(t, rows.places)
    if np.max(p) <= 0:
        raise TraceError("The pressure is nowhere above nothing: there is no peak to read.")
    top = int(np.argmax(p))
    said = (
        f"line {grouped(rows.places(top))}",
        f"{significant(rows.numbers[1][top])} {pressure.unit}",
    )
    found = Trace(plain_name(name), t, p, digest, (*rows.remarks, *remarks), said)
    return attrs.evolve(found, remarks=(*found.remarks, *_unrested(found)))


def _says(line: str) -> bool:
    return bool(line.strip()) and not line.lstrip().startswith("#")


def _cells(line: str, separator: str) -> list[str]:
    if '"' not in line:
        return line.split(separator)
    return [cell.strip().strip('"') for cell in _QUOTED[separator].findall(line)]


def _columns(cells: list[str]) -> tuple[_Column, _Column, list[str]]:
    """The columns of time and pressure, by their units. Raises TraceError."""
    if all(_NUMBER.fullmatch(cell.strip()) for cell in cells):
        raise TraceError("The first line holds numbers, no units. "
                         "Write above it: time [s], pressure [bar].")  # fmt: skip
    found: dict[str, list[_Column]] = {"time": [], "pressure": []}
    bare: list[str] = []
    for at, cell in enumerate(cells[:50]):
        name, unit = _name_and_unit(cell)
        if any(word in cell.lower() for word in _ABSOLUTE):
            raise TraceError(f"{quoted(cell.strip())} is absolute pressure. "
                             "Take the air's off and write it as pressure [bar].")  # fmt: skip
        if not unit:
            bare.append(name.lower())
            continue
        for what, si in (("time", "s"), ("pressure", "Pa")):
            if factor := _factor(unit, si):
                found[what].append(_Column(at, name or what, factor, unit))
    for what, example in (("time", "time [s]"), ("pressure", "pressure [bar]")):
        if found[what]:
            continue
        if any(word.startswith(what[0]) for word in bare):
            raise TraceError(f"{what.capitalize()} has no unit in the header. "
                             f"Write it as {example}.")  # fmt: skip
        raise TraceError(f"The header {quoted(', '.join(cells))} names no {what} with a unit. "
                         f"Write it as {example}.")  # fmt: skip
    remarks = []
    if len(found["pressure"]) > 1:
        names = [quoted(c.name) for c in found["pressure"]]
        remarks.append(f"{count(len(names)).capitalize()} columns of pressure. "
                       f"The first, {names[0]}, is read.")  # fmt: skip
    return found["time"][0], found["pressure"][0], remarks


def _name_and_unit(cell: str) -> tuple[str, str]:
    """Name and unit of "pressure [bar]", "pressure (bar)" or "p/bar"."""
    cell = cell.strip()[:80]
    if found := _SLASHED.fullmatch(cell):
        return found["name"], found["unit"]
    found = _HEADER.fullmatch(cell)
    if not found:
        return cell, ""
    return found["name"], (found["unit"] or found["round"] or "").strip()


@lru_cache(maxsize=256)
def _factor(unit: str, si: str) -> float | None:
    """SI value of one unit; None for another kind, or when nobody knows it."""
    plain = unit.replace("²", "^2").replace("**", "^").replace(" ", "").replace("·", "*")
    if plain.lower() in _GAUGE:
        plain = plain.removesuffix(")").removesuffix("(g")[: None if ")" in plain else -1]
    plain = _AREA.sub("^2", plain)
    name = named_unit(plain)
    if name is None and not (len(plain) <= 40 and _UNIT.fullmatch(plain)):
        return None
    try:
        quantity: Any = Q(1.0, name or plain)
        return float(quantity.m_as(si)) if quantity.is_compatible_with(si) else None
    except Exception:  # whatever the registry says of a word it does not know
        return None


class _Rows:
    """Numbers of two columns; rows that hold none are counted, the first of them named."""

    def __init__(self, lines: list[str], first: int, form: _Form) -> None:
        self.fault, self.bad = "", 0
        self.places: Callable[[int], int] = lambda i: i + first + 1
        body = lines[first:]
        while body and not body[-1].strip():
            body.pop()
        _refuse_thousands(body, first, form)
        numbers = _quick(body, form)
        self.numbers = self._careful(body, first, form) if numbers is None else numbers

    def _careful(self, body: list[str], first: int, form: _Form) -> Array:
        kept: list[tuple[float, float]] = []
        where: list[int] = []
        for i, line in enumerate(body, first + 1):
            if not _says(line):
                continue
            row = _plain(line, form) or _row(line, form)
            if row is None:
                self.fault = self.fault or f"Line {grouped(i)}: {_why_none(line, form)}"
                self.bad += 1
                if self.bad > _PLENTY and self.bad > SPARED + len(body) // 50:
                    break  # whatever follows, nothing is taken
            else:
                kept.append(row)
                where.append(i)
        self.places = where.__getitem__
        return np.array(kept, float).reshape(-1, 2).T

    @property
    def kept(self) -> int:
        return self.numbers.shape[1]

    def refuse_nonsense(self) -> None:
        """Raise TraceError when too little is left to be called a trace."""
        if self.bad > SPARED + self.kept // 50:
            more = grouped(self.bad - 1) + " or" * (self.bad > _PLENTY)
            raise TraceError(f"{self.fault} So are {more} more. Nothing was taken.")
        if self.kept < FEWEST:
            rows = f"{count(self.kept)} row{'s' * (self.kept != 1)}"
            says = f"{self.fault} Only {rows} of numbers; at least {count(FEWEST)} make a trace."
            says = says.strip()
            raise TraceError(says.replace("Only no rows", "No row"))

    @property
    def remarks(self) -> list[str]:
        """What was passed over."""
        if not self.bad:
            return []
        more = f" {count(self.bad - 1).capitalize()} more likewise." * (self.bad > 1)
        return [f"{self.fault}{more} {grouped(self.kept)} rows kept."]


def _refuse_thousands(body: list[str], first: int, form: _Form) -> None:
    """Raise TraceError where a comma may part thousands: a thousand would be read as one.

    It may where points stand in the same column, or where it is followed by three figures while
    other numbers of a hundred and more have none.
    """
    text, comma = "\n".join(body), form.separator == ","
    if ("," if not comma else '"') not in text:
        return
    noted, quotes = "#" in text, '"' in text

    def cells_of(line: str) -> list[str]:
        if (comma and '"' not in line) or (noted and not _says(line)):
            return []
        return _cells(line, form.separator) if quotes else line.split(form.separator)

    first_rows = [cells_of(line) for line in body[:50]]
    columns = [
        at
        for at in form.columns
        # Where no number has a point, one decimal comma settles what the others of its column are.
        if "." in text
        or not any(at < len(row) and _DECIMAL.fullmatch(row[at]) for row in first_rows)
    ]
    rows = [cells_of(line) for line in body] if columns else []
    for at in columns:
        cells = "\n".join([row[at] if at < len(row) else "" for row in rows])
        found = _COMMAED.search(cells) if "," in cells else None
        if found and ("." in cells or (not _DECIMAL.search(cells) and _BARE.search(cells))):
            i = cells.count("\n", 0, found.start()) + first + 1
            raise TraceError(f"Line {grouped(i)}: {quoted(found[0].strip())} may be read two ways. "
                             "Write no comma between thousands. Nothing was taken.")  # fmt: skip


def _quick(body: list[str], form: _Form) -> Array | None:
    """Both columns at once where every row is plain; None where one needs a closer look."""
    text = "\n".join(body)
    if '"' in text:
        text = _QUOTED_NUMBER.sub(r"\1.\2", text)
    if not text.isascii() or "_" in text or '"' in text or "#" in text:
        return None
    if form.separator != ",":
        text = text.replace(",", ".")
    try:
        rows = [line.split(form.separator) for line in text.split("\n")]
        if any(len(row) > form.width for row in rows):
            return None
        numbers = np.array([[float(row[at]) for row in rows] for at in form.columns])
    except (ValueError, IndexError):
        return None
    return numbers if np.all(np.isfinite(numbers)) else None


def _plain(line: str, form: _Form) -> tuple[float, float] | None:
    """Both numbers of a row that is written as most are; None for one to be looked at."""
    if not line.isascii() or "_" in line or '"' in line:
        return None
    cells = (line if form.separator == "," else line.replace(",", ".")).split(form.separator)
    try:
        t, p = (float(cells[at]) for at in form.columns)
    except (ValueError, IndexError):
        return None
    return (t, p) if len(cells) <= form.width and isfinite(t) and isfinite(p) else None


def _parts(line: str, form: _Form) -> tuple[list[str], list[str]]:
    """All cells of a row, and the two that count."""
    cells = _cells(line, form.separator)
    while len(cells) > form.width and not cells[-1].strip():  # separators at the line's end
        cells.pop()
    counted = [cells[at].strip() if at < len(cells) else "" for at in form.columns]
    if len(cells) > form.width and form.width - 1 in form.columns:
        last = form.separator.join(cells[form.width - 1 :]).strip()
        counted[form.columns.index(form.width - 1)] = last
    return cells, counted


def _row(line: str, form: _Form) -> tuple[float, float] | None:
    """Both numbers of a row; None for one that `_why_none` tells of."""
    cells, counted = _parts(line, form)
    if len(cells) > form.width or not all(map(_NUMBER.fullmatch, counted)):
        return None
    t, p = (float(cell.replace(",", ".")) for cell in counted)
    return (t, p) if isfinite(t) and isfinite(p) else None


def _why_none(line: str, form: _Form) -> str:
    """What is wrong with a row."""
    cells, counted = _parts(line, form)
    wider = len(cells) > form.width
    if wider and form.separator == "," and len(cells) == 2 * form.width and "." not in line:
        return f"{quoted(line)} is no row: with decimal commas part the columns by semicolons."
    for cell in counted:
        if not _NUMBER.fullmatch(cell):
            return f"{quoted(cell)} is no number." if cell else f"{quoted(line)} is no row."
    if wider:
        return f"{quoted(line)} has {count(len(cells))} cells, the header {count(form.width)}."
    return f"{quoted(line)} holds too large a number."


def _forwards(t: Array, place: Callable[[int], int]) -> None:
    """Raise TraceError where time runs backwards, or stands still altogether."""
    back = np.flatnonzero(np.diff(t) < 0)
    if back.size:
        i = int(back[0])
        raise TraceError(f"Line {grouped(place(i + 1))}: time runs backwards, "
                         f"from {t[i]:.6g} to {t[i + 1]:.6g} s. Nothing was taken.")  # fmt: skip
    if t[-1] <= t[0]:
        raise TraceError("Time stands still in every row.")


def _unrested(trace: Trace) -> Iterable[str]:
    """What a trace shows that a gauge at rest would not."""
    start = float(trace.p[0])
    if np.isnan(trace.burn[0]):
        yield "The trace begins above a tenth of its peak: rise and burn cannot be read."
    elif abs(start) > REST * trace.peak:
        yield "The trace does not begin at nothing: is it gauge pressure?"
    if np.isnan(trace.burn[1]):
        yield "The trace ends above a tenth of its peak: burn cannot be read."
