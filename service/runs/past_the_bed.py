"""What is left of a sheet that reaches past its bed: the part beyond the bed's edge is left too."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import replace

from geometry.layout import Layout
from geometry.layout.item import Offcut
from geometry.layout.offcuts import offcuts_of, with_rests
from geometry.model.cutter import Bed, WorkArea
from geometry.model.outline import Region
from geometry.model.placement import Load
from geometry.model.segments import Bounds
from service.requests.runs import Run
from service.requests.sheets import Sheet
from service.runs.frames import past_sides
from service.runs.layout_step import LaidOutRun
from service.tools import kind_of

#: A difference of lengths that is rounding, mm.
_ROUNDING = 1.0e-6


def with_rests_past_the_bed(run: Run, laid: LaidOutRun, regions: Mapping[str, Region]) -> Layout:
    """Return a layout whose rests are those of the whole sheet, as far as it is known.

    On a side where the sheet reaches past the bed its rests end where they would on a larger bed:
    at the sheet's edge, less the clearance there. On the others they end with the work area. What
    hangs over the bed of a beam is trimmed off before, so there each part is a rest by itself.
    """
    layout, sheet = laid.layout, run.sheet
    if sheet is None or not layout.used or not _reaches_past(run, sheet):
        return layout
    if kind_of(run.cutter.tool).is_beam:
        room, offcuts = laid.room, (*layout.offcuts, *_trimmed(run, sheet, layout))
    else:
        whole = _whole(run, sheet, laid.room)
        if whole is None:
            return layout
        room, outlines = whole, {piece: region.outline for piece, region in regions.items()}
        offcuts = offcuts_of(layout.loads, outlines, room, run.gap)
    used = with_rests(layout.used, room, offcuts, run.gap)
    return replace(layout, offcuts=offcuts, used=used)


def _trimmed(run: Run, sheet: Sheet, layout: Layout) -> Iterator[Offcut]:
    """Yield what is trimmed off each load's sheet, from top to bottom at the left and right."""
    bed, box = run.cutter.bed, sheet.box
    across = max(box.left, 0.0), min(box.right, bed.width)
    for side, left, bottom, right, top in (
        ("left", box.left, box.bottom, 0.0, box.top),
        ("right", bed.width, box.bottom, box.right, box.top),
        ("top", across[0], bed.height, across[1], box.top),
        ("bottom", across[0], box.bottom, across[1], 0.0),
    ):
        if right - left <= _ROUNDING or top - bottom <= _ROUNDING:
            continue
        area = WorkArea.rectangle(left, bottom, right - left, top - bottom)
        part = sheet.part_of(area, sheet.clearance)
        if part is None:
            continue
        for number in range(len(layout.loads)):
            for found in offcuts_of([Load(())], {}, part, run.gap):
                yield replace(found, load=number, name=f"trimmed off the {side}")


def _reaches_past(run: Run, sheet: Sheet) -> bool:
    """Return whether a sheet lies flat on a bed and reaches past it.

    What is left of cloth round a frame's opening was gripped there.
    """
    if run.cutter.bed.roll or sheet.is_drawn_off or kind_of(run.cutter.tool).grips_edges:
        return False
    is_known = math.isfinite(sheet.width) and math.isfinite(sheet.height)
    return is_known and max(past_sides(run.cutter.bed, sheet)) > _ROUNDING


def _whole(run: Run, sheet: Sheet, room: WorkArea) -> WorkArea | None:
    """Return the room of a load with what of its sheet lies past the bed."""
    box, inside = sheet.box, room.bounds
    left, right, top, bottom = (by > _ROUNDING for by in past_sides(run.cutter.bed, sheet))
    x = box.left if left else inside.left
    y = box.bottom if bottom else inside.bottom
    width = (box.right if right else inside.right) - x
    height = (box.top if top else inside.top) - y
    area = replace(WorkArea.rectangle(x, y, width, height), keep_outs=room.keep_outs)
    return sheet.part_of(area, sheet.clearance)


def on_the_bed(box: Bounds, bed: Bed) -> Bounds:
    """Return what of a box lies on a bed, which is all that pictures show; empty where none is."""
    left, right = (min(max(each, 0.0), bed.width) for each in (box.left, box.right))
    bottom, top = (min(max(each, 0.0), bed.height) for each in (box.bottom, box.top))
    return Bounds(left, bottom, right, top)
