"""The summary sheet: what it says is what the assessment says, at true scale, whatever the name."""

import base64
import datetime
import io
import itertools
import json
import re
import threading
import time
from collections.abc import Callable, Iterable
from functools import partial
from pathlib import Path
from typing import Any

import attrs
import numpy as np
import pypdf
import pytest
from hypothesis import Phase, given, seed, settings

from app import printing, sheet
from app.cli import BAD_INPUT, MEETS, main
from app.copies import Copy
from app.session import Session
from app.sheet import bench, content, pictures
from hobbyclosure import Assessment, data, drawing, file, study, words, working
from hobbyclosure.assess import ABSENT
from hobbyclosure.data import seals
from hobbyclosure.design import Design, Entry
from hobbyclosure.fields import FIELDS, Field
from hobbyclosure.graph import CHECKS, QUANTITIES, needs
from hobbyclosure.phrases import pressure
from hobbyclosure.starting import starting
from hobbyclosure.trace import Run, named
from hobbyclosure.units import ANGLE, COUNT, LENGTH
from tests.designs import BENCH, DEMO, DEMO_FILE, DESIGNS
from tests.support import case

WHEN = datetime.datetime(2026, 11, 26, 9, 14)
POINTS = 72 / 25.4  # per mm
FIRST_SKETCH = file.load(DEMO_FILE.with_name("first_sketch.toml")).design
EBBSTONE = file.load(DEMO_FILE.with_name("ebbstone.toml")).design


def read(made: bytes) -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(made))


def text_of(made: bytes) -> str:
    """All words of a PDF, one space between them."""
    pages = "\n".join(page.extract_text() for page in read(made).pages)
    return re.sub(r"\s+", " ", pages)


@pytest.fixture(scope="module")
def tidewater() -> bytes:
    return sheet.pdf(DEMO, when=WHEN)


def test_it_is_tagged_titled_and_of_the_paper_asked_for(tidewater):
    root: Any = read(tidewater).trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert root["/Lang"] == "en"
    assert read(tidewater).metadata["/Title"] == "Tidewater, summary of the forward closure"
    assert read(tidewater).pages[0].mediabox[2:] == pytest.approx((595.28, 841.89), abs=0.01)
    letter = read(sheet.pdf(DEMO, paper="letter", working=False, when=WHEN))
    assert letter.pages[0].mediabox[2:] == pytest.approx((612, 792))
    with pytest.raises(ValueError, match="a4, letter"):
        sheet.pdf(DEMO, paper="a3")


def test_a_sound_design_s_summary_has_three_pages():
    runs = [Run(f"{'a' * 50}{n}.csv", 4812, 5.2e6 * (0.8 + n / 5), 0.1, 3.6, str(n) * 16)
            for n in range(2)]  # fmt: skip
    traced = [design.traced(runs) for design in (DEMO, EBBSTONE)]
    for design, paper in itertools.product((DEMO, EBBSTONE, *traced), content.PAPERS):
        pages = read(sheet.pdf(design, paper=paper, working=False, when=WHEN)).pages
        begun = [page.extract_text() for page in pages]
        assert len(pages) == 3, paper
        assert "signature" in begun[0]
        assert "both have read" in begun[0]
        assert "where the numbers come from" in begun[1]
        assert "what was seen, both names" in begun[2]


def test_a_rung_beyond_the_ladder_s_scale_is_an_arrow():
    scene = content.scene_of(EBBSTONE, "inch")
    beyond = [r for r in scene.shown.ladder[:9] if r.pressure > scene.ladder_top]
    made, _ = pictures.ladder(scene, 174)
    assert beyond
    assert len(re.findall(r'd="M[\d.]+ [\d.]+l7 5l-7 5Z"', made)) == len(beyond)


def test_every_page_says_what_it_is_and_to_beware(tidewater):
    pages = read(tidewater).pages
    for n, page in enumerate(pages, 1):
        said = re.sub(r"\s+", " ", page.extract_text())
        assert "Tidewater summary of the forward closure, 26 November 2026, 09:14" in said
        assert f"design {content.fingerprint(DEMO)}" in said
        assert words.CAUTION in said
        assert words.ESTIMATE in said
        assert f"page {n} of {len(pages)}" in said


@pytest.mark.parametrize("design", [DEMO, FIRST_SKETCH, EBBSTONE], ids=lambda d: d.name)
def test_every_step_behind_the_working_is_there_if_asked_for(design):
    system, a = design.system, Assessment(design)
    said = text_of(sheet.pdf(design, steps=True, when=WHEN))
    steps = said[said.index("Steps Every quantity behind the working") :]
    counted = [CHECKS[id] for id, state in a.states.items() if state != ABSENT]
    names = {n for check in counted for n in needs(check) if n in QUANTITIES and n not in a.inputs}
    assert len(names) > 150
    for name in names:
        found = working.working(a, name, system)
        title = re.sub(r"\s+", " ", found.title)
        begins = steps.find(f"{title} {QUANTITIES[name].evidence}, ")
        assert begins >= 0, name
        for line in found.lines:
            assert line.result in steps[begins : begins + 3000], name
    inputs = said[said.index("Inputs What the steps below begin with.") : -len(steps)]
    for title in ("Expected peak pressure", "Bore", "Screws in a row"):
        assert title in inputs


