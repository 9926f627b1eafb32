"""A sweep of an assessed design leaves out what the field does not touch, and finds the same."""

import numpy as np
import pytest

from hobbyclosure import study
from hobbyclosure.assess import Assessment
from hobbyclosure.fields import FIELDS
from hobbyclosure.units import COUNT
from tests.designs import DEMO

NUMBERS = [f.path for f in FIELDS.values() if f.kind is not None]


@pytest.mark.parametrize("path", [*NUMBERS, "case.wall outside", "case.wall stated"])
def test_a_sweep_of_an_assessed_design_is_the_plain_sweep(path):
    design = DEMO.evolved({"case.wall_holds": "outside"}) if "outside" in path else DEMO
    design = design.toleranced("case.wall", "4 %") if "stated" in path else design
    path = path.split()[0]
    field, a = FIELDS[path], Assessment(design)
    _ = a.states
    now = study.now(a, path)
    grid = np.linspace(0.9, 1.1, 5) * now if now == now and now > 0 else np.array(field.range)
    grid = np.clip(np.round(grid) if field.kind is COUNT else grid, *field.range)
    plain, quick = study.sweep(a.inputs, path, grid), study.swept(a, path, grid)
    assert list(plain) == list(quick)
    for id, ratio in plain.items():
        np.testing.assert_array_equal(quick[id], ratio, err_msg=id)
