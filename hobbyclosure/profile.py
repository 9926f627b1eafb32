"""Sizes and outlines the drawings are made of: millimetres, one half of a turned part at a time."""

from collections.abc import Iterable, Mapping
from functools import lru_cache
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]
Step = tuple[float, float]


class Sizes:
    """A design's values in millimetres, and what follows from them; odd geometry is kept as it is.

    Proportions without a field (marked so) only make the picture whole; nothing is judged by them.
    """

    def __init__(self, v: Mapping[str, Any], tube: float = 1.6) -> None:
        def mm(name: str) -> float:
            return 1e3 * float(v[name])

        self.D, self.t = mm("case_bore"), mm("case_wall")
        self.R = self.D / 2
        self.R_o = self.R + self.t
        self.chamfer = min(mm("case_hole_chamfer"), 0.9 * self.t)

        self.L = mm("closure_length")
        self.R_c = max(self.R - mm("closure_clearance") / 2, 0.1 * self.R)
        self.floor = max(self.L - mm("closure_plate"), 0.0)
        self.hole = min(mm("closure_centre_hole") / 2, 0.95 * self.R_c)
        self.R_s = max(self.R_c - mm("closure_skirt_wall"), 0.0)
        self.R_s = self.R_s if self.R_s > self.hole else self.hole  # skirt filled: no pocket
        self.floor = self.floor if self.R_s > self.hole else 0.0
        self.r_f = max(min(mm("closure_fillet"), self.R_s - self.hole, 0.9 * self.floor), 0.0)
        self.nose = min(mm("closure_nose"), self.L)
        self.R_n = min(mm("closure_nose_diameter") / 2, self.R_c) if self.nose else self.R_c

        self._screws(v, mm)
        self._insulation(mm)
        self._rings(mm)
        self._plug(mm)
        self._ports(v, mm)

        # Room at the cold end for wires and sensor, at the hot end for names: proportions.
        reach = [0.0, self.x_tube]
        reach += [self.x_hex - 0.35 * self.hole] if self.hole else []
        reach += [self.x_sensor] if self.ports else []
        self.x_cold = min(reach) - 0.01 * self.D
        room = max(0.65 * self.D, 0.4 * self.hot) * tube / 1.6
        self.x_end = max(self.hot + room, self.x_cold + tube * self.D)

    def _screws(self, v: Mapping[str, Any], mm: Any) -> None:
        self.d, self.P, self.dk, self.k = (
            mm("screw_d"), mm("screw_P"), mm("screw_head_dk"), mm("screw_head_k")
        )  # fmt: skip
        self.d_3, self.d_h = self.d - 1.226869 * self.P, mm("screw_clearance_hole")
        self.form = str(v["screw_head_form"])
        self.proud = 0.0 if self.form == "countersunk" else self.k
        self.count, self.rows = round(float(v["screw_count"])), round(float(v["screw_rows"]))
        first = mm("closure_screw_station")
        self.x_screws = [first + row * mm("screw_row_spacing") for row in range(self.rows)]
        self.x_tube = first - mm("case_edge_distance")
        self.tip = max(self.R_o - mm("screw_length"), 0.0)
        self.top = self.R_o + self.proud

    def _insulation(self, mm: Any) -> None:
        self.disc, self.liner = mm("insulation_disc"), min(mm("insulation_liner"), 0.9 * self.R)
        self.hot = self.L + self.disc
        self.R_l = self.R - self.liner
        self.R_d = max(min(self.R_n, self.R_l) - 0.001 * self.D, 0.3 * self.R)
        self.x_liner = self.L - self.nose + 0.005 * self.D
        self.R_dh = min(1.1 * self.hole, 0.95 * self.R_d)  # proportion: wider than the thread

    def _rings(self, mm: Any) -> None:
        """Groove start, width, floor radius; where the ring is pressed against; its section."""
        self.rings: dict[str, tuple[float, float, float, float, float]] = {}
        for name in ("secondary", "primary", *(["liner"] if self.nose else [])):
            self.rings[name] = (
                mm(f"seal_{name}_station"),
                mm(f"seal_{name}_groove_width"),
                mm(f"seal_{name}_groove_diameter") / 2,
                self.R_l if name == "liner" else self.R,
                mm(f"seal_{name}_cs"),
            )

    def _plug(self, mm: Any) -> None:
        """All proportions but the hexagon: thread over a third of the plate, spigot under it."""
        R, h = self.hole, self.L - self.floor
        pitch = min(max(0.15 * R, 0.5), 3.0)
        self.R_minor = max(R - 0.54 * pitch, 0.5 * R)
        self.R_b = max(self.R_minor - 0.5 * pitch, 0.4 * R)
        self.x_thread = self.floor + 0.375 * h
        spigot = self.L - self.x_thread
        self.w_plug = min(0.24 * R, 0.24 * spigot)
        self.x_plug_rings = [self.x_thread + f * spigot for f in (0.12, 0.56)]
        self.R_pg = self.R_b - min(0.15 * R, 0.16 * spigot)
        self.R_narrow, self.R_wide = 0.16 * R, 0.55 * R
        self.x_narrow = self.floor + 0.12 * h
        self.drive = mm("plug_drive")
        self.R_hex = self.drive / np.sqrt(3) if R else 0.0
        self.flange = max(1.3 * R, 1.05 * self.R_hex) if R else 0.0
        self.x_flange = self.floor - 0.3 * R
        self.x_hex = self.x_flange - 1.2 * R

    def _ports(self, v: Mapping[str, Any], mm: Any) -> None:
        """Port with a 1/8 taper thread and a 1.5 mm pilot hole; sensor to its hexagon."""
        self.ports = round(float(v["port_count"]))
        self.clocking = float(np.degrees(float(v["port_clocking"])))
        self.R_port, self.hexagon = mm("port_pitch_circle") / 2, mm("port_sensor_hexagon")
        self.R_tap, self.R_pilot = 5.1, 0.75
        self.x_tap = self.floor + min(9.2, 0.7 * (self.L - self.floor))
        self.R_body, self.sensor_body = 0.443 * self.hexagon, 1.96 * self.hexagon
        self.x_sensor = self.floor - 0.75 * self.hexagon - self.sensor_body


