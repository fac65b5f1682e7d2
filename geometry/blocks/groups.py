"""Groups of congruent pieces, mirror images apart, each with a letter and one template."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from geometry.blocks.congruence import STRAIGHT_DEG, Forms, Index, Match, best_turns, match
from geometry.blocks.sides import PieceSide, outline_of
from geometry.measure import area, centroid
from geometry.model.outline import Outline
from geometry.model.transform import Rigid, cos_sin_deg, moved

#: Within this, mm, a template turned onto itself is itself.
_ITSELF = 1.0e-3


@dataclass(frozen=True)
class GroupMember:
    """A piece of a group: where the group's template lies in the block.

    Args:
        face: number of the piece.
        move: takes the template to the piece.
        shift: number of the piece's side on which the template's first side lies.
        off: largest distance between both, mm.
    """

    face: int
    move: Rigid
    shift: int
    off: float


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
    form = Forms.of([outline.segments])
    shifts = range(1, len(outline.vertices))
    return (0, *(n for n in shifts if best_turns(form, form.rolled(n))[1][0] <= _ITSELF))


def find_groups(
    pieces: Sequence[Sequence[PieceSide]], outside: Sequence[Sequence[PieceSide]], tolerance: float
) -> tuple[Group, ...]:
    """Return the groups of congruent pieces, largest first.

    Args:
        pieces: the sides of each piece.
        outside: those of them that lie on the block's edge.
        tolerance: within which pieces are congruent, mm.
    """
    outlines = [outline_of(sides) for sides in pieces]
    areas = [area(outline) for outline in outlines]
    places = [reading_order(outline) for outline in outlines]
    # Pieces on the block's edge first, so that templates lie as they do.
    order = sorted(range(len(pieces)), key=lambda n: (-_straight_length(outside[n]), *places[n]))
    by_count: dict[int, list[int]] = defaultdict(list)
    for face in order:
        by_count[len(pieces[face])].append(face)
    means: dict[int, complex] = {}
    found: list[list[tuple[int, Match]]] = []
    for faces in by_count.values():
        forms = Forms.of([[side.part for side in pieces[face]] for face in faces])
        means.update(zip(faces, forms.means.tolist(), strict=True))
        found += _congruent(faces, forms, tolerance)
    at = {face: number for number, face in enumerate(order)}
    found.sort(key=lambda rows: at[rows[0][0]])
    found.sort(key=lambda rows: (-round(areas[rows[0][0]], 3), *places[rows[0][0]]))
    letters = _named([pieces[rows[0][0]] for rows in found], tolerance)
    return tuple(
        Group(letter, *_placed(rows, outlines, outside, means), partner, is_symmetric)
        for rows, (letter, partner, is_symmetric) in zip(found, letters, strict=True)
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


def _straight_length(sides: Sequence[PieceSide]) -> float:
    return max((round(s.part.length, 3) for s in sides if not s.part.bulge), default=0.0)


def reading_order(outline: Outline) -> tuple[float, float]:
    """Return a key that sorts pieces from the top and from the left."""
    middle = centroid(outline)
    return -round(middle.y, 3), round(middle.x, 3)


def _named(
    templates: Sequence[Sequence[PieceSide]], tolerance: float
) -> Iterator[tuple[str, str | None, bool]]:
    """Yield for each group its letter, that of its mirror image, and whether it is its own."""
    by_count: dict[int, list[int]] = defaultdict(list)
    for number, sides in enumerate(templates):
        by_count[len(sides)].append(number)
    is_symmetric = [False] * len(templates)
    earlier: dict[int, list[int]] = {}
    for numbers in by_count.values():
        forms = Forms.of([[side.part for side in templates[number]] for number in numbers])
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
    for number in range(len(templates)):
        partner = next((each for each in earlier.get(number, ()) if each not in taken), None)
        taken |= set() if partner is None else {number, partner}
        mirror_of = None if partner is None else made[partner]
        made.append(next(letters) if mirror_of is None else f"{mirror_of}r")
        yield made[-1], mirror_of, is_symmetric[number]


def _placed(
    rows: Sequence[tuple[int, Match]],
    outlines: Sequence[Outline],
    outside: Sequence[Sequence[PieceSide]],
    means: Mapping[int, complex],
) -> tuple[Outline, tuple[GroupMember, ...]]:
    """Return a group's template, and where it lies in the block for each piece."""
    first = rows[0][0]
    turn = _turn_to_grain(outside[first])
    own = outlines[first]
    turned = Rigid(turn).outline(own) if turn else own
    box = turned.bounds
    template = moved(turned, -box.left, -box.bottom)
    unit = complex(*cos_sin_deg(turn))
    # The mean of the first piece, as it lies in the template.
    mean = means[first] * unit - complex(box.left, box.bottom)
    members = []
    for face, fit in rows:
        angle = (fit.turn_deg - turn) % 360.0
        reach = means[face] - mean * complex(*cos_sin_deg(angle))
        members.append(GroupMember(face, Rigid(angle, reach.real, reach.imag), fit.shift, fit.off))
    return template, tuple(members)


def _turn_to_grain(outside: Sequence[PieceSide]) -> float:
    """Return the turn, degrees, that brings the longest side on the block's edge onto the grain.

    It is the smallest turn that makes the side run lengthwise or crosswise.
    """
    straight = [side.part for side in outside if not side.part.bulge]
    if not straight:
        return 0.0
    longest = max(straight, key=lambda part: round(part.length, 3))
    askew = math.remainder(math.degrees(longest.start_heading), 90.0)
    return 0.0 if abs(askew) < STRAIGHT_DEG else -askew


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
