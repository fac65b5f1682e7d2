"""Limits of the sandbox's processes, and their end when their parent ends.

Each process applies its limits to itself, before it does anything else.
"""

from __future__ import annotations

import math
import os
import resource
import threading
from dataclasses import dataclass
from multiprocessing.connection import wait

#: Seconds of processor time added to a limit. It is a last resort: by then the parent should have
#: ended the process by the clock.
_SPARE_S = 5.0


@dataclass(frozen=True)
class ProcessLimits:
    """Limits of a process.

    Args:
        seconds: of processor time from now on, approximately; a last resort.
        memory_bytes: address space.
        file_bytes: largest file that it can write; ``None`` for any.
    """

    seconds: float
    memory_bytes: int
    file_bytes: int | None = None

    def apply(self, *, for_good: bool) -> None:
        """Limit this process; a limit that it already has is never raised for good.

        Args:
            for_good: whether these limits can never be raised again. A process that does one task
                after another needs ``False``: the next task may have higher limits.
        """
        used = resource.getrusage(resource.RUSAGE_SELF)
        seconds = math.ceil(used.ru_utime + used.ru_stime + self.seconds + _SPARE_S)
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
        _limit(resource.RLIMIT_CPU, seconds, for_good=for_good)
        _limit(resource.RLIMIT_AS, self.memory_bytes, for_good=for_good)
        if self.file_bytes is not None:
            _limit(resource.RLIMIT_FSIZE, self.file_bytes, for_good=for_good)


def _limit(kind: int, most: int, *, for_good: bool) -> None:
    soft, hard = resource.getrlimit(kind)
    # The soft limit may be that of the task before, which does not bind this one.
    bounds = (most, hard, soft) if for_good else (most, hard)
    least = min(each for each in bounds if each != resource.RLIM_INFINITY)
    resource.setrlimit(kind, (least, least if for_good else hard))


def end_with(lifeline: int) -> None:
    """End this process as soon as its parent has ended, from a thread that waits for it.

    Args:
        lifeline: a descriptor that becomes readable, or is closed at its other end, when the
            parent ends. (A look at the parent's number would not do: if the parent ended while this
            process started, it is already the number of its next parent.)
    """
    threading.Thread(target=_wait_and_end, args=(lifeline,), daemon=True).start()


def _wait_and_end(lifeline: int) -> None:
    wait([lifeline])
    os._exit(1)
