"""Axisymmetric linear-elastic finite elements for the tests: quadrilaterals of second order.

Coordinates are (r, z). Areas and loads leave out the factor 2π throughout. SI or any consistent
units; stresses are read at the corners of the elements.
"""

from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from skfem import (
    Basis,
    BilinearForm,
    ElementQuad2,
    ElementVector,
    FacetBasis,
    LinearForm,
    MeshQuad,
    condense,
    solve,
)

Array = NDArray[np.float64]
Where = Callable[[Array, Array], NDArray[np.bool_]]


class Load(NamedTuple):
    """Traction (t_r, t_z) on the boundary facets whose midpoints satisfy where(r, z)."""

    where: Where
    t_r: float
    t_z: float


class Field(NamedTuple):
    """Displacements and stresses at the corners of all elements."""

    r: Array
    z: Array
    u_r: Array
    u_z: Array
    s_r: Array
    s_z: Array
    s_t: Array
    s_rz: Array

    @property
    def von_mises(self) -> Array:
        unequal = (
            (self.s_r - self.s_z) ** 2 + (self.s_z - self.s_t) ** 2 + (self.s_t - self.s_r) ** 2
        )
        return np.sqrt(unequal / 2 + 3 * self.s_rz**2)

    def at(self, values: Array, r: float, z: float) -> float:
        """Mean of values over the element corners that meet at the mesh point nearest to (r, z)."""
        gap = np.hypot(self.r - r, self.z - z)
        return float(values[gap < gap.min() + 1e-9 * self.r.max()].mean())


def stops(*edges: float, size: float) -> Array:
    """Grid line positions through all edges, no further apart than size."""
    parts = [
        np.linspace(low, high, 1 + int(np.ceil((high - low) / size - 1e-9)))
        for low, high in pairwise(edges)
        if high > low
    ]
    return np.unique(np.round(np.concatenate(parts), 12))


def solve_axisymmetric(
    mesh: MeshQuad,
    E: float,
    nu: float,
    loads: Sequence[Load],
    held_z: Where,
) -> Field:
    """Solve for the loads; u_r = 0 on the axis, u_z = 0 at the mesh points satisfying held_z."""
    mu, lam = E / (2 * (1 + nu)), E * nu / ((1 + nu) * (1 - 2 * nu))
    element = ElementVector(ElementQuad2())
    basis = Basis(mesh, element, intorder=4)

    def strains(u, r):
        g = u.grad
        on_axis = r < 1e-12
        hoop = np.where(on_axis, g[0, 0], u[0] / np.where(on_axis, 1.0, r))
        return g[0, 0], g[1, 1], hoop, (g[0, 1] + g[1, 0]) / 2

    @BilinearForm
    def stiffness(u, v, w):
        e_r, e_z, e_t, e_rz = strains(u, w.x[0])
        d_r, d_z, d_t, d_rz = strains(v, w.x[0])
        direct = e_r * d_r + e_z * d_z + e_t * d_t + 2 * e_rz * d_rz
        return (2 * mu * direct + lam * (e_r + e_z + e_t) * (d_r + d_z + d_t)) * w.x[0]

    force = np.zeros(basis.N)
    for load in loads:
        facets = mesh.facets_satisfying(
            lambda x, where=load.where: where(x[0], x[1]), boundaries_only=True
        )
        assert len(facets) > 0, "a load that meets no facet"
        traction = LinearForm(lambda v, w, t=load: (t.t_r * v[0] + t.t_z * v[1]) * w.x[0])
        force += traction.assemble(FacetBasis(mesh, element, facets=facets, intorder=4))

    at = basis.doflocs
    z_dofs = np.union1d(
        basis.nodal_dofs[1], np.union1d(basis.facet_dofs[1], basis.interior_dofs[1])
    )
    r_dofs = np.setdiff1d(np.arange(basis.N), z_dofs)
    axis = r_dofs[at[0, r_dofs] < 1e-12]
    level = z_dofs[held_z(at[0, z_dofs], at[1, z_dofs])]
    assert len(level) > 0, "nothing holds the body along z"
    u = solve(*condense(stiffness.assemble(basis), force, D=np.concatenate([axis, level])))

    corners = np.array([[0.0, 1.0, 1.0, 0.0], [0.0, 0.0, 1.0, 1.0]])
    read = Basis(mesh, element, quadrature=(corners, np.full(4, 0.25)))
    shift = read.interpolate(u)
    r, z = np.asarray(read.global_coordinates())
    e_r, e_z, e_t, e_rz = strains(shift, r)
    volume = lam * (e_r + e_z + e_t)
    stresses = [volume + 2 * mu * e for e in (e_r, e_z, e_t)]
    return Field(r, z, shift[0], shift[1], *stresses, 2 * mu * e_rz)
