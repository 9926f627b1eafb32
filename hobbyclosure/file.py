"""Designs as TOML files: comments and unknown keys kept, every fault reported, saved atomically."""

import contextlib
import glob
import os
import re
import tempfile
import time
import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import attrs
import tomlkit
from tomlkit.exceptions import TOMLKitError

from hobbyclosure.design import (
    Design,
    DesignError,
    Entry,
    Problem,
    Rows,
    collisions,
    limits,
    number,
    read,
    refused,
    spread,
)
from hobbyclosure.fields import FIELDS, PARTS, Field
from hobbyclosure.own_rows import OwnRows
from hobbyclosure.trace import Run, plain_name
from hobbyclosure.units import (
    LENGTH,
    PRESSURE,
    TIME,
    InputError,
    file_text,
    parse,
    quoted,
)

SCHEMA = 1
LARGEST = 150_000  # bytes; a design is a few thousand
MOST_POINTS = 4000  # in one line; more of them, were they a key, would take any reader ages
PART = ".part~"  # ends the name of a file that is being written
MOST_VALUES, DEEPEST = 3000, 8  # that a file may state, and how far within one another
TRACES, MOST_RUNS = "loads.trace", 24
_DETAIL = ("nominal", "tol", "measured", "accuracy")


@attrs.frozen
class Loaded:
    """A file as read: the design, its document for saving, unknown keys, faults, its text."""

    design: Design
    document: tomlkit.TOMLDocument
    unknown: tuple[str, ...] = ()
    problems: tuple[Problem, ...] = ()
    text: str = ""


def load(path: str | os.PathLike[str]) -> Loaded:
    """Read a design file. Raises DesignError when it is no file, too large or no TOML."""
    where = Path(path)
    try:
        if where.stat().st_size > LARGEST:
            raise _fault(where.name, too_large(where.stat().st_size))
        text = where.read_text(encoding="utf-8")
    except UnicodeDecodeError:
        raise _fault(where.name, "is no text file") from None
    except OSError as error:
        raise _fault(where.name, f"cannot be read: {error.strerror or error}") from None
    return loads(text, where.name)


def too_large(size: float) -> str:
    """Why a file of so many bytes is not read."""
    shown = f"{size / 1e6:.1f} MB" if size >= 1e6 else f"{size / 1e3:.0f} kB"
    return f"is {shown}; a design is far smaller, at most {LARGEST / 1e3:.0f} kB is read"


def _fault(name: str, says: str, line: int | None = None) -> DesignError:
    place = quoted(name, 60)[1:-1] + (f", line {line}" if line else "")
    return DesignError([Problem("", "", f"{place}: {says}")])


def loads(text: str, name: str = "design") -> Loaded:
    """Read a design from TOML text; what is wrong in single fields is gathered in `problems`."""
    check(text, name)
    bare = text.removeprefix("\ufeff")  # as some editors begin a file
    if not bare.strip():
        raise _fault(name, "is empty: nothing to assess")
    try:
        document = tomlkit.parse(bare)
        tree = document.unwrap()
    except (TOMLKitError, RecursionError, ValueError) as error:
        raise _fault(name, f"is no TOML: {quoted(str(error), 120)[1:-1]}") from None
    return attrs.evolve(_Reader(tree).loaded(document), text=text)


def check(text: str, name: str) -> None:
    """Raise DesignError for what is no TOML, or is or states more than a design can.

    The reader that keeps comments takes a hundred times as long as this one, and longer for keys
    within keys.
    """
    if (size := len(text.encode(errors="replace"))) > LARGEST:
        raise _fault(name, too_large(size))
    text = text.removeprefix("\ufeff")
    for n, line in enumerate(text.split("\n"), 1):
        if line.count(".") > MOST_POINTS:
            raise _fault(name, f"has more than {MOST_POINTS} full stops", n)
    try:
        tree = tomllib.loads(text)
    except RecursionError:
        raise _fault(name, f"states tables within tables, more than {DEEPEST} deep") from None
    except ValueError as error:  # a number of thousands of figures is one, too
        raise _fault(name, *_plain_syntax(text, str(error))) from None
    row: list[Any] = [tree]
    found = 0
    for _ in range(DEEPEST + 1):
        row = [x for each in row if isinstance(each, dict | list)
               for x in (each.values() if isinstance(each, dict) else each)]  # fmt: skip
        found += len(row)
        if found > MOST_VALUES:
            raise _fault(name, f"states more than {MOST_VALUES} values; a design has a few hundred")
    if row:
        raise _fault(name, f"states tables within tables, more than {DEEPEST} deep")


