"""What an answer says of a load for its tool's sake: a set blade's edges, a die's figures."""

from __future__ import annotations

from collections.abc import Sequence
from math import isclose
from typing import Any

from geometry.model.cutter import Cutter, Pen, SteelRuleDie
from geometry.toolpath.die import MIN_APART, DieReport
from geometry.toolpath.indexed import EdgeCut
from geometry.toolpath.notches import BRIDGE, NICK_WIDTH, Notch
from geometry.toolpath.plan import Planned

#: How every time of the answer comes about.
TIME_NOTE = (
    "drawn length and travel at the cutter's speeds, what is cut by hand, and stops, each at its "
    "run's time_basis; accelerations are ignored, so many short strokes take longer"
)


def time_basis(cutter: Cutter) -> dict[str, float]:
    """Return the numbers that a run's times are made from."""
    found = {
        "speed_mm_s": cutter.speed,
        "travel_speed_mm_s": cutter.travel_speed,
        "stop_s": cutter.stop_s,
    }
    if isinstance(cutter.tool, Pen):
        found["hand_speed_mm_s"] = cutter.tool.hand_speed
    return found


def time_words(cutter: Cutter) -> str:
    """Return the same for people."""
    if isinstance(cutter.tool, SteelRuleDie):
        return f"{cutter.stop_s:g} s for each press"
    stop = f"{cutter.stop_s:g} s for each stop"
    if isinstance(cutter.tool, Pen):
        hand = cutter.tool.hand_speed
        return f"{hand:g} mm/s cutting by hand, {cutter.speed:g} mm/s drawing, {stop}"
    return f"{cutter.speed:g} mm/s cutting, {cutter.travel_speed:g} mm/s between cuts, {stop}"


def speed_warnings(cutter: Cutter, formats: Sequence[str]) -> list[str]:
    """Say that a file states another speed than the one that times are calculated from."""
    feed = cutter.formats.get("gcode", {}).get("feed_mm_min")
    if "gcode" not in formats or feed is None or isclose(feed / 60.0, cutter.speed, rel_tol=0.02):
        return []
    told = (
        f"The G-code cuts at {feed:g} mm/min, which is {feed / 60.0:.3g} mm/s, but times count "
        f"{cutter.speed:g} mm/s: state the cutter's speed as {feed / 60.0:.3g} for times that hold."
    )
    return [told]


def tool_answer(planned: Planned) -> dict[str, Any]:
    """Return the members that a load's tool adds to the load's answer."""
    found: dict[str, Any] = {}
    if planned.edges:
        found["edges"] = [_edge(edge) for edge in planned.edges]
    if planned.die is not None:
        found["die"] = _die(planned.die)
    return found


def _edge(edge: EdgeCut) -> dict[str, Any]:
    return {
        "piece": edge.piece,
        "direction_deg": edge.direction_deg,
        "angle_deg": edge.angle_deg,
        "mismatch_deg": edge.mismatch_deg,
        "edge_roughness_mm": edge.edge_roughness,
    }


def _die(die: DieReport) -> dict[str, Any]:
    return {
        "rule_mm": die.rule,
        "rule_length_mm": die.rule_length,
        "effective_rule_length_mm": die.counted_length,
        "force_lbf": die.force_lbf,
        "force_kn": die.force_kn,
        "min_rule_distance_mm": die.min_rule_distance,
        "required_rule_distance_mm": MIN_APART,
        "dimension": "centre line of the cutting edge",
        "inside_offset_mm": die.rule,
        "outside_offset_mm": die.rule,
        "side": "cutting side",
        "nick_width_mm": NICK_WIDTH,
        "nicks": [_place(notch) for notch in die.nicks],
        "bridge_width_mm": BRIDGE,
        "bridges": [_place(notch) for notch in die.bridges],
    }


def _place(notch: Notch) -> list[float]:
    return [notch.at.x, notch.at.y]
