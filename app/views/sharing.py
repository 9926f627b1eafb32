"""The panel for the partner: the link and its code, who is connected, and the one way to end it."""

import io
from functools import lru_cache
from html import escape
from typing import TYPE_CHECKING

import segno

from app.session import Session
from app.views import leaves
from hobbyclosure import differences

if TYPE_CHECKING:
    from app.share import Share

EXPLAINED = (
    "Your partner sees this notebook live, on a phone or another computer in your network, "
    "and can change nothing."
)
LAST_TIME = "The link is that of last time, which was not stopped. "
WAITS = "what it does is said when you let go"
CAREFUL = (
    "Whoever has the link can look, and what passes is not encrypted: share in a network "
    "you trust. Stopping makes the link worthless at once."
)


def html(share: "Share") -> str:
    """The panel's HTML."""
    head = leaves.head("Share with a partner")
    if not share.link:
        why = f'<p class="foot"><b>Not shared.</b>{escape(share.refused)}</p>'
        return (
            f'{head}<p class="plain">{EXPLAINED}</p>{why if share.refused else ""}'
            '<button class="act" data-do="share" data-what="start">Start sharing</button>'
        )
    return (
        f'{head}<div class="pass"><div class="code">{code(share.link)}</div>'
        f'<div><p class="link">{escape(share.link)}</p>'
        '<button class="act" data-do="share" data-what="stop">Stop sharing</button></div></div>'
        f'{_guests(share)}<p class="foot">{LAST_TIME if share.again else ""}{CAREFUL}</p>'
    )


def _guests(share: "Share") -> str:
    here = [(guest, "following") for guest in share.guests]
    here += [(guest, f"on copy {guest.number}") for guest in share.borrowers]
    if not here:
        return '<p class="plain">Nobody is connected yet.</p>'
    rows = "".join(
        f"<li>{escape(guest.address)} <span>{does} since {guest.since:%H:%M}</span></li>"
        for guest, does in here
    )
    return f'<ul class="guests">{rows}</ul>'


def handed(share: "Share", session: Session) -> str:
    """The differences a partner handed back, to be taken or left one by one."""
    from app import copies  # which knows the notebook, and the notebook this

    several = len({d.copy for d in share.handed}) > 1
    rows = []
    for d in share.handed:
        told, began = (
            differences.told(before, d.theirs, d.path, session.system)
            for before in (session.design, d.begun)
        )
        other = copies.elsewhere(session, d)
        said = session.told.get(f"handed {d.path}") or other or (
            WAITS if session.held  # each effect is an assessment
            else "already so" if copies.so_already(session.design, d)
            else copies.effect(session.shown, d, session.system)
        )  # fmt: skip
        if began.old != told.old and not other:
            said += f"; the copy began with {began.old}"
        if before := share.before(d):
            said += f"; {before}"
        whose = f"copy {d.copy}: " if several else ""
        take = f'<button data-do="adopt" data-what="{d.number}">Take</button>'
        take *= d.takeable and not other
        rows.append(
            f'<div class="item given"><p><b>{escape(told.label)}</b> {escape(told.old)} → '
            f"{escape(told.new)}<br><i>{escape(whose + said)}</i></p>{take}"
            f'<button data-do="refuse" data-what="{d.number}">Leave</button></div>'
        )
    none = '<p class="plain">Nothing is waiting. What you took can be undone.</p>'
    return leaves.head("Your partner's differences", str(len(rows))) + ("".join(rows) or none)


@lru_cache(2)
def code(link: str) -> str:
    """The link as a QR code, black on white by day and by night."""
    out = io.BytesIO()
    segno.make(link, error="m", boost_error=False).save(
        out, kind="svg", xmldecl=False, svgns=True, border=4, scale=4, dark="#000", light="#fff",
        title="The link as a code for a camera", omitsize=False,
    )  # fmt: skip
    return out.getvalue().decode()


def said(share: "Share | None") -> str:
    """What the bar says of it; nothing while it is off."""
    if share is None:
        return ""
    n = len(share.handed)
    waiting = f"{n} difference{'s' * (n > 1)}" if n else ""
    with_ = len(share.guests) + len(share.borrowers)
    shared = f"shared with {with_}" if with_ else "shared"
    return ", ".join(filter(None, (share.link and shared, waiting)))
