"""What the sheet says: every word and number on it, as plain data for its setting."""

import datetime
import re
from collections.abc import Iterable
from typing import Any

import numpy as np

from app.session import Shown
from app.sheet import pictures
from app.sheet.sizes import size
from app.views import axis as axes
from app.views import told
from app.views.hold import PATHS
from app.views.told import Scene
from hobbyclosure import __version__, corners, data, part_inputs, study, words, working
from hobbyclosure.assess import ABSENT, Assessment
from hobbyclosure.checks.each import RINGS
from hobbyclosure.data import seals
from hobbyclosure.design import Design
from hobbyclosure.fields import FIELDS, PARTS, Field
from hobbyclosure.fingerprint import fingerprint
from hobbyclosure.formula import Line
from hobbyclosure.graph import CHECKS, QUANTITIES, needs
from hobbyclosure.phrases import amount, pressure, reached
from hobbyclosure.physics.vessel import outside_growth
from hobbyclosure.units import LENGTH, NO_ANSWER, from_si, shown_value, significant

LONGEST = 60  # letters of a name in the head
PAPERS = {"a4": "a4", "letter": "us-letter"}
USUAL = {"metric": "a4", "inch": "letter"}  # paper by the units shown
STAGES = ((0.06, "2 min", "air out at the top, no drip"), (0.25, "2 min", "no drip anywhere"))


def scene_of(design: Design, system: str) -> Scene:
    """Everything that the screen would show of a design, with no screen."""
    shown = Shown(design)
    return Scene(
        shown, system,
        {path: axes.factor_axis(path, shown.assessment, system) for path in PATHS},
        told.lowest(shown), words.warnings(shown.assessment, system), told.ladder_top(shown),
    )  # fmt: skip


def head(scene: Scene, when: datetime.datetime | None, paper: str) -> dict[str, Any]:
    """What stands on every page. Raises ValueError for a paper that is none of PAPERS."""
    if paper not in PAPERS:
        raise ValueError(f"paper {paper!r} is none of {', '.join(PAPERS)}")
    design, when = scene.shown.design, when or datetime.datetime.now()
    name = "".join(c if c.isprintable() else "�" for c in design.name) or "unnamed"
    name = shortened(name, LONGEST)
    return {
        "paper": PAPERS[paper], "faces": [pictures.FACE], "length": scene.length_unit,
        "name": name,
        "date": f"{when.day} {when:%B %Y, %H:%M}", "print": fingerprint(design),
        "version": __version__, "caution": words.CAUTION, "estimate": words.ESTIMATE,
    }  # fmt: skip


def content(scene: Scene, why: bool = True, steps: bool = False) -> dict[str, Any]:
    """All that the summary says; `why` with the working of every check, `steps` of all behind."""
    a, system = scene.shown.assessment, scene.system
    said = words.verdict(a, system)
    return _tied({
        "state": said.state, "bold": said.bold, "plain": said.plain, "beside": _beside(scene),
        "cautions": list(words.CAUTIONS),
        "facts": list(_facts(a, system)),
        "plots": [_plot(scene, path) for path in PATHS],
        "others": [_warning(w, system) for w in _unpinned(scene)],
        "corners": _corners(a, system), "wanted": _corner_limits(a, system),
        "inputs": _inputs(a.design, system),
        "working": list(_working(a, system)) if why else [], "conditions": _conditions(a, system),
        "steps": _steps(a, system) if steps else {},
        "materials": list(_materials(a, system)), "strengths": "psi" if system == "inch" else "MPa",
        "proof": _proof(a, system),
    })  # fmt: skip


_UNIT = re.compile(r"(?<=\d) (?=(?:mm|in|µm|MPa|psi|kN|N|lbf|%|°C|°F)(?![\w]))")


def _tied(d: Any) -> Any:
    """All texts, each number and its unit on one line; formulas are left alone."""
    if isinstance(d, dict):
        return {k: x if k in ("maths", "name", "alt") else _tied(x) for k, x in d.items()}
    if isinstance(d, list):
        return [_tied(x) for x in d]
    return _UNIT.sub("\u00a0", d) if isinstance(d, str) else d


_UNBROKEN = re.compile(r"\S{21}")


def has_unbroken(d: Any) -> bool:
    """Whether a text holds a word that may be too long for its column; formulas are no texts."""
    if isinstance(d, dict):
        return any(has_unbroken(x) for k, x in d.items() if k not in ("maths", "alt"))
    if isinstance(d, list):
        return any(map(has_unbroken, d))
    return isinstance(d, str) and bool(_UNBROKEN.search(d))


