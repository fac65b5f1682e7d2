"""A run of one piece of which as many are cut as there is room for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from geometry.layout import Item
from service.pieces.model import Kit
from service.requests.copies import Portion
from service.requests.portions import uses_of
from service.requests.runs import Run
from service.runs.layout_step import LaidOutRun, lay, reach_warnings, room_of
from service.runs.plies import finished, plies_of
from service.tools.layouts import LayoutSearch


def filled(
    kit: Kit, run: Run, items: Sequence[Item], search: LayoutSearch, most: int
) -> tuple[Run, Sequence[Item], LaidOutRun]:
    """Return a run with as many of its piece as one load holds, and that load.

    Args:
        kit: the kit.
        run: of one piece.
        items: that piece.
        search: what a search is given.
        most: outlines at most.

    Raises:
        DoesNotFit: when not even one fits.
    """
    room = room_of(run, items)
    (item,) = items
    layout = lay([replace(item, quantity=most)], run, room, search, fullest=True)
    run, items = with_quantity(kit, run, items, len(layout.loads[0].placements))
    return run, items, LaidOutRun(layout, room, reach_warnings(run, items))


def with_quantity(
    kit: Kit, run: Run, items: Sequence[Item], outlines: int
) -> tuple[Run, Sequence[Item]]:
    """Return a run and its item with the quantity that so many outlines give."""
    (piece,) = run.quantities
    made = finished(plies_of(kit, run), {piece: outlines})[piece]
    run = replace(
        run,
        quantities={piece: made * uses_of(run)},
        portions={piece: Portion(made)},
    )
    return run, [replace(item, quantity=outlines) for item in items]