def test_every_step_is_there_if_asked_for_by_command(tmp_path: Path):
    out = tmp_path / "all.pdf"
    assert main(["sheet", str(DEMO_FILE), "-o", str(out), "--steps"]) == MEETS
    assert "Steps Every quantity" in text_of(out.read_bytes())


@pytest.mark.parametrize("design", [DEMO, FIRST_SKETCH, EBBSTONE], ids=lambda d: d.name)
def test_its_numbers_are_the_assessment_s(design):
    system, a = design.system, Assessment(design)
    said = text_of(sheet.pdf(design, when=WHEN))
    assert str(words.verdict(a, system)) in said
    for rung in study.ladder(a)[: sheet.RUNGS[content.USUAL[system]]]:
        assert pressure(rung.pressure, system, unit=False) in said
    for id, state in a.states.items():
        if state in (ABSENT, "no answer"):
            continue
        factor, wanted = words.two_decimals(
            float(a.results[id].factor), float(a.results[id].required)
        )
        assert f"{factor} {wanted}" in said, id
    for w in words.warnings(a, system):
        assert re.sub(r"\s+", " ", w.text) in said
    for caution in words.CAUTIONS:
        assert caution in said


def test_the_working_tells_formula_numbers_source_and_evidence(tidewater):
    said = text_of(tidewater)
    a = Assessment(DEMO)
    wall = CHECKS["case.wall.yield"]
    assert f"Wall yield {a.evidence(wall)}, {wall.source}" in said
    assert "79.55 MPa" in said  # von Mises at the bore, as test_working has it
    sources = {CHECKS[i].source for i, state in a.states.items() if state != ABSENT}
    assert [s for s in sources if re.sub(r"\s+", " ", s) not in said] == []


def test_the_design_s_own_file_is_inside(tidewater):
    (inside,) = read(tidewater).attachments["design.toml"]
    assert file.loads(inside.decode()).design.says_the_same(DEMO)
    mine = DEMO_FILE.read_text(encoding="utf-8")
    (inside,) = read(sheet.pdf(DEMO, text=mine, working=False)).attachments["design.toml"]
    assert inside.decode() == mine


def lines(made: bytes, page: int = 0) -> list[tuple[float, float]]:
    """Straight strokes of a page: width and height, mm on paper."""
    found: list[tuple[float, float]] = []
    at: list[tuple[float, float]] = []

    def seen(op: bytes, args: Any, cm: Any, _tm: Any) -> None:
        if op not in (b"m", b"l"):
            return
        x, y = (float(v) for v in args)
        here = (cm[0] * x + cm[2] * y + cm[4], cm[1] * x + cm[3] * y + cm[5])
        if op == b"l" and at:
            found.append((abs(here[0] - at[-1][0]) / POINTS, abs(here[1] - at[-1][1]) / POINTS))
        at.append(here)

    read(made).pages[page].extract_text(visitor_operand_before=seen)
    return found


@pytest.mark.parametrize("design", [DEMO, EBBSTONE], ids=lambda d: d.name)
def test_the_section_is_at_the_scale_it_states(design):
    """Proved from the coordinates in the PDF: bore, depth of the skirt, plate."""
    made = sheet.pdf(design, working=False, when=WHEN)
    stated = re.search(r"Section ([\d.]+):([\d.]+),", text_of(made))
    assert stated
    scale = float(stated[1]) / float(stated[2])
    found = lines(made)

    def there(mm: float, side: int) -> bool:
        return any(abs(line[side] - scale * mm) < 0.05 and line[1 - side] < 0.01 for line in found)

    value = {path: 1e3 * float(design[path].now or 0) for path in design.entries
             if path in ("case.bore", "closure.length", "closure.plate")}  # fmt: skip
    assert there(value["case.bore"], 1)
    assert there(value["closure.plate"], 0)
    assert there(value["closure.length"] - value["closure.plate"], 0)


def test_the_largest_standard_scale_that_fits_is_taken():
    small = DEMO.evolved({})
    view = pictures.drawing.section(Assessment(small).inputs, pictures.TUBE)
    assert pictures.scaled(view, 113, 102) == 1.0
    assert pictures.scaled(view, 113, 90) == 0.5
    assert pictures.scaled(view, 240, 210) == 2.0


def test_the_bench_form_has_every_cut_on_one_page_with_its_limits():
    for design, paper in itertools.product((DEMO, EBBSTONE, FIRST_SKETCH), content.PAPERS):
        made = sheet.bench_form(design, paper=paper, when=WHEN)
        assert len(read(made).pages) == 1
        said = text_of(made)
        told, _ = bench.content(content.scene_of(design, design.system), paper)
        rows = [row for group in told["groups"] for row in group["rows"]]
        assert [row["n"] for row in rows] == [str(n + 1) for n in range(len(rows))]
        for row in rows:
            assert f"{row['nominal']} {row['limits']}" in said
        (inside,) = read(made).attachments["design.toml"]
        assert file.loads(inside.decode()).design.says_the_same(design)


