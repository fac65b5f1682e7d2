"""As many pieces of one kind as a rectangle holds, in rows."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import product
from typing import TypeAlias

from geometry.layout.bound import most_on_one
from geometry.layout.fit import candidate_turns, fitting_turn
from geometry.layout.free import add, placed_of
from geometry.layout.item import Item
from geometry.layout.polygons import turned
from geometry.layout.rows import Row, Stack, lay, refined, stacks
from geometry.layout.shaped import fill_shaped
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
#: Fillings whose edges are filled at each effort, and the pieces up to which that is worth it:
#: edges matter ever less as loads hold more.
_FILLED = {"quick": 0, "normal": 4, "best": 20}
_MOST_EDGED = 600
#: Share of the fullest rows that others must be able to reach to be laid at all.
_NEAR = 0.95
#: Part of those tries for outlines with arcs, which take ten times as long to draw together.
_FEWER = 0.4


#: Pieces held and density, each negative; number; the stack; whether its rows stand up.
_Try: TypeAlias = tuple[int, float, int, Stack, bool]


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
    enough: int | None = None,
) -> Filled:
    """Return as many outlines of an item as are wanted or as can be found room for.

    Args:
        item: what to place; its quantity is wanted.
        room: where it goes.
        gap: least distance between outlines, mm.
        effort: how long to search.
        out_of_time: says when time is up.
        enough: number at which the search may end, because more would save no load.

    Shape:
        At least one placement; in rows of a rectangle row by row from the bottom, left to right,
        then those that found room at the edges.

    Raises:
        DoesNotFit: when not even one fits.
    """
    if not room.is_rectangle:
        placed, complete = fill_shaped(item, room, gap=gap, effort=effort, out_of_time=out_of_time)
        return Filled(tuple(each.placement for each in placed), complete)
    surely = fitting_turn(item, room)
    box = room.bounds
    lone = turned(item.outline, surely).bounds
    best: tuple[Placement, ...] = (
        Placement(item.piece, Rigid(surely, box.left - lone.left, box.bottom - lone.bottom)),
    )
    limit = min(item.quantity, most_on_one(item, room, gap))
    goal = limit if enough is None else min(limit, enough)
    shape = Shape(item.outline, gap)
    tries: list[_Try] = []
    fullest = 0
    for turn in _turns(item, surely, effort):
        if out_of_time is not None and out_of_time():
            return Filled(best, complete=False)
        found = _enough(shape, item, turn, room, limit)
        if not found:
            more = _tries(shape, item, turn, room, len(tries), fullest)
            tries.extend(more)
            fullest = max((fullest, *(-each[0] for each in more)))
            found = _holding(goal, more, room)
        if found:
            return Filled(tuple(placements_of(item.piece, *found, room)), complete=True)
    laid: list[tuple[int, int, tuple[Placement, ...]]] = [(-1, -1, best)]
    for number, _, _, stack, upright in _promising(tries, effort, exact=shape.exact):
        if out_of_time is not None and out_of_time():
            return Filled(best, complete=False)
        if len(best) >= limit:
            return Filled(best[:limit], complete=True)
        rows = _laid(stack, room, upright=upright)
        if count_of(rows):
            placements = tuple(placements_of(item.piece, rows, upright, room))
            laid.append((-len(placements), number, placements))
            best = max(best, placements, key=len)
    return _edges_filled(
        item, room, sorted(laid, key=lambda each: each[:2]), limit, gap, effort, out_of_time
    )


def _edges_filled(
    item: Item,
    room: WorkArea,
    laid: list[tuple[int, int, tuple[Placement, ...]]],
    limit: int,
    gap: float,
    effort: str,
    out_of_time: Callable[[], bool] | None,
) -> Filled:
    """Return the fullest filling after pieces were put into what rows have left at the edges."""
    best = laid[0][2]
    # From nothing, too: where few fit, no rows may be better than any.
    most = _FILLED.get(effort, _FILLED["normal"])
    most = math.ceil(_FEWER * most) if item.outline.has_arcs else most
    for placements in (*(each[2] for each in laid[:most]), ()):
        if len(best) >= limit:
            break
        if out_of_time is not None and out_of_time():
            return Filled(best, complete=False)
        if max(len(placements), len(best)) > _MOST_EDGED or effort == "quick":
            continue
        placed = placed_of(placements, {item.piece: item.outline})
        add(item, limit - len(placed), room, placed, gap=gap, out_of_time=out_of_time)
        if len(placed) > len(best):
            best = (*placements, *(each.placement for each in placed[len(placements) :]))
    return Filled(best, complete=True)


def _enough(
    shape: Shape, item: Item, turn: float, room: WorkArea, wanted: int
) -> tuple[list[Row], bool] | None:
    """Return plain rows of the single piece when they already hold all that is wanted."""
    if wanted * area(item.outline) > area(room.boundary) * _EASY:
        return None
    for local, uprights in frames(item, turn):
        single = next(iter(units_of(shape, local, half_turns=False)))
        for stack, upright in product(stacks(shape, single, half_turns=False), uprights):
            rows = _laid(stack, room, upright=upright)
            if count_of(rows) >= wanted:
                return rows, upright
    return None


def _tries(
    shape: Shape, item: Item, turn: float, room: WorkArea, before: int, fullest: int
) -> list[_Try]:
    """Return every way to stack rows at one turn, with how much it holds before it is refined.

    Those too loose to come near the fullest so far are not laid, and hold nothing.
    """
    found: list[_Try] = []
    for local, uprights in frames(item, turn):
        for stack, upright in product(stacks_of(shape, item, local), uprights):
            frame = _frame(room, upright=upright)
            count = 0
            if _at_most(stack, *frame) >= _NEAR * fullest:
                count = count_of(lay(stack, *frame))
                fullest = max(fullest, count)
            found.append((-count, -stack.density, before + len(found), stack, upright))
    return found


def _at_most(stack: Stack, width: float, height: float) -> float:
    """Return more pieces than a stack can hold of a frame: no row too many, no copy too many."""
    up = sum(step.dy for step in stack.steps) / len(stack.steps)
    return stack.density * (width + stack.first.period) * (height + up)


def _holding(goal: int, tries: list[_Try], room: WorkArea) -> tuple[list[Row], bool] | None:
    """Return the fullest of the tries, refined, when it holds so many."""
    count, _, _, stack, upright = min(tries, key=lambda each: each[:3])
    rows = _laid(stack, room, upright=upright) if -count >= goal else []
    return (rows, upright) if count_of(rows) >= goal else None


def _laid(stack: Stack, room: WorkArea, *, upright: bool) -> list[Row]:
    """Return the rows of a stack, refined; none when its rows do not stand."""
    fine = refined(stack)
    return lay(fine, *_frame(room, upright=upright)) if fine is not None else []


def _promising(tries: list[_Try], effort: str, *, exact: bool) -> list[_Try]:
    """Return the tries worth refining: the fullest and the densest, in turns."""
    most = _REFINED.get(effort, _REFINED["normal"])
    most = most if exact else math.ceil(_FEWER * most)
    fullest = sorted(tries, key=lambda each: each[:3])[:most]
    densest = sorted(tries, key=lambda each: (each[1], each[0], each[2]))[:most]
    order = [each for pair in zip(fullest, densest, strict=True) for each in pair]
    return list({each[2]: each for each in order}.values())


def _frame(room: WorkArea, *, upright: bool) -> tuple[float, float]:
    box = room.bounds
    return (box.height, box.width) if upright else (box.width, box.height)


def turns_of(item: Item, surely: float, gap: float, effort: str) -> tuple[Shape, list[float]]:
    """Return the shape that rows are made of and the turns to make them at."""
    return Shape(item.outline, gap), _turns(item, surely, effort)


def frames(item: Item, turn: float) -> tuple[tuple[float, tuple[bool, ...]], ...]:
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


def stacks_of(shape: Shape, item: Item, turn: float) -> Iterator[Stack]:
    """Yield ways to stack rows of an item at one turn."""
    half_turns, quarter_turns = _turns_too(item, 180.0), _turns_too(item, 90.0)
    for unit in units_of(shape, turn, half_turns=half_turns, quarter_turns=quarter_turns):
        yield from stacks(shape, unit, half_turns=half_turns)


def _turns_too(item: Item, by: float) -> bool:
    """Tell whether every allowed turn is allowed so many degrees round too."""
    stated = item.stated_turns_deg
    return stated is None or all((turn + by) % 360.0 in stated for turn in stated)


def count_of(rows: list[Row]) -> int:
    """Return how many pieces rows hold."""
    return sum(copies for row in rows for _, _, copies in row.starts)


def placements_of(
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
