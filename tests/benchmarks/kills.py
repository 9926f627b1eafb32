"""A thousand warm writers killed at random moments: how much of the last second is lost."""

import sys

import numpy as np

from tests import kills as killed
from tests.benchmarks.tables import Row, Samples


def kills(quick: bool) -> list[Row]:
    """Age of the oldest change that a kill lost; every file must be whole."""
    found = killed.kills(60 if quick else 1000, seed=int(np.random.default_rng().integers(2**31)))
    wrong = [kill for kill in found if kill.wrong]
    assert not wrong, wrong[:3]
    oldest = max(kill.age for kill in found)
    print(f"{len(found)} kills, the oldest loss {oldest:.3f} s", file=sys.stderr)
    assert oldest < 1.0, f"a change {oldest:.2f} s old was lost"
    return [
        Row(f"lost by a kill, {what}", Samples([[1e3 * k.age for k in found if k.kind == kind]]),
            target="< 1000 at most", note=f"{sum(k.kind == kind for k in found)} kills, "
            f"the most {1e3 * max(k.age for k in found if k.kind == kind):.0f}")
        for kind, what in (("busy", "while saving and noting"), ("quiet", "autosave alone"))
    ]  # fmt: skip
