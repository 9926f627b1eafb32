"""Hostile content: shown as text or refused by name; never run, never slow."""

import json
import re
from functools import cache
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
import tomlkit
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from app.cli import main
from app.session import Session
from app.views import leaves, rows
from app.views.base import View
from app.views.notebook import Notebook
from hobbyclosure import file, log, trace_csv
from hobbyclosure.design import Design, DesignError
from hobbyclosure.fields import FIELDS
from hobbyclosure.starting import starting
from tests.designs import DEMO_FILE

TEXT = DEMO_FILE.read_text(encoding="utf-8")
TEXTS = {
    "markup": "</script></header><b onmouseover='x()'>bold</b><!-- &amp; -->",
    "script": "<script>window.hacked=1</script><img src=x onerror=\"window.hacked=1\">",
    "typst": '#eval("1+1") #read("/etc/passwd") #import "x.typ" $x^2$ *b* _i_ \\ @ref <label>',
    "shell": "$(touch hacked); `id` | rm -rf ~ && echo %PATH% ${HOME}",
    "control": "a\x00b\x07c\x1b[31md\x1b]0;title\x07\x7f\x9b2Je\rf\ng\x85h",
    "bidi": "\u202egnp.exe\u202c \u2066\u200f\u061c\u200b\ufeff end",
    "long": "long name " * 10_000,
    "path": "../../../../etc/passwd",
    "windows path": "..\\..\\C:\\Windows\\x:stream",
    "device": "NUL",
    "console": "con",
    "dots": "..",
    "toml": '"""\n[case]\nwall = "9 mm"\n\'\'\'',
    "template": "{{ 7*7 }} {% raw %} ${7*7} %s %n {0.__class__}",
    "csv formula": '=cmd|"/c calc"!A1',
    "combining": "Z" + "\u0336\u0489" * 5000,
}  # fmt: skip
texts = pytest.mark.parametrize("text", TEXTS.values(), ids=TEXTS.keys())


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder for designs, alone in another: what is written outside it is seen."""
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    found = tmp_path / "deep" / "designs"
    found.mkdir(parents=True)
    return found


@pytest.fixture
def session(folder: Path) -> Session:
    path = folder / "mine.toml"
    path.write_text(TEXT, encoding="utf-8")
    found = Session(path)
    assert found.load_path(path)
    return found


def toml(text: str) -> str:
    """A string of TOML that says this."""
    return tomlkit.item(text).as_string()


def named(name: str) -> str:
    """The demo's file under another name."""
    return TEXT.replace('"Tidewater"', toml(name), 1)


def shows(text: str) -> bool:
    """Whether a text is one that a person can see whole, on lines."""
    return all(c.isprintable() or c == "\n" for c in text)


