"""Sizes of pieces to cut from a fabric, and how each is cut."""

from __future__ import annotations

import math
from dataclasses import dataclass

from geometry.layout.item import stated_turns_deg
from geometry.model.outline import Outline
from geometry.planning.cloth import Cut
from geometry.planning.strips import StripPattern
from geometry.planning.triangles import SharedRectangle, shared_rectangle
from geometry.planning.ways import Way
from service.answers.fabrics import (
    FromPreCutsAnswer,
    InStripsAnswer,
    RowsAnswer,
)
from service.quilts.length_text import is_square, size_text
from service.requests.pieces import Turns


@dataclass(frozen=True)
class Wanted:
    """A size of piece to cut from a fabric.

    Args:
        id: its name.
        cut: the piece.
        where: its path in the request.
        noun: what one is called; empty for a rectangle.
        warnings: about how its outline differs from what was requested.
    """

    id: str
    cut: Cut
    where: tuple[str | int, ...]
    noun: str = ""
    warnings: tuple[str, ...] = ()


def patch_cut(
    template: Outline, patch: Outline, allowance: float, count: int, turns: Turns = "free"
) -> Cut:
    """Return what is cut from fabric for a piece.

    Args:
        template: the finished piece.
        patch: the same as cut.
        allowance: of its seams, the same all round, mm.
        count: number needed.
        turns: those that its grain allows.
    """
    box = patch.bounds
    shared = shared_rectangle(template, allowance)
    return Cut(box.width, box.height, count, stated_turns_deg(turns), shared, patch)


def piece_answer(
    want: Wanted,
    count: int,
    way: Way,
    units: str,
    cut_from: InStripsAnswer | FromPreCutsAnswer,
    *,
    needed: int | None = None,
) -> RowsAnswer:
    """Return how a size of piece is cut, from strips or from pre-cut pieces.

    Args:
        want: the size.
        count: number cut, spoilage included.
        way: how the pieces lie in their strips.
        units: in which lengths are shown.
        cut_from: the strips or the pre-cut pieces.
        needed: how many of those that are requested these are; all when ``None``.
    """
    shared = way.shared
    return RowsAnswer(
        id=want.id,
        width_mm=want.cut.width,
        length_mm=want.cut.length,
        needed=want.cut.count if needed is None else needed,
        cut=count,
        turned=way.is_turned,
        turned_alternately=way.pattern.is_alternate,
        turn_deg=way.pattern.turn_deg,
        strip_mm=way.pattern.height,
        method=None if shared is None else _sharing(count, shared, way.pattern, units),
        cut_from=cut_from,
    )


def _sharing(count: int, shared: SharedRectangle, pattern: StripPattern, units: str) -> str:
    """Return how pieces are cut that share a rectangle, by ruler."""
    needed = math.ceil(count / shared.pieces)
    left = needed * shared.pieces - count
    how, cuts = "pairs", "along a slanted line" if shared.first else "along a diagonal"
    if shared.needs_quarter_turn:
        how, cuts = "fours", "along both diagonals"
    elif shared.is_end_to_end:
        cuts = "across"
    width, height = pattern.width, pattern.height
    what = "square" if is_square(width, height) else "rectangle"
    size = size_text(width, height, units)
    text = f"in {how}: {shared.pieces} from each {what} of {size}, cut {cuts}; {needed} "
    text += f"{what}{'s' if needed > 1 else ''}"
    return f"{text}, {left} left over" if left else text
