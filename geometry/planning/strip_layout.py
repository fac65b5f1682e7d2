"""The layout of a roll in strips as a person cuts them: no other layout may take more length.

The strips are those of ``geometry.planning.yardage``, turned by a quarter: there the lengthwise
grain goes up, and here it runs along the roll.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace

from geometry.errors import GeometryError
from geometry.layout.item import Item
from geometry.layout.task import load_count
from geometry.measure import centroid
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.model.placement import Load, Placement
from geometry.model.transform import Rigid
from geometry.offset.allowance import make_patch
from geometry.planning.cloth import Cut, Fabric
from geometry.planning.strip_filling import CutStrip, StripPortion
from geometry.planning.strips import StripPattern, moves_in_strip
from geometry.planning.triangles import SharedRectangle, shared_rectangle
from geometry.planning.yardage import Yardage, yardage
from geometry.proof.overlap import check_load
from geometry.tolerance import LAYOUT_ACCURACY

#: Turn, degrees, from cloth, whose lengthwise grain goes up, to a roll, where it goes to the right.
_ON_ROLL = 90.0
#: Corners of a triangle on an edge of its box if its long side lies there; rounding, mm.
_LONG_SIDE, _NEAR = 2, 1e-6


def strip_layouts(
    items: Sequence[Item], room: WorkArea, gap: float, *, one_load: bool = False
) -> tuple[tuple[Load, ...], ...]:
    """Return the layout of a roll in strips as a person cuts them; empty if strips cannot be cut.

    Args:
        items: what to place.
        room: a roll.
        gap: least distance between outlines, mm. Strips are cut for pieces that are larger by
            half the gap all round.
        one_load: whether everything must go on one load.
    """
    found = _strips(items, room, gap)
    if found is None:
        return ()
    loads = tuple(_loads(items, found, room, gap))
    return (loads,) if loads and (load_count(loads) == 1 or not one_load) else ()


def strips_length(items: Sequence[Item], room: WorkArea, gap: float) -> float:
    """Return the length of such strips on one load, mm; infinite if strips cannot be cut.

    Only one strip of each kind is laid out, so millions of pieces take no more time than a few.
    """
    found = _strips(items, room, gap)
    if found is None or not _can_be_cut(items, found, room, gap):
        return math.inf
    return math.fsum(strip.height * strip.repeats for strip in found.strips) - gap


def _strips(items: Sequence[Item], room: WorkArea, gap: float) -> Yardage | None:
    """Return the strips of items that are grown by half the gap; ``None`` where there are none."""
    if not room.open_right or not room.is_rectangle:
        return None
    try:
        return yardage(
            [_cut(item, gap) for item in items], Fabric(room.bounds.height + gap, ruler_step=0.0)
        )
    except GeometryError:
        # A piece is too wide, or too hollow to be grown by the gap.
        return None


def _cut(item: Item, gap: float) -> Cut:
    """Return an item as a piece to be cut from cloth whose grain goes up."""
    outline = make_patch(item.outline, gap / 2.0).outline if gap > 0.0 else item.outline
    turns = item.stated_turns_deg
    allowed = None if turns is None else tuple((turn - _ON_ROLL) % 360.0 for turn in turns)
    box = outline.bounds
    return Cut(
        box.width, box.height, item.quantity, allowed, shared_rectangle(outline, 0.0), outline
    )


def _loads(items: Sequence[Item], found: Yardage, room: WorkArea, gap: float) -> Iterator[Load]:
    """Yield the lengths of roll that hold all strips, the widest strips first."""
    if not _can_be_cut(items, found, room, gap):
        return
    strips = sorted(
        (strip for strip in found.strips for _ in range(strip.repeats)),
        key=lambda strip: -strip.height,
    )
    limit = room.longest + gap + LAYOUT_ACCURACY
    if any(strip.height > limit for strip in strips):
        return
    lengths: list[list[CutStrip]] = []
    used: list[float] = []
    for strip in strips:
        fits = (at for at, length in enumerate(used) if length + strip.height <= limit)
        at = next(fits, len(lengths))
        if at == len(lengths):
            lengths.append([])
            used.append(0.0)
        lengths[at].append(strip)
        used[at] += strip.height
    for alike, repeats in Counter(tuple(each) for each in lengths).items():
        yield Load(tuple(_placed(items, found, alike, room, gap)), repeats)


def _can_be_cut(items: Sequence[Item], found: Yardage, room: WorkArea, gap: float) -> bool:
    """Return whether all strips can be cut; strips do not overlap, so each is checked alone."""
    outlines = {item.piece: item.outline for item in items}
    return not any(
        check_load(outlines, Load(tuple(_placed(items, found, (strip,), room, gap))), room, gap)
        for strip in {replace(each, repeats=1) for each in found.strips}
    )


def _placed(
    items: Sequence[Item],
    found: Yardage,
    strips: Sequence[CutStrip],
    room: WorkArea,
    gap: float,
) -> Iterator[Placement]:
    """Yield the pieces of strips that stand side by side from the left."""
    outlines = {rows.index: rows.cut.cut_outline for rows in found.rows}
    left, bottom = room.bounds.left - gap / 2.0, room.bounds.bottom - gap / 2.0
    for strip in strips:
        for portion in strip.portions:
            for move in _moves(outlines[portion.index], portion):
                # A quarter turn takes the strip's upper side to the left.
                yield Placement(
                    items[portion.index].piece,
                    Rigid(
                        (move.turn_deg + _ON_ROLL) % 360.0,
                        left + strip.height - portion.level - move.y,
                        bottom + portion.start + move.x,
                    ),
                )
        left += strip.height


def _moves(outline: Outline, portion: StripPortion) -> tuple[Rigid, ...]:
    """Return how pieces lie in what is left of a strip, from its lower left corner."""
    pattern, shared, count = portion.way.pattern, portion.way.shared, portion.count
    if shared is None:
        return moves_in_strip(outline, pattern, portion.room, count)
    in_cell = _in_cell(outline, pattern, shared)
    return tuple(
        Rigid(move.turn_deg, move.x + index // len(in_cell) * pattern.width, move.y)
        for index, move in ((index, in_cell[index % len(in_cell)]) for index in range(count))
    )


def _in_cell(outline: Outline, pattern: StripPattern, shared: SharedRectangle) -> list[Rigid]:
    """Return how pieces lie in a rectangle that they share."""
    if shared.needs_quarter_turn:
        return _four_in_a_square(outline, pattern.width)
    if shared.is_end_to_end:
        below = _to_corner(outline, pattern.turn_deg)
        return [below, Rigid(below.turn_deg, below.x, below.y + pattern.height / 2.0)]
    return [_to_end(outline, pattern, turn) for turn in (0.0, 180.0)]


def _to_corner(outline: Outline, turn_deg: float) -> Rigid:
    """Return the move that turns an outline and puts its box at the origin."""
    box = Rigid(turn_deg % 360.0).outline(outline).bounds
    return Rigid(turn_deg % 360.0, -box.left, -box.bottom)


def _to_end(outline: Outline, pattern: StripPattern, turn_deg: float) -> Rigid:
    """Return the move that puts an outline into the corner of a shared rectangle nearest its bulk.

    An outline as large as the rectangle, such as a triangle, only turns.
    """
    move = _to_corner(outline, pattern.turn_deg + turn_deg)
    lying = move.outline(outline)
    box, middle = lying.bounds, centroid(lying)
    right = pattern.width - box.width if middle.x > box.width / 2.0 else 0.0
    up = pattern.height - box.height if middle.y > box.height / 2.0 else 0.0
    return Rigid(move.turn_deg, move.x + right, move.y + up)


def _four_in_a_square(outline: Outline, side: float) -> list[Rigid]:
    """Return the moves of four triangles that fill a square, each with its long side on an edge."""
    found = []
    for turn in (0.0, 90.0, 180.0, 270.0):
        lying = Rigid(turn).outline(outline)
        box, move = lying.bounds, _to_corner(outline, turn)
        on_left = sum(v.x <= box.left + _NEAR for v in lying.vertices) == _LONG_SIDE
        on_bottom = sum(v.y <= box.bottom + _NEAR for v in lying.vertices) == _LONG_SIDE
        upright = box.height > box.width
        right = side - box.width if upright and not on_left else 0.0
        up = side - box.height if not upright and not on_bottom else 0.0
        found.append(Rigid(turn, move.x + right, move.y + up))
    return found
