"""What the plots of the Seal page are told, and which messages stand at them."""

from collections.abc import Mapping
from typing import Any

import numpy as np

from app.session import Shown
from app.views import axis as axes
from app.views import told
from app.views.axis import Axis
from app.views.told import Curves, Scene
from app.views.told_seal import Seen, past, present, rank
from hobbyclosure import rings, study, words
from hobbyclosure.assess import Assessment
from hobbyclosure.checks.each import IN_BORE, SHORT, at
from hobbyclosure.data import seals
from hobbyclosure.design import Design
from hobbyclosure.graph import Values
from hobbyclosure.grooves import of_floor
from hobbyclosure.physics.seal import gland_depth, squeeze

TALLEST = 90  # per cent
# What a plot's message is about; all else stands over the pressure.
SLOTS = {
    "floor": ("squeeze_least", "squeeze_most", "stretch", "slack", "fill", "width", "lead_in"),
    "closure.clearance": ("gap", "gap_proof"),
}  # fmt: skip
FLOOR_LINES = (
    ("loosest", "solid"), ("tightest", "yield"), ("nominal", "thin"), ("stretch", "second"),
)  # fmt: skip
DASHES = {"primary": "solid", "secondary": "second", "liner": "yield"}


def plot(
    scene: Scene, seen: Seen, axis: Axis, name: str
) -> tuple[dict[str, Any], dict[str, Any], dict[str, Any]]:
    """Frame, curves and the rest of one plot."""
    about = (scene.shown, seen, axis, scene.kept, scene.preview, scene.previewed, scene.system)
    frame, curves, data = scene.once(
        f"plot {name}", lambda: _plot(scene, seen, axis, name), *about
    )  # fmt: skip
    said = {"slot": told.beside(scene, axis.path, data["slot"])}
    return frame, curves, data | said | {"refused": scene.refused.get(axis.path)}


def _plot(
    scene: Scene, seen: Seen, axis: Axis, name: str
) -> tuple[dict[str, Any], dict[str, Any], dict[str, Any]]:
    swept = scene.swept_along(axis)
    spans = told.spans_of(scene, axis, swept)
    value = study.now(scene.shown.assessment, axis.path)
    here = [w for w in scene.warnings if slot_of(w) == name]
    if name == "floor":  # its lines are of one ring: that one's fault comes first
        here.sort(key=lambda w: not w.check.startswith(f"seal.{seen.ring}."))
    data = {
        "value": round(axis.shown(value), 6), "text": axis.text(value),
        "note": _note(scene, seen, axis, name, value), "required": {},
        "meets": [[axis.shown(a), axis.shown(b)] for a, b in spans],
        "slot": _slot(scene, seen, axis, name, spans, here),
    }  # fmt: skip
    if name == "floor":
        lines, now = _floor_lines(seen.ring, seen.inputs, axis), _floor_now(seen)
        frame = axis.frame(True) | _percent_frame(seen)
    else:
        lines, now = _gap_lines(scene, swept)
        frame = axis.frame(True) | {"zones": [GAP_ZONE], "axis": "gap factor ÷ required"}
        if name == "closure.clearance":
            least = round(axis.shown(_least_clearance(seen)), 6)
            frame["walls"] = [[axis.low, least, "will not go in"]]
    del frame["raw"]
    data |= {
        "kept": _kept(scene, seen, axis, lines, frame["yhi"]),
        "ghost": _ghost(scene, axis, lines),
    }
    frame["names"] = {id: (label, "seal", dash) for id, label, dash, _ in sorted(lines, key=_id)}
    curves = told.curves({id: y for id, _, _, y in lines}, frame["yhi"])
    return frame, curves, data | {"five": [id for id, *_ in lines], "now": now}


def _id(line: Any) -> str:
    return line[0]


GAP_ZONE = {"low": 0, "high": 1, "text": "squeezes out"}


