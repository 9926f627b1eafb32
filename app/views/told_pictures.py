"""What the drawings of the Hold page are told: section, swollen or not, end view, marks."""

from collections.abc import Callable
from typing import Any

from app.views.told import Scene, colour
from hobbyclosure import drawing, study, svg, swell, words
from hobbyclosure.design import inputs
from hobbyclosure.fields import PARTS
from hobbyclosure.graph import CHECKS

END_VIEW = (437, 371)
SECTION = (437, 327)  # over the swell slider


def section(scene: Scene, share: float = 0.0) -> dict[str, Any]:
    """Section, swollen by a share of the first rung's pressure, and the slider under it."""
    size = scene.sizes.get("section", SECTION)
    about = (scene.shown, scene.kept, scene.clash, scene.selected, scene.system, size, share)
    return scene.once("section picture", lambda: _section(scene, share, size), *about)


def _section(scene: Scene, share: float, size: tuple[int, int]) -> dict[str, Any]:
    v = scene.shown.assessment.inputs
    at_rest, rung = drawing.section(v), _swells_to(scene)
    fraction = share if rung else 0.0
    factor = swell.exaggeration(v, rung.pressure) if rung else 1.0
    now = swell.swollen(v, fraction * rung.pressure, factor) if rung and fraction else at_rest
    gone = [colour(r.check) for r in scene.first_ones if r.check] if fraction >= 1 else []
    picture = svg.svg(
        now,
        *size,
        marks=marks(scene),
        kept=None if fraction else kept_drawing(scene, drawing.section),
        rest=at_rest if fraction else None,
        selected=scene.selected,
        gone=gone,
        refused=refused_drawing(scene, drawing.section),
        fmt=scene.length,
        prefix="s-",
    )
    return {"svg": picture, "parts": PARTS, "swell": swell_slider(scene, fraction, factor)}


def _swells_to(scene: Scene) -> study.Rung | None:
    """The first rung, where there is pressure worth drawing before it."""
    return scene.first if scene.first and scene.first.pressure > words.NOTHING else None


def swell_slider(scene: Scene, fraction: float, factor: float) -> dict[str, Any]:
    """The pressure slider: from nothing to the first rung."""
    rung = _swells_to(scene)
    meop = float(scene.shown.assessment.values["loads_meop"])
    return {
        "at": fraction,
        "factor": f"× {factor:g}",
        "first": scene.pressure(rung.pressure) if rung else None,
        "meop": meop / rung.pressure if rung else None,
        "end": " or ".join(r.check.label for r in scene.first_ones if r.check),
        "unit": scene.unit,
        "round": 10 if scene.system == "inch" else 0.1,
    }


def kept_drawing(scene: Scene, view: Callable[[Any], Any]) -> Any:
    """The kept design's own drawing."""
    past = scene.kept
    return past and scene.once(view.__name__, lambda: view(past.assessment.inputs), past)


def refused_drawing(scene: Scene, view: Callable[[Any], Any]) -> svg.Refused | None:
    """The geometry that was refused, and where its parts meet; in the end view where it shows."""
    if scene.clash is None or scene.clash.attempt is None:
        return None
    drawn = view(inputs(scene.clash.attempt))
    places = [
        (1e3 * p.place[0], 1e3 * p.place[1], scene.length(p.overlap))
        for p in scene.clash.problems
        if p.place
    ]
    return svg.Refused(drawn, places if drawn.view == "section" else ())


def end_view(scene: Scene) -> dict[str, Any]:
    """End view."""
    size = scene.sizes.get("end", END_VIEW)
    about = (scene.shown, scene.kept, scene.clash, scene.selected, scene.system, size)
    return scene.once("end picture", lambda: _end_view(scene, size), *about)


def _end_view(scene: Scene, size: tuple[int, int]) -> dict[str, Any]:
    picture = svg.svg(
        drawing.end_view(scene.shown.assessment.inputs),
        *size,
        kept=kept_drawing(scene, drawing.end_view),
        selected=scene.selected,
        refused=refused_drawing(scene, drawing.end_view),
        fmt=scene.length,
        prefix="e-",
    )
    return {"svg": picture, "parts": PARTS}


def marks(scene: Scene) -> list[Any]:
    """A mark at its place for what is wrong; what is only to be known stays out."""
    spots = drawing.places(scene.shown.assessment.inputs)
    out = []
    for w in scene.warnings:
        if w.level == "know" or not w.check:
            continue
        path = w.check.replace("prove.", f"{colour(CHECKS[w.check])}.").split(".")
        names = [".".join(path[:n]) for n in range(len(path), 0, -1)]
        spot = next((spots[n] for n in names if n in spots), spots["loads"])
        out.append((w.level, *spot, w.check, CHECKS[w.check].label))
    return out
