"""The fewest parts into which a block's pieces are divided, each sewn on one foundation.

Parts may meet in any way here, so that seams between them are set in where they have corners.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from geometry.blocks.carriers import Adjacency
from geometry.blocks.foundation import is_last

#: Up to this many pieces, the fewest parts are always found.
_ALWAYS = 12
#: Parts of larger blocks that are examined at most, and steps of the search.
_MAX_PARTS, _MAX_STEPS = 20_000, 100_000


@dataclass(frozen=True)
class Partition:
    """Parts of a block.

    Args:
        parts: bits of the pieces of each.
        min_parts: a proved lower bound.
    """

    parts: tuple[int, ...]
    min_parts: int


def find_partition(adjacency: Adjacency) -> Partition:
    """Return the fewest parts of a block that can each be sewn on one foundation.

    They are proved fewest for up to 12 pieces, and for more if the search ends within its bounds.
    """
    limit = None if adjacency.count <= _ALWAYS else _MAX_PARTS
    parts, is_complete = _sewable(adjacency, limit)
    search = _Search(parts, None if adjacency.count <= _ALWAYS else _MAX_STEPS)
    found = search.parts(adjacency.all_pieces)
    if is_complete and search.is_complete:
        return Partition(found, len(found))
    largest = max(part.bit_count() for part in parts)
    bound = -(-adjacency.count // largest) if is_complete else 1
    return Partition(found, max(2, bound))


def _sewable(adjacency: Adjacency, limit: int | None) -> tuple[list[int], bool]:
    """Return the sets of pieces that can be sewn on one foundation, and whether these are all.

    Each is a smaller one and a piece that is sewn to it.
    """
    level = {1 << piece for piece in range(adjacency.count)}
    found = set(level)
    while level:
        larger: set[int] = set()
        for pieces in sorted(level):
            for piece in _beside(adjacency, pieces):
                whole = pieces | 1 << piece
                if whole not in larger and is_last(adjacency, piece, pieces):
                    larger.add(whole)
            if limit is not None and len(found) + len(larger) > limit:
                return sorted(found | larger), False
        found |= larger
        level = larger
    return sorted(found), True


def _beside(adjacency: Adjacency, pieces: int) -> Sequence[int]:
    """Return the neighbours of some pieces."""
    found: set[int] = set()
    rest = pieces
    while rest:
        piece = rest.bit_length() - 1
        rest &= ~(1 << piece)
        found.update(other for other in adjacency.beside[piece] if not pieces >> other & 1)
    return sorted(found)


class _Search:
    """Finds the fewest disjoint sets that hold all pieces."""

    def __init__(self, sets: Sequence[int], max_steps: int | None) -> None:
        self.is_complete = True
        self._steps, self._max_steps = 0, max_steps
        self._known: dict[int, tuple[int, int]] = {0: (0, 0)}
        self._of_lowest: dict[int, list[int]] = defaultdict(list)
        # Large ones first: they leave the fewest pieces.
        for each in sorted(sets, key=lambda each: (-each.bit_count(), each)):
            self._of_lowest[each & -each].append(each)

    def parts(self, pieces: int) -> tuple[int, ...]:
        """Return the fewest sets that hold some pieces."""
        found = []
        while pieces:
            _, part = self._best(pieces)
            found.append(part)
            pieces &= ~part
        return tuple(found)

    def _best(self, pieces: int) -> tuple[int, int]:
        """Return the number of sets for some pieces, and the one with the first of them."""
        known = self._known.get(pieces)
        if known is not None:
            return known
        best: tuple[int, int] | None = None
        for part in self._of_lowest[pieces & -pieces]:
            if part & ~pieces:
                continue
            self._steps += 1
            if best is not None and self._max_steps is not None and self._steps > self._max_steps:
                self.is_complete = False
                break
            count = 1 + self._best(pieces & ~part)[0]
            if best is None or count < best[0]:
                best = count, part
        assert best is not None  # noqa: S101 - each piece is a set by itself
        self._known[pieces] = best
        return best
