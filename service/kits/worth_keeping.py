"""Which rests of a sheet are worth keeping: those into which a piece of the kit fits."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from geometry.layout.item import stated_turns_deg
from geometry.model.outline import Outline
from geometry.model.transform import Rigid
from service.pieces.model import Kit

#: Turns that are tried of a piece that may lie at any, degrees.
_TURNS_DEG = tuple(15.0 * step for step in range(12))
_ROUNDING = 1e-6


def fits_a_piece(kit: Kit, width: float, height: float, *, roll: bool) -> bool:
    """Return whether a piece that the kit cuts fits into a rectangle, mm, as it may be turned.

    Up a piece runs along a ``roll``, from left to right.
    """
    if roll:
        width, height = height, width
    return any(
        wide <= width + _ROUNDING and high <= height + _ROUNDING for wide, high in _boxes(kit)
    )


def _boxes(kit: Kit) -> Iterator[tuple[float, float]]:
    """Yield the boxes of all pieces of all runs, at their turns, mm."""
    cut = dict.fromkeys((name, run.cut) for run in kit.runs for name in run.portions)
    for name, how in cut:
        piece = kit.pieces[name]
        stated = stated_turns_deg(piece.turns)
        turns = _TURNS_DEG if stated is None else tuple(stated)
        yield from _turned(piece.region(how).outline, turns)


@lru_cache(maxsize=256)
def _turned(outline: Outline, turns_deg: tuple[float, ...]) -> tuple[tuple[float, float], ...]:
    boxes = (Rigid(turn, 0.0, 0.0).outline(outline).bounds for turn in turns_deg)
    return tuple((box.width, box.height) for box in boxes)
