"""Loads whose pieces are moved within their strip until more of their edges are cut once."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import partial

import numpy as np

from geometry.layout.common_lines.meeting_pieces import SAME, MeetingPieces
from geometry.layout.effort import Budget, Effort
from geometry.layout.item import Filling
from geometry.layout.objective import cut_length, placement_bounds, used_strip
from geometry.layout.task import Loads, Task, flush
from geometry.model.placement import Load, shifted
from geometry.model.segments import Bounds
from geometry.proof.overlap import check_load

#: Pieces on a load above which nothing is moved, and the same in the first stage.
_MAX_PIECES, _MAX_PIECES_QUICK = 150, 60
#: Loads, and pieces on a load, above which fewer moves are tried on each.
_FULL_LOADS, _FEW_PIECES = 2, 60
#: Pieces of which less than this share of the edges meets others lie loose.
_LOOSE = 0.5
#: Pieces that are taken off together: of a block, and those nearest to each other.
_MAX_OFF, _NEAREST = 24, (2, 3, 5, 8)
#: Pairs of a block's edges and others' above which it is not moved; the same in the first stage.
_MAX_PAIRS, _MAX_PAIRS_QUICK = 20_000, 1_000
#: Decimals of the sides of boxes that are the same row's, mm.
_DECIMALS = 4


def shorter_cuts(task: Task, loads: Loads, effort: Effort, budget: Budget) -> Iterator[Loads]:
    """Yield the same loads with pieces moved within their strips so that less is cut.

    Every load holds what it held, on no more of its sheet.
    """
    room = task.room
    if not task.common_line or not (room.is_rectangle or room.open_right):
        return
    share = min(1.0, _FULL_LOADS / len(loads))
    found = tuple(
        replace(load, placements=_shorter(task, load, effort, budget, share)) for load in loads
    )
    if found != loads:
        yield found


def _shorter(task: Task, load: Load, effort: Effort, budget: Budget, share: float) -> Filling:
    """Return the places of a load's pieces at which less is cut, or those it has.

    ``share`` is that of the moves of an effort that may be tried.
    """
    lines = task.lines
    items = {
        item.piece: replace(item, outline=lines[item.piece])
        for item in task.items
        if item.piece in load.outlines
    }
    most = _MAX_PIECES if effort.edge_fillings else _MAX_PIECES_QUICK
    if not 1 < len(load.placements) <= most or (len(items) == 1 and not effort.edge_fillings):
        return load.placements
    used = used_strip(load.placements, task.outlines, task.room)
    half, far = task.gap / 2.0, placement_bounds(load.placements, lines)
    strip = Bounds(
        min(used.left - half, far.left),
        min(used.bottom - half, far.bottom),
        max(used.right + half, far.right),
        max(used.top + half, far.top),
    )
    pieces = MeetingPieces.of(items, load.placements, strip)
    share *= min(1.0, _FEW_PIECES / len(load.placements))
    found = _at_side(_Search(effort, budget, share).shorter(pieces).placements, task)
    before = cut_length(load.placements, lines)
    if cut_length(found, lines) > before - SAME:
        return load.placements
    faults = check_load(task.outlines, Load(found), task.room, task.gap)
    return load.placements if faults else found


def _at_side(placements: Filling, task: Task) -> Filling:
    """Return pieces moved together to the sides: what was moved into others may leave one open."""
    if task.room.is_rectangle:
        return flush(placements, task)
    left = placement_bounds(placements, task.outlines).left
    return shifted(placements, task.room.bounds.left - left, 0.0)


class _Search:
    """Moves of pieces, as many as an effort may try."""

    def __init__(self, effort: Effort, budget: Budget, share: float) -> None:
        self.moves, self.again = round(effort.moves * share), round(effort.laid_again * share)
        self.budget = budget
        self.thorough = effort.edge_fillings > 0
        self.pairs = _MAX_PAIRS if self.thorough else _MAX_PAIRS_QUICK

    def shorter(self, pieces: MeetingPieces) -> MeetingPieces:
        """Return pieces after all moves that let more of their edges meet."""
        pieces = self._moved(pieces)
        while self.again > 0:
            for numbers in _taken_off(pieces):
                self.again -= len(numbers)
                found = pieces.laid_again(numbers)
                if found is not None and found.total > pieces.total + SAME:
                    pieces = self._moved(found)
                    break
                if self.again <= 0 or self.budget.is_cut():
                    return pieces
            else:
                return pieces
        return pieces

    def _moved(self, pieces: MeetingPieces) -> MeetingPieces:
        """Return pieces after moves of single ones and of blocks, until none is of use."""
        found: MeetingPieces | None = pieces
        of_no_use: set[Hashable] = set()
        while found is not None:
            pieces, found = found, None
            # What was of no use before another move may be so after it: it is tried again last.
            for what, move in sorted(self._moves(pieces), key=lambda each: each[0] in of_no_use):
                if self.moves <= 0 or self.budget.is_cut():
                    break
                self.moves -= 1
                found = move()
                if found is not None and found.total > pieces.total + SAME:
                    break
                found = None
                of_no_use.add(what)
        return pieces

    def _moves(
        self, pieces: MeetingPieces
    ) -> Iterator[tuple[Hashable, Callable[[], MeetingPieces | None]]]:
        for piece in pieces.items:
            yield piece, partial(pieces.with_one_moved, piece)
        for numbers in _blocks(pieces, single=self.thorough):
            yield numbers, partial(pieces.with_block_moved, numbers, self.pairs)


def _blocks(pieces: MeetingPieces, *, single: bool) -> Iterator[tuple[int, ...]]:
    """Yield pieces that are moved as one: all that touch, those of a kind, rows, single ones."""
    kind = [each.piece for each in pieces.placements]
    outlines = {piece: item.outline for piece, item in pieces.items.items()}
    boxes = [placement_bounds([each], outlines) for each in pieces.placements]
    upright = [
        (kind[n], round(b.left, _DECIMALS), round(b.right, _DECIMALS)) for n, b in enumerate(boxes)
    ]
    level = [
        (kind[n], round(b.bottom, _DECIMALS), round(b.top, _DECIMALS)) for n, b in enumerate(boxes)
    ]
    seen = {tuple(range(len(kind)))}
    for alike in ([""] * len(kind), kind, upright, level):
        for numbers in _touching(pieces.neighbours, alike):
            if len(numbers) > 1 and numbers not in seen:
                seen.add(numbers)
                yield numbers
    if single:
        shares = pieces.shares
        yield from ((n,) for n in _loosest(shares) if shares[n] < 1.0 - SAME)


def _taken_off(pieces: MeetingPieces) -> Iterator[tuple[int, ...]]:
    """Yield pieces that are laid again: loose ones, blocks and kinds, and those that lie near."""
    kind, shares = [each.piece for each in pieces.placements], pieces.shares
    every = range(len(kind))
    seen = {tuple(every)}

    def fresh(numbers: Sequence[int]) -> bool:
        is_new = 1 < len(numbers) <= _MAX_OFF and tuple(numbers) not in seen
        seen.add(tuple(numbers))
        return is_new

    loose = [n for n in every if shares[n] < _LOOSE]
    groups: list[Sequence[int]] = [
        loose,
        *([n for n in loose if kind[n] == piece] for piece in pieces.items),
    ]
    groups += sorted(_touching(pieces.neighbours, kind), key=len)
    groups += [[n for n in every if kind[n] == piece] for piece in pieces.items]
    *_, most = sorted(_touching(pieces.neighbours, [""] * len(kind)), key=len)
    groups.append([n for n in every if n not in set(most)])
    yield from (tuple(numbers) for numbers in groups if fresh(numbers))
    outlines = {piece: item.outline for piece, item in pieces.items.items()}
    boxes = [placement_bounds([each], outlines) for each in pieces.placements]
    middles = np.array([(b.left + b.right, b.bottom + b.top) for b in boxes])
    apart = np.hypot(*(middles[:, None] - middles[None]).T)
    nearest = np.argsort(np.round(apart, _DECIMALS), axis=1, kind="stable")
    for count in _NEAREST:
        for number in _loosest(shares):
            numbers = sorted(nearest[number, :count].tolist())
            if fresh(numbers):
                yield tuple(numbers)


def _loosest(shares: Sequence[float]) -> list[int]:
    """Return the numbers of pieces, those of which least meets others first."""
    return sorted(range(len(shares)), key=lambda number: (shares[number], number))


def _touching(
    near: Mapping[int, Mapping[int, float]], alike: Sequence[object]
) -> list[tuple[int, ...]]:
    """Return pieces that touch each other, of those that are alike."""
    left, found = set(range(len(alike))), []
    for start in range(len(alike)):
        if start not in left:
            continue
        left.discard(start)
        group, following = [start], [start]
        while following:
            number = following.pop()
            for other in near.get(number, {}):
                if other in left and alike[other] == alike[number]:
                    left.discard(other)
                    group.append(other)
                    following.append(other)
        found.append(tuple(sorted(group)))
    return found
