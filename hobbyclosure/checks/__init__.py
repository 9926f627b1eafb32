"""Quantities and checks of each part; importing this package registers them all."""

from hobbyclosure.checks import case, closure, cuts, heads, loads, prove, screw, skirt, worst

__all__ = ["case", "closure", "cuts", "heads", "loads", "prove", "screw", "skirt", "worst"]
