"""A new design from nothing: sensible starting values that follow the bore.

Proportions are common practice without a source; they are where a builder begins, not an answer.
The checks say what is still short.
"""

from collections.abc import Mapping
from typing import Any

import attrs
import numpy as np

from hobbyclosure import data, rings
from hobbyclosure.assess import CLOSE, Assessment
from hobbyclosure.checks.skirt import FILLET_RANGE
from hobbyclosure.data import seals
from hobbyclosure.design import Design, Entry, inputs
from hobbyclosure.fields import FIELDS
from hobbyclosure.physics.chart import backup_thickness
from hobbyclosure.units import ANGLE, LENGTH, from_si, parse, trimmed

# Ring cross-section by bore, and how deep its groove lies below the bore (radial, AS568 glands).
# Thinner sections cannot take up what a hand-made bore, groove and ring may be off.
_RINGS = ((0.070, 2.62e-3, 2.08e-3), (0.130, 3.53e-3, 2.85e-3), (1.0, 5.33e-3, 4.36e-3))
FITTED = {"metric": "0.02 mm", "inch": "0.0008 in"}  # liner and nose are turned to each other
NOSE_PLAY = 7e-5  # on the diameter: nearly all of it is tolerance
_METRIC = ("M3", "M4", "M5", "M6", "M8", "M10", "M12")
_UNIFIED = ("#8-32", "#10-32", "1/4-20", "5/16-18")


# What the fillet check answers for, a hair inside: plate thickness, skirt height over the bore.
PLATE_MOST, SKIRT_MOST = (
    FILLET_RANGE[name][1] - 5e-4 for name in ("closure_slenderness", "closure_skirt_height")
)


@attrs.frozen
class Try:
    """How a start departs from the usual: the next size of thread or ring, backup rings."""

    thread: int = 0
    section: int = 0
    backups: int = 0
    liner_backups: int = 0


# Where the usual sizes fall short, others are tried: what is most like the usual first.
OTHERS = (
    Try(), Try(thread=-1), Try(section=1), Try(thread=-1, section=1), Try(thread=1), Try(section=2),
)  # fmt: skip
WIDEST = 0.2  # m of bore; in wider ones no size of these makes up for what is short


def starting(
    bore: float, wall: float, peak: float, name: str = "New closure", system: str = "metric"
) -> Design:
    """A design for a bore, a wall (m) and an expected peak pressure (Pa), one screw row.

    Rings get a backup ring each where they would squeeze out without. The first of some starts
    that meets is taken; where none does, the one with the fewest checks short.
    """
    found: list[tuple[tuple[float, ...], Design]] = []
    for tried in OTHERS if bore < WIDEST else OTHERS[:1]:
        design, a = _backed(bore, wall, peak, name, system, tried)
        ratios = np.array([a.ratios[id] for id in a.counted])
        none = float(np.isnan(ratios).sum())  # no answer: less bad than what is known to fail
        short = float(np.sum(ratios < 1))
        sealed = a.inputs["closure_nose"] > 0  # to its liner
        if not (short or none) and (sealed or not found):
            return design
        found.append(((-short, sealed, -none, float(np.nanmin(ratios))), design))
    return max(found, key=lambda each: each[0])[1]


def _backed(
    bore: float, wall: float, peak: float, name: str, system: str, tried: Try
) -> tuple[Design, Assessment]:
    """A start, with backup rings where they are needed."""
    design = _started(bore, wall, peak, name, system, tried)
    gaps = (a := Assessment(design)).ratios
    short = {
        ring: min(gaps[f"seal.{ring}.gap"], gaps[f"seal.{ring}.gap_proof"]) < CLOSE
        for ring in ("primary", "liner")
    }
    if not any(short.values()):
        return design, a
    tried = attrs.evolve(tried, backups=int(short["primary"]), liner_backups=int(short["liner"]))
    design = _started(bore, wall, peak, name, system, tried)
    return design, Assessment(design)


