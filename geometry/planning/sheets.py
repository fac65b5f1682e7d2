"""Sheets of paper or card for templates, which may be reused."""

from __future__ import annotations

import math
from dataclasses import dataclass

from geometry.layout import Item, lay_out
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.planning.strips import fits


@dataclass(frozen=True)
class Sheet:
    """A sheet of paper or card, mm: its size, free margin and gap."""

    name: str
    width: float
    height: float
    margin: float
    gap: float


@dataclass(frozen=True)
class SheetsOf:
    """Sheets for one template; ``laid`` is ``interlocked`` or ``in boxes``."""

    templates: int
    per_sheet: int
    sheets: int
    laid: str


def templates_needed(count: int, reuse: int) -> int:
    """Return the number of templates for this many pieces if each is used ``reuse`` times."""
    return math.ceil(count / reuse)


def sheets_of(outline: Outline, count: int, sheet: Sheet) -> SheetsOf:
    """Return the sheets for templates of one kind; other kinds need other sheets.

    Shape:
        Straight-sided pieces interlock as in a layout. Curved ones are counted by their boxes,
        which never needs fewer sheets than a layout; interlocking arcs takes too long for an
        estimate.

    Args:
        outline: of the template.
        count: number of templates.
        sheet: the sheet.

    Raises:
        DoesNotFit: when a template is larger than the sheet inside its margins.
    """
    if outline.has_arcs:
        per_sheet = _in_boxes(outline, sheet)
        if per_sheet:
            return SheetsOf(count, per_sheet, math.ceil(count / per_sheet), "in boxes")
    room = WorkArea.rectangle(
        sheet.margin, sheet.margin, sheet.width - 2 * sheet.margin, sheet.height - 2 * sheet.margin
    )
    layout = lay_out([Item("template", outline, count)], room, gap=sheet.gap, effort="quick")
    per_sheet = max(len(load.placements) for load in layout.loads)
    return SheetsOf(count, per_sheet, sum(load.repeats for load in layout.loads), "interlocked")


def _in_boxes(outline: Outline, sheet: Sheet) -> int:
    """Return how many boxes of a piece fit in rows on a sheet, in the better orientation."""
    box = outline.bounds
    width = sheet.width - 2 * sheet.margin + sheet.gap
    height = sheet.height - 2 * sheet.margin + sheet.gap
    upright = fits(width, box.width + sheet.gap) * fits(height, box.height + sheet.gap)
    turned = fits(width, box.height + sheet.gap) * fits(height, box.width + sheet.gap)
    return max(upright, turned)