def shortened(text: str, most: int) -> str:
    """A text of so many letters at most, dots where others follow."""
    return text if len(text) <= most else f"{text[: most - 1]}…"


def _beside(scene: Scene) -> str:
    """The line under the verdict: how many requirements are met, the closest, what to look at."""
    a = scene.shown.assessment
    met = sum(state in ("meets", "close") for state in a.counted.values())
    total = len(a.counted)
    first = f"Meets all {total} requirements." if met == total else f"Meets {met} of {total}."
    lower = words.lower(a, scene.system)
    known = [c for c in study.ranked(a) if not np.isnan(a.ratios[c.id])]
    for check in known[: not lower]:
        r = a.results[check.id]
        factor, wanted = words.two_decimals(float(r.factor), float(r.required))
        how = "Furthest short" if a.ratios[check.id] < 1 else "Closest"
        first += f" {how}: {check.brief}, {factor} where {wanted} is wanted."
    first = f"{lower} {first}".lstrip()
    levels = [w.level for w in scene.warnings]
    stops, looks = levels.count("stop"), levels.count("look")
    what = [f"{stops} stop{'s' * (stops > 1)}"] * bool(stops) + [f"{looks} to look"] * bool(looks)
    said = [f"{words.sentence(', '.join(what))}."] * bool(what)
    short = ", ".join(
        f"{c.brief} {a.ratios[c.id]:.2f}"
        for c in study.ranked(a, looks=True) if c.gravest == "look" and a.ratios[c.id] < 1
    )  # fmt: skip
    said += [f"Short and only a look: {short}."] * bool(short and not stops)
    return " ".join([first, *said])


# ---- page 1


def _facts(a: Assessment, system: str) -> Iterable[list[str]]:
    """Twelve figures: label, number, unit."""
    v, meop = a.values, float(a.values["loads_meop"])
    peak, proof = float(v["loads_peak"]), float(v["loads_proof"])
    yield _fact("expected peak", pressure(peak, system))
    yield _fact(f"MEOP, {meop / peak:.2f} × peak", pressure(meop, system))
    times = f"{proof / meop:.2f}" if np.isfinite(proof) else "?"
    yield _fact(f"proof, {times} × MEOP", reached(proof, system))
    yield _fact("end force at MEOP", amount(float(v["loads_end_force"]), "N", system))
    yield _fact("on the worst screw", amount(float(v["screw_load"]), "N", system))
    yield _fact("worst over mean load", significant(float(v["screw_sharing"]), 3))
    yield _fact("outside Ø grows at proof", amount(_grows(a, proof), "m", system))
    gaps = [float(v[f"seal_primary_gap_proof_{day}"]) for day in ("cold", "warm")]
    yield _fact("gap at primary, proof", amount(float(np.max(gaps)), "m", system))
    most = float(v["seal_primary_limit_proof"])
    yield _fact("that ring bridges", amount(most, "m", system))
    least = np.min([float(v[f"seal_{ring}_loosest"]) for ring in ("primary", "secondary")])
    yield _fact("least squeeze, bore rings", _percent(least, " %"))
    yield _fact("tube metal at peak", _temperature(v["case_metal_temperature"], system))
    yield _fact("coldest day", _temperature(v["loads_cold"], system))


def _grows(a: Assessment, p: float) -> float:
    """How much the outside's diameter grows far from the ends, metal cold, m."""
    v = a.values
    names = ("case_r_i", "case_r_o", "case_E", "case_nu")
    return 2 * float(outside_growth(p, *(v[n] for n in names)))


def _fact(label: str, text: str) -> list[str]:
    number, _, unit = text.partition(" ")
    return [label, text, ""] if text == "no answer" else [label, number, unit]


def _percent(share: Any, unit: str = "") -> str:
    """A share in per cent; one corner without an answer leaves none (NumPy's least and most)."""
    return "no answer" if np.isnan(share) else f"{100 * float(share):.1f}{unit}"


def _temperature(kelvin: Any, system: str) -> str:
    return shown_value(float(kelvin), FIELDS["loads.cold"].kind or LENGTH, system)


# ---- page 2


def _plot(scene: Scene, path: str) -> dict[str, Any]:
    axis = scene.axes[path]
    spans = told.spans_of(scene, axis, scene.swept(path))
    here = [w for w in scene.warnings if w.slot == path and w.level != "know"]
    return {
        "id": path.replace(".", "-"), "title": axis.title, "detail": axis.detail,
        "rest": words.rest(path, spans, axis.grid, scene.system),
        "notes": [_warning(w, scene.system) for w in here[:PINNED]],
        "alt": f"Factors over required against {axis.title.lower()}",
    }  # fmt: skip


