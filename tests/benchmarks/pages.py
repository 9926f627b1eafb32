"""Kept floor pages: what Panel itself asks, with next to nothing on the page.

`python -m tests.benchmarks.pages NAME --port N` serves one of them: `usable` (a slider and an empty
figure), `stock` (a stock slider whose callback changes one number), `empty` (the notebook's own
slider, at its own debounce, whose callback changes one number).
"""

import argparse
from collections.abc import Callable
from typing import Any

import panel as pn
from bokeh.plotting import figure

from app.serve import HOST
from app.theme import css
from app.views.axis import OVER_REQUIRED
from app.views.base import STATIC, PlotView

LOW, HIGH, STEP, KEY, START = 1.2, 5.2, 0.005, 0.05, 3.2


def usable() -> Any:
    """One slider and one empty figure."""
    slider = pn.widgets.FloatSlider(name="Wall", start=LOW, end=HIGH, step=KEY, value=START)
    return pn.Column(slider, pn.pane.Bokeh(figure(width=437, height=286)))


def stock() -> Any:
    """A stock slider at Panel's own debounce; the answer is one number as text."""
    slider = pn.widgets.FloatSlider(name="Wall", start=LOW, end=HIGH, step=KEY, value=START)
    answer = pn.pane.HTML("")

    def moved(event: Any) -> None:
        answer.object = f"<b>{event.new:.3f}</b>"

    slider.param.watch(moved, "value")
    return pn.Column(slider, answer)


PAGE = """{% extends base %}{% block postamble %}<style>{{ css }} .plot { height: 376px }</style>
{% endblock %}{% block contents %}<div class="plot">{{ embed(roots.plot) }}</div>{% endblock %}"""
FRAME = {
    "field": "case.wall", "title": "Wall", "detail": "mm", "axis": "", "lo": LOW, "hi": HIGH,
    "step": STEP, "key": KEY, "whole": False, "decimals": 3, "unit": "mm", "ticks": [2, 3, 4, 5],
    "minor": [], "stock": [], "walls": [], "xs": [], "names": {}, **OVER_REQUIRED,
}  # fmt: skip
REST = {"level": None, "text": "", "more": 0}


def empty() -> Any:
    """The notebook's own slider with no model behind it and no curve above it."""
    view, seq = PlotView(), 0

    def answer(value: float) -> None:
        nonlocal seq
        seq += 1
        view.put({"value": round(value, 6), "text": f"{value:.3f}", "slot": REST, "seq": seq})

    view.put({"frame": FRAME}, "frame")
    answer(START)
    view.param.watch(lambda event: answer(event.new), "value")
    template = pn.Template(PAGE)
    template.add_variable("css", css() + (STATIC / "page.css").read_text(encoding="utf-8"))
    template.add_panel("plot", view)
    return template


PAGES: dict[str, Callable[[], Any]] = {"usable": usable, "stock": stock, "empty": empty}


def main() -> None:
    """Serve one page until ended."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("name", choices=PAGES)
    parser.add_argument("--port", type=int, required=True)
    args = parser.parse_args()
    pn.serve(PAGES[args.name], address=HOST, port=args.port, show=False, verbose=False,
             websocket_origin=[f"{HOST}:{args.port}"])  # fmt: skip


if __name__ == "__main__":
    main()
