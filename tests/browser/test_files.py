"""Saving, opening, sharing a file, and what happens when it is no good."""

import json
import re
import subprocess
import time
from pathlib import Path

import pypdf
import pytest
from playwright.sync_api import expect

from app.demo import demo
from hobbyclosure import file
from hobbyclosure.fingerprint import fingerprint
from hobbyclosure.graph import CHECKS
from tests.browser.conftest import Server, Start, Visit, command
from tests.browser.notebook import COUNT, OTHER_END, PATIENCE, WALL, Notebook, five
from tests.designs import DEMO, DEMO_FILE
from tests.support import case

TEXT = DEMO_FILE.read_text(encoding="utf-8")
HOSTILE = """</script><img src=x onerror="window.hacked=1"><svg onload='window.hacked=1'>"""


def agrees_with_the_command(notebook: Notebook, path: Path) -> None:
    """The page's numbers are those of `assess --json` on a file."""
    run = subprocess.run(
        [command(), "assess", str(path), "--json"], capture_output=True, text=True, timeout=60
    )
    found, page = json.loads(run.stdout), notebook.read()
    ratios = {
        c["id"]: c["factor"] / c["required"] for c in found["checks"] if c["factor"] is not None
    }
    lowest = list(five(ratios))
    for plot in page["plots"]:
        assert [name for name, _ in plot["now"]] == [CHECKS[id].brief for id in lowest]
        shown = [float(number) for _, number in plot["now"]]
        assert shown == pytest.approx([ratios[id] for id in lowest], abs=0.0051)
    rungs = [
        [CHECKS[r["check"]].label if r["check"] else OTHER_END, f"{r['pressure'] / 1e6:.1f}"]
        for r in found["ladder"][:6]
    ]
    assert [[name, text.removeprefix("≈")] for name, _, text in page["ladder"]] == rungs
    assert page["name"] == found["design"]
    assert page["plots"][2]["value"] == pytest.approx(found["meop"] / 1e6, abs=1e-5)


def saved(notebook: Notebook) -> None:
    """Wait until the bar says that the design is saved."""
    notebook.wait("probe.page().saved.startsWith('saved')")


def save_as(notebook: Notebook, name: str) -> None:
    """Save under a name through the menu."""
    notebook.menu("Save under a name…")
    field = notebook.leaf.get_by_label("File name")
    field.fill(name)
    field.press("Enter")


def said(notebook: Notebook, why: str) -> None:
    """Wait until a reason stands below the box of the file's name, which keeps the focus."""
    notebook.leaf.locator(".said").filter(has_text=why).wait_for()
    assert notebook.leaf.get_by_label("File name").evaluate("(box) => box.matches(':focus')")


def faults(notebook: Notebook) -> list[str]:
    """The faults that the leaf lists."""
    notebook.leaf.locator(".item").first.wait_for()
    return notebook.leaf.locator(".item p").all_inner_texts()


def closed(notebook: Notebook) -> None:
    """Close the leaf by the keyboard."""
    notebook.page.keyboard.press("Escape")
    notebook.leaf.wait_for(state="detached")


def test_a_saved_design_reopens_with_the_same_numbers(visit: Visit, server: Server) -> None:
    notebook = visit()
    wall = notebook.drag(WALL, 2.9) / 1000
    notebook.drag(COUNT, 12)
    design = DEMO.evolved({"case.wall": wall, "screw.count": "12"})
    shown = notebook.shows(design)
    assert notebook.read()["saved"] == "not saved"
    save_as(notebook, "second try")
    saved(notebook)
    path = server.folder / "second try.toml"
    assert re.findall("#.*", path.read_text(encoding="utf-8")) == re.findall("#.*", TEXT)
    agrees_with_the_command(notebook, path)
    again = visit()
    again.open_file(path.name, path.read_bytes())
    reopened = again.shows(file.opened(path).design)
    same = ("verdict", "ladder", "pictures", "more", "name")
    assert {k: reopened[k] for k in same} == {k: shown[k] for k in same}
    assert [p["now"] for p in reopened["plots"]] == [p["now"] for p in shown["plots"]]


