"""Processor time of processes together with all that they have started."""

from __future__ import annotations

import os
from pathlib import Path


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
