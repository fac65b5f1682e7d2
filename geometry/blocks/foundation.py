"""Whether and in which order pieces can be sewn on a paper foundation.

On a foundation every seam is one straight line, and everything sewn before lies on one side of it.

Source:
    M. Leake, G. Bernstein, A. Davis and M. Agrawala, "A Mathematical Foundation for Foundation
    Paper Pieceable Quilts", ACM Transactions on Graphics 40(4), 2021. In the dual hypergraph pieces
    are nodes and seam lines are hyperedges of the pieces that they join; a pattern can be sewn so
    exactly if the hypergraph is acyclic: if nodes in only one hyperedge can be plucked, one after
    the other, until one node is left. The order of sewing is the reverse. Plucking is confirmed
    here by the sides of the line, because a section of a block may have notches.
"""

from __future__ import annotations

from geometry.blocks.carriers import Adjacency


def sewing_order(adjacency: Adjacency, pieces: int) -> list[int] | None:
    """Return an order in which pieces can be sewn on one foundation, or ``None``.

    Args:
        adjacency: of the block's pieces.
        pieces: bits of those that are to be sewn.
    """
    plucked: list[int] = []
    rest = pieces
    while rest & (rest - 1):
        piece = _leaf(adjacency, rest)
        if piece is None:
            return None
        plucked.append(piece)
        rest &= ~(1 << piece)
    return [rest.bit_length() - 1, *reversed(plucked)]


def _leaf(adjacency: Adjacency, pieces: int) -> int | None:
    """Return a piece that can be sewn last: along one line, with all others on its other side."""
    todo = pieces
    while todo:
        piece = todo.bit_length() - 1
        todo &= ~(1 << piece)
        if is_last(adjacency, piece, pieces & ~(1 << piece)):
            return piece
    return None


def is_last(adjacency: Adjacency, piece: int, others: int) -> bool:
    """Return whether a piece is sewn to others along one line, with these on its other side.

    Args:
        adjacency: of the block's pieces.
        piece: number of the piece.
        others: bits of the others.
    """
    bit = 1 << piece
    seams = adjacency.between(bit, others)
    if not seams or seams & (seams - 1):
        return False
    line = seams.bit_length() - 1
    if not adjacency.is_straight[line]:
        return False
    left, right = adjacency.left[line], adjacency.right[line]
    return bool(
        (bit & left and others & right == others) or (bit & right and others & left == others)
    )
