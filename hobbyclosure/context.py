"""Other forms of a check's number, shown beside the one that counts."""

import numpy as np

from hobbyclosure.assess import Assessment, result
from hobbyclosure.checks.each import RINGS
from hobbyclosure.data.seals import GUIDE_TOP
from hobbyclosure.graph import CHECKS, Values
from hobbyclosure.phrases import amount, pressure
from hobbyclosure.physics.chart import chart_band, chart_gap, guide_gap
from hobbyclosure.physics.joint import bearing_strength_en
from hobbyclosure.physics.seal import section_loss_empirical
from hobbyclosure.physics.vessel import burst_faupel, burst_mean_diameter, burst_svensson
from hobbyclosure.units import significant


def context(assessment: Assessment, name: str, system: str = "metric") -> list[str]:
    """Other forms of the same number, shown beside the one that counts."""
    if name not in _CONTEXT or np.isnan(assessment.ratios[name]):
        return []
    return _CONTEXT[name](assessment, name, system)


def _burst(assessment: Assessment, name: str, system: str) -> list[str]:
    v = assessment.values
    r_i, r_o = float(v["case_r_i"]), float(v["case_r_o"])
    F_tu = float(v["case_F_tu_hot"])
    n = float(v["case_hardening"])
    mean, svensson, faupel = (
        pressure(burst, system)
        for burst in (
            burst_mean_diameter(F_tu, r_i, r_o),
            burst_svensson(F_tu, n, r_i, r_o),
            burst_faupel(float(v["case_F_ty_hot"]), F_tu, r_i, r_o),
        )
    )
    return [
        f"The mean-diameter form gives {mean}, Faupel's {faupel}, Svensson's {svensson} with a "
        f"hardening exponent of {significant(n, 2)}; the lowest counts.",
        "All forms leave out the screw holes.",
    ]


def _bearing(assessment: Assessment, name: str, system: str) -> list[str]:
    v = assessment.values
    en = bearing_strength_en(
        *(v[n] for n in ("case_edge_distance_min", "case_pitch_length",
                         "screw_clearance_hole_max", "case_F_tu_hot", "screw_f_ub_hot"))
    )  # fmt: skip
    handbook = v["case_bearing_ultimate_strength"] * v["case_ultimate_ratio"]
    book, code = (
        pressure(float(v["loads_meop"] * x / v["case_bearing_demand"]), system)
        for x in (handbook, en)
    )
    return [f"MIL-HDBK-5J alone gives {book}, EN 1993-1-8 alone {code}; the lower counts."]


def _centred(assessment: Assessment, name: str, system: str) -> list[str]:
    """Bending of the screws with the closure in the middle of the bore."""
    v, check = assessment.values, CHECKS[name]
    gap = v["screw_gap"] - v["closure_clearance_max"] / 2
    found = result(check, Values({**assessment.inputs, "screw_gap": gap}))
    at = pressure(float(found.factor * v[str(check.basis)]), system)
    return [f"With the closure in the middle of the bore, half the clearance: {at}."]


def _offset(assessment: Assessment, name: str, system: str) -> list[str]:
    v = assessment.values
    r_i, r_o = v["case_r_i"], v["case_r_o"]
    more = 0.75 * v["loads_meop"] * (r_i + r_o) / 2 / (r_o - r_i)
    factor = float(v["case_F_ty_hot"] / (assessment.results[name].demand + more))
    at = pressure(factor * float(v["loads_meop"]), system)
    return [f"Screws that pull half a wall off centre would bend it more: yield at {at}."]


def _branches(assessment: Assessment, name: str, system: str) -> list[str]:
    v = assessment.values
    half = (v["port_thread_diameter"] + v["closure_centre_hole"]) / 4
    least = amount(half, "m", system)
    return [f"For branches of a pipe ASME B31.3, 304.3.3, from memory, asks for {least}."]


def _section(assessment: Assessment, name: str, system: str) -> list[str]:
    """Loss of section by stretch: the handbook's curve beside constant volume."""
    v, ring = assessment.values, name.rpartition(".")[0].replace(".", "_")
    x = v[f"{ring}_groove_diameter_min"] / v[f"{ring}_inside_min"] - 1
    if x <= 0:
        return []
    plain = 1 - float(v[f"{ring}_thin"] / v[f"{ring}_section_min"])
    curve = float(section_loss_empirical(x))
    return [
        f"Stretched by {significant(100 * float(x), 2)} % the section loses "
        f"{significant(100 * plain, 2)} % at constant volume, which counts; "
        f"the handbook's curve gives {significant(100 * curve, 2)} %."
    ]


def _chart(assessment: Assessment, name: str, system: str) -> list[str]:
    """What each of the two extrusion charts allows."""
    v, ring = assessment.values, name.rpartition(".")[0].replace(".", "_")
    p = v["loads_proof" if name.endswith("proof") else "loads_meop"]
    H, share = v[f"{ring}_hardness"], v[f"{ring}_bearing"]
    by_chart, by_guide = (
        amount(float(read(H, chart_band(p)) * share), "m", system)
        for read in (chart_gap, guide_gap)
    )
    ended = "" if p <= GUIDE_TOP else f" (its last, for {pressure(GUIDE_TOP, system)})"
    return [
        f"One trade chart allows {by_chart}, a ring design guide {by_guide}{ended}; "
        "the lesser counts.",
        "Both step by pressure; 70 to 90 Shore is read in proportion in the chart, "
        "as the next lower of 70, 80 and 90 in the guide.",
    ]


def _entry(assessment: Assessment, name: str, system: str) -> list[str]:
    return ["Rubber's load and modulus are from memory: push it in by hand before you trust it."]


_CONTEXT = {
    "case.wall.burst": _burst,
    "case.bearing.ultimate": _bearing,
    "case.shell_bending": _offset,
    "screw.bending.proof": _centred,
    "screw.bending.ultimate": _centred,
    "closure.ligament.port_plug": _branches,
    "seal.push": _entry,
} | {
    f"seal.{ring}.{what}": said
    for ring in RINGS
    for what, said in (("squeeze_least", _section), ("gap", _chart), ("gap_proof", _chart))
}
