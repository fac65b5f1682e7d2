"""Sheets of paper or card for templates, which may be reused."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from geometry.layout import Item
from geometry.layout.effort import effort_of
from geometry.layout.one_kind.fullest import fullest
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.planning.strips import fits

#: Templates that a layout puts on one sheet; more are counted in plain rows.
_MOST = 5_000
#: Full sheets that are remembered: plans are often made again with another size of quilt.
_REMEMBERED = 256


@dataclass(frozen=True)
class PaperSheet:
    """A sheet of paper or card, mm: its size, free margin and gap."""

    name: str
    width: float
    height: float
    margin: float
    gap: float


@dataclass(frozen=True)
class SheetsOf:
    """Sheets for one template: how many a full sheet holds, and how many sheets that takes."""

    templates: int
    per_sheet: int
    sheets: int


def templates_needed(count: int, reuse: int) -> int:
    """Return the number of templates for this many pieces if each is used ``reuse`` times."""
    return math.ceil(count / reuse)


def sheets_of(
    outline: Outline, count: int, sheet: PaperSheet, *, effort: str = "normal"
) -> SheetsOf:
    """Return the sheets for templates of one kind; other kinds need other sheets.

    Args:
        outline: of the template.
        count: number of templates.
        sheet: the sheet.
        effort: of the layout of a full sheet; a run's usual effort unless stated.

    Raises:
        DoesNotFit: when a template is larger than the sheet inside its margins.
    """
    per_sheet = _most_on(outline, sheet, effort)
    return SheetsOf(count, per_sheet, math.ceil(count / per_sheet))


@lru_cache(maxsize=_REMEMBERED)
def _most_on(outline: Outline, sheet: PaperSheet, effort: str) -> int:
    """Return how many templates a full sheet holds: as a run lays them out, or in plain rows.

    A layout without the general nester: where a run asks it, its loads may hold more, never fewer.
    """
    room = WorkArea.rectangle(
        sheet.margin, sheet.margin, sheet.width - 2 * sheet.margin, sheet.height - 2 * sheet.margin
    )
    many = Item("template", outline, _MOST)
    layout = fullest(many, room, gap=sheet.gap, effort=effort_of(effort))
    return max(len(layout.loads[0].placements), _in_boxes(outline, sheet))


def _in_boxes(outline: Outline, sheet: PaperSheet) -> int:
    """Return how many boxes of a piece fit in rows on a sheet, in the better orientation."""
    box = outline.bounds
    width = sheet.width - 2 * sheet.margin + sheet.gap
    height = sheet.height - 2 * sheet.margin + sheet.gap
    upright = fits(width, box.width + sheet.gap) * fits(height, box.height + sheet.gap)
    turned = fits(width, box.height + sheet.gap) * fits(height, box.width + sheet.gap)
    return max(upright, turned)