PINNED = 3  # messages beside a plot; the others follow below


def _unpinned(scene: Scene) -> list[words.Warning]:
    """What does not stand beside a plot, gravest first."""
    pinned: list[words.Warning] = []
    for path in PATHS:
        here = [w for w in scene.warnings if w.slot == path and w.level != "know"]
        pinned += here[:PINNED]
    left = [w for w in scene.warnings if not any(w is p for p in pinned)]
    return sorted(left, key=lambda w: told.GRAVITY.index(w.level))


def _warning(w: words.Warning, system: str) -> dict[str, str]:
    r = w.remedy
    return {
        "level": w.level, "text": w.text, "evidence": w.evidence,
        "fix": words.field_value(r.path, r.value, system) if r else "",
        "effect": f"fixes {r.fixes}, breaks {r.breaks}" if r else "",
    }  # fmt: skip


def _corners(a: Assessment, system: str) -> list[list[str]]:
    """Each ring at its worst: squeeze, stretch, fill, gap, and what the gap may be."""
    rows = []
    nose = float(a.values["closure_has_nose"]) > 0
    for ring, name in RINGS.items():
        if ring == "liner" and not nose:
            continue
        found = corners.corners(a.values, ring)
        gap = corners.governing(found, "gap")

        def worst(what: str, pick: Any, found: list[corners.Corner] = found) -> str:
            return _percent(pick([float(getattr(c, what)) for c in found]))

        key = str(a.design[f"seal.{ring}.ring"].value)
        rows.append([
            f"{name.lower()}, {seals.ring_label(key)}",
            worst("squeeze", np.min), worst("squeeze", np.max), worst("stretch", np.max),
            worst("fill", np.max), size(float(gap.gap), system),
            size(float(gap.limit), system), gap.name,
        ])  # fmt: skip
    return rows


def _corner_limits(a: Assessment, system: str) -> list[str]:
    least, most = (100 * float(a.values[f"loads_squeeze_{e}"]) for e in ("least", "most"))
    stretch = 100 * float(a.values["loads_stretch_most"])
    fill = 100 * float(a.results["seal.primary.fill"].capacity)
    times = float(a.results["seal.primary.gap"].required)
    return ["wanted", f"{least:g} or more", f"{most:g} or less", f"{stretch:g} or less",
            f"{fill:g} or less", "", f"{times:g} × gap or more", ""]  # fmt: skip


# ---- what went in


