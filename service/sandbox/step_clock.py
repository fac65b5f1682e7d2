"""Times the steps of a computation, in whichever process it runs."""

from __future__ import annotations

import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field

#: Steps of one computation that are kept for a trace; a kit of a thousand loads has more.
MAX_STEPS = 200
#: The phase for the time outside all steps.
OTHER = "other"
_NS = 1_000_000_000


@dataclass(frozen=True)
class TimedStep:
    """A step as it was timed.

    Args:
        name: of the step.
        about: its subject, such as the number of a run.
        began_ns: ns since 1970.
        ended_ns: ns since 1970.
        parent: the position of the step that it is part of; ``None`` for an outermost one.
    """

    name: str
    about: Mapping[str, str | int]
    began_ns: int
    ended_ns: int
    parent: int | None


@dataclass
class StepTimes:
    """The time of a computation: seconds by outermost step, and its first ``MAX_STEPS`` steps."""

    seconds: dict[str, float] = field(default_factory=dict)
    steps: list[TimedStep] = field(default_factory=list)
    process: int = 0

    def add(self, phase: str, seconds: float) -> None:
        """Add seconds to a phase."""
        self.seconds[phase] = self.seconds.get(phase, 0.0) + max(0.0, seconds)

    def include(self, others: StepTimes) -> None:
        """Add the seconds of a part of the computation that was timed by itself."""
        for phase, seconds in others.seconds.items():
            self.add(phase, seconds)

    def add_rest(self, total_s: float) -> None:
        """Add the rest of a computation's whole time as the phase ``OTHER``."""
        self.add(OTHER, total_s - sum(self.seconds.values()))


class StepClock:
    """Observes the steps of one computation, for :func:`adapters.steps.observed_by`."""

    def __init__(self) -> None:
        self.times = StepTimes()
        self._open: list[int | None] = []

    @contextmanager
    def __call__(self, name: str, about: Mapping[str, str | int]) -> Iterator[None]:
        """Time a step until the block ends."""
        began_ns, began = time.time_ns(), time.perf_counter()
        parent = self._open[-1] if self._open else None
        steps, place = self.times.steps, None
        if len(steps) < MAX_STEPS:
            place = len(steps)
            # Added before its parts, and completed when it ends.
            steps.append(TimedStep(name, dict(about), began_ns, began_ns, parent))
        self._open.append(place)
        try:
            yield
        finally:
            self._open.pop()
            seconds = time.perf_counter() - began
            if not self._open:
                self.times.add(name, seconds)
            if place is not None:
                ended_ns = began_ns + int(seconds * _NS)
                steps[place] = TimedStep(name, dict(about), began_ns, ended_ns, parent)
