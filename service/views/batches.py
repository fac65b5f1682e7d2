"""Batches: many kits from one request, results as they come, one zip at the end."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Mapping
from typing import Any
from urllib.parse import urlencode

import orjson
from flask import Blueprint, Response, g

from geometry.sentences import number_of
from service import __version__
from service.answers.jobs import BatchAnswer, BatchList, BatchSummary, FailureList
from service.batches.bundle import stream
from service.batches.effort import batch_effort
from service.batches.expand import BatchSource
from service.batches.read import source_of
from service.callbacks.messages import request_bytes
from service.errors import Fault
from service.http.callbacks import check_callback
from service.http.computations import compute
from service.http.current import settings, store
from service.http.endpoint import JSON, Answer, chosen, op, respond
from service.http.idempotency import HEADER, claimed
from service.http.logs import traceparent
from service.http.ownership import maker, missing, viewer
from service.http.problems import ProblemError
from service.jobs.answers import batch_answer, batch_kit, failure
from service.links import batch_address
from service.requests.batches import BatchRequest, BatchRequestSchema
from service.requests.kit_number import batch_number
from service.requests.pages import BatchQuery, BatchQuerySchema, ListPage, ListQuerySchema
from service.storage.batches import NewBatch
from service.storage.idempotency_keys import ClaimLostError
from service.storage.job_sweep import Delivery
from service.storage.orders import Order, QueueFullError
from service.tools.built_in import BUILT_IN
from service.views.conditions import CONDITIONS, require_condition, tag_of
from service.views.pages import cursor, linked, number, opaque, opaque_number
from service.views.streams import streamed
from service.views.submit import deliver, queue_limits, still_running, too_many

blueprint = Blueprint("batches", __name__, url_prefix="/v1/batches")

ZIP = "application/zip"
LINKS = ("getBatch", "cancelBatch", "listBatchFailures")
_GOING = ("queued", "running")
_NEXT = {"Link": "rel=next, if any"}


@blueprint.post("")
@op(
    id="createBatch",
    tag="batches",
    body=BatchRequestSchema,
    answers={
        202: Answer(
            "The batch, stored; its kits will follow",
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
def make_batch(body: BatchRequest) -> Response:
    """Create a batch of kits.

    Either `requests`, or one `request` and lists of `shapes`, `sizes` and `cutters`: one kit is
    created for each combination, cutters changing fastest. All requests are counted and validated
    before any work starts, and errors point into this body; kits that then turn out to be
    impossible, such as pieces that do not fit, are listed as failures, the others are created.
    """
    check_callback(body.callback)
    with claimed() as claim:
        if isinstance(claim, str):
            return _accepted(claim)
        source = source_of(body, _cutters(), settings().batch_kits, _wrong_values)
        order = _ordered(source)
        stored = vars(source)
        batch = NewBatch(
            id=str(uuid.uuid4()),
            title=body.title,
            reference=body.reference,
            source=orjson.dumps(stored),
            titles=[source.title(each) for each in range(source.count)],
            request_id=g.request_id,
            callback=request_bytes(body.callback, body.reference),
            number=batch_number(stored, body.title, __version__),
            traceparent=traceparent(),
        )
        try:
            store().batches.add(batch, order=order, limits=queue_limits(), claim=claim)
        except QueueFullError as error:
            raise too_many(error) from None
        except ClaimLostError:
            raise still_running() from None
        deliver(Delivery("batch", batch.id))
        return _accepted(batch.id)


def _wrong_values(source: BatchSource) -> list[Fault]:
    # First, because to look at the values of thousands of kits takes seconds.
    _ordered(source)
    found: list[Fault] = compute("batch_values", source)
    return found


def _cutters() -> Callable[[str], Mapping[str, Any] | None]:
    """Return a function that gets cutters by name; it reads all saved ones at its first call."""
    saved: dict[str, Mapping[str, Any]] | None = None

    def get(name: str) -> Mapping[str, Any] | None:
        nonlocal saved
        if name in BUILT_IN:
            return BUILT_IN[name]
        if saved is None:
            every = store().cutters.all(viewer())
            saved = {each.name: {**each.body, "version": each.version} for each in every}
        return saved.get(name)

    return get


def _ordered(source: BatchSource) -> Order:
    effort, most = batch_effort(source), settings().batch_effort_seconds
    if effort > most:
        detail = (
            f"This batch asks for {number_of(effort, 'second')} of search in "
            f"{number_of(source.count, 'kit')}; the limit is {most}. Request less effort, "
            "or fewer kits."
        )
        raise ProblemError("batch-too-large", 422, detail, count=source.count, most_effort_s=most)
    return Order(maker(), source.count, effort)


def _accepted(batch_id: str) -> Response:
    return respond((_summary(_found(batch_id)), 202, {"Location": batch_address(batch_id)}))


@blueprint.get("")
@op(
    id="listBatches",
    tag="batches",
    query=BatchQuerySchema,
    answers={200: Answer("Batches, newest first", BatchList, headers=_NEXT)},
)
def list_batches(query: BatchQuery) -> Any:  # noqa: ANN401 - JSON values, status, headers
    """List batches, newest first, without their kits."""
    limit = query.limit
    after = cursor(query.after) if query.after else None
    stated = {"reference": query.reference, "number": query.number}
    rows = store().batches.page(limit + 1, after=after, key_id=viewer(), **stated)
    counts = store().batches.counts([row.id for row in rows[:limit]])
    following = None
    if len(rows) > limit:
        last = rows[limit - 1]
        mark: dict[str, Any] = {"limit": limit, "after": opaque(last.created_us, last.id)}
        mark |= {name: value for name, value in stated.items() if value}
        following = f"/v1/batches?{urlencode(mark)}"
    batches = [batch_answer(row, counts[row.id]) for row in rows[:limit]]
    return linked(BatchList(batches=batches, next=following))


@blueprint.get("/<uuid:batch_id>")
@op(
    id="getBatch",
    tag="batches",
    query=ListQuerySchema,
    answers={
        200: Answer("The batch as it stands", BatchAnswer, media=[ZIP], headers=_NEXT),
    },
    problems=[404, 409],
)
def get_batch(batch_id: uuid.UUID, query: ListPage) -> Any:  # noqa: ANN401 - as above
    """Get a batch's progress, and its kits in the order of their creation, without deleted ones.

    While the batch runs, `next` leads to the kits that follow these. Once it has ended, `Accept:
    application/zip` returns everything at once: a zip of the kits' zips, and `batch.json`, which
    lists them and the failures.
    """
    row = _found(batch_id)
    summary = _summary(row)
    if chosen((JSON, ZIP)) == ZIP:
        return _zip(row, summary)
    return _page(row, summary, query)


def _tags(batch_id: uuid.UUID) -> tuple[str]:
    """Return the entity tag of a batch's first page."""
    row = _found(batch_id)
    return (tag_of(respond(_page(row, _summary(row), ListQuerySchema().load({})))),)


