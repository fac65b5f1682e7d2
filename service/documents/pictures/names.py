"""Where the name of a piece and its grain arrow stand in a picture, neither over the other."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from geometry import polygons
from geometry.model.outline import Chain, Outline
from geometry.model.placement import Placement
from geometry.model.points import Point
from geometry.model.transform import Rigid
from service.documents.pictures.inside import (
    free_spot,
    label_size,
    roomy_middle,
    upright_spot,
)

#: Turns of one kind up to which each has a place of its own for the name.
_MAX_TURNS = 8
#: Share of the largest letters that is large enough to look no further.
_ENOUGH = 0.7
#: Where else an arrow may stand: its place across, as a share of the room about the middle, and
#: the part of the line through there that it takes.
_ELSEWHERE = (
    (0.0, (0.42, 0.92)),
    (0.0, (0.08, 0.58)),
    (-0.6, (0.15, 0.85)),
    (0.6, (0.15, 0.85)),
    (-0.8, (0.2, 0.8)),
    (0.8, (0.2, 0.8)),
    (0.0, (0.6, 0.95)),
    (0.0, (0.05, 0.4)),
)
#: Clearance of an arrow from holes and marks as a share of the smallest letters, its shortest share
#: of the first one, and its head as a share of its length.
_CLEAR, _SHORTEST, _HEAD = 0.4, 0.2, 0.16
#: Share of its length with which an arrow counts as whole.
_WHOLE = 0.6


@dataclass(frozen=True)
class DrawnKind:
    """What a name keeps clear of: the outline that it stays in, lines inside, and the arrow."""

    inside: Outline
    lines: tuple[Outline | Chain, ...] = ()
    arrow: tuple[Chain, ...] = ()
    is_one_way: bool = False


@dataclass(frozen=True)
class PlacedName:
    """Where a name stands on a kind of piece, by the turn of a placement, and the arrow beside it.

    ``spots`` are points of the piece; one for all turns, or one for each. ``size`` is the letters'
    height.
    """

    spots: tuple[Point, ...]
    turns_deg: tuple[float, ...]
    size: float
    arrow: tuple[Chain, ...]

    def keeps_arrow(self, whole: Sequence[Chain]) -> bool:
        """Return whether the arrow is about as long as the whole one that stands without a name."""
        if not whole or not self.arrow:
            return True
        return self.arrow[0].bounds.height >= _WHOLE * whole[0].bounds.height

    def at(self, move: Rigid) -> Point:
        """Return the point of the bed about which the name stands on a placed piece."""
        spot = self.spots[0]
        if len(self.spots) > 1:
            spot = self.spots[self.turns_deg.index(box_turn(move))]
        return move.point(spot)


def box_turn(move: Rigid) -> float:
    """Return the turn of an upright box on a placed piece, in degrees: mirrored, the other way."""
    turn = -move.turn_deg if move.mirrored else move.turn_deg
    # A box is the same after half a turn.
    return round(turn % 180.0, 6) % 180.0


def turns_of(moves: Sequence[Rigid | Placement]) -> tuple[float, ...]:
    """Return the different turns of boxes on placed pieces."""
    found = (each.move if isinstance(each, Placement) else each for each in moves)
    return tuple(sorted({box_turn(move) for move in found}))


@lru_cache(maxsize=512)
def place_name(
    kind: DrawnKind, text: str, turns_deg: tuple[float, ...], most: float, least: float
) -> PlacedName | None:
    """Return where a name and the arrow stand, neither over the other nor over other lines.

    Args:
        kind: what is drawn of the piece.
        text: the name.
        turns_deg: of the piece's placements, from ``turns_of``.
        most: largest height of letters, mm of what is drawn.
        least: the smallest that can be read.

    Shape:
        ``None`` if letters that can be read have no room.
    """
    middle, reach = roomy_middle(kind.inside)
    if not kind.lines and not kind.arrow:
        size = label_size(kind.inside, text, most)
        # Upright letters have more room along the piece than they would at any turn.
        size = max(size, min(most, 0.8 * reach) if len(text) == 1 else size)
        return PlacedName((middle,), (), size, ()) if size >= least else None
    largest = min(most, 0.5 * reach) if len(text) < 3 else most  # noqa: PLR2004 - short ones
    largest = max(largest, least)
    best: PlacedName | None = None
    for arrow in _arrows(kind, _CLEAR * least):
        found = _beside(kind, arrow, text, turns_deg, (largest, least))
        if found is not None and (best is None or found.size > best.size):
            best = found
        if best is not None and best.size >= _ENOUGH * largest:
            return best
    return best


def _beside(
    kind: DrawnKind,
    arrow: tuple[Chain, ...],
    text: str,
    turns_deg: tuple[float, ...],
    sizes: tuple[float, float],
) -> PlacedName | None:
    """Return where a name stands beside an arrow: at any turn, or else at those of the pieces."""
    middle, _reach = roomy_middle(kind.inside)
    lines = [[vertex.point for vertex in line.vertices] for line in arrow]
    found = free_spot(kind.inside, kind.lines, text, middle, sizes[0], lines=lines)
    placed = None
    if found is not None and found[1] >= sizes[1]:
        placed = PlacedName((found[0],), (), found[1], arrow)
        if not kind.arrow or placed.size >= _ENOUGH * sizes[0]:
            return placed
    if len(turns_deg) <= _MAX_TURNS:
        upright = upright_spot(kind.inside, kind.lines, text, middle, sizes, turns_deg, lines=lines)
        if upright is not None and (placed is None or upright[1] > placed.size):
            return PlacedName(upright[0], turns_deg, upright[1], arrow)
    return placed


def _arrows(kind: DrawnKind, clear: float) -> Iterator[tuple[Chain, ...]]:
    """Yield the arrow, and other ones that say the same where a name needs its place."""
    taken = polygons.union_all([_line(line).buffer(clear) for line in kind.lines])
    is_free = not any(_line(line).intersects(taken) for line in kind.arrow)
    if is_free:
        yield kind.arrow
    if kind.arrow:
        yield from _elsewhere(kind, taken)
    if not is_free:
        yield kind.arrow


def _elsewhere(kind: DrawnKind, taken: polygons.BaseGeometry) -> Iterator[tuple[Chain, ...]]:
    box = kind.inside.bounds
    middle, reach = roomy_middle(kind.inside)
    room = polygons.flattened_polygon(kind.inside, 0.1).difference(taken)
    high = max(line.bounds.top for line in kind.arrow) - min(
        line.bounds.bottom for line in kind.arrow
    )
    for across, (start, end) in _ELSEWHERE:
        x = middle.x + across * reach
        through = polygons.LineString([(x, box.bottom - 1.0), (x, box.top + 1.0)])
        parts = polygons.get_parts(room.intersection(through))
        longest = max(parts, key=lambda part: part.length, default=None)
        if longest is None or longest.length * (end - start) < _SHORTEST * high:
            continue
        low, whole = longest.bounds[1], longest.length
        yield _arrow(x, low + start * whole, low + end * whole, one_way=kind.is_one_way)


def _arrow(x: float, low: float, high: float, *, one_way: bool) -> tuple[Chain, ...]:
    tip = _HEAD * (high - low)
    ends = [(high, -tip), *([] if one_way else [(low, tip)])]
    heads = (
        Chain.of([(x - 0.6 * tip, end + back), (x, end), (x + 0.6 * tip, end + back)])
        for end, back in ends
    )
    return (Chain.of([(x, low), (x, high)]), *heads)


def _line(line: Outline | Chain) -> polygons.BaseGeometry:
    if isinstance(line, Outline):
        return polygons.flattened_polygon(line, 0.1)
    return polygons.LineString([vertex.point for vertex in line.vertices])