def _plain_syntax(text: str, error: str) -> tuple[str, int | None]:
    """What is wrong with a text that is no TOML, and in which line."""
    place = re.search(r"\(at line (\d+), ", error)
    if place is None and "end of document" not in error:
        return f"is no TOML: {quoted(error, 120)[1:-1]}", None
    lines = text.replace("\r\n", "\n").split("\n")
    line = min(int(place[1]), len(lines)) if place else len(lines)
    shown = quoted(lines[line - 1]) if lines[line - 1].strip() else "the end"
    if error.startswith(("Cannot overwrite", "Cannot declare")):
        return f"{shown} states what a line above states already", line
    return f'{shown} is no TOML (text needs quotes: wall = "3 mm")', line


class _Reader:
    """Walks a parsed document, gathering entries, unknown keys and problems."""

    def __init__(self, tree: Mapping[str, Any]) -> None:
        self.tree = tree
        self.entries: dict[str, Entry] = {}
        self.problems: list[Problem] = []
        self.unknown: list[str] = []
        self.runs: Any = []
        self.design = Design(str(tree.get("name", "Unnamed")))

    def loaded(self, document: tomlkit.TOMLDocument) -> Loaded:
        self._schema()
        own = OwnRows(self.tree)
        self.problems += own.problems
        self.unknown += own.unknown
        self.design = attrs.evolve(
            self.design, materials=own.materials, compounds=own.compounds, own_rows=own.rows
        )
        for path, value in self._leaves():
            try:
                self.entries[path] = self._entry(path, value)
            except DesignError as error:
                self.problems += error.problems
        self._missing()
        design = attrs.evolve(self.design, entries=self.entries, runs=self._runs())
        if not self.problems:
            self.problems += collisions(design, design.system)
        return Loaded(design, document, tuple(self.unknown), tuple(self.problems))

    def _schema(self) -> None:
        schema = self.tree.get("schema", SCHEMA)
        if schema != SCHEMA:
            text = f"schema: {quoted(str(schema))} is not {SCHEMA}, the one this version reads"
            self.problems.append(Problem("schema", str(schema)[:80], text))

    def _leaves(self) -> Iterator[tuple[str, Any]]:
        """Field paths and raw values; keys that are no field are noted."""
        todo = [(k, v) for k, v in self.tree.items() if k not in ("name", "schema", "notes")]
        while todo:
            path, value = todo.pop(0)
            if path == TRACES:
                self.runs = value
            elif path in FIELDS:
                yield path, value
            elif isinstance(value, Mapping) and any(f.startswith(f"{path}.") for f in FIELDS):
                todo = [(f"{path}.{k}", v) for k, v in value.items()] + todo
            elif path in PARTS or path in ("material", "compound"):
                if not isinstance(value, Mapping):
                    shown = quoted(str(value).lower() if isinstance(value, bool) else str(value))
                    says = f"{path}: {shown} is no table of values: write [{path}] above them"
                    self.problems.append(Problem(path, str(value)[:80], says))
            else:
                self.unknown.append(quoted(path, 80)[1:-1])

    def _entry(self, path: str, raw: Any) -> Entry:
        field = FIELDS[path]
        if isinstance(raw, Mapping):
            return self._detailed(field, raw)
        if isinstance(raw, bool) or not isinstance(raw, str | int | float):
            shown = str(raw).lower() if isinstance(raw, bool) else str(raw)
            raise refused(field, shown[:80], f"{quoted(shown)} is no value for a field; "
                          f"{limits(field, self.design.system)}")  # fmt: skip
        if isinstance(raw, int | float) and field.kind is not None:
            raw = f"{raw!r}"  # goes through the grammar, which asks for a unit where one is due
        return read(path, str(raw), self.design)

    def _detailed(self, field: Field, raw: Mapping[str, Any]) -> Entry:
        path = field.path
        self.unknown += [f"{path}.{quoted(k, 40)[1:-1]}" for k in raw if k not in _DETAIL]
        if field.kind is None or not field.tol:
            raise refused(field, str(raw)[:80], "carries no tolerance: give a single value")
        if "nominal" not in raw:
            raise refused(field, str(raw)[:80], "has no nominal")
        entry = read(path, str(raw["nominal"]), self.design)
        tol, accuracy = (
            spread(field, str(raw.get(key, "")), key, entry.value) for key in ("tol", "accuracy")
        )
        measured = None
        if "measured" in raw:
            measured = number(field, str(raw["measured"]))
        return attrs.evolve(entry, tol=tol, measured=measured, accuracy=accuracy)

    def _missing(self) -> None:
        stated = {p.field for p in self.problems} | set(self.entries)
        for path, field in FIELDS.items():
            if field.essential and path not in stated:
                if path == "loads.peak" and "loads.meop_given" in stated:
                    continue
                text = f"{path}: missing; every design states it ({field.help})"
                self.problems.append(Problem(path, "", text))

    def _runs(self) -> tuple[Run, ...]:
        rows = self.runs if isinstance(self.runs, list) else [self.runs]
        if len(rows) > MOST_RUNS:
            text = f"{TRACES}: {len(rows)} traces; at most {MOST_RUNS} are kept"
            self.problems.append(Problem(TRACES, "", text))
            return ()
        found = []
        for n, row in enumerate(rows, 1):
            try:
                found.append(_run(row))
            except (InputError, ValueError) as error:
                text = f"{TRACES}, {n} of {len(rows)}: {error}"
                self.problems.append(Problem(TRACES, "", text))
            else:
                self.unknown += [f"{TRACES}.{quoted(k, 40)[1:-1]}" for k in row if k not in _RUN]
        return tuple(found)


