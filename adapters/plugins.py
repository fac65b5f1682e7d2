"""Formats by others: found by their entry points, each asked in a process of its own.

A plug-in may raise, hang, eat memory or end its process: here it can do so to nobody else. None of
its code is ever imported by the process that serves; what it says of itself, what it writes and
what it reads comes from a child that is killed at its bounds. When it is first asked for, it is
tried with a small plan, so that most faults are known before a kit needs it.
"""

from __future__ import annotations

import base64
import json
import os
import pickle
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from contextvars import ContextVar
from dataclasses import dataclass
from functools import cache
from importlib.metadata import EntryPoint, entry_points
from pathlib import Path
from typing import Any, BinaryIO

from adapters.contract import CONTRACT, Kept, Setting, Written
from adapters.errors import BrokenPluginError, CannotHoldError, SettingError
from adapters.plugin_child import Request
from adapters.readers.strokes import ReadSegment, ReadStroke
from geometry.model.plan import CutPlan
from geometry.model.points import Point

GROUP = "quarterseam.adapters"
#: Bytes of one file, at the most; a load of 20,000 outlines takes a fraction of it.
MOST_BYTES = 64_000_000
#: Address space of a plug-in's process, bytes.
MOST_MEMORY = 1 << 30
#: Seconds that describing and trying a plug-in may take; it may have to load large libraries.
_TRIAL_S = 10.0
#: Seconds that one file may take; the formats of this project take less than one.
_SECONDS: ContextVar[float] = ContextVar("seconds of a plug-in", default=20.0)
_CHILD = "from adapters.plugin_child import main; main()"
#: What of the environment a plug-in is given: no keys, no passwords.
_ENVIRONMENT = ("PATH", "HOME", "LANG", "LC_", "LD_", "TMPDIR", "TZ")


@contextmanager
def within(seconds: float) -> Iterator[None]:
    """Let plug-ins take at most so long for one file, where that is less than usual."""
    token = _SECONDS.set(min(seconds, _SECONDS.get()))
    try:
        yield
    finally:
        _SECONDS.reset(token)


@dataclass(eq=False)
class Plugin:
    """A plug-in as an adapter: what it said of itself, and its process to ask for the rest.

    ``read`` and ``resolution_for`` are there where the plug-in has them.
    """

    point: EntryPoint
    name: str
    title: str
    media_type: str
    extension: str
    keeps: frozenset[Kept]
    resolution: float
    settings: tuple[Setting, ...]
    read: Callable[[bytes], list[ReadStroke]] | None
    resolution_for: Callable[[Mapping[str, Any]], float] | None
    contract: int = CONTRACT

    def write(self, plan: CutPlan, settings: Mapping[str, Any]) -> Written:
        """Return the plan as the plug-in writes it.

        Raises:
            SettingError, CannotHoldError: as the plug-in refuses.
            BrokenPluginError: when it does anything else.
        """
        told = _asked(self.point, "write", plan, dict(settings))
        return Written(base64.b64decode(told["data"]), tuple(told["losses"]))


@cache
def found() -> Mapping[str, tuple[EntryPoint, ...]]:
    """Return every entry point of the group, by name; nothing is imported."""
    points: dict[str, list[EntryPoint]] = {}
    for point in sorted(entry_points(group=GROUP), key=lambda point: (point.name, point.value)):
        if point not in points.get(point.name, []):
            points.setdefault(point.name, []).append(point)
    return {name: tuple(some) for name, some in points.items()}


@cache
def described(name: str) -> Plugin | str:
    """Return a plug-in, or the sentence that says why it cannot be used.

    Its answer stands until the process ends: a plug-in that hangs is waited for once.
    """
    points = found()[name]
    if len(points) > 1:
        where = ", ".join(point.value for point in points)
        return f"Several plug-ins call themselves {name}: {where}. None of them is used."
    if not (name.isidentifier() and name == name.lower()):
        return f"Plug-in {name[:40]} needs a name of small letters, digits and underscores."
    try:
        with within(_TRIAL_S):
            told = _asked(points[0], "describe")
    except BrokenPluginError as error:
        return error.message
    return _plugin(points[0], told)


