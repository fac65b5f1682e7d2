"""The nester's first phase ends after so many steps, where its library asks the clock alone.

Shortening by ever smaller steps, its second phase, saves far more than the first one does once that
finds something only now and then. The library begins it when a time is over that it was given
before. So that the moment does not depend on how fast the machine is, this process is stopped when
the steps are paid, and goes on when the time is over: the clock runs in between, not the search.
The second phase follows from the last layout that was found alone, not from the steps towards the
next one (seen in the same widths after different times), so it does not matter that the process
stops some milliseconds later.

Where the time was over before, or a shorter layout was found in these milliseconds, the question
has to be asked again. The lines up to there are the same.
"""

from __future__ import annotations

import os
import select
import signal
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

Pause = Callable[[float], None]

#: Steps of the last attempt when the first phase ends: the next one will be as hard, so nothing is
#: found just then. If none has so many, the first phase takes this share of its steps.
_HARD, _LATE = 6, 1.25
#: Share of the steps after which every report is looked at as soon as it is there.
_NEAR = 0.8
#: Added to the sleep, s: the library looks at its clock from time to time.
_LONGER_S = 0.1
_BETWEEN_CALLS_S = 0.1


@dataclass
class FirstPhase:
    """The first phase, which ends after so many steps, or earlier where it finds nothing.

    Attributes:
        steps: after which it ends.
        least: steps that it takes in any case.
        vain: steps in which it found nothing, after which it ends.
        seconds: that the library is given for it.
        per_line: steps of each line that is written.
        per_failure: steps more where an attempt failed.
        pause: puts this process to sleep for so many seconds.
        is_over: whether the second phase has found something.
        is_paused: whether the process slept.
    """

    steps: float
    least: float
    vain: float
    seconds: int
    per_line: float
    per_failure: float
    pause: Pause
    is_over: bool = False
    is_paused: bool = False
    _paid: float = 0.0
    _in_vain: float = 0.0
    _steps_of_attempt: int = 0
    _begun: float = field(default_factory=time.monotonic)
    _constructed: float | None = None

    def seconds_again(self, *, is_found: bool) -> int | None:
        """Return the time with which the question has to be asked again, if it has.

        Args:
            is_found: whether a shorter layout was found just now.
        """
        taken = time.monotonic() - self._begun
        if self._constructed is None:
            # The library's clock begins when it has made its first layout.
            self._constructed = taken
        if self.is_paused:
            return self.seconds if is_found else None
        return 2 * self.seconds if taken >= self.seconds else None

    @property
    def is_near(self) -> bool:
        """Return whether its steps are nearly paid."""
        return not self.is_paused and self._paid >= _NEAR * min(self.least, self.steps)

    def ends_with(self, kind: str) -> bool:
        """Return whether the second phase has begun by what the library reports."""
        self.is_over = kind == "CmprFeas"
        return self.is_over

    def pay(self, line: Mapping[str, Any]) -> None:
        """Take the steps of a line that is written."""
        cost = self.per_line + (self.per_failure if "failed" in line else 0.0)
        self._paid += cost
        self._in_vain = 0.0 if "found" in line else self._in_vain + cost
        self._steps_of_attempt += "step" in line

    def sleep_if_paid(self) -> None:
        """Sleep until the time is over, if the steps are paid.

        It is asked between two attempts: nothing is found in the milliseconds before it is stopped,
        if attempts are as hard as the last one.
        """
        is_hard = self._steps_of_attempt >= _HARD
        self._steps_of_attempt = 0
        is_paid = self._paid >= (1.0 if is_hard else _LATE) * self.steps
        is_vain = self._paid >= self.least and self._in_vain >= self.vain
        if not is_paid and not is_vain:
            return
        self.is_paused = True
        over = self._begun + (self._constructed or 0.0) + self.seconds
        self.pause(max(0.0, over - time.monotonic()) + _LONGER_S)


def pause_of() -> Pause:
    """Return what stops this process, with all its threads, for so many seconds.

    A child that is forked now lets it go on; it ends with this process.
    """
    sleeper = os.getpid()
    asked, ask = os.pipe()
    if os.fork() == 0:
        os.close(ask)
        _wake(sleeper, asked)
        os._exit(0)
    os.close(asked)

    def pause(seconds: float) -> None:
        os.write(ask, f"{seconds:.3f}".encode())
        os.kill(sleeper, signal.SIGSTOP)
        os.close(ask)

    return pause


def _wake(sleeper: int, asked: int) -> None:
    """Wait for a number of seconds, sleep them, and let a process go on until it says so."""
    # The end of what the other process writes shows only when both have closed it.
    for standard in (0, 1):
        os.close(standard)
    seconds = os.read(asked, 32)
    if not seconds:
        return
    time.sleep(float(seconds))
    # It may not have stopped yet.
    while os.getppid() == sleeper:
        os.kill(sleeper, signal.SIGCONT)
        if select.select([asked], [], [], _BETWEEN_CALLS_S)[0]:
            return
