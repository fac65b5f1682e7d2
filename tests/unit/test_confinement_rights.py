"""What is asked of the kernel to confine a process, for each version of Landlock.

Source:
    Linux kernel, include/uapi/linux/landlock.h: LANDLOCK_ACCESS_FS_EXECUTE is bit 0, WRITE_FILE 1,
    READ_FILE 2, READ_DIR 3 and so on to MAKE_SYM 12; REFER 13 came with version 2, TRUNCATE 14 with
    3, IOCTL_DEV 15 with 5. ACCESS_NET_BIND_TCP and CONNECT_TCP are bits 0 and 1 of a second word,
    from version 4; SCOPE_ABSTRACT_UNIX_SOCKET and SIGNAL those of a third, from 6. A rule that
    allows a right of folders for a file is refused. unshare(2): CLONE_NEWNET is 0x40000000;
    prctl(2): PR_SET_NO_NEW_PRIVS is 38.
"""

from __future__ import annotations

import os
import struct
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from adapters.sandbox import confinement


class Kernel:
    """Notes system calls; a version and errors can be set."""

    def __init__(self, version: int) -> None:
        self.version = version
        self.refuses: set[int] = set()
        self.calls: list[tuple[Any, ...]] = []
        self.rules = -1
        self.allowed: list[tuple[int, str]] = []

    def unshare(self, flags: int) -> int:
        self.calls.append(("unshare", flags))
        return -1

    def prctl(self, *numbers: int) -> int:
        self.calls.append(("prctl", *numbers))
        return 0

    def syscall(self, number: int, *arguments: Any) -> int:
        if number in self.refuses:
            return -1
        if number == 444 and arguments[0] is None:
            assert (arguments[1].value, arguments[2]) == (0, 1)
            return self.version
        if number == 444:
            assert arguments[1].value == len(arguments[0])
            assert arguments[2] == 0
            self.calls.append(
                ("rules", *struct.unpack(f"={len(arguments[0]) // 8}Q", arguments[0]))
            )
            self.rules = os.open(os.devnull, os.O_RDONLY)
            return self.rules
        if number == 445:
            rules, kind, beneath, flags = arguments
            assert (rules, kind, flags) == (self.rules, 1, 0)
            rights, descriptor = struct.unpack("=Qi", beneath)
            self.allowed.append((rights, str(Path(f"/proc/self/fd/{descriptor}").readlink())))
            return 0
        self.calls.append((number, *arguments))
        return 0


@pytest.fixture
def kernel(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> Iterator[Kernel]:
    made = Kernel(getattr(request, "param", 6))
    monkeypatch.setattr(confinement, "_libc", lambda: made)
    confinement.landlock_version.cache_clear()
    yield made
    confinement.landlock_version.cache_clear()


#: Bits 0 to 12, and as many more as a version knows.
FIRST, TO_13, TO_14, TO_15 = 0x1FFF, 0x3FFF, 0x7FFF, 0xFFFF


@pytest.mark.parametrize(
    ("kernel", "words"),
    [
        (1, (FIRST,)),
        (2, (TO_13,)),
        (3, (TO_14,)),
        (4, (TO_14, 3)),
        (5, (TO_15, 3)),
        (6, (TO_15, 3, 3)),
        (7, (TO_15, 3, 3)),
    ],
    indirect=["kernel"],
)
def test_all_that_a_version_knows_is_refused(kernel: Kernel, words: tuple[int, ...]) -> None:
    assert confinement.landlock_version() == kernel.version
    assert confinement.confine([])
    assert kernel.calls == [
        ("unshare", 0x40000000),
        ("rules", *words),
        ("prctl", 38, 1, 0, 0, 0),
        (446, kernel.rules, 0),
    ]
    with pytest.raises(OSError, match="Bad file descriptor"):
        os.fstat(kernel.rules)


def test_what_may_be_read(kernel: Kernel, tmp_path: Path) -> None:
    """Code is read and run, folders are listed, and nothing is written but to nowhere."""
    folder, file = tmp_path.resolve(), tmp_path.resolve() / "code.py"
    file.touch()
    missing = folder / "missing"
    open_files = len(list(Path("/proc/self/fd").iterdir()))
    assert confinement.confine([str(file), str(missing), str(folder), str(file)])
    assert kernel.allowed == [(0b101, str(file)), (0b1101, str(folder)), (0b110, "/dev/null")]
    assert len(list(Path("/proc/self/fd").iterdir())) == open_files


@pytest.mark.parametrize("kernel", [0, -1], indirect=True)
def test_a_kernel_that_cannot(kernel: Kernel) -> None:
    assert confinement.landlock_version() == 0
    assert not confinement.confine([])
    assert kernel.calls == [("unshare", 0x40000000)]


def test_a_kernel_that_refuses(kernel: Kernel) -> None:
    kernel.refuses = {446}
    assert not confinement.confine([])
    confinement.landlock_version()
    kernel.refuses = {444}
    assert not confinement.confine([])
    assert [call for call in kernel.calls if call[0] == "prctl"] == [("prctl", 38, 1, 0, 0, 0)]


def test_a_system_that_is_not_linux(kernel: Kernel, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "platform", "darwin")
    assert confinement.landlock_version() == 0
    monkeypatch.delattr(Kernel, "unshare")
    assert not confinement.confine([])
    assert kernel.calls == []