def _inputs(design: Design, system: str) -> list[list[list[str]]]:
    """Every field in two columns: label, nominal, tolerance, measured, how far that may be off.

    A part's name stands alone, a pick beside its label.
    """
    blocks: list[list[list[str]]] = []
    for title, fields in _groups():
        rows = []
        for f in (f for f in fields if _is_stated(design, f)):
            rows.append(_row(design, f, _bare(title, f), system))
            if source := design.source(f.path):
                rows.append(["Its source", source])
        if rows:
            blocks.append([[title], *rows])
    rows = [row for block in blocks for row in block]
    most = -(-len(rows) // 2)
    columns, start = [], 0
    for _ in range(2):
        end = min(start + most, len(rows))
        if 0 < end < len(rows) and len(rows[end - 1]) == 1:  # a part's name never ends a column
            end -= 1
        columns.append(rows[start:end])
        start = end
    columns[-1] += rows[start:]
    return columns


def _groups() -> Iterable[tuple[str, list[Field]]]:
    """Fields by part, those of each ring apart."""
    for part, title in PARTS.items():
        fields = [f for f in FIELDS.values() if f.part == part]
        for ring, name in RINGS.items():
            own = [f for f in fields if f.path.startswith(f"seal.{ring}.")]
            if own:
                yield name, own
        yield title, [f for f in fields if f.path.count(".") == 1]


def _bare(title: str, field: Field) -> str:
    """A field's label under its group's title: "Groove width" under "Primary ring"."""
    first = title.split()[0]
    if field.path.count(".") == 1 or not field.label.startswith(first):
        return field.label
    return words.sentence(field.label.removeprefix(first).lstrip(" ,").removeprefix("ring "))


def _is_stated(design: Design, field: Field) -> bool:
    return design[field.path].now is not None


def _row(design: Design, field: Field, bare: str, system: str) -> list[str]:
    entry = design[field.path]
    if field.kind is None:
        return [bare, design.choices(field).get(str(entry.value), str(entry.value))]
    unit = field.shown(system).label
    label = bare if unit in ("", "mm", "in") else f"{bare}, {unit}"
    value = entry.value
    nominal = "–" if value is None else words.field_number(field.path, float(value), system)
    measured = [] if entry.measured is None else [entry.measured, entry.within]
    read = [shown_value(x, LENGTH, system, unit=False) for x in measured]
    return [label, nominal, _spread(design, field, system), *(read or ["", ""])]


def _spread(design: Design, field: Field, system: str) -> str:
    """Tolerance of a nominal, the one stated or the usual one."""
    entry = design[field.path]
    if not field.tol or entry.value is None:
        return ""
    if entry.tol is None and field.tol.endswith("%"):
        return field.tol
    return shown_value(entry.spread(field, float(entry.value)), LENGTH, system, unit=False)


# ---- page 3


def _conditions(a: Assessment, system: str) -> str:
    v = a.values
    metal = _temperature(v["case_metal_temperature"], system)
    wall = size(float(v["case_wall_min"]), system)
    unit = LENGTH.shown(system).label
    return (
        f"MEOP {pressure(float(v['loads_meop']), system)}, tube metal at {metal}, "
        f"thinnest wall {wall} {unit}. Shown rounded, computed unrounded. "
        "† in part from memory: confirm on a certificate."
    )


def _working(a: Assessment, system: str) -> Iterable[dict[str, Any]]:
    """Every check that applies, closest first; what is one number for both bore rings once."""
    ids = [i for i, state in a.states.items() if state != ABSENT]
    ids.sort(key=lambda i: np.nan_to_num(a.ratios[i], nan=-1.0))
    same: set[str] = set()
    for id in ids:
        twin = id.replace("seal.primary.", "seal.secondary.")
        other = id.replace("seal.secondary.", "seal.primary.")
        if id in same:
            continue
        found, both = working.working(a, id, system), False
        for pair in {twin, other} - {id}:
            if pair in ids and _told(a, pair) == _told(a, id):
                same.add(pair)
                both = True
        yield _check(a, id, found, both, system)


def _told(a: Assessment, id: str) -> tuple[str, ...]:
    r = a.results[id]
    return tuple(significant(float(x), 5) for x in (r.demand, r.capacity, r.required))


def _check(
    a: Assessment, id: str, found: working.Working, both: bool, system: str
) -> dict[str, Any]:
    check, r = CHECKS[id], a.results[id]
    label = words.sentence(check.label)
    if both:
        label = label.replace("Primary", "Primary, secondary").replace(
            "Secondary ", "Primary, secondary ", 1 if label.startswith("Secondary") else 0
        )
    factor, wanted = words.two_decimals(float(r.factor), float(r.required))
    none = bool(found.reason)
    return {
        "name": label, "state": a.states[id], "factor": "–" if none else factor, "wanted": wanted,
        "evidence": found.evidence, "source": found.source + " †" * bool(found.confirm),
        "lines": [] if none else _lines(found.lines[:-1]), "reason": words.sentence(found.reason),
        "look": check.gravest != "stop",
    }  # fmt: skip


def _lines(lines: Iterable[Line]) -> list[dict[str, Any]]:
    return [
        {"maths": list(line.maths), "result": line.result,
         "alt": " = ".join(t for t in (line.head, line.formula, line.numbers, line.result) if t)}
        for line in lines
    ]  # fmt: skip


def _steps(a: Assessment, system: str) -> dict[str, Any]:
    """Every quantity behind the checks that apply, each after those it needs, and the inputs."""
    done: dict[str, working.Working] = {}
    given: dict[tuple[str, str], dict[str, str]] = {}

    def gather(name: str) -> None:
        found = working.working(a, name, system)
        for use in found.uses:
            if not use.opens or use.opens in a.inputs:
                text = "not stated" if use.text == NO_ANSWER else use.text
                told = {"maths": use.maths, "title": use.title, "text": text}
                given.setdefault((use.symbol, use.title), told)
            elif use.opens not in done:
                gather(use.opens)
        for behind in needs(working.node_of(name)):
            if behind in QUANTITIES and behind not in a.inputs and behind not in done:
                gather(behind)
        done[name] = found

    for id, state in a.states.items():
        if state != ABSENT:
            gather(id)
    steps = [
        {"name": found.title, "evidence": QUANTITIES[name].evidence,
         "source": found.source + " †" * bool(found.confirm), "lines": _lines(found.lines)}
        for name, found in done.items() if name in QUANTITIES
    ]  # fmt: skip
    return {"given": list(given.values()), "list": steps}


SHOWN = {"yield": "F_ty", "ultimate": "F_tu", "shear": "F_su", "modulus": "E"}
WHOSE = {("primary", "secondary"): "bore rings", ("primary", "secondary", "liner"): "all rings"}
NARROW = 60  # letters of a material's name in its table


def _materials(a: Assessment, system: str) -> Iterable[list[str]]:
    """Rows that were picked: part, name, strengths, modulus, sources.

    † where something of it is from memory, * where the design states a value itself.
    """

    def stress(datum: data.Datum | None) -> str:
        if datum is None:
            return "–"
        unit = "psi" if system == "inch" else "MPa"
        number = f"{float(from_si(datum.value, unit, 'Pa')):,.0f}".replace(",", "\u2009")
        return number + _own(datum)

    def row(part: str, label: str, of: dict[str, data.Datum | None], *unseen: data.Datum) -> list:
        known = {name: datum for name, datum in of.items() if datum}
        memory = any(d.seen == "memory" for d in (*known.values(), *unseen))
        numbers = [stress(of.get(name)) for name in SHOWN]
        return [part, label, *numbers, _sources(known) + " †" * memory]

    for part in part_inputs.PARTS:
        found = a.design.material(part)
        of = {name: found[symbol] for name, symbol in SHOWN.items()}
        label = shortened(found.label, NARROW)
        yield row(PARTS[part].lower(), label, of, *found.values.values())
    key = str(a.design["screw.strength_class"].value)
    grade = data.CLASSES[key]
    yield row(
        "screws", f"{a.design['screw.thread'].value}, class {key}",
        {"yield": grade.F_yb, "ultimate": grade.F_ub, "modulus": grade.E}, grade.alpha_v,
    )  # fmt: skip
    rubbers: dict[tuple[str, str], list[str]] = {}
    for ring in RINGS:
        if ring == "liner" and not float(a.values["closure_has_nose"]) > 0:
            continue
        hard = words.field_number(
            f"seal.{ring}.durometer", float(a.design[f"seal.{ring}.durometer"].now or 0), system
        )
        rubbers.setdefault((a.design.compound(ring).id, hard), []).append(ring)
    for (_, hard), rings in rubbers.items():
        rubber = a.design.compound(rings[0])
        low, high = (_temperature(end.value, system).replace("-", "−")
                     for end in (rubber.low, rubber.high))  # fmt: skip
        serves = f"{low}{_own(rubber.low)} to {high}{_own(rubber.high)}"
        label = f"{shortened(rubber.label, NARROW)}, {hard} Shore A, {serves}"
        beside = {"expansion": rubber.expansion, "share of the gap": rubber.gap_share}
        memory = any(d.seen == "memory" for d in (rubber.low, rubber.high, *beside.values()))
        known = {"lowest": rubber.low, "highest": rubber.high}
        known |= {name: datum for name, datum in beside.items() if _own(datum)}
        whose = WHOSE.get(tuple(rings)) or f"{', '.join(rings)} ring{'s'[: len(rings) - 1]}"
        yield [whose, label, "–", "–", "–", "–", _sources(known) + " †" * memory]


def _own(datum: data.Datum) -> str:
    return "*" if datum.seen == "stated" else ""


def _sources(known: dict[str, data.Datum]) -> str:
    """Each source of some numbers, and where there are several which of them are from which."""
    by: dict[str, list[str]] = {}
    for name, datum in known.items():
        by.setdefault(datum.source + _own(datum), []).append(name)
    if len(by) == 1:
        return next(iter(by))
    return "; ".join(f"{', '.join(names)}: {source}" for source, names in by.items())


def _proof(a: Assessment, system: str) -> dict[str, Any]:
    """Steps of the proof with water, and what the tube is predicted to grow by."""
    v = a.values
    proof, meop = float(v["loads_proof"]), float(v["loads_meop"])
    if np.isnan(proof):
        return {"title": "no proof pressure: no answer", "rows": [], "note": ""}

    def at(p: float) -> str:
        return reached(p, system)

    def grows(p: float) -> str:
        return f"gauge still, Ø up {amount(_grows(a, p), 'm', system, 2)}"

    rows = [[at(share * proof), hold, look] for share, hold, look in STAGES]
    rows += [[at(meop), "5 min", grows(meop)], [at(proof), "10 min", grows(proof)],
             [at(0.0), "", "Ø back, heads upright"]]  # fmt: skip
    return {
        "title": f"to {at(proof)}, {proof / meop:.2f} × MEOP",
        "rows": rows,
        "note": "Fill with water and let all air out first: trapped air stores hundreds of times "
        "the energy. Ø is the outside, midway along a long tube; its growth is that of the "
        "thinnest wall while all stays elastic. Read it before, at each step and after. "
        "Stages and holds are common practice, no source.",
        "unit": "psi" if system == "inch" else "MPa", "length": LENGTH.shown(system).label,
    }  # fmt: skip
