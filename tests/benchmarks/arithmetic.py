"""Scattered designs through every check against bare NumPy; one assessment; memory."""

import time
import tracemalloc
from collections.abc import Callable, Iterator
from typing import Any

import numpy as np
from numpy.typing import NDArray

from hobbyclosure import scatter as scattering
from hobbyclosure import study, words
from hobbyclosure.assess import Assessment, results
from hobbyclosure.checks.each import RINGS
from hobbyclosure.design import Design
from hobbyclosure.graph import CHECKS
from tests.benchmarks import formulas
from tests.benchmarks.tables import Row, Samples
from tests.designs import DEMO

# Standard deviation as a share of the design's value.
SCATTERED = {
    "loads_peak": 0.08, "loads_cold": 0.01, "loads_hot": 0.01, "case_bore": 0.002,
    "case_wall": 0.03, "case_edge_distance": 0.03, "case_F_ty": 0.04, "case_F_tu": 0.03,
    "case_metal_temperature": 0.03, "case_lead_in": 0.05, "case_hole_chamfer": 0.1,
    "closure_metal_temperature": 0.03, "closure_length": 0.004, "closure_plate": 0.02,
    "closure_clearance": 0.2, "closure_screw_station": 0.02, "closure_skirt_wall": 0.02,
    "closure_fillet": 0.05, "closure_nose_diameter": 0.0005, "screw_clearance_hole": 0.01,
    "screw_length": 0.02, "port_pitch_circle": 0.01, "insulation_liner": 0.03,
    "insulation_liner_bore": 0.0005, "insulation_liner_lead_in": 0.05,
} | {
    f"seal_{ring}_{size}": spread
    for ring in RINGS
    for size, spread in (
        ("station", 0.004), ("groove_width", 0.01), ("groove_diameter", 0.001),
        ("corner_radius", 0.1), ("durometer", 0.03), ("std_id", 0.01), ("std_cs", 0.01),
    )
}  # fmt: skip


def draws(size: int, design: Design = DEMO) -> dict[str, NDArray[np.float64]]:
    """Scattered inputs: each its own normal spread about the design's value."""
    rng = np.random.default_rng(20260714)
    inputs = Assessment(design).inputs
    return {k: inputs[k] * rng.normal(1, spread, size) for k, spread in SCATTERED.items()}


def chunks(inputs: dict[str, Any], drawn: dict[str, Any]) -> Iterator[dict[str, Any]]:
    """Inputs of one chunk of designs after another."""
    size = len(next(iter(drawn.values())))
    for start in range(0, size, scattering.CHUNK):
        yield {**inputs, **{k: x[start : start + scattering.CHUNK] for k, x in drawn.items()}}


def by_checks(inputs: dict[str, Any], drawn: dict[str, Any]) -> dict[str, float]:
    """Designs in which each check is short, through the checks themselves."""
    short = dict[str, float]()

    def keep(chunk: list) -> None:
        for r in chunk:
            short[r.check.id] = short.get(r.check.id, 0) + np.count_nonzero(r.ratio < 1)

    scattering.scatter(inputs, drawn, keep)
    return short


def by_hand(inputs: dict[str, Any], drawn: dict[str, Any]) -> dict[str, float]:
    """The same by the formulas written out, in the same chunks."""
    short: dict[str, float] = {}
    with np.errstate(divide="ignore", invalid="ignore"):
        for chunk in chunks(inputs, drawn):
            for id, ratio in formulas.ratios(chunk):
                short[id] = short.get(id, 0) + np.count_nonzero(ratio < 1)
    return short


def same(inputs: dict[str, Any]) -> dict[str, Any]:
    """Every ratio by hand: each check's once, equal to the check's own to 1e-9, or both nan."""
    with np.errstate(divide="ignore", invalid="ignore"):
        found = list(formulas.ratios(inputs))
    ids, hand = [id for id, _ in found], dict(found)
    strange = set(ids) ^ set(CHECKS) | {id for id in ids if ids.count(id) > 1}
    assert not strange, f"not by hand, not a check, or twice: {sorted(strange)}"
    for r in results(inputs):
        np.testing.assert_allclose(
            *np.broadcast_arrays(r.ratio, hand[r.check.id]), rtol=1e-9, atol=0,
            equal_nan=True, err_msg=r.check.id,
        )  # fmt: skip
    return hand


