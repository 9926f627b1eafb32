"""The sheet: cold in a new process and warm, against an empty document and the numbers alone.

Every sheet is of another design, so that nothing kept by the compiler answers for it.
"""

import io
import itertools
import os
import subprocess
import sys
from collections.abc import Callable
from typing import Any

import pypdf
import typst

from app import sheet
from app.sheet import content
from hobbyclosure import words
from hobbyclosure.assess import Assessment
from hobbyclosure.design import Design
from tests.benchmarks.arithmetic import timed
from tests.benchmarks.tables import Row, Samples
from tests.designs import DEMO

EMPTY = b'#set document(title: "empty")\n= empty'
# What a process does before it can set anything, and an empty document.
COLD_EMPTY = "from tests.benchmarks import paper; paper.empty()"
COLD = "from tests.benchmarks import paper; paper.sheet.pdf(paper.DEMO)"
_walls = itertools.count(3000)


def another() -> Design:
    """A design nobody has had yet."""
    return DEMO.evolved({"case.wall": f"{next(_walls) / 1000} mm"})


def empty() -> None:
    """A tagged document with one word, with the sheet's fonts."""
    sheet._once({"main.typ": EMPTY}, sheet._faces(machine=False), pdf_standards=["ua-1"])


def numbers() -> Any:
    """All that is computed for a summary, nothing drawn or set."""
    scene = content.scene_of(another(), "metric")
    return list(content._working(scene.shown.assessment, "metric"))


def cold(code: str) -> float:
    """Milliseconds of a new process's own time."""
    before = os.times()
    subprocess.run([sys.executable, "-c", code], check=True)
    after = os.times()
    own = after.children_user - before.children_user + after.children_system
    return 1e3 * (own - before.children_system)


def agrees() -> None:
    """A summary says the verdict of its design."""
    design = another()
    pages = pypdf.PdfReader(io.BytesIO(sheet.pdf(design))).pages
    said = " ".join(pages[0].extract_text().split())
    assert str(words.verdict(Assessment(design))) in said, said[:200]


def papers(quick: bool) -> list[Row]:
    """Summary and bench form, their processors' time."""
    runs, times = (1, 4) if quick else (5, 7)
    agrees()
    acts: dict[str, Callable[[], Any]] = {
        "empty": empty, "numbers": numbers,
        "summary": lambda: sheet.pdf(another()),
        "short": lambda: sheet.pdf(another(), working=False),
        "bench": lambda: sheet.bench_form(another()),
    }  # fmt: skip
    for act in acts.values():
        act()
    found: dict[str, list[list[float]]] = {name: [] for name in acts}
    for _ in range(runs):
        for name, act in acts.items():
            found[name].append([timed(act) for _ in range(times)])
    warm = {name: Samples(those) for name, those in found.items()}
    started = [Samples([[cold(c) for _ in range(2 if quick else 5)]]) for c in (COLD, COLD_EMPTY)]
    floor, alone = "empty tagged document", "assessment and working alone"
    note = f"typst {typst.__version__}; says the verdict"
    return [
        Row("summary, cold", *started, "new process, empty document"),
        Row("summary, warm", warm["summary"], warm["empty"], floor, target="≤ 500 ms", note=note),
        Row("summary, warm", warm["summary"], warm["numbers"], alone),
        Row("summary without working, warm", warm["short"], warm["empty"], floor),
        Row("bench form, warm", warm["bench"], warm["empty"], floor),
    ]