_RUN = ("file", "rows", "peak", "rise", "burn", "fingerprint")


def _run(row: Any) -> Run:
    """What a file says of one trace. Raises ValueError (or its kind, InputError)."""
    if not isinstance(row, Mapping):
        raise ValueError(f"{quoted(str(row))} is no table of file, rows and peak")
    for key in ("file", "rows", "peak"):
        if key not in row:
            raise ValueError(f"has no {key}")
    rows, peak = row["rows"], parse(str(row["peak"]), PRESSURE)
    if isinstance(rows, bool) or not isinstance(rows, int) or not 0 < rows < 10**9:
        raise ValueError(f"rows {quoted(str(rows))} is no number of rows")
    if not 0 < peak < 1e9:
        raise ValueError(f"peak {quoted(str(row['peak']))} is out of range")
    rise, burn = (parse(str(row[key]), TIME) if key in row else None for key in ("rise", "burn"))
    if any(t is not None and not 0 <= t < 1e5 for t in (rise, burn)):
        raise ValueError("rise or burn is out of range")
    mark = "".join(c for c in str(row.get("fingerprint", ""))[:16] if c.isalnum())
    return Run(plain_name(str(row["file"])), rows, peak, rise, burn, mark)


def opened(path: str | os.PathLike[str]) -> Loaded:
    """Read a design file that must be free of faults. Raises DesignError with all of them."""
    loaded = load(path)
    if loaded.problems:
        raise DesignError(loaded.problems)
    return loaded


def written(design: Design, document: tomlkit.TOMLDocument | None, system: str = "metric") -> str:
    """TOML text of a design: the given document with only what changed rewritten.

    Without a document, a whole file that reads back as the same design, its own rows included.
    """
    text = tomlkit.dumps(document) if document is not None else ""
    doc = tomlkit.parse(text)
    before = _Reader(doc.unwrap()).loaded(doc).design if document is not None else Design("")
    if document is None:
        doc["schema"] = SCHEMA
    if document is None or before.name != design.name:
        doc["name"] = design.name
    _put_own_rows(doc, before.own_rows, design.own_rows)
    for path, entry in design.entries.items():
        if path not in before.entries or not before.entries[path].says_the_same(entry):
            _put(doc, path, entry, system)
    if before.runs != design.runs:
        _put_runs(doc, before.runs, design.runs)
    return tomlkit.dumps(doc)


