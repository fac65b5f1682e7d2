"""Ties: short uncut bridges that hold a piece until the operator snips them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from geometry.errors import GeometryError
from geometry.model.outline import Vertex
from geometry.model.plan import Stroke
from geometry.model.plausible import TIE_WIDTH, require_plausible
from geometry.model.points import Point, distance
from geometry.model.segments import Segment
from geometry.toolpath.shared_edges import SharedEdge

#: Maximum ties per outline.
_MOST = 48


@dataclass(frozen=True)
class Ties:
    """``count`` ties per outline, each ``width`` mm; a count of 0 for none.

    Raises:
        GeometryError: when the count or width is out of range.
    """

    count: int = 2
    width: float = 0.5

    def __post_init__(self) -> None:
        """Validate the values."""
        if not 0 <= self.count <= _MOST:
            raise GeometryError(f"An outline has 0 to {_MOST} ties.", where=("count",))
        require_plausible(width=(self.width, TIE_WIDTH))


def tie_places(
    parts: Sequence[Segment], count: int, gap: float, placed: Mapping[int, int]
) -> dict[int, int]:
    """Return the number of ties on each edge.

    Shape:
        Edge numbers and numbers of ties, evenly spaced along their edge, and therefore at least one
        and a half gaps away from corners. Long edges first, far from each other.

    Args:
        parts: the edges of one outline.
        count: number of ties.
        gap: uncut length of each, mm.
        placed: existing ties of edges, which count.
    """
    ties = {index: number for index, number in placed.items() if number}
    while sum(ties.values()) < count:
        places = [parts[index].point_at(0.5) for index in ties]
        scored = [
            (round(part.length / (ties.get(index, 0) + 1), 3), _apart(part, places), -index)
            for index, part in enumerate(parts)
            if part.length / (ties.get(index, 0) + 2) >= 2.0 * gap
            and (index not in placed or placed[index] == 0)
        ]
        if not scored:
            break
        index = -max(scored)[2]
        ties[index] = ties.get(index, 0) + 1
    return {index: number for index, number in ties.items() if not placed.get(index)}


def tie_counts(
    edges: Sequence[SharedEdge], outlines: int, count: int, gap: float
) -> dict[int, int]:
    """Return the number of ties on each edge of outlines; those of a common edge hold both.

    Args:
        edges: of all outlines, common ones once.
        outlines: number of outlines.
        count: ties per outline.
        gap: length of each tie, mm.
    """
    placed: dict[int, int] = {}
    own: list[list[int]] = [[] for _ in range(outlines)]
    for number, edge in enumerate(edges):
        for owner in edge.owners:
            own[owner].append(number)
    for numbers in own:
        parts = [edges[number].part for number in numbers]
        known = {index: placed[n] for index, n in enumerate(numbers) if n in placed}
        for index, many in tie_places(parts, count, gap, known).items():
            placed[numbers[index]] = many
    return placed


def _apart(part: Segment, places: Sequence[Point]) -> float:
    middle = part.point_at(0.5)
    return round(min((distance(middle, place) for place in places), default=0.0), 3)


def cut_around(part: Segment, ties: int, gap: float) -> list[Segment]:
    """Return the cut parts of an edge with evenly spaced ties."""
    share = gap / part.length / 2.0
    middles = [(index + 1) / (ties + 1) for index in range(ties)]
    begins = [0.0, *(middle + share for middle in middles)]
    ends = [*(middle - share for middle in middles), 1.0]
    return [part.between(begin, end) for begin, end in zip(begins, ends, strict=True)]


def with_ties(stroke: Stroke, ties: Ties, slot: float) -> list[Stroke]:
    """Return a closed outline's stroke split by ties, or itself if no edge has room.

    Args:
        stroke: closed.
        ties: number and width of ties.
        slot: total length cut beyond a stroke's two ends, mm.
    """
    gap = ties.width + slot
    parts = list(stroke.segments)
    places = tie_places(parts, ties.count, gap, {})
    if not places:
        return [stroke]
    runs: list[list[Segment]] = [[]]
    for index, part in enumerate(parts):
        first, *others = cut_around(part, places.get(index, 0), gap)
        runs[-1].append(first)
        runs.extend([other] for other in others)
    # The last part continues over the outline's start.
    runs[0] = runs.pop() + runs[0]
    return [replace(stroke, vertices=_open(run), closed=False) for run in runs]


def _open(run: Sequence[Segment]) -> tuple[Vertex, ...]:
    return (*(Vertex(*part.start, part.bulge) for part in run), Vertex(*run[-1].end))
