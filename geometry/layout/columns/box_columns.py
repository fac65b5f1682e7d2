"""Several kinds in columns of boxes: each column as wide as one kind, other kinds fill it up.

A person fills a column of large pieces with rows of small ones. The columns are chosen by a beam
search over what is left to lay, each filled by an exact knapsack over heights.

Source:
    Two-stage cutting patterns, strips first and then pieces in them: P. C. Gilmore and R. E.
    Gomory, "Multistage cutting stock problems of two and more dimensions", Operations Research 13
    (1965). From memory.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, TypeAlias

from geometry.layout.fitting.holding_polygons import turned
from geometry.layout.item import Filling, Item
from geometry.layout.rows.row_laying import SLACK
from geometry.model.cutter import WorkArea
from geometry.model.placement import Placement
from geometry.model.transform import Rigid

#: States that are kept after each column, and pieces and kinds above which nothing is sought.
_BEAM: Final = 5
_MAX_PIECES: Final = 120
_MAX_KINDS: Final = 6

#: Rows of a column: the kind, the way it lies, and how many pieces each row holds at most.
_Rows: TypeAlias = tuple[tuple[int, int, int], ...]
#: Rows below, the rows that follow, and how many of them there are.
_Stack: TypeAlias = tuple["_Stack | None", tuple[int, int, int], int]
#: What rows cover, what they leave of one kind, and the rows.
_Held: TypeAlias = tuple[float, int, _Stack | None]
#: Of each kind: the boxes of its ways, the gap added, mm.
_Sizes: TypeAlias = tuple[tuple[tuple[float, float], ...], ...]


@dataclass(frozen=True)
class _State:
    """Columns so far: what is left of each kind, the length taken, and the columns."""

    left: tuple[int, ...]
    length: float
    columns: tuple[tuple[float, _Rows], ...]


def box_columns(
    items: Sequence[Item],
    wanted: Mapping[str, int],
    room: WorkArea,
    gap: float,
    *,
    from_left: bool,
) -> Filling:
    """Return kinds in columns of boxes from the left, or in rows from below.

    Shape:
        All that is wanted where it fits, else as much as was found; nothing for one kind.

    Args:
        items: the kinds.
        wanted: how many of each.
        room: a rectangle, or a roll with columns from the left.
        gap: least distance, mm.
        from_left: whether columns stand, or lie.
    """
    here = [item for item in items if wanted.get(item.piece)]
    if not 1 < len(here) <= _MAX_KINDS or sum(wanted.values()) > _MAX_PIECES:
        return ()
    box = room.bounds
    length, height = (box.width, box.height) if from_left else (box.height, box.width)
    ways = [_ways(item) for item in here]
    sizes = tuple(
        tuple(
            (wide + gap, tall + gap) if from_left else (tall + gap, wide + gap)
            for _, wide, tall in of_kind
        )
        for of_kind in ways
    )
    longest = math.inf if room.open_right else length + gap + SLACK
    counts = tuple(wanted[item.piece] for item in here)
    columns = _columns(sizes, counts, height + gap + SLACK, longest)
    return tuple(_placed(here, counts, columns, ways, sizes, room, from_left=from_left))


def _placed(
    kinds: Sequence[Item],
    counts: Sequence[int],
    columns: Sequence[tuple[float, _Rows]],
    ways: Sequence[Sequence[tuple[float, float, float]]],
    sizes: _Sizes,
    room: WorkArea,
    *,
    from_left: bool,
) -> Iterator[Placement]:
    """Yield the pieces of columns in their places."""
    box, start, left = room.bounds, 0.0, list(counts)
    for width, rows in columns:
        up = 0.0
        for kind, way, most in rows:
            turn = ways[kind][way][0]
            wide, tall = sizes[kind][way]
            lone = turned(kinds[kind].outline, turn).bounds
            for number in range(min(most, left[kind])):
                along = start + number * wide
                x, y = (along, up) if from_left else (up, along)
                move = Rigid(turn, box.left + x - lone.left, box.bottom + y - lone.bottom)
                yield Placement(kinds[kind].piece, move)
            left[kind] -= min(most, left[kind])
            up += tall
        start += width


def _ways(item: Item) -> list[tuple[float, float, float]]:
    """Return the turns of a piece that lies and stands, with the width and height of its box."""
    stated = item.stated_turns_deg
    turns = (0.0, 90.0) if stated is None else stated
    found: list[tuple[float, float, float]] = []
    for turn in turns:
        box = turned(item.outline, turn).bounds
        if not any(
            math.isclose(box.width, wide) and math.isclose(box.height, tall)
            for _, wide, tall in found
        ):
            found.append((turn, box.width, box.height))
    return found


@lru_cache(maxsize=256)
def _columns(
    sizes: _Sizes, counts: tuple[int, ...], height: float, longest: float
) -> tuple[tuple[float, _Rows], ...]:
    """Return the columns that hold all on the least length, or the most that goes on it."""
    areas = [ways[0][0] * ways[0][1] for ways in sizes]

    def promise(state: _State) -> tuple[float, float]:
        rest = sum(each * area for each, area in zip(state.left, areas, strict=True))
        return round(state.length + rest / height, 6), state.length

    beam = [_State(counts, 0.0, ())]
    best: _State | None = None
    fullest = beam[0]
    while beam:
        following: dict[tuple[int, ...], _State] = {}
        for state in beam:
            for after in _with_one_more(state, sizes, areas, height, longest):
                if not any(after.left):
                    if best is None or after.length < best.length - SLACK:
                        best = after
                    continue
                known = following.get(after.left)
                if known is None or after.length < known.length:
                    following[after.left] = after
        beam = sorted(following.values(), key=promise)[:_BEAM]
        fullest = min(
            [fullest, *beam],
            key=lambda each: sum(n * area for n, area in zip(each.left, areas, strict=True)),
        )
        if best is not None:
            beam = [each for each in beam if promise(each)[0] < best.length - SLACK]
    return (best or fullest).columns


def _with_one_more(
    state: _State, sizes: _Sizes, areas: Sequence[float], height: float, longest: float
) -> Iterator[_State]:
    """Yield a state with one more column, as wide as each kind in each of its ways."""
    widths = {
        round(wide, 9)
        for left, ways in zip(state.left, sizes, strict=True)
        if left
        for wide, tall in ways
        if tall <= height
    }
    for width in sorted(widths):
        if state.length + width > longest:
            continue
        rows = _filled(state.left, sizes, tuple(areas), width, height)
        if not rows:
            continue
        left = list(state.left)
        for kind, _, most in rows:
            left[kind] -= min(most, left[kind])
        yield _State(tuple(left), state.length + width, (*state.columns, (width, rows)))


@lru_cache(maxsize=4096)
def _filled(
    counts: tuple[int, ...],
    sizes: _Sizes,
    areas: tuple[float, ...],
    width: float,
    height: float,
) -> _Rows:
    """Return the rows of a column that cover the most, those of wide pieces first."""
    # Of each height: what is covered, what is left of the kind in turn, and the last rows with
    # those below them. Rows are written out at the end only: few of them are of use.
    best: dict[float, _Held] = {0.0: (0.0, 0, None)}
    for kind, ways in enumerate(sizes):
        best = _worth_more(best, counts[kind])
        for way, (wide, tall) in enumerate(ways):
            most = math.floor((width + SLACK) / wide)
            if not most:
                continue
            for start, held in list(best.items()):
                up, (value, left, below), number = start, held, 0
                while left and up + tall <= height:
                    taken = min(most, left)
                    up, value = round(up + tall, 9), value + taken * areas[kind]
                    left, number = left - taken, number + 1
                    known = best.get(up)
                    if known is None or value > known[0]:
                        best[up] = (value, left, (below, (kind, way, most), number))
    return _written_out(max(best.values(), key=lambda each: each[0])[2])


def _worth_more(best: dict[float, _Held], left: int) -> dict[float, _Held]:
    """Return the heights at which more is covered than at all below, before a kind's turn."""
    found: dict[float, _Held] = {}
    most = -1.0
    for up, (value, _, rows) in sorted(best.items(), key=lambda each: each[0]):
        if value > most:
            found[up] = (value, left, rows)
            most = value
    return found


def _written_out(stack: _Stack | None) -> _Rows:
    """Return rows one by one, from below."""
    rows: _Rows = ()
    while stack is not None:
        stack, row, number = stack
        rows = (row,) * number + rows
    return rows
