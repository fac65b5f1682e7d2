"""What a stack of plies makes of each outline that is cut through it: pieces of either hand."""

from __future__ import annotations

import math
from dataclasses import dataclass

from geometry.hands import is_handed
from geometry.model.cutter import SteelRuleDie
from service.convert.values import Kit, Run


@dataclass(frozen=True)
class Plies:
    """Finished pieces that one cut outline gives: ``good`` ones, and ``mirrored`` ones besides.

    A mirror image that lies on the piece as well, or that the piece allows, is good.
    """

    good: int
    mirrored: int


def plies_of(kit: Kit, run: Run, piece: str) -> Plies:
    """Return what one outline of a piece gives in a run.

    Plies face to face lie in pairs: the second, fourth ... come out as mirror images.
    """
    each = kit.pieces[piece]
    turned_over = run.layers // 2 if run.stack == "face_to_face" else 0
    if not turned_over or each.mirror or not is_handed(each.region(run.cut).outline):
        return Plies(run.layers, 0)
    return Plies(run.layers - turned_over, turned_over)


def uses_of(run: Run) -> int:
    """Return how often each cut piece is used: templates again and again, patches once."""
    return run.reuse if run.cut == "template" else 1


def outlines_wanted(kit: Kit, run: Run, piece: str) -> int:
    """Return how many outlines a run must place to make enough of a piece."""
    per_outline = plies_of(kit, run, piece).good * uses_of(run)
    return math.ceil(run.quantities[piece] / per_outline)


def told_of_plies(kit: Kit, run: Run) -> list[str]:
    """Say which pieces of a stack come out as mirror images, and what a run does not heed."""
    told = []
    for piece in run.quantities:
        plies = plies_of(kit, run, piece)
        if plies.mirrored:
            told.append(
                f'Piece "{piece}" is handed: of each {run.layers} layers face to face '
                f"{plies.mirrored} come out as its mirror image. They are counted by themselves "
                "and not as made; lay the fabric all face up to have none."
            )
    if run.reuse > 1 and run.cut == "patch":
        told.append(
            "reuse is for templates and is not heeded here: every patch is cut from new material."
        )
    if run.ties is not None and isinstance(run.cutter.tool, SteelRuleDie):
        told.append(
            "ties are not heeded here: a die has nicks and bridges in its rule instead, to be "
            "agreed on with its maker."
        )
    return told