def _percent_frame(seen: Seen) -> dict[str, Any]:
    low, high = (100 * float(seen.values[f"loads_squeeze_{e}"]) for e in ("least", "most"))
    top = 10 * np.ceil(high / 10 + 0.9)
    return {
        "axis": "squeeze, stretch, %", "yhi": top, "yticks": list(range(0, int(top) + 1, 10)),
        "zones": [{"low": 0, "high": low, "text": "too loose"},
                  {"low": high, "high": top, "text": "too tight"}],
        "reqs": [low, high], "places": 1, "said": " per cent",
    }  # fmt: skip


def _kept(
    scene: Scene, seen: Seen, axis: Axis, lines: list[Any], high: float
) -> dict[str, Any] | None:
    """The kept design in a plot: its place and its lines."""
    was = past(scene, seen)
    if scene.kept is None or was is None:
        return None
    value = study.now(scene.kept.assessment, axis.path)
    return {
        "value": axis.shown(value) if axis.holds(value) else None,
        **told.curves(_others(scene, scene.kept, axis, lines, f"seal {axis.path} lines"), high),
    }


def _ghost(scene: Scene, axis: Axis, lines: list[Any]) -> dict[str, Any] | None:
    """A remedy in preview: its handle on the plot it moves, the lowest line on the others."""
    r, changed = scene.preview, scene.previewed
    if r is None or changed is None:
        return None
    on = r.path == axis.path and axis.holds(r.value)
    if on:
        text = words.field_number(r.path, r.value, scene.system)
        return {"value": axis.shown(r.value), "text": text, "dots": {}, "line": None}
    line = next(iter(_others(scene, changed, axis, lines[:1]).values()))
    return {"value": None, "text": "", "dots": {}, "line": told.milli(line, TALLEST)}


def _others(scene: Scene, other: Shown, axis: Axis, lines: list[Any], memory: str = "") -> Curves:
    """The lines of a plot for another design than the one shown; told once if that is kept."""

    def heights() -> dict[str, Any]:
        if axis.path.endswith(".groove_diameter"):
            found = _floor_lines(axis.path.split(".")[1], other.assessment.inputs, axis)
            return {id: y for id, _, _, y in found}
        return scene.swept_along(axis, other)

    drawn = scene.once(memory, heights, other, axis) if memory else heights()
    return {id: drawn[id] for id, *_ in lines if id in drawn}


def _floor_lines(ring: str, inputs: Mapping[str, Any], axis: Axis) -> list[Any]:
    """Squeeze loosest, tightest and as drawn, and the worst stretch, against the floor."""
    along = _floor_shares(ring, Values({**inputs, at("seal_groove_diameter", ring): axis.grid}))
    return [
        (id, label, dash, 100 * np.broadcast_to(y, axis.grid.shape))
        for (id, y), (label, dash) in zip(along.items(), FLOOR_LINES, strict=True)
    ]


def _floor_now(seen: Seen) -> dict[str, float]:
    """The same four at today's floor."""
    shares = _floor_shares(seen.ring, seen.values)
    return {id: round(100 * float(y), 1) for id, y in shares.items()}


def _floor_shares(ring: str, values: Values) -> dict[str, Any]:
    section = (values[at("seal_thin", ring)] + values[at("seal_thick", ring)]) / 2
    depth = gland_depth(values[at("seal_bore", ring)], values[at("seal_groove_diameter", ring)])
    return {
        at("seal_loosest", ring): values[at("seal_loosest", ring)],
        at("seal_tightest", ring): values[at("seal_tightest", ring)],
        "drawn": squeeze(section, depth),
        f"seal.{ring}.stretch": values[at("seal_stretched", ring)],
    }


def _gap_lines(scene: Scene, swept: Curves) -> tuple[list[Any], dict[str, Any]]:
    """The gap of each ring at MEOP or at proof, whichever is nearer to what it may be."""
    ratios = scene.shown.assessment.ratios
    ids = [
        min((f"seal.{ring}.gap", f"seal.{ring}.gap_proof"), key=lambda i: rank(ratios[i]))
        for ring in present(scene)
    ]
    ids.sort(key=lambda i: rank(ratios[i]))
    lines = [(i, _gap_label(i), DASHES[i.split(".")[1]], swept[i]) for i in ids]
    return lines, {i: told.ratio(ratios[i]) for i in ids}