def agree(inputs: dict[str, Any], drawn: dict[str, Any]) -> None:
    """Both ways say the same of two chunks of designs, ratio by ratio and counted."""
    part = {k: x[: 2 * scattering.CHUNK] for k, x in drawn.items()}
    for chunk in chunks(inputs, part):
        same(chunk)
    assert by_checks(inputs, part) == by_hand(inputs, part)


def timed(act: Callable[[], Any]) -> float:
    """Milliseconds of this process's own time that an act takes, whatever else is running."""
    start = time.process_time()
    act()
    return 1e3 * (time.process_time() - start)


def peak(act: Callable[[], Any]) -> float:
    """Most memory an act holds at once beyond what stood before, in MB."""
    tracemalloc.start()
    before = tracemalloc.get_traced_memory()[0]
    act()
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return (most - before) / 1e6


def scatter(quick: bool) -> list[Row]:
    """A million designs: time against bare NumPy, and memory against a tenth of them."""
    size = 200_000 if quick else 1_000_000
    inputs, drawn = Assessment(DEMO).inputs, draws(size)
    agree(inputs, drawn)
    note = f"{len(CHECKS)} checks; ratios agree to 1e-9"
    ours, hand = [], []
    for _ in range(3 if quick else 7):
        ours.append(timed(lambda: by_checks(inputs, drawn)))
        hand.append(timed(lambda: by_hand(inputs, drawn)))
    tenth = {k: x[: size // 10] for k, x in drawn.items()}
    small = peak(lambda: by_checks(inputs, tenth))
    large = peak(lambda: by_checks(inputs, drawn))
    return [
        Row(f"{size:,} scattered designs through the checks", Samples([ours]), Samples([hand]),
            "bare NumPy, same chunks", target="≤ 1.5 ×", note=note),
        Row("their memory", Samples([[large]]), Samples([[small]]), "a tenth of them", "MB",
            "flat"),
    ]  # fmt: skip


def assessment(quick: bool) -> list[Row]:
    """One design: every check, then what lets go first, the verdict and the warnings."""
    runs, times = (3, 20) if quick else (7, 50)
    faulty = DEMO.evolved({"loads.peak": "8.5 MPa"})
    inputs = Assessment(DEMO).inputs
    same(inputs)

    def fresh(design: Design, act: Callable[[Assessment], Any]) -> Samples:
        def once() -> float:
            a = Assessment(design)
            a.states  # noqa: B018 - so that only the act itself is timed
            return timed(lambda: act(a))

        return Samples([[once() for _ in range(times)] for _ in range(runs)])

    def bare(act: Callable[[], Any]) -> Samples:
        return Samples([[timed(act) for _ in range(times)] for _ in range(runs)])

    def both() -> Any:
        a = Assessment(DEMO)
        return a.results, study.ladder(a), words.verdict(a)

    with np.errstate(divide="ignore", invalid="ignore"):
        floor = bare(lambda: dict(formulas.ratios(inputs)))
    name = "formulas by hand, inputs ready"
    return [
        Row("one assessment: results", bare(lambda: Assessment(DEMO).results), floor, name,
            target="< 2 ms"),
        Row("one ladder", fresh(DEMO, study.ladder), floor, name),
        Row("one verdict (with its ladder)", fresh(DEMO, words.verdict), floor, name),
        Row("results, ladder and verdict", bare(both), floor, name),
        Row("warnings of a sound design", fresh(DEMO, words.warnings), floor, name),
        Row("warnings of a faulty one, with remedies", fresh(faulty, words.warnings), floor, name),
    ]  # fmt: skip
