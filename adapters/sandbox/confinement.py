"""Confines the process of a plug-in: it reads its own code, writes nothing and reaches no network.

Source:
    Linux kernel documentation, "Landlock: unprivileged access control" (system calls 444 to 446,
    rights of files by version 1 to 5, of TCP ports from version 4), and unshare(2).
"""

from __future__ import annotations

import contextlib
import ctypes
import os
import struct
import sys
from collections.abc import Iterable
from functools import cache
from pathlib import Path

_CREATE_RULESET, _ADD_RULE, _RESTRICT_SELF = 444, 445, 446
_VERSION_FLAG, _PATH_BENEATH = 1, 1
_NO_NEW_PRIVILEGES = 38
_NEW_NETWORK = 0x40000000
_EXECUTE, _WRITE_FILE, _READ_FILE, _READ_DIR = 1, 2, 4, 8
#: All rights of files by version of Landlock: later versions know more of them.
_FILE_RIGHTS = {1: (1 << 13) - 1, 2: (1 << 14) - 1, 3: (1 << 15) - 1, 5: (1 << 16) - 1}
#: Versions from which TCP ports, and sockets and signals of other processes, are confined.
_NETWORK_VERSION, _SCOPE_VERSION = 4, 6
_BIND_AND_CONNECT, _SOCKETS_AND_SIGNALS = 3, 3
_NOTHING = "/dev/null"


@cache
def landlock_version() -> int:
    """Return the kernel's version of Landlock; 0 where there is none."""
    if not sys.platform.startswith("linux"):
        return 0
    return max(0, int(_libc().syscall(_CREATE_RULESET, None, ctypes.c_size_t(0), _VERSION_FLAG)))


def confine(readable: Iterable[str]) -> bool:
    """Confine this process for good; return whether the kernel confines its files.

    Args:
        readable: files and folders that it may read.
    """
    with contextlib.suppress(OSError, AttributeError):
        # Only privileged processes may; TCP is closed below for all others.
        _libc().unshare(_NEW_NETWORK)
    version = landlock_version()
    if not version:
        return False
    return _restrict(version, readable)


def _libc() -> ctypes.CDLL:
    return ctypes.CDLL(None, use_errno=True)


def _restrict(version: int, readable: Iterable[str]) -> bool:
    libc = _libc()
    rights = _FILE_RIGHTS[max(each for each in _FILE_RIGHTS if each <= version)]
    network = _BIND_AND_CONNECT if version >= _NETWORK_VERSION else 0
    scoped = _SOCKETS_AND_SIGNALS if version >= _SCOPE_VERSION else 0
    words = [rights, network, scoped]
    size = 3 if scoped else 2 if network else 1
    attributes = struct.pack(f"={size}Q", *words[:size])
    rules = libc.syscall(_CREATE_RULESET, attributes, ctypes.c_size_t(len(attributes)), 0)
    if rules < 0:
        return False
    try:
        for place in dict.fromkeys(readable):
            _allow(libc, rules, place, _EXECUTE | _READ_FILE | _READ_DIR)
        _allow(libc, rules, _NOTHING, _READ_FILE | _WRITE_FILE)
        libc.prctl(_NO_NEW_PRIVILEGES, 1, 0, 0, 0)
        return bool(libc.syscall(_RESTRICT_SELF, rules, 0) == 0)
    finally:
        os.close(rules)


def _allow(libc: ctypes.CDLL, rules: int, place: str, rights: int) -> None:
    """Allow rights beneath a folder, or of a file, which has fewer of them."""
    with contextlib.suppress(OSError):
        beneath = os.open(place, os.O_PATH | os.O_CLOEXEC)
        try:
            own = rights if Path(place).is_dir() else rights & ~_READ_DIR
            libc.syscall(_ADD_RULE, rules, _PATH_BENEATH, struct.pack("=Qi", own, beneath), 0)
        finally:
            os.close(beneath)
