"""Paper or card by the sheet, templates used again counted."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from geometry.layout import Item, lay_out
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline


@dataclass(frozen=True)
class Sheet:
    """A sheet of paper or card, mm: its size, the margin that is kept free, the gap."""

    name: str
    width: float
    height: float
    margin: float
    gap: float


@dataclass(frozen=True)
class SheetsOf:
    """Sheets that one template takes."""

    templates: int
    per_sheet: int
    sheets: int


def templates_needed(count: int, reuse: int) -> int:
    """Return how many templates make this many pieces when each is used ``reuse`` times."""
    return math.ceil(count / reuse)


def sheets_of(outlines: Sequence[tuple[Outline, int]], sheet: Sheet) -> list[SheetsOf]:
    """Return the sheets that templates take, each kind on its own sheets.

    Args:
        outlines: templates and how many of each.
        sheet: what they are cut from.

    Raises:
        DoesNotFit: when a template is larger than the sheet less its margins.
    """
    room = WorkArea.rectangle(
        sheet.margin, sheet.margin, sheet.width - 2 * sheet.margin, sheet.height - 2 * sheet.margin
    )
    found = []
    for index, (outline, count) in enumerate(outlines):
        layout = lay_out([Item(str(index), outline, count)], room, gap=sheet.gap, effort="quick")
        per_sheet = max(len(load.placements) for load in layout.loads)
        sheets = sum(load.repeats for load in layout.loads)
        found.append(SheetsOf(count, per_sheet, sheets))
    return found
