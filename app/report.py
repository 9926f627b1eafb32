"""An assessment as JSON and as a table for a terminal of 80 columns."""

import textwrap
from typing import Any

import attrs
import numpy as np

from hobbyclosure import __version__, study, words
from hobbyclosure.assess import ABSENT, Assessment
from hobbyclosure.design import Design
from hobbyclosure.fields import FIELDS
from hobbyclosure.fingerprint import fingerprint
from hobbyclosure.graph import CHECKS, QUANTITIES
from hobbyclosure.phrases import reached

WIDTH = 80


def number(value: Any) -> float | None:
    """A float for JSON; what is no number is null."""
    out = float(value)
    return out if np.isfinite(out) else None


def as_json(assessment: Assessment) -> dict[str, Any]:
    """The assessment in SI units; what does not apply is null, with a reason."""
    checks = []
    for id, found in assessment.results.items():
        check = CHECKS[id]
        checks.append({
            "id": id, "part": check.part, "demand": number(found.demand),
            "capacity": number(found.capacity), "unit": check.unit,
            "factor": number(found.factor), "required": number(found.required),
            "state": assessment.states[id], "evidence": assessment.evidence(check),
            "source": check.source, "reason": assessment.reason(check) or None,
        })  # fmt: skip
    rungs = [
        {"check": r.check.id if r.check else None, "pressure": number(r.pressure),
         "outcome": r.check.outcome if r.check else "other end lets go"}
        for r in study.ladder(assessment)
    ]  # fmt: skip
    for name in QUANTITIES:
        assessment.values[name]
    return {
        "design": assessment.design.name,
        "fingerprint": fingerprint(assessment.design),
        "meop": number(assessment.values["loads_meop"]),
        "quantities": {name: number(assessment.values[name]) for name in QUANTITIES},
        "checks": checks,
        "ladder": rungs,
        "warnings": [
            {"level": w.level, "check": w.check or None, "text": w.text}
            for w in words.warnings(assessment, remedied=False)
        ],
        **_traces(assessment.design),
    }


def _traces(design: Design) -> dict[str, Any]:
    """Traces of a design that has any, and the fields that they gave."""
    if not design.runs:
        return {}
    given = {path: source for path in FIELDS if (source := design.source(path))}
    return {"traces": [attrs.asdict(run) for run in design.runs], "from_trace": given}


def as_table(assessment: Assessment, system: str, unknown: tuple[str, ...] = ()) -> str:
    """The assessment as a person reads it in a terminal."""
    said = f"{words.verdict(assessment, system)} {words.lower(assessment, system)}".rstrip()
    version = f"design {fingerprint(assessment.design)}, hobbyclosure {__version__}"
    name = assessment.design.name[: WIDTH - len(version) - 2]
    out = [f"{name}{version:>{WIDTH - len(name)}}", "", *_wrapped(said), ""]
    out += [*_summary(assessment, system), "", *_ladder(assessment, system), ""]
    out += [*_checks(assessment), "", *_warnings(assessment, system)]
    assumed = [p for p in FIELDS if p not in assessment.design.entries and FIELDS[p].default]
    if unknown:
        out += _wrapped("No field of ours, kept and not used: " + ", ".join(unknown))
    if assumed:
        out += _wrapped("Not stated, defaults used: " + ", ".join(assumed))
    return "\n".join([*out, "", *_wrapped(f"{words.ESTIMATE} {words.CAUTION}")])


def _wrapped(text: str, indent: str = "") -> list[str]:
    return textwrap.wrap(text, WIDTH, subsequent_indent=indent) or [""]


def _summary(assessment: Assessment, system: str) -> list[str]:
    v, d = assessment.values, assessment.design
    meop = words.pressure(float(v["loads_meop"]), system)
    proof = reached(float(v["loads_proof"]), system)
    screws = (
        f"{v['screw_total']:.0f} screws {d['screw.thread'].value} {d['screw.strength_class'].value}"
    )
    k = float(v["screw_sharing"])
    share = "" if np.isnan(k) else f", the worst carries {k:.2f} × the mean"
    source = d.source("loads.peak")
    peak = words.pressure(float(v["loads_peak"]), system)
    traced = [f"Peak {peak} from {source}."] if source else []
    return _wrapped(" ".join([f"MEOP {meop}, proof {proof}; {screws}{share}.", *traced]))


def _ladder(assessment: Assessment, system: str) -> list[str]:
    unit = "psi" if system == "inch" else "MPa"
    rungs = study.ladder(assessment)
    out = [f"{'What lets go first':<22}{'at ' + unit:>9}{'wanted':>9}  ≈ weak basis"]
    for r in rungs:
        label = r.check.label if r.check else "other end"
        outcome = r.check.outcome if r.check else words.other_end(assessment, r)
        wanted = words.wanted(r, system)
        weak = bool(r.check) and assessment.evidence(r.check) == "weak" and not np.isnan(r.pressure)
        at = ("≈" if weak else "") + words.pressure(r.pressure, system, unit=False)
        mark = "or" if r.either else "  "
        out.append(f"{mark} {label:<19}{at:>9}{wanted:>9}  {outcome}"[:WIDTH].rstrip())
    return out


def _checks(assessment: Assessment) -> list[str]:
    """A row for each check that applies, lowest first; why, where there is no answer."""
    rows = [c for c in CHECKS.values() if assessment.states[c.id] != ABSENT]
    rows.sort(key=lambda c: np.nan_to_num(assessment.ratios[c.id], nan=-1))
    wide = max(len(c.id) for c in rows) + 1
    out = [f"{'Check':<{wide}}{'factor':>7}{'wanted':>8}{'÷ wanted':>10}  {'state':<10}evidence"]
    for check in rows:
        found, state = assessment.results[check.id], assessment.states[check.id]
        cells = [
            "–" if np.isnan(float(x)) else f"{float(x):.2f}".replace("-0.00", "0.00")
            for x in (found.factor, found.required, found.ratio)
        ]
        grade = assessment.evidence(check)
        out.append(
            f"{check.id:<{wide}}{cells[0]:>7}{cells[1]:>8}{cells[2]:>10}  {state:<10}{grade}"
        )
        if reason := assessment.reason(check):
            out += [f"  {line}" for line in _wrapped(words.sentence(reason) + ".")]
    return out


def _warnings(assessment: Assessment, system: str) -> list[str]:
    out = []
    for w in words.warnings(assessment, system):
        grade = f" ({w.evidence})" if w.evidence else ""
        fix = ""
        if w.remedy:
            shown = words.field_value(w.remedy.path, w.remedy.value, system)
            fix = f" → {shown}: fixes {w.remedy.fixes}, breaks {w.remedy.breaks}"
        out += _wrapped(f"{w.level:<5}{w.text}{grade}{fix}", " " * 5)
    return out
