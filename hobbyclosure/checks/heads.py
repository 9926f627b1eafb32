"""The screws' two ends: the tip inside the closure, the head outside the tube."""

import numpy as np

from hobbyclosure import quick
from hobbyclosure.graph import check, quantity


@quantity("r_0", "m", evidence="theory", source="geometry")
def screw_way_out(closure_skirt_loaded, closure_pocket_radius, closure_radius):
    """Radius at which the screw leaves the skirt, or enters a closure without one."""
    return quick.where(closure_skirt_loaded > 0, closure_pocket_radius, closure_radius)


@quantity("z_tip", "m", evidence="theory", source="geometry, worst case")
def screw_tip_beyond(screw_way_out, case_bore, case_wall_min, screw_length):
    """How far the tip stands beyond the skirt, or inside a closure without one."""
    tip = case_bore / 2 + case_wall_min - screw_length
    return screw_way_out - tip


@quantity("r_tip", "m", evidence="theory", source="geometry; hexagons count over their corners")
def screw_obstacle(
    closure_skirt_loaded, port_count, port_pitch_circle_max, port_sensor_hexagon, port_reach,
    closure_centre_hole, plug_drive,
):  # fmt: skip
    """Radius of what the tip may meet: sensor and plug in a pocket, else their holes."""
    sensor = port_pitch_circle_max / 2 + port_sensor_hexagon / np.sqrt(3)
    beside = quick.where(closure_skirt_loaded > 0, sensor, port_reach)
    middle = quick.where(closure_skirt_loaded > 0, plug_drive / np.sqrt(3), closure_centre_hole / 2)
    port = quick.where(port_count > 0, beside, 0 * beside)
    plug = quick.where(closure_centre_hole > 0, middle, 0 * middle)
    return quick.maximum(port, plug)


@check(
    "screw.tip", label="screw tips", unit="m", required=1.0, evidence="practice",
    source="half a diameter beyond the tip; common practice, no source",
    remedy=("screw.length", "closure.skirt_wall", "case.wall", "port.pitch_circle"),
    basis=None, says="Screw tips have {capacity} before sensor, plug or port",
    applies={"screw_tip_beyond": "the tips stay inside the skirt"},
)  # fmt: skip
def screw_tip(screw_tip_beyond, screw_d, screw_way_out, screw_obstacle):
    """How far the tips stand out, and half a diameter, against the room they find."""
    room = screw_way_out - screw_obstacle
    return screw_tip_beyond + screw_d / 2, quick.maximum(room, 0 * room)


@quantity("room stated", "", evidence="theory", source="stated or not")
def screw_head_stands_out(screw_head_room, screw_flush):
    """1 where heads stand out of the tube and the room for them is stated, else 0."""
    return quick.where(np.isnan(screw_head_room), 0 * screw_flush, 1 - screw_flush)


@check(
    "screw.head.height", label="head room", unit="m", required=1.0, evidence="practice",
    source="geometry: height of the head against the room stated",
    remedy=("screw.head_room",), basis=None, says="Heads have {capacity} of room",
    applies={"screw_head_stands_out": "no room for heads is stated, or they are flush"},
)  # fmt: skip
def screw_head_height(screw_head_k, screw_head_room):
    """Height of the head outside the tube against the room for it."""
    return screw_head_k, screw_head_room


@check(
    "screw.countersink", label="countersink", unit="m", required=1.0, evidence="practice",
    source="two thirds of the wall; common practice, no source",
    remedy=("case.wall",), basis=None, says="The wall takes a countersink of {capacity}",
    applies={"screw_flush": "no countersunk heads"},
)  # fmt: skip
def screw_countersink(screw_head_k, case_wall_min):
    """Depth of the countersink against two thirds of the wall."""
    return screw_head_k, 2 / 3 * case_wall_min
