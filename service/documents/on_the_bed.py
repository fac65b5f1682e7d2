"""What of a sheet is seen on the bed."""

from __future__ import annotations

from geometry.model.cutter import Bed, WorkArea
from geometry.model.outline import Outline
from geometry.toolpath.reserve import common


def within_bed(sheet: Outline, bed: Bed) -> Outline:
    """Return the part of a sheet's outline within the bed's box."""
    frame = WorkArea.rectangle(0.0, 0.0, bed.width, bed.height).boundary
    return common(sheet, frame) or sheet
