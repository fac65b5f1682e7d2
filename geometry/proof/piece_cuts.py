"""Proves the cuts of one piece: nothing of it is cut into, and nothing of its edge is left uncut.

Both are measured in the piece's own frame, so that pieces that are cut alike are measured once.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from geometry import polygons
from geometry.model.outline import LABEL, Outline, Region
from geometry.proof.bridges import uncut
from geometry.proof.curves import (
    Corner,
    PathSet,
    Places,
    backwards,
    corners,
    flat,
    looks,
    mirrored,
    pairs,
    samples,
)
from geometry.proof.cut_edges import Stretch, Trail

#: What a cut may be off its line, mm: chords of both, and the steps of the simulation.
ACCURACY = 4.0e-3
#: How much less than its edge may be cut, mm.
_SHORTER = 0.02
#: An uncut stretch is a tie from this length, mm; chords of arcs leave shorter ones.
_TIE = 0.1
#: How much longer than stated a tie may come out, mm.
_WIDER = 0.06
#: A tie has room on an edge of this many times its length.
_ROOM = 4.0
#: Mitres are never cut off when a piece is grown to test its hollows.
_NO_LIMIT = 1.0e4


@dataclass(frozen=True)
class TiesLeft:
    """The ties that a run leaves: how many per outline, and their width, mm; 0 for none.

    ``slot`` is what is left out of a line for each, and ``wider`` what slanted stabs add, mm.
    """

    count: int = 0
    width: float = 0.0
    slot: float = 0.0
    wider: float = 0.0


class PieceEdges:
    """A piece's edges and marks as they should come out, in its own frame."""

    def __init__(self, region: Region, half: float, *, is_mirrored: bool) -> None:
        """Read a region; ``half`` is how far the tool cuts to either side, mm."""
        self.half = half
        self._measured: dict[Stretch, tuple[float, float]] = {}
        self._away: dict[tuple[Stretch, bool], NDArray[np.float64]] = {}
        self._looks: dict[tuple[int | None, int | None, float], Places] = {}
        rings = [region.outline, *region.holes]
        rows = [corners(ring.vertices, closed=True) for ring in rings]
        if is_mirrored:
            # Reflected rings run the other way.
            rows = [backwards(mirrored(each)) for each in rows]
        self.rings = rows
        self.flat_rings = [np.array(flat(each)) for each in rows]
        self.shells = [pairs(each) for each in self.flat_rings]
        self.marks: dict[str, list[list[Corner]]] = {"score": [], "mark": []}
        marks = [
            (mark, corners(mark.path.vertices, closed=isinstance(mark.path, Outline)))
            for mark in region.marks
        ]
        across = self._label_turned([each for mark, each in marks if mark.role == LABEL])
        for mark, each in marks:
            kind = "score" if mark.operation == "score" else "mark"
            # A label is reflected twice, so that it reads right.
            own = mirrored(each, across) if is_mirrored and mark.role == LABEL else each
            self.marks[kind].append(mirrored(own) if is_mirrored else own)

    @staticmethod
    def _label_turned(labels: Sequence[Sequence[Corner]]) -> float:
        """Return twice the middle of a label."""
        points = [place.real for each in labels for place in flat(each)]
        return min(points) + max(points) if points else 0.0

    @cached_property
    def piece(self) -> polygons.Polygon:
        """The piece as an area."""
        piece = polygons.Polygon(self.shells[0], self.shells[1:])
        polygons.prepare(piece)
        return piece

    @cached_property
    def edge(self) -> PathSet:
        """All edges."""
        return PathSet(self.rings)

    def looked_at(self, which: slice, half: float) -> Places:
        """Return the points at which some rings are looked at, cut so far outside the piece, mm."""
        key = (which.start, which.stop, half)
        if key not in self._looks:
            outline, *holes = self.rings
            # Holes run counter-clockwise too: their piece is on the right.
            ways = [outline, *(backwards(hole) for hole in holes)][which]
            self._looks[key] = np.array([place for way in ways for place in looks(way, half)])
        return self._looks[key]

    def measure(self, stretches: Iterable[Stretch]) -> None:
        """Measure cuts that were not measured before, all at once."""
        new = [each for each in dict.fromkeys(stretches) if each not in self._measured]
        if not new:
            return
        rows = [samples(each.on_edges) for each in new]
        points = np.concatenate(rows)
        away = self.edge.distances(points)
        deep = away
        if self.half:
            inside = polygons.contains_xy(self.piece, points.real, points.imag)
            deep = np.where(inside, away, -away)
        begins = np.cumsum([0, *map(len, rows[:-1])])
        most = np.maximum.reduceat(away, begins).tolist()
        deepest = np.maximum.reduceat(deep, begins).tolist()
        self._measured.update(zip(new, zip(most, deepest, strict=True), strict=True))

    def measured(self, stretches: Sequence[Stretch]) -> tuple[float, float]:
        """Return how far cuts are off the edges at most, and how deep inside them, mm.

        The depth is below 0 for cuts that are outside everywhere.
        """
        self.measure(stretches)
        rows = [self._measured[each] for each in stretches]
        return max(most for most, _ in rows), max(deep for _, deep in rows)

    def missed(self, stretches: Sequence[Stretch], within: float, *, on_line: bool) -> float:
        """Return the largest distance from an edge to what is cut, mm; 0 if all is near.

        Args:
            stretches: of what is cut.
            within: what is near, mm.
            on_line: whether edges are cut on their line.
        """
        seen = self.looked_at(slice(None), 0.0 if on_line else self.half)
        left = np.full(len(seen), np.inf)
        # The longest ones first: usually they leave little for the others.
        for each in sorted(stretches, key=lambda each: -len(each.on_edges)):
            far = np.flatnonzero(left > within)
            if not len(far):
                return 0.0
            if len(far) < len(seen):
                left[far] = np.minimum(left[far], each.lines.distances(seen[far]))
                continue
            if (each, on_line) not in self._away:
                self._away[each, on_line] = each.lines.distances(seen)
            left = self._away[each, on_line].copy()
        most = float(left.max())
        return most if most > within else 0.0

    @cached_property
    def around(self) -> tuple[complex, float]:
        """The middle of a circle that holds the piece, and its radius, mm."""
        ring = self.flat_rings[0]
        middle = complex(ring.real.min() + ring.real.max(), ring.imag.min() + ring.imag.max()) / 2.0
        return middle, float(np.abs(ring - middle).max())

    @cached_property
    def longest(self) -> float:
        """The longest straight edge of the outline, mm."""
        rows = self.rings[0]
        return max(
            (abs(b - a) for (a, bulge), (b, _) in itertools.pairwise(rows) if not bulge),
            default=0.0,
        )

    @cached_property
    def too_narrow(self) -> bool:
        """Return whether a beam fits into some hollow or hole so badly that it follows the line."""
        outline = polygons.Polygon(self.shells[0])
        grown = outline.buffer(self.half, join_style="mitre", mitre_limit=_NO_LIMIT)
        back = grown.buffer(-self.half, join_style="mitre", mitre_limit=_NO_LIMIT)
        holes = [
            polygons.Polygon(shell).buffer(-self.half, join_style="mitre", mitre_limit=_NO_LIMIT)
            for shell in self.shells[1:]
        ]
        return (
            back.symmetric_difference(outline).area > ACCURACY * outline.length / 4.0
            or polygons.hausdorff_distance(back.exterior, outline.exterior) > self.half / 2.0
            or any(each.is_empty or each.geom_type != "Polygon" for each in holes)
        )


