"""Fields of the rings and their grooves."""

from hobbyclosure.data import seals
from hobbyclosure.fields.base import choice, number
from hobbyclosure.units import COUNT, HARDNESS, LENGTH, RATIO, TEMPERATURE

RING_NAMES = {"primary": "Primary", "secondary": "Secondary", "liner": "Liner"}

for _ring, _station, _floor, _width, _dash in (
    ("primary", "33.5 mm", "70.5 mm", "4.9 mm", "232"),
    ("secondary", "25.4 mm", "70.5 mm", "4.9 mm", "232"),
    ("liner", "42.4 mm", "65.8 mm", "3.6 mm", "145"),
):
    _name, _of = RING_NAMES[_ring], _ring[:3]
    choice(
        f"seal.{_ring}.ring", f"{_name} ring", _dash, seals.ring_choices,
        "AS568 dash number, or inside × section of a metric ring (ISO 3601-1)",
    )  # fmt: skip
    choice(
        f"seal.{_ring}.compound", f"{_name} ring compound", "FKM", seals.compound_choices,
        "Rubber of the ring",
    )  # fmt: skip
    number(
        f"seal.{_ring}.durometer", f"{_name} ring hardness", HARDNESS, "80", "70", "90",
        f"H_{_of}", "By durometer; 80 is read half-way between the chart's 70 and 90",
    )  # fmt: skip
    number(
        f"seal.{_ring}.station", f"{_name} groove from cold face", LENGTH, _station,
        "0 mm", "300 mm", f"x_{_of}", "Cold face to the cold wall of the groove",
        tol="0.1 mm",
    )  # fmt: skip
    number(
        f"seal.{_ring}.groove_width", f"{_name} groove width", LENGTH, _width,
        "0.5 mm", "30 mm", f"w_{_of}", "Axial width of the groove", tol="0.1 mm",
    )  # fmt: skip
    number(
        f"seal.{_ring}.groove_diameter", f"{_name} groove floor", LENGTH, _floor,
        "1 mm", "400 mm", f"D_{_of}", "Diameter of the groove's floor", tol="0.05 mm",
    )  # fmt: skip
    number(
        f"seal.{_ring}.corner_radius", f"{_name} groove, corner radius", LENGTH, "0.4 mm", "0 mm",
        "5 mm", f"R_{_of}", "Radius between the groove's floor and walls",
    )  # fmt: skip
    number(
        f"seal.{_ring}.backups", f"{_name} backup rings", COUNT, "0", "0", "2", f"n_{_of}",
        "Backup rings in the groove, one on the cold side or one on both",
    )  # fmt: skip
    number(
        f"seal.{_ring}.ring_id", f"{_name} ring, inside", LENGTH, None, "0.5 mm", "700 mm",
        f"d1_{_of}", "Inside diameter of a ring by its numbers, in place of the list's",
        tol="0.5 mm",
    )  # fmt: skip
    number(
        f"seal.{_ring}.ring_cs", f"{_name} ring, section", LENGTH, None, "0.5 mm", "15 mm",
        f"d2_{_of}", "Section of a ring by its numbers, in place of the list's", tol="0.1 mm",
    )  # fmt: skip
    number(
        f"seal.{_ring}.hot", f"{_name} ring at its hottest", TEMPERATURE, None, "0 °C",
        "400 °C", f"T_{_of}", "Rubber at its hottest; else as hot as the hotter metal",
    )  # fmt: skip
number(
    "seal.friction", "Friction of the rings", RATIO, "0.2", "0.02", "1.5", "μ",
    "0.2 with grease, 0.5 and more dry; common practice, no source",
)  # fmt: skip