def test_a_limit_finer_than_the_form_s_last_digit_is_not_widened():
    for system, said in (("metric", "3.1751 – 3.1757"), ("inch", "0.12501 – 0.12502")):
        design = DEMO.evolved({"case.wall": "3.1754 mm"}).toleranced("case.wall", "0.0003 mm")
        told, _ = bench.content(content.scene_of(design, system))
        rows = {row["what"]: row for group in told["groups"] for row in group["rows"]}
        assert rows["wall"]["limits"] == said


def test_the_bench_form_s_limits_are_the_design_s():
    told, _ = bench.content(content.scene_of(DEMO, "metric"))
    rows = {row["what"]: row for group in told["groups"] for row in group["rows"]}
    assert rows["bore Ø"]["nominal"] == "76.20"
    assert rows["bore Ø"]["limits"] == "76.10 – 76.30"
    assert rows["wall"]["limits"] == "2.858 – 3.492"  # a tenth of 3.175, rounded inwards
    assert rows["outside Ø"]["nominal"] == "76.12"  # the bore less 0.08 of clearance
    assert rows["nose Ø"]["measured"] == "was 70.15"
    open_bore = attrs.evolve(
        DEMO, entries={p: e for p, e in DEMO.entries.items() if p != "insulation.liner_bore"}
    )
    told, _ = bench.content(content.scene_of(open_bore, "metric"))
    rows = {row["what"]: row for group in told["groups"] for row in group["rows"]}
    assert rows["liner bore Ø"]["nominal"] == "70.20"  # 76.2 less twice 3
    wide = DEMO.measured("case.bore", "76.44 mm")
    told, _ = bench.content(content.scene_of(wide, "metric"))
    rows = [row for group in told["groups"] for row in group["rows"]]
    floors = [row["nominal"] for row in rows if row["what"] == "its floor, Ø"]
    assert floors == ["70.84", "70.84", "64.70"]  # 70.6 and the 0.24 more; the liner's stays
    marks = [row["mark"] for row in rows if row["what"] == "its floor, Ø"]
    assert marks == [bench.ASKED, bench.ASKED, ""]  # another number than on the summary says so
    bare = DEMO.evolved({"closure.nose": "0 mm", "port.count": "0"})
    told, _ = bench.content(content.scene_of(bare, "metric"))
    rows = {row["what"] for group in told["groups"] for row in group["rows"]}
    assert not rows & {"nose Ø", "liner groove, from face", "ports' pitch circle, Ø"}


def test_the_bench_form_has_two_rows_and_the_nose_where_the_design_has():
    told, _ = bench.content(content.scene_of(EBBSTONE, "inch"))
    rows = {row["what"]: row for group in told["groups"] for row in group["rows"]}
    assert rows["second row from the first"]["nominal"] == "0.2980"
    told, _ = bench.content(content.scene_of(DEMO, "metric"))
    rows = {row["what"]: row for group in told["groups"] for row in group["rows"]}
    assert rows["nose, length"]["nominal"] == "13.20"
    assert "second row from the first" not in rows


def placed(design: Design) -> list[str]:
    """Fields that a row of a design's bench form speaks for."""
    found = bench.groups(content.scene_of(design, "metric"))
    return [path for group in found for cut in group.cuts for path in (cut.path, *cut.also)]


def misplaced(fields: Iterable[Field], here: list[str]) -> set[str]:
    """Lengths, angles and counts neither on the form nor named as not cut, or both, or twice."""
    cut = {f.path for f in fields if f.kind in (LENGTH, ANGLE, COUNT)}
    twice = {path for path in here if here.count(path) > 1}
    return (cut - set(here) - bench.NOT_CUT) | (set(here) & bench.NOT_CUT) | twice


def test_every_length_angle_and_count_is_on_the_bench_form_or_named_as_not_cut():
    here = placed(DEMO.evolved({"screw.rows": "2", "screw.row_spacing": "4 mm"}))
    assert not misplaced(FIELDS.values(), here)
    assert set(FIELDS) >= bench.NOT_CUT
    assert "screw.thread" in here
    new = attrs.evolve(FIELDS["closure.plate"], path="closure.rebate", tol="0.1 mm")
    assert misplaced([*FIELDS.values(), new], here) == {"closure.rebate"}


def test_the_form_says_how_many_ports_there_are_and_where():
    for count, clocking, said in (
        ("1", "192.86°", ("192.86°", "one port")), ("3", "40°", ("40°", "3, 120° apart"))
    ):  # fmt: skip
        design = DEMO.evolved({"port.count": count, "port.clocking": clocking})
        told, _ = bench.content(content.scene_of(design, "metric"))
        rows = {row["what"]: row for group in told["groups"] for row in group["rows"]}
        ports = rows["ports, the first at"]
        assert (ports["nominal"], ports["limits"]) == said
        assert ports["hint"] == "clockwise from a screw, from outside"
        drawn = drawing.end_view(Assessment(design).values).angles
        assert f"{drawn[0]:g}°" == said[0]
        assert len(drawn) == int(count)
        assert {f"{b - a:g}°" for a, b in itertools.pairwise(drawn)} <= set(said[1].split())
    two = DEMO.evolved({"screw.rows": "2", "screw.row_spacing": "4 mm"})
    hints = {
        cut.hint for group in bench.groups(content.scene_of(two, "inch")) for cut in group.cuts
    }
    assert "clockwise from row one, from outside" in hints


