"""Plans of a load as the service makes them: with the steps and the reach of the cutter's tool."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from geometry.model.cutter import Bed, Cutter, Tool, WorkArea
from geometry.model.outline import Outline, Region
from geometry.model.placement import Load
from geometry.toolpath import plan, reserve
from geometry.toolpath.options import PlanOptions
from geometry.toolpath.plan import Planned
from service.tools import kind_of

__all__ = ["PlanOptions", "Planned", "make_plan", "room_for_pieces"]


def make_plan(
    load: Load,
    pieces: Mapping[str, Region],
    cutter: Cutter,
    area: WorkArea,
    *,
    title: str,
    entry_angle_deg: float | None,
    options: PlanOptions,
    reach: WorkArea | None = None,
) -> Planned:
    """Return the plan of one load; the axis keeps its cut on the bed."""
    kind = kind_of(cutter.tool)
    return plan.make_plan(
        load,
        pieces,
        cutter,
        area,
        steps=kind.steps(cutter.tool),
        title=title,
        entry_angle_deg=entry_angle_deg,
        options=options,
        reach=reach or reserve.inwards(area, cutter.bed, kind.reach(cutter.tool)),
    )


def room_for_pieces(
    area: WorkArea, bed: Bed, tool: Tool, outlines: Iterable[Outline] = ()
) -> WorkArea:
    """Return the area for outlines that a tool cuts."""
    return reserve.room_for_pieces(area, bed, kind_of(tool).reach(tool), outlines)