class Tags(HTMLParser):
    """The elements of HTML and the names of their attributes: what a browser would make of it."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.found: list[Any] = []
        self.feed(html)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, [name for name, _ in attrs]))

    def handle_endtag(self, tag: str) -> None:
        self.found.append(tag)

    def handle_comment(self, data: str) -> None:
        self.found.append("comment")


# ---- names, in the file and on the page


@texts
def test_a_name_is_read_as_text_and_is_kept_in_the_file_as_it_was(text: str):
    loaded = file.loads(named(text))
    assert loaded.problems == ()
    name = loaded.design.name
    assert name == "".join(c if c.isprintable() else "�" for c in text[:200])
    changed = file.written(loaded.design.evolved({"screw.count": "13"}), loaded.document)
    assert file.loads(changed).document["name"] == text
    fresh = file.loads(file.written(loaded.design, None))
    assert fresh.problems == ()
    assert fresh.design.says_the_same(loaded.design)


@texts
@pytest.mark.parametrize("leaf", ["log", "save as", "new", "faults", "compare:0:1"])
def test_what_the_panel_shows_of_a_text_is_text(folder: Path, leaf: str, text: str):
    found = []
    for name in ("Plain", text):
        session = Session(folder / f"{len(found)}.toml")
        session.load_text(named(name), "a.toml")
        session.open = ("new",)
        leaves.create(session, {"name": name, "case.bore": name})
        session.note(f"x {name}")
        session.change({"screw.count": "13"})
        session.note(f"y {name}")
        session.faults = file.loads(TEXT.replace('"M6"', toml(name))).problems
        session.open = (leaf,)
        found.append(Tags(leaves.content(session)).found)
        assert shows(leaves.content(session))
        session.autosave.clear()
    assert found[0] == found[1]


@texts
def test_the_file_that_is_offered_has_a_plain_name(folder: Path, text: str):
    session = Session(folder / "mine.toml")
    session.load_text(named(text), text)
    offered = leaves.file_name(session)
    assert re.fullmatch(r"\w[\w-]{0,63}\.toml", offered)
    assert offered.removesuffix(".toml") not in ("nul", "con")
    bar = Notebook(session)._bar()
    assert shows(json.dumps(bar, ensure_ascii=False))
    assert session.save(folder / offered)
    assert file.opened(folder / offered).design.says_the_same(session.design)


@texts
def test_saving_stays_in_the_folder_or_is_refused_by_name(session: Session, text: str):
    assert session.path is not None
    folder = session.path.parent
    for name in (text, f"{text}.toml", f"x/{text}", f"x\x00{text}"):
        leaves.save_as(session, name)
        made = [p for p in folder.parent.rglob("*") if p.name != "mine.toml" and p != folder]
        assert made == []
        assert session.path == folder / "mine.toml"
        assert session.told["save as"].startswith("Not saved: ")
        assert shows(session.told["save as"])
        assert len(session.told["save as"]) < 200


@texts
def test_what_is_written_down_is_text(session: Session, text: str):
    assert session.note(text)
    (entry,) = session.logged()
    assert entry.text == log.clean(text)
    assert shows(entry.text)
    assert len(entry.text) <= log.LONGEST
    assert session.note("next")
    assert file.loads(session.logged()[0].design).design.says_the_same(session.design)


@texts
def test_a_field_refuses_what_is_no_value_in_a_line(session: Session, text: str):
    before = session.design
    for path in FIELDS:
        assert not session.change({path: text})
        assert shows(session.told[path])
        assert len(session.told[path]) < 400
        if FIELDS[path].tol:
            assert not session.measure(path, text)
            assert not session.measure(path, str(before[path].typed or "1 mm"), text)
            assert not session.tolerate(path, text)
            assert all(shows(said) and len(said) < 400 for said in session.told.values())
    assert session.design is before
    assert not session.restore(10**30)
    html = Tags(leaves.content(session)).found
    assert html == []


@texts
def test_own_rows_and_unknown_keys_are_text(folder: Path, text: str):
    text = text[:20_000]
    row = f'label = {toml(text)}\nsource = {toml(text)}\nlike = "6061-T6-bar"\n'
    key = tomlkit.key(text).as_string()
    loaded = file.loads(
        TEXT.replace('"6061-T6-drawn-tube"', '"mine"')
        + f"[material.mine]\n{row}{key} = 1\n[case.{key}]\nx = 1\n[{key}]\ny = 2\n"
    )
    assert loaded.problems == ()
    assert all(shows(said) and len(said) < 200 for said in loaded.unknown)
    mine = loaded.design.materials["mine"]
    assert shows(mine.label)
    assert len(mine.label) <= 80
    session = Session(folder / "own.toml")
    assert session.load(loaded, None)
    session.open = ("remarks",)
    assert "<script" not in leaves.content(session)
    assert shows(leaves.content(session))
    session.open = (f"{rows.OPENS}case",)
    assert shows(json.dumps(session.design.choices(FIELDS["case.material"]), ensure_ascii=False))
    bad = file.loads(TEXT + f"[material.{key}]\n{row}")
    assert all(shows(str(p)) and len(str(p)) < 200 for p in bad.problems)
    assert bool(bad.problems) == (len(text) > 80 or not text.isprintable())


# ---- bombs


DEEP = 30_000
TOML_BOMBS = {
    "arrays in arrays": "a = " + "[" * DEEP + "]" * DEEP,
    "tables in tables": "a = " + "{a=" * DEEP + "1" + "}" * DEEP,
    "dotted key": "a" + ".a" * DEEP + " = 1",
    "dotted table": "[a" + ".a" * DEEP + "]",
    "array": "a = [" + "1," * 45_000 + "]",
    "lines of array": "a = [\n" + "1,\n" * 30_000 + "]",
    "keys": "".join(f"k{i} = 1\n" for i in range(9_000)),
    "dotted keys": "".join(f"a.b.c.d.e.f{i} = 1\n" for i in range(5_000)),
    "tables": "".join(f"[t{i}]\n" for i in range(10_000)),
    "arrays of tables": "[[e]]\n" * 15_000,
    "integer": "a = " + "9" * 90_000,
    "unclosed": 'a = """' + "x" * 90_000,
    "same again": "a = 1\n" * 15_000,
    "large": "# x\n" * 50_000,
    "numbers in a field": "[case]\nwall = [" + "1," * 45_000 + "]",
}


@pytest.mark.parametrize("bomb", TOML_BOMBS.values(), ids=TOML_BOMBS.keys())
def test_a_bomb_is_refused_before_the_slow_reader_sees_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, bomb: str
):
    def never(text: str) -> None:
        raise AssertionError(f"{len(text)} characters were handed on")

    monkeypatch.setattr(tomlkit, "parse", never)
    path = tmp_path / "bomb.toml"
    path.write_text(bomb, encoding="utf-8")
    for read in (lambda: file.load(path), lambda: file.loads(bomb, "bomb.toml")):
        with pytest.raises(DesignError) as caught:
            read()
        assert str(caught.value).startswith("bomb.toml")
        assert shows(str(caught.value))
        assert len(str(caught.value)) < 250


