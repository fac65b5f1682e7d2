"""The steps from a load's outlines to its cut plan that depend on the tool.

:func:`geometry.toolpath.plan.make_plan` calls these steps in the order in which they stand here.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from geometry.model.cutter import Cutter, WorkArea
from geometry.model.outline import Region
from geometry.model.placement import Load
from geometry.model.plan import CutPlan, Stop, Stroke
from geometry.model.points import Point
from geometry.toolpath.die import DieReport
from geometry.toolpath.indexed import EdgeCut, angle_words
from geometry.toolpath.options import PlanOptions
from geometry.toolpath.order import ordered
from geometry.toolpath.ties import Ties
from geometry.toolpath.timing import moving_s

#: Where a tool starts.
START = Point(0.0, 0.0)


@dataclass
class Draft:
    """An unfinished plan.

    ``outlines`` are the closed outlines and holes before common lines are cut once. The other
    members are those of :class:`geometry.toolpath.plan.Planned`.
    """

    strokes: list[Stroke]
    warnings: list[str]
    outlines: tuple[Stroke, ...]
    stops: list[Stop] = field(default_factory=list)
    exit_angle_deg: float | None = None
    edges: tuple[EdgeCut, ...] = ()
    die: DieReport | None = None
    lined_up: bool = True


class ToolSteps:
    """The steps of a tool that follows its lines as they are; other tools override some."""

    def check(self, options: PlanOptions) -> None:
        """Raise an error for options that the tool cannot follow.

        Raises:
            GeometryError: with the option in ``where``.
        """

    def at_size(
        self, load: Load, pieces: Mapping[str, Region], options: PlanOptions
    ) -> tuple[Mapping[str, Region], list[str]]:
        """Return the outlines to follow so that the pieces have their size, and warnings."""
        del load, options
        return pieces, []

    def ties(self, options: PlanOptions) -> Ties | None:
        """Return the ties of each outline: as requested, else the usual ones."""
        wanted = self.usual_ties(options.material_kind) if options.ties is None else options.ties
        return wanted if wanted is not None and wanted.count else None

    def usual_ties(self, material_kind: str) -> Ties | None:
        """Return the ties of a run that states none."""
        del material_kind
        return None

    def slot(self, options: PlanOptions) -> float:
        """Return the total length cut beyond a stroke's two ends, mm."""
        del options
        return 0.0

    def arrange(self, draft: Draft, entry_angle_deg: float | None, options: PlanOptions) -> None:
        """Put the strokes in order, with the stops between them."""
        del entry_angle_deg
        draft.strokes = ordered(draft.strokes, START, search=options.search)
        draft.stops = [load_stop(options)]

    def compensate(self, draft: Draft, area: WorkArea) -> None:
        """Adapt the strokes to the tool, now that their order is known."""

    def neighbour_warnings(
        self, draft: Draft, load: Load, pieces: Mapping[str, Region], options: PlanOptions
    ) -> list[str]:
        """Return warnings where the cuts of one piece reach into another.

        ``pieces`` are at finished size.
        """
        del draft, load, pieces, options
        return []

    def notes(self, draft: Draft) -> list[Stroke]:
        """Return strokes that are notes on the plan, and are not cut."""
        del draft
        return []

    def seconds(self, plan: CutPlan, travel: float, cutter: Cutter) -> float:
        """Return the estimated time of a load, s."""
        return moving_s(plan, travel, cutter)


def load_stop(options: PlanOptions, setting: str = "") -> Stop:
    """Return the stop for loading the material; ``setting`` is a sentence on the tool."""
    # "other" stands for an unstated material.
    material = options.material if options.material not in {"", "other"} else "the material"
    return Stop(0, "load-material", f"{options.loading or f'Load {material}.'}{setting}")


def change_from_pen(draft: Draft) -> None:
    """Add a stop for changing from pen to blade if a load has marks and cuts."""
    cuts = [i for i, stroke in enumerate(draft.strokes) if stroke.operation != "mark"]
    if not cuts or not cuts[0]:
        return
    load, angle = draft.stops[0], draft.strokes[cuts[0]].angle_deg
    draft.stops[0] = replace(load, message=f"{load.message} Fit the pen first.")
    setting = "" if angle is None else f" Set the blade to {angle_words(angle)}."
    message = f"Take the pen out and fit the blade.{setting}"
    draft.stops.insert(1, Stop(cuts[0], "change-tool", message, 1, angle))