def _gap_label(id: str) -> str:
    _, ring, what = id.split(".")
    return f"{SHORT[ring]}, proof" if what == "gap_proof" else SHORT[ring]


def _least_clearance(seen: Seen) -> float:
    """The clearance below which the closure at its largest does not go in."""
    values = seen.values
    return float(values["closure_clearance"] - values["closure_clearance_min"])


def _land(seen: Seen) -> float:
    """Diameter from which the groove is turned: the closure's outside, or its nose's."""
    v = seen.values
    if seen.ring in IN_BORE:
        return float(v["case_bore"] - v["closure_clearance"])
    return float(v["closure_nose_diameter"])


def _note(scene: Scene, seen: Seen, axis: Axis, name: str, value: float) -> str:
    if name == "floor":
        bore = seen.values[at("seal_bore", seen.ring)]
        cut, whole = (float(gland_depth(x, value)) for x in (_land(seen), bore))
        return f"groove {scene.length(cut)}, gland {scene.length(whole)} deep"
    if name == "closure.clearance":
        return "on diameter"
    return axes.note(axis, value, float(seen.values["loads_peak"]))


def _slot(
    scene: Scene, seen: Seen, axis: Axis, name: str, spans: list[tuple[float, float]],
    here: list[words.Warning],
) -> dict[str, Any]:  # fmt: skip
    """The message of a plot; what a measurement says of a diameter comes before a mere look."""
    text = {"floor": _floor_as_measured, "closure.clearance": _closure_as_measured}
    said, level = text[name](scene, seen) if name in text else ("", None)
    states = scene.shown.assessment.states
    rest = words.rest(axis.path, spans, axis.grid, scene.system)
    if said and all(w.level != "stop" and states.get(w.check) != "no answer" for w in here):
        said = f"{said} {rest}" if name == "floor" and spans else said
        return {"level": None, "text": said, "more": len(here)}
    slot = told.slot(scene, rest, here)
    if level and slot["level"] == level:  # one number to cut to: remedies stand among all warnings
        slot |= {"text": said, "evidence": "", "fix": None, "more": len(here)}
    return slot


SAME_RING = 0.05  # a section farther off the listed one is another ring's


def floor_wanted(design: Design, ring: str) -> tuple[float, float, float, float, float] | None:
    """Floor for what was measured, bore drawn and there, section listed and there, m.

    The floor stays as drawn where its ring meets with it, or with none. Else it is the one that
    keeps the squeeze as drawn, or the middle of what meets: once taken, it stays the answer. None
    where the ring's bore is not stated.
    """
    bore = design["case.bore" if ring in IN_BORE else "insulation.liner_bore"]
    drawn = design[f"seal.{ring}.groove_diameter"].value
    if not (isinstance(bore.value, float) and isinstance(drawn, float)):
        return None
    section, listed = _section(design, ring)
    there = bore.value if bore.measured is None else bore.measured
    wanted = drawn
    if (there, section) != (bore.value, listed):
        kept = rings.floor_as_measured(bore.value, drawn, there, listed, section)
        wanted = _floor_that_meets(design, ring, drawn, kept)
    return wanted, bore.value, there, listed, section


def _floor_that_meets(design: Design, ring: str, drawn: float, kept: float) -> float:
    """The floor as drawn, else `kept`, else the middle of those with which the ring meets."""
    path = f"seal.{ring}.groove_diameter"
    a = Assessment(design.measured(path, ""))
    if floor_fits(a, ring):
        return drawn
    half = float(a.values[at("seal_section_max", ring)]) / 3
    grid = study.holding(np.linspace(drawn - half, drawn + half, axes.POINTS), kept)
    swept = study.swept(a, path, grid)
    spans = study.meets(grid, [swept[id] for id in of_floor(ring)])
    if any(low <= kept <= high for low, high in spans):
        return kept
    return sum(max(spans, key=lambda span: span[1] - span[0])) / 2 if spans else drawn


