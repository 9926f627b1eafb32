"""The log in the panel: what was written down, what had changed, and any two designs compared."""

from collections import Counter
from functools import lru_cache
from html import escape

import numpy as np

from app.session import Session
from hobbyclosure import file, log, study
from hobbyclosure.assess import ABSENT, Assessment
from hobbyclosure.design import Design, DesignError
from hobbyclosure.differences import Difference, differences
from hobbyclosure.graph import Check

NOW = "now"
SEEN = 60  # entries listed, the newest
SHOWN = 3  # changes told beside an entry
LOWEST = 8  # checks compared
WORDS = 24  # letters of an entry's words that tell it from others of its minute


def html(session: Session) -> str:
    """Every entry, newest first, and a box for the next."""
    try:
        entries = session.logged()
    except DesignError as error:
        return f'<p class="foot">{escape(str(error))}</p>'
    box = (
        '<label for="note">What was done or seen</label>'
        f'<input id="note" type="text" maxlength="{log.LONGEST}" autocomplete="off">'
        '<p class="foot">The design as it is now is kept with it.</p>'
        '<button class="act" data-do="note">Write it down</button>'
    )
    texts = ["", *(entry.design for entry in entries)]
    items = [
        _entry(entry, n, texts[n], session.system)
        for n, entry in reversed(tuple(enumerate(entries))[-SEEN:])
    ]
    earlier = f"{len(entries) - SEEN} earlier ones stand there, too." * (len(entries) > SEEN)
    name = escape(session.log_path.name)
    where = f'<p class="foot">Kept in {name}. {earlier}</p>' if entries else ""
    return box + "".join(items) + where


@lru_cache(maxsize=256)
def _design(text: str) -> Design | None:
    """The design of an entry; None where it cannot be read."""
    try:
        return file.loads(text).design
    except DesignError:
        return None


@lru_cache(maxsize=16)
def _assessed(text: str) -> Assessment | None:
    design = _design(text)
    return Assessment(design) if design else None


def _side(session: Session, entries: tuple[log.Entry, ...], which: str) -> Assessment | None:
    """The design of an entry by its number, or the present one; None where there is none."""
    if which == NOW:
        return session.shown.assessment
    if not which.isdecimal() or len(which) > 6 or int(which) >= len(entries):
        return None
    return _assessed(entries[int(which)].design)


@lru_cache(maxsize=256)  # the panel is asked for on every move of a slider
def _entry(entry: log.Entry, n: int, before: str, system: str) -> str:
    design = _design(entry.design)
    old = _design(before) if n else None
    if design is None:
        changed = "Its design cannot be read any more."
    elif old is None:
        changed = "The design before it cannot be read any more." if n else "The first entry."
    else:
        changed = _brief(differences(old, design, system))
    buttons = (
        f'<button data-do="compare" data-what="{n}:{NOW}">Compare with now</button>'
        f'<button data-do="restore" data-what="{n}">Go back to it</button>'
    )
    return (
        f'<div class="entry"><p><b>{entry.when:%d %b %Y, %H:%M}</b> {escape(entry.text)}</p>'
        f'<p class="soft">{escape(changed)}</p>{buttons if design else ""}</div>'
    )


def _brief(found: list[Difference]) -> str:
    if not found:
        return "Nothing changed since the one before."
    said = [f"{d.label} {d.old} → {d.new}" for d in found[:SHOWN]]
    more = f"; {len(found) - SHOWN} more" if len(found) > SHOWN else ""
    return f"{'; '.join(said)}{more}."


def compared(session: Session, pair: str) -> str:
    """Two designs side by side: what they state otherwise, and their lowest factors."""
    try:
        entries = session.logged()
    except DesignError as error:
        return f'<p class="foot">{escape(str(error))}</p>'
    names = pair.split(":")
    sides = [_side(session, entries, name) for name in names]
    if len(sides) != 2 or None in sides:
        return '<p class="foot">One of these is not there any more.</p>'
    a, b = (side for side in sides if side is not None)
    called = _names(entries)
    heads = [called[name if name == NOW else str(int(name))] for name in names]
    found = differences(a.design, b.design, session.system)
    rows = "".join(
        f"<tr><th>{escape(d.label)}</th><td>{escape(d.old)}</td>"
        f'<td class="other">{escape(d.new)}</td></tr>'
        for d in found
    )
    table = _table("stated", heads, rows) if rows else '<p class="foot">They state the same.</p>'
    factors = "".join(_factors(check, a, b) for check in study.ranked(a, b)[:LOWEST])
    note = '<p class="foot">Factor ÷ wanted; the lowest of both.</p>'
    return table + _table("lowest", heads, factors, "two nums") + note + _others(called, names)


def _table(first: str, heads: list[str], rows: str, kind: str = "two") -> str:
    head = "".join(f"<th>{escape(h)}</th>" for h in heads)
    return f'<table class="{kind}"><thead><tr><th>{first}</th>{head}</tr></thead>{rows}</table>'


def _names(entries: tuple[log.Entry, ...]) -> dict[str, str]:
    """What each side is called: its hour; of one minute's several its first words, too."""
    called = [f"{entry.when:%d %b, %H:%M}" for entry in entries]
    for more in (lambda n: _beginning(entries[n].text), lambda n: f"({n + 1})"):
        often = Counter(called)
        called = [f"{name} {more(n)}" if often[name] > 1 else name for n, name in enumerate(called)]
    return {str(n): name for n, name in enumerate(called)} | {NOW: NOW}


def _beginning(text: str) -> str:
    """The first words of an entry."""
    line = " ".join(text.split())
    return line if len(line) <= WORDS else f"{line[: WORDS - 1].rstrip()}…"


def _factors(check: Check, a: Assessment, b: Assessment) -> str:
    said = [_ratio(one, check) for one in (a, b)]
    short = [one.states[check.id] in ("short", "no answer") for one in (a, b)]
    kinds = ["other" * (said[0] != said[1]) + " bad" * bad for bad in short]
    cells = "".join(f'<td class="{k.strip()}">{s}</td>' for k, s in zip(kinds, said, strict=True))
    return f"<tr><th>{escape(check.label)}</th>{cells}</tr>"


def _ratio(a: Assessment, check: Check) -> str:
    if a.states[check.id] == ABSENT:
        return "–"
    ratio = a.ratios[check.id]
    return "no answer" if np.isnan(ratio) else f"{ratio:.2f}" + " short" * (ratio < 1)


def _others(called: dict[str, str], names: list[str]) -> str:
    """The same first design beside any other."""
    listed = list(called)[-SEEN - 1 :]  # the present one is the last
    buttons = "".join(
        f'<button data-do="compare" data-what="{names[0]}:{other}">{escape(called[other])}</button>'
        for other in listed if other not in names
    )  # fmt: skip
    return (
        f'<p class="foot"><b>Beside</b></p><div class="others">{buttons}</div>' if buttons else ""
    )
