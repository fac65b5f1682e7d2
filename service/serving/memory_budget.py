"""Keeps the sum of memory limits within the container's: each computation is told its share.

Every limit by itself holds, but processes add up: what would be taken at once past the container's
limit ends with the kernel killing a process of its own choice.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from service.settings import Settings, SettingsError

#: A process that serves or works, measured at work, with the process that its computations are
#: forked from; and the one that watches over them, with what lies in memory file systems, MiB.
_PROCESS_MIB = 220
_REST_MIB = 96
#: Address space of a computation before it begins, most of it shared or never touched; and what its
#: helper (the general nester, or a plug-in at its usual) takes beside it, MiB.
_SHARED_MIB = 250
_HELPER_MIB = 48
#: Least memory of one computation, MiB of address space.
MIN_MIB = 400
_GROUPS = ("memory.max", "memory/memory.limit_in_bytes")
_UNLIMITED = 1 << 60


def container_limit(root: Path = Path("/sys/fs/cgroup")) -> int | None:
    """Return how much memory this container may have, bytes; ``None`` where there is no limit.

    Args:
        root: where control groups are mounted (version 2, or 1).
    """
    for name in _GROUPS:
        try:
            stated = (root / name).read_text(encoding="ascii").strip()
        except OSError:
            continue
        if stated.isdigit() and int(stated) < _UNLIMITED:
            return int(stated)
    return None


def sum_of_limits_mib(settings: Settings, processes: int, computations: int) -> int:
    """Return the most memory that everything takes at once, MiB.

    Args:
        settings: with the memory of one computation.
        processes: that serve or work.
        computations: at once in all of them together.
    """
    each = settings.compute_memory_mb - _SHARED_MIB + _HELPER_MIB
    return _REST_MIB + processes * _PROCESS_MIB + computations * each


def fitted(settings: Settings, processes: int, computations: int, limit: int | None) -> Settings:
    """Return settings whose limits add up to no more than the container's.

    Args:
        settings: as they are stated.
        processes: that serve or work.
        computations: at once in all of them together.
        limit: of the container, bytes; ``None`` for none.

    Raises:
        SettingsError: when a computation would have too little.
    """
    if limit is None or not computations:
        return settings
    room = (limit >> 20) - _REST_MIB - processes * _PROCESS_MIB
    share = room // computations + _SHARED_MIB - _HELPER_MIB
    if share >= settings.compute_memory_mb:
        return settings
    if share < MIN_MIB:
        needed = sum_of_limits_mib(
            replace(settings, compute_memory_mb=MIN_MIB), processes, computations
        )
        fault = (
            f"The container may have {limit >> 20} MiB; {processes} processes with {computations} "
            f"computations at once need {needed} MiB at the least. Give it more, or set "
            "QUARTERSEAM_WORKERS, QUARTERSEAM_MAX_RUNNING_COMPUTATIONS or QUARTERSEAM_JOB_SLOTS to "
            "less."
        )
        raise SettingsError((fault,))
    return replace(settings, compute_memory_mb=share)
