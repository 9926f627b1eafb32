"""Materials, threads, strength classes, heads, tube walls and rings: data files as SI numbers.

Every value carries its source and how far it was seen; `evidence` turns that into the word that
checks show. The files are read once, when this module is imported.
"""

import csv
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import attrs
import numpy as np
from numpy.typing import NDArray

from hobbyclosure.units import Q

HERE = Path(__file__).parent
ZERO_CELSIUS = 273.15  # K

# What a material may know, and what it is.
PROPERTIES = {
    "F_tu": "ultimate tensile strength",
    "F_ty": "tensile yield strength, 0.2 % offset",
    "F_su": "ultimate shear strength",
    "F_bru_15": "ultimate bearing strength at edge distance 1.5 d",
    "F_bru_20": "ultimate bearing strength at edge distance 2.0 d",
    "F_bry_15": "bearing yield strength at edge distance 1.5 d",
    "F_bry_20": "bearing yield strength at edge distance 2.0 d",
    "E": "modulus of elasticity",
    "nu": "Poisson's ratio",
    "alpha": "linear thermal expansion",
    "rho": "density",
}
RATIOS = ("yield", "ultimate", "modulus")

_factors: dict[str, float] = {"": 1.0}


def _factor(unit: str) -> float:
    """SI value of one `unit`; Pint is asked once per unit, because parsing is slow."""
    if unit not in _factors:
        _factors[unit] = float(Q(1, unit).to_base_units().magnitude)
    return _factors[unit]


def _si(text: str) -> float:
    figure, _, unit = text.partition(" ")
    return float(figure) * _factor(unit)


def _row(text: str) -> list[float]:
    *figures, unit = text.split()
    return [float(figure) * _factor(unit) for figure in figures]


@attrs.frozen
class Provenance:
    """Where a value comes from, and how far it was seen.

    `seen` is "seen", "computed" (from seen values), "memory" or "stated" by the design itself.
    """

    source: str
    seen: str


@attrs.frozen
class Datum:
    """One SI value with its source, and whether it serves for what its row was not given for."""

    value: float
    source: str
    seen: str
    beyond: bool = False


def evidence(*items: Datum | Provenance | str) -> str:
    """Return "standard" when every item was seen, else "practice"; "weak" beyond a row's range."""
    if any(isinstance(item, Datum) and item.beyond for item in items):
        return "weak"
    marks = {item if isinstance(item, str) else item.seen for item in items}
    return "standard" if marks <= {"seen", "computed"} else "practice"


@attrs.frozen(eq=False)
class Hot:
    """Ratios to room temperature at the temperatures T (K); outside them there is no answer."""

    T: NDArray[np.float64]
    yield_: NDArray[np.float64]
    ultimate: NDArray[np.float64]
    modulus: NDArray[np.float64]
    exposure: str
    provenance: Mapping[str, Provenance]  # by "yield", "ultimate", "modulus"

    def ratio(self, name: str, T: Any) -> Any:
        """Return the ratio "yield", "ultimate" or "modulus" at T (K); nan outside the table."""
        known = {"yield": self.yield_, "ultimate": self.ultimate, "modulus": self.modulus}
        return np.interp(T, self.T, known[name], left=np.nan, right=np.nan)

    @property
    def source(self) -> str:
        """All sources in one line."""
        return "; ".join(dict.fromkeys(p.source for p in self.provenance.values()))

    @property
    def seen(self) -> str:
        """Weakest mark of the three ratios."""
        return _weakest(p.seen for p in self.provenance.values())


def _weakest(marks: Any) -> str:
    return max(marks, key=("seen", "computed", "memory").index)


