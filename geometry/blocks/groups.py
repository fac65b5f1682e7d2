"""Groups of congruent pieces, mirror images apart, each with a letter and one template."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from geometry.blocks.congruence import Forms, Index, Match, best_turns, match
from geometry.blocks.placing import GroupMember, Placing
from geometry.blocks.ring_table import RingTable
from geometry.blocks.sides import SideTable
from geometry.model.outline import Outline
from geometry.segment_pairs import Indices, Numbers

#: Within this, mm, a template turned onto itself is itself.
_ITSELF = 1.0e-3
#: By this places, mm, and areas, mm2, are moved before they are rounded.
_ASIDE = 1.7e-4


@dataclass(frozen=True)
class Group:
    """Congruent pieces.

    Args:
        letter: A for the largest; that of a mirror image ends in ``r``.
        outline: of the template, in the position of its first piece, from the lower left corner.
        members: its pieces.
        mirror_of: letter of the group that is its mirror image, if there is one.
        is_symmetric: whether its mirror image is itself.
    """

    letter: str
    outline: Outline
    members: tuple[GroupMember, ...]
    mirror_of: str | None
    is_symmetric: bool


def own_shifts(outline: Outline) -> tuple[int, ...]:
    """Return by how many sides an outline can be turned onto itself; 0 always."""
    form = Forms.of(np.array([outline.vertices]))
    shifts = range(1, len(outline.vertices))
    return (0, *(n for n in shifts if best_turns(form, form.rolled(n))[1][0] <= _ITSELF))


def find_groups(
    sides: SideTable, is_outside: NDArray[np.bool_], tolerance: float
) -> tuple[Group, ...]:
    """Return the groups of congruent pieces, largest first.

    Args:
        sides: of the pieces.
        is_outside: whether each side lies on the block's edge.
        tolerance: within which pieces are congruent, mm.
    """
    table = sides.table
    areas = table.areas
    places = _reading_orders(table.centroids)
    # Pieces on the block's edge first, so that templates lie as they do.
    outer = np.where(is_outside & (table.rows[:, 2] == 0.0), table.side_lengths.round(3), 0.0)
    longest = np.maximum.reduceat(outer, table.begins)
    order = np.lexsort((places[:, 1], places[:, 0], -longest))
    means = np.empty(len(areas), dtype=complex)
    found: list[list[tuple[int, Match]]] = []
    for count in dict.fromkeys(table.counts[order].tolist()):
        faces = order[table.counts[order] == count]
        forms = Forms.of(table.rows[table.begins[faces, None] + np.arange(count)])
        means[faces] = forms.means
        found += _congruent(faces.tolist(), forms, tolerance)
    firsts = np.array([rows[0][0] for rows in found])
    at = np.empty_like(order)
    at[order] = np.arange(len(order))
    keys = at[firsts], places[firsts, 1], places[firsts, 0], -(areas[firsts] + _ASIDE).round(3)
    sorted_groups = np.lexsort(keys).tolist()
    found = [found[number] for number in sorted_groups]
    letters = _named(table, firsts[sorted_groups], tolerance)
    placed = Placing(sides, is_outside, means).placed(found)
    return tuple(
        Group(letter, outline, members, partner, is_symmetric)
        for (letter, partner, is_symmetric), (outline, members) in zip(letters, placed, strict=True)
    )


def _congruent(
    faces: Sequence[int], forms: Forms, tolerance: float
) -> Iterator[list[tuple[int, Match]]]:
    """Yield groups of congruent pieces, each with the first one, on which the others lie."""
    index = Index(forms, tolerance)
    is_free = np.ones(len(faces), dtype=bool)
    for row, face in enumerate(faces):
        if not is_free[row]:
            continue
        is_free[row] = False
        group = [(face, Match(0.0, 0, 0.0))]
        near = index.near(row, is_free)
        if len(near):
            fits = match(forms.rows(slice(row, row + 1)), forms.rows(near), tolerance)
            for other, fit in zip(near.tolist(), fits, strict=True):
                if fit is not None:
                    is_free[other] = False
                    group.append((faces[other], fit))
        yield group


def _reading_orders(centroids: Numbers) -> Numbers:
    """Return keys, one row each, that sort pieces from the top and from the left."""
    # Aside, because places in inches are often halfway between two roundings.
    return np.asarray((centroids * (1.0, -1.0) + _ASIDE).round(3)[:, ::-1])


def reading_orders(outlines: Sequence[Outline]) -> list[tuple[float, float]]:
    """Return for each outline a key that sorts pieces from the top and from the left."""
    return [(y, x) for y, x in _reading_orders(RingTable.of(outlines).centroids).tolist()]


def _named(
    table: RingTable, firsts: Indices, tolerance: float
) -> Iterator[tuple[str, str | None, bool]]:
    """Yield for each group its letter, that of its mirror image, and whether it is its own.

    Args:
        table: the sides of pieces.
        firsts: the first piece of each group.
        tolerance: within which pieces are congruent, mm.
    """
    counts = table.counts[firsts]
    is_symmetric = [False] * len(firsts)
    earlier: dict[int, list[int]] = {}
    for count in dict.fromkeys(counts.tolist()):
        numbers: list[int] = np.flatnonzero(counts == count).tolist()
        forms = Forms.of(table.rows[table.begins[firsts[numbers], None] + np.arange(count)])
        mirrored = forms.mirrored()
        index = Index(forms, tolerance)
        is_earlier = np.zeros(len(numbers), dtype=bool)
        for row, fit in enumerate(match(mirrored, forms, tolerance)):
            is_symmetric[numbers[row]] = fit is not None
            near = index.near(row, is_earlier)
            is_earlier[row] = True
            if fit is None and len(near):
                fits = match(mirrored.rows(slice(row, row + 1)), forms.rows(near), tolerance)
                earlier[numbers[row]] = [
                    numbers[other]
                    for other, each in zip(near.tolist(), fits, strict=True)
                    if each is not None
                ]
    letters = _letters()
    made: list[str] = []
    taken: set[int] = set()
    for number in range(len(firsts)):
        partner = next((each for each in earlier.get(number, ()) if each not in taken), None)
        taken |= set() if partner is None else {number, partner}
        mirror_of = None if partner is None else made[partner]
        made.append(next(letters) if mirror_of is None else f"{mirror_of}r")
        yield made[-1], mirror_of, is_symmetric[number]


def _letters() -> Iterator[str]:
    """Yield A to Z, then AA, AB and so on."""
    number = 0
    while True:
        name, rest = "", number + 1
        while rest:
            rest, letter = divmod(rest - 1, 26)
            name = chr(ord("A") + letter) + name
        yield name
        number += 1
