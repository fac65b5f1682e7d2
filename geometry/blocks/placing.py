"""Where the template of a group lies: upright on the grain, and on each piece of the block."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from geometry.blocks.congruence import STRAIGHT_DEG, Match
from geometry.blocks.ring_table import RingTable
from geometry.blocks.sides import SideTable
from geometry.model.outline import Outline
from geometry.model.points import heading
from geometry.model.transform import Rigid, cos_sin_deg
from geometry.segment_pairs import Indices, Numbers


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


#: Pieces of one group, the first one of which the others lie on.
Members: TypeAlias = Sequence[tuple[int, Match]]
_known_turn = lru_cache(maxsize=64)(cos_sin_deg)


@dataclass(frozen=True)
class Placing:
    """What says how templates lie.

    Args:
        sides: of all pieces.
        is_outside: whether each side lies on the block's edge.
        means: of each piece's sides, as complex numbers.
    """

    sides: SideTable
    is_outside: NDArray[np.bool_]
    means: NDArray[np.complex128]

    def placed(
        self, groups: Sequence[Members]
    ) -> Iterator[tuple[Outline, tuple[GroupMember, ...]]]:
        """Yield each group's template, and where it lies in the block for each piece."""
        firsts = np.array([rows[0][0] for rows in groups])
        turns = [
            self._turn_to_grain(first) if is_on_edge else 0.0
            for first, is_on_edge in zip(firsts.tolist(), self._are_on_edge(firsts), strict=True)
        ]
        turned = self._turned(firsts, turns)
        corners = _lower_left(turned)
        rows = turned.rows.copy()
        rows[:, :2] -= corners[turned.owner]
        templates = RingTable(rows, turned.counts).outlines()
        units = np.array([complex(*_known_turn(turn)) for turn in turns])
        # The means of the first pieces, as they lie in the templates.
        means = self.means[firsts] * units - (corners[:, 0] + 1j * corners[:, 1])
        places: list[complex] = self.means.tolist()
        rows_of = zip(templates, groups, turns, means.tolist(), strict=True)
        for template, members, turn, mean in rows_of:
            yield template, tuple(_member(*each, turn, mean, places[each[0]]) for each in members)

    @cached_property
    def _is_outer_line(self) -> NDArray[np.bool_]:
        return np.asarray(self.is_outside & (self.sides.table.rows[:, 2] == 0.0))

    def _are_on_edge(self, pieces: Indices) -> list[bool]:
        """Return for each piece whether a straight side of it lies on the block's edge."""
        found = np.logical_or.reduceat(self._is_outer_line, self.sides.table.begins)
        on_edge: list[bool] = found[pieces].tolist()
        return on_edge

    def _turn_to_grain(self, piece: int) -> float:
        """Return the turn, degrees, that brings the longest side on the edge onto the grain.

        It is the smallest turn that makes the side run lengthwise or crosswise.
        """
        table = self.sides.table
        begin = int(table.begins[piece])
        rows = slice(begin, begin + int(table.counts[piece]))
        outer = self._is_outer_line[rows]
        lengths = np.where(outer, table.side_lengths[rows].round(3), -1.0)
        side = self.sides.outlines[piece].segments[int(lengths.argmax())]
        askew = math.remainder(math.degrees(heading(side.start, side.end)), 90.0)
        return 0.0 if abs(askew) < STRAIGHT_DEG else -askew

    def _turned(self, pieces: Indices, turns: Sequence[float]) -> RingTable:
        """Return some pieces, turned about the origin."""
        table = self.sides.table
        counts = table.counts[pieces]
        ends = np.cumsum(counts)
        owner = np.repeat(np.arange(len(pieces)), counts)
        at = np.arange(len(owner)) - (ends - counts)[owner] + table.begins[pieces][owner]
        rows = table.rows[at]
        cos, sin = np.array([_known_turn(turn) for turn in turns])[owner].T
        x, y = rows[:, 0].copy(), rows[:, 1].copy()
        rows[:, 0], rows[:, 1] = x * cos - y * sin, x * sin + y * cos
        return RingTable(rows, counts)


def _member(face: int, fit: Match, turn: float, mean: complex, place: complex) -> GroupMember:
    """Return where a template lies on a piece.

    Args:
        face: number of the piece.
        fit: how the group's first piece lies on it.
        turn: of the first piece in the template, degrees.
        mean: of the sides of the first piece in the template.
        place: mean of the sides of the piece.
    """
    angle = (fit.turn_deg - turn) % 360.0
    reach = place - mean * complex(*_known_turn(angle))
    return GroupMember(face, Rigid(angle, reach.real, reach.imag), fit.shift, fit.off)


def _lower_left(table: RingTable) -> Numbers:
    """Return the lower left corner of the box about each ring."""
    found = table.boxes()[:, :2]
    for number, (begin, end) in enumerate(table.spans()):
        if table.have_arcs[number]:
            box = Outline.of(table.rows[begin:end].tolist()).bounds
            found[number] = box.left, box.bottom
    return found
