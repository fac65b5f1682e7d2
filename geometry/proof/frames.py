"""Strokes in the frames of their pieces, so that pieces that are cut alike are found."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from geometry.model.placement import Placement
from geometry.model.plan import Stroke
from geometry.model.transform import Rigid
from geometry.proof.curves import Corner

#: Vertices of a path on a grid.
Grid = tuple[tuple[int, ...], ...]
#: The grid on which paths count as alike, mm.
_ALIKE = 1.0e-5


def vertices_of(strokes: Sequence[Stroke]) -> NDArray[np.float64]:
    """Return the vertices of all strokes, one after another."""
    flat = itertools.chain.from_iterable
    numbers = np.fromiter(flat(flat(each.vertices for each in strokes)), dtype=float)
    return numbers.reshape(-1, 3)


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


def in_frames(
    strokes: Sequence[Stroke], rows: NDArray[Any], placements: Sequence[Placement]
) -> Iterator[tuple[Stroke, Grid, NDArray[Any]]]:
    """Yield strokes with their vertices in the frame of their piece, on a grid and exactly."""
    if not strokes:
        return
    counts = [len(each.vertices) for each in strokes]
    moves = [
        Rigid() if each.placement is None else placements[each.placement].move for each in strokes
    ]
    frames = np.repeat([(move.x, move.y, move.turn_deg) for move in moves], counts, axis=0)
    back = np.exp(-1j * np.radians(frames[:, 2]))
    places = (rows[:, 0] - frames[:, 0] + 1j * (rows[:, 1] - frames[:, 1])) * back
    columns = np.column_stack([places.real, places.imag, rows[:, 2]])
    grid = tuple(map(tuple, np.round(columns / _ALIKE).astype(np.int64).tolist()))
    at = 0
    for stroke, count in zip(strokes, counts, strict=True):
        yield stroke, grid[at : at + count], places[at : at + count]
        at += count
