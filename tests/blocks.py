"""Meshes of mapped blocks for the finite elements: a plate with a wall on it and a fillet between.

Coordinates are (u, v): the plate lies in 0 ≤ v ≤ h, the wall stands on it from u_i to u_o, and an
arc of radius f leads from the plate's face into the wall's side at u_i.
"""

import numpy as np
from numpy.typing import NDArray
from skfem import MeshQuad

Array = NDArray[np.float64]


def graded(near: float, far: float, n: int, first: float) -> Array:
    """n + 1 stops from near to far, steps growing evenly from about `first` of the whole."""
    if n * first >= 1:
        return near + (far - near) * np.linspace(0, 1, n + 1)
    low, high = 1.0, 4.0
    for _ in range(60):
        q = (low + high) / 2
        low, high = (q, high) if first * (q**n - 1) / (q - 1) < 1 else (low, q)
    steps = np.cumsum(np.concatenate([[0], high ** np.arange(n)]))
    return near + (far - near) * steps / steps[-1]


def joined(blocks: list[tuple[Array, Array]]) -> MeshQuad:
    """One mesh of structured blocks (u and v of their nodes) whose shared edges match."""
    points, quads, count = [], [], 0
    for u, v in blocks:
        n, m = u.shape
        index = count + np.arange(n * m).reshape(n, m)
        points.append(np.stack([u.ravel(), v.ravel()]))
        corners = index[:-1, :-1], index[1:, :-1], index[1:, 1:], index[:-1, 1:]
        quads.append(np.stack([c.ravel() for c in corners]))
        count += n * m
    p, t = np.concatenate(points, axis=1), np.concatenate(quads, axis=1)
    size = np.abs(p).max()
    _, first, same = np.unique(
        np.round(p / size, 9), axis=1, return_index=True, return_inverse=True
    )
    p, t = p[:, first], same.ravel()[t]
    a, b, _, d = (p[:, k] for k in t)
    turned = (b[0] - a[0]) * (d[1] - a[1]) - (b[1] - a[1]) * (d[0] - a[0]) < 0
    t[:, turned] = t[::-1][:, turned]
    return MeshQuad(np.ascontiguousarray(p), np.ascontiguousarray(t))


def tensor(u: Array, v: Array) -> tuple[Array, Array]:
    """A block of straight lines."""
    return np.meshgrid(u, v, indexing="ij")


def filleted(
    start: float, u_i: float, u_o: float, h: float, top: Array, f: float, n: int, end: float = 0.0
) -> MeshQuad:
    """Plate from u = start, wall from u_i to u_o up to the stops `top`, and perhaps plate beyond.

    n elements along each half of the arc; `end` > u_o lengthens the plate past the wall. The
    first of `top` must be h + f.
    """
    m = 2 * n  # elements across, from the arc outwards
    depth = graded(0.0, 1.0, m, 0.25 * f / n / h)
    half = np.pi / 4 * np.linspace(0, 1, n + 1)
    angle = np.concatenate([half, np.pi / 4 + half[1:]])
    arc = np.stack([u_i - f + f * np.sin(angle), h + f - f * np.cos(angle)])
    low = np.stack([np.linspace(u_i - f, u_o, n + 1), np.zeros(n + 1)])
    k = max(1, min(n - 1, round(n * h / (h + f))))
    rise = np.concatenate([np.linspace(0, h, k + 1), np.linspace(h, h + f, n - k + 1)[1:]])
    outer = np.concatenate([low, np.stack([np.full(n, u_o), rise[1:]])], axis=1)
    corner = [arc[i][:, None] + (outer[i] - arc[i])[:, None] * depth[None, :] for i in (0, 1)]
    reach = u_i - f - start
    left = start + reach - graded(0.0, reach, 2 * n, min(0.5 * f / n / reach, 0.4))[::-1]
    blocks = [
        (corner[0], corner[1]),
        tensor(left, h * (1 - depth[::-1])),
        tensor(u_i + (u_o - u_i) * depth, top),
    ]
    if end > u_o:
        blocks.append(tensor(graded(u_o, end, n, 0.5 / n), rise[: k + 1]))
    return joined(blocks)
