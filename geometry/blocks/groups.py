"""Groups of congruent pieces, mirror images apart, each with a letter and one template.

Source:
    The best turn of one set of points onto another: the phase of the sum of conjugate products,
    which is the two-dimensional case of W. Kabsch, "A solution for the best rotation to relate two
    sets of vectors", Acta Crystallographica A32, 1976.
"""

from __future__ import annotations

import cmath
import math
from collections import defaultdict
from collections.abc import Iterator, Sequence
from copy import copy
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from geometry.blocks.sides import Side, outline_of
from geometry.measure import area, centroid, perimeter
from geometry.model.outline import Outline
from geometry.model.points import Point
from geometry.model.segments import Segment, segment
from geometry.model.transform import Rigid, cos_sin_deg, moved

#: Pieces are compared if the roots of their areas are about this close, mm.
_BUCKET = 4.0
#: A piece that lies askew by less than this, degrees, lies straight.
_STRAIGHT_DEG = 1.0e-6
#: Within this, mm, a template turned onto itself is itself.
_ITSELF = 1.0e-3


class Match(NamedTuple):
    """How one piece lies on another: its turn, the shift of sides, and the largest deviation."""

    turn_deg: float
    shift: int
    off: float


@dataclass(frozen=True)
class Member:
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
    members: tuple[Member, ...]
    mirror_of: str | None
    is_symmetric: bool


class _Form:
    """The sides of a piece as arrays about the mean of their starts and middles."""

    def __init__(self, parts: Sequence[Segment]) -> None:
        starts = np.array([complex(*part.start) for part in parts])
        middles = np.array([complex(*part.point_at(0.5)) for part in parts])
        self.mean = complex((starts.sum() + middles.sum()) / (2 * len(parts)))
        self.starts, self.middles = starts - self.mean, middles - self.mean
        self.lengths = np.array([part.length for part in parts])
        self.sorted_lengths: list[float] = sorted(self.lengths.tolist())

    def rolled(self, shift: int) -> _Form:
        """Return the same form, counted from another side."""
        form = copy(self)
        form.starts, form.middles = np.roll(self.starts, shift), np.roll(self.middles, shift)
        return form


def match(one: _Form, other: _Form, tolerance: float) -> Match | None:
    """Return how the first piece lies on the second one, if it does within the tolerance."""
    if len(one.lengths) != len(other.lengths):
        return None
    # Most pieces differ in their shortest side already.
    lengths = zip(one.sorted_lengths, other.sorted_lengths, strict=True)
    if any(abs(a - b) > 2.0 * tolerance for a, b in lengths):
        return None
    fits: list[Match] = []
    for shift in range(len(one.lengths)):
        if np.abs(np.roll(one.lengths, shift) - other.lengths).max() > 2.0 * tolerance:
            continue
        turn, off = _best_turn(one.rolled(shift), other)
        if off <= tolerance:
            fits.append(Match(turn, shift, off))
    # The smallest turn of those that differ by rounding, so that squares are not turned.
    nearest = min((fit.off for fit in fits), default=0.0) + _STRAIGHT_DEG
    return min((fit for fit in fits if fit.off <= nearest), default=None)


def _best_turn(one: _Form, other: _Form) -> tuple[float, float]:
    """Return the turn, degrees, that brings one form nearest to another, and how near, mm."""
    sum_ = complex(np.vdot(one.starts, other.starts) + np.vdot(one.middles, other.middles))
    if abs(sum_) == 0.0:
        return 0.0, math.inf
    unit = sum_ / abs(sum_)
    off = max(
        float(np.abs(unit * one.starts - other.starts).max()),
        float(np.abs(unit * one.middles - other.middles).max()),
    )
    turn = math.degrees(cmath.phase(unit)) % 360.0
    return (0.0 if min(turn, 360.0 - turn) < _STRAIGHT_DEG else turn), off


def own_shifts(outline: Outline) -> tuple[int, ...]:
    """Return by how many sides an outline can be turned onto itself; 0 always."""
    form = _Form(outline.segments)
    shifts = range(1, len(outline.vertices))
    return (0, *(n for n in shifts if _best_turn(form, form.rolled(n))[1] <= _ITSELF))