def _page(row: Any, summary: BatchSummary, query: ListPage) -> Any:  # noqa: ANN401 - as above
    limit = query.limit
    after = number(query.after) if query.after else 0
    rows = store().batches.ended(row.id, "succeeded", limit + 1, after=after)
    following = None
    if len(rows) > limit or summary.state in _GOING:
        mark = opaque_number(rows[:limit][-1].finish if rows else after)
        following = f"{batch_address(row.id)}?limit={limit}&after={mark}"
    kits = [batch_kit(each) for each in rows[:limit]]
    return linked(BatchAnswer(**vars(summary), kits=kits, next=following), vary="Accept")


def _zip(row: Any, summary: BatchSummary) -> Response:  # noqa: ANN401 - a row of that table
    if summary.state in _GOING:
        ended = round(summary.progress * row.total)
        verb = "has" if row.total == 1 else "have"
        all_kits = number_of(row.total, "kit")
        detail = f"{ended} of {all_kits} {verb} ended; the zip exists once all have."
        wait = {"Retry-After": "5"}
        raise ProblemError("not-ended", 409, detail, headers=wait, state=summary.state)
    number = f"{row.number}-" if row.number else ""
    name = f'attachment; filename="batch-{number}{row.id}.zip"'
    headers = {"Content-Disposition": name, "Vary": "Accept"}
    return streamed(stream(store(), row), ZIP, headers)


@blueprint.get("/<uuid:batch_id>/failures")
@op(
    id="listBatchFailures",
    tag="batches",
    query=ListQuerySchema,
    answers={200: Answer("The failed kits and their problems", FailureList, headers=_NEXT)},
    problems=[404],
)
def list_failures(batch_id: uuid.UUID, query: ListPage) -> Any:  # noqa: ANN401 - as above
    """List the kits of a batch that failed, in the order of failure."""
    row = _found(batch_id)
    limit = query.limit
    after = number(query.after) if query.after else 0
    rows = store().batches.ended(row.id, "failed", limit + 1, after=after)
    following = None
    if len(rows) > limit:
        mark = opaque_number(rows[limit - 1].finish)
        following = f"{batch_address(row.id)}/failures?limit={limit}&after={mark}"
    return linked(FailureList(failures=[failure(each) for each in rows[:limit]], next=following))


@blueprint.delete("/<uuid:batch_id>")
@op(
    id="cancelBatch",
    tag="batches",
    answers={
        200: Answer("The batch has ended, now or earlier", BatchSummary),
        202: Answer("Running jobs are being stopped", BatchSummary),
    },
    problems=[404],
    takes=CONDITIONS,
    scope="write",
)
def cancel_batch(batch_id: uuid.UUID) -> Any:  # noqa: ANN401 - JSON values, status, headers
    """Cancel the kits of a batch that have not ended; finished kits stay."""
    require_condition("batch", lambda: _tags(batch_id), weak=True)
    store().make_way(store().batches.cancel, str(batch_id))
    summary = _summary(_found(batch_id))
    return summary, 202 if summary.state in _GOING else 200, {}


def _summary(row: Any) -> BatchSummary:  # noqa: ANN401 - a row of the table of batches
    return batch_answer(row, store().batches.counts([row.id])[row.id])


def _found(batch_id: uuid.UUID | str) -> Any:  # noqa: ANN401 - a row of the table of batches
    row = store().batches.get(str(batch_id))
    if row is None:
        raise missing("batch_id")
    return row
