"""One function for the same thing at several rings: written once, registered for each.

In each copy a parameter `seal_width` reads `seal_primary_width`, and so on; what belongs to all
rings keeps its name, and a ring in the bore takes the tube's own dimensions for its housing.
"""

import inspect
from collections.abc import Callable, Mapping
from types import FunctionType, MappingProxyType
from typing import Any

from hobbyclosure.fields.base import within
from hobbyclosure.graph import CHECKS, QUANTITIES, Check, Quantity

RINGS = {"primary": "Primary ring", "secondary": "Secondary ring", "liner": "Liner seal"}
SHORT = {"primary": "1st", "secondary": "2nd", "liner": "liner"}
IN_BORE = ("primary", "secondary")
# Names of the part "seal" that belong to no single ring.
SHARED = {
    "seal_friction", "seal_chart_top", "seal_megapascal", "seal_push_most", "seal_push_force",
    "seal_chart_share", "seal_chart_share_proof", "seal_band", "seal_band_proof",
}  # fmt: skip
# What a ring in the bore takes from tube and closure; the liner seal has quantities of its own.
HOUSING = {
    "seal_bore": "case_bore", "seal_bore_min": "case_bore_min", "seal_bore_max": "case_bore_max",
    "seal_clearance_max": "closure_clearance_max", "seal_play_tight": "closure_clearance_max",
    "seal_pressed_max": "closure_clearance_max",
    "seal_lead_in_min": "case_lead_in_min", "seal_lead_in_max": "case_lead_in_max",
    "seal_land_max": "closure_land_max",
}  # fmt: skip
GEOMETRY = {"evidence": "theory", "source": "geometry, worst case"}
SHAPE: dict[str, Any] = {"basis": None, "unit": "", "required": 1.0, "evidence": "practice"}
SHARE: dict[str, Any] = SHAPE | {"share": True}
SIZE: dict[str, Any] = SHAPE | {"unit": "m"}
FORCE: dict[str, Any] = SHAPE | {"unit": "N", "evidence": "weak"}
NO_NOSE = {"closure_has_nose": "no nose, so no liner seal"}


def at(name: str, ring: str) -> str:
    """What a parameter is called at a ring."""
    if not name.startswith("seal_") or name in SHARED:
        return name
    if ring in IN_BORE and name in HOUSING:
        return HOUSING[name]
    return name.replace("seal_", f"seal_{ring}_", 1)


def _copy(fn: Callable[..., Any], name: str) -> Callable[..., Any]:
    assert isinstance(fn, FunctionType)
    return FunctionType(fn.__code__, fn.__globals__, name)


def _title(fn: Callable[..., Any], ring: str) -> str:
    said = (inspect.getdoc(fn) or "").split("\n")[0].rstrip(".")
    return f"{RINGS[ring]}: {within(said)}" if ring else said


def _args(fn: Callable[..., Any], ring: str) -> tuple[str, ...]:
    names = inspect.signature(fn).parameters
    return tuple(at(name, ring) if ring else name for name in names)


def _moved(limits: Mapping[str, Any], ring: str) -> dict[str, Any]:
    return {at(name, ring) if ring else name: span for name, span in limits.items()}


def quantity(
    symbol: str, unit: str, rings: Any = tuple(RINGS), **about: Any
) -> Callable[[Any], Any]:
    """Register a function as the quantity of its own name, for each ring; () for one alone."""

    def keep(fn: Any) -> Any:
        for ring in rings or ("",):
            name = at(fn.__name__, ring) if ring else fn.__name__
            mark = f"{symbol},{ring[:3]}" if "_" in symbol else f"{symbol}_{ring[:3]}"
            told = dict(about)
            if "limits" in told:
                told["limits"] = _moved(told["limits"], ring)
            QUANTITIES[name] = Quantity(
                name=name, fn=_copy(fn, name), args=_args(fn, ring), unit=unit,
                symbol=mark if ring else symbol, title=_title(fn, ring), **told,
            )  # fmt: skip
        return fn

    return keep


def check(
    id: str,
    rings: Any = tuple(RINGS),
    says: str = "",
    label: str = "",
    short: str = "",
    told: str = "",
    applies: Mapping[str, str] = MappingProxyType({}),
    **about: Any,
) -> Callable[[Any], Any]:
    """Register a function as the check "seal.*.what" of each ring, or as one without a star.

    A star in a remedy's path is the ring; sentences and labels follow the ring's name. What is
    asked of the liner seal applies where there is a nose.
    """

    def keep(fn: Any) -> Any:
        for ring in rings if "*" in id else ("",):
            its = id.replace("*", ring)
            where = {at(name, ring) if ring else name: why for name, why in applies.items()}
            own: dict[str, Any] = {
                "remedy": tuple(path.replace("*", ring) for path in about["remedy"]),
                "limits": _moved(about.get("limits", {}), ring),
                "applies": (NO_NOSE if ring == "liner" else {}) | where,
            }
            CHECKS[its] = Check(
                id=its, fn=_copy(fn, its.replace(".", "_")), args=_args(fn, ring),
                title=_title(fn, ring), label=f"{ring} {label}".strip(),
                short=f"{SHORT[ring]} {short or label}" if ring else short,
                says=f"{RINGS[ring]}{says}" if ring else says,
                told=f"{RINGS[ring]}{told}" if ring and told else told, **{**about, **own},
            )  # fmt: skip
        return fn

    return keep
