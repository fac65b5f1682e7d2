"""Lines on which pieces are cut that lie a gap apart and have their cuts in common."""

from __future__ import annotations

from functools import lru_cache

from geometry.errors import AllowanceError
from geometry.model.outline import Outline
from geometry.offset.allowance import make_patch

#: Moves a line out a little more than half the gap, so that pieces whose lines meet are never
#: nearer than the gap, mm: less than what cuts count as one.
_MORE = 2.0e-6


@lru_cache(maxsize=256)
def cut_line(outline: Outline, gap: float) -> Outline:
    """Return the line in the middle of the gap round a piece: that of a neighbour at the gap.

    An outline with a hollow that is too narrow for it is its own line.

    Units:
        mm.
    """
    if not gap:
        return outline
    try:
        return make_patch(outline, gap / 2.0 + _MORE).outline
    except AllowanceError:
        return outline
