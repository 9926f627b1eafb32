"""The HTML page round a notebook's views."""

from typing import Any

import panel as pn

from app.theme import css
from app.views.base import STATIC
from app.views.notebook import Notebook
from hobbyclosure import words


def template(notebook: Notebook, **variables: Any) -> pn.Template:
    """The page of a notebook."""
    made = pn.Template((STATIC / "page.html").read_text(encoding="utf-8"))
    made.add_variable("tokens", css())
    made.add_variable("page_css", (STATIC / "page.css").read_text(encoding="utf-8"))
    made.add_variable("caution", f"{words.ESTIMATE} {words.CAUTION}")
    for name, value in variables.items():
        made.add_variable(name, value)
    for name, view in notebook.roots().items():
        made.add_panel(name, view)
    return made
