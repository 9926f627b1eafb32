"""What a page of the notebook is: views that are told what to show while it is the open one."""

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


class Page:
    """One page; `heard` takes what is not its own affair."""

    name = ""
    label = ""

    def __init__(self, session: Session, heard: Heard) -> None:
        self.session = session
        self.heard = heard
        self.sizes: dict[str, tuple[int, int]] = {}

    def roots(self) -> dict[str, Any]:
        """Its views by their place in the page's HTML."""
        raise NotImplementedError

    def open(self) -> None:
        """It is about to be shown."""

    def tell(self, scene: Scene) -> None:
        """Tell every view what changed."""
        raise NotImplementedError

    def tell_pictures(self, scene: Scene) -> None:
        """Tell the views on which a selected part is outlined."""

    def verdict(self, scene: Scene) -> dict[str, Any]:
        """The page's sentence."""
        raise NotImplementedError
