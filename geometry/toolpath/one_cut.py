"""Common-line cutting: the network of touching outlines, its ties, and the fewest strokes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from geometry.model.plan import Stroke
from geometry.model.segments import Segment
from geometry.sentences import said
from geometry.toolpath.shared_edges import SharedEdge, shared_edges
from geometry.toolpath.ties import Ties, cut_around, tie_counts
from geometry.toolpath.trails import trails, vertices_of


def cut_once(
    strokes: Sequence[Stroke], ties: Ties | None, slot: float
) -> tuple[list[Stroke], tuple[str, ...]]:
    """Return the fewest strokes that cut every edge of the outlines once, and warnings.

    Shape:
        A stroke has a piece and placement only if it cuts no other piece's edge. Without ties there
        are sum over connected parts of max(1, odd corners / 2).

    Args:
        strokes: closed outlines.
        ties: ties by outline; those of a common edge hold both.
        slot: total length cut beyond a stroke's two ends, mm.
    """
    edges = shared_edges(strokes)
    warnings = []
    least = len(trails(edges)) if ties else 0
    if ties:
        edges = _tied(edges, len(strokes), ties, slot)
    found = [_stroke(strokes, edges, row) for row in trails(edges)]
    if ties and len(found) > least:
        warnings.append(
            said(
                "The ties part the common lines: {count} strokes instead of {least} without.",
                count=len(found),
                least=least,
            )
        )
    return found, tuple(warnings)


def _stroke(
    strokes: Sequence[Stroke], edges: Sequence[SharedEdge], row: Sequence[tuple[int, Segment]]
) -> Stroke:
    owners = {owner for number, _ in row for owner in edges[number].owners}
    vertices, closed = vertices_of([part for _, part in row])
    first = strokes[min(owners)]
    if len(owners) > 1:
        first = replace(first, piece="", placement=None)
    return replace(first, vertices=vertices, closed=closed)


def _tied(edges: Sequence[SharedEdge], outlines: int, ties: Ties, slot: float) -> list[SharedEdge]:
    """Return the edges without their ties."""
    gap = ties.width + slot
    placed = tie_counts(edges, outlines, ties.count, gap)
    corner = 1 + max(end for edge in edges for end in edge.ends)
    found: list[SharedEdge] = []
    for number, edge in enumerate(edges):
        pieces = cut_around(edge.part, placed.get(number, 0), gap)
        inner = [corner + index for index in range(2 * (len(pieces) - 1))]
        corner += len(inner)
        stops = [edge.ends[0], *inner, edge.ends[1]]
        found.extend(
            SharedEdge(piece, (stops[2 * index], stops[2 * index + 1]), edge.owners)
            for index, piece in enumerate(pieces)
        )
    return found
