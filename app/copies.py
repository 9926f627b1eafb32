"""A partner's own copy: a session that writes nothing here, and the differences handed back."""

import itertools
from typing import TYPE_CHECKING, Any

import attrs

from app.session import OpenFile, Session, Shown
from app.views.notebook import Notebook
from hobbyclosure.assess import Assessment
from hobbyclosure.design import Design, DesignError, Entry
from hobbyclosure.fields import FIELDS
from hobbyclosure.graph import CHECKS

if TYPE_CHECKING:
    from app.share import Share

MOST = 200  # differences that wait to be looked at
BAR = ("undo", "redo", "page", "map", "units", "copy", "sheet", "bench", "hand back")
HEARD = (
    "preview", "leave", "keep", "drop", "raw", "map", "place", "take", "open", "part", "goto",
    "strength", "back", "close",
)  # fmt: skip
OWN = "Your own copy. The design stays as it is."
_numbers = itertools.count(1)


@attrs.frozen
class Difference:
    """What a copy states otherwise of a field, waiting for the owner."""

    path: str
    entry: Entry
    address: str = ""
    number: int = attrs.field(factory=_numbers.__next__)


def differences(before: Design, after: Design, address: str = "") -> list[Difference]:
    """The fields of which a copy states otherwise, in the order of the parts."""
    return [
        Difference(path, after[path], address)
        for path in FIELDS
        if not after[path].same(before[path])
    ]


def lowest(assessment: Assessment) -> tuple[str, str]:
    """The lowest factor over what is required of the checks that decide, and whose it is."""
    counted = {id: r for id, r in assessment.ratios.items() if id in assessment.counted and r == r}
    least = min(counted, key=lambda id: counted[id], default="")
    return (f"{counted[least]:.2f}", CHECKS[least].brief) if least else ("no answer", "anything")


def effect(shown: Shown, difference: Difference, system: str) -> str:
    """What taking one difference does to the lowest factor, or why it cannot be taken."""
    was, now = lowest(shown.assessment)
    try:
        changed = shown.design.stated(difference.path, difference.entry, system)
    except DesignError as error:
        return f"cannot be by itself: {error.problems[0].said or error.problems[0].message}"
    will, then = lowest(Assessment(changed))
    if now == then:
        return f"lowest {was} → {will}, {then}"
    return f"lowest {was}, {now} → {will}, {then}"


class Copy(Session):
    """A session on a design of somebody else; it can neither be saved nor lose their work."""

    def __init__(self, design: Design, system: str) -> None:
        super().__init__()
        self.begun = design
        self.file = OpenFile(design=design)
        self.system = system
        self._show(design)

    def save(self, path: Any = None) -> bool:
        """Refused: the files here are the owner's."""
        return self._refuse_save("this is a copy: hand back what you changed")

    def _note(self) -> None:
        """Unsaved work of a copy is its own affair: nothing of it is written here."""


class CopyNotebook(Notebook):
    """The notebook of a copy: all there is to try, nothing of the owner's files or sharing."""

    session: Copy

    def __init__(self, session: Copy, share: "Share", address: str) -> None:
        self.lent, self.address = share, address
        self.said = OWN
        super().__init__(session)

    def _heard(self, kind: str, payload: Any) -> None:
        if kind in HEARD:
            super()._heard(kind, payload)

    def _bar_heard(self, kind: str, payload: Any) -> None:
        if kind == "hand back":
            self._hand_back()
        elif kind in BAR:
            super()._bar_heard(kind, payload)

    def _hand_back(self) -> None:
        found = differences(self.session.begun, self.session.design, self.address)
        self.lent.hand(found)
        several = "One difference is" if len(found) == 1 else f"{len(found)} differences are"
        self.said = f"{several} with your partner now." if found else "Nothing differs yet."
        self._tell_bar()

    def _bar(self) -> dict[str, Any]:
        return super()._bar() | {"copying": self.said}
