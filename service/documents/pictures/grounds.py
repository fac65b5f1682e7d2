"""What lies under the pieces in the pictures of a load: bed, sheet, reach, work area, clamps."""

from __future__ import annotations

from geometry.model.cutter import Bed
from service.documents.on_the_bed import kept_free, within_bed
from service.documents.pictures import looks
from service.documents.pictures.path import number, path_data
from service.requests.runs import Run
from service.requests.sheets import Sheet
from service.runs.past_the_bed import on_the_bed


def grounds(run: Run) -> str:
    """Draw bed, sheet, the tool's reach (dotted) and work area (dashed)."""
    bed = run.cutter.bed
    parts = [
        f'<path d="{path_data(bed.boundary)}" {looks.BED.svg()}/>'
        if bed.boundary is not None
        else f'<rect width="{number(bed.width)}" height="{number(bed.height)}" {looks.BED.svg()}/>'
    ]
    if run.sheet is not None:
        parts.append(_sheet(run.sheet, bed))
    if run.reach is not None and run.reach.boundary != run.area.boundary:
        parts.append(f'<path d="{path_data(run.reach.boundary)}" {looks.REACH.svg()}/>')
    parts.append(f'<path d="{path_data(run.area.boundary)}" {looks.AREA.svg()}/>')
    free = kept_free(run.area, bed)
    parts.extend(f'<path d="{path_data(hole)}" {looks.KEPT_FREE.svg()}/>' for hole in free)
    parts.extend(f'<path d="{path_data(hole)}" {looks.KEEP_OUT.svg()}/>' for hole in bed.keep_outs)
    if run.sheet is not None and marks_corner(run.sheet):
        # On top of a clamp that covers it.
        parts.append(_corner(run.sheet, bed))
    return "\n".join(parts)


def marks_corner(sheet: Sheet) -> bool:
    """Return whether a sheet has a lower left corner that lies on the bed and is marked."""
    return sheet.outline is None and sheet.box.left >= 0.0 and sheet.box.bottom >= 0.0


def _sheet(sheet: Sheet, bed: Bed) -> str:
    """Draw the part of a sheet on the bed."""
    part = on_the_bed(sheet.box, bed)
    look = f"{looks.SHEET.svg()}/>"
    if sheet.outline is not None:
        return f'<path d="{path_data(within_bed(sheet.outline, bed))}" {look}'
    return (
        f'<rect x="{number(part.left)}" y="{number(part.bottom)}" width="{number(part.width)}" '
        f'height="{number(part.height)}" {look}'
    )


def _corner(sheet: Sheet, bed: Bed) -> str:
    """Mark a sheet's lower left corner."""
    part = on_the_bed(sheet.box, bed)
    x, y = part.left, part.bottom
    arm = min(10.0, part.width / 4.0, part.height / 4.0)
    return (
        f'<path d="M{number(x)} {number(y + arm)}V{number(y)}H{number(x + arm)}" '
        f"{looks.CORNER.svg()}/>"
    )
