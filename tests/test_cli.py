"""The command as it is typed: what it prints, in which shape, and with which exit code."""

import io
import json
import math
import os
import re
import shutil
import socket
import subprocess
import sys
from collections.abc import Callable
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path

import pytest
from pypdf import PdfReader

from app import cli
from app.cli import main
from hobbyclosure import Assessment, Design, __version__, file, study, words
from hobbyclosure.fingerprint import fingerprint
from hobbyclosure.graph import CHECKS, QUANTITIES
from tests.designs import DEMO, DEMO_FILE
from tests.support import case

MEETS, FALLS_SHORT, BAD_INPUT = 0, 1, 2
FEW = "screw.count=8"
STATES = {"meets", "close", "short", "no answer", "does not apply"}
TOO_HOT = "case.metal_temperature=390 °C"  # past every table of the alloy


def typed(*args: str | Path) -> subprocess.CompletedProcess[str]:
    """Run the installed command in a process of its own."""
    beside = Path(sys.executable).with_name("hobbyclosure")
    command = str(beside) if beside.exists() else shutil.which("hobbyclosure")
    assert command
    return subprocess.run([command, *map(str, args)], capture_output=True, text=True, timeout=120)


def called(*args: str | Path) -> subprocess.CompletedProcess[str]:
    """Run what the installed command runs, in this process; an exception is not caught."""
    line = list(map(str, args))
    with redirect_stdout(io.StringIO()) as out, redirect_stderr(io.StringIO()) as err:
        try:
            code = main(line)
        except SystemExit as end:  # of the parser
            code = int(end.code or 0)
    return subprocess.CompletedProcess(line, code, out.getvalue(), err.getvalue())


Run = Callable[..., subprocess.CompletedProcess[str]]


def refusal(*args: str | Path, run: Run = called) -> list[str]:
    """Run what is bad input; return the lines that say why."""
    done = run(*args)
    assert done.returncode == BAD_INPUT, done.stdout
    assert done.stdout == ""
    assert "Traceback" not in done.stderr
    return done.stderr.splitlines()


def demo_with(folder: Path, old: str, new: str) -> Path:
    """The demo's file with a change, in a folder of the test."""
    text = DEMO_FILE.read_text(encoding="utf-8")
    assert old in text
    path = folder / "changed.toml"
    path.write_text(text.replace(old, new), encoding="utf-8")
    return path


def close(found: float | None, expected: float) -> bool:
    """Whether JSON holds a number of ours; what is no number is null there."""
    if found is None or not math.isfinite(expected):
        return found is None and not math.isfinite(expected)
    return math.isclose(found, expected, rel_tol=1e-12, abs_tol=1e-12)


def test_the_command_typed_says_and_ends_as_when_called(tmp_path: Path) -> None:
    """The other tests call it in this process; each kind of them is typed here as well."""
    bad = tmp_path / "bad.toml"
    bad.write_bytes(bytes(range(256)))
    few = ("--set", FEW)
    for args in (
        ("assess", DEMO_FILE), ("assess", DEMO_FILE, *few, "--inch"),
        ("assess", DEMO_FILE, "--set", TOO_HOT), ("assess", DEMO_FILE, "--json", *few),
        ("working", DEMO_FILE, "screw.shear", "--inch"), ("working", DEMO_FILE, "screw.sheer"),
        ("assess", bad), ("working", bad, "screw.shear"), ("open", bad, "--no-browser"),
        ("assess",),
    ):  # fmt: skip
        with case(*args):
            one, other = typed(*args), called(*args)
            assert one.returncode == other.returncode
            assert one.stdout == other.stdout
            assert one.stderr == other.stderr


def test_the_table_is_headed_by_what_its_sheet_is_headed_by(tmp_path: Path) -> None:
    tried = (DEMO_FILE, "--set", "screw.count=11")
    done = called("assess", *tried)
    mine = f"design {fingerprint(file.load(DEMO_FILE).design.evolved({'screw.count': '11'}))}"
    assert mine in done.stdout.partition("\n")[0]
    out = tmp_path / "mine.pdf"
    assert (
        called("sheet", DEMO_FILE, "--set", "screw.count=11", "--bench", "-o", out).returncode
        == MEETS
    )
    assert mine in re.sub(r"\s+", " ", PdfReader(out).pages[0].extract_text())


