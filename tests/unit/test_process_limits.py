"""What bounds every process of the sandbox: limits, and the end with its parent.

Source:
    setrlimit(2): the kernel ends a process with SIGXCPU at its soft limit of processor time,
    refuses memory beyond RLIMIT_AS, and writes no more than RLIMIT_FSIZE to a file (EFBIG).
"""

from __future__ import annotations

import json
import os
import resource
import signal
import subprocess
import sys
import tempfile
from pathlib import Path
from types import SimpleNamespace

import pytest

from adapters.sandbox.fresh_process import _environment, begin, fresh_process
from adapters.sandbox.limits import ProcessLimits

ROOT = Path(__file__).resolve().parents[2]
LIMITS = ProcessLimits(20.0, 1 << 29, file_bytes=1000)
MODULE = """
import os, resource, sys, time
from adapters.sandbox.limits import ProcessLimits, end_with

def state(lifeline, *descriptors):
    kinds = (resource.RLIMIT_CPU, resource.RLIMIT_AS, resource.RLIMIT_FSIZE, resource.RLIMIT_CORE)
    said = [[resource.getrlimit(kind) for kind in kinds], "SECRET_KEY" in os.environ]
    print(__import__("json").dumps(said))

def take_memory(lifeline):
    try:
        bytearray(1 << 30)
    except MemoryError:
        print("refused")

def write_much(lifeline, descriptor):
    try:
        os.write(descriptor, bytes(2000))
        os.write(descriptor, b"more")
    except OSError as error:
        print(error.errno, os.fstat(descriptor).st_size)

def stay(lifeline):
    end_with(lifeline)
    print("up", flush=True)
    time.sleep(3600)

def count(lifeline):
    while True:
        pass
"""


@pytest.fixture(autouse=True)
def module(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "limited.py").write_text(MODULE)
    monkeypatch.syspath_prepend(tmp_path)


def said_by(name: str, limits: ProcessLimits = LIMITS, descriptors: tuple[int, ...] = ()) -> str:
    with fresh_process(
        f"limited:{name}",
        limits,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        descriptors=descriptors,
    ) as process:
        assert process.stdout is not None
        return process.stdout.read().decode().strip()


