"""The child process that loads a plug-in and calls it; it runs only ``main``.

It reads one pickled request of ours from standard input, writes one JSON answer to a descriptor,
and exits without waiting for threads that still run. The plug-in's output is discarded.
"""

from __future__ import annotations

import base64
import contextlib
import json
import os
import pickle
import re
import sys
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass, replace
from importlib.metadata import EntryPoint
from typing import Any, get_args

from adapters.contract import CONTRACT, MAX_RESOLUTION, Adapter, Kept, Setting, Written
from adapters.errors import AdapterError, CannotHoldError, SettingError
from adapters.plugin_code import keep_found_modules, readable_places
from adapters.readers.strokes import ReadStroke
from adapters.sample import sample_plan
from adapters.sandbox.confinement import confine
from adapters.sandbox.limits import end_with
from adapters.silent_losses import has_inner_stops, silent_loss
from adapters.stroke_faults import fault_of
from geometry.model.plan import CutPlan

#: How far another plan's strokes are from the file's, mm, when it is seen what a reader reads.
_APART = 4.0 * MAX_RESOLUTION
_MEDIA_TYPE = re.compile(r"[a-z]+/[A-Za-z0-9.+-]+")
#: It becomes a file name's extension.
_EXTENSION = re.compile(r"[A-Za-z0-9]+(\.[A-Za-z0-9]+)*")


@dataclass(frozen=True)
class Request:
    """A request to a plug-in.

    ``point`` is the name and value of its entry point, ``verb`` one of ``describe``, ``write``,
    ``read`` and ``resolution``. Nothing in the folders ``hidden`` can be read.
    """

    point: tuple[str, str, str]
    verb: str
    arguments: tuple[Any, ...]
    file_bytes: int
    hidden: tuple[str, ...] = ()


class FaultError(Exception):
    """The plug-in is at fault; the text follows its name."""


def main(lifeline: int, descriptor: int) -> None:
    """Answer one request.

    Args:
        lifeline: for ``end_with``.
        descriptor: to which the answer is written.
    """
    request: Request = pickle.load(sys.stdin.buffer)  # noqa: S301 - our own parent wrote it
    _confine(request)
    # After that, so that the thread is confined, too.
    end_with(lifeline)
    answer = _answer(request)
    with os.fdopen(descriptor, "wb") as target:
        target.write(json.dumps(answer).encode())
    os._exit(0)


def _confine(request: Request) -> None:
    nothing = os.open(os.devnull, os.O_RDWR)
    for descriptor in range(3):
        os.dup2(nothing, descriptor)
    keep_found_modules()
    module = EntryPoint(*request.point).module
    confine(readable_places(sys.path, module, request.hidden))


def _answer(request: Request) -> dict[str, Any]:
    try:
        return {"done": _VERBS[request.verb](request)}
    except FaultError as fault:
        return {"fault": str(fault)[:300]}
    except SettingError as error:
        return {"refused": "setting", "text": str(error)[:2000], "setting": str(error.setting)}
    except AdapterError as error:
        return {"refused": "hold", "text": str(error)[:2000]}
    except BaseException as error:  # noqa: BLE001 - whatever it was, the parent must hear of it
        return {"fault": f"failed: {type(error).__name__}: {error}"[:300]}


def _trying(what: str, do: Callable[[], Any]) -> Any:  # noqa: ANN401 - a plug-in's own
    """Return a plug-in's result; every error except our own error classes is its fault."""
    try:
        return do()
    except (FaultError, SettingError, CannotHoldError):
        raise
    except MemoryError:
        raise FaultError(f"{what} and ran out of memory") from None
    except SystemExit:
        raise FaultError(f"{what} and ended the process") from None
    except BaseException as error:
        if isinstance(error, AdapterError):
            raise
        raise FaultError(f"{what}: {type(error).__name__}: {error}") from error


def _loaded(request: Request) -> Adapter:
    point = EntryPoint(*request.point)
    found = _trying("could not be loaded", point.load)
    if not isinstance(found, Adapter):
        raise FaultError("is not an adapter")
    return found


def _describe(request: Request) -> dict[str, Any]:
    """Return an adapter's description, after testing it."""
    adapter = _loaded(request)
    if adapter.contract != CONTRACT:
        raise FaultError(f"was written for contract {adapter.contract!r}; this is {CONTRACT}")
    if adapter.name != request.point[0]:
        raise FaultError(f"has the name {adapter.name!r}; both names must agree")
    described: dict[str, Any] = _trying("cannot be described", lambda: _said(adapter))
    for name, wrong in _WRONG.items():
        if wrong(described[name]):
            limit = f" (at most {MAX_RESOLUTION} mm)" if name == "resolution" else ""
            said = str(described[name])[:60]
            raise FaultError(f"states {name} {said!r}, which is not valid{limit}")
    # Required settings of a machine are not known here, so an error about them is correct.
    with contextlib.suppress(AdapterError):
        _written(adapter, sample_plan(), {}, request.file_bytes)
    return described


