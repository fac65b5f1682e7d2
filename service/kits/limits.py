"""The time that a computation is allowed, shared between the runs of a kit."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial

from service.pieces.model import Kit

ShouldStop = Callable[[], bool]


@dataclass(frozen=True)
class TimeLimit:
    """What all layouts of a kit may take together.

    Attributes:
        is_over: returns whether a share of the time, 0 to 1, is over.
        steps: counted steps of search, so few that they are done long before the time is over,
            also on a busy machine: the same request then gives the same layouts.
    """

    is_over: Callable[[float], bool]
    steps: float = math.inf

    def of_run(self, index: int, runs: int) -> ShouldStop:
        """Return what ends one run's search; time that the runs before it left is its own."""
        return partial(self.is_over, (index + 1) / runs)


def with_steps(kit: Kit, limit: TimeLimit | None) -> Kit:
    """Return a kit whose runs know how many steps each may take."""
    if limit is None or math.isinf(limit.steps):
        return kit
    share = limit.steps / len(kit.runs)
    return replace(kit, runs=tuple(replace(run, max_steps=share) for run in kit.runs))
