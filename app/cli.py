"""The command line: open the notebook, assess a design, show a working."""

import argparse
import io
import json
import sys
from collections.abc import Sequence
from pathlib import Path

from app import report
from hobbyclosure import __version__, file, working
from hobbyclosure.assess import Assessment
from hobbyclosure.design import Design, DesignError, Problem
from hobbyclosure.graph import CHECKS, QUANTITIES
from hobbyclosure.units import quoted

MEETS, FALLS_SHORT, BAD_INPUT = 0, 1, 2


def parser() -> argparse.ArgumentParser:
    """Every command and option."""
    top = argparse.ArgumentParser(
        prog="hobbyclosure",
        description="Design the forward closure of an amateur solid rocket motor. "
        "Without a command: open the notebook on the demo design, with the options of open.",
    )
    top.add_argument("--version", action="version", version=f"hobbyclosure {__version__}")
    commands = top.add_subparsers(dest="command", metavar="COMMAND")
    _opening(commands.add_parser("open", help="open the notebook on a design"))
    assess = _with_design(commands.add_parser("assess", help="every check on a design, as a table"))
    assess.add_argument("--json", action="store_true", help="numbers in SI units, for programs")
    show = _with_design(commands.add_parser("working", help="the whole working of one check"))
    show.add_argument("check", metavar="CHECK", help="id of a check, e.g. screw.shear")
    paper = _with_design(commands.add_parser("sheet", help="the summary for the bench, a PDF"))
    paper.add_argument("-o", "--out", metavar="OUT.pdf", help="where to; default FILE's name, here")
    paper.add_argument("--paper", choices=("a4", "letter"),
                       help="default: letter where inches are shown, else a4")  # fmt: skip
    kind = paper.add_mutually_exclusive_group()
    kind.add_argument("--short", action="store_true", help="without the working: three pages")
    kind.add_argument("--steps", action="store_true",
                      help="with inputs and every step behind the working")  # fmt: skip
    kind.add_argument("--bench", action="store_true",
                      help="instead, the form with every dimension to cut and measure")  # fmt: skip
    return top


def completed(argv: Sequence[str]) -> list[str]:
    """What was typed; options without a command are those of `open`."""
    own = ("-h", "--help", "--version")
    bare = bool(argv) and argv[0].startswith("-") and argv[0] not in own
    return ["open", *argv] if bare else [*argv]


def _opening(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("file", metavar="FILE", nargs="?", help="design file (TOML); default the demo")
    sub.add_argument("--port", type=int, default=0, help="port to listen on; default a free one")
    sub.add_argument("--no-browser", action="store_true", help="print the address, open nothing")
    sub.add_argument("--as-saved", action="store_true",
                     help="do not take up unsaved work of an earlier start")  # fmt: skip
    sub.add_argument("--share-address", metavar="ADDRESS",
                     help="where a partner finds this machine; default its network's")  # fmt: skip


def _with_design(sub: argparse.ArgumentParser) -> argparse.ArgumentParser:
    sub.add_argument("file", metavar="FILE", help="design file (TOML)")
    sub.add_argument(
        "--set", metavar="PART.FIELD=VALUE", action="append", default=[], dest="changes",
        help="try a value, e.g. --set case.wall='1/8 in'; may be repeated",
    )  # fmt: skip
    units = sub.add_mutually_exclusive_group()
    units.add_argument("--inch", action="store_const", const="inch", dest="system",
                       help="show inches and psi; default: as the design is written")  # fmt: skip
    units.add_argument("--metric", action="store_const", const="metric", dest="system",
                       help="show millimetres and MPa")  # fmt: skip
    return sub


def changed(design: Design, settings: Sequence[str]) -> Design:
    """A design with `PART.FIELD=VALUE` settings. Raises DesignError."""
    values = {}
    for setting in settings:
        path, sign, value = setting.partition("=")
        if not sign:
            raise DesignError([Problem("", setting, f"{quoted(setting)} is no PART.FIELD=VALUE")])
        values[path.strip()] = value.strip()
    return design.evolved(values, assume=None) if values else design


def main(argv: Sequence[str] | None = None) -> int:
    """Run a command; returns the exit code: 0 meets, 1 short or no answer, 2 bad input."""
    args = parser().parse_args(completed(sys.argv[1:] if argv is None else argv))
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):  # a sign that an old code page lacks is no fault
            stream.reconfigure(errors="replace")
    try:
        return _run(args)
    except DesignError as error:
        for problem in error.problems:
            print(f"hobbyclosure: {problem}", file=sys.stderr)
    except BrokenPipeError:
        sys.stderr.close()
    return BAD_INPUT


def _run(args: argparse.Namespace) -> int:
    if args.command in (None, "open"):
        from app.serve import PortError, serve

        where = getattr(args, "file", None)
        if where:
            file.load(where)  # what cannot be read at all is said here, not in the browser
        try:
            serve(
                Path(where) if where else None,
                port=getattr(args, "port", 0),
                browser=not getattr(args, "no_browser", False),
                recover=not getattr(args, "as_saved", False),
                share_address=getattr(args, "share_address", None),
            )
        except PortError as error:
            print(f"hobbyclosure: {error}", file=sys.stderr)
            return BAD_INPUT
        return MEETS
    loaded = file.opened(args.file)
    assessment = Assessment(changed(loaded.design, args.changes))
    system = args.system or loaded.design.system
    if args.command == "working":
        if args.check not in CHECKS and args.check not in QUANTITIES:
            known = "\n  ".join(CHECKS)
            print(f"hobbyclosure: {quoted(args.check)} is no check; these are:\n  {known}",
                  file=sys.stderr)  # fmt: skip
            return BAD_INPUT
        print(working.plain(assessment, args.check, system))
        return MEETS
    if args.command == "sheet":
        return _sheet(args, assessment.design, loaded, system)
    if args.json:
        print(json.dumps(report.as_json(assessment), indent=2, allow_nan=False))
    else:
        print(report.as_table(assessment, system, loaded.unknown))
    return MEETS if assessment.state in ("meets", "close") else FALLS_SHORT


def _sheet(args: argparse.Namespace, design: Design, loaded: file.Loaded, system: str) -> int:
    from app import sheet  # its compiler is needed by nothing else here

    out = Path(args.out) if args.out else Path(Path(args.file).stem + ".pdf")
    if out.resolve() == Path(args.file).resolve():
        print(f"hobbyclosure: {out}: is the design itself: name another file", file=sys.stderr)
        return BAD_INPUT
    text = file.written(design, loaded.document, system)
    if args.bench:
        made = sheet.bench_form(design, system, args.paper, text=text)
    else:
        made = sheet.pdf(
            design, system, args.paper, text=text, working=not args.short, steps=args.steps
        )
    try:
        file.save(made, out)
    except OSError as error:
        why = error.strerror or error
        print(f"hobbyclosure: {out}: not written: {why}", file=sys.stderr)
        return BAD_INPUT
    print(out)
    return MEETS
