"""The formulas by hand of the benchmark: every check's, and equal to the check's own.

They are a second writing of the whole model: what changes in a check must change there too.
"""

import numpy as np
import pytest

from hobbyclosure.assess import Assessment
from hobbyclosure.graph import CHECKS
from tests.benchmarks import arithmetic, formulas
from tests.designs import DEMO
from tests.support import case

INPUTS = Assessment(DEMO).inputs
SCATTERED = INPUTS | arithmetic.draws(200)
# Other kinds of design, each a change of the demo's inputs: what `if` decides in the formulas.
KINDS = {
    "two rows": {"screw_rows": 2.0},
    "sunk heads": {"screw_flush": 1.0},
    "unified thread, plain shank": {"screw_unified": 1.0, "screw_threads_in_plane": 0.0},
    "room for heads": {"screw_head_room": 4e-3},
    "three ports": {"port_count": 3.0},
    "no port, no hole": {"port_count": 0.0, "closure_centre_hole": 0.0},
    "no nose": {"closure_nose": 0.0},
    "more pressure than the chart has": {"loads_meop_given": 25e6},
    "rings by their numbers": {
        "seal_primary_ring_id": 0.0735, "seal_liner_ring_cs": 0.0036, "seal_liner_hot": 400.0,
    },
    "backup rings": {"seal_primary_backups": 2.0, "seal_liner_backups": 0.0},
    "closure of another metal": {"closure_alpha": 1.7e-5, "closure_E": 2e11},
    "liner as thick as it is": {"insulation_liner_bore": np.nan},
    "metal hotter than its table": {"case_metal_temperature": np.linspace(250, 700, 200)},
    "play beyond the table": {"screw_clearance_hole": np.linspace(0.006, 0.009, 200)},
    "screws anywhere": {"closure_screw_station": np.linspace(0.001, 0.05, 200)},
    "any plate": {"closure_plate": np.linspace(0.001, 0.06, 200)},
}  # fmt: skip


def test_every_check_is_by_hand_and_equal_in_scattered_designs():
    hand = arithmetic.same(SCATTERED)
    assert set(hand) == set(CHECKS)
    still = {id for id, ratio in hand.items() if len(np.unique(np.broadcast_to(ratio, 200))) < 2}
    assert still == {  # what the scatter cannot move: not asked of the demo
        "closure.ligament.port_port", "screw.head.height", "screw.countersink",
    }  # fmt: skip


def test_one_design_at_a_time():
    arithmetic.same(INPUTS)


def test_other_kinds_of_design():
    for kind, change in KINDS.items():
        with case(kind):
            arithmetic.same(SCATTERED | change)


def test_a_check_that_is_missing_wrong_or_said_twice_is_found(monkeypatch):
    with np.errstate(divide="ignore"):
        found = list(formulas.ratios(INPUTS))
    for worse, said in (
        (found[1:], f"not by hand.*{found[0][0]}"),
        ([*found, found[3]], f"twice.*{found[3][0]}"),
        ([*found, ("case.none", 1.0)], "not a check.*case.none"),
        ([(found[0][0], found[0][1] * (1 + 1e-6)), *found[1:]], found[0][0]),
    ):
        monkeypatch.setattr(formulas, "ratios", lambda _, worse=worse: iter(worse))
        with pytest.raises(AssertionError, match=said):
            arithmetic.same(INPUTS)
