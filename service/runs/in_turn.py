"""Loads of a blade set by hand that are cut in turn, so that it is never turned back."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from service.runs.notices import Notice
from service.runs.planned_run import PlannedLoad
from service.texts import gettext as _


def in_turn(loads: Sequence[PlannedLoad]) -> Iterator[Notice]:
    """Yield which loads are one filling cut forwards and backwards."""
    for first, second in _pairs(loads):
        text = (
            _(
                "Cut loads {first} and {second} in turn: each starts at the blade angle "
                "that the other leaves, so the blade is never turned back.",
                first=first.number,
                second=second.number,
            )
            if _is_repeated(first, second)
            else _(
                "Cut load {second} right after load {first}: it starts at the blade angle "
                "that the other leaves, so the blade is not turned back.",
                second=second.number,
                first=first.number,
            )
        )
        yield Notice(text, loads=(first.number, second.number))


def partners(loads: Sequence[PlannedLoad]) -> dict[int, int]:
    """Return the numbers of loads that are repeated in turn, each with that of its partner."""
    pairs = [
        (first.number, second.number)
        for first, second in _pairs(loads)
        if _is_repeated(first, second)
    ]
    return {**dict(pairs), **{second: first for first, second in pairs}}


def _pairs(loads: Sequence[PlannedLoad]) -> Iterator[tuple[PlannedLoad, PlannedLoad]]:
    for first, second in pairwise(loads):
        alike = first.on is second.on and first.load.placements == second.load.placements
        # Where a pen is fitted first, the blade is taken out and set again.
        drawn = any(stop.reason == "change-tool" for stop in second.planned.plan.stops)
        if alike and first.planned.exit_angle_deg is not None and not drawn:
            yield first, second


def _is_repeated(first: PlannedLoad, second: PlannedLoad) -> bool:
    return max(first.load.repeats, second.load.repeats) > 1
