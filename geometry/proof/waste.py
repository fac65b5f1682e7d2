"""Proves that cuts in the waste stay out of the pieces.

These are the way of a beam into an outline, and the stroke that brings a drag blade into line. Both
are measured line by line in the frames of the pieces that they come near, so that lines that lie
alike beside pieces of one kind are measured once.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from geometry import polygons
from geometry.model.placement import Placement
from geometry.model.plan import Stroke
from geometry.proof.curves import Places, flat, turn_of
from geometry.proof.cut_edges import Trail
from geometry.proof.piece_cuts import ACCURACY, PieceEdges

Placed = tuple[Placement, PieceEdges]
#: The grid on which lines count as alike, mm.
_ALIKE = 1.0e-5
#: Vertices of the shortest path with a lead: its start, and a ring of two arcs.
_LEAD_AND_RING = 4


def waste_faults(
    placed: Sequence[Placed], strokes: Sequence[Stroke], lined_up: Sequence[Trail], half: float
) -> Iterator[str]:
    """Yield where cuts in the waste come into a piece.

    Args:
        placed: the pieces.
        strokes: of the load; what leads into a closed cut is looked at.
        lined_up: the strokes that bring a drag blade into line.
        half: how far the tool cuts to either side, mm.
    """
    # A beam's lead ends half a slot from its own piece, or on it where there is no room.
    within = max(half - ACCURACY, 0.0)
    ways: list[Sequence[complex]] = [flat(each.rows) for each in lined_up]
    ways += [lead for each in strokes if each.placement is not None and (lead := _lead(each))]
    yield from _faults(placed, ways, within, half)
    # A line that pieces have in common may begin like a lead. It lies on their edges.
    shared = [lead for each in strokes if each.placement is None and (lead := _lead(each))]
    yield from _faults(placed, shared, -half - ACCURACY, half)


def _faults(
    placed: Sequence[Placed], ways: Sequence[Sequence[complex]], within: float, half: float
) -> Iterator[str]:
    """Yield how far ways come nearer to pieces than ``within``, or deeper where it is negative."""
    if not ways or not placed:
        return
    lines = np.array([line for way in ways for line in itertools.pairwise(way)])
    way_of = np.repeat(np.arange(len(ways)), [len(way) - 1 for way in ways])
    line, piece = _near(placed, lines, max(within, 0.0))
    length = _lengths_inside(placed, lines[line], piece, within)
    pair, at = np.unique(way_of[line] * len(placed) + piece, return_inverse=True)
    for into in np.bincount(at, weights=length, minlength=len(pair)).tolist():
        if into > max(half, ACCURACY):
            yield f"a cut in the waste comes {into:.3f} mm into a piece"


def _lead(stroke: Stroke) -> tuple[complex, complex] | None:
    """Return the straight way into a cut that ends where its outline starts."""
    rows = stroke.vertices
    if stroke.closed or stroke.operation != "cut" or len(rows) < _LEAD_AND_RING:
        return None
    start, first, last = rows[0], rows[1], rows[-1]
    if start.bulge or first[:2] != last[:2] or first[:2] == start[:2]:
        return None
    return complex(start.x, start.y), complex(first.x, first.y)


def _near(
    placed: Sequence[Placed], lines: NDArray[np.complex128], within: float
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return the numbers of lines, and of the pieces that each may come near."""
    circles = [edges.around for _, edges in placed]
    middle = np.array([at for at, _ in circles]) * _turns(placed) + _origins(placed)
    reach = np.array([radius for _, radius in circles]) + within
    boxes = polygons.box(
        middle.real - reach, middle.imag - reach, middle.real + reach, middle.imag + reach
    )
    line, piece = polygons.STRtree(boxes).query(_as_lines(lines))
    return line, piece


def _lengths_inside(
    placed: Sequence[Placed],
    lines: NDArray[np.complex128],
    piece: NDArray[np.intp],
    within: float,
) -> NDArray[np.float64]:
    """Return how much of each line lies inside its piece, or nearer to it than ``within``, mm."""
    own = (lines - _origins(placed)[piece, None]) / _turns(placed)[piece, None]
    grid = np.round(own.view(float) / _ALIKE).astype(np.int64)
    kinds: dict[PieceEdges, list[int]] = {}
    for number, at in enumerate(piece.tolist()):
        kinds.setdefault(placed[at][1], []).append(number)
    found = np.zeros(len(lines))
    for edges, numbers in kinds.items():
        alike: dict[bytes, list[int]] = {}
        for number in numbers:
            alike.setdefault(grid[number].tobytes(), []).append(number)
        first = [each[0] for each in alike.values()]
        ways = _as_lines(own[first])
        near = np.flatnonzero(polygons.dwithin(edges.piece, ways, max(within, 0.0)))
        if not len(near):
            continue
        lengths = np.zeros(len(first))
        area = edges.piece.buffer(within)
        lengths[near] = polygons.length(polygons.intersection(area, ways[near]))
        for members, length in zip(alike.values(), lengths.tolist(), strict=True):
            found[members] = length
    return found


def _turns(placed: Sequence[Placed]) -> Places:
    return np.array([turn_of(place) for place, _ in placed])


def _origins(placed: Sequence[Placed]) -> Places:
    return np.array([complex(place.move.x, place.move.y) for place, _ in placed])


def _as_lines(ends: NDArray[np.complex128]) -> NDArray[np.object_]:
    """Return lines between two ends each."""
    return np.asarray(polygons.linestrings(np.stack([ends.real, ends.imag], axis=-1)))
