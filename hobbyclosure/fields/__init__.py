"""Every field of a design, described once: widgets, file, --set, tables and errors read this.

A module for each part; importing this package gives all fields, in the order they are listed in.
"""

from hobbyclosure.fields import loads

# isort: split
from hobbyclosure.fields import case, closure, screw, seal

# isort: split
from hobbyclosure.fields import insulation, plug
from hobbyclosure.fields.base import FIELDS, PARTS, Field

__all__ = [
    "FIELDS", "PARTS", "Field", "case", "closure", "insulation", "loads", "plug", "screw", "seal",
]  # fmt: skip