def test_the_bench_form_tells_edges_threads_and_corners():
    told, _ = bench.content(content.scene_of(DEMO, "metric"))
    rows = {row["what"]: row for group in told["groups"] for row in group["rows"]}
    for what, nominal, limits in (
        ("the grooves' corners, radius", "0.40", "0.269 – 0.606"),
        ("their edges inside, broken", "0.20", "0.127 – 0.20"),
        ("fillet in the pocket, radius", "2.20", "2.20 – 2.30 *"),
        ("nose, length", "13.20", "13.10 – 13.30"),
        ("thread in the closure", "M6", "through"),
        ("centre thread, major Ø", "20.00", "by the tap"),
        ("ports' thread, major Ø", "10.29", "by the tap"),
        ("liner wall", "3.00", "2.90 – 3.10"), ("disc, thickness", "5.00", "4.90 – 5.10 *"),
    ):  # fmt: skip
        assert (rows[what]["nominal"], rows[what]["limits"]) == (nominal, limits)
    assert rows["thread in the closure"]["hint"] == "tap drill 5 mm, the screw as gauge"
    told, _ = bench.content(content.scene_of(EBBSTONE, "inch"))
    rows = {row["what"]: row for group in told["groups"] for row in group["rows"]}
    assert rows["secondary, primary: corners, radius"]["nominal"] == "0.0157"
    assert rows["liner: corners, radius"]["nominal"] == "0.0100"


def test_a_groove_for_a_thinner_ring_has_a_row_of_its_own_for_its_corners():
    told, _ = bench.content(content.scene_of(BENCH, "metric"))
    rows = {row["what"]: row for group in told["groups"] for row in group["rows"]}
    # Gland chart of the Seal Design Guide, static radial: to 0.025 in at 0.139 in section, to
    # 0.015 in at 0.103 in, taken between for the section that its tolerance makes thinnest.
    assert rows["secondary, primary: corners, radius"]["limits"] == "0.269 – 0.606"
    assert rows["liner: corners, radius"]["limits"] == "0.138 – 0.381"


@pytest.mark.parametrize(
    ("size", "off"),
    [(0.5, 0.1), (3, 0.1), (6, 0.1), (6.01, 0.2), (30, 0.2), (30.01, 0.3), (120, 0.3),
     (120.01, 0.5), (400, 0.5)],
)  # fmt: skip
def test_general_tolerances_are_the_standard_s(size: float, off: float):
    """ISO 2768-1:1989, table 1, class m, as "General Tolerances to DIN ISO 2768" has it
    (issuu.com/zaqueu_cs, a maker's sheet)."""
    assert 1e3 * bench.general_tolerance(size / 1e3) == pytest.approx(off)
    assert np.isnan(bench.general_tolerance(4.9e-4))


@pytest.mark.parametrize("design", [DEMO, EBBSTONE], ids=lambda d: d.name)
def test_no_general_tolerance_makes_a_check_of_a_sound_demo_short(design: Design):
    """No check counts them: so far as the demos show, that is no harm."""
    ends = []
    for group in bench.groups(content.scene_of(design, "metric")):
        for cut in group.cuts:
            limits = (cut.said or bench._limits(cut.path, content.scene_of(design, "metric"))).said
            if limits.endswith("*"):
                ends.append([(cut.path, f"{end} mm") for end in limits.strip(" *").split(" – ")])
    assert {path for path, _ in itertools.chain(*ends)} == {"closure.fillet", "insulation.disc"}
    before = short_of(design)
    for those in itertools.product(*ends):
        assert short_of(design.evolved(dict(those))) <= before, those


def short_of(design: Design) -> set[str]:
    return {id for id, state in Assessment(design).states.items() if state == "short"}


@pytest.mark.parametrize(
    "readings",
    [{}, {"case.wall": ("3.14 mm", ""), "case.bore": ("76.24 mm", "0.01 mm"),
          "closure.clearance": ("0.07 mm", "0.01 mm"), "closure.plate": ("22.86 mm", "0.03 mm"),
          "seal.liner.groove_diameter": ("64.72 mm", "")}],
    ids=["as it is", "more of it measured"],
)  # fmt: skip
def test_what_is_measured_has_the_limits_that_were_assessed(readings: dict[str, tuple[str, str]]):
    """Whoever cuts again within them is inside of what was assessed: every combination of ends."""
    design = DEMO
    for path, reading in readings.items():
        design = design.measured(path, *reading)
    scene = content.scene_of(design, "metric")
    told, _ = bench.content(scene)
    rows = [row for group in told["groups"] for row in group["rows"]]
    cuts = [cut for group in bench.groups(scene) for cut in group.cuts]
    a, ends = Assessment(design), []
    for row, cut in zip(rows, cuts, strict=True):
        is_measured = design[cut.path].measured is not None
        assert (row["mark"] == bench.LEAVE) == is_measured, cut.path
        if not is_measured:
            continue
        name = FIELDS[cut.path].name
        low, high = (1e-3 * float(end) for end in row["limits"].split(" – "))
        if cut.path == "closure.clearance":  # the row is the diameter's
            low, high = (float(a.values["case_bore"]) - end for end in (high, low))
        assert float(a.values[f"{name}_min"]) == pytest.approx(low, abs=1.1e-6)
        assert float(a.values[f"{name}_max"]) == pytest.approx(high, abs=1.1e-6)
        ends.append([(cut.path, end) for end in (low, high)])
    assert len(ends) == 2 + len(readings)
    before = short_of(design)
    for those in itertools.product(*ends):
        cut_so = design
        for path, end in those:
            cut_so = cut_so.measured(path, f"{1e3 * end} mm", "0 mm")
        assert short_of(cut_so) <= before, those


