"""The HTML page round a notebook's views."""

from functools import cache
from typing import Any

import jinja2
import panel as pn

from app.theme import css
from app.views.base import STATIC
from app.views.notebook import Notebook
from hobbyclosure import words


class ManyRoots(pn.Template):
    """A template of many roots: what Panel does anew at each of them is done once."""

    def __repr__(self) -> str:
        return type(self).__name__  # Panel writes down all roots at each one more

    def server_doc(self, doc: Any = None, title: str | None = None, location: Any = True) -> Any:
        """The document with all roots in it; its models are listed when the last is there."""
        document: Any = doc or pn.state.curdoc
        with document.models.freeze():
            return super().server_doc(document, title, location)


@cache
def _html() -> jinja2.Template:
    return jinja2.Template((STATIC / "page.html").read_text(encoding="utf-8"))


def template(notebook: Notebook, **variables: Any) -> pn.Template:
    """The page of a notebook."""
    made = ManyRoots(_html())
    made.add_variable("tokens", css())
    made.add_variable("page_css", (STATIC / "page.css").read_text(encoding="utf-8"))
    made.add_variable("caution", f"{words.ESTIMATE} {words.CAUTION}")
    for name, value in variables.items():
        made.add_variable(name, value)
    for name, view in notebook.roots().items():
        made.add_panel(name, view)
    return made