def _started(bore: float, wall: float, peak: float, name: str, system: str, tried: Try) -> Design:
    round_to = 5e-4 if system == "metric" else 25.4e-3 / 64
    backups = tried.backups
    wanted_d = max(bore / 13, min(bore / 6, 4.5e-3))
    names = _METRIC if system == "metric" else _UNIFIED
    usual = min(range(len(names)), key=lambda i: abs(data.THREADS[names[i]].d - wanted_d))
    thread = data.THREADS[names[int(np.clip(usual + tried.thread, 0, len(names) - 1))]]
    section = next(i for i, (most, *_) in enumerate(_RINGS) if bore < most)
    _, cs, depth = _RINGS[min(section + tried.section, len(_RINGS) - 1)]

    def up(x: float) -> float:
        return round(float(np.ceil(x / round_to - 1e-9) * round_to), 10)

    width = up(1.47 * cs + backups * float(backup_thickness(cs)))
    land = up(max(0.8 * cs, 2e-3))
    edge = up(1.95 * thread.hole_close)
    secondary = up(edge + 1.8 * thread.d)
    primary = round(secondary + width + land, 10)
    liner = up(max(1.2e-3, 0.035 * bore))
    nose_start = round(primary + width + land, 10)
    small = cs if 0.09 < bore < 0.13 else _smaller(cs)
    nose_width = up(1.47 * small + tried.liner_backups * float(backup_thickness(small)))
    mouth = min(up(1.15 * small), 1.9 * liner)
    into = up(1.15 * (mouth + 2e-4) + 1e-4)  # the groove begins past the liner's chamfer
    nose = into + nose_width + up(max(0.9 * small, 2e-3))
    plate_most = round(float(np.floor(PLATE_MOST * bore / round_to)) * round_to, 10)
    if nose_start + nose > plate_most + SKIRT_MOST * bore:
        nose = 0.0  # a small motor begins without a seal to its liner
    liner_bore = bore - 2 * liner
    nose_diameter = liner_bore - NOSE_PLAY
    length = round(nose_start + nose, 10)
    plate = min(up(max(0.235 * bore, length - SKIRT_MOST * bore)), up(0.6 * length), plate_most)
    count = np.floor(np.pi * (bore + wall) / (2.8 * (thread.hole_close + 1e-4)) / 2) * 2
    skirt_wall = max(up(0.1235 * bore), up(depth + 1e-3))
    lead_in = min(up(1.15 * cs), edge - 0.6 * thread.hole_close, _deepest_lead_in(wall))
    hole = up(0.26 * bore)
    rings_in_bore = ("primary", "secondary")
    values: dict[str, float | str] = {
        "loads.peak": peak,
        "case.bore": bore,
        "case.wall": wall,
        "case.edge_distance": edge,
        "case.material": "6061-T6-drawn-tube",
        "case.lead_in": lead_in,
        "closure.length": length,
        "closure.plate": plate,
        "closure.skirt_wall": skirt_wall,
        "closure.fillet": max(up(0.028 * bore - round_to / 2), 5e-4),
        "closure.nose": nose,
        "closure.nose_diameter": nose_diameter,
        "closure.screw_station": edge,
        "closure.centre_hole": hole,
        "screw.thread": thread.id,
        "screw.strength_class": "8.8" if system == "metric" else "A574",
        "screw.head": "button" if system == "metric" else "cap",  # A574 is of cap screws
        "screw.count": float(np.clip(count, 4, 48)),
        "screw.clearance_hole": thread.hole_close,
        "screw.hole_method": "together",  # what small screws need before all else
        "screw.length": _stock_length(0.9 * wall + skirt_wall, system),
        "seal.primary.station": primary,
        "seal.secondary.station": secondary,
        "seal.liner.station": nose_start + into,
        "seal.primary.groove_diameter": bore - 2 * depth,
        "seal.secondary.groove_diameter": bore - 2 * depth,
        "seal.liner.groove_diameter": liner_bore - 1.6 * small,
        "seal.liner.durometer": 90.0,
        **{f"seal.{ring}.durometer": 80.0 for ring in rings_in_bore},
        **{f"seal.{ring}.backups": float(backups) for ring in rings_in_bore},
        "seal.liner.backups": float(tried.liner_backups),
        "seal.primary.groove_width": width,
        "seal.secondary.groove_width": width,
        "seal.liner.groove_width": nose_width,
        **{f"seal.{ring}.corner_radius": 0.1 * cs for ring in ("primary", "secondary", "liner")},
        "insulation.liner": liner,
        "insulation.liner_bore": liner_bore,
        "insulation.slack": 0.0,  # bonded in
        "insulation.liner_lead_in": mouth,
        "insulation.disc": up(0.065 * bore),
        "plug.drive": up(0.22 * bore),
        "port.count": 1.0 if bore > 0.0745 else 0.0,  # below, the rim leaves it no room
        "port.pitch_circle": up(1.345 * (hole + 10.29e-3)),
    }
    entries = {path: _entry(path, value, system) for path, value in values.items()}
    for path in ("insulation.liner_bore", "closure.nose_diameter"):
        entries[path] = attrs.evolve(entries[path], tol=parse(FITTED[system], LENGTH))
    known = inputs(Design(name, entries))
    found, _ = _gland(known, "primary", cs, system)
    found |= {path.replace("primary", "secondary"): value for path, value in found.items()}
    # A liner a little thicker may suit the rings one can buy better.
    choices = []
    for thicker in np.arange(16) * round_to / 5:
        own = {
            "insulation.liner": liner + thicker,
            "insulation.liner_bore": liner_bore - 2 * thicker,
            "closure.nose_diameter": nose_diameter - 2 * thicker,
            "seal.liner.groove_diameter": liner_bore - 1.6 * small - 2 * thicker,
        }
        moved = {**known, **{path.replace(".", "_"): value for path, value in own.items()}}
        gland, room = _gland(moved, "liner", small, system)
        choices.append((room - 10 * thicker, -thicker, own | gland))
    found |= max(choices, key=lambda choice: choice[:2])[2]
    for path, value in found.items():
        entries[path] = attrs.evolve(
            _entry(path, value, system), tol=entries[path].tol if path in entries else None
        )
    return Design(name, entries)


