"""The map of wall and screws, which opens in the leaf's place."""

from typing import Any

import numpy as np

from app.session import Shown
from app.views.told import Scene, milli
from hobbyclosure import study
from hobbyclosure.assess import CLOSE


def wall_by_count(scene: Scene) -> dict[str, Any]:
    """The map of wall and screws: worst factor over required, and which check that is."""
    wall, count = scene.axes["case.wall"], scene.axes["screw.count"]
    xs, a = wall.grid[::2], scene.shown.assessment
    worst, checks, which = study.governing_map(a.inputs, wall.path, xs, count.path, count.grid)

    def place(shown: Shown) -> dict[str, float] | None:
        at = [study.now(shown.assessment, axis.path) for axis in (wall, count)]
        if not (wall.holds(at[0]) and count.holds(at[1])):
            return None
        return {"x": wall.shown(at[0]), "y": at[1]}

    ratios = np.array([float(a.results[c.id].ratio) for c in checks])
    ratios[[not c.basis and r >= CLOSE for c, r in zip(checks, ratios, strict=True)]] = np.inf
    return {
        "open": True,
        "x": {
            "lo": wall.low, "hi": wall.high, "key": wall.key, "ticks": wall.ticks,
            "minor": wall.minor, "stock": wall.stock, "unit": wall.unit.label,
            "decimals": wall.unit.decimals,
        },
        "xs": [round(wall.shown(x), 5) for x in xs],
        "ys": count.grid.tolist(),
        "rows": float(a.inputs["screw_rows"]),
        "worst": [milli(row) for row in worst],
        "which": which.tolist(),
        "names": [c.label for c in checks],
        "at": place(scene.shown),
        "now": milli(ratios.min(keepdims=True))[0],
        "first": int(ratios.argmin()),
        "kept": place(scene.kept) if scene.kept else None,
        "refused": scene.refused.get("map"),
    }  # fmt: skip
