"""Starts a process of the sandbox as a fresh interpreter, which has nothing of its parent's memory.

Children that are forked start sooner, but know all that their parent knows. A plug-in must not, and
the nester is killed so often that it imports as little as it can.
"""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import asdict
from importlib import import_module
from pathlib import Path
from typing import IO

from adapters.sandbox.limits import ProcessLimits

_CODE = "from adapters.sandbox.fresh_process import begin; begin()"
#: Environment variables that such a process gets: no keys, no passwords.
_ENVIRONMENT = ("PATH", "HOME", "LANG", "LC_", "LD_", "TMPDIR", "TZ")


@contextmanager
def fresh_process(
    main: str,
    limits: ProcessLimits,
    *,
    stdin: int | IO[bytes],
    stdout: int | None = subprocess.DEVNULL,
    stderr: int | None = subprocess.DEVNULL,
    descriptors: Sequence[int] = (),
) -> Iterator[subprocess.Popen[bytes]]:
    """Start an interpreter that calls a function of ours; end it and all that it started.

    Args:
        main: as ``package.module:function``; it is called with the lifeline for ``end_with``, and
            ``descriptors``.
        limits: for good.
        stdin: as for ``subprocess``.
        stdout: as for ``subprocess``.
        stderr: as for ``subprocess``.
        descriptors: that it can use besides these.
    """
    lifeline, held = os.pipe()
    try:
        numbers = (lifeline, *descriptors)
        # -P: the working folder does not come before the standard library.
        process = subprocess.Popen(  # noqa: S603 - our own code
            [
                sys.executable, "-P", "-c", _CODE, main, json.dumps(asdict(limits)),
                *map(str, numbers),
            ],
            stdin=stdin, stdout=stdout, stderr=stderr, pass_fds=numbers,
            start_new_session=True, env=_environment(),
        )  # fmt: skip
        try:
            yield process
        finally:
            _end(process)
    finally:
        os.close(lifeline)
        os.close(held)


def exit_code(process: subprocess.Popen[bytes], seconds: float) -> int | None:
    """Wait for a process to end; return its exit code, or ``None`` if it still runs by then."""
    try:
        return process.wait(seconds)
    except subprocess.TimeoutExpired:
        return None


def begin() -> None:
    """Limit this process, which was started by ``fresh_process``, and call its function."""
    main, limits, *numbers = sys.argv[1:]
    ProcessLimits(**json.loads(limits)).apply(for_good=True)
    module, _, function = main.partition(":")
    getattr(import_module(module), function)(*map(int, numbers))


def _end(process: subprocess.Popen[bytes]) -> None:
    """Kill a running process and all processes that it started."""
    if process.returncode is None:
        with suppress(ProcessLookupError):
            os.killpg(process.pid, signal.SIGKILL)
        process.wait()
    for pipe in (process.stdin, process.stdout):
        # What it did not read is written when the pipe is closed.
        with suppress(BrokenPipeError):
            if pipe is not None:
                pipe.close()


def _environment() -> dict[str, str]:
    kept = {key: value for key, value in os.environ.items() if key.startswith(_ENVIRONMENT)}
    path = os.pathsep.join(place or str(Path.cwd()) for place in sys.path)
    # A fixed hash seed, so that a plug-in iterates over sets in the same order every time.
    return {**kept, "PYTHONPATH": path, "PYTHONHASHSEED": "0", "PYTHONDONTWRITEBYTECODE": "1"}
