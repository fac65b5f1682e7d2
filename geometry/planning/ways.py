"""The ways to cut a piece from strips of cloth by ruler."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from geometry.planning.cloth import Cut, Fabric
from geometry.planning.strips import StripPattern, TurnsDeg, box_pattern, strip_patterns
from geometry.planning.triangles import SharedRectangle, end_to_end


@dataclass(frozen=True)
class Way:
    """One way to cut a piece out of strips, by ruler.

    ``shared`` is the rectangle that the strips consist of where pieces share one; ``pattern`` is
    that of the rectangles then.
    """

    pattern: StripPattern
    shared: SharedRectangle | None = None

    def count(self, room: float) -> int:
        """Return how many pieces a strip of a length holds."""
        return self.pattern.count(room) * self.pieces_per_cell

    @property
    def pieces_per_cell(self) -> int:
        """Return how many pieces share a rectangle; 1 where none is shared."""
        return 1 if self.shared is None else self.shared.pieces

    def extent(self, count: int, room: float) -> float:
        """Return the length that some of the pieces take of a strip with so much room."""
        cells = -(-count // self.pieces_per_cell)
        (last, _) = self.pattern.lefts(cells, self.pattern.start(room))[-1]
        return last + self.pattern.width

    @property
    def is_end_to_end(self) -> bool:
        """Return whether pieces lie in pairs, one above the other."""
        return self.shared is not None and self.shared.is_end_to_end

    @property
    def is_turned(self) -> bool:
        """Return whether a piece lies otherwise than as drawn, or half a turn from it."""
        across = self.shared is not None and self.shared.needs_quarter_turn
        return across or not self.pattern.is_as_drawn


def order_of(way: Way) -> tuple[bool, bool, bool, bool]:
    """Return the order of ways that take as much fabric: the plainest to cut first."""
    return way.is_end_to_end, way.is_turned, way.shared is None, way.pattern.is_alternate


def end_to_end_way(way: Way) -> Way:
    """Return the way to cut two rectangles out of one that is twice as long as they are."""
    pattern = way.pattern
    shared = end_to_end(pattern.width, pattern.height, pattern.turn_deg)
    return Way(replace(pattern, height=2.0 * pattern.height), shared)


def ways(cut: Cut, fabric: Fabric, room: float, *, lengthwise: bool = False) -> Iterator[Way]:
    """Yield the ways to cut a piece from strips of a length.

    Args:
        cut: the piece.
        fabric: its print and its ruler are used.
        room: length of a strip.
        lengthwise: whether strips run along the fabric instead of across.
    """
    outline, turns = cut.cut_outline, fabric.turns_deg(cut)
    ahead = 90.0 if lengthwise else 0.0
    tried = None if turns is None else tuple((turn + ahead) % 360.0 for turn in turns)
    for pattern in strip_patterns(outline, tried):
        lying = replace(pattern, turn_deg=(pattern.turn_deg - ahead) % 360.0)
        yield Way(_by_ruler(lying, fabric, room))
    shared = None if cut.shared is None else cut.shared.by_ruler(fabric.by_ruler)
    for turn in (0.0, 90.0):
        if shared is not None and _may_share(shared, turns, turn):
            sizes = shared.width, shared.length
            across, along = sizes if (turn == 0.0) != lengthwise else sizes[::-1]
            yield Way(_by_ruler(box_pattern(across, along, turn_deg=turn), fabric, room), shared)


def _by_ruler(pattern: StripPattern, fabric: Fabric, room: float) -> StripPattern:
    """Return the pattern with its strip, and pieces in it, rounded up to the ruler's marks.

    Pieces with a side on the strip's edge are cut across the whole strip and grow with it: a
    triangle from a strip of 2 1/8 in instead of 2.1036 in has sides that are longer by as much.
    """
    ruled = replace(pattern, height=fabric.by_ruler(pattern.height))
    if pattern.is_box:
        width = fabric.by_ruler(pattern.width)
        steps = (width, width)
    else:
        growth = ruled.height / pattern.height if pattern.is_cut_across else 1.0
        width = pattern.width * growth
        steps = (pattern.steps[0] * growth, pattern.steps[1] * growth)
    # A piece as wide as the fabric is not cut any wider.
    return ruled if width > room else replace(ruled, width=width, steps=steps)


def _may_share(shared: SharedRectangle, turns: TurnsDeg, turn: float) -> bool:
    """Return whether the grain lets pieces turn as far as their rectangle needs."""
    if turns is None:
        return True
    needed = [turn, turn + 180.0]
    if shared.needs_quarter_turn:
        needed = [0.0, 90.0, 180.0, 270.0]
    return all(each in turns for each in needed)