def piece_faults(edges: PieceEdges, cuts: Sequence[Trail], ties: TiesLeft) -> Iterator[str]:
    """Yield what is wrong with the cuts of a piece, in words.

    Args:
        edges: the piece.
        cuts: all that is cut of it.
        ties: the ties that hold it.
    """
    if not cuts:
        yield "is not cut"
        return
    half = edges.half
    stretches = [stretch for each in cuts for stretch in each.stretches]
    away, inside = edges.measured(stretches)
    if half and away <= ACCURACY and edges.too_narrow:
        half = 0.0
    deep = half + inside if half else away
    if deep > ACCURACY:
        yield f"is cut {deep:.3f} mm off its edge"
    yield from _stabs(edges, cuts)
    if ties.count:
        yield from _held(edges, cuts, half, ties)
        return
    left = edges.missed(stretches, half + ACCURACY, on_line=not half) - half
    shorter = edges.edge.length - sum(each.length for each in stretches)
    if left > ACCURACY:
        yield f"has an edge that the cut misses by {left:.3f} mm"
    elif not half and shorter > _SHORTER:
        yield f"is cut on {shorter:.3f} mm less than its edge"


def _stabs(edges: PieceEdges, cuts: Sequence[Trail]) -> Iterator[str]:
    """Yield what stabs of a hand-set blade cut into, beyond the roughness of their edge."""
    ends = np.array([end for each in cuts for end in each.stabs], dtype=complex)
    if not len(ends):
        return
    inside = polygons.contains_xy(edges.piece, ends.real, ends.imag)
    rough = np.array([rough for each in cuts for rough in each.rough])
    if inside.any():
        depth = float((edges.edge.distances(ends[inside]) - rough[inside]).max())
        if depth > _WIDER:
            yield f"is stabbed {depth:.3f} mm into"


