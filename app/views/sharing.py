"""The panel for the partner: the link and its code, who is connected, and the one way to end it."""

import io
from html import escape
from typing import TYPE_CHECKING

import segno

from app.views import leaves

if TYPE_CHECKING:
    from app.share import Share

EXPLAINED = (
    "Your partner sees this notebook live, on a phone or another computer in your network, "
    "and can change nothing."
)
LAST_TIME = "The link is that of last time, which was not stopped. "
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
    if not share.guests:
        return '<p class="plain">Nobody is connected yet.</p>'
    rows = "".join(
        f"<li>{escape(guest.address)} <span>following since {guest.since:%H:%M}</span></li>"
        for guest in share.guests
    )
    return f'<ul class="guests">{rows}</ul>'


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
    if share is None or not share.link:
        return ""
    return f"shared, {len(share.guests)} following" if share.guests else "shared"
