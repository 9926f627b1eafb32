"""A partner's own copy: a session that writes nothing here, and the differences handed back."""

import itertools
from typing import TYPE_CHECKING, Any

import attrs
import numpy as np

from app.session import OpenFile, Session, Shown
from app.views.notebook import Notebook
from hobbyclosure import study
from hobbyclosure.assess import Assessment
from hobbyclosure.design import Design, DesignError
from hobbyclosure.differences import differences
from hobbyclosure.fields import FIELDS

if TYPE_CHECKING:
    from app.share import Share

MOST = 200  # differences that wait to be looked at
BAR = ("undo", "redo", "page", "map", "units", "copy", "sheet", "steps", "bench", "hand back")
HEARD = (
    "preview", "leave", "keep", "drop", "raw", "map", "place", "take", "open", "part", "goto",
    "strength", "back", "close",
)  # fmt: skip
OWN = "Your copy {}. Your partner's design stays as it is."
FULL = "Not handed back: too much waits there already."
NOT_TAKEN = "only fields can be taken here: ask for your partner's file"
_numbers = itertools.count(1)


@attrs.frozen(eq=False)
class Handed:
    """What a copy states otherwise than the design it began with, waiting for the owner."""

    path: str
    begun: Design
    theirs: Design
    copy: int
    origin: OpenFile | None = None  # of what it began with; not known after another start
    number: int = attrs.field(factory=_numbers.__next__)

    @property
    def takeable(self) -> bool:
        """Whether it can be taken by itself: what a field states, and nothing else."""
        return self.path in FIELDS


def handed(
    before: Design, after: Design, copy: int, origin: OpenFile | None = None
) -> list[Handed]:
    """Everything of which a copy states otherwise, in the order of the parts."""
    return [Handed(d.path, before, after, copy, origin) for d in differences(before, after)]


def so_already(design: Design, handed: Handed) -> bool:
    """Whether a design states by now what the copy did."""
    return handed.path not in {d.path for d in differences(design, handed.theirs)}


def elsewhere(session: Session, handed: Handed) -> str:
    """Why a difference is none to take here: its copy began with another design; else empty."""
    name = handed.begun.name
    if name != session.design.name:
        return f"handed back on {name or 'an unnamed design'}: open that"
    if handed.origin is None or session.file.holds_the_design_of(handed.origin):
        return ""
    if session.file.design.says_the_same(handed.begun):  # another copy of the same file
        return ""
    return f"handed back on another {name or 'unnamed design'}: go back to that"


def effect(shown: Shown, handed: Handed, system: str) -> str:
    """What taking one difference does to the lowest factor, or why it cannot be taken."""
    if not handed.takeable:
        return NOT_TAKEN
    try:
        entry = handed.theirs[handed.path]
        changed = shown.next(shown.design.stated(handed.path, entry, system))
    except DesignError as error:
        return f"cannot be by itself: {error.problems[0].said or error.problems[0].message}"
    (was, now), (will, then) = (_lowest(each.assessment) for each in (shown, changed))
    if now == then:
        return f"lowest that counts {was} → {will}, {then}"
    return f"lowest that counts {was}, {now} → {will}, {then}"


def _lowest(assessment: Assessment) -> tuple[str, str]:
    """The lowest factor over what is required, of the checks that decide, and whose it is."""
    for check in study.ranked(assessment)[:1]:
        ratio = assessment.ratios[check.id]
        return "no answer" if np.isnan(ratio) else f"{ratio:.2f}", check.brief
    return "no answer", "anything"


class Copy(Session):
    """A session on a design of somebody else; it can neither be saved nor lose their work."""

    def __init__(self, design: Design, system: str, origin: OpenFile | None = None) -> None:
        super().__init__()
        self.begun, self.origin = design, origin
        self.file = OpenFile(design=design)
        self.system = system
        self._show(design)

    def save(self, path: Any = None) -> bool:
        """Refused: the files here are the owner's."""
        return self._refuse_save(self.put(path))

    def put(self, where: Any) -> str:
        """Why it is never saved."""
        return "this is a copy: hand back what you changed"

    def _note(self) -> None:
        """Unsaved work of a copy is its own affair: nothing of it is written here."""


class CopyNotebook(Notebook):
    """The notebook of a copy: all there is to try, nothing of the owner's files or sharing."""

    session: Copy

    def __init__(self, session: Copy, share: "Share", number: int) -> None:
        self.lent, self.number = share, number
        self.said = OWN.format(number)
        self.given = session.begun  # as it was handed back last
        self.taken = self.left = 0  # of that, by the partner
        super().__init__(session)
        share.lend(self)

    def _heard(self, kind: str, payload: Any) -> None:
        if kind in HEARD:
            super()._heard(kind, payload)

    def _bar_heard(self, kind: str, payload: Any) -> None:
        if kind == "hand back":
            self._hand_back()
        elif kind in BAR:
            super()._bar_heard(kind, payload)

    def _hand_back(self) -> None:
        session = self.session
        found = handed(session.begun, session.design, self.number, session.origin)
        several = "One difference is" if len(found) == 1 else f"{len(found)} differences are"
        if not self.lent.hand(self.number, found):
            self.said = FULL
        else:
            self.given, self.taken, self.left = session.design, 0, 0
            self.said = f"{several} with your partner now." if found else "Nothing differs yet."
        self._tell_bar()

    def settled(self, taken: bool) -> None:
        """The partner took or left one of what was handed back."""
        self.taken, self.left = self.taken + taken, self.left + (not taken)
        wait = sum(d.copy == self.number for d in self.lent.handed)
        counts = ((self.taken, "taken"), (self.left, "left"), (wait, "waiting"))
        told = ", ".join(f"{n} {what}" for n, what in counts if n)
        self.said = f"With your partner: {told}."
        self._tell_bar()

    def _bar(self) -> dict[str, Any]:
        unsent = len(differences(self.given, self.session.design))
        return super()._bar() | {"copying": self.said, "unsent": unsent}
