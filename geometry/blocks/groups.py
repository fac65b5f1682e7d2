"""Groups of congruent pieces, mirror images apart, each with a letter and one template."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from geometry.blocks.congruence import STRAIGHT_DEG, Form, Index, Match, best_turn, match
from geometry.blocks.sides import PieceSide, outline_of
from geometry.measure import area, centroid
from geometry.model.outline import Outline
from geometry.model.points import Point
from geometry.model.segments import Segment, segment
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
    form = Form(outline.segments)
    shifts = range(1, len(outline.vertices))
    return (0, *(n for n in shifts if best_turn(form, form.rolled(n))[1] <= _ITSELF))


def find_groups(
    pieces: Sequence[Sequence[PieceSide]], outside: Sequence[Sequence[PieceSide]], tolerance: float
) -> tuple[Group, ...]:
    """Return the groups of congruent pieces, largest first.

    Args:
        pieces: the sides of each piece.
        outside: those of them that lie on the block's edge.
        tolerance: within which pieces are congruent, mm.
    """
    forms = [Form([side.part for side in sides]) for sides in pieces]
    outlines = [outline_of(sides) for sides in pieces]
    areas = [area(outline) for outline in outlines]
    # Pieces on the block's edge first, so that templates lie as they do.
    order = sorted(
        range(len(pieces)),
        key=lambda n: (-_straight_length(outside[n]), *reading_order(outlines[n])),
    )
    found: list[list[tuple[int, Match]]] = []
    index = Index(tolerance)
    for face in order:
        for number in index.near(forms[face]):
            fit = match(forms[found[number][0][0]], forms[face], tolerance)
            if fit is not None:
                found[number].append((face, fit))
                break
        else:
            index.add(len(found), forms[face])
            found.append([(face, Match(0.0, 0, 0.0))])
    found.sort(
        key=lambda rows: (-round(areas[rows[0][0]], 3), *reading_order(outlines[rows[0][0]]))
    )
    return _named(found, pieces, outside, forms, tolerance)


def _straight_length(sides: Sequence[PieceSide]) -> float:
    return max((round(s.part.length, 3) for s in sides if not s.part.bulge), default=0.0)


def reading_order(outline: Outline) -> tuple[float, float]:
    """Return a key that sorts pieces from the top and from the left."""
    middle = centroid(outline)
    return -round(middle.y, 3), round(middle.x, 3)


def _named(
    found: Sequence[Sequence[tuple[int, Match]]],
    pieces: Sequence[Sequence[PieceSide]],
    outside: Sequence[Sequence[PieceSide]],
    forms: Sequence[Form],
    tolerance: float,
) -> tuple[Group, ...]:
    """Return groups with letters, mirror partners and templates."""
    letters = _letters()
    made: list[Group] = []
    taken: set[str] = set()
    index = Index(tolerance)
    for rows in found:
        first = rows[0][0]
        mirrored = Form([_mirrored(side.part) for side in reversed(pieces[first])])
        is_symmetric = match(mirrored, forms[first], tolerance) is not None
        partner = None
        if not is_symmetric:
            partner = next(
                (
                    group.letter
                    for group in map(made.__getitem__, index.near(mirrored))
                    if group.letter not in taken
                    and match(mirrored, forms[group.members[0].face], tolerance) is not None
                ),
                None,
            )
        letter = next(letters) if partner is None else f"{partner}r"
        taken |= {letter, partner} if partner is not None else set()
        index.add(len(made), forms[first])
        outline, members = _placed(rows, pieces, outside, forms)
        made.append(Group(letter, outline, members, partner, is_symmetric))
    return tuple(made)


def _placed(
    rows: Sequence[tuple[int, Match]],
    pieces: Sequence[Sequence[PieceSide]],
    outside: Sequence[Sequence[PieceSide]],
    forms: Sequence[Form],
) -> tuple[Outline, tuple[GroupMember, ...]]:
    """Return a group's template, and where it lies in the block for each piece."""
    first = rows[0][0]
    turn = _turn_to_grain(outside[first])
    turned = Rigid(turn).outline(outline_of(pieces[first]))
    box = turned.bounds
    template = moved(turned, -box.left, -box.bottom)
    unit = complex(*cos_sin_deg(turn))
    # The mean of the first piece, as it lies in the template.
    mean = forms[first].mean * unit - complex(box.left, box.bottom)
    members = []
    for face, fit in rows:
        angle = (fit.turn_deg - turn) % 360.0
        reach = forms[face].mean - mean * complex(*cos_sin_deg(angle))
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


def _mirrored(part: Segment) -> Segment:
    """Return a segment's mirror image in the y axis, in the opposite direction."""
    start, end = part.start, part.end
    return segment(Point(-end.x, end.y), Point(-start.x, start.y), part.bulge)
