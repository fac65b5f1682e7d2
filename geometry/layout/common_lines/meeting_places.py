"""Places at which a piece, or a block of pieces, meets edges of others with edges of its own."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from geometry import polygons
from geometry.layout.common_lines.moved_blocks import JoinedPieces
from geometry.layout.common_lines.straight_edges import StraightEdges, lengths_when_moved
from geometry.layout.fitting.inner_fit import HAIR
from geometry.layout.rows.row_figures import Values
from geometry.model.placement import Placement
from geometry.model.segments import Bounds
from geometry.model.transform import cos_sin_deg

#: Decimals of turns, degrees, and places, mm, that count as the same.
_DECIMALS = 5
#: Places that are measured against other pieces at a time.
_AT_ONCE = 12
#: Makes one number of a turn and a place.
_MIXED = np.array([2_654_435_761, 40_503_000_017, 1_000_003_000_019], dtype=np.int64)


def best_places(
    block: JoinedPieces,
    beside: StraightEdges,
    tree: polygons.STRtree,
    inside: Bounds,
    without: Sequence[int] = (),
    more_than: float = 0.0,
) -> Iterator[tuple[float, tuple[Placement, ...]]]:
    """Yield where most of a block's edges meets others, with how much, mm; the best place first.

    A corner of the block then lies on a corner of an open edge. Of places that are as good the one
    that ends first along the longer side of the rectangle comes first.

    Args:
        block: what is moved.
        beside: open stretches of the edges of others.
        tree: polygons of all pieces.
        inside: where it has to stay.
        without: numbers of pieces in the tree that are the block's own.
        more_than: how much has to meet, mm.
    """
    if not len(beside.length):
        return
    places = _corner_to_corner(block, beside, inside)
    length = lengths_when_moved(block.edges, beside, places[:, :3])
    ends = places[:, 3], places[:, 4]
    far, across = ends if inside.width > inside.height else ends[::-1]
    order = np.lexsort((np.round(across, 4), np.round(far, 4), -np.round(length, 3)))
    order = order[length[order] > more_than]
    for start in range(0, len(order), _AT_ONCE):
        some = order[start : start + _AT_ONCE]
        for at in some[_clear(block, places[some], tree, without)].tolist():
            yield float(length[at]), block.moved(*places[at, :3].tolist())


def _corner_to_corner(block: JoinedPieces, beside: StraightEdges, inside: Bounds) -> Values:
    """Return turns and moves that lay an edge on another so that an end of both is the same.

    Only those at which the block stays inside a rectangle, each with where it ends on the right
    and above.
    """
    edges = block.edges
    if block.only is not None:
        # A circle has none; an empty list alone would be one of floats.
        edges = edges.chosen(np.array(block.only, dtype=np.int64))
    turns = np.ravel(_heading(beside)[None, :] + 180.0 - _heading(edges)[:, None]) % 360.0
    _, first, number = np.unique(
        np.round(turns, _DECIMALS) % 360.0, return_index=True, return_inverse=True
    )
    table = block.turned(turns[first])
    turn, cos, sin, left, bottom, right, top = table[number].T
    found = []
    for mine, other in ((edges.start, beside.end), (edges.end, beside.start)):
        x, y = (np.repeat(each, len(beside.length)) for each in mine.T)
        dx = np.tile(other[:, 0], len(mine)) - (x * cos - y * sin)
        dy = np.tile(other[:, 1], len(mine)) - (x * sin + y * cos)
        kept = (
            (dx + left > inside.left - HAIR)
            & (dx + right < inside.right + HAIR)
            & (dy + bottom > inside.bottom - HAIR)
            & (dy + top < inside.top + HAIR)
        )
        ends = dx[kept] + right[kept], dy[kept] + top[kept]
        found.append(np.stack([turn[kept], dx[kept], dy[kept], *ends], axis=1))
    rows = np.concatenate(found)
    # Places that are the same have the same number; so may, once in an age, two that are not.
    key = np.round(rows[:, :3] * 10.0**_DECIMALS).astype(np.int64) @ _MIXED
    _, first = np.unique(key, return_index=True)
    different: Values = rows[np.sort(first)]
    return different


def _heading(edges: StraightEdges) -> Values:
    found: Values = np.degrees(np.arctan2(edges.along[:, 1], edges.along[:, 0]))
    return found


def _clear(
    block: JoinedPieces, places: Values, tree: polygons.STRtree, without: Sequence[int]
) -> NDArray[np.bool_]:
    """Return at which places a block overlaps no other piece."""
    clear = np.ones(len(places), dtype=bool)
    own = np.array(without, dtype=np.int64)
    cos, sin = np.array([cos_sin_deg(turn) for turn in places[:, 0].tolist()]).T[..., None]
    for ring in block.shrunk:
        x = ring[:, 0] * cos - ring[:, 1] * sin + places[:, 1, None]
        y = ring[:, 0] * sin + ring[:, 1] * cos + places[:, 2, None]
        left = np.flatnonzero(clear)
        shapes = polygons.polygons(np.stack([x, y], axis=2)[left])
        number, other = tree.query(shapes, predicate="intersects")
        if len(own):
            number = number[~np.isin(other, own)]
        clear[left[number]] = False
    return clear
