"""The findings of an inspection, from all its checks; their work is bounded together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from geometry.inspection.allowances import DrawnAllowance, find_allowances
from geometry.inspection.containment import find_holders
from geometry.inspection.crossings import find_crossings
from geometry.inspection.duplicates import find_duplicates
from geometry.inspection.likeness import Nearest, find_groups, nearest_kind
from geometry.inspection.unit_mistakes import find_unit_mistakes
from geometry.inspection.work import StepBudget
from geometry.layout.fitting.fit import DoesNotFit, fitting_turn
from geometry.layout.item import Item
from geometry.model.cutter import WorkArea
from geometry.model.outline import Chain, Outline

#: Steps of finding the turn at which an outline fits, for a vertex.
_FIT = 5_000


@dataclass(frozen=True)
class MeasuredOutline:
    """One outline; ``inside`` is the index of the smallest outline around it."""

    outline: Outline
    nearest: Nearest | None
    inside: int | None
    fits: bool | None


@dataclass(frozen=True)
class Inspection:
    """The result of an inspection.

    ``duplicate_lines`` holds two numbers of paths and a length, mm: outlines first, then the open
    paths, counted on. ``crossing_places`` counts where lines meet between their ends.
    """

    outlines: tuple[MeasuredOutline, ...]
    groups: tuple[tuple[int, ...], ...]
    allowances: tuple[DrawnAllowance, ...]
    overlaps: tuple[tuple[int, int], ...]
    duplicate_lines: tuple[tuple[int, int, float], ...]
    crossing_places: int
    warnings: tuple[str, ...] = field(default=())


def inspect(
    outlines: Sequence[Outline],
    open_paths: Sequence[Chain] = (),
    *,
    room: WorkArea | None = None,
    work: StepBudget | None = None,
) -> Inspection:
    """Inspect closed, simple, counter-clockwise outlines and the open paths beside them.

    Args:
        outlines: the outlines of the drawing.
        open_paths: the paths that do not close.
        room: a cutter's work area, to check whether each outline fits.
        work: counts and bounds the work; a new one if left out.
    """
    work = StepBudget() if work is None else work
    crossings = find_crossings(outlines, open_paths, work)
    inside = find_holders(outlines, work)
    measured = tuple(
        MeasuredOutline(outline, nearest_kind(outline), inside[index], _fits(outline, room, work))
        for index, outline in enumerate(outlines)
    )
    duplicates = tuple(find_duplicates([*outlines, *open_paths], work))
    return Inspection(
        outlines=measured,
        groups=find_groups(outlines, work),
        allowances=tuple(find_allowances(outlines, inside, work)),
        overlaps=crossings.overlaps,
        duplicate_lines=duplicates,
        crossing_places=crossings.places,
        warnings=tuple(_warnings(measured, work)),
    )


def _fits(outline: Outline, room: WorkArea | None, work: StepBudget) -> bool | None:
    if room is None or not work.can_do(_FIT * len(outline.vertices)):
        return None
    try:
        fitting_turn(Item("", outline, 1), room)
    except DoesNotFit:
        return False
    return True


def _warnings(measured: Sequence[MeasuredOutline], work: StepBudget) -> Iterator[str]:
    known = [each.nearest for each in measured if each.nearest is not None]
    boxes = [each.outline.bounds for each in measured if each.nearest is not None]
    yield from find_unit_mistakes(known, boxes)
    if not work.is_complete:
        yield (
            "So many lines lie close together that not all of them were compared: overlaps, "
            "duplicate lines, groups and allowances may be missing. Send a layer or group alone."
        )
