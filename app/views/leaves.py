"""What the one panel that opens can show: a working, warnings, faults, saving under a name."""

import operator
from collections.abc import Callable, Iterable
from contextlib import suppress
from functools import lru_cache, partial
from html import escape
from operator import attrgetter
from pathlib import Path
from typing import Any

from app.maths import mathml
from app.session import Session, Shown
from app.views import journal, strength
from app.views.rows import opened
from app.views.told_seal_plots import slot_of
from hobbyclosure import file, words, working
from hobbyclosure.assess import Assessment
from hobbyclosure.design import DesignError, Problem, collisions, number
from hobbyclosure.fields import FIELDS
from hobbyclosure.graph import CHECKS, QUANTITIES
from hobbyclosure.starting import starting
from hobbyclosure.units import InputError, one_line, parse, quoted, shown_value
from hobbyclosure.working import Working

EVERY = "every"  # slot: warnings of all plots
_MARKS = {
    "stop": '<path class="i-solid" d="M10.2-4.2V4.2L4.2 10.2H-4.2L-10.2 4.2V-4.2L-4.2-10.2H4.2Z"/>'
    '<path class="i-cut" d="M-6-1.8H6V1.8H-6Z"/>',
    "look": '<path class="i-open" d="M0-11L11.5 9H-11.5Z"/><path class="i-stroke" d="M0-3.5V2.4"/>'
    '<circle class="i-solid" cy="5.5" r="1.5"/>',
    "know": '<circle class="i-open" r="9.9"/><path class="i-stroke" d="M0-1V5"/>'
    '<circle class="i-solid" cy="-4.4" r="1.5"/>',
}


def known(name: str) -> bool:
    """Whether a name opens a working."""
    return name in CHECKS or name in QUANTITIES


def content(session: Session) -> str:
    """The panel's HTML; empty when it is shut."""
    if not session.open:
        return ""
    what = session.open[-1]
    if opened(session.open) or what == "map":  # these have views of their own
        return ""
    if what == "faults":
        return _faults(session)
    if what == SAVE:
        return _save_as(session)
    if what == "new":
        return _new(session)
    if what == "strength":
        return head("Strength by heat", "share of cold") + strength.html(
            session.shown.assessment, session.system
        )
    if what == "log":
        return head("Log", one_line(session.design.name, 24)) + journal.html(session)
    if what.startswith("compare:"):
        title = head("Compared", "", back=True)
        return title + journal.compared(session, what.partition(":")[2])
    if what == "remarks":
        return _remarks(session)
    if what.startswith("warnings:"):
        return _warnings(session, what.partition(":")[2])
    return _working(session.shown.assessment, what, session.system, len(session.open) > 1)


def foresee(session: Session, ahead: Shown) -> None:
    """Work out the working that is open, of what is to be shown."""
    if session.open and known(session.open[-1]):
        _working(ahead.assessment, session.open[-1], session.system, len(session.open) > 1)


def head(title: str, detail: str = "", back: bool = False) -> str:
    """The head of the panel, with what shuts it."""
    back_button = '<button data-do="back">Back</button>' if back else ""
    return (
        f"<header><h2>{escape(title)} <span>{escape(detail)}</span></h2>{back_button}"
        '<button data-do="close">Close</button></header>'
    )


def _mark(level: str) -> str:
    box = 'width="24" height="24" viewBox="-12 -12 24 24"'
    return f'<svg {box} aria-hidden="true">{_MARKS[level]}</svg>'


@lru_cache(maxsize=4)
def _working(a: Assessment, name: str, system: str, back: bool) -> str:
    found = working.working(a, name, system)
    if name in CHECKS:
        check, r = CHECKS[name], a.results[name]
        if found.reason:
            detail = a.states[name]
        else:
            factor, wanted = words.two_decimals(float(r.factor), float(r.required))
            detail = f"{factor}, wanted {wanted}"
        title = words.sentence(check.label)
    else:
        title, detail = found.title, ""
    why = escape(words.sentence(found.reason))
    reason = f'<p class="foot"><b>{words.sentence(detail)}.</b>{why}.</p>'
    return "".join((
        head(title, detail, back), reason if found.reason else "", _equations(found),
        _symbols(found), _foundation(found, name), _context(a, name, system),
    ))  # fmt: skip


