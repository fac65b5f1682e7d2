"""Layouts as the service makes them: with the nester."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from geometry import layout
from geometry.layout import Item, Layout
from geometry.layout.dies import dies
from geometry.model.cutter import WorkArea
from geometry.proof.overlap import check_load
from service.sandbox.nester import installed


def lay_out(*what: Any, **how: Any) -> Layout:
    """Return the loads that cut an order."""
    return layout.lay_out(*what, **({"nester": installed()} | how))


def lay_out_dies(*what: Any, **how: Any) -> Layout:
    """Return one load for each die."""
    return dies.lay_out_dies(*what, **({"nester": installed()} | how))


def require_sound(found: Layout, items: Sequence[Item], room: WorkArea, gap: float) -> None:
    """Assert that every load is sound, and that all together hold what is wanted."""
    outlines = {each.piece: each.outline for each in items}
    held = dict.fromkeys(outlines, 0)
    for load in found.loads:
        assert check_load(outlines, load, room, gap) == []
        for piece, count in load.outlines.items():
            held[piece] += count * load.repeats
    assert held == {each.piece: each.quantity for each in items}