@attrs.frozen
class Material:
    """A material in one product form; `material["F_ty"]` is a Datum, or None when not known."""

    id: str
    label: str
    form: str
    thickness: tuple[float, float]  # the range the strengths hold for, m
    values: Mapping[str, Datum]
    hot: Hot | None = None

    def __getitem__(self, name: str) -> Datum | None:
        if name not in PROPERTIES:
            raise KeyError(f"{name}: a material knows {', '.join(PROPERTIES)}")
        return self.values.get(name)

    def get(self, name: str) -> Datum | None:
        """Return the value called `name`, or None when it is not known."""
        return self[name]

    def value(self, name: str) -> float:
        """Return the SI value called `name`; nan when it is not known."""
        datum = self[name]
        return np.nan if datum is None else datum.value


@attrs.frozen(eq=False)
class Thread:
    """A screw thread: limits of size, tap drill and clearance holes, m."""

    id: str
    label: str
    series: str  # "metric" or "unified"
    d: float
    P: float
    d_max: float
    d_min: float
    d2_max: float
    d2_min: float
    D2_max: float
    D2_min: float
    D1_max: float
    D1_min: float
    tap_drill: float
    hole_close: float
    hole_normal: float
    hole_loose: float
    provenance: Mapping[str, Provenance]  # by group, see threads.toml

    @property
    def holes(self) -> dict[str, float]:
        """Clearance hole by fit: close, normal, loose."""
        return {"close": self.hole_close, "normal": self.hole_normal, "loose": self.hole_loose}


@attrs.frozen(eq=False)
class StrengthClass:
    """A strength class: nominal F_ub and F_yb for design codes, minimum R_m and R_p, Pa."""

    id: str
    label: str
    series: str
    F_ub: Datum
    F_yb: Datum
    R_m: Datum
    R_p: Datum
    alpha_v: Datum
    E: Datum
    hot: Hot
    sizes: tuple[float, float]  # thread diameters the strengths hold for, m


@attrs.frozen
class Head:
    """A head form on one thread: diameter d_k, height k, socket s, projection, m."""

    form: str
    label: str
    thread: str
    d_k: float
    k: float
    s: float
    flush: bool
    source: str
    seen: str

    @property
    def projection(self) -> float:
        """How far the head stands out of the tube; a countersunk head is flush."""
        return 0.0 if self.flush else self.k


@attrs.frozen
class Tube:
    """A stocked wall thickness, m."""

    label: str
    wall: float
    series: str
    source: str
    seen: str


@attrs.frozen
class Ring:
    """An O-ring size: inside diameter, cross-section and their tolerances, m."""

    dash: str
    id: float
    id_tol: float
    cs: float
    cs_tol: float
    source: str
    seen: str


def _read(name: str) -> dict[str, Any]:
    return tomllib.loads((HERE / name).read_text(encoding="utf-8"))


def _datum(entry: list[str], sources: Mapping[str, str]) -> Datum:
    text, key, seen = entry
    return Datum(_si(text), sources[key], seen)


def _hot(row: dict[str, Any]) -> Hot:
    *degrees, _celsius = row["T"].split()
    return Hot(
        np.array(degrees, float) + ZERO_CELSIUS,
        *(np.array(row[name], float) for name in RATIOS),
        exposure=row["exposure"],
        provenance={
            name: Provenance(row[f"{name}_source"], row[f"{name}_seen"]) for name in RATIOS
        },
    )


def _materials() -> dict[str, Material]:
    book = _read("materials.toml")
    hot = {name: _hot(row) for name, row in book["hot"].items()}
    return {
        row["id"]: Material(
            row["id"],
            row["label"],
            row["form"],
            (_si(row["thickness"][0]), _si(row["thickness"][1])),
            {name: _datum(row[name], book["sources"]) for name in PROPERTIES if name in row},
            hot.get(row.get("hot", "")),
        )
        for row in book["material"]
    }


OWN = "the design's own values"


def stated(values: Mapping[str, float], source: str) -> dict[str, Datum]:
    """SI values that a design states itself, each with where it has them from."""
    return {name: Datum(float(value), source, "stated") for name, value in values.items()}