def test_a_file_opened_by_command_is_saved_in_place_with_its_comments(
    visit: Visit, start: Start, tmp_path: Path
) -> None:
    path = tmp_path / "mine.toml"
    path.write_text(TEXT.replace('count = "14"', 'count = "14"   # as drilled'), encoding="utf-8")
    before = path.read_text(encoding="utf-8").splitlines()
    notebook = visit(start(str(path)).url)
    notebook.shows(DEMO)
    agrees_with_the_command(notebook, path)
    notebook.drag(COUNT, 12)
    notebook.shows(DEMO.evolved({"screw.count": "12"}))
    assert path.read_text(encoding="utf-8").splitlines() == before
    notebook.page.keyboard.press("Control+s")
    saved(notebook)
    after = path.read_text(encoding="utf-8").splitlines()
    changed = [(a, b) for a, b in zip(before, after, strict=True) if a != b]
    assert changed == [('count = "14"   # as drilled', 'count = "12"   # as drilled')]
    agrees_with_the_command(notebook, path)


def test_what_someone_else_saved_meanwhile_is_not_overwritten(
    visit: Visit, start: Start, tmp_path: Path
) -> None:
    path = tmp_path / "shared.toml"
    path.write_text(TEXT, encoding="utf-8")
    notebook = visit(start(str(path)).url)
    notebook.type(COUNT, "13")
    mine = DEMO.evolved({"screw.count": "13"})
    notebook.shows(mine)
    theirs = TEXT.replace('wall = "1/8 in"', 'wall = "4 mm"') + "# partner was here\n"
    path.write_text(theirs, encoding="utf-8")
    notebook.page.keyboard.press("Control+s")
    (fault,) = faults(notebook)
    assert "shared.toml was changed" in fault
    assert path.read_text(encoding="utf-8") == theirs
    notebook.shows(mine)
    assert notebook.read()["saved"] == "not saved"
    save_as(notebook, "mine")
    saved(notebook)
    assert path.read_text(encoding="utf-8") == theirs
    assert file.opened(tmp_path / "mine.toml").design["screw.count"].now == 13


def test_saving_under_a_name_that_is_taken_overwrites_nothing(
    notebook: Notebook, server: Server
) -> None:
    taken = server.folder / "taken.toml"
    taken.write_text("# not yours\n", encoding="utf-8")
    save_as(notebook, "taken.toml")
    said(notebook, "exists: choose another name")
    assert taken.read_text(encoding="utf-8") == "# not yours\n"


def test_a_name_that_is_no_plain_file_name_is_refused(notebook: Notebook, server: Server) -> None:
    before = sorted(server.folder.parent.rglob("*.toml"))
    for name in ("../out", "a/b", "..", "nul\0", "<b>", "x" * 200):
        with case(repr(name)):
            save_as(notebook, name)
            said(notebook, "Not saved: ")
            assert sorted(server.folder.parent.rglob("*.toml")) == before
            closed(notebook)


def test_a_downloaded_copy_is_the_design(notebook: Notebook, tmp_path: Path) -> None:
    notebook.type(COUNT, "13")
    design = DEMO.evolved({"screw.count": "13"})
    notebook.shows(design)
    with notebook.page.expect_download() as coming:
        notebook.menu("Download a copy")
    assert coming.value.suggested_filename == "tidewater.toml"
    copy = tmp_path / coming.value.suggested_filename
    coming.value.save_as(copy)
    assert file.opened(copy).design == design


