"""Sections of a block: what is sewn on one foundation each, and how sections are joined.

Two sections can be joined by a straight seam if all that they share lies on one line, and by a
curved one if it lies on one circle. Any other seam is set in. The search divides the block along
every line and circle, and each part again; it remembers the best way for every part that it met.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal, NamedTuple, TypeAlias

from geometry.blocks.carriers import Adjacency
from geometry.blocks.foundation import sewing_order

SeamKind: TypeAlias = Literal["straight", "curved", "set-in"]
#: Parts of a block that are examined in full; beyond, each part is divided in one way only.
_MAX_PARTS = 4_000
#: Up to this many pieces, every way of setting in is tried.
_MAX_SET_IN = 8


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
    """What is to be least: seams that are set in, then sections, then curved seams."""

    set_in: int
    sections: int
    curved: int


class _Way(NamedTuple):
    """The best way for a part: whole on a foundation, or two parts and the seam between them."""

    cost: _Cost
    order: tuple[int, ...] = ()
    parts: tuple[int, int] = (0, 0)
    kind: SeamKind = "straight"


def find_sections(adjacency: Adjacency) -> Sewing:
    """Return the fewest sections of a block and the order of joining them."""
    search = _Search(adjacency)
    way = search.best(adjacency.all_pieces)
    sections: list[Section] = []
    joins: list[Join] = []
    search.collect(adjacency.all_pieces, sections, joins)
    bound = 1 if way.order else 2
    # With seams set in, other divisions could do with fewer.
    is_proved = search.is_complete and way.cost.set_in == 0
    is_fewest = is_proved or way.cost.sections == bound
    return Sewing(
        tuple(sections), tuple(joins), is_fewest, way.cost.sections if is_fewest else bound
    )


class _Search:
    def __init__(self, adjacency: Adjacency) -> None:
        self.adjacency = adjacency
        self.is_complete = True
        self._known: dict[int, _Way] = {}

    def best(self, pieces: int) -> _Way:
        """Return the best way to sew some pieces that are joined to each other."""
        found = self._known.get(pieces)
        if found is None:
            found = self._known[pieces] = self._find(pieces)
        return found

    def _find(self, pieces: int) -> _Way:
        order = sewing_order(self.adjacency, pieces)
        if order is not None:
            return _Way(_Cost(0, 1, 0), tuple(order))
        divisions = list(self._divisions(pieces))
        if not divisions:
            divisions = list(self._set_in(pieces))
        if len(self._known) > _MAX_PARTS:
            self.is_complete = False
            # The most even one: its parts are small soonest.
            divisions = [min(divisions, key=lambda each: abs(_balance(each)))]
        best: _Way | None = None
        for one, two, kind in divisions:
            first, second = self.best(one).cost, self.best(two).cost
            cost = _Cost(
                first.set_in + second.set_in + (kind == "set-in"),
                first.sections + second.sections,
                first.curved + second.curved + (kind == "curved"),
            )
            if best is None or cost < best.cost:
                best = _Way(cost, (), (one, two), kind)
            if best.cost <= _Cost(0, 2, 0):
                break
        assert best is not None  # noqa: S101 - several pieces can always be parted
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

    def _set_in(self, pieces: int) -> Iterator[tuple[int, int, SeamKind]]:
        """Yield ways to part pieces by a seam with corners: all of few pieces, else one piece."""
        adjacency = self.adjacency
        bits = [1 << at for at in range(adjacency.count) if pieces >> at & 1]
        if len(bits) <= _MAX_SET_IN:
            first, *others = bits
            for number in range(1 << len(others)):
                part = first | sum(bit for at, bit in enumerate(others) if number >> at & 1)
                other = pieces & ~part
                if other and adjacency.reached(part) == part and adjacency.reached(other) == other:
                    yield part, other, "set-in"
            return
        self.is_complete = False
        for bit in bits:
            other = pieces & ~bit
            if adjacency.reached(other) == other:
                yield bit, other, "set-in"

    def collect(self, pieces: int, sections: list[Section], joins: list[Join]) -> tuple[int, ...]:
        """Add the sections and joins of some pieces; return the numbers of the sections."""
        way = self.best(pieces)
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
