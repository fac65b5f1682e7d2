"""Rows that use the width across a strip to its end, along either side of a sheet, in order."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from operator import itemgetter

from geometry.layout.item import Item
from geometry.layout.rows.loose_rows import LooseRows, loose_rows, turned_rows
from geometry.layout.rows.row_patterns import frames
from geometry.layout.rows.row_units import UnitShape
from geometry.layout.sides import size_of
from geometry.model.cutter import WorkArea


def ordered_rows(
    item: Item,
    room: WorkArea,
    count: int,
    shape: UnitShape,
    turns: Sequence[float],
    limit: float,
    stand: tuple[bool, ...],
    *,
    half_turns: bool,
) -> list[tuple[tuple[float, float, bool], LooseRows]]:
    """Return rows that use the width across a strip to its end, those of the lowest strip first.

    Each comes with about the share of the rectangle that it takes, its period, mm, and whether it
    stands up. ``stand`` are the frames that rows may be laid in: lying, or standing up. Rows at
    other turns than those given are left out if they take more than the share ``limit``.
    """
    found: dict[tuple[float, float, bool], LooseRows] = {}
    heights = {upright: size_of(room, upright=upright)[1] for upright in stand}
    for upright, rows in _rows_on(
        item, room, count, shape, turns, limit, stand, half_turns=half_turns
    ):
        # Turns that look alike make the same rows.
        key = (round(rows.height / heights[upright], 9), rows.period_key, upright)
        found.setdefault(key, rows)
    return sorted(found.items(), key=itemgetter(0))


def _rows_on(
    item: Item,
    room: WorkArea,
    count: int,
    shape: UnitShape,
    turns: Sequence[float],
    limit: float,
    stand: tuple[bool, ...],
    *,
    half_turns: bool,
) -> Iterator[tuple[bool, LooseRows]]:
    """Yield rows that use the width across a strip to its end, and whether they stand up."""
    for turn in turns:
        for local, uprights in frames(item, turn):
            for upright in (each for each in uprights if each in stand):
                width, _ = size_of(room, upright=upright)
                for rows in loose_rows(shape, local, width, count, half_turns=half_turns):
                    yield upright, rows
    if item.stated_turns_deg is None:
        for upright in stand:
            width, height = size_of(room, upright=upright)
            for rows in turned_rows(shape, width, count, limit * height):
                yield upright, rows
