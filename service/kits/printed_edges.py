"""Where the pages of a printed load lie on its bed, as its PDF splits it."""

from __future__ import annotations

from collections.abc import Iterator

from adapters import registry
from adapters.contract import resolved
from adapters.pdf_pages import printed_pages
from adapters.repeated_shapes import RepeatedShapes
from adapters.whole_pages import groups_of
from geometry.model.segments import Bounds
from service.documents.model import SheetPage
from service.requests.runs import Run
from service.runs.planned_run import PlannedLoad
from service.runs.printing import is_printed


def shown_pages(run: Run, load: PlannedLoad) -> Iterator[SheetPage]:
    """Yield the pages of a load that are joined, numbered as in its file after the check page.

    Or its only page, where that is smaller than the bed. What reaches past the bed is left out.
    Pages with whole pieces that are not joined have no place on the bed.
    """
    if not is_printed(run):
        return
    plan = load.planned.plan
    values = resolved(registry.get("pdf").settings, run.cutter.formats.get("pdf", {}), "pdf")
    boxes = RepeatedShapes(plan.strokes).boxes()
    bed = (plan.bed_width, plan.bed_height)
    _paper, sheets = printed_pages(bed, boxes, groups_of(plan), values)
    for number, sheet in enumerate(sheets, start=1):
        part = sheet.page.part
        is_smaller = part.width < bed[0] or part.height < bed[1]
        if sheet.is_joined or (len(sheets) == 1 and is_smaller):
            box = Bounds(
                max(0.0, part.left),
                max(0.0, part.bottom),
                min(bed[0], part.right),
                min(bed[1], part.top),
            )
            yield SheetPage(number, sheet.page.row, box)
