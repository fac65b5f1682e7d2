"""The general nester: one door to a library that packs a strip as short as it can.

What it answers is never trusted: every place is measured by our own exact code before it is used.
The library is passed in, as it runs in a process of its own. Its search is paid for by the
steps that it reports, which are the same for one seed however fast the machine is.

Source:
    J. Gardeyn, G. Vanden Berghe, T. Wauters, "An open-source heuristic to reboot 2D nesting
    research", arXiv 2509.13329 (2025).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from geometry.layout.effort import Budget
from geometry.layout.fitting.bottom_left import Placed, Variant
from geometry.layout.fitting.fit import candidate_turns
from geometry.layout.fitting.holding_polygons import holding_polygon
from geometry.layout.fitting.soundness import is_sound
from geometry.layout.item import Item
from geometry.model.cutter import WorkArea
from geometry.tolerance import LAYOUT_ACCURACY

#: Added to the gap that the library is asked to keep, mm: it computes in single precision.
_MARGIN = 2.0e-3
_HALF_TURN = 180.0
#: Seconds that the library is given: far more than any budget, so that its clock decides nothing.
LONGEST = 3600
#: Steps for starting the process, for each report of the library, and for each piece in it. Own
#: measurement.
STEPS_TO_START, STEPS_PER_PIECE, _STEPS_PER_REPORT = 120.0, 0.15, 1.0


def nested(
    items: Sequence[Item],
    wanted: Mapping[str, int],
    room: WorkArea,
    *,
    gap: float,
    failures: int,
    seed: int,
    budget: Budget,
    enough: float | None = None,
) -> list[Placed] | None:
    """Return all that is wanted on one load, as short as was found, or ``None``.

    Args:
        items: the kinds.
        wanted: how many of each.
        room: a rectangle, or a roll (``open_right``), whose length has no limit.
        gap: least distance, mm.
        failures: attempts to shorten the strip that may fail before it is taken as it is.
        seed: of its random numbers.
        budget: has the library, and pays for its steps; once spent, the best so far is returned.
        enough: length of strip, mm, at which the search ends; left out: the room's, or 0 on a roll.
    """
    if budget.nester is None:
        return None
    kinds = {item.piece: item for item in items if wanted.get(item.piece, 0) > 0}
    limit = math.inf if room.open_right else room.bounds.width
    goal = (0.0 if room.open_right else limit) if enough is None else enough
    found: list[list[Placed]] = []
    count = sum(wanted[piece] for piece in kinds)
    cost = _STEPS_PER_REPORT + STEPS_PER_PIECE * count
    budget.spend(STEPS_TO_START)
    asked = question_of(kinds, wanted, room, gap, seed, limit + LAYOUT_ACCURACY)
    with budget.nester(asked, budget.is_cut) as lines:
        for line in lines:
            if line is None or not budget.try_spend(cost):
                break
            failures -= "failed" in line
            if failures <= 0 or "done" in line:
                break
            if "placed" in line:
                found.append(placed_of(line["placed"], kinds, room))
                if line["found"] <= goal + LAYOUT_ACCURACY and is_sound(found[-1], room, gap):
                    break
        else:
            # The process died before it was done: another time it may not.
            budget.was_cut = True
    return last_sound(found, count, room, gap)


def length_of(placed: Sequence[Placed]) -> float:
    """Return where the last of the pieces ends, mm."""
    return max(each.x + each.variant.outline.bounds.right for each in placed)


def last_sound(
    found: Sequence[list[Placed]], count: int, room: WorkArea, gap: float
) -> list[Placed] | None:
    """Return the last layout that holds all and keeps the gap: the shortest one.

    Only what is used has to be measured.
    """
    for placed in reversed(found):
        if len(placed) == count and is_sound(placed, room, gap):
            return placed
    return None


def question_of(
    kinds: Mapping[str, Item],
    wanted: Mapping[str, int],
    room: WorkArea,
    gap: float,
    seed: int,
    enough: float,
) -> dict[str, Any]:
    """Return what the library is asked, as its process reads it."""
    return {
        "items": [
            (
                piece,
                [(float(x), float(y)) for x, y in holding_polygon(item.outline)],
                wanted[piece],
                _orientations(item),
            )
            for piece, item in kinds.items()
        ],
        "height": room.bounds.height,
        "gap": gap + _MARGIN,
        "seed": seed,
        "seconds": LONGEST,
        "enough": min(enough, 1e30),
        "first_phase": None,
    }


def _orientations(item: Item) -> list[float]:
    stated = item.stated_turns_deg
    if stated is not None:
        return list(stated)
    turns = candidate_turns(item)
    return sorted({*turns, *((turn + _HALF_TURN) % 360.0 for turn in turns)})


def placed_of(
    rows: Sequence[tuple[str, float, float, float]], kinds: Mapping[str, Item], room: WorkArea
) -> list[Placed]:
    """Return pieces as they lie in a room where the library says so."""
    box = room.bounds
    placed = []
    for piece, x, y, turn in rows:
        # The library's angles are in single precision: the one that was allowed is meant.
        meant = min(
            _orientations(kinds[piece]), key=lambda each: abs(math.remainder(each - turn, 360.0))
        )
        variant = Variant(meant, kinds[piece].outline)
        placed.append(_pushed_in(Placed(piece, variant, box.left + x, box.bottom + y), room))
    return placed


def _pushed_in(each: Placed, room: WorkArea) -> Placed:
    """Return a piece moved by rounding's worth into the room."""
    box, limit = each.variant.outline.bounds, room.bounds
    x = max(each.x, limit.left - box.left)
    y = min(max(each.y, limit.bottom - box.bottom), limit.top - box.top)
    if not room.open_right:
        x = min(x, limit.right - box.right)
    return Placed(each.piece, each.variant, x, y) if _near(each, x, y) else each


def _near(each: Placed, x: float, y: float) -> bool:
    return math.hypot(x - each.x, y - each.y) < _MARGIN
