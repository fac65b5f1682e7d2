"""A cutter's JSON, as saved or sent, into the model's cutter and work area."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from adapters import registry
from adapters.contract import setting_faults
from geometry.errors import InternalError
from geometry.model.cutter import (
    Bed,
    Cutter,
    DragBlade,
    IndexedBlade,
    Laser,
    Margins,
    Pen,
    SteelRuleDie,
    Tool,
)
from service.requests.convert.beds import bed_of, reach_of
from service.requests.convert.collector import Collector, Path, Unread

#: Gap between pieces when a run states none, mm, by tool. Common practice, no source, but for
#: the die: 3/32 in between rules leaves room for ejection rubber (die makers' public notes).
DEFAULT_GAP = {
    "drag_blade": 1.0,
    "indexed_blade": 2.0,
    "laser": 0.5,
    "steel_rule_die": 2.4,
    "pen": 0.0,
}


def tool_of(read: Collector, data: Mapping[str, Any], path: Path) -> Tool:
    """Return the tool that a cutter's ``tool`` object describes."""
    kind = data["kind"]
    with read.noting(path):
        if kind == "drag_blade":
            return DragBlade(
                offset=read.optional_length(data, "offset", path, DragBlade().offset),
                machine_compensates=bool(data.get("machine_compensates", False)),
            )
        if kind == "indexed_blade":
            return _indexed_blade(read, data, path)
        if kind == "laser":
            return Laser(kerf=read.optional_length(data, "kerf", path, Laser().kerf))
        if kind == "steel_rule_die":
            return SteelRuleDie(rule=read.optional_length(data, "rule", path, SteelRuleDie().rule))
        if kind == "pen":
            return Pen(hand_speed=float(data.get("hand_speed") or Pen().hand_speed))
    raise InternalError(f"no tool {kind}")


def _indexed_blade(read: Collector, data: Mapping[str, Any], path: Path) -> IndexedBlade:
    usual = IndexedBlade()
    angles = tuple(float(angle) for angle in data.get("positions_deg") or usual.positions_deg)
    if len({angle % 180.0 for angle in angles}) != len(angles):
        # A straight blade looks the same after half a turn.
        read.add(
            (*path, "positions_deg"),
            "Two of these angles set the blade the same way (a blade repeats after 180 degrees); "
            "list each position once.",
        )
        raise Unread
    width = read.optional_length(data, "blade_width", path, usual.width)
    step = read.optional_length(data, "step", path, usual.step)
    blade = IndexedBlade(tuple(sorted(angle % 180.0 for angle in angles)), width, step)
    if step >= width:
        read.add(
            (*path, "step" if "step" in data else "blade_width"),
            f"The step between stabs must be less than the blade's width ({width:g} mm), or "
            f"uncut threads remain; it is {step:g} mm.",
        )
        raise Unread
    return blade


def cutter_of(read: Collector, data: Mapping[str, Any], path: Path, *, name: str) -> Cutter:
    """Return the cutter that a JSON object describes.

    Raises:
        Unread: when a value cannot be used; every fault is noted first.
    """
    tool: Tool | None = None
    bed: Bed | None = None
    margins: Margins | None = None
    with read.going_on():
        tool = tool_of(read, data["tool"], (*path, "tool"))
    with read.going_on():
        bed = bed_of(read, data["bed"], (*path, "bed"))
    with read.going_on():
        sides = data.get("margins") or {}
        margins = Margins(
            *(
                read.optional_length(sides, side, (*path, "margins"), 0.0)
                for side in ("left", "right", "top", "bottom")
            )
        )
    if tool is None or bed is None or margins is None:
        raise Unread
    if margins.left + margins.right >= bed.width or margins.top + margins.bottom >= bed.height:
        read.add(
            (*path, "margins"),
            f"The margins leave no work area on a {_size(bed)}.",
        )
        raise Unread
    made = _made(read, data, path, name, tool, bed, margins)
    if not bed.roll:
        try:
            reach_of(made)
        except ValueError as error:
            read.add((*path, "margins"), str(error))
            raise Unread from None
    return made


def _size(bed: Bed) -> str:
    if not bed.roll:
        return f"bed of {bed.width:g} by {bed.height:g} mm"
    if math.isinf(bed.width):
        return f"roll {bed.height:g} mm wide"
    return f"roll {bed.height:g} mm wide, {bed.width:g} mm long"


def _made(
    read: Collector,
    data: Mapping[str, Any],
    path: Path,
    name: str,
    tool: Tool,
    bed: Bed,
    margins: Margins,
) -> Cutter:
    _settings_known(read, data.get("formats") or {}, (*path, "formats"))
    with read.noting(path):
        return Cutter(
            name=name,
            tool=tool,
            bed=bed,
            margins=margins,
            speed=float(data.get("speed") or 50.0),
            travel_speed=float(data.get("travel_speed") or 150.0),
            stop_s=float(data["stop_s"]) if data.get("stop_s") is not None else 20.0,
            formats=data.get("formats") or {},
            head=data.get("head", "round"),
        )


def _settings_known(read: Collector, formats: Mapping[str, Any], path: Path) -> None:
    """Note settings that a format does not know or take; those of formats not here are kept."""
    for name, given in formats.items():
        if not registry.installed(name) or registry.fault_of(name):
            continue
        # What a plan needs is not known yet: a setting left out is told when files are written.
        for fault in setting_faults(registry.get(name).settings, given, name, whole=False):
            read.add((*path, name, fault.setting), fault.message)