def test_a_design_that_does_not_meet_says_on_its_form_not_to_cut():
    scene = content.scene_of(FIRST_SKETCH, "metric")
    counted = scene.shown.assessment.counted
    short = sum(state not in ("meets", "close") for state in counted.values())
    assert short > 1
    said = text_of(sheet.bench_form(FIRST_SKETCH, when=WHEN))
    assert f"Do not cut from this form. {short} of {len(counted)} requirements are not met." in said
    told, _ = bench.content(scene)
    rows = {row["what"]: row for group in told["groups"] for row in group["rows"]}
    outside = {what for what, row in rows.items() if row["mark"] == bench.OUTSIDE}
    edges = "their edges inside, broken"
    assert outside == {"primary: corners, radius", "liner: corners, radius", edges}
    assert rows[edges]["limits"] == "0.127 at least"
    assert said.count(bench.OUTSIDE) == len(outside)
    sound = text_of(sheet.bench_form(DEMO, when=WHEN))
    assert "Do not cut" not in sound
    assert bench.OUTSIDE not in sound
    one = DEMO.evolved({"case.hole_chamfer": "0.1 mm"})
    assert bench.content(content.scene_of(one, "metric"))[0]["short"].endswith(" not met.")


@pytest.mark.parametrize("design", [DEMO, FIRST_SKETCH, EBBSTONE], ids=lambda d: d.name)
def test_a_row_is_marked_exactly_when_its_nominal_is_outside_of_its_limits(design: Design):
    for system in ("metric", "inch"):
        told, _ = bench.content(content.scene_of(design, system))
        for row in (row for group in told["groups"] for row in group["rows"]):
            limits = row["limits"].strip(" *")
            if not re.search(" – | at (most|least)$", limits):
                assert not row["mark"]
                continue
            low, _, high = limits.partition(" – ")
            ends = (low, high or low)
            least = 0.0 if limits.endswith("at most") else float(ends[0].split()[0])
            most = np.inf if limits.endswith("at least") else float(ends[1].split()[0])
            within = least <= float(row["nominal"]) <= most
            assert (row["mark"] == bench.OUTSIDE) == (not within), row["what"]


def test_a_limit_that_is_the_nominal_is_written_as_the_nominal():
    for design, system in itertools.product((DEMO, EBBSTONE), ("metric", "inch")):
        told, _ = bench.content(content.scene_of(design, system))
        rows = {row["what"]: row for group in told["groups"] for row in group["rows"]}
        fillet, edges = rows["fillet in the pocket, radius"], rows["their edges inside, broken"]
        assert fillet["limits"].startswith(f"{fillet['nominal']} – ")
        assert edges["limits"].endswith(f" – {edges['nominal']}")
    bare = DEMO.evolved({"case.hole_chamfer": "0.1 mm"})
    told, _ = bench.content(content.scene_of(bare, "metric"))
    rows = {row["what"]: row for group in told["groups"] for row in group["rows"]}
    assert rows["their edges inside, broken"]["limits"] == "0.127 at least"  # as the rings want it


@pytest.mark.parametrize("design", [DEMO, FIRST_SKETCH, EBBSTONE], ids=lambda d: d.name)
def test_whatever_is_cut_has_limits(design: Design):
    told, _ = bench.content(content.scene_of(design, design.system))
    for row in (row for group in told["groups"] for row in group["rows"]):
        with case(row["what"]):
            if "thread" in row["what"]:
                assert row["limits"] in ("by the tap", "through")
            elif row["what"] == "ports, the first at":
                assert row["limits"] in ("one port", "2, 180° apart")
            else:
                assert re.search(" – | at (most|least)$", row["limits"])


def test_a_thread_into_solid_metal_is_as_deep_as_the_section_has_it():
    solid = DEMO.evolved({"closure.plate": DEMO["closure.length"].value})
    told, _ = bench.content(content.scene_of(solid, "metric"))
    rows = {row["what"]: row for group in told["groups"] for row in group["rows"]}
    # The screw reaches 12 less the wall's 3.175 and half the clearance's 0.08; then 1.5 pitches.
    assert rows["thread in the closure"]["limits"] == "10.285 deep"


def test_each_number_of_the_bench_form_stands_in_its_sketch():
    told, sketches = bench.content(content.scene_of(DEMO, "metric"))
    for group in told["groups"]:
        drawn = re.findall(r'<text class="mid"[^>]*>(\d+)</text>', sketches[group["sketch"]])
        assert sorted(map(int, drawn)) == [int(row["n"]) for row in group["rows"]]