def floor_fits(assessment: Assessment, ring: str) -> bool:
    """Whether a ring meets with its groove's floor, bore and section as they are."""
    return all(assessment.states[id] not in ("short", "no answer") for id in of_floor(ring))


def _floor_as_measured(scene: Scene, seen: Seen) -> tuple[str, str | None]:
    """Whether the groove's floor fits the bore or ring that was measured, else which one does.

    A target, not metal to remove, and a stop: whichever floor is taken next, it ends there.
    """
    design, ring = scene.shown.design, seen.ring
    bore = design["case.bore" if ring in IN_BORE else "insulation.liner_bore"].measured
    section, listed = _section(design, ring)
    found = [f"bore {scene.length(bore)}"] if bore is not None else []
    found += [f"ring {scene.length(section)}"] if section != listed else []
    if not found:
        return "", None
    said = words.sentence(" and ".join(found))
    if floor_fits(scene.shown.assessment, ring):
        floor = scene.length(float(seen.values[at("seal_groove_diameter", ring)]))
        said = f"{said} measured: the floor fits, {floor} {scene.length_unit} on the diameter."
        return said, None
    asked, now = floor_wanted(design, ring), design[f"seal.{ring}.groove_diameter"]
    if asked is None or now.measured is not None or asked[0] == now.value:
        return "", None  # that is cut, or no floor helps: its warnings say what is wrong
    floor = scene.length(asked[0])
    said = f"{said} measured: cut the floor to {floor} {scene.length_unit} on the diameter."
    return said, "stop"


def _section(design: Design, ring: str) -> tuple[float, float]:
    """Section of the ring at hand, and as listed, m; a measured one of the same ring."""
    listed = seals.ALL[str(design[f"seal.{ring}.ring"].value)].cs
    own = design[f"seal.{ring}.ring_cs"].now
    same = isinstance(own, float) and abs(own / listed - 1) < SAME_RING
    return (own if same else listed), listed  # type: ignore[return-value]


def _closure_as_measured(scene: Scene, seen: Seen) -> tuple[str, str | None]:
    """What a measured bore asks of the closure's diameter, for the clearance as drawn."""
    bore, clearance = (scene.shown.design[p] for p in ("case.bore", "closure.clearance"))
    if bore.measured is None or clearance.measured is not None:  # that is the answer already
        return "", None
    if not (isinstance(bore.value, float) and isinstance(clearance.value, float)):
        return "", None
    drawn, wanted = (scene.length(x - clearance.value) for x in (bore.value, bore.measured))
    if drawn == wanted:
        return "", None
    # No "remove so much more": the closure may have been turned already.
    said = (
        f"Bore {scene.length(bore.measured)} measured: turn the closure to {wanted} "
        f"{scene.length_unit} on the diameter, not {drawn}."
    )
    return said, None


def slot_of(warning: words.Warning) -> str:
    """The plot of this page at which a warning stands; empty for what is not of the seals."""
    if warning.part == "seal":
        return study.MEOP
    if not warning.check.startswith("seal."):
        return ""
    what = warning.check.rsplit(".", 1)[1]
    return next((name for name, kinds in SLOTS.items() if what in kinds), study.MEOP)


def switch(scene: Scene, along: dict[str, Axis]) -> dict[str, Any]:
    """The plots by name, each with the level of its gravest warning."""
    grave = [(slot_of(w), w.level) for w in scene.warnings if w.level != "know"]
    return {
        "plots": [
            {
                "field": name, "title": "Floor" if name == "floor" else axis.title,
                "level": min((level for at_, level in grave if at_ == name),
                             key=told.GRAVITY.index, default=None),
            }
            for name, axis in along.items()
        ]
    }  # fmt: skip