NONSENSE = [
    ("unit.toml", TEXT.replace('wall = "1/8 in"', 'wall = "3 MPa"'), "'3 MPa' is no length"),
    ("range.toml", TEXT.replace('wall = "1/8 in"', 'wall = "90 mm"'), "'90 mm' must be 0.5 mm"),
    ("syntax.toml", TEXT.replace('wall = "1/8 in"', "wall = 3 mm"), "line 13: 'wall = 3 mm'"),
    ("choice.toml", TEXT.replace('"M6"', '"M6.5"'), "'M6.5' is none of"),
    ("empty.toml", "", "is empty"),
    ("large.toml", "x" * 10_000_000, "is 10.0 MB"),
    ("binary.toml", bytes(range(256)) * 64, "binary.toml"),
    ("missing.toml", "schema = 1\n", "missing"),
    (f"{HOSTILE[:40]}.toml", f"name = '''{HOSTILE}'''\n{HOSTILE}", "is no TOML"),
]


def test_a_file_that_is_no_good_is_refused_and_the_last_good_design_stays(
    notebook: Notebook,
) -> None:
    good = DEMO.evolved({"screw.count": "13"})
    for name, content, said in NONSENSE:
        with case(name):
            notebook.type(COUNT, "13")
            notebook.shows(good)
            notebook.open_file(name, content)
            listed = faults(notebook)
            assert said in listed[0]
            assert all("\n" not in one and len(one) < 250 for one in listed)
            assert "still Tidewater" in notebook.leaf.inner_text()
            assert notebook.page.evaluate("window.hacked") is None
            notebook.shows(good)
            closed(notebook)
            notebook.type(COUNT, "12")  # and one can go on
            notebook.shows(DEMO.evolved({"screw.count": "12"}))


def test_every_fault_of_a_file_is_listed(notebook: Notebook) -> None:
    bad = TEXT.replace('wall = "1/8 in"', 'wall = "thin"').replace('"13 mm"', '"13 bar"', 1)
    notebook.open_file("two.toml", bad.replace('count = "14"', 'count = "1400"'))
    listed = " ".join(faults(notebook))
    assert all(path in listed for path in ("case.wall", "case.edge_distance", "screw.count"))


def test_an_unknown_key_is_named_kept_and_saved(visit: Visit, start: Start, tmp_path: Path) -> None:
    path = tmp_path / "extra.toml"
    path.write_text(TEXT.replace("[case]", '[case]\nwal = "3 mm"'), encoding="utf-8")
    notebook = visit(start(str(path)).url)
    notebook.shows(DEMO)
    assert "case.wal" in " ".join(t for t, *_ in notebook.page.evaluate("probe.texts()"))
    notebook.type(COUNT, "13")
    notebook.shows(DEMO.evolved({"screw.count": "13"}))
    notebook.page.keyboard.press("Control+s")
    saved(notebook)
    assert 'wal = "3 mm"' in path.read_text(encoding="utf-8")


def test_markup_in_a_name_a_note_or_a_value_is_only_text(
    visit: Visit, start: Start, tmp_path: Path
) -> None:
    design = TEXT.replace('"Tidewater"', f"'''{HOSTILE}'''") + f"\n[{json.dumps(HOSTILE)}]\nx = 1\n"
    path = tmp_path / f"{HOSTILE[9:22]}.toml"
    path.write_text(design, encoding="utf-8")
    by_command = visit(start(str(path)).url)
    by_hand = visit()
    by_hand.open_file("hostile.toml", design)
    for notebook in (by_command, by_hand):
        notebook.shows(file.loads(design).design)
        assert notebook.read()["name"] == HOSTILE
        assert "<img src=x" in notebook.leaf.inner_text()  # the key that is no field
        notebook.menu("Save under a name…")
        notebook.leaf.get_by_label("File name").wait_for()
        notebook.page.keyboard.press("Escape")
        notebook.open_file("worse.toml", design.replace('"M6"', f"'''{HOSTILE}'''"))
        assert "<img src=x" in faults(notebook)[0]
        assert notebook.page.evaluate("window.hacked") is None
        assert notebook.find("img[src=x]").count() == 0