def test_the_version_is_the_package_s_own() -> None:
    done = typed("--version")
    assert (done.returncode, done.stdout) == (MEETS, f"hobbyclosure {__version__}\n")


def test_help_names_every_command() -> None:
    done = typed("--help")
    assert done.returncode == MEETS
    assert all(word in done.stdout for word in ("open", "assess", "working", "--version"))


@pytest.mark.parametrize(
    ("settings", "code"), [((), MEETS), ((FEW,), FALLS_SHORT), (("screw.count=many",), BAD_INPUT)]
)
def test_assess_ends_with_the_code_of_its_verdict(settings: tuple[str, ...], code: int) -> None:
    done = called("assess", DEMO_FILE, *(x for s in settings for x in ("--set", s)))
    assert done.returncode == code
    if code != BAD_INPUT:
        design = DEMO.evolved({"screw.count": "8"}) if settings else DEMO
        state = Assessment(design).state
        assert (state in ("meets", "close")) == (code == MEETS)
        assert done.stderr == ""


def test_no_answer_ends_like_short() -> None:
    thin = {"closure.plate": "8 mm"}
    assert Assessment(DEMO.evolved(thin)).state == "no answer"
    assert called("assess", DEMO_FILE, "--set", "closure.plate=8 mm").returncode == FALLS_SHORT


@pytest.mark.parametrize("system", [(), ("--inch",)])
@pytest.mark.parametrize("settings", [(), ("--set", FEW), ("--set", TOO_HOT)])
def test_the_table_fits_eighty_columns_and_says_what_the_library_says(
    settings: tuple[str, ...], system: tuple[str, ...]
) -> None:
    done = called("assess", DEMO_FILE, *settings, *system)
    path, _, value = settings[1].partition("=") if settings else ("", "", "")
    a = Assessment(DEMO.evolved({path: value}) if settings else DEMO)
    assert [line for line in done.stdout.splitlines() if len(line) > 80] == []
    flat = " ".join(done.stdout.split())
    shown = "inch" if system else "metric"
    assert str(words.verdict(a, shown)) in flat
    assert words.CAUTION in flat
    for id, state in a.states.items():
        row = re.search(rf"^{re.escape(id)} .*$", done.stdout, re.MULTILINE)
        if state == "does not apply":  # left out: nothing is asked of this design
            assert row is None, id
        else:
            assert row is not None, id
            assert re.search(rf"\b{state}\b", row[0]), id
    for warning in words.warnings(a, shown):
        assert warning.text in flat
    assert ("psi" if system else "MPa") in flat
    assert ("MPa" if system else "psi") not in flat


def assert_json_is(text: str, design: Design) -> None:
    """JSON of an assessment has the agreed shape and holds the library's numbers in SI."""
    found, a = json.loads(text, parse_constant=pytest.fail), Assessment(design)
    assert list(found) == [
        "design", "fingerprint", "meop", "quantities", "checks", "ladder", "warnings"
    ]  # fmt: skip
    assert found["fingerprint"] == fingerprint(design)
    assert found["design"] == design.name
    assert close(found["meop"], float(a.values["loads_meop"]))
    assert set(found["quantities"]) == set(QUANTITIES)
    for name, value in found["quantities"].items():
        assert close(value, float(a.values[name])), name
    assert [check["id"] for check in found["checks"]] == list(CHECKS)
    keys = ["id", "part", "demand", "capacity", "unit", "factor", "required", "state"]
    for check in found["checks"]:
        ours = a.results[check["id"]]
        assert list(check) == [*keys, "evidence", "source", "reason"]
        assert check["part"] == check["id"].split(".")[0]
        assert check["state"] == a.states[check["id"]]
        assert check["state"] in STATES
        for key in ("demand", "capacity", "factor", "required"):
            assert close(check[key], float(getattr(ours, key))), (check["id"], key)
        assert check["evidence"] in ("standard", "theory", "practice", "weak")
        assert check["source"]
        answered = check["state"] in ("meets", "close", "short")
        assert (check["reason"] is None) == answered
        assert (check["factor"] is None) != answered
    rungs = study.ladder(a)
    assert [rung["check"] for rung in found["ladder"]] == [
        r.check.id if r.check else None for r in rungs
    ]
    for rung, ours in zip(found["ladder"], rungs, strict=True):
        assert set(rung) == {"check", "pressure", "outcome"}
        assert close(rung["pressure"], ours.pressure)
        assert rung["outcome"]
    said = [(w["level"], w["check"], w["text"]) for w in found["warnings"]]
    assert said == [(w.level, w.check or None, w.text) for w in words.warnings(a)]


