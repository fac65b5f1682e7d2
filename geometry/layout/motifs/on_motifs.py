"""Pieces on the motifs of a print: each with its point on the middle of one, turned as it is."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product

import numpy as np

from geometry import polygons
from geometry.errors import GeometryError
from geometry.layout.bound import min_length, min_loads
from geometry.layout.effort import Budget, Effort
from geometry.layout.fitting.bottom_left import Placed, Variant, add
from geometry.layout.fitting.inner_fit import inner_fit
from geometry.layout.item import Item, Layout
from geometry.layout.motifs.independent import largest_choice
from geometry.layout.motifs.motif_conflicts import collide, exclusions
from geometry.layout.objective import placement_bounds, used_strip
from geometry.layout.offcuts import offcuts_of, used_of
from geometry.measure import area
from geometry.model.cutter import WorkArea
from geometry.model.motif import Motif, PrintedCloth
from geometry.model.outline import Outline
from geometry.model.placement import Load, Placement
from geometry.model.points import Point
from geometry.model.segments import Bounds
from geometry.model.transform import Rigid, cos_sin_deg

#: Motifs on one load that are looked at: a print of finer ones asks for no piece on each.
MAX_MOTIFS = 4_000
#: Patterns that repeat after at most so many columns and rows are tried, each from every start.
_MAX_PERIOD = 4
#: Turns that differ by less than this are the same, degrees; outlines by less than this, mm.
_SAME_TURN, _SAME = 1e-6, 1e-6
#: Halvings in the search for the shortest length of a roll.
_HALVINGS = 12


class NoMotif(GeometryError):  # noqa: N818 - it states a fact of the layout
    """No motif on the sheet lies so that a piece is cut from it."""


@dataclass(frozen=True)
class MotifTask:
    """Pieces to be laid on a print.

    Attributes:
        items: what to place; those without an anchor lie anywhere between the others.
        room: where outlines may lie.
        gap: least distance between outlines, mm.
        cloth: the print and how it lies.
        anchors: by piece, the point of its outline that lies on the middle of a motif.
    """

    items: Sequence[Item]
    room: WorkArea
    gap: float
    cloth: PrintedCloth
    anchors: Mapping[str, Point]


def lay_on_motifs(task: MotifTask, effort: Effort, *, fullest: bool = False) -> Layout:
    """Return the loads that cut an order from a print.

    Args:
        task: what is laid out, and where.
        effort: how wide pieces without a motif are looked for.
        fullest: whether one load with as many as it holds of the only item is wanted.

    Raises:
        NoMotif: when no motif lies so that a piece fits.
    """
    left = {item.piece: item.quantity for item in task.items}
    loads: list[Load] = []
    while any(left.values()):
        filling = _one_load(task, left, effort)
        if not filling:
            raise _no_motif(task, left)
        load = Load(tuple(filling))
        repeats = min(left[piece] // count for piece, count in load.outlines.items())
        if fullest:
            counted = [replace(item, quantity=load.outlines[item.piece]) for item in task.items]
            return _layout(replace(task, items=counted), [load])
        if task.room.open_right and math.isinf(task.room.longest):
            repeats = 1
        loads.append(replace(load, repeats=repeats))
        for piece, count in load.outlines.items():
            left[piece] -= count * repeats
    return _layout(task, loads)


def _no_motif(task: MotifTask, left: Mapping[str, int]) -> NoMotif:
    item = next(item for item in task.items if left[item.piece])
    where = ("material", "motif")
    if item.piece in task.anchors and not _lies_on_any(task, item):
        return NoMotif(
            f'The grain of piece "{item.piece}" does not let it turn as the motifs are turned; use '
            'grain "free", with which it follows each motif, or another turn of the motifs.',
            where=where,
        )
    return NoMotif(
        f'No motif lies so far from the edges that piece "{item.piece}" can be cut there with its '
        "grain; use a larger sheet, another grain, or say where the print begins on it (origin).",
        where=where,
    )


def _lies_on_any(task: MotifTask, item: Item) -> bool:
    """Return whether the grain of a piece lets it lie on some motif of the repeat."""
    motifs = (task.cloth.at(0, 0, number) for number in range(len(task.cloth.repeat.positions)))
    anchor = task.anchors[item.piece]
    return any(way_on(each, item, anchor, task.cloth) is not None for each in motifs)


def _one_load(task: MotifTask, left: Mapping[str, int], effort: Effort) -> list[Placement]:
    """Return one load: pieces on motifs, the largest kind first, then all others between them."""
    if task.room.open_right:
        return _on_roll(task, left, effort)
    return _in_room(task, task.room, left, effort)


def _in_room(
    task: MotifTask, room: WorkArea, left: Mapping[str, int], effort: Effort
) -> list[Placement]:
    placed: list[Placed] = []
    for item in sorted(task.items, key=lambda each: -area(each.outline)):
        if left[item.piece] and item.piece in task.anchors:
            placed.extend(_on_print(task, item, room, placed, left[item.piece]))
    for item in sorted(task.items, key=lambda each: -area(each.outline)):
        if left[item.piece] and item.piece not in task.anchors:
            budget = Budget(math.inf)
            turns = effort.turns_per_piece
            add(item, left[item.piece], room, placed, gap=task.gap, turns=turns, budget=budget)
    return [each.placement for each in placed]


def _on_roll(task: MotifTask, left: Mapping[str, int], effort: Effort) -> list[Placement]:
    """Return the pieces on the shortest length of roll that was found, or on all there may be."""
    box, longest = task.room.bounds, task.room.longest

    def laid(length: float) -> list[Placement]:
        frame = WorkArea.rectangle(box.left, box.bottom, length, box.height)
        return _in_room(task, frame, left, effort)

    wanted = sum(left.values())
    low, high = 0.0, min(longest, 4.0 * (task.cloth.repeat.width + task.cloth.repeat.height))
    found = laid(high)
    while len(found) < wanted and high < longest:
        if task.cloth.motifs_in(Bounds(0.0, 0.0, 2.0 * high, box.height)) > MAX_MOTIFS:
            break
        low, high = high, min(longest, 2.0 * high)
        found = laid(high)
    if len(found) < wanted:
        return found
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        shorter = laid(middle)
        if len(shorter) >= wanted:
            high, found = middle, shorter
        else:
            low = middle
    return found


def _on_print(
    task: MotifTask, item: Item, room: WorkArea, beside: Sequence[Placed], wanted: int
) -> list[Placed]:
    """Return up to so many pieces of a kind on motifs, clear of those that are placed."""
    places = [
        (motif, placed)
        for motif, placed in _places(task, item, room)
        if not any(collide(placed, other, task.gap) for other in beside)
    ]
    pieces = [placed for _, placed in places]
    excluded = exclusions(pieces, task.gap)
    chosen = largest_choice(excluded, _patterns([motif for motif, _ in places]))
    return _nearest([pieces[at] for at in chosen], room, wanted)


def _places(task: MotifTask, item: Item, room: WorkArea) -> Iterator[tuple[Motif, Placed]]:
    """Yield every motif on which a piece fits into a room, and the piece there."""
    if task.cloth.motifs_in(room.bounds) > MAX_MOTIFS:
        raise GeometryError(
            f"The print has more than {MAX_MOTIFS} motifs on one load; such a small repeat is cut "
            "without regard to it: leave the motif out.",
            where=("material", "motif"),
        )
    anchor = task.anchors[item.piece]
    ways: dict[float, Variant | None] = {}
    for motif in task.cloth.motifs(room.bounds):
        if motif.turn_deg not in ways:
            ways[motif.turn_deg] = way_on(motif, item, anchor, task.cloth)
        way = ways[motif.turn_deg]
        if way is None:
            continue
        placed = placed_on(motif, item, anchor, way)
        if inner_fit(room, way.outline).intersects(polygons.Point(placed.x, placed.y)):
            yield motif, placed


def placed_on(motif: Motif, item: Item, anchor: Point, way: Variant) -> Placed:
    """Return a piece with its point on a motif."""
    cos, sin = cos_sin_deg(way.turn_deg)
    x = motif.x - (anchor.x * cos - anchor.y * sin)
    y = motif.y - (anchor.x * sin + anchor.y * cos)
    return Placed(item.piece, way, x, y)


def way_on(motif: Motif, item: Item, anchor: Point, cloth: PrintedCloth) -> Variant | None:
    """Return how a piece lies on a motif; ``None`` where its grain forbids it.

    A piece whose outline looks the same at an allowed turn about the motif may be on it as well.
    """
    turn_deg, allowed = motif.turn_deg, item.stated_turns_deg
    if allowed is None:
        return Variant(turn_deg, item.outline)
    # The grain follows the cloth: by how much that lies askew, all allowed turns do.
    askew = cloth.lies.turn_deg - cloth.base_deg
    there = Rigid(turn_deg).outline(_about(item.outline, anchor))
    for turn in allowed:
        lying = round((turn + askew) % 360.0, 9)
        apart = abs((lying - turn_deg + 180.0) % 360.0 - 180.0)
        if apart < _SAME_TURN or _alike(Rigid(lying).outline(_about(item.outline, anchor)), there):
            return Variant(lying, item.outline)
    return None


def _about(outline: Outline, anchor: Point) -> Outline:
    return Rigid(0.0, -anchor.x, -anchor.y).outline(outline)


def _alike(one: Outline, other: Outline) -> bool:
    """Return whether two outlines are the same in the same place, wherever they begin."""
    a = np.array([(v.x, v.y, v.bulge) for v in one.vertices])
    b = np.array([(v.x, v.y, v.bulge) for v in other.vertices])
    near = np.abs(a[:, None, :] - b[None, :, :]).max(axis=2).min(axis=1)
    return bool(near.max() < _SAME)


def _patterns(motifs: Sequence[Motif]) -> Iterator[list[int]]:
    """Yield choices of motifs that repeat every few columns and rows, moved up by column."""
    period = range(1, _MAX_PERIOD + 1)
    for across, up in product(period, period):
        for shift, column, row in product(range(up), range(across), range(up)):
            yield [
                at
                for at, motif in enumerate(motifs)
                if (motif.column - column) % across == 0
                and (motif.row - row - shift * ((motif.column - column) // across)) % up == 0
            ]


def _nearest(pieces: Sequence[Placed], room: WorkArea, wanted: int) -> list[Placed]:
    """Return so many of the pieces, those on the least strip of the room."""
    if len(pieces) <= wanted:
        return list(pieces)
    outlines = {each.piece: each.variant.base for each in pieces}

    def ends(each: Placed) -> Bounds:
        return placement_bounds([each.placement], outlines)

    boxes = [ends(each) for each in pieces]
    numbers = range(len(pieces))
    orders = (
        sorted(numbers, key=lambda at: (boxes[at].right, boxes[at].top)),
        sorted(numbers, key=lambda at: (boxes[at].top, boxes[at].right)),
        sorted(numbers, key=lambda at: (-boxes[at].left, boxes[at].top)),
        sorted(numbers, key=lambda at: (-boxes[at].bottom, boxes[at].right)),
    )
    choices = [[pieces[at] for at in order[:wanted]] for order in orders]
    return min(
        choices,
        key=lambda chosen: round(
            used_strip([each.placement for each in chosen], outlines, room).area, 3
        ),
    )


def _layout(task: MotifTask, loads: Sequence[Load]) -> Layout:
    outlines = {item.piece: item.outline for item in task.items}
    offcuts = offcuts_of(loads, outlines, task.room, task.gap)
    used = used_of(loads, outlines, task.room, offcuts, task.gap)
    shares = []
    for load, strip in zip(loads, used, strict=True):
        covered = sum(area(outlines[piece]) * count for piece, count in load.outlines.items())
        shares.append(covered / (strip.area if task.room.open_right else area(task.room.boundary)))
    return Layout(
        loads=tuple(loads),
        bound=1 if task.room.open_right else min_loads(task.items, task.room, task.gap),
        offcuts=offcuts,
        utilisation=tuple(shares),
        used=used,
        length_bound=(
            min_length(task.items, task.room, task.gap) if task.room.open_right else None
        ),
    )