def _equations(found: Working) -> str:
    maths = iter(mathml([formula for line in found.lines for formula in line.maths]))
    out = []
    for line in found.lines:
        forms = [next(maths) for _ in line.maths]
        joined = '<span class="is">=</span>'.join(forms)
        out.append(f'<div class="eq">{joined}<b>= {_fixed(line.result)}</b></div>')
    return "".join(out)


def _fixed(text: str) -> str:
    """Number and unit never part at a line's end."""
    return escape(text).replace(" ", "\u00a0")


def _symbols(found: Working) -> str:
    maths = mathml([use.maths for use in found.uses])
    rows = []
    for use, symbol in zip(found.uses, maths, strict=True):
        title = escape(words.sentence(use.title))
        if use.opens:
            title = f'<button data-do="open" data-what="{escape(use.opens)}">{title}</button>'
        rows.append(f'<dt>{symbol}</dt><dd>{title}</dd><dd class="value">{_fixed(use.text)}</dd>')
    return f"<dl>{''.join(rows)}</dl>" if rows else ""


def _foundation(found: Working, name: str) -> str:
    source = escape(words.sentence(found.source))
    out = f'<p class="foot"><b>{escape(found.evidence)}</b>{source}.</p>'
    if name in CHECKS:
        out = f'<p class="foot">{escape(CHECKS[name].title)}.</p>' + out
    if found.confirm:
        rows = "; ".join(found.confirm)
        out += f'<p class="foot"><b>From memory</b>confirm on a certificate: {escape(rows)}.</p>'
    return out + '<p class="foot">Shown rounded, computed unrounded.</p>'


def _context(a: Assessment, name: str, system: str) -> str:
    lines = words.context(a, name, system)
    if not lines:
        return ""
    return f'<p class="foot"><b>For comparison</b>{escape(" ".join(lines))}</p>'


def _warnings(session: Session, slot: str) -> str:
    page, _, place = slot.rpartition(" ")
    of = slot_of if page == "seal" else attrgetter("slot")
    assessment, system = session.shown.assessment, session.system
    found = [w for w in session.shown.warnings(system) if place in (of(w), EVERY)]
    here = [words.with_remedy(assessment, w, system) for w in found]
    items = "".join(_item(session, w) for w in here)
    return head("Everything said here", str(len(here))) + items


def _item(session: Session, w: words.Warning) -> str:
    grade = f" <i>{escape(w.evidence)}</i>" if w.evidence else ""
    fix = show = ""
    if w.remedy:
        text = words.field_value(w.remedy.path, w.remedy.value, session.system)
        effect = f"fixes {w.remedy.fixes}, breaks {w.remedy.breaks}"
        fix = (
            f'<button data-do="take" data-what="{escape(w.check)}">{escape(text)}'
            f"<span>{effect}</span></button>"
        )
    elif w.check:
        show = f'<button data-do="open" data-what="{escape(w.check)}">Working</button>'
    return f'<div class="item">{_mark(w.level)}<p>{escape(w.text)}{grade}</p>{fix or show}</div>'


def _faults(session: Session) -> str:
    found = session.faults
    items = "".join(
        f'<div class="item">{_mark("stop")}<p>{escape(str(p))}</p></div>' for p in found
    )
    still = (
        f'<p class="foot">The picture is still {escape(session.design.name)}. Nothing was lost.</p>'
    )
    count = "one fault" if len(found) == 1 else f"{len(found)} faults"
    return head("This cannot be done yet", count) + items + still


