"""Batches: many kits asked for at once, their results as they come, one zip at the end."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Mapping, Sequence
from typing import Any

import orjson
from flask import Blueprint, Response, g

from service.batches.bundle import stream
from service.batches.effort import batch_effort
from service.batches.expand import Source
from service.batches.read import source_of
from service.http.addresses import kit_address, timestamp
from service.http.computations import compute
from service.http.endpoint import JSON, Answer, chosen, op, respond
from service.http.idempotency import HEADER, claimed
from service.http.problems import Fault, ProblemError
from service.jobs.answers import batch_address, batch_answer, job_address
from service.requests.builtin_cutters import BUILT_IN
from service.requests.schemas.jobs import (
    BatchAnswer,
    BatchList,
    BatchRequest,
    BatchSummary,
    FailureList,
    ListQuery,
)
from service.storage.batches import NewBatch
from service.storage.idempotency_keys import ClaimLostError
from service.storage.job_sweep import Delivery
from service.storage.orders import Order, QueueFullError
from service.views.current import settings, store
from service.views.pages import cursor, number, opaque, opaque_number
from service.views.streams import streamed
from service.views.submit import deliver, queue_limits, still_running, too_many

blueprint = Blueprint("batches", __name__, url_prefix="/v1/batches")

ZIP = "application/zip"
LINKS = ("getBatch", "cancelBatch", "listBatchFailures")
_GOING = ("queued", "running")
#: Sizes times shapes; more are checked in a child process.
_MAX_SIZES_CHECKED_HERE = 1000
_NEXT = {"Link": "rel=next, if any"}


@blueprint.post("")
@op(
    id="createBatch",
    tag="batches",
    body=BatchRequest,
    answers={
        202: Answer(
            "The batch, kept; its kits will be made",
            BatchSummary,
            headers={"Location": "the batch's address"},
            links=LINKS,
            link_id="batch_id",
        )
    },
    problems=[404, 409],
    takes=[HEADER],
    examples=["harbour-size-run"],
    scope="write",
)
def make_batch(body: dict[str, Any]) -> Response:
    """Ask for many kits at once.

    Either `requests`, or one `request` and lists of `shapes`, `sizes` and `cutters`: a kit is made
    for every one of each, cutters changing fastest. All is counted and checked before anything is
    begun; kits that then turn out not to be possible are listed as failures, the others are made.
    """
    with claimed() as claim:
        if isinstance(claim, str):
            return _accepted(claim)
        source = source_of(body, _cutters(), settings().batch_kits, _wrong_sizes)
        order = _ordered(source)
        batch = NewBatch(
            id=str(uuid.uuid4()),
            title=body.get("title", ""),
            source=orjson.dumps(vars(source)),
            titles=[source.title(each) for each in range(source.count)],
            request_id=g.request_id,
        )
        try:
            store().batches.add(batch, order=order, limits=queue_limits(), claim=claim)
        except QueueFullError as error:
            raise too_many(error) from None
        except ClaimLostError:
            raise still_running() from None
        deliver(Delivery("batch", batch.id))
        return _accepted(batch.id)


def _wrong_sizes(sizes: Sequence[Any], shapes: Sequence[Any]) -> list[Fault]:
    small = len(sizes) * len(shapes) <= _MAX_SIZES_CHECKED_HERE
    found: list[Fault] = compute("sizes", sizes, shapes, small=small)
    return found


def _cutters() -> Callable[[str], Mapping[str, Any] | None]:
    """Return what gives cutters by name; saved ones are read together, when first asked for."""
    saved: dict[str, Mapping[str, Any]] | None = None

    def get(name: str) -> Mapping[str, Any] | None:
        nonlocal saved
        if name in BUILT_IN:
            return BUILT_IN[name]
        if saved is None:
            every = store().cutters.all()
            saved = {each.name: {**each.body, "version": each.version} for each in every}
        return saved.get(name)

    return get


def _ordered(source: Source) -> Order:
    effort, most = batch_effort(source), settings().batch_effort_seconds
    if effort > most:
        detail = (
            f"This batch asks for {effort:g} seconds of search in {source.count} kits; at most "
            f"{most} may be asked for at once. State less effort, or fewer kits."
        )
        raise ProblemError("batch-too-large", 422, detail, count=source.count, most_effort_s=most)
    return Order(getattr(g, "key_id", ""), source.count, effort)


def _accepted(batch_id: str) -> Response:
    return respond((_told(_found(batch_id)), 202, {"Location": batch_address(batch_id)}))


@blueprint.get("")
@op(
    id="listBatches",
    tag="batches",
    query=ListQuery,
    answers={200: Answer("Batches, newest first", BatchList, headers=_NEXT)},
)
def list_batches(query: dict[str, Any]) -> Any:  # noqa: ANN401 - JSON values, status, headers
    """List batches, newest first, without their kits."""
    limit = query.get("limit", 50)
    after = cursor(query["after"]) if "after" in query else None
    rows = store().batches.page(limit + 1, after=after)
    counts = store().batches.counts([row.id for row in rows[:limit]])
    told: dict[str, Any] = {"batches": [batch_answer(row, counts[row.id]) for row in rows[:limit]]}
    if len(rows) <= limit:
        return told, 200, {}
    last = rows[limit - 1]
    return _with_next(told, f"/v1/batches?limit={limit}&after={opaque(last.created_us, last.id)}")


@blueprint.get("/<uuid:batch_id>")
@op(
    id="getBatch",
    tag="batches",
    query=ListQuery,
    answers={
        200: Answer("The batch as it stands", BatchAnswer, media=[ZIP], headers=_NEXT),
    },
    problems=[404, 409],
)
def get_batch(batch_id: uuid.UUID, query: dict[str, Any]) -> Any:  # noqa: ANN401 - as above
    """Show how far a batch is, and its kits in the order in which they were made.

    While it goes on, `next` leads to the kits that will be made after these. Once it has ended,
    `Accept: application/zip` gives everything at once: a zip of the kits' own zips, and
    `batch.json`, which lists them and the failures.
    """
    row = _found(batch_id)
    told = _told(row)
    if chosen((JSON, ZIP)) == ZIP:
        return _zip(row, told)
    limit = query.get("limit", 50)
    after = number(query["after"]) if "after" in query else 0
    rows = store().batches.ended(row.id, "succeeded", limit + 1, after=after)
    told["kits"] = [
        {
            "number": each.number,
            "title": each.title,
            "ended_at": timestamp(each.ended_us),
            "kit": kit_address(each.kit_id),
            "job": job_address(each.id),
        }
        for each in rows[:limit]
    ]
    if len(rows) > limit or told["state"] in _GOING:
        last = rows[:limit][-1].finish if rows else after
        mark = opaque_number(last)
        return _with_next(told, f"{batch_address(row.id)}?limit={limit}&after={mark}", vary=True)
    return told, 200, {"Vary": "Accept"}


def _zip(row: Any, told: dict[str, Any]) -> Response:  # noqa: ANN401 - a row of that table
    if told["state"] in _GOING:
        ended = round(told["progress"] * row.total)
        detail = f"{ended} of {row.total} kits have ended; the zip is there once all have."
        wait = {"Retry-After": "5"}
        raise ProblemError("not-ended", 409, detail, headers=wait, state=told["state"])
    name = f'attachment; filename="batch-{row.id}.zip"'
    headers = {"Content-Disposition": name, "Vary": "Accept"}
    return streamed(stream(store(), row), ZIP, headers)


@blueprint.get("/<uuid:batch_id>/failures")
@op(
    id="listBatchFailures",
    tag="batches",
    query=ListQuery,
    answers={200: Answer("What could not be made, and why", FailureList, headers=_NEXT)},
    problems=[404],
)
def list_failures(batch_id: uuid.UUID, query: dict[str, Any]) -> Any:  # noqa: ANN401 - as above
    """List the kits of a batch that could not be made, in the order in which they failed."""
    row = _found(batch_id)
    limit = query.get("limit", 50)
    after = number(query["after"]) if "after" in query else 0
    rows = store().batches.ended(row.id, "failed", limit + 1, after=after)
    told: dict[str, Any] = {
        "failures": [
            {
                "number": each.number,
                "title": each.title,
                "ended_at": timestamp(each.ended_us),
                "job": job_address(each.id),
                "problem": orjson.loads(each.problem),
            }
            for each in rows[:limit]
        ]
    }
    if len(rows) <= limit:
        return told, 200, {}
    mark = opaque_number(rows[limit - 1].finish)
    return _with_next(told, f"{batch_address(row.id)}/failures?limit={limit}&after={mark}")


@blueprint.delete("/<uuid:batch_id>")
@op(
    id="cancelBatch",
    tag="batches",
    answers={
        200: Answer("It has ended: cancelled now, or in some way before", BatchSummary),
        202: Answer("What is being done of it is being stopped", BatchSummary),
    },
    problems=[404],
    scope="write",
)
def cancel_batch(batch_id: uuid.UUID) -> Any:  # noqa: ANN401 - JSON values, status, headers
    """Cancel what has not ended of a batch; kits that are made already stay."""
    store().make_way(store().batches.cancel, str(batch_id))
    told = _told(_found(batch_id))
    return told, 202 if told["state"] in _GOING else 200, {}


def _told(row: Any) -> dict[str, Any]:  # noqa: ANN401 - a row of the table of batches
    return batch_answer(row, store().batches.counts([row.id])[row.id])


def _with_next(told: dict[str, Any], link: str, *, vary: bool = False) -> Any:  # noqa: ANN401
    told["next"] = link
    return told, 200, {"Link": f'<{link}>; rel="next"', **({"Vary": "Accept"} if vary else {})}


def _found(batch_id: uuid.UUID | str) -> Any:  # noqa: ANN401 - a row of the table of batches
    row = store().batches.get(str(batch_id))
    if row is None:
        detail = "There is no such batch, or it was forgotten; GET /v1/batches lists them."
        raise ProblemError("not-found", 404, detail)
    return row
