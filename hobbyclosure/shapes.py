"""What a drawing consists of: named shapes, dimensions and names, all in millimetres."""

from collections.abc import Iterable, Mapping
from typing import Any

import attrs
import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]


@attrs.frozen(eq=False)
class Shape:
    """A polygon, a polyline or, with a radius, a circle about its one point.

    Role: part (filled and outlined), fill (no outline), outline, metal, void, thin, fine, hidden,
    axis, ghost, ring, wire, break, wrench. A circle with an inner radius is an annulus.
    """

    part: str
    role: str
    points: Points
    name: str
    closed: bool = True
    hatch: str = ""
    radius: float = 0.0
    inner: float = 0.0

    def placed_as(self, other: "Shape") -> bool:
        """Whether both lie in the same place, to a micrometre."""
        return (
            self.points.shape == other.points.shape
            and bool(np.abs(self.points - other.points).max() < 1e-3)
            and abs(self.radius - other.radius) + abs(self.inner - other.inner) < 1e-3
        )


@attrs.frozen
class Dim:
    """A dimension from a to b (mm); value in metres; side says where its line lies."""

    name: str
    a: tuple[float, float]
    b: tuple[float, float]
    value: float
    side: str
    rank: int
    prefix: str = ""


@attrs.frozen
class Name:
    """A part's name for a target point (mm), to be set in the white area called where."""

    text: str
    target: tuple[float, float]
    where: str
    rank: int


@attrs.frozen(eq=False)
class Drawing:
    """One view: its shapes back to front, what is written on it, and the box (mm) it fills."""

    view: str
    title: str
    shapes: tuple[Shape, ...]
    box: tuple[float, float, float, float]  # x low, x high, y low, y high
    dims: tuple[Dim, ...] = ()
    names: tuple[Name, ...] = ()
    white: Mapping[str, tuple[float, float, float, float]] = attrs.field(factory=dict)
    captions: tuple[str, ...] = ()
    angles: tuple[float, ...] = ()  # clocking of the ports, degrees

    def named(self, name: str) -> list[Shape]:
        """Shapes of that name, back to front."""
        return [shape for shape in self.shapes if shape.name == name]


def mirrored(points: Iterable[tuple[float, float]] | Points) -> tuple[Points, Points]:
    """Upper half as given and its mirror image below the axis."""
    upper = np.array(points, dtype=float)
    return upper, upper * (1, -1)


class Pen:
    """Collects shapes, back to front."""

    def __init__(self) -> None:
        self.shapes: list[Shape] = []

    def one(self, part: str, role: str, name: str, points: Any, **more: Any) -> None:
        """One polygon or polyline."""
        self.shapes.append(Shape(part, role, np.array(points, dtype=float), name, **more))

    def both(self, part: str, role: str, name: str, points: Any, **more: Any) -> None:
        """Polygon or polyline and its mirror image."""
        for half in mirrored(points):
            self.shapes.append(Shape(part, role, half, name, **more))

    def circle(self, part: str, role: str, name: str, radius: float, **more: Any) -> None:
        """Circle about `at`, the axis if not stated."""
        at = more.pop("at", (0.0, 0.0))
        self.one(part, role, name, [at], radius=max(radius, 0.0), **more)