LONGEST_NAME = 100
NONE_MEET = (
    "No sizes were found that meet everything with this tube and peak: "
    "what is short is said beside the plots."
)
# No names of files on every machine, whatever follows a point.
_DEVICES = {"con", "prn", "aux", "nul"} | {f"{a}{n}" for a in ("com", "lpt") for n in range(10)}


def file_name(session: Session) -> str:
    """Name of the design's file; until it has one, made of the design's own name."""
    if session.path:
        return session.path.name
    said = "".join(c.lower() if c.isalnum() else " " for c in session.design.name).split()
    name = "-".join(said)[:60]
    return f"{'my-' * (name in _DEVICES)}{name or 'my-closure'}.toml"


def _box(label: str, name: str, text: str, said: str, unit: str | None = None) -> str:
    """A box to type in: its label, its unit, and below it why what it holds was not taken."""
    invalid = ' aria-invalid="true"' if said else ""
    beside = "" if unit is None else f'<span class="unit" id="{name}-unit">{unit}</span>'
    about = f"{name}-unit {name}-said" if beside else f"{name}-said"
    return (
        f'<label for="{name}">{label}</label><input id="{name}" name="{name}" type="text" '
        f'value="{escape(text)}" aria-describedby="{about}" spellcheck="false"{invalid}>{beside}'
        f'<p class="said" id="{name}-said">{escape(said)}</p>'
    )


def _save_as(session: Session) -> str:
    name = session.asked.get(SAVE, file_name(session))
    folder = (session.path.parent if session.path else Path.cwd()).resolve()
    return (
        head("Save under a name")
        + _box("File name", "name", name, session.told.get(SAVE, ""))
        + f'<p class="foot">Goes into {escape(str(folder))}</p>'
        '<button class="act" data-do="save">Save</button>'
    )


SAVE = "save as"  # what it is called among what is typed and told
_NEW = {  # field, label, example in each system
    "case.bore": ("Bore of the tube", "76.2", "3"),
    "case.wall": ("Wall", "3", "1/8"),
    "loads.peak": ("Expected peak pressure", "5", "700"),
}


def _example(path: str, system: str) -> str:
    return _NEW[path][2 if system == "inch" else 1]


def _new(session: Session) -> str:
    rows = [
        _box(
            label, path, session.asked.get(path, _example(path, session.system)),
            session.told.get(f"new {path}", ""), FIELDS[path].shown(session.system).label,
        )
        for path, (label, *_) in _NEW.items()
    ]  # fmt: skip
    return (
        head("New design")
        + '<div class="form">'
        + _box("Name", "name", session.asked.get("name", "New closure"), "")
        + "".join(rows)
        + "</div>"
        + f'<p class="foot" role="status">{session.told.get("new") or FOLLOWS}</p>'
        + '<button class="act" data-do="create">Start</button>'
    )


FOLLOWS = (
    "All else follows the bore: common practice, no source. The checks then say what is short."
)
CHOOSING = "Choosing sizes that meet…"


def _read(session: Session, path: str) -> float:
    """What stands in a box of the form, SI. Raises DesignError."""
    text = session.asked.get(path, _example(path, session.system))
    return number(FIELDS[path], text, session.system)


def typed(session: Session, asked: dict[str, Any]) -> None:
    """A box of the form was left: what is said of one that is right by now goes."""
    session.asked |= {str(k): one_line(str(v)) for k, v in asked.items()}
    _say(session, _wrong(session, [path for path in _NEW if f"new {path}" in session.told]))


def _say(session: Session, said: dict[str, str]) -> None:
    session.told = {key: text for key, text in (session.told | said).items() if text}


def _wrong(session: Session, paths: Iterable[str]) -> dict[str, str]:
    """What is to be said of each of these boxes; nothing of one that is right."""
    said = {}
    for path in paths:
        try:
            _read(session, path)
            said[f"new {path}"] = ""
        except DesignError as error:
            said[f"new {path}"] = f"{error.problems[0].said}."
    return said


