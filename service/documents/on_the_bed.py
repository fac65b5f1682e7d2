"""What of a sheet is seen on the bed, and which part of the bed a printed picture shows."""

from __future__ import annotations

from collections.abc import Iterator

from geometry.model.cutter import Bed, WorkArea
from geometry.model.outline import Outline
from geometry.model.segments import Bounds
from geometry.toolpath.reserve import common

#: If a bed has this many times the area of the sheet, a picture shows only the part around the
#: sheet, with a rim; and the rim, as a share of the sheet's longer side.
_LARGE, _RIM = 1.3, 0.06


def within_bed(sheet: Outline, bed: Bed) -> Outline:
    """Return the part of a sheet's outline within the bed's box."""
    frame = WorkArea.rectangle(0.0, 0.0, bed.width, bed.height).boundary
    return common(sheet, frame) or sheet


def kept_free(area: WorkArea, bed: Bed) -> Iterator[Outline]:
    """Yield what is kept free round the bed's keep-outs, within the bed's box."""
    for each in area.keep_outs:
        left, bottom, right, top = each.bounds
        is_inside = min(left, bottom) >= 0.0 and right <= bed.width and top <= bed.height
        yield each if is_inside else within_bed(each, bed)


def shown_part(bed: Bed, sheet: Outline | None) -> Bounds | None:
    """Return the part of a bed that a picture shows; ``None`` where it shows all of it.

    On a large bed the pieces of a small sheet would be too small to be named. Edges of the
    bed that are close to the sheet are always shown.
    """
    if sheet is None or bed.boundary is not None:
        return None
    box = within_bed(sheet, bed).bounds
    if bed.width * bed.height < _LARGE * box.width * box.height:
        return None
    rim = _RIM * max(box.width, box.height)
    left, bottom = (0.0 if each < 2.0 * rim else each - rim for each in (box.left, box.bottom))
    right, top = (
        whole if whole - each < 2.0 * rim else each + rim
        for whole, each in ((bed.width, box.right), (bed.height, box.top))
    )
    return Bounds(left, bottom, right, top)
