"""A run's pieces laid out where its tool can cut them, and looked at a second time."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from geometry.errors import GeometryError, InternalError
from geometry.layout import Item, Layout
from geometry.layout.effort import effort_of
from geometry.layout.fitting.fit import DoesNotFit
from geometry.layout.motifs.on_motifs import MotifTask, NoMotif, lay_on_motifs
from geometry.measure import area
from geometry.model.cutter import WorkArea
from geometry.model.outline import Region
from geometry.proof.motifs import check_on_motifs
from geometry.proof.overlap import check_load
from geometry.proof.sheets import check_on_sheet
from geometry.toolpath.reserve import inwards, room_for_pieces
from service.requests.runs import Run
from service.runs.gaps import shares_lines
from service.runs.motifs import cloth_of, symmetry_deg
from service.runs.notices import note
from service.texts import gettext as _
from service.tools import kind_of
from service.tools.layouts import LayoutRequest, LayoutSearch

#: A gap short of the rules' least distance by less than this, mm, is rounding.
_ROUNDING = 1.0e-6


@dataclass(frozen=True)
class LaidOutRun:
    """A layout, the room that its outlines were laid in, and the warnings about that."""

    layout: Layout
    room: WorkArea
    warnings: tuple[str, ...]


def room_warnings(run: Run, items: Sequence[Item]) -> list[str]:
    """Say what is kept free round the pieces for the tool's own sake."""
    room = room_of(run, items)
    box, whole = room.bounds, run.area.bounds
    inset = max(
        box.left - whole.left,
        box.bottom - whole.bottom,
        whole.top - box.top,
        0.0 if room.open_right else whole.right - box.right,
    )
    if inset <= _ROUNDING:
        return []
    why = kind_of(run.cutter.tool).reach_reason(run.cutter.tool)
    warning = _(
        "Pieces stay {inset:.2f} mm inside the work area, because {why}", inset=inset, why=why
    )
    # The layout keeps to it: nobody at the bench does anything about it.
    return [note(_("{warning}; nothing leaves the bed.", warning=warning))]


def laid_out(items: Sequence[Item], run: Run, search: LayoutSearch) -> LaidOutRun:
    """Lay a run out where its tool can cut.

    Raises:
        DoesNotFit: when a piece is too large.
        GeometryError: when no turn keeps to the stated maximum mismatch.
    """
    room = room_of(run, items)
    layout = lay(items, run, room, search)
    return LaidOutRun(layout, room, reach_warnings(run, items))


def reach_warnings(run: Run, items: Sequence[Item]) -> tuple[str, ...]:
    """Say what is kept free for the tool's sake, where its margins are not meant for that."""
    keep, kind = run.cutter.margins, kind_of(run.cutter.tool)
    least = min(keep.left, keep.right, keep.top, keep.bottom)
    quiet = kind.margins_hold_reach and kind.reach(run.cutter.tool).cut <= least
    return () if quiet else tuple(room_warnings(run, items))


def as_stored(
    layout: Layout, items: Sequence[Item], run: Run, regions: Mapping[str, Region]
) -> LaidOutRun:
    """Return a layout that was stored, where its outlines still keep what they must.

    Raises:
        GeometryError: when they do not: an earlier version may have kept less.
    """
    laid = LaidOutRun(layout, room_of(run, items), ())
    if faults := faults_of(regions, laid, run):
        raise GeometryError(
            f"The loads as they lay cannot be cut any more: {faults}. Choose `pieces` instead, "
            "which are laid out again."
        )
    return laid


def require_fit(item: Item, run: Run, room: WorkArea) -> None:
    """Check that a room holds one outline of an item.

    Raises:
        DoesNotFit: when it does not.
    """
    quick = replace(run, effort="quick")
    lay([replace(item, quantity=1)], quick, room, LayoutSearch(nester=None))


def room_of(run: Run, items: Sequence[Item]) -> WorkArea:
    """Return where pieces may lie: the work area less what the tool itself needs.

    Raises:
        GeometryError: when the tool leaves nothing of the sheet.
    """
    outlines = [item.outline for item in items]
    of_tool, reach = kind_of(run.cutter.tool).reach(run.cutter.tool), run.reach or run.area
    room = room_for_pieces(reach, run.cutter.bed, of_tool, outlines)
    if run.sheet is None:
        return room
    # The sheet's clearance has room for the tool already: both begin at its edge.
    needed = 0.0 if run.sheet.stated else of_tool.around(outlines).cut
    limits = run.sheet.inside(max(run.sheet.clearance, needed))
    if room.open_right:
        # What is drawn off ends a margin behind the axis of the tool.
        beside = room.bounds.left - reach.bounds.left
        end = run.sheet.width - run.cutter.margins.right - beside
        limits = limits._replace(right=min(limits.right, end))
    found = run.sheet.part_of(room, max(run.sheet.clearance, needed), limits)
    if found is None:
        raise GeometryError(
            f"The tool needs {needed:g} mm round every piece, and the sheet leaves no area then; "
            "use a larger sheet.",
            where=("material",),
        )
    return found


