"""Plug-ins: formats by others, found by their entry points and run in child processes.

A plug-in may raise errors, hang, use up memory or end its process without affecting anything else.
The serving process never imports its code: its description, files and read strokes come from a
child process with limits. At its first use it is tested with a small plan, so that most faults are
known before a kit needs it.
"""

from __future__ import annotations

import base64
import json
import os
import pickle
import signal
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
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
from adapters.sandbox.fresh_process import exit_code, fresh_process
from adapters.sandbox.limits import ProcessLimits
from geometry.model.plan import CutPlan
from geometry.model.points import Point
from geometry.sentences import number_of

GROUP = "quarterseam.adapters"
#: Maximum bytes of a file; a load of 20,000 outlines takes a fraction of it.
MAX_BYTES = 64_000_000
#: Address space of a plug-in's process, bytes.
MAX_MEMORY = 1 << 30
#: Maximum seconds for describing and testing a plug-in, which may load large libraries.
_TRIAL_S = 10.0
#: Maximum seconds for one file; our own formats take less than one.
_SECONDS: ContextVar[float] = ContextVar("seconds of a plug-in", default=20.0)
_MAIN = "adapters.plugin_child:main"
#: Environment variable with the folder that plug-ins must not read: all processes that are forked
#: or started later have it, too.
_HIDDEN = "PLUGINS_CANNOT_READ"


def hide(folder: Path) -> None:
    """Keep plug-ins of this process, and of those that it starts, from reading a folder.

    They can read no other data anyway, unless it lies among installed code.
    """
    os.environ[_HIDDEN] = str(folder.resolve())


@contextmanager
def within(seconds: float) -> Iterator[None]:
    """Lower the time limit of plug-ins for one file until the block ends."""
    token = _SECONDS.set(min(seconds, _SECONDS.get()))
    try:
        yield
    finally:
        _SECONDS.reset(token)


@dataclass(eq=False)
class Plugin:
    """A plug-in as an adapter: its description, and calls to its child process.

    ``read`` and ``resolution_for`` exist if the plug-in has them.
    """

    point: EntryPoint
    name: str
    title: str
    media_type: str
    extension: str
    supports: frozenset[Kept]
    resolution: float
    settings: tuple[Setting, ...]
    read: Callable[[bytes, CutPlan, Mapping[str, Any]], list[ReadStroke]] | None
    resolution_for: Callable[[Mapping[str, Any]], float] | None
    contract: int = CONTRACT

    def write(self, plan: CutPlan, settings: Mapping[str, Any]) -> Written:
        """Return the file that the plug-in writes for a plan.

        Raises:
            SettingError, CannotHoldError: raised by the plug-in.
            BrokenPluginError: when it fails in any other way.
        """
        answer = _result(self.point, "write", plan, dict(settings))
        return Written(base64.b64decode(answer["data"]), tuple(answer["losses"]))


@cache
def found() -> Mapping[str, tuple[EntryPoint, ...]]:
    """Return all entry points of the group by name, without importing them."""
    points: dict[str, list[EntryPoint]] = {}
    for point in sorted(entry_points(group=GROUP), key=lambda point: (point.name, point.value)):
        if point not in points.get(point.name, []):
            points.setdefault(point.name, []).append(point)
    return {name: tuple(some) for name, some in points.items()}


@cache
def described(name: str) -> Plugin | str:
    """Return a plug-in, or a sentence that says why it cannot be used.

    The result is cached until the process ends, so that a hanging plug-in costs its time only once.
    """
    points = found()[name]
    if len(points) > 1:
        where = ", ".join(point.value for point in points)
        return f"Several plug-ins have the name {name}: {where}. None of them is used."
    if not (name.isidentifier() and name == name.lower()):
        return f"Plug-in {name[:40]} needs a name of small letters, digits and underscores."
    try:
        with within(_TRIAL_S):
            answer = _result(points[0], "describe")
    except BrokenPluginError as error:
        return error.message
    return _plugin(points[0], answer)


def _plugin(point: EntryPoint, answer: Mapping[str, Any]) -> Plugin:
    def read(data: bytes, plan: CutPlan, settings: Mapping[str, Any]) -> list[ReadStroke]:
        return [_stroke(*row) for row in _result(point, "read", data, plan, dict(settings))]

    def resolution_for(settings: Mapping[str, Any]) -> float:
        return float(_result(point, "resolution", dict(settings)))

    return Plugin(
        point=point,
        name=point.name,
        title=answer["title"],
        media_type=answer["media_type"],
        extension=answer["extension"],
        supports=frozenset(answer["supports"]),
        resolution=float(answer["resolution"]),
        settings=tuple(_setting(spec) for spec in answer["settings"]),
        read=read if answer["reads"] else None,
        resolution_for=resolution_for if answer["sized"] else None,
    )


def _setting(spec: Mapping[str, Any]) -> Setting:
    """Return a setting from JSON, which has lists instead of tuples."""
    other = spec["only_with"]
    changed = {
        "choices": tuple(spec["choices"]),
        "only_with": None if other is None else tuple(other),
    }
    return Setting(**{**spec, **changed})


def _stroke(start: list[float], moves: list[list[float]], closed: object, group: str) -> ReadStroke:
    segments = tuple(ReadSegment(Point(*move[:2]), Point(*move[2:])) for move in moves)
    return ReadStroke(Point(*start), segments, bool(closed), group)


def _result(point: EntryPoint, verb: str, *arguments: object) -> Any:  # noqa: ANN401 - JSON
    """Return a plug-in's answer.

    Raises:
        SettingError, CannotHoldError: raised by the plug-in.
        BrokenPluginError: when it gives no answer; names the plug-in.
    """
    request = Request(
        (point.name, point.value, point.group),
        verb,
        arguments,
        MAX_BYTES,
        tuple(filter(None, [os.environ.get(_HIDDEN)])),
    )
    answer = _call(request, _SECONDS.get())
    if "fault" in answer:
        detail = f"Plug-in {point.name} ({point.value}) {answer['fault']}."
        raise BrokenPluginError(detail, format_name=point.name)
    if answer.get("refused") == "setting":
        raise SettingError(answer["text"], setting=answer["setting"], format_name=point.name)
    if "refused" in answer:
        raise CannotHoldError(answer["text"], format_name=point.name)
    return answer["done"]


def _call(request: Request, seconds: float) -> dict[str, Any]:
    # The parent stops it by the clock; processor time is limited for a parent that cannot.
    limits = ProcessLimits(seconds, MAX_MEMORY, 4 * MAX_BYTES)
    with _memory_file() as question, _memory_file() as answer:
        pickle.dump(request, question)
        question.seek(0)
        with fresh_process(_MAIN, limits, stdin=question, descriptors=(answer.fileno(),)) as child:
            code = exit_code(child, seconds)
            if code is None:
                return {
                    "fault": f"gave no answer in {number_of(seconds, 'second')} and was stopped"
                }
        answer.seek(0)
        said = answer.read()
    if code == 0 and said:
        return dict(json.loads(said))
    if code == -signal.SIGKILL:
        return {"fault": "was killed, possibly because memory ran out"}
    how = f"signal {-code}" if code < 0 else f"exit code {code}"
    return {"fault": f"ended its process ({how}) and gave no answer"}


def _memory_file() -> BinaryIO:
    """Return a file in memory, because plans may be large and disks read-only."""
    return os.fdopen(os.memfd_create("plug-in"), "w+b")
