"""A run's pieces laid out where its tool can cut them, and looked at a second time."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from geometry.errors import GeometryError, InternalError
from geometry.layout import Item, Layout, lay_out
from geometry.layout.dies import lay_out_dies
from geometry.layout.effort import effort_of
from geometry.layout.fit import DoesNotFit
from geometry.measure import area
from geometry.model.cutter import DragBlade, IndexedBlade, Laser, SteelRuleDie, WorkArea
from geometry.model.outline import Region
from geometry.proof.overlap import check_load
from geometry.toolpath.angles import best_turns, min_mismatch_deg
from geometry.toolpath.die import MIN_APART
from geometry.toolpath.reserve import (
    inwards,
    kept_free,
    over_the_bed,
    over_the_line,
    reaches,
    room_for_pieces,
    within,
)
from service.requests.runs import Run

ShouldStop = Callable[[], bool] | None
#: Is told the share done, 0 to 1, and in words what is being done.
Progress = Callable[[float, str], None] | None
#: A gap short of the rules' least distance by less than this, mm, is rounding.
_ROUNDING = 1.0e-6


@dataclass(frozen=True)
class Laid:
    """A layout, the room that its outlines were laid in, and the warnings about that."""

    layout: Layout
    room: WorkArea
    warnings: tuple[str, ...]


def spaced_for_rules(run: Run) -> tuple[Run, list[str]]:
    """Return a die's run with a gap that its rules can have, and what to say of it."""
    asked = run.gap
    common = run.common_line and asked <= _ROUNDING
    if not isinstance(run.cutter.tool, SteelRuleDie) or common or asked >= MIN_APART - _ROUNDING:
        return run, []
    warning = (
        f"A gap of {asked:.4g} mm was asked for; ejection rubber between two rules needs "
        f"{MIN_APART:.2f} mm (3/32 in): the pieces are laid out with that gap."
    )
    return replace(run, gap=MIN_APART), [warning]


def room_warnings(run: Run, items: Sequence[Item]) -> list[str]:
    """Say what is kept free round the pieces for the tool's own sake."""
    tool, room = run.cutter.tool, room_of(run, items)
    box, whole = room.bounds, run.area.bounds
    inset = max(
        box.left - whole.left,
        box.bottom - whole.bottom,
        whole.top - box.top,
        0.0 if room.open_right else whole.right - box.right,
    )
    if inset <= _ROUNDING:
        return []
    if isinstance(tool, Laser):
        why = (
            f"the beam's middle runs {over_the_line(tool):.3g} mm outside them, farther at sharp "
            "corners, and keeps to the margins"
        )
    elif isinstance(tool, IndexedBlade):
        why = f"the blade stabs up to {over_the_bed(tool):.3g} mm past their corners"
    elif isinstance(tool, DragBlade):
        why = f"the blade's axis runs {over_the_bed(tool):.3g} mm ahead of its tip"
    else:
        why = f"half the rule, {over_the_bed(tool):.3g} mm, stands outside them"
    warning = f"Pieces stay {inset:.2f} mm inside the work area, because {why}"
    return [f"{warning}; nothing leaves the bed."]


def laid_out(
    items: Sequence[Item], run: Run, should_stop: ShouldStop, progress: Progress = None
) -> Laid:
    """Lay a run out where its tool can cut, for a set blade at the turns that suit it best.

    Where the pieces fit at none of those turns, any allowed one will do, unless the run states
    a maximum mismatch.

    Raises:
        DoesNotFit: when a piece is too large.
        GeometryError: when no turn keeps to the stated maximum mismatch.
    """
    room = room_of(run, items)
    layout = _at_best_turns(items, run, room, should_stop, progress)
    keep = run.cutter.margins
    # An axis a hair ahead of its tip within margins that are there for it is no news.
    quiet = isinstance(run.cutter.tool, DragBlade) and over_the_bed(run.cutter.tool) <= min(
        keep.left, keep.right, keep.top, keep.bottom
    )
    return Laid(layout, room, () if quiet else tuple(room_warnings(run, items)))


def room_of(run: Run, items: Sequence[Item]) -> WorkArea:
    """Return where pieces may lie: the work area less what the tool itself needs."""
    outlines = [item.outline for item in items]
    tool, reach = run.cutter.tool, run.reach or run.area
    room = room_for_pieces(reach, run.cutter.bed, tool, outlines)
    if run.sheet is None:
        return room
    # The sheet's clearance has room for the tool already: both begin at its edge.
    needed = 0.0 if run.sheet.stated else reaches(tool, outlines)[1]
    limits = run.sheet.inside(max(run.sheet.clearance, needed))
    if room.open_right:
        # What is drawn off ends a margin behind the axis of the tool.
        beside = room.bounds.left - reach.bounds.left
        end = run.sheet.width - run.cutter.margins.right - beside
        limits = limits._replace(right=min(limits.right, end))
    found = within(room, limits)
    if found is None:
        raise GeometryError(
            f"The tool needs {needed:g} mm round every piece, and the sheet leaves no area then; "
            "use a larger sheet.",
            where=("material",),
        )
    return found