HEAD = "time [s],pressure [bar]\n"
GOOD = "".join(f"{i / 100},{min(i, 50 - i)}\n" for i in range(51))
CSV_BOMBS = {
    "one line": "a" * 5_000_000,
    "digits": HEAD + "0," + "1" * 5_000_000,
    "a million columns": ",".join(["x"] * 1_000_000) + "\n" + GOOD,
    "a million numbers": ",".join(["1"] * 1_000_000),
    "a million cells": HEAD + GOOD + ",".join(["1"] * 1_000_000),
    "unclosed quote": HEAD + GOOD + '"' + "1," * 2_000_000,
    "quotes": HEAD + '"' * 5_000_000,
    "quotes and commas": HEAD + '",' * 2_500_000,
    "tabs": "time [s]\tpressure [bar]\n" + '"' + "\t" * 5_000_000,
    "lines": "\n" * 5_000_000,
    "comments": "#\n" * 400_000,
    "brackets": "[" * 15_000 + "\n" + GOOD,
    "thousands": "time [s];pressure [bar]\n" + ("1;" + "1,000" * 80 + "x\n") * 11_000,
    "too large": HEAD + "0,1e999\n" * 300_000,
    "binary": HEAD + "\x00\x01" * 100,
    "ten megabytes": HEAD + "0,1\n" * 2_500_000,
}


@pytest.mark.parametrize("bomb", CSV_BOMBS.values(), ids=CSV_BOMBS.keys())
def test_a_trace_that_is_a_bomb_is_refused_with_few_rows_looked_at(
    monkeypatch: pytest.MonkeyPatch, bomb: str
):
    looked_at = []
    parts = trace_csv._parts

    def counted(line: str, form: Any) -> Any:
        looked_at.append(len(line))
        return parts(line, form)

    monkeypatch.setattr(trace_csv, "_parts", counted)
    for content in (bomb, bomb.encode()):
        looked_at.clear()
        with pytest.raises(trace_csv.TraceError) as caught:
            trace_csv.read(content, "bomb.csv")
        assert shows(str(caught.value))
        assert len(str(caught.value)) < 250
        assert len(looked_at) < 10_100
        assert max(looked_at, default=0) <= trace_csv.LONGEST_LINE


@texts
def test_a_trace_is_named_by_the_last_part_of_its_name(text: str):
    name = trace_csv.read(HEAD + GOOD, text).name
    assert shows(name)
    assert 0 < len(name) <= 60
    assert not set(name) & set("/\\\n")
    line = " ".join(text[:60].split()).replace('"', "").replace("\x00", "")
    try:
        found = trace_csv.read(f'time [s],"{line} [bar]",p [bar]\n' + GOOD.replace(",", ",1,"))
        said = found.remarks
    except trace_csv.TraceError as error:
        said = (str(error),)
    assert all(shows(one) and len(one) < 200 for one in said)


# ---- paper and the command line


def test_a_hostile_design_is_assessed_and_put_on_paper_as_text(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
):
    monkeypatch.chdir(tmp_path)
    name = '#read("/etc/passwd") $x$ <b>'
    label = '#eval("40+2") \\u{202e} `ls` <script>\x1b[31m\u202e'
    runs = 'trace = [{file = "../../#panic(1).csv", rows = 9, peak = "4 MPa"}]\n'
    text = (
        named(name)
        .replace('"6061-T6-drawn-tube"', '"mine"')
        .replace("[loads]\n", "[loads]\n" + runs)
    )
    text += (
        f'[material.mine]\nlabel = {toml(label)}\nsource = {toml(label)}\nlike = "6061-T6-bar"\n'
    )
    Path("mine.toml").write_text(text, encoding="utf-8")
    assert main(["assess", "mine.toml"]) in (0, 1)
    assert shows(capsys.readouterr().out)
    for how in (["--short"], ["--bench"]):
        assert main(["sheet", "mine.toml", "-o", "mine.pdf", *how]) == 0
        reader = PdfReader("mine.pdf")
        said = "".join(page.extract_text() for page in reader.pages)
        assert '#read("/etc/passwd")' in said.replace("”", '"').replace("“", '"')
        assert "root:" not in said
        assert "42" not in [word for word in said.split() if word.startswith("#")]
        attached = {k: v[0].decode() for k, v in reader.attachments.items()}
        assert [file.loads(t).design.name for t in attached.values()] == [name]
    capsys.readouterr()
    assert sorted(p.name for p in tmp_path.iterdir()) == ["mine.pdf", "mine.toml"]


