"""The pieces of a printed plan that are named on its pages, and their outlines."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from adapters.names import comment
from adapters.pages import touches
from adapters.whole_pages import PrintedPage
from geometry.model.plan import CutPlan
from geometry.model.segments import Bounds

#: Chords of arcs lie this far off them, mm.
CHORD = 0.1
_Floats = NDArray[np.float64]


@dataclass(frozen=True)
class PieceName:
    """The name of a placed piece, the box of its outline, and its outline where that is closed.

    ``number`` tells the parts of equal pieces apart where pages are joined.
    """

    placement: int
    name: str
    box: Bounds
    outline: _Floats | None
    number: int = 0

    def is_on(self, sheet: PrintedPage) -> bool:
        """Return whether a part of the piece is drawn on a page."""
        return sheet.has(self.placement) and touches(sheet.page.part, self.box)


def piece_names(plan: CutPlan, boxes: Sequence[Bounds], ways: Sequence[_Floats]) -> list[PieceName]:
    """Return the name of each placed piece; boxes and chords are those of the plan's strokes."""
    found: dict[int, list[int]] = {}
    for at, stroke in enumerate(plan.strokes):
        if stroke.placement is not None and stroke.piece and stroke.part == "outline":
            found.setdefault(stroke.placement, []).append(at)
    shares = any(each.part == "outline" and each.placement is None for each in plan.strokes)
    names: list[PieceName] = []
    shown: dict[str, str] = {}
    for placement, places in found.items():
        only = plan.strokes[places[0]]
        box = Bounds.around(boxes[at] for at in places)
        closed = len(places) == 1 and only.closed
        if shares and not closed:
            # The rest of its outline is of a neighbour too: its box is not known.
            continue
        outline = ways[places[0]] if closed else None
        # A load has many pieces of few names.
        name = shown.get(only.piece) or shown.setdefault(only.piece, comment(only.piece, 24))
        names.append(PieceName(placement, name, box, outline))
    return names


def numbered(names: Sequence[PieceName], sheets: Sequence[PrintedPage]) -> list[PieceName]:
    """Return names with a number where a piece's parts lie on several pages.

    All other pieces are cut out of one page whole, where a number would say nothing.
    """
    if len(sheets) == 1:
        return list(names)
    found, counts = [], Counter[str]()
    for each in names:
        if sum(each.is_on(sheet) for sheet in sheets) > 1:
            counts[each.name] += 1
            found.append(replace(each, number=counts[each.name]))
        else:
            found.append(each)
    return [
        replace(each, name=f"{each.name} {each.number}")
        if each.number and counts[each.name] > 1
        else each
        for each in found
    ]
