"""Block tearing and the port's pipe thread against print.

Steel Buildings in Europe, Multi-Storey Steel Buildings, Part 5: Joint Design (ArcelorMittal,
Peiner Träger, Corus), 3.2.2.3 and page 5 - 88, where it quotes EN 1993-1-8, 3.10.2(2): stored
page, seen (the form and its areas are printed, no numbers). 1/8 NPT: a stored table of NPT pipe
threads, outside diameter, seen.
"""

import numpy as np
import pytest

from hobbyclosure.design import default_entry
from hobbyclosure.physics.tear import block_shear_area, block_straight_area, block_tear_force
from hobbyclosure.units import Q
from tests.support import published, rounds_to


@published(
    (block_tear_force, block_shear_area, block_straight_area),
    "Steel Buildings in Europe, Part 5, p. 5 - 88, EN 1993-1-8 3.10.2(2); stored page, seen",
)
@pytest.mark.parametrize(("e_1", "p_2", "d_0", "t"), [(40, 70, 22, 10), (35, 55, 18, 8)])
def test_block_of_one_hole_on_each_line_in_the_printed_form(e_1, p_2, d_0, t):
    """A_nv = 2t(e_1 + (n_1 − 1)p_1 − (n_1 − 0.5)d_0), A_nt = t(p_2 − d_0), with n_1 = 1."""
    n_1, p_1, f_u, f_y = 1, 65, 430.0, 275.0
    A_nv = 2 * t * (e_1 + (n_1 - 1) * p_1 - (n_1 - 0.5) * d_0)
    A_nt = t * (p_2 - d_0)
    printed = f_u * A_nt + f_y * A_nv / np.sqrt(3)  # partial factors 1
    here = block_tear_force(
        Q(f_u, "MPa"), Q(f_y, "MPa"),
        block_straight_area(Q(t, "mm"), Q(p_2, "mm"), Q(d_0, "mm")),
        block_shear_area(Q(t, "mm"), Q(e_1, "mm"), Q(d_0, "mm")),
    )  # fmt: skip
    assert here.to("N").magnitude == pytest.approx(printed)


def test_the_port_s_default_is_the_1_8_npt_thread():
    value = float(default_entry("port.thread_diameter").value)
    assert rounds_to(value, "10.29 mm")
    assert rounds_to(value, "0.405 in")