def tool_area(run: Run) -> WorkArea:
    """Return where the tool's axis may go so that what it cuts stays on bed and sheet."""
    of_tool = kind_of(run.cutter.tool).reach(run.cutter.tool)
    area_ = inwards(run.reach or run.area, run.cutter.bed, of_tool)
    if run.sheet is None:
        return area_
    return run.sheet.part_of(area_, of_tool.cut - of_tool.axis) or area_


def lay(
    items: Sequence[Item],
    run: Run,
    room: WorkArea,
    search: LayoutSearch,
    *,
    fullest: bool = False,
) -> Layout:
    """Return the loads of a run in a room; with ``fullest`` one load, as full as it goes.

    Raises:
        DoesNotFit: when a piece is too large.
        GeometryError: when none lies on a motif that asks for one.
    """
    if run.anchors:
        return _on_motifs(items, run, room, fullest=fullest)
    wanted = LayoutRequest(
        items,
        room,
        gap=run.gap,
        effort=effort_of(run.effort, run.max_steps),
        seed=run.seed,
        sets=run.sets,
        common_line=shares_lines(run),
        search=search,
        per_set=_per_set(items, run),
        max_mismatch_deg=run.max_mismatch_deg,
        fullest=fullest,
    )
    layout = kind_of(run.cutter.tool).lay_out(run.cutter.tool, wanted)
    if room == run.area or room.open_right:
        return layout
    # Shares are those of the work area, not of what the tool leaves of it.
    share = area(room.boundary) / area(run.area.boundary)
    return replace(
        layout,
        utilisation=tuple(each * share for each in layout.utilisation),
        used=tuple(replace(each, share=each.share * share) for each in layout.used),
    )


def _on_motifs(items: Sequence[Item], run: Run, room: WorkArea, *, fullest: bool) -> Layout:
    task = MotifTask(items, room, run.gap, cloth_of(run), run.anchors)
    effort = effort_of(run.effort, run.max_steps)
    try:
        return lay_on_motifs(task, effort, fullest=fullest)
    except NoMotif:
        free = replace(run, anchors={})
        for item in items:
            # A piece that is too large anyway is reported as such.
            require_fit(item, free, room)
        raise


def _per_set(items: Sequence[Item], run: Run) -> Mapping[str, int] | None:
    """Return the outlines of a whole set on a die, where each press is to give whole sets."""
    if not run.sets or len(items) == 1:
        return None
    return {item.piece: item.per_set for item in items}


def with_line_up(
    laid: LaidOutRun, items: Sequence[Item], run: Run, search: LayoutSearch
) -> LaidOutRun:
    """Lay out again with room for the cut that brings a trailing blade into line.

    Shape:
        With as few loads as that lets; the layout as it was where the pieces leave no room.
    """
    rooms = kind_of(run.cutter.tool).rooms_for_line_up(run.cutter.tool, laid.room)
    before = _loads(laid.layout)
    found: list[tuple[int, int, Layout, WorkArea]] = []
    for number, room in enumerate(rooms):
        if found and search.should_stop is not None and search.should_stop():
            break
        try:
            layout = lay(items, run, room, replace(search, progress=None))
        except DoesNotFit:
            continue
        found.append((_loads(layout), number, layout, room))
        if found[-1][0] == before:
            break
    if not found:
        return laid
    loads, _number, layout, room = min(found, key=lambda each: each[:2])
    if room.open_right:
        size = _("{length:.2f} mm at the start", length=room.bounds.left - laid.room.bounds.left)
    else:
        box = room.keep_outs[-1].bounds
        size = _("{width:.2f} by {height:.2f} mm", width=box.width, height=box.height)
    warning = _(
        "{size} of each load are kept free for the short first cut that brings the blade into "
        "line.",
        size=size,
    )
    if loads > before:
        more = _("That takes {loads} loads instead of {before}.", loads=loads, before=before)
        warning = f"{warning} {more}"
    return LaidOutRun(layout, room, (*laid.warnings, warning))


def _loads(layout: Layout) -> int:
    return sum(load.repeats for load in layout.loads)


def check(regions: Mapping[str, Region], laid: LaidOutRun, run: Run) -> None:
    """Look at every load a second time.

    Raises:
        InternalError: when outlines overlap, are too near or leave their room.
    """
    if faults := faults_of(regions, laid, run):
        raise InternalError(f"A layout is wrong: {faults}")


def faults_of(regions: Mapping[str, Region], laid: LaidOutRun, run: Run) -> str:
    """Return what is wrong with the first load on which anything is; empty for none."""
    outlines = {piece: region.outline for piece, region in regions.items()}
    for number, load in enumerate(laid.layout.loads, start=1):
        faults = check_load(outlines, load, laid.room, run.gap)
        if run.sheet is not None and run.sheet.outline is not None:
            faults += check_on_sheet(outlines, load, run.sheet.outline, run.sheet.clearance)
        if run.anchors:
            symmetries = {
                piece: symmetry_deg(outlines[piece], anchor)
                for piece, anchor in run.anchors.items()
            }
            faults += check_on_motifs(load, run.anchors, symmetries, cloth_of(run))
        if faults:
            return f"load {number}: {'; '.join(faults)}"
    return ""
