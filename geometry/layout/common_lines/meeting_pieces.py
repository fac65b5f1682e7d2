"""Pieces on a strip, some of which are moved to where more of their edges meet others."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import islice

import numpy as np

from geometry import polygons
from geometry.layout.common_lines.meeting_places import best_places
from geometry.layout.common_lines.meetings import Meetings
from geometry.layout.common_lines.moved_blocks import JoinedPieces
from geometry.layout.common_lines.straight_edges import SHORTEST, StraightEdges, shared
from geometry.layout.fitting.holding_polygons import holding_polygon
from geometry.layout.item import Filling, Item
from geometry.measure import perimeter
from geometry.model.outline import Outline
from geometry.model.placement import Placement
from geometry.model.segments import Bounds
from geometry.model.transform import Rigid

#: Lengths of edges that differ by less are the same, mm.
SAME = 1e-3
#: Places for a single piece that are looked at.
_PLACES = 6


@dataclass(frozen=True)
class MeetingPieces:
    """Pieces in their places within a strip, and where their edges meet.

    Attributes:
        items: the kinds by their names.
        placements: of the pieces.
        strip: what they may take.
        meetings: of their edges.
    """

    items: Mapping[str, Item]
    placements: Filling
    strip: Bounds
    meetings: Meetings

    @classmethod
    def of(cls, items: Mapping[str, Item], placements: Filling, strip: Bounds) -> MeetingPieces:
        """Return pieces with where their edges meet."""
        edges = [_edges(items[each.piece].outline, each.move) for each in placements]
        return cls(items, placements, strip, Meetings.of(StraightEdges.together(edges)))

    @cached_property
    def neighbours(self) -> Mapping[int, Mapping[int, float]]:
        """Lengths of edges that each piece has in common with others, mm."""
        return self.meetings.neighbours()

    @cached_property
    def met(self) -> tuple[float, ...]:
        """Length of each piece's edges that lies on edges of others, mm."""
        near = self.neighbours
        return tuple(sum(near.get(n, {}).values()) for n in range(len(self.placements)))

    @cached_property
    def total(self) -> float:
        """Length of edges that is cut once for two pieces, mm."""
        return sum(self.met) / 2.0

    @cached_property
    def shares(self) -> tuple[float, ...]:
        """The share of each piece's edges that lies on edges of others."""
        whole = {piece: _length(item.outline) for piece, item in self.items.items()}
        pairs = zip(self.met, self.placements, strict=True)
        return tuple(round(met / whole[each.piece], 6) for met, each in pairs)

    @cached_property
    def tree(self) -> polygons.STRtree:
        """Polygons of the pieces."""
        return polygons.STRtree(
            [_polygon(self.items[each.piece].outline, each.move) for each in self.placements]
        )

    def open_edges(self, without: frozenset[int] = frozenset()) -> StraightEdges:
        """Return the open stretches of edges, without those along the outside of the strip."""
        parts, strip = self.meetings.open_parts(without), self.strip
        x, y = (parts.start + parts.along * parts.length[:, None] / 2.0).T
        x, y = x + SAME * parts.along[:, 1], y - SAME * parts.along[:, 0]
        inside = (x > strip.left) & (x < strip.right) & (y > strip.bottom) & (y < strip.top)
        return parts.chosen(inside)

    def block(self, numbers: Sequence[int]) -> JoinedPieces:
        """Return pieces as a block that is moved as one."""
        if len(numbers) == 1:
            return JoinedPieces.single(self.items[self.placements[numbers[0]].piece])
        placements = tuple(self.placements[number] for number in numbers)
        return JoinedPieces(placements, tuple(self.items[each.piece] for each in placements))

    def with_block_moved(self, numbers: Sequence[int], most_pairs: int) -> MeetingPieces | None:
        """Return the pieces with a block of them where most of its edges meets others.

        ``None`` where it is there already, and where more pairs of edges than ``most_pairs`` would
        have to be laid on each other.
        """
        block, own = self.block(numbers), frozenset(numbers)
        most = SAME + sum(
            length
            for number in numbers
            for other, length in self.neighbours.get(number, {}).items()
            if other not in own
        )
        beside, best = self.open_edges(own), None
        if len(block.edges.length) * len(beside.length) > most_pairs:
            return None
        for way in (block, block.mirrored if len(numbers) > 1 else None):
            if way is not None:
                found = best_places(way, beside, self.tree, self.strip, numbers, most)
                for length, places in islice(found, 1):
                    most, best = length + SAME, places
        return None if best is None else self._with(dict(zip(numbers, best, strict=True)))

    def with_one_moved(self, piece: str) -> MeetingPieces | None:
        """Return the pieces with one of a kind where more of its edges meets others than before.

        ``None`` where there is no such place beside the pieces as they lie.
        """
        own = [number for number, each in enumerate(self.placements) if each.piece == piece]
        block = JoinedPieces.single(self.items[piece])
        least = min(self.met[number] for number in own) + SAME
        best: tuple[float, int, Placement] | None = None
        found = best_places(block, self.open_edges(), self.tree, self.strip, (), least)
        for length, (place,) in islice(found, _PLACES):
            lost = self._met_by(place)
            gain, last = max((round(length - self.met[n] - lost.get(n, 0.0), 4), -n) for n in own)
            if gain > SAME and (best is None or gain > best[0]):
                best = gain, -last, place
        return None if best is None else self._with({best[1]: best[2]})

    def laid_again(self, numbers: Iterable[int]) -> MeetingPieces | None:
        """Return the pieces with some of them laid again one by one, each where most meets.

        ``None`` where one finds no place, or no more would meet than before.
        """
        off = frozenset(numbers)
        left = [self.placements[number].piece for number in sorted(off)]
        kept = [each for number, each in enumerate(self.placements) if number not in off]
        laid = MeetingPieces.of(self.items, tuple(kept), self.strip)
        while left:
            place = laid.best_of(left, self.total + SAME - laid.total)
            if place is None:
                return None
            left.remove(place.piece)
            laid = laid.with_one_more(place)
        return laid

    def best_of(self, left: Sequence[str], needed: float) -> Placement | None:
        """Return the place where most of one more piece, by its share, meets others.

        ``None`` where there is none, or what is ``needed``, mm, would not meet even if all edges
        of the others that are ``left`` did.
        """
        beside, most = self.open_edges(), 0.0
        best: Placement | None = None
        every = sum(_length(self.items[piece].outline) for piece in left)
        for piece in dict.fromkeys(left):
            item = self.items[piece]
            whole = _length(item.outline)
            least = max(0.0, needed - (every - whole), most * whole)
            found = best_places(JoinedPieces.single(item), beside, self.tree, self.strip, (), least)
            for length, (place,) in islice(found, 1):
                if round(length / whole, 6) > most:
                    most, best = round(length / whole, 6), place
        return best

    def _with(self, places: Mapping[int, Placement]) -> MeetingPieces:
        moved = [places.get(number, each) for number, each in enumerate(self.placements)]
        return MeetingPieces.of(self.items, tuple(moved), self.strip)

    def with_one_more(self, place: Placement) -> MeetingPieces:
        """Return these pieces and one more."""
        edges = _edges(self.items[place.piece].outline, place.move)
        placements, meetings = (*self.placements, place), self.meetings.with_one(edges)
        return MeetingPieces(self.items, placements, self.strip, meetings)

    def _met_by(self, place: Placement) -> dict[int, float]:
        """Return how much of the edges of each piece one more piece would lie on, mm."""
        edges = self.meetings.edges
        low, high = shared(_edges(self.items[place.piece].outline, place.move), edges)
        found: dict[int, float] = {}
        for row, column in np.argwhere(high - low > SHORTEST).tolist():
            owner = int(edges.owner[column])
            found[owner] = found.get(owner, 0.0) + float(high[row, column] - low[row, column])
        return found


@lru_cache(maxsize=4096)
def _edges(outline: Outline, move: Rigid) -> StraightEdges:
    return StraightEdges.of(move.outline(outline))


@lru_cache(maxsize=4096)
def _polygon(outline: Outline, move: Rigid) -> polygons.Polygon:
    return polygons.Polygon(holding_polygon(move.outline(outline)))


_length = lru_cache(maxsize=256)(perimeter)
