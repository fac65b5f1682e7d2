"""Sections of a block: what is sewn on one foundation each, and how sections are joined.

Two sections can be joined by a straight seam if all that they share lies on one line, and by a
curved one if it lies on one circle. Any other seam is set in. The search divides the block along
every line and circle, and each part again; it remembers the best way for every part that it met.
Where straight and curved seams are not enough, the block is divided into the fewest sections of
all, which are then joined by straight and curved seams as far as possible.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal, NamedTuple, TypeAlias

from geometry.blocks.carriers import Adjacency
from geometry.blocks.foundation import sewing_order
from geometry.blocks.partition import find_partition

SeamKind: TypeAlias = Literal["straight", "curved", "set-in"]
#: Number of parts that are divided in every way; any others are divided in one way only.
_MAX_PARTS = 4_000
_KINDS: tuple[SeamKind, ...] = ("straight", "curved", "set-in")


@dataclass(frozen=True)
class Section:
    """Pieces that are sewn on one foundation, or a single piece.

    Args:
        pieces: their numbers, in the order of sewing.
    """

    pieces: tuple[int, ...]


@dataclass(frozen=True)
class Join:
    """One seam that joins what was sewn before.

    Args:
        first: numbers of the sections on one side.
        second: numbers of those on the other.
        kind: of the seam.
    """

    first: tuple[int, ...]
    second: tuple[int, ...]
    kind: SeamKind


@dataclass(frozen=True)
class Sewing:
    """How a block is sewn.

    Args:
        sections: in the order of sewing.
        joins: that follow.
        is_fewest: whether there are provably no fewer sections.
        min_sections: a proved lower bound.
    """

    sections: tuple[Section, ...]
    joins: tuple[Join, ...]
    is_fewest: bool
    min_sections: int


class _Cost(NamedTuple):
    """What the search minimises: sections first, then curved seams."""

    sections: int
    curved: int


class _Way(NamedTuple):
    """The best way for a part: whole on a foundation, or two parts and the seam between them."""

    cost: _Cost
    order: tuple[int, ...] = ()
    parts: tuple[int, int] = (0, 0)
    kind: SeamKind = "straight"


def find_sections(adjacency: Adjacency) -> Sewing:
    """Return the fewest sections of a block and the order of joining them.

    If straight and curved seams can join all pieces, these are the fewest sections with such seams;
    otherwise the fewest with seams of any kind.
    """
    search = _Search(adjacency)
    way = search.best(adjacency.all_pieces)
    if way is None:
        return _set_in(adjacency)
    sections: list[Section] = []
    joins: list[Join] = []
    search.collect(adjacency.all_pieces, sections, joins)
    bound = 1 if way.order else 2
    is_fewest = search.is_complete or way.cost.sections == bound
    return Sewing(
        tuple(sections), tuple(joins), is_fewest, way.cost.sections if is_fewest else bound
    )


def _set_in(adjacency: Adjacency) -> Sewing:
    """Return the sections of a block with seams that have to be set in."""
    found = find_partition(adjacency)
    sections = [Section(tuple(sewing_order(adjacency, part) or ())) for part in found.parts]
    groups: dict[int, tuple[int, ...]] = {
        part: (number,) for number, part in enumerate(found.parts)
    }
    joins: list[Join] = []
    while len(groups) > 1:
        one, two = min(itertools.combinations(groups, 2), key=lambda pair: _rank(adjacency, *pair))
        seam = _KINDS[_rank(adjacency, one, two)[0]]
        joins.append(Join(groups[one], groups[two], seam))
        groups[one | two] = groups.pop(one) + groups.pop(two)
    is_fewest = found.min_parts == len(found.parts)
    return Sewing(tuple(sections), tuple(joins), is_fewest, found.min_parts)


def _rank(adjacency: Adjacency, one: int, two: int) -> tuple[int, int]:
    """Return a key that puts straight seams first, then curved ones, then small parts."""
    seams = adjacency.between(one, two)
    size = (one | two).bit_count()
    if not seams:
        return len(_KINDS), size
    if seams & (seams - 1):
        return _KINDS.index("set-in"), size
    return (0 if adjacency.is_straight[seams.bit_length() - 1] else 1), size


class _Search:
    def __init__(self, adjacency: Adjacency) -> None:
        self.adjacency = adjacency
        self.is_complete = True
        self._known: dict[int, _Way | None] = {}

    def best(self, pieces: int) -> _Way | None:
        """Return the best way to sew some pieces that are joined to each other, if there is one."""
        if pieces not in self._known:
            self._known[pieces] = self._find(pieces)
        return self._known[pieces]

    def _find(self, pieces: int) -> _Way | None:
        order = sewing_order(self.adjacency, pieces)
        if order is not None:
            return _Way(_Cost(1, 0), tuple(order))
        divisions = list(self._divisions(pieces))
        if divisions and len(self._known) > _MAX_PARTS:
            self.is_complete = False
            # The most even division, because its parts become small soonest.
            divisions = [min(divisions, key=lambda each: abs(_balance(each)))]
        best: _Way | None = None
        for one, two, kind in divisions:
            first, second = self.best(one), self.best(two)
            if first is None or second is None:
                continue
            cost = _Cost(
                first.cost.sections + second.cost.sections,
                first.cost.curved + second.cost.curved + (kind == "curved"),
            )
            if best is None or cost < best.cost:
                best = _Way(cost, (), (one, two), kind)
            if best.cost <= _Cost(2, 0):
                break
        return best

    def _divisions(self, pieces: int) -> Iterator[tuple[int, int, SeamKind]]:
        """Yield ways to part pieces along one line or circle."""
        adjacency = self.adjacency
        for carrier, straight in enumerate(adjacency.is_straight):
            others = ~(1 << carrier)
            rest = pieces
            parts = []
            while rest:
                part = adjacency.reached(rest, others)
                parts.append(part)
                rest &= ~part
            if len(parts) < 2:  # noqa: PLR2004 - two sides
                continue
            for part in parts[:1] if len(parts) == 2 else parts:  # noqa: PLR2004 - two sides
                other = pieces & ~part
                if adjacency.reached(other) == other:
                    yield part, other, "straight" if straight else "curved"

    def collect(self, pieces: int, sections: list[Section], joins: list[Join]) -> tuple[int, ...]:
        """Add the sections and joins of some pieces; return the numbers of the sections."""
        way = self.best(pieces)
        assert way is not None  # noqa: S101 - parts of a way have one
        if way.order:
            sections.append(Section(way.order))
            return (len(sections) - 1,)
        # The larger part first: the other one is sewn to it.
        one, two = sorted(way.parts, key=lambda part: -part.bit_count())
        first = self.collect(one, sections, joins)
        second = self.collect(two, sections, joins)
        joins.append(Join(first, second, way.kind))
        return (*first, *second)


def _balance(division: tuple[int, int, SeamKind]) -> int:
    return division[0].bit_count() - division[1].bit_count()
