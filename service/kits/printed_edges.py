"""Where the pages of a printed load lie on its bed, as its PDF splits it."""

from __future__ import annotations

from collections.abc import Iterator

from adapters.pdf_pages import pages_of_plan
from geometry.model.segments import Bounds
from service.documents.model import SheetPage
from service.requests.runs import Run
from service.runs.planned_run import PlannedLoad
from service.runs.printing import is_printed, print_settings


def shown_pages(run: Run, load: PlannedLoad) -> Iterator[SheetPage]:
    """Yield the pages of a load that are joined, numbered as in its file after the check page.

    Or its only page, where that is smaller than the bed. What reaches past the bed is left out.
    Pages with whole pieces that are not joined have no place on the bed.
    """
    if not is_printed(run):
        return
    plan = load.planned.plan
    bed = (plan.bed_width, plan.bed_height)
    sheets = pages_of_plan(plan, print_settings(run))
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
