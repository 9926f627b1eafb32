"""The one mutable object of a notebook: the open design, its past, and what is shown."""

import datetime
import time
from collections.abc import Mapping
from functools import cached_property
from pathlib import Path
from typing import Any

import attrs
import param
import tomlkit

from hobbyclosure import file, study, words
from hobbyclosure.assess import Assessment
from hobbyclosure.design import Design, DesignError, Problem
from hobbyclosure.fields import FIELDS
from hobbyclosure.graph import CHECKS

STILL = 1.0  # seconds within which moves of one field are one step of undo
DEEPEST = 500


@attrs.frozen
class Step:
    """A state to go back to, and what led away from it."""

    design: Design
    what: str


@attrs.frozen(slots=False)
class Shown:
    """A design as the page shows it, everything derived from it computed once."""

    design: Design

    @cached_property
    def assessment(self) -> Assessment:
        """The design through every check."""
        return Assessment(self.design)

    @cached_property
    def ladder(self) -> list[study.Rung]:
        """What lets go first."""
        return study.ladder(self.assessment)


class Session(param.Parameterized):
    """What one browser tab works on. Views watch `shown`, `system`, `preview`, `told`, `open`.

    A refused change leaves everything as it was and says why in `told`.
    """

    shown = param.Parameter()
    system = param.Selector(default="metric", objects=["metric", "inch"])
    preview = param.Parameter()
    told = param.Dict(default={})
    open = param.Parameter(default=())
    saved = param.String(default="")
    held = param.Boolean(default=False)
    faults = param.Parameter(default=())

    def __init__(self, path: Path | None = None, design: Design | None = None) -> None:
        super().__init__(shown=Shown(design or Design()))
        self.path = path
        self.document: tomlkit.TOMLDocument | None = None
        self.unknown: tuple[str, ...] = ()
        self.past: list[Step] = []
        self.future: list[Step] = []
        self._last = ("", 0.0)
        self._on_disk = ""

    @property
    def design(self) -> Design:
        """The design now."""
        return self.shown.design

    # ---- changing

    def change(self, values: Mapping[str, Any], what: str = "", tell: str = "") -> bool:
        """Take new values of fields, or refuse them all and say why beside `tell`."""
        path = tell or next(iter(values))
        try:
            design = self.design.evolved(values, self.system)
        except DesignError as error:
            still = self._still(path)
            self.told = {**self.told, path: f"{words.sentence(str(error.problems[0]))}. {still}"}
            return False
        if design == self.design:
            self._untold(path)
            return True
        self._remember(path, what or FIELDS[path].label.lower())
        self._show(design)
        return True

    def _still(self, path: str) -> str:
        now = study.now(self.shown.assessment, path)
        return f"Still {words.field_value(path, now, self.system)}."

    def _untold(self, path: str) -> None:
        if path in self.told:
            self.told = {k: v for k, v in self.told.items() if k != path}

    def move(self, path: str, value: float) -> bool:
        """A slider's move; what the field takes along goes with it."""
        return self.change(study.changes(self.design, path, value), tell=path)

    def _remember(self, path: str, what: str) -> None:
        """Keep the state before a change; moves of one field in a row are one step."""
        name, when = self._last
        again = name == path and (self.held or time.monotonic() - when < STILL)
        if not (again and self.past):
            self.past = [*self.past[-DEEPEST:], Step(self.design, what)]
        self._last = (path, time.monotonic())
        self.future = []

    def _show(self, design: Design) -> None:
        with param.parameterized.batch_call_watchers(self):
            self.preview = None
            self.told = {}
            self.shown = Shown(design)
            self.saved = "" if self.written() == self._on_disk else "not saved"

    def undo(self) -> None:
        """Go back one step."""
        if self.past:
            step = self.past.pop()
            self.future.append(Step(self.design, step.what))
            self._last = ("", 0.0)
            self._show(step.design)

    def redo(self) -> None:
        """Take back an undo."""
        if self.future:
            step = self.future.pop()
            self.past.append(Step(self.design, step.what))
            self._last = ("", 0.0)
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
            self.change(
                study.changes(self.design, found.path, found.value), "remedy", tell=found.path
            )
            self._last = ("", 0.0)

    # ---- files

    def written(self) -> str:
        """The design as it would be saved."""
        return file.written(self.design, self.document, self.system)

    def load(self, loaded: file.Loaded, path: Path | None, text: str) -> bool:
        """Show a design that was read; one with faults is not shown, its faults are."""
        if loaded.problems:
            self.faults = loaded.problems
            self.open = ("faults",)
            return False
        self.path, self.document, self.unknown = path, loaded.document, loaded.unknown
        self.past, self.future, self._last = [], [], ("", 0.0)
        self._on_disk = text
        with param.parameterized.batch_call_watchers(self):
            self.faults = ()
            self.open = ()
            self.system = loaded.design.system
            self._show(loaded.design)
            self.saved = ""
            self.param.trigger("shown")
        return True

    def load_text(self, text: str, name: str, path: Path | None = None) -> bool:
        """Show a design from the text of a file; refuses as `load`."""
        try:
            return self.load(file.loads(text, name), path, text)
        except DesignError as error:
            self.faults = error.problems
            self.open = ("faults",)
            return False

    def load_path(self, path: Path) -> bool:
        """Show a design from a file on this machine; refuses as `load`."""
        try:
            return self.load(file.load(path), path, path.read_text(encoding="utf-8"))
        except DesignError as error:
            self.faults = error.problems
            self.open = ("faults",)
            return False

    def save(self, path: Path | None = None) -> bool:
        """Save to a path, or where it came from; refuses when another program changed the file."""
        where = path or self.path
        if where is None:
            return self._refuse_save("it has no name yet: save under a name")
        text = self.written()
        try:
            if where.exists():
                before = where.read_text(encoding="utf-8")
                if where == self.path and before != self._on_disk:
                    return self._refuse_save(
                        f"{where.name} was changed by someone else since it was opened. "
                        "Yours is kept here: save it under a new name"
                    )
                if where != self.path:
                    return self._refuse_save(f"{where.name} exists: choose another name")
            file.save(text, where)
        except OSError as error:
            return self._refuse_save(f"{where.name}: {error.strerror or error}")
        self.path, self._on_disk = where, text
        self.document = tomlkit.parse(text)
        self.saved = f"saved {datetime.datetime.now():%H:%M}"
        return True

    def _refuse_save(self, why: str) -> bool:
        self.faults = (Problem("", "", f"Not saved: {why}"),)
        self.open = ("faults",)
        return False
