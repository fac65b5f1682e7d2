"""The drawings of the run sheet's page, as SVG; texts in them are escaped."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from html import escape

from geometry.measure import centroid
from geometry.model.outline import Outline
from geometry.model.segments import Bounds
from service.documents.model import SheetGround, SheetLoad, SheetPiece, SheetRun
from service.documents.on_the_bed import within_bed
from service.documents.pictures.path import number, path_data

INK = "#1d2b2a"


def dial_drawing(angle_deg: float) -> str:
    """Return a drawing of a blade's angle: a circle, its level axis and the blade."""
    x, y = (13.0 * f(math.radians(angle_deg)) for f in (math.cos, math.sin))
    return (
        '<svg width="34" height="34" viewBox="-17 -17 34 34" aria-hidden="true">'
        f'<circle r="15" fill="none" stroke="{INK}"/>'
        f'<path d="M-15 0H15" stroke="{INK}" stroke-width=".6" stroke-dasharray="1 2"/>'
        f'<path d="M{number(-x)} {number(y)}L{number(x)} {number(-y)}" stroke="{INK}" '
        'stroke-width="2.4"/></svg>'
    )


def _drawing(box: Bounds, max_mm: float, inside: Iterable[str], label: str) -> str:
    scale = min(1.0, max_mm / max(box.width, box.height))
    thin = number(0.3 / scale)
    return (
        f'<svg role="img" aria-label="{escape(label)}" width="{number(box.width * scale)}mm" '
        f'height="{number(box.height * scale)}mm" viewBox="{number(box.left)} {number(-box.top)} '
        f'{number(box.width)} {number(box.height)}" overflow="visible"><g transform="scale(1 -1)" '
        f'fill="none" stroke="{INK}" stroke-width="{thin}">{"".join(inside)}</g></svg>'
    )


def load_drawing(run: SheetRun, load: SheetLoad) -> str:
    """Return a drawing of a load on its bed."""
    ground = load.ground
    bed = Bounds(0.0, 0.0, ground.bed.width, ground.bed.height)
    dash = number(max(bed.width, bed.height) / 80.0)
    parts = [
        f'<rect width="{number(bed.width)}" height="{number(bed.height)}" fill="#e6e6e6"/>',
        *_opening(ground),
        f'<path d="{path_data(ground.area.boundary)}" fill="#fff" stroke-dasharray="{dash}"/>',
        *(f'<path d="{path_data(each)}" fill="#e6e6e6"/>' for each in ground.area.keep_outs),
    ]
    for piece, outline in load.placed:
        parts.append(f'<path d="{path_data(outline)}" fill="#f7f7f7"/>{_name(piece, outline)}')
    ring = number(max(bed.width, bed.height) / 150.0)
    parts.extend(
        f'<circle cx="{number(x)}" cy="{number(y)}" r="{ring}"/>' for x, y in ground.motifs
    )
    return _drawing(bed, 90.0, parts, f"{run.title}, load {load.number}")


def _opening(ground: SheetGround) -> Iterator[str]:
    """Draw the bed's opening if it is not a rectangle, and the sheet within the bed."""
    bed = ground.bed
    if bed.boundary is not None:
        yield f'<path d="{path_data(bed.boundary)}" fill="#f2f2f2"/>'
    yield from (f'<path d="{path_data(each)}" fill="#b3b3b3"/>' for each in bed.keep_outs)
    if ground.sheet is not None:
        shown = within_bed(ground.sheet, bed)
        yield f'<path d="{path_data(shown)}" fill="#f2f2f2"/>'


def _name(piece: str, outline: Outline) -> str:
    box, middle = outline.bounds, centroid(outline)
    size = min(0.4 * box.height, 1.1 * box.width / max(1, len(piece)), 12.0)
    return (
        f'<text transform="translate({number(middle.x)} {number(middle.y - 0.35 * size)}) '
        f'scale(1 -1)" font-family="sans-serif" font-size="{number(size)}" text-anchor="middle" '
        f'fill="{INK}" stroke="none">{escape(piece)}</text>'
    )


def piece_drawing(piece: SheetPiece) -> str:
    """Return a drawing of a piece: its template, broken, within its patch."""
    dash = number(max(piece.patch.bounds.width, piece.patch.bounds.height) / 40.0)
    outlines = [
        f'<path d="{path_data(piece.patch)}" fill="#f7f7f7"/>',
        f'<path d="{path_data(piece.template)}" stroke-dasharray="{dash}"/>',
    ]
    return _drawing(piece.patch.bounds, 40.0, outlines, f"{piece.id}: {piece.shape}")