def test_what_has_no_answer_is_no_number_on_paper():
    hot = DEMO.evolved({"case.metal_temperature": "330 °C", "seal.secondary.compound": "NBR"})
    told = content.content(content.scene_of(hot, "metric"))
    assert ["least squeeze, bore rings", "no answer", ""] in told["facts"]
    assert all(row[1] == row[2] == "no answer" for row in told["corners"][:2])
    said = json.dumps(told)
    assert not re.search(r"\bnan\b", said)
    assert any("NBR" in cell for row in told["materials"] for cell in row)


def test_a_design_is_never_replaced_by_its_sheet(tmp_path: Path, capsys):
    path = tmp_path / "mine.toml"
    path.write_bytes(DEMO_FILE.read_bytes())
    assert main(["sheet", str(path), "-o", str(path), "--short"]) == BAD_INPUT
    assert "is the design itself" in capsys.readouterr().err
    assert path.read_bytes() == DEMO_FILE.read_bytes()


def inputs_of(design: Design, system: str = "metric") -> dict[str, list[str]]:
    """Rows of "What went in" by label."""
    told = content.content(content.scene_of(design, system), False)
    return {row[0]: untied(row[1:]) for column in told["inputs"] for row in column}


def untied(texts: list[str]) -> list[str]:
    """Texts with plain spaces."""
    return [text.replace("\u00a0", " ") for text in texts]


def test_the_tolerance_stands_beside_the_nominal_and_the_accuracy_beside_the_reading():
    assert inputs_of(DEMO)["Nose diameter"] == ["70.15", "0.05", "70.15", "0.02"]
    assert inputs_of(DEMO)["Bore"] == ["76.2", "0.1", "", ""]
    wall = DEMO.toleranced("case.wall", "0.3 mm").measured("case.wall", "3.14 mm", "0.01 mm")
    assert inputs_of(wall)["Wall"] == ["3.175", "0.3", "3.14", "0.01"]
    usual = DEMO.measured("case.wall", "3.14 mm")
    assert inputs_of(usual)["Wall"] == ["3.175", "10 %", "3.14", "0.02"]
    assert "70.15 ±0.02" in text_of(sheet.pdf(DEMO, working=False, when=WHEN))


def materials_of(design: Design) -> dict[str, list[str]]:
    """Rows of the materials by part."""
    told = content.content(content.scene_of(design, "metric"), False)
    return {row[0]: untied(row[1:]) for row in told["materials"]}


OWN = """
[material.tube]
like = "6061-T6-drawn-tube"
F_tu = "300 MPa"
source = "my certificate 12"

[compound.mine]
like = "FKM"
high = "210 °C"
expansion = "150e-6 1/K"
source = "the maker's sheet"
"""


def test_each_source_of_a_material_is_named_with_its_numbers_and_own_ones_are_marked():
    text = DEMO_FILE.read_text(encoding="utf-8").replace('"6061-T6-drawn-tube"', '"tube"')
    text += OWN
    own = file.loads(text).design.evolved({"seal.liner.compound": "mine"})
    rows, listed = materials_of(own), materials_of(DEMO)
    listed_source = data.MATERIALS["6061-T6-drawn-tube"].values["F_ty"].source
    assert listed["case"][-1] == listed_source
    assert rows["case"][1:3] == ["241", "300*"]
    assert (
        rows["case"][-1] == f"yield, shear, modulus: {listed_source}; ultimate: my certificate 12*"
    )
    fkm = seals.COMPOUNDS["FKM"].low.source
    assert listed["all rings"][-1] == fkm
    assert rows["bore rings"][-1] == fkm
    assert "to 210 °C*" in rows["liner ring"][0]
    assert rows["liner ring"][-1] == f"lowest: {fkm}; highest, expansion: the maker's sheet*"


@pytest.mark.parametrize("key", data.CLASSES)
def test_a_screw_s_class_from_memory_is_marked_as_the_screen_says_it(key: str):
    series = data.CLASSES[key].series
    thread = next(k for k, t in data.THREADS.items() if t.series == series and t.d > 4e-3)
    design = attrs.evolve(DEMO, entries={
        **DEMO.entries, "screw.strength_class": Entry(key), "screw.thread": Entry(thread),
    })  # fmt: skip
    grade, row = data.CLASSES[key], materials_of(design)["screws"]
    used = (grade.F_yb, grade.F_ub, grade.E, grade.alpha_v)
    assert row[-1].endswith(" †") == any(d.seen == "memory" for d in used)
    assert all(d.source in row[-1] for d in used[:3])


def test_the_working_says_what_its_daggers_mean(tidewater: bytes):
    pages = [re.sub(r"\s+", " ", page.extract_text()) for page in read(tidewater).pages]
    assert any("†" in page for page in pages[3:])
    assert "† in part from memory: confirm on a certificate." in pages[3]