def _said(adapter: Adapter) -> dict[str, Any]:
    said: dict[str, Any] = {
        "title": adapter.title,
        "media_type": adapter.media_type,
        "extension": adapter.extension,
        "supports": sorted(adapter.supports),
        "resolution": adapter.resolution,
        "settings": [asdict(_setting(spec)) for spec in adapter.settings],
        "reads": callable(getattr(adapter, "read", None)),
        "sized": callable(getattr(adapter, "resolution_for", None)),
    }
    return dict(json.loads(json.dumps(said)))


def _setting(spec: object) -> Setting:
    if not isinstance(spec, Setting):
        raise TypeError("a setting is no Setting")
    return spec


_WRONG: Mapping[str, Callable[[Any], bool]] = {
    "title": lambda text: not isinstance(text, str),
    "media_type": lambda text: not (isinstance(text, str) and _MEDIA_TYPE.fullmatch(text)),
    "extension": lambda text: not (isinstance(text, str) and _EXTENSION.fullmatch(text)),
    "supports": lambda words: not set(words) <= set(get_args(Kept)),
    "resolution": lambda mm: not (isinstance(mm, int | float) and 0.0 < mm <= MAX_RESOLUTION),
}


def _write(request: Request) -> dict[str, Any]:
    plan, settings = request.arguments
    written = _written(_loaded(request), plan, settings, request.file_bytes)
    return {"data": base64.b64encode(written.data).decode(), "losses": list(written.losses)}


def _written(adapter: Adapter, plan: CutPlan, settings: Any, most: int) -> Written:  # noqa: ANN401
    written: object = _trying("failed while writing", lambda: adapter.write(plan, settings))
    again: object = _trying("failed while writing", lambda: adapter.write(plan, settings))
    if not isinstance(written, Written) or not isinstance(written.data, bytes):
        raise FaultError(f"returned {type(written).__name__} instead of a written file")
    if len(written.data) > most:
        raise FaultError(f"wrote {len(written.data)} bytes; the limit is {most}")
    losses: object = written.losses
    if not isinstance(losses, tuple) or not all(isinstance(loss, str) for loss in losses):
        raise FaultError("lists losses that are not text")
    if again != written:
        raise FaultError("writes different files for the same plan")
    if fault := _lost(adapter, plan, settings, written):
        raise FaultError(fault)
    return written


def _lost(adapter: Adapter, plan: CutPlan, settings: Any, written: Written) -> str:  # noqa: ANN401
    """Return what a file lacks of its plan though its writer does not say so."""
    if plan.strokes and not written.data:
        return "wrote an empty file"
    # What only a reader can find is looked for when the file is read back.
    if fault := silent_loss(adapter.supports, plan, written.losses):
        return fault
    if "stops" in adapter.supports and has_inner_stops(plan):
        bare = _trying(
            "failed while writing", lambda: adapter.write(replace(plan, stops=()), settings)
        )
        if bare.data == written.data:
            return "says that it holds stops, and writes the same file without them"
    return ""


def _read(request: Request) -> list[Any]:
    read = getattr(_loaded(request), "read")  # noqa: B009 - the contract leaves it out
    strokes = _trying("failed while reading", lambda: list(read(*request.arguments)))
    if not all(isinstance(stroke, ReadStroke) for stroke in strokes):
        raise FaultError("read something other than strokes")
    if answers_from_plan(read, *request.arguments):
        raise FaultError("reads the plan that it is given instead of the file")
    return list(_trying("failed while reading", lambda: [_row(stroke) for stroke in strokes]))


def answers_from_plan(
    read: Callable[..., Any], data: bytes, plan: CutPlan, settings: Mapping[str, Any]
) -> bool:
    """Return whether a reader finds strokes where another plan has them, and the file has not."""
    other = plan.with_vertices(lambda v: v._replace(x=v.x + _APART, y=v.y + _APART))
    try:
        found = list(read(data, other, settings))
        return bool(other.strokes) and not fault_of(found, other, MAX_RESOLUTION)
    except Exception:  # noqa: BLE001 - it may refuse a file that is not of that plan
        return False


def _row(stroke: ReadStroke) -> list[Any]:
    moves = [[*map(float, (*move.middle, *move.end))] for move in stroke.segments]
    return [[*map(float, stroke.start)], moves, bool(stroke.closed), str(stroke.group)]


def _resolution(request: Request) -> float:
    own = getattr(_loaded(request), "resolution_for")  # noqa: B009 - as above
    found = _trying("cannot state its resolution", lambda: float(own(*request.arguments)))
    if not 0.0 < found <= MAX_RESOLUTION:
        raise FaultError(f"states resolution {found}, which is not valid")
    return float(found)


_VERBS: Mapping[str, Callable[[Request], Any]] = {
    "describe": _describe,
    "write": _write,
    "read": _read,
    "resolution": _resolution,
}