def turned(session: Session, before: str, after: str) -> None:
    """The units of the form's boxes turn: what stands in them is said in the new ones."""
    for path in _NEW:
        text = session.asked.get(path)
        if text == _example(path, before):
            del session.asked[path]  # nobody typed that
        elif text is not None:
            kind = FIELDS[path].kind
            assert kind is not None
            with suppress(InputError):  # what is no number stays as it is
                value = parse(text, kind, FIELDS[path].shown(before).unit)
                session.asked[path] = shown_value(value, kind, after, unit=False)
    typed(session, {})  # what is said of them turns, too


def create(
    session: Session,
    asked: dict[str, Any],
    soon: Callable[[Callable[[], None]], None] = operator.call,
) -> None:
    """Begin a design from what was typed, or say beside each box what is wrong.

    To choose its sizes may take a second or two: it is done `soon`, once it has been said.
    """
    if session.open != ("new",):  # pressed twice, and begun by now
        return
    session.asked |= {str(k): one_line(str(v)) for k, v in asked.items()}
    said = _wrong(session, _NEW)
    fine = not any(said.values())
    _say(session, said | {"new": CHOOSING if fine else ""})
    if fine:
        values = [_read(session, path) for path in _NEW]
        name = session.asked.get("name", "").strip() or "New closure"
        soon(partial(_begin, session, values, name))


def _begin(session: Session, values: list[float], name: str) -> None:
    """Begin a design of these sizes, if its form is still there."""
    if session.open != ("new",):
        return
    try:
        design = starting(*values, name=name, system=session.system)
    finally:
        _say(session, {"new": ""})
    if faults := collisions(design, session.system):
        _say(session, {"new case.wall": f"{faults[0].said}."})
        return
    session.begin(design)
    if session.shown.assessment.state in ("short", "no answer"):
        session.remark(NONE_MEET)


def _remarks(session: Session) -> str:
    items = "".join(
        f'<div class="item">{_mark("know")}<p>{escape(text)}</p></div>' for text in session.remarks
    )
    return head("To note") + items


def _no_name(name: str, stem: str) -> str:
    """Why a name is none for a file here; empty where it is one."""
    if not stem:
        return "a file needs a name"
    if len(name) > LONGEST_NAME:
        return f"{len(name)} letters: at most {LONGEST_NAME}"
    if (device := stem.partition(".")[0].strip()).lower() in _DEVICES:
        return f"{device} is a name that Windows keeps for itself"
    if stem.startswith("."):
        return f"{quoted(name)} begins with a point, which hides a file"
    if bad := next((c for c in stem if not (c.isalnum() or c in " -_.()")), ""):
        return f"no file name has {quoted(bad)}: letters, digits, spaces, - _ . ( ) only"
    return ""


def save_as(session: Session, name: str) -> None:
    """Save under a plain file name in the design's own folder, or say beside the box why not."""
    name = name.strip()
    stem = name.removesuffix(".toml")
    folder = session.path.parent if session.path else Path.cwd()
    why = _no_name(name, stem) or session.put(folder / f"{stem}.toml")
    if why:
        session.asked[SAVE] = name[:1000]
        _say(session, {SAVE: f"Not saved: {why}."})
        session.open = (SAVE,)
    elif session.open == (SAVE,):
        session.open = ()


def naming(session: Session) -> None:
    """Ask for a file's name, as if for the first time."""
    session.asked.pop(SAVE, None)
    _say(session, {SAVE: ""})
    session.open = (SAVE,)


def too_large(session: Session, named: dict[str, Any]) -> None:
    """Refuse a file before it is sent."""
    size = named.get("size")
    says = file.too_large(size) if isinstance(size, int | float) else "is too large"
    text = f"{quoted(str(named.get('name', '')))[1:-1]}: {says}"
    session.faults = (Problem("", "", text),)
    session.open = ("faults",)
