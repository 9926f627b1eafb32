"""The sheet made beside the notebook: in a thread, so that sliders go on answering meanwhile.

A sheet shows what a design keeps of its pressure traces, by name, and not their curves: those are
with the tab that read them. So a copy's sheet and the owner's of the same design are the same.
"""

import base64
import datetime
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from functools import partial
from typing import Any
from weakref import WeakSet

import panel as pn

from app import sheet
from app.session import Session

_THREADS = ThreadPoolExecutor(2, thread_name_prefix="sheet")
_busy: WeakSet[Session] = WeakSet()  # sessions whose sheet is being made
Told = Callable[[dict[str, Any]], None]

MAKING, ONE = "Making the PDF…", "One PDF at a time…"
KINDS = {  # what makes each, and what its file's name says behind the design's
    "sheet": (sheet.pdf, ""),
    "steps": (partial(sheet.pdf, steps=True), " with steps"),
    "bench": (sheet.bench_form, " bench form"),
}


def begin(session: Session, kind: str, name: str, told: Told) -> None:
    """Make a PDF of what a session shows; `told` hears that it is being made, then has it.

    kind: one of KINDS. name: of the design's file, without its end.

    What it hears: `busy`, words while it is made, and once done `data` (base64) and `file`. While
    one is made for a session another is not begun, and that is said.
    """
    if session in _busy:
        told({"busy": ONE})
        return
    design, system, text = session.design, session.system, session.written()
    now = datetime.datetime.now()
    told({"busy": MAKING})
    make_it, ending = KINDS[kind]
    file = f"{name}{ending}.pdf"

    def make() -> bytes:
        return make_it(design, system, text=text, when=now)

    document = pn.state.curdoc
    if document is None:  # nobody waits: a test, or a script
        told({"busy": "", "data": _text(make()), "file": file})
        return

    def done(made: "Future[bytes]") -> None:
        error = made.exception()
        heard = (
            {"busy": "The PDF could not be made."}
            if error
            else {"busy": "", "data": _text(made.result()), "file": file}
        )

        def tell() -> None:
            _busy.discard(session)
            told(heard)

        document.add_next_tick_callback(tell)
        if error:
            raise error  # the log has the whole of it

    _busy.add(session)
    _THREADS.submit(make).add_done_callback(done)


def _text(pdf: bytes) -> str:
    return base64.b64encode(pdf).decode()
