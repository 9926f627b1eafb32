"""What a page of the notebook is: views that are told what to show while it is the open one."""

from abc import ABC, abstractmethod
from collections.abc import Callable
from typing import Any

import panel as pn

from app.session import Session
from app.views.base import View
from app.views.told import Scene

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
    """One page; `heard` takes what is not its own affair."""

    name = ""
    label = ""

    def __init__(self, session: Session, heard: Heard) -> None:
        self.session = session
        self.heard = heard
        self.sizes: dict[str, tuple[int, int]] = {}

    @abstractmethod
    def roots(self) -> dict[str, Any]:
        """Its views by their place in the page's HTML."""

    def open(self) -> None:  # noqa: B027
        """It is about to be shown."""

    @abstractmethod
    def tell(self, scene: Scene) -> None:
        """Tell every view what changed."""

    def tell_pictures(self, scene: Scene) -> None:  # noqa: B027
        """Tell the views on which a selected part is outlined."""

    @abstractmethod
    def verdict(self, scene: Scene) -> dict[str, Any]:
        """The page's sentence."""