def test_a_pressure_to_be_reached_is_never_printed_lower_than_it_is():
    for design, system in itertools.product((DEMO, EBBSTONE, FIRST_SKETCH), ("metric", "inch")):
        values = Assessment(design).values
        told = content.content(content.scene_of(design, system), False)
        proof, meop = float(values["loads_proof"]), float(values["loads_meop"])
        steps = [0.06 * proof, 0.25 * proof, meop, proof, 0.0]
        for row, step in zip(told["proof"]["rows"], steps, strict=True):
            number, unit = row[0].replace("\u00a0", " ").split()
            si = float(number) * {"MPa": 1e6, "psi": 6894.757293168361}[unit]
            most = 10 * 6894.76 if unit == "psi" else 0.0101 * max(step, 1)
            assert step * (1 - 1e-9) <= si <= step + most
        title, fact = told["proof"]["title"], told["facts"][2]
        assert title.startswith(f"to {told['proof']['rows'][3][0]}, ")
        assert title.endswith(f"{proof / meop:.2f} × MEOP")
        assert " ".join(fact[1:]) in title.replace("\u00a0", " ")
    tide = content.content(content.scene_of(DEMO, "metric"), False)["proof"]
    assert tide["title"].replace("\u00a0", " ") == "to 8.65 MPa, 1.40 × MEOP"


def test_the_stretch_that_is_wanted_stands_in_the_seals_table():
    told = content.content(content.scene_of(DEMO.evolved({"loads.stretch_most": "4 %"}), "metric"))
    assert told["wanted"][3] == "4 or less"


def test_what_is_short_is_not_called_close():
    sketch = content.content(content.scene_of(FIRST_SKETCH, "metric"), False)["beside"]
    assert sketch.startswith("Screws bend first, at about 5.6\xa0MPa, below MEOP. Meets ")
    assert "Closest" not in sketch
    few = DEMO.evolved({"screw.count": "8"})
    short = content.content(content.scene_of(few, "metric"), False)["beside"]
    assert "Furthest short: " in short
    assert "Closest" not in short
    sound = content.content(content.scene_of(DEMO, "metric"), False)["beside"]
    assert "Closest: " in sound


def test_a_long_unbroken_name_keeps_to_its_column_and_the_proof_to_its_page():
    trace, label = f"{'a' * 56}.csv", "W" * 80
    text = DEMO_FILE.read_text(encoding="utf-8").replace('"6061-T6-drawn-tube"', '"tube"')
    text += OWN.replace("[material.tube]", f'[material.tube]\nlabel = "{label}"')
    own = file.loads(text).design.traced([Run(trace, 4812, 5.2e6, 0.117, 3.6, "0" * 16)])
    for paper in content.PAPERS:
        pages = [page.extract_text() for page in read(
            sheet.pdf(own, paper=paper, working=False, when=WHEN)).pages]  # fmt: skip
        assert trace not in "".join(pages)  # it is nowhere in one line
        assert trace in re.sub(r"\s", "", "".join(pages))
        assert not re.search("W{44}", "".join(pages))
        (inputs,) = (page for page in pages if "What went in" in page)
        assert ".csv, 4 812 rows" in inputs
        assert "what was seen, both names" in inputs


HOSTILE = [
    "#panic(1)", "$ x $ *bold* _it_ <b>&amp;</b>", "<script>alert(1)</script>", "`rm -rf` ; $(ls)",
    "#import \"x.typ\"", "\\u{202e}gnp.exe", "\u202eabc", "a\x00b\x1b[31m", "../../etc/passwd",
]  # fmt: skip


@pytest.mark.parametrize("name", HOSTILE)
def test_a_name_is_text_whatever_it_looks_like(name):
    said = text_of(sheet.pdf(attrs.evolve(DEMO, name=name), working=False, when=WHEN))
    shown = "".join(c if c.isprintable() else "�" for c in name)
    assert shown.replace("�", "")[:6] in said.replace("�", "")
    assert "summary of the forward closure" in said


def test_a_name_of_any_length_keeps_to_its_line():
    made = sheet.pdf(attrs.evolve(DEMO, name="long " * 20000), working=False, when=WHEN)
    assert len(read(made).pages) == 3
    assert "…" in text_of(made)


@pytest.mark.parametrize("name", ["潮水", "Прилив", "مد", "潮 \U0001f30a"])
def test_another_script_never_loses_the_sheet(name):
    made = sheet.pdf(attrs.evolve(DEMO, name=name), working=False, when=WHEN)
    assert len(read(made).pages) == 3


def test_another_number_is_another_fingerprint_and_another_spelling_is_not():
    mine = content.fingerprint(DEMO)
    assert re.fullmatch(r"[0-9a-f]{4} [0-9a-f]{4}", mine)
    assert content.fingerprint(DEMO.evolved({"case.wall": "3.176 mm"})) != mine
    assert content.fingerprint(DEMO.evolved({"case.wall": "0.125 in"})) == mine


def each_of(chunk: int, count: int, check: Callable[[Design], None]) -> None:
    """A check of so many random designs, other ones in each chunk and the same in each run."""
    often = settings(max_examples=count, deadline=None, database=None, phases=[Phase.generate])
    seed(chunk)(often(given(DESIGNS)(check)))()


@pytest.mark.parametrize("chunk", range(8))
def test_two_hundred_random_designs_have_a_tagged_sheet(chunk: int, monkeypatch):
    ways: list[dict[str, Any]] = []
    once = sheet._once

    def noted(files: dict[str, bytes], faces: Any, **way: Any) -> bytes:
        ways.append(way)
        return once(files, faces, **way)

    monkeypatch.setattr(sheet, "_once", noted)

    def check(design: Design) -> None:
        ways.clear()
        assert sheet.pdf(design, working=False, when=WHEN).startswith(b"%PDF")
        assert [way.get("pdf_standards") for way in ways] == [["ua-1"]]

    each_of(chunk, 25, check)


