"""Keeps the sum of all memory limits within the container's limit.

Each process keeps its own limit, but together they could exceed the container's, and the kernel
would then kill a process of its choice.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from service.settings import Settings, SettingsError

#: Memory of a busy server or worker process and of a fork server for it (measured), and of the
#: main process with the memory file systems, MiB.
_PROCESS_MIB = 220
_REST_MIB = 96
#: Address space of a computation before it starts, mostly shared or unused, and of its helper
#: process (the general nester or a plug-in), MiB.
_SHARED_MIB = 286
_HELPER_MIB = 48
#: Minimum address space of one computation, MiB.
MIN_MIB = 436
_GROUPS = ("memory.max", "memory/memory.limit_in_bytes")
_UNLIMITED = 1 << 60


def container_limit(root: Path = Path("/sys/fs/cgroup")) -> int | None:
    """Return this container's memory limit in bytes, or ``None`` if there is none.

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
    """Return the sum of all memory limits, MiB.

    Args:
        settings: with the memory of one computation.
        processes: number of server and worker processes.
        computations: number of computations that run at once in all processes together.
    """
    each = settings.compute_memory_mb - _SHARED_MIB + _HELPER_MIB
    return _REST_MIB + processes * _PROCESS_MIB + computations * each


def fitted(settings: Settings, processes: int, computations: int, limit: int | None) -> Settings:
    """Return settings whose limits together stay within the container's limit.

    Args:
        settings: the settings as configured.
        processes: number of server and worker processes.
        computations: number of computations that run at once in all processes together.
        limit: of the container, bytes; ``None`` for none.

    Raises:
        SettingsError: when a computation would have too little memory.
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
            f"The container has {limit >> 20} MiB; {processes} processes with {computations} "
            f"computations at once need {needed} MiB. Give it more, or set "
            "QUARTERSEAM_WORKERS, QUARTERSEAM_MAX_RUNNING_COMPUTATIONS or QUARTERSEAM_JOB_SLOTS to "
            "less."
        )
        raise SettingsError((fault,))
    return replace(settings, compute_memory_mb=share)