def test_a_design_of_any_name_is_a_plain_one():
    assert Design("a\x00\u202eb").name == "a��b"
    assert len(Design("x" * 10**6).name) == 200


KINDS = (
    "adopt", "back", "build", "close", "compare", "compound", "copy", "corner", "create", "drop",
    "field", "goto", "hold", "keep", "leave", "log", "map", "measured", "more", "move", "new",
    "note", "open", "opened", "page", "part", "pick", "place", "preview", "raw", "redo", "refuse",
    "remove", "restore", "ring", "save as", "seen", "share", "size", "slid", "strength", "take",
    "take peak", "take ring", "tolerance", "too large", "trace", "trace too large", "turn", "typed",
    "undo", "units",
)  # fmt: skip
WORDS = st.sampled_from([
    "case.wall", "screw.count", "loads.meop_given", "loads", "case", "hold", "seal", "primary",
    "case.wall.yield", "seal.liner.gap", "232", "inch", "now", "0:now", "1 mm", "sum", "hot", "",
    "every", "warnings:case.wall", "compare:0:now", *TEXTS.values(),
])  # fmt: skip
PLAIN = st.none() | st.booleans() | st.integers() | st.floats() | WORDS
KEYS = st.sampled_from(
    ["path", "value", "text", "at", "id", "x", "y", "name", "size", "accuracy", "case.wall"]
)
SENT = st.recursive(PLAIN, lambda s: st.lists(s, max_size=3) | st.dictionaries(KEYS, s, max_size=5))


@settings(max_examples=50, deadline=None, database=None, suppress_health_check=list(HealthCheck))
@given(st.lists(st.tuples(st.integers(0, 99), st.sampled_from(KINDS), SENT), max_size=8))
def test_no_message_breaks_a_notebook(session: Session, folder: Path, sent: list[Any]) -> None:
    """Whatever a browser sends: the page answers, and says the same as a fresh one would."""
    book = Notebook(session)
    views = _views(book)
    for place, kind, payload in sent:
        view = views[place % len(views)]
        view._handle_msg({"kind": kind, "payload": payload})
        view.slid = json.dumps(payload)[:2000]
    assert book.hold.verdict(book.scene()) == Notebook(session).hold.verdict(book.scene())
    assert [p.name for p in folder.iterdir() if not p.name.startswith("mine.")] == []
    assert (folder / "mine.toml").read_text(encoding="utf-8") == TEXT


NASTY: list[Any] = [None, 1e308, float("nan"), float("-inf"), -1, 10**400, "", [], {}, [{}],
                    "\ud800", "9" * 5000, True, 2.0]  # fmt: skip
ODD_KEYS = ("path", "value", "text", "at", "id", "x", "y", "name", "size", "accuracy")
SLOW = ("keep", "map", "create")  # and of what is sent with them one key at most is looked at


@pytest.mark.parametrize("kind", KINDS)
def test_no_single_message_breaks_a_notebook(
    session: Session, kind: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every kind to every view, with what no browser of ours sends, plain and under each key."""
    monkeypatch.setattr(leaves, "starting", cache(starting))  # most of them ask for the same
    book = Notebook(session)
    under = [dict.fromkeys(ODD_KEYS, x) for x in NASTY]
    if kind not in SLOW:
        under += [{"path": "case.wall", "id": "hot", "text": "1", "value": 1, key: x}
                  for key in ODD_KEYS for x in NASTY]  # fmt: skip
    for view in {view._heard: view for view in _views(book)}.values():
        for payload in (*under, *NASTY):
            view._handle_msg({"kind": kind, "payload": payload})
    for page in book.pages:  # what was taken in may be looked at on any of them
        book.turn(page)
    assert book.hold.verdict(book.scene()) == Notebook(session).hold.verdict(book.scene())


@pytest.mark.parametrize("slid", ["", "{", "nan", "null", "[" * 5000, "9" * 5000, "1e999", "{}",
                                  '{"path":{}}', '{"path":"case.wall","value":1e999}',
                                  '{"path":"case.wall","value":' + "9" * 400 + "}",
                                  '{"id":"hot","value":' + "9" * 400 + "}"])  # fmt: skip
def test_no_slide_breaks_a_notebook(session: Session, slid: str) -> None:
    book = Notebook(session)
    for view in _views(book):
        view.slid = slid
        view.value = 1e308
        view.value = float("nan")
    assert book.hold.verdict(book.scene()) == Notebook(session).hold.verdict(book.scene())


def _views(book: Notebook) -> list[View]:
    for page in ("loads", "seal", "hold"):
        book.turn(page)
    views = [x for x in book.roots().values() if isinstance(x, View)]
    views += [view for _, view in book.seal.places.values()]
    views += book.loads.views or ()
    assert len(views) > 20
    return views
