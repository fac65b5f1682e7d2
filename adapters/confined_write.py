"""Calls a writer once in a child process that is as confined as a plug-in's in the service.

The child is forked, so that it needs no entry point: the adapter may be one that is not installed.
"""

from __future__ import annotations

import contextlib
import json
import os
import resource
import select
import signal
import sys
import time
from collections.abc import Mapping
from pathlib import Path
from typing import Any, NamedTuple, NoReturn

from adapters.contract import Adapter
from adapters.plugin_code import keep_found_modules, readable_places
from adapters.sandbox.confinement import confine
from geometry.model.plan import CutPlan
from geometry.sentences import number_of

#: Seconds of computing, or of sleeping, after which a writer hangs: those of the service.
MAX_SECONDS = 20
#: Between looks at a child.
_LOOK_S = 0.05


class WriteOutcome(NamedTuple):
    """How a writer did: what went wrong, if anything, and how it was called."""

    fault: str
    hangs: bool
    is_confined: bool


def write_confined(adapter: Adapter, plan: CutPlan, settings: Mapping[str, Any]) -> WriteOutcome:
    """Return how a writer does in a confined child."""
    receiver, sender = os.pipe()
    child = os.fork()
    if not child:
        os.close(receiver)
        _write(sender, adapter, plan, settings)
    os.close(sender)
    try:
        answered = _wait(child, receiver)
        said = os.read(receiver, 1 << 16) if answered else b""
    finally:
        with contextlib.suppress(ProcessLookupError):
            os.kill(child, signal.SIGKILL)
        _, status = os.waitpid(child, 0)
        os.close(receiver)
    if said:
        fault, is_confined = json.loads(said)
        return WriteOutcome(fault, hangs=False, is_confined=is_confined)
    if not answered or os.WTERMSIG(status) == signal.SIGXCPU:
        fault = f"gave no file in {number_of(MAX_SECONDS, 'second')} and was stopped"
        return WriteOutcome(fault, hangs=True, is_confined=True)
    return WriteOutcome("ended its process", hangs=True, is_confined=True)


def _wait(child: int, receiver: int) -> bool:
    """Wait until a child answers or ends; return whether it did before it slept too long.

    Only its own sleep counts, because it may wait for a processor on a busy machine. How long it
    computes is limited by the kernel.
    """
    slept = 0.0
    while slept < MAX_SECONDS:
        if select.select([receiver], [], [], _LOOK_S)[0]:
            return True
        slept += _LOOK_S if _sleeps(child) else 0.0
    return False


def _sleeps(child: int) -> bool:
    try:
        stat = Path(f"/proc/{child}/stat").read_text(encoding="ascii", errors="replace")
    except OSError:
        return True
    return stat.rpartition(")")[2].split()[0] == "S"


def _write(sender: int, adapter: Adapter, plan: CutPlan, settings: Mapping[str, Any]) -> NoReturn:
    """Call the writer and send what went wrong; ends the child."""
    is_confined = False
    try:
        nothing = os.open(os.devnull, os.O_RDWR)
        for descriptor in range(3):
            os.dup2(nothing, descriptor)
        now = int(time.process_time())
        resource.setrlimit(resource.RLIMIT_CPU, (now + MAX_SECONDS, now + MAX_SECONDS + 1))
        keep_found_modules()
        is_confined = confine(readable_places(sys.path, type(adapter).__module__, ()))
        adapter.write(plan, settings)
        fault = ""
    except BaseException as error:  # noqa: BLE001 - whatever it was, the parent must hear of it
        fault = f"raised {type(error).__name__}: {error}"[:500]
    os.write(sender, json.dumps([fault, is_confined]).encode())
    os._exit(0)