def test_any_design_has_its_working_and_a_bench_form_of_one_page():
    def check(design: Design) -> None:
        assert len(read(sheet.pdf(design, when=WHEN)).pages) > 3
        for paper in content.PAPERS:
            assert len(read(sheet.bench_form(design, paper=paper, when=WHEN)).pages) == 1

    each_of(8, 25, check)


def test_a_copy_s_sheet_is_the_owner_s_and_names_the_traces(tmp_path: Path):
    owner, run = Session(), Run("a.csv", 4812, 5.2e6, 0.117, 3.6, "0" * 16)
    assert owner.load_path(DEMO_FILE)
    assert owner.trace([run])
    owner.samples[run.fingerprint] = object()  # type: ignore[assignment] - its curve, here alone
    copy, run_named = Copy(owner.design, "metric"), named([run])
    told = [content.content(content.scene_of(s.design, "metric"), False) for s in (owner, copy)]
    assert told[0] == told[1]
    rows = [row for column in told[0]["inputs"] for row in column]
    assert ["Its source", run_named] in rows


def test_one_sheet_at_a_time_is_made_for_a_session(monkeypatch):
    release, made = threading.Event(), []

    def slow(*_: Any, **__: Any) -> bytes:
        made.append(1)
        assert release.wait(20)
        return b"%PDF"

    class Page:
        """A document whose next tick is now."""

        add_next_tick_callback = staticmethod(lambda act: act())

    monkeypatch.setitem(printing.KINDS, "sheet", (slow, ""))
    monkeypatch.setattr(type(printing.pn.state), "curdoc", Page())
    session, other, heard = Session(), Session(), []
    told = heard.append
    printing.begin(session, "sheet", "a", told)
    printing.begin(session, "sheet", "a", told)
    printing.begin(session, "bench", "a", told)
    assert [h["busy"] for h in heard] == [printing.MAKING, printing.ONE, printing.ONE]
    printing.begin(other, "sheet", "b", told)
    release.set()
    deadline = time.monotonic() + 20
    while sum("data" in h for h in heard) < 2 and time.monotonic() < deadline:
        time.sleep(0.01)
    assert len(made) == 2
    printing.begin(session, "sheet", "a", told)
    while len(made) < 3 and time.monotonic() < deadline:
        time.sleep(0.01)
    assert len(made) == 3


def test_the_command_writes_it_and_says_where(tmp_path: Path, capsys):
    out = tmp_path / "mine.pdf"
    assert main(["sheet", str(DEMO_FILE), "-o", str(out), "--short"]) == MEETS
    assert capsys.readouterr().out.strip() == str(out)
    assert len(read(out.read_bytes()).pages) == 3
    assert main(["sheet", str(DEMO_FILE), "-o", str(tmp_path / "no" / "x.pdf")]) == BAD_INPUT
    assert "not written" in capsys.readouterr().err


def test_the_paper_is_that_of_the_units_shown_unless_stated(tmp_path: Path):
    a4, letter, out = 595, 612, tmp_path / "mine.pdf"

    def wide(made: bytes) -> float:
        return round(float(read(made).pages[0].mediabox[2]))

    for make in (partial(sheet.pdf, working=False), sheet.bench_form):
        assert wide(make(DEMO)) == a4
        assert wide(make(EBBSTONE)) == letter
        assert wide(make(DEMO, "inch")) == letter
        assert wide(make(EBBSTONE, "inch", paper="a4")) == a4
    for more, width in (([], a4), (["--inch"], letter), (["--inch", "--paper", "a4"], a4)):
        assert main(["sheet", str(DEMO_FILE), "-o", str(out), "--bench", *more]) == MEETS
        assert wide(out.read_bytes()) == width
    session, heard = Session(), []
    assert session.load_path(DEMO_FILE)
    for system, width in (("metric", a4), ("inch", letter)):
        session.system = system
        printing.begin(session, "bench", "a", heard.append)
        assert wide(base64.b64decode(heard[-1]["data"])) == width


@pytest.mark.parametrize("about", [(0.2, 0.006, 6e6), (0.076, 0.004, 6e6), (0.1, 0.004, 6e6)])
def test_a_printed_line_is_nowhere_off_by_more_than_a_hair(about):
    scene = content.scene_of(starting(*about), "metric")
    for path, axis in scene.axes.items():
        x = np.linspace(0, 300, len(axis.grid))
        for y in pictures_of_lines(scene.swept(path)):
            kept_x, kept_y = pictures._few(x[: len(y)], y)
            assert np.max(np.abs(np.interp(x[: len(y)], kept_x, kept_y) - y)) <= 0.1  # paper px
            assert len(kept_x) <= len(y)


def pictures_of_lines(swept):
    """Heights in paper pixels of what has an answer all along."""
    for ratio in swept.values():
        y = 60 * np.minimum(ratio, pictures.HIGHEST)
        if np.all(np.isfinite(y)):
            yield y


def test_a_straight_line_is_two_points_and_a_kink_three():
    x = np.linspace(0, 1, 121)
    assert len(pictures._few(x, 3 * x)[0]) == 2
    assert len(pictures._few(x, 40 * np.abs(x - 0.5))[0]) == 3
