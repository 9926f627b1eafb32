"""Paper: the summary of a design, and the form to write on at the bench, each as one PDF."""

import datetime
import json
from functools import cache
from pathlib import Path
from typing import Any

import typst

from app.sheet import bench, content, pictures
from app.views.told import Scene
from hobbyclosure import file
from hobbyclosure.design import Design

HERE = Path(__file__).parent
END, SECTION = (52.0, 62.0), (113.0, 102.0)  # room for the drawings, mm
PLOT = {"a4": (113.0, 45.0), "letter": (113.0, 42.0)}
RUNGS = {"a4": 9, "letter": 8}
LEVELS = ("stop", "look", "know")


def pdf(
    design: Design,
    system: str | None = None,
    paper: str | None = None,
    text: str | None = None,
    when: datetime.datetime | None = None,
    working: bool = True,
    steps: bool = False,
) -> bytes:
    """The summary of a design as a tagged PDF, its file attached.

    system: "metric" or "inch", the design's own if not stated. paper: one of PAPERS, if not stated
    Letter where inches are shown, else A4. text: the file as it is to be attached, the design
    written anew if not stated. when: its date, now if not stated. working: whether the working of
    every check follows its three pages. steps: whether every quantity behind them follows, too.
    Names in a script that the sheet's own face lacks are set in a face of this machine; if that has
    none either, the sheet is made all the same, without its tags.
    Raises ValueError for another paper.
    """
    scene = content.scene_of(design, system or design.system)
    paper = paper or content.USUAL[scene.system]
    told = content.head(scene, when, paper) | content.content(scene, working, steps)
    section, scale, _ = pictures.section(scene, *SECTION)
    end, end_scale, _ = pictures.end_view(scene, *END)
    ladder, _ = pictures.ladder(scene, 174, RUNGS[paper])
    told |= {
        "section": {"scale": _ratio(scale)}, "end": {"scale": _ratio(end_scale)},
        "ladder": {"unit": scene.unit, "alt": _aloud(scene)},
    }  # fmt: skip
    drawn = {"section.svg": section, "end.svg": end, "ladder.svg": ladder}
    drawn |= {f"{level}.svg": pictures.mark(level) for level in LEVELS}
    drawn["state.svg"] = pictures.mark(told["state"])
    for plot, path in zip(told["plots"], content.PATHS, strict=True):
        drawn[f"plot-{plot['id']}.svg"] = pictures.plot(scene, path, *PLOT[paper])
    return _typeset("sheet.typ", told, drawn, text or _written(scene))


def bench_form(
    design: Design,
    system: str | None = None,
    paper: str | None = None,
    text: str | None = None,
    when: datetime.datetime | None = None,
) -> bytes:
    """Every dimension to cut, in order of cutting, with boxes to write in; the rest as `pdf`."""
    scene = content.scene_of(design, system or design.system)
    paper = paper or content.USUAL[scene.system]
    told, sketches = bench.content(scene, paper)
    return _typeset(
        "bench.typ", content.head(scene, when, paper) | told, sketches, text or _written(scene)
    )


def _written(scene: Scene) -> str:
    return file.written(scene.shown.design, None, scene.system)


@cache
def _setting(name: str) -> bytes:
    return HERE.joinpath(name).read_bytes()


def _typeset(setting: str, told: dict[str, Any], drawn: dict[str, str], attached: str) -> bytes:
    files = {name: svg.encode() for name, svg in drawn.items()}
    data = json.dumps(told | {"unbroken": content.has_unbroken(told)}, allow_nan=False)
    return _compiled(files | {
        "main.typ": _setting(setting), "common.typ": _setting("common.typ"),
        "data.json": data.encode(),
        "design.toml": attached.encode(),
    })  # fmt: skip


def _ratio(scale: float) -> str:
    return f"{scale:g}:1" if scale >= 1 else f"1:{1 / scale:g}"


def _aloud(scene: Scene) -> str:
    rungs = [r for r in scene.shown.ladder if r.check]
    said = [
        f"{r.check.label} {(scene.pressure(r.pressure) or 0):.1f}" for r in rungs[:9] if r.check
    ]
    return f"What lets go first, in {scene.unit}: {', '.join(said)}"


def _compiled(files: dict[str, bytes]) -> bytes:
    """With the sheet's own face alone, tagged; else with this machine's; else without tags."""
    for machine in (False, True):
        try:
            return _once(files, _faces(machine), pdf_standards=["ua-1"])
        except typst.TypstError as error:
            if "glyph" not in str(error) and "font" not in str(error):
                raise
    return _once(files, _faces(machine=True))


@cache
def _faces(machine: bool) -> typst.Fonts:
    """The sheet's own face, and those of this machine: looking for them takes long."""
    return typst.Fonts(include_system_fonts=machine, font_paths=[str(HERE / "fonts")])


def _once(files: dict[str, bytes], faces: typst.Fonts, **way: Any) -> bytes:
    source: Any = files  # a dictionary, which its own types do not know of
    done, _ = typst.compile_with_warnings(source, font_paths=faces, **way)
    assert isinstance(done, bytes)
    return done
