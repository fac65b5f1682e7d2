"""Pieces of which as many are cut as fit: what else a request may say then."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from marshmallow import ValidationError

from service.requests.pieces import PieceRequest
from service.requests.runs import Run
from service.schemas.errors import unusable
from service.tools import kind_of


def wrong_most(
    pieces: Sequence[PieceRequest], runs: Sequence[Run], copies: int, *, has_spares: bool
) -> Iterator[ValidationError]:
    """Yield what speaks against filling a run with as many of a piece as fit."""
    for index, piece in enumerate(pieces):
        if not piece.fills:
            continue
        at = ("pieces", index, "quantity")
        if copies > 1:
            yield unusable("As many as fit are cut once; leave this out.", "copies")
        if has_spares:
            yield unusable("As many as fit leave no room for spares; leave this out.", "spares")
        within = [number for number, run in enumerate(runs) if piece.id in run.quantities]
        if len(within) != 1:
            yield unusable(
                f'How many fit depends on the run, and "{piece.id}" is in {len(within)} of them. '
                "State a number, or choose it with `pieces` in one run alone.",
                *at,
            )
            continue
        run, place = runs[within[0]], ("runs", within[0])
        if len(run.quantities) > 1:
            yield unusable(
                f"How many of one kind fit is asked of a run with that kind alone; run "
                f"{within[0] + 1} cuts {len(run.quantities)}. State a number, or choose the "
                "pieces of each run.",
                *at,
            )
        elif run.quantities[piece.id] != 1:
            detail = f'As many of "{piece.id}" are cut as fit; leave this out.'
            yield unusable(detail, *place, "pieces", 0, "quantity")
        if kind_of(run.cutter.tool).is_pressed:
            detail = "A die is pressed as often as you like; state how many pieces are wanted."
            yield unusable(detail, *at)
        if run.area.open_right and math.isinf(run.area.longest) and not run.stock:
            yield unusable(
                "An endless roll holds any number; state the length of the material as `height`, "
                "the `length` of the bed, or a number.",
                *at,
            )
