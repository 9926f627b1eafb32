"""The bench geometry with fields changed, and random designs, for the pictures of the seals."""

from functools import cache

from hobbyclosure.assess import Assessment
from hobbyclosure.design import DesignError
from hobbyclosure.fields import FIELDS
from hobbyclosure.units import COUNT
from tests.designs import BENCH as DEMO


@cache
def changed(**changes):
    """The demo's values with fields changed."""
    return Assessment(DEMO.evolved({k.replace("__", "."): v for k, v in changes.items()})).values


# A nose and a liner that meet.
MEETING = {
    "closure__nose_diameter": "70.05 mm", "insulation__liner_bore": "70.8 mm",
    "insulation__liner_lead_in": "1 mm", "seal__liner__groove_diameter": "66.1 mm",
    "seal__liner__groove_width": "3.9 mm", "seal__liner__corner_radius": "0.3 mm",
}  # fmt: skip


def random_values(rng, size):
    """Values of designs with many fields moved, as far as each allows."""
    fields = [f for f in FIELDS.values() if f.kind is not None]
    seals = [f for f in fields if f.part in ("seal", "insulation")] * 2 + fields
    near = ("closure.clearance", "case.lead_in", "closure.nose_diameter", "case.hole_chamfer")
    for _ in range(size):
        design = DEMO
        for field in rng.choice(seals + [FIELDS[p] for p in near] * 5, 10):
            low, high = field.range
            now = design[field.path].now
            value = rng.uniform(low, high)
            if now is not None and rng.random() < 0.7:
                value = min(max(now * rng.uniform(0.85, 1.2), low), high)
            value = float(round(value) if field.kind is COUNT else value)
            try:
                design = design.evolved({field.path: value})
            except DesignError:
                continue
        yield Assessment(design).values
