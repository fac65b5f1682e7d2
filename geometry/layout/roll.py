"""Pieces on roll stock: its width is given, its length is to be short."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import product

from geometry.layout.bottom_left import Placed, add
from geometry.layout.bound import grown_area
from geometry.layout.effort import Budget, Effort
from geometry.layout.fit import DoesNotFit, fitting_turn
from geometry.layout.item import Item
from geometry.layout.nester_search import shortest
from geometry.layout.objective import placement_bounds
from geometry.layout.polygons import turned
from geometry.layout.row_laying import lay, most_held, placements_of
from geometry.layout.row_patterns import frames, patterns_of, turns_of
from geometry.layout.rows import Stack
from geometry.layout.sides import size_of
from geometry.layout.strips import KnownStrip, row_strips
from geometry.measure import area
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.model.placement import Placement, shifted

#: Pieces up to which they are also laid one by one, all kinds together.
_MAX_FREE = 150
#: Pieces up to which those are laid twice, with the turns in one order and in the other.
_MAX_TWICE = 40
_HALVINGS = 24
#: Turns of a piece that is laid one by one where rows do not go.
_FEW_TURNS = 8
#: Steps for one row pattern refined and laid. Own measurement.
_STEPS_PER_PATTERN = 12.0
#: Row patterns refined for a roll of many pieces, all kinds together: half of what a search of the
#: usual effort may take.
_MANY_PATTERNS = 100


def roll_layouts(
    items: Sequence[Item],
    room: WorkArea,
    *,
    gap: float,
    effort: Effort,
    seed: int,
    budget: Budget,
) -> Iterator[tuple[Placement, ...]]:
    """Yield ever shorter lengths of roll with everything on them.

    Each kind in its own stretch first, then all kinds together.

    Raises:
        DoesNotFit: when an item is wider than the roll however it may be turned.
        SearchEnded: when the budget is spent.
    """
    left = room.bounds.left
    outlines = {item.piece: item.outline for item in items}
    bands: list[Placement] = []
    for item in sorted(items, key=_by_area):
        _require_width(item, room, gap)
        stretch = _from(room, left, _longest([item], room, gap))
        patterns = _patterns(item, items, effort)
        band = _shortened(
            item, _band(item, stretch, gap, effort, budget, patterns), stretch, gap, effort, budget
        )
        bands.extend(band)
        left = _end(band, outlines) + gap
    best = tuple(bands)
    yield best
    for found in _all_together(items, room, gap, effort, seed, budget):
        if _end(found, outlines) < _end(best, outlines):
            best = found
            yield best


def _all_together(
    items: Sequence[Item],
    room: WorkArea,
    gap: float,
    effort: Effort,
    seed: int,
    budget: Budget,
) -> Iterator[tuple[Placement, ...]]:
    """Yield layouts of all kinds together: piece by piece, then as the nester lays them.

    Raises:
        SearchEnded: when the budget is spent.
    """
    if sum(item.quantity for item in items) <= _MAX_FREE and effort.edge_fillings:
        singly = _one_by_one(items, room, gap, effort, budget)
        if singly:
            yield singly
    if effort.both_directions:
        for placed in shortest(items, room, gap=gap, seed=seed, budget=budget):
            yield tuple(each.placement for each in placed)


def _require_width(item: Item, room: WorkArea, gap: float) -> None:
    """Raise when an item is wider than the roll or longer than can be drawn off it."""
    enough = min(_longest([item], room, gap), room.longest)
    try:
        fitting_turn(item, _from(room, room.bounds.left, enough))
    except DoesNotFit as error:
        # The roll itself has no end: only a stated limit is one.
        width = min(error.needed[0], room.longest)
        available = (width, room.bounds.height)
        raise DoesNotFit(item.piece, error.needed, available, error.largest_scale) from None


def _longest(items: Sequence[Item], room: WorkArea, gap: float) -> float:
    """Return a length that is surely enough: every piece on a length of its own, mm."""
    reach = max(
        (part.width + part.height for part in (item.outline.bounds for item in items)), default=0.0
    )
    taken = sum(grown_area(item.outline, gap) * item.quantity for item in items)
    count = sum(item.quantity for item in items)
    return min(count * (reach + gap), 8.0 * taken / room.bounds.height + 8.0 * reach)


def _from(room: WorkArea, left: float, length: float) -> WorkArea:
    box = room.bounds
    return WorkArea.rectangle(left, box.bottom, length, box.height)


def _end(placements: Sequence[Placement], outlines: Mapping[str, Outline]) -> float:
    return max(_ends(placements, outlines))


def _ends(placements: Sequence[Placement], outlines: Mapping[str, Outline]) -> list[float]:
    """Return where each piece ends along the roll, mm; each turn of a kind is measured once."""
    reach: dict[tuple[str, float, bool], float] = {}
    ends = []
    for each in placements:
        move = each.move
        key = (each.piece, move.turn_deg, move.mirrored)
        if key not in reach:
            reach[key] = turned(outlines[each.piece], move.turn_deg, move.mirrored).bounds.right
        ends.append(move.x + reach[key])
    return ends


def _patterns(item: Item, items: Sequence[Item], effort: Effort) -> int:
    """Return how many row patterns are refined for one of several kinds.

    Of many pieces that fill the plane equally well, turned otherwise, the width of the roll
    decides; a few are laid in other ways as well.
    """
    if item.quantity <= _MAX_FREE or not effort.edge_fillings:
        return effort.roll_refined
    many = sum(each.quantity > _MAX_FREE for each in items)
    return max(effort.roll_refined, _MANY_PATTERNS // many)


def _band(
    item: Item, room: WorkArea, gap: float, effort: Effort, budget: Budget, patterns: int
) -> tuple[Placement, ...]:
    """Return rows of one kind that hold all of it on the least length."""
    surely = fitting_turn(item, room)
    tries: list[tuple[float, int, Stack, bool]] = []
    shape, turns = turns_of(item, surely, gap, effort)
    for turn in turns:
        for local, uprights in frames(item, turn):
            for stack, upright in product(patterns_of(shape, item, local).stacks, uprights):
                tries.append((-round(stack.density, 9), len(tries), stack, upright))
    best: tuple[Placement, ...] = ()
    least = room.bounds.width
    for _, _, stack, upright in sorted(tries, key=lambda each: each[:2])[:patterns]:
        budget.spend(_STEPS_PER_PATTERN)
        fine = stack.refined
        if fine is None:
            continue
        length = _length(fine, upright, item.quantity, least, room.bounds.height)
        if length is not None and (not best or length < least):
            least = length
            strip = WorkArea.rectangle(
                room.bounds.left, room.bounds.bottom, length, room.bounds.height
            )
            rows = lay(fine, *size_of(strip, upright=upright))
            found = list(placements_of(item.piece, rows, upright, strip))
            best = _leftmost(found, item)
    if not best:
        placed: list[Placed] = []
        add(item, item.quantity, room, placed, gap=gap, turns=_FEW_TURNS, budget=budget)
        best = tuple(each.placement for each in placed)
    return best


def _shortened(
    item: Item,
    band: tuple[Placement, ...],
    room: WorkArea,
    gap: float,
    effort: Effort,
    budget: Budget,
) -> tuple[Placement, ...]:
    """Return the rows that hold a few pieces on the least length, if it is less than a band's.

    The densest rows are the shortest where they are many; of a few pieces others end sooner.
    """
    if item.quantity > _MAX_FREE:
        return band
    outlines, left = {item.piece: item.outline}, room.bounds.left
    length = _end(band, outlines) - left
    found = row_strips(
        item,
        WorkArea.rectangle(left, room.bounds.bottom, length, room.bounds.height),
        item.quantity,
        gap=gap,
        effort=effort,
        budget=budget,
        known=KnownStrip(),
        from_left_only=True,
    )
    for filling in found:
        moved = shifted(filling, left - placement_bounds(filling, outlines).left, 0.0)
        if _end(moved, outlines) < _end(band, outlines):
            band = moved
    return band


def _leftmost(found: list[Placement], item: Item) -> tuple[Placement, ...]:
    rights = _ends(found, {item.piece: item.outline})
    ends = sorted((round(right, 6), index) for index, right in enumerate(rights))
    kept = {index for _, index in ends[: item.quantity]}
    return tuple(each for index, each in enumerate(found) if index in kept)


def _length(
    stack: Stack,
    upright: bool,  # noqa: FBT001 - as found
    wanted: int,
    longest: float,
    height: float,
) -> float | None:
    """Return the least length of roll on which rows hold all, or ``None`` above the longest."""

    def enough(length: float) -> bool:
        frame = (height, length) if upright else (length, height)
        return most_held(stack, *frame) >= wanted

    if not enough(longest):
        return None
    low, high = 0.0, longest
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        if enough(middle):
            high = middle
        else:
            low = middle
    return high


def _one_by_one(
    items: Sequence[Item],
    room: WorkArea,
    gap: float,
    effort: Effort,
    budget: Budget,
) -> tuple[Placement, ...] | None:
    room = _from(room, room.bounds.left, _longest(items, room, gap))
    best: tuple[Placement, ...] | None = None
    outlines = {item.piece: item.outline for item in items}
    few = sum(item.quantity for item in items) <= _MAX_TWICE
    for key, reverse in product((_by_area, _by_reach), (False, True) if few else (False,)):
        placed: list[Placed] = []
        for item in sorted(items, key=key):
            turns = effort.turns_per_piece
            add(
                item,
                item.quantity,
                room,
                placed,
                gap=gap,
                turns=turns,
                budget=budget,
                reverse=reverse,
            )
        if len(placed) < sum(item.quantity for item in items):
            continue
        found = tuple(each.placement for each in placed)
        if best is None or _end(found, outlines) < _end(best, outlines):
            best = found
    return best


def _by_area(item: Item) -> float:
    return -area(item.outline)


def _by_reach(item: Item) -> float:
    return -max(item.outline.bounds.width, item.outline.bounds.height)