def _gland(
    known: Mapping[str, Any], ring: str, cs: float, system: str
) -> tuple[dict[str, Any], float]:
    """Ring and groove floor with the most room to every limit, near the floor in the inputs."""
    step = (5e-5 if cs > 4e-3 else 2e-5) if system == "metric" else 25.4e-6
    middle = round(known[f"seal_{ring}_groove_diameter"] / step) * step
    reach = int(0.3e-3 / step)
    floors = [middle + i * step for i in range(-reach, reach + 1)]
    tried = [
        rings.rings_that_fit({**known, f"seal_{ring}_groove_diameter": floor}, ring)
        for floor in floors
        if floor > 0
    ]
    listed = seals.ALL if system == "metric" else data.RINGS
    thick = {key: ring for key, ring in listed.items() if abs(ring.cs / cs - 1) < 0.02}
    fits = [fit for found in tried for fit in found if fit.key in thick]
    if not fits:  # a bore too small for its rings: the checks say so
        nearest = min(thick, key=lambda key: abs(thick[key].id - middle))
        return {f"seal.{ring}.ring": nearest}, -np.inf
    best = max(fits, key=lambda fit: fit.room)  # the closest where none fits
    picked = {f"seal.{ring}.ring": best.key, f"seal.{ring}.groove_diameter": best.floor}
    return picked, best.room


def _entry(path: str, value: float | str, system: str) -> Entry:
    """An entry as if it had been typed, in numbers one can read."""
    kind = FIELDS[path].kind
    if kind is None or isinstance(value, str):
        return Entry(value, str(value))
    low, high = FIELDS[path].range
    how = kind.shown(system)
    number = float(from_si(min(max(value, low), high), how.unit, kind.si))
    typed = f"{trimmed(number, how.decimals + (system == 'inch') * 2)} {how.label}".strip()
    return Entry(parse(typed, kind), typed)


def _deepest_lead_in(wall: float) -> float:
    """The longest lead-in that leaves a fifth of the thinnest wall at the tube's end."""
    thinnest = wall * (1 - FIELDS["case.wall"].default_tolerance)
    angle = parse(str(FIELDS["case.lead_in_angle"].default), ANGLE)
    most = 0.8 * thinnest / np.tan(angle) - FIELDS["case.lead_in"].default_tolerance
    return round(float(np.floor(most / 5e-5) * 5e-5), 10)


def _smaller(cs: float) -> float:
    sections = [ring_cs for _, ring_cs, _ in _RINGS]
    return sections[max(0, sections.index(cs) - 1)]


def _stock_length(most: float, system: str) -> float:
    """The longest stock length whose tip stays inside."""
    lengths = data.SCREW_LENGTHS[system]
    return max((x for x in lengths if x <= most), default=lengths[0])
