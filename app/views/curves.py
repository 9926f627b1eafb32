"""The pressure traces of the Loads page: curves for drawing, and their figures in words."""

from typing import Any

import numpy as np

from app.views.axis import nice
from app.views.told import Scene
from hobbyclosure import trace, words
from hobbyclosure.units import from_si, trimmed

OUTLINE = 420  # stretches of a trace of which least and largest sample are drawn


def traces(scene: Scene, samples: dict[str, trace.Trace], more: int = 0) -> dict[str, Any]:
    """The curves of the traces whose samples are at hand, the highest last, and its figures.

    Its peak is told with so many digits `more` than spoken.
    """
    runs = scene.shown.design.runs
    known = [samples[r.fingerprint] for r in runs if r.fingerprint in samples]
    if not known:
        return {"runs": [], "hi": 5.0, "ticks": [0, 1, 2, 3, 4, 5], "about": None,
                "missing": [r.file for r in runs]}  # fmt: skip
    known.sort(key=lambda t: t.peak)
    start = min(float(t.t[0]) for t in known)
    length = max(float(t.t[-1]) for t in known) - start
    major = nice(length / 5)
    high = float(np.ceil(length / major - 1e-9) * major)
    curves = []
    for one in known:
        t, p = one.outline(OUTLINE)
        shown = from_si(p, scene.unit, "Pa")
        curves.append({
            "name": one.name, "t": np.round(t - start, 5).tolist(),
            "p": np.round(shown, 4).tolist(),
        })  # fmt: skip
    return {
        "runs": curves, "hi": high, "missing": [],
        "ticks": [round(float(x), 6) for x in np.arange(0, high + major / 100, major)],
        "about": _about(scene, known[-1], start, more),
    }  # fmt: skip


def _about(scene: Scene, top: trace.Trace, start: float, more: int) -> dict[str, Any]:
    """Where peak, rise and burn of the highest trace lie, and how they are said."""

    def place(t: float, share: float) -> list[float | None]:
        return [None if np.isnan(t) else round(t - start, 5), scene.pressure(share * top.peak)]

    at = float(top.t[int(np.argmax(top.p))])
    peak = words.pressure(top.peak, scene.system, unit=False, more=more)
    return {
        "peak": [*place(at, 1), f"peak {peak}"],
        "rise": [place(top.rise[0], trace.LOW), place(top.rise[1], trace.HIGH)],
        "rose": f"rise {seconds(top.rise_time)}, 10 % to 90 %",
        "burn": [place(top.burn[0], trace.LOW), place(top.burn[1], trace.LOW)],
        "burnt": f"burn {seconds(top.burn_time)}, 10 % to 10 %",
    }


def seconds(value: float | None) -> str:
    """A duration as spoken: "117 ms", "3.6 s"."""
    if value is None or np.isnan(value):
        return "not shown"
    return f"{1e3 * value:.0f} ms" if value < 1 else f"{trimmed(value, 1, 1)} s"
