"""Quantities and checks of each part; importing this package registers them all."""

from hobbyclosure.checks import (
    case,
    closure,
    cuts,
    heads,
    loads,
    prove,
    screw,
    seal,
    seal_fit,
    seal_gap,
    skirt,
    worst,
)

__all__ = [
    "case", "closure", "cuts", "heads", "loads", "prove", "screw", "seal", "seal_fit", "seal_gap",
    "skirt", "worst",
]  # fmt: skip
