"""The one mutable object of a notebook: the open design, its past, and what is shown."""

import datetime
import hashlib
import secrets
import time
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import cached_property
from pathlib import Path
from typing import Any

import attrs
import numpy as np
import param
import tomlkit

from app.autosave import Aside, Autosave, Found
from hobbyclosure import file, lock, log, study, words
from hobbyclosure.assess import Assessment, succeeding
from hobbyclosure.design import Design, DesignError, Entry, Problem
from hobbyclosure.fields import FIELDS
from hobbyclosure.fields.base import within
from hobbyclosure.graph import CHECKS
from hobbyclosure.trace import Run, Trace
from hobbyclosure.units import COUNT, LENGTH, shown_value, snapped

STILL = 1.0  # seconds within which moves of one field are one step of undo
DEEPEST = 500
MORE = "There is other unsaved work, too. It comes up on the next start once this is saved."


@attrs.frozen(eq=False)
class OpenFile:
    """Where the design came from: path, document with its comments, text and design on disk.

    `mark` sets a design that no file holds yet apart from others, and with it its log. `born` stays
    when it is saved to a file.
    """

    path: Path | None = None
    document: tomlkit.TOMLDocument | None = None
    text: str | None = ""  # None: not what the file says now
    design: Design = attrs.field(factory=Design)
    mark: str = ""
    born: str = attrs.field(factory=lambda: _unnamed())

    def holds_the_design_of(self, other: "OpenFile") -> bool:
        """Whether it is the same design, be it that it was saved meanwhile.

        Of one from an earlier start it is not known whether it was: then only two files, or two
        designs without one, are told apart.
        """
        mine, theirs = self.about, other.about
        if not other.born and bool(mine["path"]) != bool(theirs["path"]):
            return True
        same = (mine["path"], mine["mark"]) == (theirs["path"], theirs["mark"])
        return self.born == other.born or same

    def is_one_with(self, other: "OpenFile") -> bool:
        """Whether it is the same file, or the same design that has none."""
        return (self.path, self.mark) == (other.path, other.mark)

    @property
    def about(self) -> dict[str, Any]:
        """What unsaved work must know of it to be taken up: JSON."""
        return {
            "path": str(self.path.resolve()) if self.path else "",
            "mark": self.mark,
            "base": _digest(self.text),
        }


def _digest(text: str | None) -> str:
    return hashlib.sha256(repr(text).encode()).hexdigest()[:16]


_born: dict[Path, str] = {}  # `OpenFile.born` of the files saved while the program runs


def _unnamed() -> str:
    return secrets.token_hex(4)


@attrs.frozen(eq=False)
class Step:
    """A state to go back to, what led away from it, and where it lies if it was not saved then."""

    design: Design
    what: str
    file: OpenFile
    aside: Aside | None = None


@attrs.frozen(slots=False)
class Shown:
    """A design as the page shows it, everything derived from it computed once."""

    design: Design

    @cached_property
    def assessment(self) -> Assessment:
        """The design through every check."""
        return Assessment(self.design)

    def next(self, design: Design) -> "Shown":
        """Another design after this one, of which only what differs is assessed anew."""
        shown = Shown(design)
        vars(shown)["assessment"] = succeeding(self.assessment, design)
        return shown

    def warnings(self, system: str) -> list[words.Warning]:
        """Everything to be said about it, without remedies."""
        if system not in self._warnings:
            self._warnings[system] = words.warnings(self.assessment, system, remedied=False)
        return self._warnings[system]

    @cached_property
    def _warnings(self) -> dict[str, list[words.Warning]]:
        return {}

    @property
    def ladder(self) -> tuple[study.Rung, ...]:
        """What lets go first."""
        return study.ladder(self.assessment)


def _untouched(said: str, label: str) -> str:
    """A refusal of a field that nobody touched: it is named where it says what it may be."""
    said, sign, limit = said.removeprefix(f"{label}: ").rpartition("; ")
    return f"{said}; {within(label)} {limit}" if sign else limit


