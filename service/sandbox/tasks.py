"""The tasks by name: run by a child process, or by the server when they are cheap."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from functools import partial
from typing import Any

import orjson

from adapters import plugins
from geometry.layout.effort import STEPS_PER_SECOND
from service import kits
from service.answers.pieces import OutlinesAnswer
from service.answers.quilts import QuiltPlanAnswer, YardageAnswer
from service.batches.expand import BatchSource
from service.batches.values import wrong_values
from service.errors import Fault
from service.kits.archive import with_archive
from service.kits.files import Checked
from service.kits.limits import TimeLimit
from service.quilts import cutting_sheet
from service.quilts.plan import quilt_plan as plan_quilt
from service.quilts.yardage import yardage as calculate_yardage
from service.requests.drawn_blocks import DrawnBlockRequest
from service.requests.inspections import InspectionRequest
from service.requests.kits import KitRequest
from service.requests.pieces import OutlinesRequest
from service.requests.quilt_spec import QuiltSpec
from service.requests.recuts import RecutRequest
from service.requests.yardage import YardageRequest
from service.sandbox.nester import installed
from service.sandbox.unloaded import UnloadedBody, loaded
from service.schemas.rounding import without_noise
from service.settings import Settings

Cutters = Mapping[str, Mapping[str, Any]]
Task = Callable[..., Any]
#: Called with a computation's progress, from 0 to 1, and its phase.
Progress = Callable[[float, str], None]

#: Share of the allowed time after which a layout stops with its best result, so that time is left
#: to write files.
_SHARE_FOR_LAYOUT = 0.6
#: Share of the allowed time for the search of layouts on an idle machine, in counted steps: less
#: than half of the above, so that a machine with twice the load finds the same layouts.
_SHARE_FOR_SEARCH = 0.25
#: Share of the allowed time after which a plug-in is stopped, so that the error can name it.
_SHARE_FOR_PLUGIN = 0.3


def _limit(seconds: float) -> TimeLimit:
    """Return the time limit for the layouts of one computation."""
    start = time.monotonic()
    return TimeLimit(
        lambda share: time.monotonic() > start + share * _SHARE_FOR_LAYOUT * seconds,
        _SHARE_FOR_SEARCH * seconds * STEPS_PER_SECOND,
    )


def checked_body(seconds: float, body: UnloadedBody) -> tuple[Any, Any]:
    """Return a JSON body, loaded by its schema, and its JSON values."""
    del seconds
    return body.load()


def outlines(seconds: float, request: OutlinesRequest) -> OutlinesAnswer:
    """Compute templates and patches; the view rounds their numbers as it makes JSON of them."""
    del seconds
    return kits.outlines(request)


def layouts(
    seconds: float, request: KitRequest, *, progress: Progress | None = None
) -> kits.Bundle:
    """Calculate a kit's layouts."""
    with plugins.within(_SHARE_FOR_PLUGIN * seconds):
        return kits.layouts(request, nester=installed(), limit=_limit(seconds), progress=progress)


def kit(
    seconds: float,
    request: KitRequest,
    *,
    read_back: Checked = True,
    progress: Progress | None = None,
) -> kits.Bundle:
    """Create a kit, its zip and its hashes."""
    with plugins.within(_SHARE_FOR_PLUGIN * seconds):
        bundle = kits.kit(
            request,
            nester=installed(),
            read_back=read_back,
            limit=_limit(seconds),
            progress=progress,
        )
    return with_archive(bundle)


def recut(
    seconds: float,
    answer: bytes,
    request: RecutRequest,
    *,
    read_back: Checked = True,
    progress: Progress | None = None,
) -> kits.Bundle:
    """Cut pieces of a stored kit again."""
    with plugins.within(_SHARE_FOR_PLUGIN * seconds):
        bundle = kits.recut(
            orjson.loads(answer),
            request,
            nester=installed(),
            read_back=read_back,
            limit=_limit(seconds),
            progress=progress,
        )
    return with_archive(bundle)


def quilt_plan(
    seconds: float, spec: QuiltSpec, *, progress: Progress | None = None
) -> QuiltPlanAnswer:
    """Plan a quilt."""
    del seconds
    return without_noise(plan_quilt(spec, progress=progress))


def yardage(seconds: float, request: YardageRequest) -> YardageAnswer:
    """Calculate yardage."""
    del seconds
    return without_noise(calculate_yardage(request))


def quilt_plan_sheet(seconds: float, spec: QuiltSpec, media_type: str) -> bytes:
    """Plan a quilt and print how its fabrics are cut by hand."""
    del seconds
    return cutting_sheet.sheet_bytes(cutting_sheet.plan_sheet(spec), media_type)


def yardage_sheet(seconds: float, request: YardageRequest, media_type: str) -> bytes:
    """Calculate yardage and print how its fabrics are cut by hand."""
    del seconds
    return cutting_sheet.sheet_bytes(cutting_sheet.yardage_sheet(request), media_type)


def inspect(
    seconds: float, data: bytes, request: InspectionRequest, cutter: Mapping[str, Any] | None
) -> Any:  # noqa: ANN401 - JSON values
    """Read and measure a drawing."""
    # Imported here, so that only requests with drawings wait for the readers' import.
    from service.drawings.inspect import inspect_file  # noqa: PLC0415

    del seconds
    return without_noise(inspect_file(data, request, cutter))


def printed_picture(seconds: float, svg: bytes) -> bytes:
    """Draw a picture as pixels, for print."""
    # Imported here, so that only requests for pixels wait for the import.
    from service.documents.pictures.png import printed_png  # noqa: PLC0415

    del seconds
    return printed_png(svg.decode())


def block(
    seconds: float, request: DrawnBlockRequest | UnloadedBody, data: bytes | None
) -> tuple[bytes, Mapping[str, Any] | None]:
    """Find the pieces of a drawn block: return the answer's JSON, and the block of a quilt plan."""
    # Imported here, so that only requests with drawings wait for the readers' import.
    from service.blocks import block_answer  # noqa: PLC0415

    del seconds
    with loaded(request) as drawn:
        made = block_answer(drawn, data)
    # None of its members may be left out, so that its classes need no walk of their own.
    return orjson.dumps(made), made.block


def block_document(
    seconds: float, request: DrawnBlockRequest | UnloadedBody, data: bytes | None
) -> bytes:
    """Print the pages of a drawn block."""
    from service.blocks import block_document as pages  # noqa: PLC0415

    del seconds
    with loaded(request) as drawn:
        return pages(drawn, data)


def batch_values(seconds: float, source: BatchSource) -> list[Fault]:
    """Find the values of a batch's kits that cannot be used."""
    del seconds
    return wrong_values(source)


#: Tasks that write cut files.
_WRITING = ("kit", "recut")
TASKS: Mapping[str, Task] = {
    "batch_values": batch_values,
    "block": block,
    "block_document": block_document,
    "checked_body": checked_body,
    "outlines": outlines,
    "inspect": inspect,
    "layouts": layouts,
    "printed_picture": printed_picture,
    "kit": kit,
    "recut": recut,
    "quilt_plan": quilt_plan,
    "quilt_plan_sheet": quilt_plan_sheet,
    "yardage": yardage,
    "yardage_sheet": yardage_sheet,
}


def task_of(name: str, settings: Settings) -> Task:
    """Return a task by name, adjusted by the settings."""
    if name in _WRITING and settings.read_back == "sampled":
        return partial(TASKS[name], read_back="sampled")
    return TASKS[name]
