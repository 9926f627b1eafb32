"""What a page of the notebook is: views that are told what to show while it is the open one."""

from abc import ABC, abstractmethod
from collections.abc import Callable
from typing import Any

import panel as pn

from app.session import Session
from app.views.base import View
from app.views.told import Scene, cell

Heard = Callable[[str, Any], None]


class Late(pn.Column):
    """A place on the page that stays empty until its page is first opened."""

    def __init__(self) -> None:
        super().__init__(sizing_mode="stretch_both", margin=0)

    def fill(self, view: View) -> None:
        """Put the view into its place, once."""
        if not self.objects:
            self.objects = [view]


class Page(ABC):
    """One page; `heard` takes what is not its own affair, `redraw` tells everything anew."""

    name = ""
    label = ""

    def __init__(self, session: Session, heard: Heard, redraw: Callable[[], None]) -> None:
        self.session = session
        self.heard = heard
        self.redraw = redraw
        self.sizes: dict[str, tuple[int, int]] = {}

    @abstractmethod
    def roots(self) -> dict[str, Any]:
        """Its views by their place in the page's HTML."""

    def path(self, name: str) -> str:
        """The field that a plot moves."""
        return name

    def open(self) -> None:  # noqa: B027
        """It is about to be shown."""

    @abstractmethod
    def tell(self, scene: Scene) -> None:
        """Tell every view what changed."""

    def foresee(self, scene: Scene) -> None:  # noqa: B027
        """Work out what takes long of a scene that is to be told in a moment; it is remembered."""

    def tell_pictures(self, scene: Scene) -> None:  # noqa: B027
        """Tell the views on which a selected part is outlined."""

    def sized(self, name: str, view: View, size: Any) -> None:
        """Draw for a cell's new size; one that is told twice has lost its drawing on the way."""
        known = self.sizes.get(name)
        found = cell(size)
        if found is not None and found != known:
            self.sizes[name] = found
            self.redraw()
        elif found is not None:
            view.again()

    @abstractmethod
    def verdict(self, scene: Scene) -> dict[str, Any]:
        """The page's sentence."""