def material_from_values(
    id: str,
    label: str,
    values: Mapping[str, float],
    source: str = OWN,
    like: Material | None = None,
) -> Material:
    """Make a material of SI values that a design states, from a certificate for instance.

    What it does not state, its behaviour when hot included, comes from the row it is `like`, and
    with it what that row was given for.
    Raises KeyError on a name that no material knows.
    """
    unknown = [name for name in values if name not in PROPERTIES]
    if unknown:
        raise KeyError(f"{unknown[0]}: a material knows {', '.join(PROPERTIES)}")
    own = stated(values, source)
    if like is None:
        return Material(id, label, "own", (0.0, np.inf), own)
    return attrs.evolve(like, id=id, label=label, values={**like.values, **own})


def _threads() -> dict[str, Thread]:
    book = _read("threads.toml")
    groups = (
        "external_major",
        "external_pitch",
        "internal_pitch",
        "internal_minor",
        "tap_drill",
        "clearance",
    )
    return {
        row["id"]: Thread(
            row["id"],
            row["label"],
            row["series"],
            _si(row["d"]),
            _si(row["P"]),
            *(figure for group in groups for figure in _row(row[group][0])),
            provenance={g: Provenance(book["sources"][row[g][1]], row[g][2]) for g in groups},
        )
        for row in book["thread"]
    }


def _classes() -> dict[str, StrengthClass]:
    book = _read("classes.toml")
    names = ("F_ub", "F_yb", "R_m", "R_p", "alpha_v", "E")
    hot = {name: _hot(row) for name, row in book["hot"].items()}
    return {
        row["id"]: StrengthClass(
            row["id"],
            row["label"],
            row["series"],
            **{name: _datum(row[name], book["sources"]) for name in names},
            hot=hot[row["hot"]],
            sizes=(_si(row["sizes"][0]), _si(row["sizes"][1])),
        )
        for row in book["class"]
    }


def _heads() -> dict[str, dict[str, Head]]:
    book = _read("heads.toml")
    sources = book["sources"]
    return {
        form: {
            thread: _head(form, thread, rows, sources)
            for thread in rows
            if thread not in ("label", "flush")
        }
        for form, rows in book.items()
        if form != "sources"
    }


def _head(form: str, thread: str, rows: Mapping[str, Any], sources: Mapping[str, str]) -> Head:
    text, key, seen = rows[thread]
    d_k, k, s = _row(text)
    return Head(form, rows["label"], thread, d_k, k, s, rows["flush"], sources[key], seen)


def _tubes() -> list[Tube]:
    book = _read("stock.toml")
    return [
        Tube(label, _si(text), series, book["source"], book["seen"])
        for series in ("inch", "metric")
        for label, text in book["walls"][series]
    ]


def rings() -> dict[str, Ring]:
    """Read the AS568 sizes, by dash number ("228")."""
    inch = _factor("in")
    marks = {
        "yes": (
            "ISO 3601-1 class A table (size code = AS568 dash), open CAD parts library",
            "seen",
        ),
        "memory": ("SAE AS568", "memory"),
    }
    columns = ("id_in", "id_tol_in", "cs_in", "cs_tol_in")
    found = {}
    with (HERE / "as568.csv").open(encoding="utf-8", newline="") as lines:
        for row in csv.DictReader(lines):
            inside, inside_tol, section, section_tol = (float(row[c]) * inch for c in columns)
            source, seen = marks[row["seen"]]
            found[row["dash"]] = Ring(
                row["dash"], inside, inside_tol, section, section_tol, source, seen
            )
    return found


MATERIALS: dict[str, Material] = _materials()
THREADS: dict[str, Thread] = _threads()
CLASSES: dict[str, StrengthClass] = _classes()
HEADS: dict[str, dict[str, Head]] = _heads()
TUBES: list[Tube] = _tubes()
SCREW_LENGTHS: dict[str, list[float]] = {
    series: _row(text) for series, (text,) in _read("stock.toml")["screw_lengths"].items()
}
RINGS: dict[str, Ring] = rings()
