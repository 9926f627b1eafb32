"""What only memory confirms: it earns no evidence.

Parker O-Ring Handbook, Figure 3-3 (loss of section by stretch); Lindley, J. Strain Analysis 2
(1967), load of an O-ring between flats.
"""

import numpy as np
import pytest

from hobbyclosure.physics.seal import section_loss_empirical, section_stretched, squeeze_line_force


@pytest.mark.parametrize(("x", "loss"), [(0.02, 1.73), (0.05, 3.395)])
def test_the_empirical_curve_takes_more_than_geometry(x, loss):
    assert 100 * float(section_loss_empirical(x)) == pytest.approx(loss, abs=0.005)
    geometry = 1 - section_stretched(1.0, 1e-4, 1 + x) / 1e-4
    assert section_loss_empirical(x) > geometry


def test_load_between_flats_at_a_fifth_of_the_section():
    # E d (1.25 C^1.5 + 50 C^6) at C = 0.2: 0.1118 + 0.0032
    assert squeeze_line_force(0.0035, 9e6, 0.2) == pytest.approx(0.0035 * 9e6 * 0.1150, rel=1e-3)
    assert squeeze_line_force(0.0035, 9e6, np.array([-0.1, 0.0])) == pytest.approx(0.0)
