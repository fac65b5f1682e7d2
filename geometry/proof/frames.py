"""Strokes in the frames of their pieces, so that pieces that are cut alike are found."""

from __future__ import annotations

import itertools
import operator
from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from geometry.model.placement import Placement
from geometry.model.plan import Stroke
from geometry.proof.curves import Corner

#: Vertices of a path on a grid.
Grid = tuple[tuple[int, ...], ...]
#: The grid on which paths count as alike, mm.
_ALIKE = 1.0e-5
#: Bytes of a vertex on the grid.
ROW_BYTES = 3 * np.dtype(np.int64).itemsize
_VERTICES = operator.attrgetter("vertices")


def vertices_of(strokes: Sequence[Stroke]) -> NDArray[np.float64]:
    """Return the vertices of all strokes, one after another."""
    flat = itertools.chain.from_iterable
    vertices = list(flat(map(_VERTICES, strokes)))
    return np.fromiter(flat(vertices), float, 3 * len(vertices)).reshape(-1, 3)


def counts_of(strokes: Sequence[Stroke]) -> NDArray[np.intp]:
    """Return how many vertices each stroke has."""
    return np.fromiter(map(len, map(_VERTICES, strokes)), np.intp, len(strokes))


def corners_in_frame(stroke: Stroke, places: NDArray[np.complex128]) -> list[Corner]:
    """Return a stroke's corners at these places; the first once more at the end of a closed one."""
    bulges = [vertex.bulge for vertex in stroke.vertices]
    rows = list(zip(places.tolist(), bulges, strict=True))
    return [*rows, rows[0]] if stroke.closed else rows


def from_anywhere(grid: Grid, stroke: Stroke, *, may_lead: bool) -> Grid:
    """Return the grid of a path from the start that all equal paths share.

    A ring may start at any vertex, and an open path at either end. The straight way into a ring is
    left out where a stroke may have one: what it meets in the waste is looked at for each piece.
    """
    has_lead = (
        may_lead
        and len(grid) > 3  # noqa: PLR2004 - a lead and a ring
        and grid[1][:2] == grid[-1][:2]
        and not grid[0][2]
    )
    if stroke.closed or has_lead:
        ring = grid if stroke.closed else grid[1:-1]
        at = min(range(len(ring)), key=ring.__getitem__)
        return ring[at:] + ring[:at]
    if grid[0][:2] != grid[-1][:2]:
        # Two different ends decide by themselves.
        return grid if grid[0][:2] < grid[-1][:2] else _turned_round(grid)
    return min(grid, _turned_round(grid))


def _turned_round(grid: Grid) -> Grid:
    """Return an open path from its end; the bulge after its last vertex means nothing."""
    back = grid[::-1]
    bulges = [-before[2] for before in back[1:]]
    return tuple(
        (x, y, bulge) for (x, y, _), bulge in zip(back, [*bulges, back[0][2]], strict=True)
    )


def grid_of(row: bytes) -> Grid:
    """Return the grid of a path from its bytes."""
    numbers = np.frombuffer(row, dtype=np.int64).reshape(-1, 3)
    return tuple(map(tuple, numbers.tolist()))


def in_frames(
    strokes: Sequence[Stroke], rows: NDArray[Any], placements: Sequence[Placement]
) -> Iterator[tuple[Stroke, bytes, float, NDArray[Any]]]:
    """Yield strokes with their vertices in the frame of their piece, on a grid and exactly.

    The grid comes as bytes (see :func:`grid_of`), which are compared faster than numbers. Between
    both stands the turn of the frame, rad.
    """
    if not strokes:
        return
    counts = counts_of(strokes)
    places = np.fromiter(
        (-1 if each.placement is None else each.placement for each in strokes), int, len(strokes)
    )
    # The bed itself is the last frame.
    moves = [(each.move.x, each.move.y, each.move.turn_deg) for each in placements]
    frames = np.array([*moves, (0.0, 0.0, 0.0)])
    turns = np.radians(frames[:, 2])
    owner = np.repeat(places, counts)
    back = np.exp(-1j * turns)
    moved = (rows[:, 0] - frames[owner, 0] + 1j * (rows[:, 1] - frames[owner, 1])) * back[owner]
    columns = np.column_stack([moved.real, moved.imag, rows[:, 2]])
    grid = np.round(columns / _ALIKE).astype(np.int64).tobytes()
    ends = np.cumsum(counts)
    for stroke, first, last, turn in zip(
        strokes, (ends - counts).tolist(), ends.tolist(), turns[places].tolist(), strict=True
    ):
        yield stroke, grid[ROW_BYTES * first : ROW_BYTES * last], turn, moved[first:last]
