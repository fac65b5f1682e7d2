"""What a process of the sandbox can take, and its end when its parent ends.

Each process of the sandbox applies its limits itself, before it does anything else.
"""

from __future__ import annotations

import math
import os
import resource
import threading
from dataclasses import dataclass
from multiprocessing.connection import wait

#: Seconds of processor time beyond those allowed: parents stop by the clock long before.
_SPARE_S = 5.0


@dataclass(frozen=True)
class ProcessLimits:
    """Limits of a process.

    Args:
        seconds: of processor time from now on, about; a last resort.
        memory_bytes: address space.
        file_bytes: largest file that it can write; ``None`` for any.
    """

    seconds: float
    memory_bytes: int
    file_bytes: int | None = None

    def apply(self, *, for_good: bool) -> None:
        """Limit this process; limits that it has already are never exceeded.

        Args:
            for_good: whether the limits stay. Otherwise others can follow them, which a process
                needs that does one task after another.
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
    # A soft limit may be the last task's, which does not count for this one.
    bounds = (most, hard, soft) if for_good else (most, hard)
    least = min(each for each in bounds if each != resource.RLIM_INFINITY)
    resource.setrlimit(kind, (least, least if for_good else hard))


def end_with(lifeline: int) -> None:
    """End this process as soon as its parent has ended, from a thread that waits for it.

    Args:
        lifeline: a descriptor that can be read, or is closed at its other end, when the parent
            has ended. A process that is slow to start cannot mistake its next parent for it.
    """
    threading.Thread(target=_wait_and_end, args=(lifeline,), daemon=True).start()


def _wait_and_end(lifeline: int) -> None:
    wait([lifeline])
    os._exit(1)
