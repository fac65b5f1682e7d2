"""As many pieces of one kind as a rectangle holds, in rows."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import product

from geometry.layout.fit import candidate_turns, fitting_turn
from geometry.layout.item import Item
from geometry.layout.polygons import turned
from geometry.layout.rows import Row, Stack, lay, refined, stacks
from geometry.layout.units import Shape, units_of
from geometry.measure import area
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.model.placement import Placement
from geometry.model.transform import Rigid

#: Turns of the piece that are tried, and stacks of rows that are refined, at each effort.
_TURNS = {"quick": 3, "normal": 12, "best": 40}
#: Share of the room's area below which an order counts as easy to place.
_EASY = 0.6
_REFINED = {"quick": 3, "normal": 10, "best": 60}


@dataclass(frozen=True)
class Filled:
    """The fullest filling found, and whether the search ended by itself."""

    placements: tuple[Placement, ...]
    complete: bool


def fill(
    item: Item,
    room: WorkArea,
    *,
    gap: float,
    effort: str = "normal",
    out_of_time: Callable[[], bool] | None = None,
) -> Filled:
    """Return as many outlines of an item as are wanted or rows of it can hold in a rectangle.

    Shape:
        At least one placement; row by row from the bottom, left to right.

    Raises:
        DoesNotFit: when not even one fits.
    """
    surely = fitting_turn(item, room)
    box = room.bounds
    lone = turned(item.outline, surely).bounds
    best: tuple[Placement, ...] = (
        Placement(item.piece, Rigid(surely, box.left - lone.left, box.bottom - lone.bottom)),
    )
    # Area alone: each piece and its half of the gap about it, in a room as much larger.
    limit = min(item.quantity, _limit(item, room, gap))
    shape = Shape(item.outline, gap)
    tries: list[tuple[int, float, int, Stack, bool]] = []
    for turn in _turns(item, surely, effort):
        if out_of_time is not None and out_of_time():
            return Filled(best, complete=False)
        enough = _enough(shape, item, turn, room, limit)
        if enough:
            return Filled(tuple(_placements(item.piece, *enough, room)), complete=True)
        for local, uprights in _frames(item, turn):
            for stack, upright in product(_stacks(shape, item, local), uprights):
                count = _count(lay(stack, *_frame(room, upright=upright)))
                tries.append((-count, -stack.density, len(tries), stack, upright))
    for _, _, _, stack, upright in _promising(tries, effort):
        if out_of_time is not None and out_of_time():
            return Filled(best, complete=False)
        if len(best) >= limit:
            break
        fine = refined(stack)
        rows = lay(fine, *_frame(room, upright=upright)) if fine is not None else []
        if _count(rows) > len(best):
            best = tuple(_placements(item.piece, rows, upright, room))
    return Filled(best, complete=True)


def _enough(
    shape: Shape, item: Item, turn: float, room: WorkArea, wanted: int
) -> tuple[list[Row], bool] | None:
    """Return plain rows of the single piece when they already hold all that is wanted."""
    if wanted * area(item.outline) > area(room.boundary) * _EASY:
        return None
    for local, uprights in _frames(item, turn):
        single = next(iter(units_of(shape, local, half_turns=False)))
        for stack, upright in product(stacks(shape, single, half_turns=False), uprights):
            fine = refined(stack)
            rows = lay(fine, *_frame(room, upright=upright)) if fine is not None else []
            if _count(rows) >= wanted:
                return rows, upright
    return None


def _promising(
    tries: list[tuple[int, float, int, Stack, bool]], effort: str
) -> list[tuple[int, float, int, Stack, bool]]:
    """Return the tries worth refining: the fullest and the densest, in turns."""
    most = _REFINED.get(effort, _REFINED["normal"])
    fullest = sorted(tries, key=lambda each: each[:3])[:most]
    densest = sorted(tries, key=lambda each: (each[1], each[0], each[2]))[:most]
    order = [each for pair in zip(fullest, densest, strict=True) for each in pair]
    return list({each[2]: each for each in order}.values())


def _frame(room: WorkArea, *, upright: bool) -> tuple[float, float]:
    box = room.bounds
    return (box.height, box.width) if upright else (box.width, box.height)


def _limit(item: Item, room: WorkArea, gap: float) -> int:
    box = room.bounds
    grown = (box.width + gap) * (box.height + gap)
    # Half the gap about a piece adds at least half the gap times its perimeter.
    least = area(item.outline) + gap / 2.0 * sum(part.length for part in item.outline.segments)
    # A hollow outline's band may overlap itself; its area alone is always a bound.
    if any(vertex.bulge < 0.0 for vertex in item.outline.vertices):
        least = area(item.outline)
    return math.floor(grown / least + 1e-9)


def _frames(item: Item, turn: float) -> tuple[tuple[float, tuple[bool, ...]], ...]:
    """Return the turns at which rows are made, each with the frames they may be laid in.

    An upright frame turns everything in it a quarter back, so that its rows stand up and follow
    each other from the left. Where any turn will do one set of rows serves both frames; else
    upright rows are made a quarter turn on.
    """
    if item.stated_turns_deg is None:
        return ((turn, (False, True)),)
    return ((turn, (False,)), (turn + 90.0, (True,)))


def _turns(item: Item, surely: float, effort: str) -> list[float]:
    """Return the turns to try; rows run both ways at each, so quarter turns add nothing."""
    turns: list[float] = []
    for turn in (surely, *candidate_turns(item)):
        if not any(_alike(item.outline, turn, other) for other in turns):
            turns.append(turn)
    return turns[: _TURNS.get(effort, _TURNS["normal"])]


def _alike(outline: Outline, turn: float, other: float) -> bool:
    """Tell whether two turns of an outline look the same, but for half a turn."""
    if turn == other:
        return True
    one, two = turned(outline, turn).vertices, turned(outline, other).vertices
    half = turned(outline, other + 180.0).vertices
    scale = 1e-6 * max(1.0, outline.bounds.width)
    return any(
        all(min(abs(v.x - w.x) + abs(v.y - w.y) for w in candidate) < scale for v in one)
        for candidate in (two, half)
    )


def _stacks(shape: Shape, item: Item, turn: float) -> Iterator[Stack]:
    half_turns = _half_turns(item)
    for unit in units_of(shape, turn, half_turns=half_turns):
        yield from stacks(shape, unit, half_turns=half_turns)


def _half_turns(item: Item) -> bool:
    """Tell whether every allowed turn is allowed half a turn round too."""
    stated = item.stated_turns_deg
    return stated is None or all((turn + 180.0) % 360.0 in stated for turn in stated)


def _count(rows: list[Row]) -> int:
    return sum(copies for row in rows for _, _, copies in row.starts)


def _placements(
    piece: str,
    rows: list[Row],
    upright: bool,  # noqa: FBT001 - as found
    room: WorkArea,
) -> Iterator[Placement]:
    """Yield the places of rows laid in a frame, turned upright where the frame was."""
    box = room.bounds
    for row in rows:
        found: list[tuple[float, float, float]] = []
        for index, start, copies in row.starts:
            each = row.unit.members[index]
            found.extend(
                (start + copy * row.unit.period, row.y + each.y, each.turn_deg)
                for copy in range(copies)
            )
        for x, y, turn in sorted(found):
            if upright:
                yield Placement(piece, Rigid((turn - 90.0) % 360.0, box.left + y, box.top - x))
            else:
                yield Placement(piece, Rigid(turn, box.left + x, box.bottom + y))
