"""What a stack of plies makes of each outline that is cut through it: pieces of either hand."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Final

from geometry.hands import mirror_turns, pair_turns
from geometry.layout.item import Item, stated_turns_deg
from service.errors import Change
from service.pieces.model import Kit
from service.requests.pieces import Turns
from service.requests.portions import uses_of
from service.requests.runs import Run
from service.runs.notices import Notice, curable
from service.runs.rolls import turns_on
from service.texts import gettext as _
from service.texts import ngettext
from service.tools import kind_of

_FACE_UP: Final = ("Lay all layers face up", Change("/stack", "face_up"))


@dataclass(frozen=True)
class Plies:
    """What one outline of a piece gives, and how many outlines a run places.

    ``gives`` are finished pieces by id: the piece's own and, from plies that lie face down, its
    mirror partner's. ``mirrored`` counts mirror images that are no piece of the run. ``turns``
    are those at which every finished piece keeps its grain. ``per_set`` are the outlines of one
    set in a run of whole sets, of a stack's worth of sets where plies lie face to face.
    """

    gives: Mapping[str, int]
    mirrored: int
    outlines: int
    turns: Turns
    per_set: int = 0


def plies_of(kit: Kit, run: Run) -> dict[str, Plies]:
    """Return what one outline of each piece gives in a run, in the run's order.

    In a run of whole sets each piece knows its share of one, which the outlines need not be in: 27
    sets of one and two through two plies are 14 and 27 outlines.
    """
    found = _of_pieces(kit, run)
    if not run.sets:
        return found
    sets = math.gcd(*run.quantities.values())
    if run.stack != "face_to_face":
        each = {piece: count // sets for piece, count in run.quantities.items()}
        return {piece: replace(one, per_set=each[piece]) for piece, one in found.items()}
    # Both hands of a piece come from the outlines of one: as many as for a whole stack of sets.
    stack = run.layers * uses_of(run)
    of_stack = {piece: count // sets * stack for piece, count in run.quantities.items()}
    whole = _of_pieces(kit, replace(run, quantities=of_stack))
    return {
        piece: replace(
            one,
            outlines=math.ceil(sets * whole[piece].outlines / stack),
            per_set=whole[piece].outlines,
        )
        for piece, one in found.items()
    }


def _of_pieces(kit: Kit, run: Run) -> dict[str, Plies]:
    """Return what one outline of each piece gives, and the outlines that make enough of it.

    Plies face to face lie in pairs: the second, fourth ... come out as mirror images. Those are
    wanted where the outline is its own mirror image, where the piece may be turned over, or where
    another piece of the run is the mirror image.
    """
    wanted = {piece: math.ceil(count / uses_of(run)) for piece, count in run.quantities.items()}
    down = run.layers // 2 if run.stack == "face_to_face" else 0
    up = run.layers - down
    found: dict[str, Plies] = {}
    for piece, count in wanted.items():
        own = kit.pieces[piece].turns
        if not down:
            found[piece] = Plies({piece: up}, 0, math.ceil(count / up), own)
        elif (turns := _fit(kit, run, piece, piece)) is not None:
            found[piece] = Plies({piece: up + down}, 0, math.ceil(count / (up + down)), turns)
        else:
            found[piece] = Plies({piece: up}, down, math.ceil(count / up), own)
    alone = [piece for piece, plies in found.items() if plies.mirrored]
    for first, second in _pairs(kit, run, alone):
        here, there = _fewest(wanted[first], wanted[second], up, down)
        for piece, partner, outlines in ((first, second, here), (second, first, there)):
            turns = _fit(kit, run, piece, partner)
            if turns is not None:
                found[piece] = Plies({piece: up, partner: down}, 0, outlines, turns)
    return found


def items_of(kit: Kit, run: Run, plies: Mapping[str, Plies]) -> list[Item]:
    """Return what a run places: pieces that their partners' outlines give already are left out."""
    return [
        Item(
            piece=piece,
            outline=kit.pieces[piece].region(run.cut).outline,
            quantity=each.outlines,
            turns=turns_on(each.turns, roll=run.area.open_right),
            mirror=kit.pieces[piece].mirror,
            per_set=each.per_set,
        )
        for piece, each in plies.items()
        if each.outlines
    ]


def finished(plies: Mapping[str, Plies], placed: Mapping[str, int]) -> dict[str, int]:
    """Return the finished pieces that placed outlines give."""
    found: dict[str, int] = {}
    for piece, count in placed.items():
        for given, each in plies[piece].gives.items():
            found[given] = found.get(given, 0) + each * count
    return found


def _pairs(kit: Kit, run: Run, alone: list[str]) -> Iterator[tuple[str, str]]:
    """Yield pieces with their mirror partners: the declared ones, then those found.

    Of several the one whose quantity is nearest is taken, of equal ones the first.
    """
    left = list(alone)
    fitting = [
        (
            # A declared partner goes before any that is found.
            kit.pieces[one].mirror_of != other and kit.pieces[other].mirror_of != one,
            abs(run.quantities[one] - run.quantities[other]),
            at,
            beside,
        )
        for at, one in enumerate(alone)
        for beside, other in enumerate(alone[at + 1 :], start=at + 1)
        if _fit(kit, run, one, other) is not None and _fit(kit, run, other, one) is not None
    ]
    for _partner, _apart, at, beside in sorted(fitting):
        pair = alone[at], alone[beside]
        if all(piece in left for piece in pair):
            yield pair
            left = [piece for piece in left if piece not in pair]


