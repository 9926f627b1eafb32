"""Which notebook a tab showed last, so that a page that is loaded anew goes on with it.

Each page has a name. On leaving, it puts it into a cookie that lives for a moment: the load that
follows at once, of the same tab, brings it back. A cookie of another name, or none, is a new tab.
"""

import secrets
from pathlib import Path

import attrs
import panel as pn

from app.session import Session
from app.views.notebook import Notebook

COOKIE = "hobbyclosure_tab"
MOST = 50  # pages that are gone and might come back: a machine that slept loses the line first


@attrs.frozen
class Left:
    """What a tab showed: its work and the name of the page it was on."""

    session: Session
    page: str


class Tabs:
    """Every notebook of a server by the name of its page."""

    def __init__(self) -> None:
        self._open: dict[str, Notebook] = {}
        self._gone: dict[str, Left] = {}

    def before(self, name: str | None = None) -> Left | None:
        """What the tab of this load showed before; None for a new one. Told once."""
        name = name or pn.state.cookies.get(COOKIE, "")
        if book := self._open.pop(name, None):
            return Left(book.session, book.page.name)
        return self._gone.pop(name, None)

    def opened(self, book: Notebook, path: Path | None) -> str:
        """Another notebook: the name of its page."""
        name = secrets.token_urlsafe(12)
        self._open[name] = book
        pn.state.on_session_destroyed(lambda _: self.closed(name, path))
        return name

    def closed(self, name: str, path: Path | None) -> None:
        """Its page is gone; what it showed is kept without its views."""
        book = self._open.pop(name, None)
        if book is None:  # loaded anew meanwhile
            return
        bare = Session(path)
        bare.go_on(book.session)
        self._gone[name] = Left(bare, book.page.name)
        for oldest in [*self._gone][:-MOST]:
            del self._gone[oldest]