def _held(edges: PieceEdges, cuts: Sequence[Trail], half: float, ties: TiesLeft) -> Iterator[str]:
    """Yield what is wrong with the uncut stretches of a piece."""
    outline, *holes = edges.flat_rings
    if any(bridges_of(hole, cuts, half, side=-1.0) for hole in holes):
        yield "has a hole that is not cut all round"
    found = bridges_of(outline, cuts, half)
    if len(found) > ties.count or any(length > most_bridge(edges, ties) for length in found):
        yield f"is left uncut on {sum(found):.2f} mm in {len(found)} stretches"
    elif not found and edges.longest > _ROOM * (ties.width + ties.slot) + _WIDER:
        yield "has no tie"


def bridges_of(
    ring: Places, cuts: Iterable[Trail], half: float, *, side: float = 1.0
) -> list[float]:
    """Return the lengths of the uncut stretches of a ring, mm, without those in hollow corners.

    ``side`` is 1 for a piece on the left of its ring, and -1 for one on the right, as of a hole.
    """
    found = uncut(ring, cuts, half + ACCURACY, radius=half, side=side)
    return [length for length in found if length > _TIE]


def most_bridge(edges: PieceEdges, ties: TiesLeft) -> float:
    """Return how long a stretch may be that no line runs along, mm."""
    # A beam cuts half its width past both ends of a line.
    return ties.width + 2.0 * edges.half + ties.wider + _WIDER


def mark_faults(edges: PieceEdges, kind: str, drawn: Sequence[Trail]) -> Iterator[str]:
    """Yield what is wrong with the creases (``score``) or drawn lines (``mark``) of a piece."""
    wanted = edges.marks[kind]
    if not wanted and not drawn:
        return
    if not wanted or not drawn:
        yield f"has {len(drawn)} lines to {kind} instead of {len(wanted)}"
        return
    lines, aim = PathSet([path for each in drawn for path in each.paths]), PathSet(wanted)
    off = float(aim.distances(np.concatenate([each.points for each in drawn])).max())
    seen = np.concatenate([samples(each) for each in wanted])
    # The last stab of a set blade may end beside its line, and short of a hollow corner.
    short = max((beside + each.shorter for each in drawn for _, beside in each.ends), default=0.0)
    off = max(off, float(lines.distances(seen).max()) - short)
    if off > ACCURACY:
        yield f"has a line to {kind} that is {off:.3f} mm off"
        return
    missing = aim.length - lines.length
    if missing > aim.length * 0.001 + ACCURACY + sum(each.shorter for each in drawn):
        yield f"has {missing:.2f} mm to {kind} that are missing"
