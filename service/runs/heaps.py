"""Pieces of one run that are alike, cut as one heap and sorted afterwards."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

from geometry.model.outline import Region
from service.pieces.model import Piece
from service.requests.portions import uses_of
from service.requests.runs import Run

#: Corners that are this near, mm, are the same: sizes in inches and in mm round differently.
_SAME = 1e-6
_NONE_ALIKE = (
    "No two pieces of this run are alike in outline, marks and grain, so none are cut as one heap. "
    "Labels with the piece's name make pieces differ."
)


def with_heaps(run: Run, pieces: Mapping[str, Piece]) -> Run:
    """Return a run that cuts pieces that are alike as its first one of them, if it asks for that.

    ``heaps`` then names the pieces of each heap of several.
    """
    if not run.merge_identical:
        return run
    heaps: dict[str, list[str]] = {}
    for piece in run.quantities:
        first = next((one for one in heaps if are_alike(run, pieces[one], pieces[piece])), piece)
        heaps.setdefault(first, []).append(piece)
    several = {first: tuple(names) for first, names in heaps.items() if len(names) > 1}
    if not several:
        return replace(
            run,
            notes=(
                *run.notes,
                _NONE_ALIKE,
            ),
        )
    # Each piece has templates of its own: two of them do not share the last use of one.
    uses = uses_of(run)
    quantities = {
        first: sum(math.ceil(run.quantities[piece] / uses) * uses for piece in names)
        for first, names in heaps.items()
    }
    return replace(run, quantities=quantities, heaps=several)


def are_alike(run: Run, one: Piece, other: Piece) -> bool:
    """Return whether nobody could tell two cut pieces from each other."""
    return (one.turns, one.mirror, one.mirror_of, one.motif) == (
        other.turns,
        other.mirror,
        other.mirror_of,
        other.motif,
    ) and _are_same(one.region(run.cut), other.region(run.cut))


def _are_same(one: Region, other: Region) -> bool:
    lines = [
        [
            ("outline", "", region.outline.rows()),
            *(("hole", "", hole.rows()) for hole in region.holes),
            *((mark.role, mark.operation, mark.path.rows()) for mark in region.marks),
        ]
        for region in (one, other)
    ]
    return len(lines[0]) == len(lines[1]) and all(
        here[:2] == there[:2] and _are_near(here[2], there[2])
        for here, there in zip(*lines, strict=True)
    )


def _are_near(one: Sequence[Sequence[float]], other: Sequence[Sequence[float]]) -> bool:
    return len(one) == len(other) and all(
        len(here) == len(there)
        and all(abs(a - b) < _SAME for a, b in zip(here, there, strict=True))
        for here, there in zip(one, other, strict=True)
    )