@pytest.mark.parametrize(
    "changes",
    [{}, {"screw.count": "8"}, {"case.metal_temperature": "390 °C"}, {"case.other_end_holds": ""}],
    ids=["demo", "few screws", "no answer", "other end not known"],
)
def test_json_holds_the_library_s_numbers_in_si_units(
    changes: dict[str, str], tmp_path: Path
) -> None:
    path, settings = DEMO_FILE, [x for k, v in changes.items() for x in ("--set", f"{k}={v}")]
    done = called("assess", path, "--json", *settings)
    assert done.stderr == ""
    assert_json_is(done.stdout, DEMO.evolved(changes) if changes else DEMO)


def test_json_is_the_same_whatever_units_are_shown() -> None:
    metric, inch = (called("assess", DEMO_FILE, "--json", *x).stdout for x in ((), ("--inch",)))
    first, second = json.loads(metric), json.loads(inch)
    texts = [found.pop("warnings") for found in (first, second)]
    assert first == second
    assert len(texts[0]) == len(texts[1])


def test_several_settings_are_taken_together() -> None:
    settings = ("--set", "case.wall=3/16 in", "--set", " screw.count = 16")
    done = called("assess", DEMO_FILE, "--json", *settings)
    assert_json_is(done.stdout, DEMO.evolved({"case.wall": "3/16 in", "screw.count": "16"}))


@pytest.mark.parametrize("id", list(CHECKS))
def test_working_ends_in_the_numbers_of_its_check(id: str) -> None:
    assert main(["working", str(DEMO_FILE), id]) == MEETS


@pytest.mark.parametrize(("id", "system"), [("case.wall.burst", ()), ("screw.shear", ("--inch",))])
def test_working_shows_formula_numbers_source_and_evidence(
    id: str, system: tuple[str, ...]
) -> None:
    done = called("working", DEMO_FILE, id, *system)
    a, check = Assessment(DEMO), CHECKS[id]
    flat = " ".join(done.stdout.split())
    assert (done.returncode, done.stderr) == (MEETS, "")
    assert check.source.lower() in flat.lower()
    assert a.evidence(check) in flat
    assert f"{float(a.results[id].factor):.2f}" in flat or f"{a.results[id].factor:.4g}" in flat
    assert flat.count("=") > 4


def test_working_of_a_quantity_is_shown_too() -> None:
    done = called("working", DEMO_FILE, "loads_meop")
    assert done.returncode == MEETS
    assert f"{float(Assessment(DEMO).values['loads_meop']) / 1e6:.3f}" in done.stdout


def test_an_unknown_check_is_refused_and_the_known_ones_are_listed() -> None:
    lines = refusal("working", DEMO_FILE, "screw.sheer")
    assert "'screw.sheer'" in lines[0]
    assert "screw.shear" in " ".join(lines[1:])


@pytest.mark.parametrize(
    ("setting", "said"),
    [
        ("case.wall=40 mm", ("case.wall", "'40 mm'", "0.5 mm to 25 mm")),
        ("case.wall=3", ("case.wall", "'3'", "no unit")),
        ("case.wall=1,5 mm", ("case.wall", "'1,5 mm'", "'1.5 mm'")),
        ("case.wall=NaN", ("case.wall", "'NaN'")),
        ("case.wall=1e400 mm", ("case.wall", "'1e400 mm'", "too large")),
        ("case.wal=3 mm", ("case.wal", "no such field")),
        ("screw.thread=M6.5", ("screw.thread", "'M6.5'", "M6")),
        ("screw.count=3.5", ("screw.count", "'3.5'")),
        ("case.wall", ("'case.wall'", "PART.FIELD=VALUE")),
        ("", ("PART.FIELD=VALUE",)),
    ],
)
def test_a_bad_setting_is_refused_in_one_line(setting: str, said: tuple[str, ...]) -> None:
    (line,) = refusal("assess", DEMO_FILE, "--set", setting)
    assert line.startswith("hobbyclosure: ")
    assert all(part in line for part in said), line


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('wall = "1/8 in"', 'wall = "3 MPa"', ("case.wall", "'3 MPa'", "0.5 mm to 25 mm")),
        ('wall = "1/8 in"', "wall = 3 mm", ("changed.toml", "line 13", "'wall = 3 mm'")),
        ('wall = "1/8 in"', "", ("case.wall", "missing")),
        ("schema = 1", "schema = 7", ("schema", "'7'")),
        ('wall = "1/8 in"', "wall = [1, 2]", ("case.wall", "'[1, 2]'")),
    ],
)
def test_a_fault_of_a_file_is_one_line(
    tmp_path: Path, old: str, new: str, said: tuple[str, ...]
) -> None:
    (line,) = refusal("assess", demo_with(tmp_path, old, new))
    assert all(part in line for part in said), line


