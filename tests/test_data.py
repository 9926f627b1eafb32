"""The data files: complete, in order, each value with its provenance."""

import numpy as np
import pytest

from hobbyclosure import data
from hobbyclosure.data import CLASSES, HEADS, MATERIALS, PROPERTIES, RINGS, THREADS, TUBES

MARKS = {"seen", "computed", "memory"}


@pytest.fixture(params=MATERIALS.values(), ids=list(MATERIALS))
def material(request):
    return request.param


@pytest.fixture(params=THREADS.values(), ids=list(THREADS))
def thread(request):
    return request.param


def provenances():
    for row in MATERIALS.values():
        yield from row.values.values()
        if row.hot is not None:
            yield from row.hot.provenance.values()
    for row in THREADS.values():
        yield from row.provenance.values()
    for row in CLASSES.values():
        yield from (row.F_ub, row.F_yb, row.R_m, row.R_p, row.alpha_v, row.E)
    yield from (head for heads in HEADS.values() for head in heads.values())
    yield from TUBES
    yield from RINGS.values()


def test_every_value_says_where_it_comes_from_and_how_far_it_was_seen():
    found = list(provenances())
    assert len(found) > 700
    assert all(len(each.source) > 8 for each in found)
    assert {each.seen for each in found} == MARKS


def test_evidence_is_standard_only_when_all_was_seen():
    seen, computed = data.Datum(1.0, "a table", "seen"), data.Provenance("a sum", "computed")
    assert data.evidence(seen, computed) == "standard"
    assert data.evidence(seen, "memory") == "practice"
    assert data.evidence("seen") == "standard"


def test_a_material_carries_what_every_check_of_a_wall_needs(material):
    assert all(material[name] is not None for name in ("F_tu", "F_ty", "E", "nu", "alpha", "rho"))
    assert 60e9 < material.value("E") < 210e9
    assert 2600 < material.value("rho") < 8100
    assert 10e-6 < material.value("alpha") < 25e-6
    assert 0 < material.thickness[0] < material.thickness[1]


def test_strengths_are_in_their_natural_order(material):
    order = [
        ("F_ty", "F_tu"), ("F_su", "F_tu"), ("F_tu", "F_bru_15"), ("F_bru_15", "F_bru_20"),
        ("F_bry_15", "F_bry_20"), ("F_bry_15", "F_bru_15"), ("F_bry_20", "F_bru_20"),
        ("F_ty", "F_bry_15"),
    ]  # fmt: skip
    known = [(low, high) for low, high in order if material[low] and material[high]]
    assert ("F_ty", "F_tu") in known
    assert [pair for pair in known if not material.value(pair[0]) < material.value(pair[1])] == []


def test_a_value_not_known_is_none_and_reads_nan():
    row = MATERIALS["6082-T6-bar"]
    assert row["F_bru_15"] is None
    assert row.get("F_bru_15") is None
    assert np.isnan(row.value("F_bru_15"))


def test_a_property_no_material_has_is_refused_by_name(material):
    with pytest.raises(KeyError, match="F_wrong"):
        material["F_wrong"]


def test_hot_ratios_start_at_one_and_only_fall(material):
    hot = material.hot
    if hot is not None:
        room = hot.T <= 293.15
        for ratio in (hot.yield_, hot.ultimate, hot.modulus):
            assert (ratio[room] == 1).all()
            assert (np.diff(ratio) <= 0).all()
            assert (ratio > 0).all()
        assert (np.diff(hot.T) > 0).all()


def test_hot_yield_never_exceeds_hot_ultimate(material):
    if material.hot is not None:
        T = np.linspace(253.15, 623.15, 200)
        proof = material.value("F_ty") * material.hot.ratio("yield", T)
        ultimate = material.value("F_tu") * material.hot.ratio("ultimate", T)
        # a floor taken from the proof stress may lie below it by its rounding, a thousandth of F_tu
        assert (proof <= ultimate + 0.001 * material.value("F_tu")).all()


def test_outside_its_table_a_hot_ratio_is_no_answer():
    hot = MATERIALS["6061-T6-bar"].hot
    assert np.isnan(hot.ratio("yield", [200.0, 700.0])).all()
    assert hot.ratio("yield", np.array([243.15, 293.15])) == pytest.approx(1)
    assert 0.92 < hot.ratio("yield", 353.15) < 0.94  # 80 °C: MIL-HDBK-5J curve reads 93 %


def test_steels_and_hard_alloys_have_no_answer_when_hot():
    assert MATERIALS["4130-normalised"].hot is None
    assert MATERIALS["7075-T6-bar"].hot is None


def test_thread_limits_nest(thread):
    assert thread.d >= thread.d_max > thread.d_min > thread.d2_max > thread.d2_min
    assert thread.D2_max > thread.D2_min > thread.D1_max > thread.D1_min > thread.d / 2
    assert thread.D2_min > thread.d2_max  # the screw always goes in
    assert thread.d_min > thread.D1_max  # and always holds


def test_holes_clear_the_screw_and_the_tap_drill_leaves_thread(thread):
    assert thread.d_max < thread.hole_close < thread.hole_normal < thread.hole_loose
    assert thread.holes["normal"] == thread.hole_normal
    assert thread.D1_min < thread.tap_drill < thread.D2_min
    assert thread.tap_drill < thread.hole_close


def test_every_thread_has_every_head():
    assert list(HEADS) == ["cap", "button", "countersunk"]
    assert all(set(rows) == set(THREADS) for rows in HEADS.values())


def test_heads_are_wider_than_their_screw_and_take_a_key(thread):
    for form, rows in HEADS.items():
        head = rows[thread.id]
        assert head.d_k > 1.4 * thread.d
        assert 0.3 * thread.d < head.s < thread.d
        assert head.projection == (0 if form == "countersunk" else head.k)


def test_classes_are_in_order_and_serve_both_series():
    for row in CLASSES.values():
        assert row.F_yb.value < row.F_ub.value
        assert row.R_p.value < row.R_m.value
        assert row.F_ub.value <= row.R_m.value
        assert row.alpha_v.value in (0.5, 0.6)
    assert {row.series for row in CLASSES.values()} == {"metric", "unified"}


def test_tube_walls_rise_within_each_series():
    for series in ("inch", "metric"):
        walls = [tube.wall for tube in TUBES if tube.series == series]
        assert walls == sorted(set(walls))
    assert next(tube.wall for tube in TUBES if tube.label == "1/8 in") == pytest.approx(3.175e-3)


def test_rings_are_the_whole_as568_list():
    assert len(RINGS) == 369
    assert sum(ring.seen == "seen" for ring in RINGS.values()) == 349
    assert all(ring.id > 0 and ring.cs > 10 * ring.cs_tol for ring in RINGS.values())
    assert RINGS["228"].cs == pytest.approx(0.139 * 0.0254)


def test_a_design_brings_its_own_material():
    own = data.material_from_values("tube A", "certificate 4711", {"F_ty": 255e6, "F_tu": 291e6})
    assert own.value("F_ty") == 255e6
    assert own["F_su"] is None
    assert data.evidence(own["F_ty"]) == "practice"  # whoever states it vouches for it
    assert set(own.values) < set(PROPERTIES)
    with pytest.raises(KeyError, match="F_typo"):
        data.material_from_values("tube A", "certificate 4711", {"F_typo": 1.0})