def _label(path: str) -> str:
    return FIELDS[path].word if path in FIELDS else path


class Session(param.Parameterized):
    """What one browser tab works on. Views watch `shown`, `system`, `preview`, `told`, `open`.

    A refused change leaves everything as it was and says why in `told`.
    """

    shown = param.Parameter()
    system = param.Selector(default="metric", objects=["metric", "inch"])
    preview = param.Parameter()
    told = param.Dict(default={})
    refused = param.Parameter(default=None)  # DesignError of the last clash, or None
    open = param.Parameter(default=())
    saved = param.String(default="")
    held = param.Boolean(default=False)
    kept = param.Parameter(default=None)  # Shown or None
    raw = param.Boolean(default=False)  # plots show factors as they are
    faults = param.Parameter(default=())

    def __init__(self, origin: Path | None = None) -> None:
        """Start with nothing stated; `origin` is the file whose unsaved work is kept."""
        super().__init__(shown=Shown(Design()))
        self.file = OpenFile()
        self.autosave = Autosave(origin)
        self.past: list[Step] = []
        self.future: list[Step] = []
        self._last = ("", 0.0)
        self._ahead: tuple[Shown, str, Mapping[str, Any], Shown]
        self._ahead = (self.shown, self.system, {}, self.shown)
        self._noted: set[str] = set()  # marks of designs with a log and no file
        self._wrote: set[str] = set()  # entries of logs that are this session's
        self._strays: dict[Path, Path] = {}  # logs still to be taken along, and where to
        self.kept_said = ""
        self.remarks: tuple[str, ...] = ()
        self.asked: dict[str, str] = {}
        self.samples: dict[str, Trace] = {}  # of the traces read in this tab, by fingerprint

    @property
    def design(self) -> Design:
        """The design now."""
        return self.shown.design

    @property
    def path(self) -> Path | None:
        """The file the design is saved to."""
        return self.file.path

    # ---- changing

    def change(self, values: Mapping[str, Any], what: str = "", tell: str = "") -> bool:
        """Take new values of fields, or refuse them all and say why beside `tell`."""
        path = tell or next(iter(values))
        return self._evolve(
            lambda: self._evolved(values),
            path,
            (what or _label(path)) + self._measured(values),
            self._still(path),
        )

    def _measured(self, paths: Iterable[str]) -> str:
        """Words on the measurements that a change of these fields sets aside."""
        found = [m for p in paths if p in FIELDS and (m := self.design[p].measured) is not None]
        said = " and ".join(shown_value(m, LENGTH, self.system) for m in found)
        return f", measured {said} set aside" if said else ""

    def measure(self, path: str, text: str, accuracy: str = "") -> bool:
        """Take a measurement of a dimension, or refuse it; empty text takes it away."""
        return self._evolve(
            lambda: self.design.measured(path, text, accuracy, self.system),
            f"{path} measured", f"measured {_label(path)}", "Not taken.",
        )  # fmt: skip

    def tolerate(self, path: str, text: str) -> bool:
        """Take a tolerance of a dimension, or refuse it; empty text goes back to the usual one."""
        return self._evolve(
            lambda: self.design.toleranced(path, text, self.system),
            f"{path} tol", f"tolerance of {_label(path)}", "Not taken.",
        )  # fmt: skip

    def adopt(self, path: str, entry: Entry) -> bool:
        """Take what a partner's copy states of a field, or refuse it."""
        return self._evolve(
            lambda: self.design.stated(path, entry, self.system),
            f"handed {path}", f"{_label(path)} of your partner's", "Not taken.",
        )  # fmt: skip

    def trace(self, runs: Sequence[Run], stood: float | None = None) -> bool:
        """Take the figures of these pressure traces, or refuse them.

        `stood` is the scatter from before there were several.
        """
        return self._evolve(
            lambda: self.design.traced(runs, self.system, stood),
            "loads.trace", "trace", "Not taken.",
        )  # fmt: skip

    def _evolve(self, make: Callable[[], Design], tell: str, what: str, still: str) -> bool:
        """Take the design that is made, or say beside `tell` why not and what still holds."""
        try:
            design = make()
        except DesignError as error:
            first = error.problems[0]
            said = first.said or first.message
            if error.attempt and first.field in FIELDS and first.field != tell.partition(" ")[0]:
                said = _untouched(said, FIELDS[first.field].label)
            said = words.sentence(said)
            with param.parameterized.batch_call_watchers(self):
                self.refused = error if error.attempt else None
                self.told = {**self.told, tell: f"{said}. {still}"}
            return False
        if design == self.design:
            self._untold(tell)
            return True
        self._remember(tell, what)
        self._show(design)
        return True

    def _still(self, path: str) -> str:
        field = FIELDS.get(path)
        if field is None:
            return "Not taken."
        if field.choices:
            return f"Still {self.design.choices(field)[str(self.design[path].value)]}."
        now = study.now(self.shown.assessment, path)
        if np.isnan(now):
            return "Still not stated."
        unit = "" if field.kind is COUNT else field.shown(self.system).label
        return f"Still {f'{words.field_value(path, now, self.system)} {unit}'.strip()}."

    def _untold(self, path: str) -> None:
        with param.parameterized.batch_call_watchers(self):
            self.refused = None
            if path in self.told:
                self.told = {k: v for k, v in self.told.items() if k != path}

    def pick(self, path: str, key: str) -> bool:
        """A choice from a list; what it takes along goes with it, and undo says so."""
        along = study.takes_along(self.design, path, key)
        named = ", ".join(_label(other) for other in along)
        what = f"{_label(path)}, {named}" if along else ""
        return self.change({path: key, **along}, what, tell=path)

    def move(self, path: str, value: float) -> bool:
        """A slider's move; what the field takes along goes with it."""
        return self.change(self.moved(path, value), tell=path)

    def foreseen(self, path: str, value: float) -> Shown | None:
        """What a move will show, worked out before it is made; None where it will be refused."""
        values = self.moved(path, value)
        try:
            ahead = self.shown.next(self._evolved(values))
        except DesignError:
            return None
        self._ahead = (self.shown, self.system, values, ahead)
        return ahead

    def _evolved(self, values: Mapping[str, Any]) -> Design:
        """The design with new values of fields; the very one that was foreseen if it was."""
        before, system, asked, ahead = self._ahead
        if before is self.shown and system == self.system and asked == values:
            return ahead.design
        return self.design.evolved(values, self.system)

    def moved(self, path: str, value: float) -> dict[str, Any]:
        """What a move of a field changes, in numbers as they would be typed."""
        out = study.changes(self.design, path, value)
        for field, x in out.items():
            if kind := FIELDS[field].kind:
                out[field] = snapped(x, kind, self.system)
        return out

    def _remember(self, path: str, what: str, aside: Aside | None = None) -> None:
        """Keep the state before a change; moves of one field in a row are one step."""
        name, when = self._last
        again = name == path and (self.held or time.monotonic() - when < STILL)
        if not (again and self.past) or aside:
            self.past = [*self.past[-DEEPEST:], Step(self.design, what, self.file, aside)]
        self._last = (path, time.monotonic())
        self.future = []

    def _show(self, design: Design) -> None:
        with param.parameterized.batch_call_watchers(self):
            self.preview = None
            self.told = {}
            self.refused = None
            ahead = self._ahead[-1]
            self.shown = ahead if ahead.design is design else self.shown.next(design)
            self._note()

    def _note(self) -> None:
        """Say whether anything is unsaved, and see to it that it cannot be lost."""
        lone = self.path is None and self.file.mark in self._noted
        if self.design.says_the_same(self.file.design) and not lone:
            if self.saved:
                self.autosave.clear()
            self.saved = ""
        else:
            self.saved = "not saved"
            design, opened, system = self.design, self.file, self.system
            self.autosave.note(lambda: file.written(design, opened.document, system), opened.about)

    def _set_aside(self) -> Aside | None:
        """Leave on disk what lies there, for another design comes; tells of it if it is unsaved."""
        aside = self.autosave.set_aside()
        return aside if self.saved.startswith("not saved") else None

    def undo(self) -> None:
        """Go back one step."""
        if self.past:
            step = self.past.pop()
            if step.aside:
                self.autosave.resume(step.aside)
            self.future.append(Step(self.design, step.what, self.file))
            self._last, self.file = ("", 0.0), step.file
            if self.open == ("remarks",):  # they were about what is gone
                self.open = ()
            self._show(step.design)

    def redo(self) -> None:
        """Take back an undo."""
        if self.future:
            step = self.future.pop()
            aside = None if step.file.is_one_with(self.file) else self._set_aside()
            self.past.append(Step(self.design, step.what, self.file, aside))
            self._last, self.file = ("", 0.0), step.file
            self._show(step.design)

    # ---- remedies

    def remedy(self, check: str) -> study.Remedy | None:
        """The remedy offered for a check."""
        if check not in CHECKS:
            return None
        return study.remedy(self.shown.assessment, CHECKS[check], self.system)

    def take(self, check: str) -> None:
        """Take the remedy of a check."""
        found = self.remedy(check)
        if found:
            self._last = ("", 0.0)
            what = f"remedy, {words.field_value(found.path, found.value, self.system)}"
            self.change(self.moved(found.path, found.value), what, tell=found.path)
            self._last = ("", 0.0)

    # ---- comparing

    def keep(self) -> None:
        """Keep the design as it is now, to be drawn dashed beside what follows."""
        d = self.design
        wall = shown_value(float(d["case.wall"].now or 0), LENGTH, self.system)
        count = float(d["screw.count"].now or 0) * float(d["screw.rows"].now or 1)
        self.kept_said = f"kept {datetime.datetime.now():%H:%M}: {count:.0f} screws, {wall} wall"
        self.kept = self.shown

    def drop(self) -> None:
        """Compare no longer."""
        self.kept_said = ""
        self.kept = None

    # ---- log

    @property
    def log_path(self) -> Path:
        """Where the log lies: beside the design's file, until it has one with the unsaved work."""
        return log.path_of(self.path) if self.path else self.autosave.log_path(self.file.mark)

    def logged(self) -> tuple[log.Entry, ...]:
        """Everything written down about this design, oldest first. Raises DesignError."""
        return log.read(self.log_path)

    def note(self, text: str) -> bool:
        """Write something down, with the design as it is now; refuses by name."""
        said = log.clean(text)
        if not said:
            return self._refuse([Problem("", "", "Nothing to write down: the box is empty")])
        entry = log.Entry(datetime.datetime.now(), said, self.written())
        try:
            self.log_path.parent.mkdir(parents=True, exist_ok=True)
            log.add(self.log_path, entry)
        except DesignError as error:
            return self._refuse(error.problems)
        except OSError as error:
            why = error.strerror or error
            return self._refuse([Problem("", "", f"Not written down: {why}")])
        self._wrote.add(log.key(entry))
        if self.path is None and self.file.mark:
            self._noted.add(self.file.mark)
            self._note()
        return True

    def restore(self, which: int) -> bool:
        """Go back to the design of an entry; undo comes back from there."""
        try:
            entry = self.logged()[which]
            loaded = file.loads(entry.design)
        except DesignError as error:
            return self._refuse(error.problems)
        except IndexError:
            return False
        if loaded.problems:
            return self._refuse(loaded.problems)
        self._remember("", f"going back to {entry.when:%d %b, %H:%M}")
        self._last = ("", 0.0)
        self.file = attrs.evolve(self.file, document=loaded.document)
        self._show(loaded.design)
        return True

    # ---- files

    def written(self) -> str:
        """The design as it would be saved."""
        return file.written(self.design, self.file.document, self.system)

    def load(self, loaded: file.Loaded, path: Path | None) -> bool:
        """Show a design that was read; one with faults is not shown, its faults are."""
        if loaded.problems:
            return self._refuse(loaded.problems)
        if self.past or self.future or self.saved:
            self._remember("", f"opening {loaded.design.name}", self._set_aside())
        self._last = ("", 0.0)
        first = self.file.document is None and not self.past  # its log is found on the next start
        mark = "" if path or first else _unnamed()
        born = (path and _born.get(path.resolve())) or _unnamed()
        self.file = OpenFile(path, loaded.document, loaded.text, loaded.design, mark, born)
        with param.parameterized.batch_call_watchers(self):
            self.faults = ()
            self.remarks = tuple(f"{key} is no field. Kept, not used." for key in loaded.unknown)
            self.open = ("remarks",) if self.remarks else ()
            self.drop()
            self.system = loaded.design.system
            self._show(loaded.design)
        return True

    def _refuse(self, problems: Sequence[Problem]) -> bool:
        self.faults = tuple(problems)
        self.open = ("faults",)
        return False

    def begin(self, design: Design) -> None:
        """Start on a new design that no file holds yet."""
        self._remember("", "new design", self._set_aside())
        self._last, self.file = ("", 0.0), OpenFile(mark=_unnamed())
        self.open, self.remarks = (), ()
        self.drop()
        self._show(design)

    def take_up(self) -> None:
        """Go on with unsaved work of an earlier start; undo goes back to what the file says."""
        found = self.autosave.found()
        if found is None:
            return
        today = found.when.date() == datetime.date.today()
        when = f"{found.when:%H:%M}" if today else f"{found.when:%d %b %Y, %H:%M}"
        try:
            loaded = file.loads(found.text)
        except DesignError as error:
            self._cannot_take_up(found, when, error.problems)
            return
        if loaded.problems:
            self._cannot_take_up(found, when, loaded.problems)
            return
        self.autosave.take(found)
        origin = self._origin(found, loaded)
        if loaded.design.says_the_same(self.design) and origin.is_one_with(self.file):
            self.autosave.clear(saved=True)  # the file says it all
            if not found.path.exists():
                self.take_up()
            return
        before = self.path.name if self.path else "The demo"
        before += " as it was saved" * bool(self.path and origin.is_one_with(self.file))
        self._remember("", "taking up work")
        self._last = ("", 0.0)
        self.file = origin
        self._show(loaded.design)
        self.saved = f"not saved since {when}"
        self.saved += "; the file is another since, undo shows it" * (origin.text is None)
        name = loaded.design.name or "an unnamed design"
        self.remark(f"Unsaved work of {when} is taken up: {name}. {before} is one Undo away.")
        if found.more:
            self.remark(MORE)

    def remark(self, said: str) -> None:
        """Say something beside a design that is new here; of faults first, where they are said."""
        self.remarks = (*self.remarks, said)
        self.open = ("remarks", *self.open[-1:]) if self.open[-1:] == ("faults",) else ("remarks",)

    def go_on(self, was: "Session") -> None:
        """Show what its tab showed before the page was loaded anew, and go on from there.

        The other hands its state on disk over: should its page live on, it goes elsewhere.
        """
        self.autosave.resume(was.autosave.set_aside())
        self.file, self.past, self.future = was.file, [*was.past], [*was.future]
        self._noted, self._wrote, self._strays = {*was._noted}, {*was._wrote}, {**was._strays}
        self.samples = {**was.samples}
        with param.parameterized.batch_call_watchers(self):
            self.system, self.raw = was.system, was.raw
            self.kept, self.kept_said = was.kept, was.kept_said
            self.shown, self.saved = was.shown, was.saved

    def read_again(self) -> None:
        """Show what the file says if another program changed it and nothing here is unsaved."""
        path = self.path
        if path and path.exists() and not self.saved.startswith("not saved") and self._others(path):
            self.load_path(path)

    def _cannot_take_up(self, found: Found, when: str, problems: Sequence[Problem]) -> None:
        """Say that there is unsaved work that cannot be shown, and where it lies."""
        says = f"Unsaved work of {when} cannot be taken up; it lies in {found.path}"
        self._refuse([Problem("", "", says), *problems[:3]])

    def _origin(self, found: Found, loaded: file.Loaded) -> OpenFile:
        """The file that unsaved work belongs to; saving tells if that was changed meanwhile."""
        mark, base = str(found.about.get("mark", "")), found.about.get("base")
        where = Path(str(found.about["path"])) if found.about.get("path") else None
        mine = self.path and self.path.resolve()
        if not found.about or (where == mine and mark == self.file.mark):
            opened = self.file
        elif where is None:
            return OpenFile(None, loaded.document, mark=mark or _unnamed())
        else:
            try:
                there = file.load(where)
            except DesignError:  # it is gone: a new name is asked for
                return OpenFile(None, loaded.document, mark=_unnamed())
            opened = OpenFile(where, there.document, there.text, there.design)
        text = opened.text if base in (None, _digest(opened.text)) else None
        return attrs.evolve(opened, document=loaded.document, text=text)

    def load_text(self, text: str, name: str, path: Path | None = None) -> bool:
        """Show a design from the text of a file; refuses as `load`."""
        try:
            return self.load(file.loads(text, name), path)
        except DesignError as error:
            return self._refuse(error.problems)

    def load_path(self, path: Path) -> bool:
        """Show a design from a file on this machine; refuses as `load`."""
        try:
            return self.load(file.load(path), path)
        except DesignError as error:
            return self._refuse(error.problems)

    def save(self, path: Path | None = None) -> bool:
        """Save to a path, or where it came from, or say why not."""
        where = path or self.path
        why = self.put(where) if where else "it has no name yet: save under a name"
        return not why or self._refuse_save(why)

    def put(self, where: Path) -> str:
        """Save to a path; why not, where another program changed the file or it cannot be."""
        text = self.written()
        try:
            file.check(text, where.name)  # what could not be opened again is not saved
        except DesignError as error:
            return str(error.problems[0])
        try:
            with lock.held(where):
                if where.exists() and (why := self._others(where)):
                    return why
                file.save(text, where)
        except lock.LockedError as error:
            return str(error)
        except OSError as error:
            return f"{where.name}: {error.strerror or error}"
        if self.path is None:
            self._strays[self.log_path] = log.path_of(where)
        born = _born[where.resolve()] = self.file.born
        self._is_now(OpenFile(where, tomlkit.parse(text), text, self.design, born=born))
        self._take_log_along()
        self.autosave.clear(saved=True)
        self.saved = f"saved {datetime.datetime.now():%H:%M}"
        return ""

    def _others(self, where: Path) -> str:
        """Why a file that is there may not be written over; empty where it may."""
        if where != self.path:
            return f"{where.name} exists: choose another name"
        if where.read_text(encoding="utf-8", errors="replace") == self.file.text:
            return ""
        return (f"{where.name} was changed by someone else since it was opened. "
                "Yours is kept here: save it under a new name")  # fmt: skip

    def _is_now(self, saved: OpenFile) -> None:
        """The design is in this file from now on, and so are the states of it to go back to."""

        def follow(step: Step) -> Step:
            if not step.file.is_one_with(self.file):
                return step
            return attrs.evolve(step, file=attrs.evolve(saved, document=step.file.document))

        self.past = [follow(step) for step in self.past]
        self.future = [follow(step) for step in self.future]
        self.file = saved

    def _take_log_along(self) -> None:
        """Put what was written down before the design had a file beside that file."""
        for stray, after in tuple(self._strays.items()):
            try:
                if stray.exists():
                    shared = stray == self.autosave.log_path("")  # with every tab on this file
                    log.take_along(stray, after, self._wrote if shared else None)
            except (DesignError, OSError) as error:
                why = getattr(error, "strerror", None) or error
                says = f"Saved. Its log stays in {stray}: {why}"
                self._refuse([Problem("", "", says)])
            else:
                del self._strays[stray]

    def _refuse_save(self, why: str) -> bool:
        return self._refuse([Problem("", "", f"Not saved: {why}")])