def test_two_tabs_hold_two_designs(notebook: Notebook, visit: Visit) -> None:
    other = visit(beside=notebook)
    notebook.type(COUNT, "13")
    notebook.shows(DEMO.evolved({"screw.count": "13"}))
    other.type(WALL, "3.5")
    other.shows(DEMO.evolved({"case.wall": "3.5 mm"}))
    notebook.shows(DEMO.evolved({"screw.count": "13"}))
    other.find(".undo").click()
    other.shows(DEMO)
    other.find("[data-unit=inch]").click()
    other.shows(DEMO, "inch")
    notebook.shows(DEMO.evolved({"screw.count": "13"}))


def test_a_page_says_when_its_program_is_gone(visit: Visit, start: Start, tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_text(TEXT, encoding="utf-8")
    running = start(str(path))
    page = visit(running.url).page
    assert page.locator("#gone").is_hidden()
    running.process.kill()
    page.locator("#gone").wait_for(timeout=1000 * PATIENCE)
    assert "out of reach" in page.locator("#gone").inner_text()


def test_unsaved_work_outlives_the_program(visit: Visit, start: Start, tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_text(TEXT, encoding="utf-8")
    first = start(str(path))
    notebook = visit(first.url)
    notebook.type(COUNT, "13")
    changed = DEMO.evolved({"screw.count": "13"})
    notebook.shows(changed)
    state = tmp_path.parent / f"{tmp_path.name}-state"
    deadline = time.monotonic() + PATIENCE
    while not list(state.rglob("mine-*.toml")) and time.monotonic() < deadline:
        notebook.page.wait_for_timeout(20)  # the disk tells nobody
    first.process.kill()
    assert path.read_text(encoding="utf-8") == TEXT
    again = visit(start(str(path)).url)
    again.shows(changed)
    assert again.read()["saved"].startswith("not saved")
    again.find(".undo").click()
    again.shows(DEMO)


def test_a_page_loaded_anew_goes_on_with_its_own_design(
    visit: Visit, start: Start, tmp_path: Path
) -> None:
    running = start()
    notebook = visit(running.url)
    notebook.type(COUNT, "13")  # abandoned: it is the newest unsaved work all the same
    notebook.shows(DEMO.evolved({"screw.count": "13"}))
    other = visit(running.url, beside=notebook)
    other.open_file("first_sketch.toml", demo("first_sketch").read_text(encoding="utf-8"))
    sketch = file.load(demo("first_sketch")).design
    other.shows(sketch)
    for tab, design in ((other, sketch), (notebook, DEMO.evolved({"screw.count": "13"}))):
        tab.reloaded().shows(design)
    other.type(WALL, "3.5")
    changed = sketch.evolved({"case.wall": "3.5 mm"})
    other.shows(changed)
    save_as(other, "fs2")
    saved(other)
    other.reloaded().shows(changed)
    agrees_with_the_command(other, tmp_path / "fs2.toml")


def test_the_bar_makes_the_sheet_of_what_is_shown(visit: Visit) -> None:
    notebook = visit()
    notebook.drag(COUNT, 12)
    with notebook.page.expect_download() as download:
        notebook.menu("Summary, PDF")
    assert download.value.suggested_filename == "tidewater.pdf"
    made = pypdf.PdfReader(download.value.path())
    design = DEMO.evolved({"screw.count": "12"})
    said = " ".join(page.extract_text() for page in made.pages)
    assert fingerprint(design) in said
    notebook.find(".bar .name").click()
    expect(notebook.find(".bar .print")).to_have_text(f"On paper: design {fingerprint(design)}")
    notebook.page.keyboard.press("ArrowUp")  # from the first entry round to the last
    assert notebook.page.evaluate("probe.focused().dataset.what") == "night"
    notebook.page.keyboard.press("Escape")
    assert "Screws M6, one row" in " ".join(said.split())
    (inside,) = made.attachments["design.toml"]
    assert file.loads(inside.decode()).design.says_the_same(design)
    notebook.wait("() => probe.page().saved === 'not saved'")  # no longer that it is being made
