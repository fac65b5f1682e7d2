"""How large material of no stated size has to be, and where on the bed it has to lie."""

from __future__ import annotations

import math

from geometry.model.segments import Bounds
from service.requests.runs import Run
from service.requests.sheets import usual_clearance
from service.runs.frames import laid_to_mm, ruler_mark_mm
from service.runs.printing import home_paper, is_printed
from service.tools import kind_of

#: A difference of lengths that is rounding, in marks of a ruler.
_ROUNDING = 1e-6


def work_box(run: Run) -> Bounds:
    """Return the box round a run's work area for the run sheet, mm.

    A shaped opening less the head's reach is a polygon, up to 0.01 mm smaller than it might be.
    """
    box = run.area.bounds
    if run.area.is_rectangle:
        return box
    left, bottom = round(box.left, 1), round(box.bottom, 1)
    return Bounds(left, bottom, round(box.right, 1), round(box.top, 1))


def least_box(run: Run, units: str) -> Bounds | None:
    """Return what of the bed material of no stated size has to cover, mm.

    The work area, and beside it what is kept free at the edges of a stated sheet, out to the next
    marks of a ruler; not past the bed. None where a sheet is stated, and where material is drawn
    off a roll, gripped in a frame, pressed or printed: there other rules hold.

    Args:
        run: on a bed.
        units: of the request; they say how fine a ruler's marks are.
    """
    bed, kind = run.cutter.bed, kind_of(run.cutter.tool)
    if run.sheet is not None or run.from_roll or kind.grips_edges or kind.is_pressed:
        return None
    if is_printed(run) or home_paper(run):
        return None
    box, free = work_box(run), usual_clearance(run.cutter)
    left, right = _side(box.left - free, box.right + free, units)
    bottom, top = _side(box.bottom - free, box.top + free, units)
    return Bounds(left, bottom, min(bed.width, right), min(bed.height, top))


def _side(low: float, high: float, units: str) -> tuple[float, float]:
    """Return where a side begins, at a mark, and where it ends, as long as a cut one is."""
    fine, mark = laid_to_mm(units), ruler_mark_mm(units)
    begin = max(0.0, math.floor(low / fine + _ROUNDING) * fine)
    return begin, begin + math.ceil((high - begin) / mark - _ROUNDING) * mark
