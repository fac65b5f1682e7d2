"""Processor time of processes together with all that they have started."""

from __future__ import annotations

import os
import resource
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

Result = TypeVar("Result")


def processor_s() -> float:
    """Return the processor time of this process, and of its children that have ended."""
    who = (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    return sum(each.ru_utime + each.ru_stime for each in map(resource.getrusage, who))


def timed(work: Callable[[], Result]) -> tuple[Result, float]:
    """Return what comes of some work, and the processor time that it took."""
    start = processor_s()
    result = work()
    return result, processor_s() - start


def family_cpu_s(pids: list[int]) -> float:
    """CPU time of processes with all of their children, those of their fork servers too."""
    ticks = 0
    for pid in _family(pids):
        try:
            fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
        except OSError:
            continue
        # User and system time, its own and that of children that have ended.
        ticks += sum(int(field) for field in fields[11:15])
    return ticks / os.sysconf("SC_CLK_TCK")


def _family(pids: list[int]) -> set[int]:
    parents: dict[int, int] = {}
    for entry in Path("/proc").iterdir():
        if entry.name.isdigit():
            try:
                stat = (entry / "stat").read_text()
            except OSError:
                continue
            parents[int(entry.name)] = int(stat.rpartition(")")[2].split()[1])
    family = set(pids)
    while more := {pid for pid, parent in parents.items() if parent in family} - family:
        family |= more
    return family