def steps(x0: float, x1: float, r: float, cuts: Iterable[tuple[float, float, float]]) -> list[Step]:
    """Outline of a cylinder of radius r from x0 to x1 with cuts (start, end, floor radius)."""
    cuts = [(max(a, x0), min(b, x1), floor) for a, b, floor in cuts if b > x0 and a < x1]
    xs = sorted({x0, x1, *(x for a, b, _ in cuts for x in (a, b))})
    out: list[Step] = []
    for a, b in pairwise(xs):
        low = max(min([r, *(f for s, e, f in cuts if s < (a + b) / 2 < e)]), 0.0)
        if out and out[-1][1] == low:
            out[-1] = (b, low)
        else:
            out += [(a, low), (b, low)]
    return out or [(x0, r), (x1, r)]


def turned(L: float, R: float, nose: float, R_n: float, grooves: list) -> list[Step]:
    """Outline of the closure's outside, cold face to wet face."""
    return steps(0.0, L, R, [*grooves, (L - nose, L, R_n)])


def fillet(floor: float, R_s: float, r: float, least: float) -> Points:
    """Arc between the floor of the pocket and the skirt's inside."""
    return np.array([floor - r, max(R_s - r, least)]) + _quarter() * r


@lru_cache(maxsize=1)
def _quarter() -> Points:
    a = np.linspace(0, np.pi / 2, 7)
    return np.stack([np.cos(a), np.sin(a)], 1)


@lru_cache(maxsize=1)
def arc() -> Points:
    """Left half of the unit circle, top to bottom."""
    a = np.linspace(np.pi / 2, 3 * np.pi / 2, 9)
    return np.stack([np.cos(a), np.sin(a)], 1)


@lru_cache(maxsize=8)
def stations(n: int, start: float) -> Points:
    """Points of the unit circle, clockwise from the top."""
    a = np.radians(start + np.arange(n) * 360 / n)
    return np.stack([np.sin(a), np.cos(a)], 1)


@lru_cache(maxsize=1)
def _dome() -> Points:
    a = np.linspace(0, np.pi, 19)
    c, s = np.cos(a), np.sin(a)
    return np.stack([np.sign(c) * np.abs(c) ** 0.8, s**0.8], 1)


def head(form: str, d: float, dk: float, k: float) -> Points:
    """Outline of a head on the surface y = 0, y outwards; a countersunk one lies below it."""
    if form == "button":
        return _dome() * (dk / 2, k)
    if form == "countersunk":
        return np.array([(-dk, 0), (dk, 0), (d, -2 * k), (-d, -2 * k)]) / 2
    a, b = dk / 2, 0.9 * dk / 2
    return np.array([(-a, 0), (-a, 0.88 * k), (-b, k), (b, k), (a, 0.88 * k), (a, 0)])
