"""The server: one page for each browser tab, on this machine alone, nothing from outside."""

import errno
import gc
import logging
import os
import socket
import warnings
from pathlib import Path

import panel as pn
from tornado.websocket import WebSocketClosedError

from app.autosave import state_name
from app.demo import demo
from app.gate import Gate
from app.session import Session
from app.share import Share
from app.tabs import Tabs
from app.template import template
from app.views.notebook import Notebook

HOST = "127.0.0.1"


def page(
    path: Path | None, recover: bool = True, share: Share | None = None, tabs: Tabs | None = None
) -> pn.Template:
    """The notebook on a design file, or on the demo. Runs for each tab, again if loaded anew."""
    session = Session(path)
    tabs = tabs or Tabs()
    before = tabs.before()
    if before:
        session.go_on(before.session)
        session.read_again()
    else:
        session.load_text(demo().read_text(encoding="utf-8"), "demo")  # if FILE does not stand
        if path is not None:
            session.load_path(path)
        if recover:
            session.take_up()
        for said in share.said_on_opening() if share else ():
            session.remark(said)
    notebook = Notebook(session, share)
    if before:
        notebook.turn(before.page)
    if share is not None:
        share.attach(notebook)
        pn.state.on_session_destroyed(lambda _: share.detach(notebook))
    return template(notebook, tab=tabs.opened(notebook, path))


def _is_farewell(record: logging.LogRecord) -> bool:
    """Whether a record tells only that a tab was closed while something was being sent to it."""
    error = record.exc_info[1] if record.exc_info else None
    return isinstance(error, WebSocketClosedError) or "connection was closed" in str(record.msg)


class PortError(OSError):
    """The port that was asked for cannot be had."""


def free_port(wanted: int = 0) -> int:
    """A port nobody listens on, or the one wanted. Raises PortError."""
    with socket.socket() as s:
        if os.name == "posix":  # one just left is free; elsewhere this would share a taken one
            s.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            s.bind((HOST, wanted))
        except OverflowError:
            raise PortError(f"port {wanted} is none: ports go from 1 to 65535") from None
        except OSError as error:
            taken = error.errno == errno.EADDRINUSE
            why = "is taken" if taken else f"cannot be had ({error.strerror})"
            raise PortError(f"port {wanted} {why}; without --port a free one is found") from error
        return s.getsockname()[1]


def serve(
    path: Path | None,
    port: int = 0,
    browser: bool = True,
    recover: bool = True,
    share_address: str | None = None,
) -> None:
    """Open the notebook and serve it until interrupted. Raises PortError."""
    port = free_port(port)
    gc.collect()
    gc.freeze()  # what was imported stays: collections during a drag are short
    for name in ("asyncio", "bokeh.server.views.ws"):
        logging.getLogger(name).addFilter(lambda record: not _is_farewell(record))
    # A view put into a page that is open already is sent back whole with its first message.
    warnings.filterwarnings("ignore", message="reference already known")
    print(f"hobbyclosure: http://{HOST}:{port}/ (this machine only; Ctrl+C ends it)", flush=True)
    tabs = Tabs()
    share, hosts = Share(share_address, state_name(path)), [f"{HOST}:{port}", f"localhost:{port}"]
    server = pn.io.server.get_server(
        lambda: page(path, recover, share, tabs),
        address=HOST,
        port=port,
        websocket_origin=hosts,
        show=browser,
        title="hobbyclosure",
    )
    # A foreign name that leads to this machine is refused before anything is looked for.
    server._http.request_callback = Gate(server._tornado, hosts)
    server.start()
    server.io_loop.start()
