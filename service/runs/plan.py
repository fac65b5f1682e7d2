"""One run planned: on its sheet or roll, or on the sheets of its stock."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from geometry.errors import GeometryError
from geometry.layout import Item
from geometry.layout.fitting.fit import DoesNotFit
from geometry.layout.task import load_count
from geometry.measure import area
from service.pieces.model import Kit
from service.requests.runs import Run
from service.runs.errors import cannot_plan, do_not_fit, too_many
from service.runs.filling import filled
from service.runs.gaps import with_min_gap
from service.runs.layout_step import as_stored, laid_out, lay, room_of
from service.runs.loads import plan_laid
from service.runs.misfits import misfits_of
from service.runs.motif_neighbours import neighbour_warnings
from service.runs.motifs import (
    MotifUse,
    first_motif,
    fit_of,
    fit_warnings,
    layer_warnings,
    with_anchors,
)
from service.runs.planned_run import PlannedRun
from service.runs.plies import items_of, plies_of, plies_warnings
from service.runs.printing import on_few_pages
from service.runs.side_up import side_warnings
from service.runs.stack_marks import stack_mark_warnings
from service.runs.stock import plan_on_stock
from service.runs.times import speed_warnings
from service.runs.unused_settings import unused_settings
from service.tools.layouts import LayoutSearch

#: Maximum outlines on one load: keeps a plan and its files within a second or two.
MAX_PLACED = 20_000


def plan_run(
    kit: Kit,
    index: int,
    *,
    entry_angle_deg: float | None,
    search: LayoutSearch,
) -> tuple[PlannedRun, float | None]:
    """Lay out and plan one run; returns it and the blade angle it leaves the machine at.

    Raises:
        RequestError: when a piece is larger than the work area,
            ``too-many-pieces`` when a load would hold more outlines than are supported.
        InternalError: when the second check finds an overlap; nothing is written then.
    """
    run, spacing = with_min_gap(kit.runs[index])
    run = with_anchors(kit, run, index)
    plies = plies_of(kit, run)
    wanted = math.inf if run.fills else sum(each.outlines for each in plies.values())
    _require_few(kit, run, index, wanted)
    items = items_of(kit, run, plies)
    try:
        if run.stock:
            planned, exit_angle_deg = plan_on_stock(
                kit, run, items, entry_angle_deg=entry_angle_deg, search=search
            )
        else:
            planned, exit_angle_deg = _plan_on_sheet(kit, run, items, entry_angle_deg, search)
    except DoesNotFit as error:
        raise do_not_fit(kit, misfits_of(kit, index, error, search.should_stop)) from None
    except GeometryError as error:
        # What the run asks of its tool cannot be done, such as common lines with a drag blade.
        raise cannot_plan(index, error, kit.units) from None
    warnings = [
        *spacing,
        *plies_warnings(kit, run, plies),
        *side_warnings(kit, run),
        *stack_mark_warnings(kit, planned),
        *speed_warnings(run.cutter, run.formats),
        *unused_settings(run.cutter),
        *run.notes,
        *planned.warnings,
    ]
    if run.anchors:
        warnings += [*fit_warnings(run), *neighbour_warnings(planned, items), *layer_warnings(run)]
        planned = replace(planned, motif_use=_motif_use(kit, run, planned, search))
    return replace(planned, warnings=tuple(warnings)), exit_angle_deg


def _motif_use(kit: Kit, run: Run, planned: PlannedRun, search: LayoutSearch) -> MotifUse:
    """Return what a run takes on motifs, and what the same pieces take without them."""
    material = sum(
        load.used.area * load.load.repeats for load in planned.loads if load.used is not None
    )
    free = replace(run, anchors={}, quantities=planned.run.quantities)
    items = items_of(kit, free, planned.plies)
    layout = lay(items, free, room_of(free, items), replace(search, progress=None))
    beside = sum(
        used.area * load.repeats for used, load in zip(layout.used, layout.loads, strict=True)
    )
    return MotifUse(material, beside, first_motif(planned.run), fit_of(run))


def _require_few(kit: Kit, run: Run, index: int, wanted: float) -> None:
    """Check that no load holds more outlines than are supported.

    Raises:
        TooManyPiecesError: when one would.
    """
    regions = [kit.pieces[piece].region(run.cut) for piece in run.quantities]
    smallest = min(area(region.outline) for region in regions)
    for room in (each.area for each in run.stock or (run,)):
        whole = room.longest * room.bounds.height if room.open_right else area(room.boundary)
        if min(whole / smallest, wanted) > MAX_PLACED:
            raise too_many(index, MAX_PLACED)


def _plan_on_sheet(
    kit: Kit,
    run: Run,
    items: Sequence[Item],
    entry_angle_deg: float | None,
    search: LayoutSearch,
) -> tuple[PlannedRun, float | None]:
    if run.fills and kit.layout is None:
        run, items, laid = filled(kit, run, items, search, MAX_PLACED)
        return plan_laid(
            kit,
            run,
            items,
            laid,
            entry_angle_deg=entry_angle_deg,
            search=search,
            has_room=lambda loads, _lengths: load_count(loads) <= 1,
        )
    if kit.layout is None:
        laid = on_few_pages(laid_out(items, run, search), items, run, search)
        return plan_laid(kit, run, items, laid, entry_angle_deg=entry_angle_deg, search=search)
    regions = {piece: kit.pieces[piece].region(run.cut) for piece in run.quantities}
    laid = as_stored(kit.layout, items, run, regions)
    # What is cut again as it lay is not laid out again.
    return plan_laid(kit, run, items, laid, entry_angle_deg=entry_angle_deg, search=None)
