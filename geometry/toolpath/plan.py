"""A load's cut plan: every step in its order, and what the operator must know."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from geometry.model.cutter import Cutter, DragBlade, IndexedBlade, Laser, SteelRuleDie, WorkArea
from geometry.model.outline import Region
from geometry.model.placement import Load
from geometry.model.plan import CutPlan, Stop, Stroke
from geometry.model.points import Point
from geometry.toolpath.indexed import angle_order, angle_words, split_by_angle
from geometry.toolpath.order import ordered, travel
from geometry.toolpath.strokes import nominal_strokes
from geometry.toolpath.timing import estimated_s


@dataclass(frozen=True)
class PlanOptions:
    """What a run asks of its tool paths."""

    common_line: bool = False
    ties: Mapping[str, Any] | None = None
    first_load: bool = True
    material: str = ""
    material_kind: str = ""


@dataclass(frozen=True)
class Planned:
    """A load's plan; ``travel`` in mm, ``exit_angle_deg`` is where a set blade is left."""

    plan: CutPlan
    warnings: tuple[str, ...]
    travel: float
    estimated_s: float
    exit_angle_deg: float | None


def make_plan(
    load: Load,
    pieces: Mapping[str, Region],
    cutter: Cutter,
    area: WorkArea,
    *,
    title: str,
    entry_angle_deg: float | None,
    options: PlanOptions,
) -> Planned:
    """Return the plan of one load.

    Args:
        load: the placements.
        pieces: what each piece cuts: its outline, holes and marks.
        cutter: the machine.
        area: where cut lines may lie.
        title: for the file's header.
        entry_angle_deg: the angle a set blade stands at, ``None`` when unknown.
        options: see :class:`PlanOptions`.
    """
    strokes = nominal_strokes(load, pieces)
    start = Point(0.0, 0.0)
    if isinstance(cutter.tool, IndexedBlade):
        strokes, stops, exit_angle = _indexed(cutter.tool, strokes, start, entry_angle_deg, options)
    else:
        strokes = ordered(strokes, start)
        stops, exit_angle = [_load_stop(options, "")], None
    plan = CutPlan(
        title=title,
        bed_width=cutter.bed.width,
        bed_height=cutter.bed.height,
        work_area=area,
        strokes=tuple(strokes),
        stops=tuple(stops),
        tool_kind=cutter.tool.kind,
    )
    way = travel(strokes, start)
    return Planned(plan, _warnings(cutter), way, estimated_s(plan, way, cutter), exit_angle)


def _load_stop(options: PlanOptions, setting: str) -> Stop:
    material = options.material or "the material"
    return Stop(0, "load-material", f"Load {material} in the lower left corner.{setting}")


def _indexed(
    blade: IndexedBlade,
    strokes: Sequence[Stroke],
    start: Point,
    entry: float | None,
    options: PlanOptions,
) -> tuple[list[Stroke], list[Stop], float | None]:
    """Cut all pieces at one blade angle before the next."""
    parts = split_by_angle(blade, strokes)
    marks = [part for part in parts if part.angle_deg is None]
    angles = angle_order([part.angle_deg for part in parts if part.angle_deg is not None], entry)
    done = ordered(marks, start) if marks else []
    first = f" Set the blade to {angle_words(angles[0])}." if angles else ""
    load = _load_stop(options, first)
    stops = [replace(load, station=1, angle_deg=angles[0] if angles else None)]
    for station, angle in enumerate(angles, start=1):
        if station > 1:
            message = f"Stop the machine, then turn the blade to {angle_words(angle)}."
            stops.append(Stop(len(done), "turn-blade", message, station, angle))
        at = done[-1].vertices[-1].point if done else start
        group = [part for part in parts if part.angle_deg == angle]
        done.extend(replace(part, station=station) for part in ordered(group, at))
    return done, stops, angles[-1] if angles else entry


def _warnings(cutter: Cutter) -> tuple[str, ...]:
    tool = cutter.tool
    if isinstance(tool, DragBlade) and tool.offset and not tool.machine_compensates:
        return (
            (
                f"The blade trails its axis by {tool.offset:g} mm; these paths are the pieces' "
                "outlines, so set the machine's own compensation to that offset."
            ),
        )
    if isinstance(tool, Laser) and tool.kerf:
        return (
            (
                f"The beam burns {tool.kerf:g} mm; these paths are the pieces' outlines, so each "
                f"edge comes out {tool.kerf / 2:g} mm short unless the machine compensates."
            ),
        )
    if isinstance(tool, SteelRuleDie):
        return ("The paths are the centre line of the rule's edge.",)
    if isinstance(tool, IndexedBlade):
        return (
            (
                "Edges that lie between two blade angles are cut by slanted stabs and come out "
                "slightly rough."
            ),
        )
    return ()