def _fit(kit: Kit, run: Run, piece: str, partner: str) -> Turns | None:
    """Return how a piece may lie so that its mirror image is the partner; ``None`` if it is not."""
    one, other = kit.pieces[piece], kit.pieces[partner]
    mirrored = mirror_turns(one.region(run.cut), other.region(run.cut))
    if piece == partner and one.mirror:
        # As it lies turned over: that it may.
        mirrored = (0.0, *mirrored)
    own = stated_turns_deg(one.turns)
    fits, turns = pair_turns(own, stated_turns_deg(other.turns), mirrored)
    if not fits:
        return None
    return one.turns if turns is None or turns == own else turns


def is_same_turned_over(kit: Kit, run: Run, piece: str) -> bool:
    """Return whether a piece that is cut from the wrong side is the same piece at every turn."""
    return _fit(kit, run, piece, piece) == kit.pieces[piece].turns


def _fewest(first: int, second: int, up: int, down: int) -> tuple[int, int]:
    """Return how many outlines of two mirror partners make enough of both: as few as will do.

    Outlines of the first give ``up`` of it and ``down`` of the second, and the other way round.
    """
    count = max(math.ceil((first + second) / (up + down)), math.ceil(max(first, second) / up))
    while True:
        for here in range(count, -1, -1):
            there = count - here
            if up * here + down * there >= first and down * here + up * there >= second:
                return here, there
        count += 1


def plies_warnings(kit: Kit, run: Run, plies: Mapping[str, Plies]) -> list[str]:
    """Return which mirror images of a stack are of no use, and what a run does not use."""
    warnings: list[str] = []
    for piece, each in plies.items():
        if not each.mirrored:
            continue
        chiral = not mirror_turns(*(kit.pieces[piece].region(run.cut),) * 2)
        why = (
            _("its mirror image is not a piece of this run")
            if chiral
            else _("turned over it does not keep its grain")
        )
        text = _(
            'Piece "{piece}": {why}. Of each {layers} layers face to face {mirrored} {comes} out '
            "mirrored; they are counted apart and not as made. Lay the fabric all face up, or cut "
            "both hands in one run.",
            piece=piece,
            why=why,
            layers=run.layers,
            mirrored=each.mirrored,
            comes=ngettext("comes", "come", each.mirrored),
        )
        warnings.append(curable(text, *_FACE_UP))
    if run.stack == "face_to_face" and run.layers == 1:
        text = _("One layer has nothing to lie face to face with: lay it right side up.")
        warnings.append(curable(text, *_FACE_UP))
    warnings.extend(_tool_warnings(run))
    if run.cutter.passes > 1:
        warnings.append(
            _(
                "Set {passes} passes at the machine, or send each file {passes} times before "
                "you move the material: files hold each line once.",
                passes=run.cutter.passes,
            )
        )
    if run.reuse > 1 and run.cut == "patch":
        text = _(
            "reuse is for templates and is not used here: every patch is cut from new material."
        )
        warnings.append(curable(text, "Leave the reuse out", Change("/reuse", op="remove")))
    return warnings


def _tool_warnings(run: Run) -> Iterator[Notice]:
    """Yield what a tool says of a run, with the change after which it does not."""
    kind, material = kind_of(run.cutter.tool), run.material.kind
    for text in kind.run_warnings(material, run.layers, run.ties):
        if text not in kind.run_warnings(material, 1, run.ties):
            yield curable(text, "Cut one layer at a time", Change("/layers", 1))
        elif text not in kind.run_warnings(material, run.layers, None):
            yield curable(text, "Leave the ties out", Change("/ties", op="remove"))
        else:
            yield Notice(text)


def stacking(run: Run, plies: Mapping[str, Plies]) -> tuple[str, ...]:
    """Return how to lay a stack face to face, and which pieces each outline then gives."""
    if not run.is_face_to_face:
        return ()
    is_pair = run.layers == 2  # noqa: PLR2004 - one below, one above
    lines = [
        _(
            "Lay the lower layer right side up and the upper one right side down on it, turned "
            "over sideways like the page of a book, so that its top stays at the top. Hold both so "
            "that neither can slip."
        )
        if is_pair
        else _(
            "Lay the first layer right side up, the next right side down on it, and so on: right "
            "sides meet in pairs. Turn a layer over sideways, like the page of a book, so that "
            "its top stays at the top."
        )
    ]
    if run.layers % 2:
        lines.append(_("The last layer has no partner: it lies right side up."))
    lines.extend(_gives(plies, is_pair=is_pair))
    for piece, each in plies.items():
        if each.mirrored and each.outlines:
            up = sum(each.gives.values())
            lines.append(
                ngettext(
                    "Each outline of {piece} gives {up} of {piece} and {n} mirror image of it, "
                    "not counted as made: keep them apart.",
                    "Each outline of {piece} gives {up} of {piece} and {n} mirror images of it, "
                    "not counted as made: keep them apart.",
                    each.mirrored,
                    piece=piece,
                    up=up,
                )
            )
    return tuple(lines)


def _gives(plies: Mapping[str, Plies], *, is_pair: bool) -> Iterator[str]:
    """Yield which pieces the outlines of mirror partners give."""
    for each in plies.values():
        if len(each.gives) > 1 and each.outlines:
            (one, here), (other, there) = each.gives.items()
            yield (
                _(
                    "Each outline of {one} gives one {one} below and one {other} above, mirrored: "
                    "lay them apart as you lift them.",
                    one=one,
                    other=other,
                )
                if is_pair
                else _(
                    "Each outline of {one} gives {here} of {one} (from the layers that lie right "
                    "side up) and {there} of {other} (right side down, mirrored).",
                    one=one,
                    here=here,
                    there=there,
                    other=other,
                )
            )
