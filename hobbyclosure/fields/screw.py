"""Fields of the radial screws."""

from hobbyclosure import data
from hobbyclosure.fields.base import choice, labels, number
from hobbyclosure.units import COUNT, LENGTH

HOLE_METHODS = {
    "together": "drilled through together",
    "guide": "drilled with a guide",
    "free-hand": "drilled free-hand",
    "unknown": "not known",
}
SHEAR_PLANES = {"threads": "through the threads", "shank": "through the plain shank"}


def _heads() -> dict[str, str]:
    return {form: next(iter(rows.values())).label for form, rows in data.HEADS.items()}


choice(
    "screw.thread", "Thread", "M6", labels(data.THREADS),
    "Screw thread, metric coarse or unified", essential=True,
)  # fmt: skip
choice(
    "screw.strength_class", "Strength class", "8.8", labels(data.CLASSES),
    "Property class stamped on the screws or their box",
)  # fmt: skip
choice(
    "screw.head", "Head", "button", _heads,
    "Head form; a head outside the tube needs room",
)  # fmt: skip
number(
    "screw.count", "Screws in a row", COUNT, "14", "3", "60", "n_row",
    "Screws in each row", essential=True,
)  # fmt: skip
number("screw.rows", "Rows", COUNT, "1", "1", "2", "m", "One row, or two staggered rows")
number(
    "screw.row_spacing", "Row spacing", LENGTH, "14 mm", "1 mm", "100 mm", "s",
    "Between two staggered rows, along the tube", tol="0.1 mm",
)  # fmt: skip
number(
    "screw.clearance_hole", "Hole in the tube", LENGTH, "6.4 mm", "1 mm", "40 mm", "d_h",
    "Diameter of the clearance hole in the tube", tol="0.1 mm",
)  # fmt: skip
number(
    "screw.length", "Length under head", LENGTH, "12 mm", "2 mm", "120 mm", "L_s",
    "Stock length of the screw; engagement follows",
)  # fmt: skip
number(
    "screw.head_room", "Room for the heads", LENGTH, None, "0 mm", "50 mm", "k_room",
    "How far heads may stand out of the tube, if something slides over it",
)  # fmt: skip
choice(
    "screw.shear_plane", "Shear plane", "threads", lambda: SHEAR_PLANES,
    "What of the screw stands between tube and closure",
)  # fmt: skip
choice(
    "screw.hole_method", "Holes were", "guide", lambda: HOLE_METHODS,
    "How the holes of tube and closure were made to meet: decides how evenly the screws share",
)  # fmt: skip
