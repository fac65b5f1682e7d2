"""The nester's process, as layouts are passed it."""

from __future__ import annotations

import importlib.util
import json
import os
import select
import subprocess
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from typing import Any

from adapters.sandbox.fresh_process import fresh_process
from adapters.sandbox.limits import ProcessLimits
from geometry.layout.effort import Nester, Reports

#: Seconds between two looks at whether the caller wants no more.
_LOOK_S = 0.05
_MAIN = "service.sandbox.nester_process:main"
#: Address space of the process; in a computation it has no more than the computation.
_MEMORY_BYTES = 2 << 30


def installed() -> Nester | None:
    """Return the nester, or ``None`` where its library is not installed."""
    if importlib.util.find_spec("spyrrow") is None or not sys.executable:
        return None
    return asked


@contextmanager
def asked(question: Mapping[str, Any], is_cut: Callable[[], bool]) -> Iterator[Reports]:
    """Start a nester process and give what it reports.

    Args:
        question: what it packs.
        is_cut: whether the caller wants no more.
    """
    # Its search ends by the clock; beside it, the library packs in a thread or two.
    limits = ProcessLimits(2.0 * question["seconds"], _MEMORY_BYTES, file_bytes=0)
    pipe = subprocess.PIPE
    with fresh_process(_MAIN, limits, stdin=pipe, stdout=pipe, stderr=None) as process:
        pipe_in, pipe_out = process.stdin, process.stdout
        if pipe_in is None or pipe_out is None:  # pragma: no cover - both were asked for
            raise RuntimeError
        # Whether it reads at all is seen by what it answers.
        with suppress(BrokenPipeError):
            pipe_in.write(json.dumps(question).encode() + b"\n")
            pipe_in.flush()
        yield _reports(pipe_out.fileno(), is_cut)


def _reports(pipe: int, is_cut: Callable[[], bool]) -> Reports:
    rest = b""
    while True:
        if is_cut():
            yield None
        if not select.select([pipe], [], [], _LOOK_S)[0]:
            continue
        more = os.read(pipe, 1 << 16)
        if not more:
            return
        *whole, rest = (rest + more).split(b"\n")
        yield from (json.loads(line) for line in whole)