def _put_own_rows(doc: Any, before: Rows, rows: Rows) -> None:
    """Write materials and compounds of its own; those that are there already stay as they are."""
    for kind in dict.fromkeys([*before, *rows]):
        was, now = before.get(kind, {}), rows.get(kind, {})
        for key in was.keys() - now.keys():
            doc[kind].pop(key)
        for key, row in now.items():
            if was.get(key) != row:
                doc.setdefault(kind, tomlkit.table(is_super_table=True))[key] = row


def _put_runs(doc: Any, before: tuple[Run, ...], runs: tuple[Run, ...]) -> None:
    """Write the traces, one line each; a line that stands for a run still there stays as it is."""
    part, key = TRACES.split(".")
    if part not in doc:
        doc[part] = tomlkit.table()
    was = doc[part].pop(key, [])
    lines = dict(zip(before, was if isinstance(was, list) else [was], strict=False))
    if not runs:
        return
    rows = tomlkit.array().multiline(True)
    for run in runs:
        line = tomlkit.inline_table()
        line.update(lines.get(run) or _run_row(run))
        rows.append(line)
    doc[part][key] = rows


def _run_row(run: Run) -> dict[str, Any]:
    """A trace as a file states it, in SI's own units: those read back to the last digit."""
    row: dict[str, Any] = {"file": run.file, "rows": run.rows}
    row["peak"] = file_text(run.peak, PRESSURE)
    row |= {k: file_text(t, TIME) for k, t in (("rise", run.rise), ("burn", run.burn))
            if t is not None}  # fmt: skip
    return row | ({"fingerprint": run.fingerprint} if run.fingerprint else {})


def _put(doc: Any, path: str, entry: Entry, system: str) -> None:
    *groups, key = path.split(".")
    table = doc
    for group in groups:
        if group not in table:
            table[group] = tomlkit.table()
        table = table[group]
    if entry.value is None:
        table.pop(key, None)
        return
    field, kind = FIELDS[path], FIELDS[path].kind
    if kind is None:
        table[key] = entry.value
        return
    typed = _typed(entry, field, system)
    detail = {"tol": entry.tol, "measured": entry.measured, "accuracy": entry.accuracy}
    stated = {k: v for k, v in detail.items() if v is not None}
    was = table.get(key)
    unknown = {k: v for k, v in was.items() if k not in _DETAIL} if isinstance(was, Mapping) else {}
    if not stated and not unknown:
        table[key] = typed
        return
    inline = tomlkit.inline_table()
    inline["nominal"] = typed
    for k, v in stated.items():
        inline[k] = file_text(v, kind if k == "measured" else LENGTH, system)
    inline.update(unknown)
    table[key] = inline


def _typed(entry: Entry, field: Field, system: str) -> str:
    """The nominal as typed if that says the same with its unit, else in the reader's unit."""
    assert field.kind is not None
    assert isinstance(entry.value, float)
    try:
        if entry.typed and parse(entry.typed, field.kind) == entry.value:
            return entry.typed.strip()
    except InputError:
        pass
    return file_text(entry.value, field.kind, system)


def save(content: str | bytes, path: str | os.PathLike[str]) -> None:
    """Write a file whole or not at all: a temporary beside it, flushed, then put in its place."""
    where = Path(path).resolve()
    _clear_away(where)
    handle, temporary = tempfile.mkstemp(dir=where.parent, prefix=f".{where.name}.", suffix=PART)
    try:
        with os.fdopen(handle, "wb") as out:
            out.write(content.encode() if isinstance(content, str) else content)
            out.flush()
            os.fsync(out.fileno())
        if where.exists():
            os.chmod(temporary, where.stat().st_mode & 0o777)
        else:
            mask = os.umask(0)
            os.umask(mask)
            os.chmod(temporary, 0o666 & ~mask)
        os.replace(temporary, where)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(temporary)
        raise


def _clear_away(where: Path) -> None:
    """Delete what writers of this file left who were killed in the midst of it, long ago."""
    random = 8 * "[a-z0-9_]"  # as mkstemp makes it: nobody else's file is meant
    for left in where.parent.glob(f".{glob.escape(where.name)}.{random}{PART}"):
        with contextlib.suppress(OSError):
            if time.time() - left.stat().st_mtime > 3600:
                left.unlink()
