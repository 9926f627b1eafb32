"""Quantities and checks of each part; importing this package registers them all."""

from hobbyclosure.checks import case, closure, loads, prove, screw, worst

__all__ = ["case", "closure", "loads", "prove", "screw", "worst"]