def _plugin(point: EntryPoint, told: Mapping[str, Any]) -> Plugin:
    def read(data: bytes) -> list[ReadStroke]:
        return [_stroke(*row) for row in _asked(point, "read", data)]

    def resolution_for(settings: Mapping[str, Any]) -> float:
        return float(_asked(point, "resolution", dict(settings)))

    return Plugin(
        point=point,
        name=point.name,
        title=told["title"],
        media_type=told["media_type"],
        extension=told["extension"],
        keeps=frozenset(told["keeps"]),
        resolution=float(told["resolution"]),
        settings=tuple(
            Setting(**{**spec, "choices": tuple(spec["choices"])}) for spec in told["settings"]
        ),
        read=read if told["reads"] else None,
        resolution_for=resolution_for if told["sized"] else None,
    )


def _stroke(start: list[float], moves: list[list[float]], closed: object, group: str) -> ReadStroke:
    segments = tuple(ReadSegment(Point(*move[:2]), Point(*move[2:])) for move in moves)
    return ReadStroke(Point(*start), segments, bool(closed), group)


def _asked(point: EntryPoint, verb: str, *arguments: object) -> Any:  # noqa: ANN401 - JSON
    """Return a plug-in's answer.

    Raises:
        SettingError, CannotHoldError: as it refuses.
        BrokenPluginError: naming it, when it has no answer.
    """
    seconds = _SECONDS.get()
    request = Request(
        (point.name, point.value, point.group), verb, arguments, seconds, MOST_MEMORY, MOST_BYTES
    )
    told = _told(request)
    if "fault" in told:
        detail = f"Plug-in {point.name} ({point.value}) {told['fault']}."
        raise BrokenPluginError(detail, format_name=point.name)
    if told.get("refused") == "setting":
        raise SettingError(told["text"], setting=told["setting"], format_name=point.name)
    if "refused" in told:
        raise CannotHoldError(told["text"], format_name=point.name)
    return told["done"]


def _told(request: Request) -> dict[str, Any]:
    with _memory_file() as question, _memory_file() as answer:
        pickle.dump(request, question)
        question.seek(0)
        child = subprocess.Popen(  # noqa: S603 - our own module
            [sys.executable, "-P", "-c", _CHILD, str(answer.fileno())],
            stdin=question, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
            pass_fds=(answer.fileno(),), start_new_session=True, env=_environment(),
        )  # fmt: skip
        try:
            code = child.wait(request.seconds)
        except subprocess.TimeoutExpired:
            return {"fault": f"gave no answer in {request.seconds:g} seconds and was stopped"}
        finally:
            _end(child)
        answer.seek(0)
        said = answer.read()
    if code == 0 and said:
        return dict(json.loads(said))
    if code == -signal.SIGKILL:
        return {"fault": "was killed, as when there is no memory left"}
    how = f"signal {-code}" if code < 0 else f"exit code {code}"
    return {"fault": f"ended its process ({how}) and gave no answer"}


def _end(child: subprocess.Popen[bytes]) -> None:
    """Kill a child that still runs, and whatever it started."""
    if child.returncode is None:
        with suppress(ProcessLookupError):
            os.killpg(child.pid, signal.SIGKILL)
        child.wait()


def _memory_file() -> BinaryIO:
    """Return a file that is on no disk: plans may be large and disks read-only."""
    return os.fdopen(os.memfd_create("plug-in"), "w+b")


def _environment() -> dict[str, str]:
    kept = {key: value for key, value in os.environ.items() if key.startswith(_ENVIRONMENT)}
    path = os.pathsep.join(place or str(Path.cwd()) for place in sys.path)
    # A fixed seed: what a plug-in iterates over comes in the same order every time.
    return {**kept, "PYTHONPATH": path, "PYTHONHASHSEED": "0", "PYTHONDONTWRITEBYTECODE": "1"}
