"""What heat leaves of the picked materials' strength: their tables, drawn and in numbers."""

from html import escape
from typing import Any

import numpy as np

from app.views.axis import nice
from hobbyclosure.assess import Assessment
from hobbyclosure.data import Hot
from hobbyclosure.units import TEMPERATURE, from_si, trimmed

WIDE, HIGH = 400, 150  # of the plot, px
LEFT, RIGHT, TOP, BOTTOM = 34, 12, 12, 26
CURVES = (("yield", "yield"), ("ultimate", "ultimate"), ("modulus", "stiffness"))


def html(assessment: Assessment, system: str) -> str:
    """Each picked material once: a plot of its ratios, its table, and where that is from."""
    by_material: dict[str, list[str]] = {}
    for part in ("case", "closure"):
        by_material.setdefault(assessment.design.material(part).id, []).append(part)
    return "".join(_material(assessment, parts, system) for parts in by_material.values())


def _material(assessment: Assessment, parts: list[str], system: str) -> str:
    material = assessment.design.material(parts[0])
    what = " and ".join("of the tube" if part == "case" else "of the closure" for part in parts)
    title = f'<p class="foot"><b>{escape(material.label)}</b>{what}.</p>'
    if material.hot is None:
        return title + '<p class="foot">No table: nothing is known of it when hot.</p>'
    hot = material.hot
    now = {part: float(assessment.values[f"{part}_metal_temperature"]) for part in parts}
    sources = "".join(
        f'<p class="foot"><b>{name}</b>{escape(hot.provenance[key].source)}'
        f"{' (from memory)' if hot.provenance[key].seen == 'memory' else ''}.</p>"
        for key, name in CURVES
    )
    return (
        title + _plot(hot, now, system) + _table(hot, system)
        + f'<p class="foot"><b>Exposure</b>{escape(hot.exposure)}. Nothing is read beyond the '
        "table's last temperature: there is no answer there. Below its first, what counts there "
        f"counts down to −50 °C.</p>{sources}"
    )  # fmt: skip


def _shown(kelvin: Any, system: str) -> Any:
    return from_si(kelvin, TEMPERATURE.shown(system).unit, "K")


def _whole(x: float) -> str:
    return "0" if abs(x) < 0.5 else f"{x:.0f}".replace("-", "−")


def _plot(hot: Hot, now: dict[str, float], system: str) -> str:
    """Ratios to room temperature over temperature, the metal of today marked."""
    T = np.asarray(_shown(hot.T, system))
    low, high = float(T[0]), float(T[-1])

    def x(t: Any) -> Any:
        return LEFT + (t - low) / (high - low) * (WIDE - LEFT - RIGHT)

    def y(ratio: Any) -> Any:
        return HIGH - BOTTOM - ratio * (HIGH - TOP - BOTTOM)

    unit = TEMPERATURE.shown(system).label
    major = nice((high - low) / 4)
    shown = np.arange(np.ceil(low / major) * major, high - major / 3, major)
    ticks = (
        "".join(
            f'<text class="mid muted" x="{x(t):.0f}" y="{HIGH - 6}">{_whole(t)}</text>'
            for t in shown
        )
        + f'<text class="end muted" x="{WIDE - 2}" y="{HIGH - 6}">{unit}</text>'
    )
    dashes = {
        "yield": "",
        "ultimate": ' stroke-dasharray="9 3 2 3"',
        "modulus": ' stroke-dasharray="2 4"',
    }
    lines = "".join(
        f'<polyline fill="none" stroke="var(--ink)" stroke-width="2"{dashes[key]} points="'
        + " ".join(f"{a:.1f},{b:.1f}" for a, b in zip(x(T), y(_ratios(hot, key)), strict=True))
        + '"/>'
        for key, _ in CURVES
    )
    marks = "".join(
        f'<path fill="none" stroke="var(--accent)" stroke-width="1.75" '
        f'd="M{x(float(_shown(t, system))):.1f} {TOP - 6}V{HIGH - BOTTOM}"/>'
        for t in set(now.values()) if hot.T[0] <= t <= hot.T[-1]
    )  # fmt: skip
    shares = "".join(
        f'<text class="end muted" x="{LEFT - 6}" y="{y(r) + 5:.0f}">{r:g}</text>'
        for r in (0, 0.5, 1)
    )
    said = f"Share of room-temperature strength from {low:.0f} to {high:.0f} {unit}"
    return (
        f'<svg class="heat" viewBox="0 0 {WIDE} {HIGH}" width="100%" role="img" '
        f'aria-label="{said}">'
        f'<path fill="none" stroke="var(--rule)" d="M{LEFT} {y(1):.1f}H{WIDE - RIGHT}M{LEFT} '
        f'{y(0.5):.1f}H{WIDE - RIGHT}"/><path fill="none" stroke="var(--ink)" '
        f'd="M{LEFT} {TOP}V{y(0):.1f}H{WIDE - RIGHT}"/>{ticks}{shares}{marks}{lines}</svg>'
    )


def _ratios(hot: Hot, key: str) -> Any:
    return {"yield": hot.yield_, "ultimate": hot.ultimate, "modulus": hot.modulus}[key]


def _places(ratio: float) -> int:
    """Decimals of a ratio as its table prints it, two at least."""
    return len(trimmed(float(ratio), 3, 2).partition(".")[2])


def _table(hot: Hot, system: str) -> str:
    unit = TEMPERATURE.shown(system).label
    head = "".join(f"<th>{name}</th>" for name in (unit, *(name for _, name in CURVES)))
    places = {key: max(_places(x) for x in _ratios(hot, key)) for key, _ in CURVES}
    body = "".join(
        f"<tr><td>{_whole(float(_shown(t, system)))}</td>"
        + "".join(f"<td>{float(_ratios(hot, key)[i]):.{places[key]}f}</td>" for key, _ in CURVES)
        + "</tr>"
        for i, t in enumerate(hot.T)
    )
    keys = "Solid: yield. Dash and dot: ultimate. Dots: stiffness. Upright: the metal now."
    return (
        f'<p class="foot">{keys}</p><table class="hot"><thead><tr>{head}</tr></thead>'
        f"<tbody>{body}</tbody></table>"
    )
