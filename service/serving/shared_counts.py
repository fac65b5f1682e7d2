"""The number of connections of each server process, in memory that all of them share.

All processes wait for connections on the same socket, and the first to wake takes one. So four kept
connections often lay on one of two processes, while the other had nothing to do. A process that has
more than another now waits a moment before it takes the next.
"""

from __future__ import annotations

import mmap

#: A process that takes no connections: it has not begun, is stopping or has ended.
_CLOSED = -1
#: Places for processes that start while others are still stopping.
_SPARE = 8
_BYTES = 4


class ConnectionCounts:
    """The connections of each process; places are given out by the server's first process.

    Args:
        processes: how many the server runs.
    """

    def __init__(self, processes: int) -> None:
        self._places = processes + _SPARE
        # Anonymous memory: shared with the processes that are forked, and on no file system.
        self._memory = memoryview(mmap.mmap(-1, _BYTES * self._places)).cast("i")
        self._owners: dict[int, int] = {}
        for place in range(self._places):
            self._memory[place] = _CLOSED

    def take_place(self, owner: int) -> int | None:
        """Return a place for a process that is about to be forked; ``None`` without a free one."""
        free = (place for place in range(self._places) if place not in self._owners)
        place = next(free, None)
        if place is not None:
            self._owners[place] = owner
        return place

    def end(self, owner: int) -> None:
        """Free the place of a process that has ended."""
        for place in [each for each, whose in self._owners.items() if whose == owner]:
            self._memory[place] = _CLOSED
            del self._owners[place]

    def publish(self, place: int, count: int) -> None:
        """State how many connections a process has."""
        self._memory[place] = count

    def close(self, place: int) -> None:
        """State that a process takes no more connections."""
        self._memory[place] = _CLOSED

    def another_has_fewer(self, place: int) -> bool:
        """Return whether another process has fewer connections than this one."""
        mine = self._memory[place]
        return any(_CLOSED < count < mine for count in self._memory)