def find_groups(
    pieces: Sequence[Sequence[Side]], outside: Sequence[Sequence[Side]], tolerance: float
) -> tuple[Group, ...]:
    """Return the groups of congruent pieces, largest first.

    Args:
        pieces: the sides of each piece.
        outside: those of them that lie on the block's edge.
        tolerance: within which pieces are congruent, mm.
    """
    forms = [_Form([side.part for side in sides]) for sides in pieces]
    outlines = [outline_of(sides) for sides in pieces]
    areas = [area(outline) for outline in outlines]
    # Pieces on the block's edge first, so that templates lie as they do.
    order = sorted(
        range(len(pieces)),
        key=lambda n: (-_straight_length(outside[n]), *reading_order(outlines[n])),
    )
    found: list[list[tuple[int, Match]]] = []
    near: dict[tuple[int, int], list[int]] = defaultdict(list)
    for face in order:
        slack = tolerance * perimeter(outlines[face]) + 1e-9
        low = math.sqrt(max(0.0, areas[face] - slack))
        high = math.sqrt(areas[face] + slack)
        keys = [
            (len(pieces[face]), size) for size in range(int(low / _BUCKET), int(high / _BUCKET) + 1)
        ]
        for number in dict.fromkeys(each for key in keys for each in near[key]):
            fit = match(forms[found[number][0][0]], forms[face], tolerance)
            if fit is not None:
                found[number].append((face, fit))
                break
        else:
            near[len(pieces[face]), int(math.sqrt(areas[face]) / _BUCKET)].append(len(found))
            found.append([(face, Match(0.0, 0, 0.0))])
    found.sort(
        key=lambda rows: (-round(areas[rows[0][0]], 3), *reading_order(outlines[rows[0][0]]))
    )
    return _named(found, pieces, outside, forms, tolerance)


def _straight_length(sides: Sequence[Side]) -> float:
    return max((round(s.part.length, 3) for s in sides if not s.part.bulge), default=0.0)


def reading_order(outline: Outline) -> tuple[float, float]:
    """Return a key that sorts pieces from the top and from the left."""
    middle = centroid(outline)
    return -round(middle.y, 3), round(middle.x, 3)


def _named(
    found: Sequence[Sequence[tuple[int, Match]]],
    pieces: Sequence[Sequence[Side]],
    outside: Sequence[Sequence[Side]],
    forms: Sequence[_Form],
    tolerance: float,
) -> tuple[Group, ...]:
    """Return groups with letters, mirror partners and templates."""
    letters = _letters()
    made: list[Group] = []
    taken: set[str] = set()
    for rows in found:
        first = rows[0][0]
        mirrored = _Form([_mirrored(side.part) for side in reversed(pieces[first])])
        is_symmetric = match(mirrored, forms[first], tolerance) is not None
        partner = None
        if not is_symmetric:
            partner = next(
                (
                    group.letter
                    for group in made
                    if group.letter not in taken
                    and match(mirrored, forms[group.members[0].face], tolerance) is not None
                ),
                None,
            )
        letter = next(letters) if partner is None else f"{partner}r"
        taken |= {letter, partner} if partner is not None else set()
        outline, members = _placed(rows, pieces, outside, forms)
        made.append(Group(letter, outline, members, partner, is_symmetric))
    return tuple(made)


def _placed(
    rows: Sequence[tuple[int, Match]],
    pieces: Sequence[Sequence[Side]],
    outside: Sequence[Sequence[Side]],
    forms: Sequence[_Form],
) -> tuple[Outline, tuple[Member, ...]]:
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
        members.append(Member(face, Rigid(angle, reach.real, reach.imag), fit.shift, fit.off))
    return template, tuple(members)


def _turn_to_grain(outside: Sequence[Side]) -> float:
    """Return the turn, degrees, that brings the longest side on the block's edge onto the grain.

    It is the smallest turn that makes the side run lengthwise or crosswise.
    """
    straight = [side.part for side in outside if not side.part.bulge]
    if not straight:
        return 0.0
    longest = max(straight, key=lambda part: round(part.length, 3))
    askew = math.remainder(math.degrees(longest.start_heading), 90.0)
    return 0.0 if abs(askew) < _STRAIGHT_DEG else -askew


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