def test_every_fault_of_a_file_has_its_line(tmp_path: Path) -> None:
    path = demo_with(tmp_path, 'wall = "1/8 in"', 'wall = "thin"')
    path.write_text(path.read_text(encoding="utf-8").replace('"M6"', '"M6.5"'), encoding="utf-8")
    lines = refusal("assess", path)
    assert len(lines) == 2
    assert "case.wall" in lines[0] + lines[1]
    assert "screw.thread" in lines[0] + lines[1]


@pytest.mark.parametrize("command", ["assess", "working", "open"])
@pytest.mark.parametrize("content", [None, b"", bytes(range(256)), b"x" * 2_000_000])
def test_what_is_no_design_file_is_refused_in_one_line(
    tmp_path: Path, command: str, content: bytes | None
) -> None:
    path = tmp_path / "design.toml"
    if content is not None:
        path.write_bytes(content)
    more = {"working": ["screw.shear"], "open": ["--no-browser"]}.get(command, [])
    (line,) = refusal(command, path, *more)
    assert "design.toml" in line
    assert len(line) < 200


def test_a_folder_is_no_design_file(tmp_path: Path) -> None:
    (line,) = refusal("assess", tmp_path)
    assert tmp_path.name in line


def test_unknown_keys_are_named_and_do_no_harm(tmp_path: Path) -> None:
    done = called("assess", demo_with(tmp_path, "[case]", '[case]\nwal = "3 mm"'))
    assert done.returncode == MEETS
    assert "case.wal" in done.stdout


@pytest.mark.parametrize("args", [("assess",), ("working", "x.toml"), ("asses", "x.toml")])
def test_a_command_that_is_not_whole_is_bad_input(args: tuple[str, ...]) -> None:
    assert "usage" in refusal(*args)[0]


def test_a_reader_that_stops_early_is_no_error() -> None:
    beside = Path(sys.executable).with_name("hobbyclosure")
    line = f"'{beside}' assess '{DEMO_FILE}' --json | head -1"
    done = subprocess.run(["sh", "-c", line], capture_output=True, text=True, timeout=120)
    assert done.stdout == "{\n"
    assert "Traceback" not in done.stderr
    assert "Exception" not in done.stderr


def test_an_old_code_page_is_no_fault() -> None:
    beside = Path(sys.executable).with_name("hobbyclosure")
    env = os.environ | {"PYTHONIOENCODING": "cp1252"}
    done = subprocess.run([beside, "assess", DEMO_FILE], capture_output=True, env=env, timeout=120)
    assert b"Traceback" not in done.stderr
    assert "What lets go first" in done.stdout.decode("cp1252")
    assert done.returncode == main(["assess", str(DEMO_FILE)])


def test_a_port_that_is_none_is_said_in_a_line() -> None:
    done = called("open", "--no-browser", "--port", "99999")
    assert done.returncode == BAD_INPUT
    assert done.stderr == "hobbyclosure: port 99999 is none: ports go from 1 to 65535\n"


def test_a_port_that_is_taken_is_said_in_a_line() -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        done = called("open", "--no-browser", "--port", str(port))
    assert done.returncode == BAD_INPUT
    assert done.stderr == (
        f"hobbyclosure: port {port} is taken; without --port a free one is found\n"
    )


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        (["--port", "6101"], ("open", 6101, None)),
        (["--no-browser", "mine.toml"], ("open", 0, "mine.toml")),
        (["open", "mine.toml", "--port", "6101"], ("open", 6101, "mine.toml")),
    ],
)
def test_options_without_a_command_are_those_of_open(typed, read):
    args = cli.parser().parse_args(cli.completed(typed))
    assert (args.command, args.port, args.file) == read
    assert cli.completed([]) == []
    assert cli.completed(["--version"]) == ["--version"]