def test_limits_are_applied_for_good_and_secrets_are_left_out(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("SECRET_KEY", "x")
    limits, knows_secret = json.loads(said_by("state"))
    (soft, hard), memory, files, core = limits
    # 20 s and 5 s to spare, after what its own start took.
    assert 25 <= soft == hard <= 40
    assert memory == [1 << 29, 1 << 29]
    assert files == [1000, 1000]
    assert core == [0, 0]
    assert not knows_secret


def test_memory_beyond_the_limit_is_refused() -> None:
    assert said_by("take_memory") == "refused"
    assert said_by("take_memory", ProcessLimits(20.0, 4 << 30)) == ""


def test_a_file_beyond_the_limit_is_cut_off() -> None:
    with tempfile.TemporaryFile() as file:
        errno, size = said_by("write_much", descriptors=(file.fileno(),)).split()
    assert (os.strerror(int(errno)), size) == ("File too large", "1000")


def test_processor_time_ends_it_where_its_parent_does_not() -> None:
    with fresh_process(
        "limited:count", ProcessLimits(-4.0, 1 << 29), stdin=subprocess.DEVNULL
    ) as process:
        assert process.wait(600) in {-signal.SIGXCPU, -signal.SIGKILL}


def test_it_ends_when_its_parent_is_killed() -> None:
    script = f"""
import subprocess, sys
sys.path[:0] = {[str(ROOT), sys.path[0]]!r}
from adapters.sandbox.fresh_process import _environment, begin, fresh_process
from adapters.sandbox.limits import ProcessLimits
with fresh_process(
    "limited:stay", ProcessLimits(20.0, 1 << 29), stdin=subprocess.DEVNULL, stdout=None
) as process:
    process.wait()
"""
    parent = subprocess.Popen([sys.executable, "-c", script], stdout=subprocess.PIPE)
    assert parent.stdout is not None
    with parent.stdout:
        assert parent.stdout.readline() == b"up\n"
        parent.kill()
        parent.wait()
        # The pipe ends when the last process that can write to it has ended.
        assert parent.stdout.read() == b""


NO_LIMIT = resource.RLIM_INFINITY


@pytest.mark.parametrize(
    ("before", "for_good", "after"),
    [
        ((NO_LIMIT, NO_LIMIT), True, (1000, 1000)),
        ((NO_LIMIT, NO_LIMIT), False, (1000, NO_LIMIT)),
        # A lower hard limit cannot be raised.
        ((500, 700), True, (500, 500)),
        ((NO_LIMIT, 700), True, (700, 700)),
        ((500, 700), False, (700, 700)),
        # The soft limit of the task before is raised again, but not for good.
        ((500, 5000), False, (1000, 5000)),
        ((500, 5000), True, (500, 500)),
        ((2000, 5000), True, (1000, 1000)),
    ],
)
def test_limits_are_lowered_for_good_or_for_a_task(
    before: tuple[int, int],
    for_good: bool,
    after: tuple[int, int],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    stated: dict[int, tuple[int, int]] = {}
    kinds = (resource.RLIMIT_CPU, resource.RLIMIT_AS, resource.RLIMIT_FSIZE)
    monkeypatch.setattr(resource, "getrlimit", dict.fromkeys(kinds, before).__getitem__)
    monkeypatch.setattr(resource, "setrlimit", stated.__setitem__)
    # Of processor time 5 s are added, and what was used so far.
    used = {resource.RUSAGE_SELF: SimpleNamespace(ru_utime=100.25, ru_stime=20.25)}
    monkeypatch.setattr(resource, "getrusage", used.__getitem__)
    ProcessLimits(874.0, 1000, 1000).apply(for_good=for_good)
    assert stated == {
        resource.RLIMIT_CORE: (0, 0),
        resource.RLIMIT_CPU: after,
        resource.RLIMIT_AS: after,
        resource.RLIMIT_FSIZE: after,
    }
    stated.clear()
    ProcessLimits(874.0, 1000).apply(for_good=for_good)
    assert set(stated) == {resource.RLIMIT_CORE, resource.RLIMIT_CPU, resource.RLIMIT_AS}


def test_the_environment_of_a_fresh_process(monkeypatch: pytest.MonkeyPatch) -> None:
    """No keys; an empty entry of the import path is the working folder."""
    for key in ("LC_ALL", "TMPDIR", "AWS_KEY", "XPATH"):
        monkeypatch.setenv(key, f"of {key}")
    monkeypatch.setattr(sys, "path", ["/one", "", "/two"])
    made = _environment()
    assert made.keys() - os.environ.keys() <= {
        "PYTHONPATH",
        "PYTHONHASHSEED",
        "PYTHONDONTWRITEBYTECODE",
    }
    assert not made.keys() & {"AWS_KEY", "XPATH"}
    assert made == made | {
        "PATH": os.environ["PATH"],
        "LC_ALL": "of LC_ALL",
        "TMPDIR": "of TMPDIR",
        "PYTHONPATH": f"/one:{Path.cwd()}:/two",
        "PYTHONHASHSEED": "0",
        "PYTHONDONTWRITEBYTECODE": "1",
    }


def test_the_beginning_of_a_fresh_process(monkeypatch: pytest.MonkeyPatch) -> None:
    """It limits itself before it imports anything of its task."""
    done: list[object] = []
    monkeypatch.setattr(
        ProcessLimits, "apply", lambda self, *, for_good: done.append((self, for_good))
    )
    monkeypatch.setitem(
        sys.modules, "own_task", SimpleNamespace(go=lambda *numbers: done.append(numbers))
    )
    limits = '{"seconds": 2.5, "memory_bytes": 7, "file_bytes": null}'
    monkeypatch.setattr(sys, "argv", ["-c", "own_task:go", limits, "5", "6"])
    begin()
    assert done == [(ProcessLimits(2.5, 7), True), (5, 6)]