def tool_area(run: Run) -> WorkArea:
    """Return where the tool's axis may go so that what it cuts stays on bed and sheet."""
    tool, bed = run.cutter.tool, run.cutter.bed
    area_ = inwards(run.reach or run.area, bed, tool)
    if run.sheet is None:
        return area_
    return within(area_, run.sheet.inside(over_the_bed(tool) - over_the_line(tool))) or area_


def _at_best_turns(
    items: Sequence[Item], run: Run, room: WorkArea, should_stop: ShouldStop, progress: Progress
) -> Layout:
    tool = run.cutter.tool
    if not isinstance(tool, IndexedBlade):
        return _lay(items, run, room, should_stop, progress)
    outlines = {item.piece: item.outline for item in items}
    allowed = {item.piece: item.stated_turns_deg for item in items}
    stated = run.max_mismatch_deg
    best = best_turns(outlines, tool, allowed, None if stated is None else math.radians(stated))
    if stated is not None and math.isinf(best.roughness):
        least = min_mismatch_deg(outlines, tool, allowed)
        raise GeometryError(
            f"However the pieces are turned, some edge lies more than {stated:g} degrees off "
            f"every angle of the blade; {least} degrees can be kept.",
            where=("max_mismatch_deg",),
        )
    turned = [replace(item, turns=_with_half_turns(item, best.turns_deg)) for item in items]
    try:
        return _lay(turned, run, room, should_stop, progress)
    except DoesNotFit:
        if stated is not None:
            raise
        return _lay(items, run, room, should_stop, progress)


def _lay(
    items: Sequence[Item],
    run: Run,
    room: WorkArea,
    should_stop: ShouldStop,
    progress: Progress = None,
) -> Layout:
    effort = effort_of(run.effort, run.max_steps)
    if isinstance(run.cutter.tool, SteelRuleDie) and not room.open_right:
        layout = lay_out_dies(
            items,
            room,
            gap=run.gap,
            effort=effort,
            seed=run.seed,
            should_stop=should_stop,
            per_set=_per_set(items, run),
        )
    else:
        layout = lay_out(
            items,
            room,
            gap=run.gap,
            effort=effort,
            seed=run.seed,
            should_stop=should_stop,
            sets=run.sets,
            common_line=run.common_line,
            progress=progress,
        )
    if room == run.area or room.open_right:
        return layout
    # Shares are told of the work area, not of what the tool leaves of it.
    share = area(room.boundary) / area(run.area.boundary)
    return replace(
        layout,
        utilisation=tuple(each * share for each in layout.utilisation),
        used=tuple(replace(each, share=each.share * share) for each in layout.used),
    )


def _per_set(items: Sequence[Item], run: Run) -> Mapping[str, int] | None:
    """Return the outlines of a whole set on a die, where each press is to give whole sets."""
    if not run.sets or len(items) == 1 or run.stack == "face_to_face":
        # Face to face pieces of one outline differ in number; shares are in proportion anyway.
        return None
    sets = math.gcd(*(run.quantities[item.piece] for item in items))
    return {item.piece: run.quantities[item.piece] // sets for item in items}


def _with_half_turns(item: Item, best: Mapping[str, tuple[float, ...]]) -> tuple[float, ...]:
    """Return an item's best turns, half a turn round too where any turn is allowed."""
    turns = best[item.piece]
    if item.stated_turns_deg is None:
        turns = tuple(sorted({(turn + half) % 360.0 for turn in turns for half in (0.0, 180.0)}))
    return turns


def with_line_up(laid: Laid, items: Sequence[Item], run: Run, should_stop: ShouldStop) -> Laid:
    """Lay out again with room for the cut that brings a trailing blade into line.

    Shape:
        With as few loads as that lets; the layout as it was where the pieces leave no room.
    """
    blade = run.cutter.tool
    if not isinstance(blade, DragBlade):
        raise InternalError("no other tool than a drag blade is brought into line")
    before = _loads(laid.layout)
    found: list[tuple[int, int, Layout, WorkArea]] = []
    for number, room in enumerate(kept_free(laid.room, blade)):
        if found and should_stop is not None and should_stop():
            break
        try:
            layout = _lay(items, run, room, should_stop)
        except DoesNotFit:
            continue
        found.append((_loads(layout), number, layout, room))
        if found[-1][0] == before:
            break
    if not found:
        return laid
    loads, _, layout, room = min(found, key=lambda each: each[:2])
    if room.open_right:
        size = f"{room.bounds.left - laid.room.bounds.left:.2f} mm at the start"
    else:
        box = room.keep_outs[-1].bounds
        size = f"{box.width:.2f} by {box.height:.2f} mm"
    warning = (
        f"{size} of each load are kept free for the short first cut that brings the blade into "
        "line."
    )
    if loads > before:
        warning = f"{warning} That takes {loads} loads instead of {before}."
    return Laid(layout, room, (*laid.warnings, warning))


def _loads(layout: Layout) -> int:
    return sum(load.repeats for load in layout.loads)


def check(regions: Mapping[str, Region], laid: Laid, run: Run) -> None:
    """Look at every load a second time.

    Raises:
        InternalError: when outlines overlap, are too near or leave their room.
    """
    outlines = {piece: region.outline for piece, region in regions.items()}
    for number, load in enumerate(laid.layout.loads, start=1):
        faults = check_load(outlines, load, laid.room, run.gap)
        if faults:
            raise InternalError(f"Load {number} of a layout is wrong: {'; '.join(faults)}")
