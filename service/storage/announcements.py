"""Announcements: callbacks that become due, in the transaction that stores what they report.

A due callback is a job of the kind ``callback``. Its id follows from what it reports, and what
asked for it is emptied in the same transaction, so that there is one of them.
"""

from __future__ import annotations

from typing import Any
from urllib.parse import urlsplit

from sqlalchemy import ColumnElement, Connection, and_, func, insert, select, update

from service.answers.callbacks import CallbackBody, CallbackData
from service.callbacks.messages import CallbackRequest, callback_id, message_bytes, read_request
from service.links import batch_address, job_address, kit_address, timestamp
from service.requests.callbacks import Callback
from service.storage.clock import NowUs
from service.storage.kit_rows import KitRow
from service.storage.tables import BATCHES, JOBS

CALLBACK = "callback"
PASSED_ON = b""
"""What a job or a batch holds in the place of a callback that has become due."""
J, B = JOBS.c, BATCHES.c


def announce_kit(connection: Connection, kit: KitRow, callback: Callback, request_id: str) -> None:
    """Add the callback of a kit that was created by a request."""
    data = CallbackData(
        id=kit.id,
        href=kit_address(kit.id),
        title=kit.title,
        state="created",
        number=kit.number or None,
        reference=kit.reference or None,
        kit=kit_address(kit.id),
    )
    body = CallbackBody(type="kit.created", timestamp=timestamp(kit.created_us), data=data)
    _add(connection, CallbackRequest(callback.url, callback.secret), body, request_id, kit.key_id)


def announce_jobs(connection: Connection, which: ColumnElement[bool], number: str = "") -> None:
    """Add the callbacks of those jobs that have ended and asked for one.

    Args:
        connection: in the transaction that ended them.
        which: jobs.
        number: of the kit that was made, where it is one job that made one.
    """
    ended = and_(which, J.ended_us.is_not(None), J.callback.is_not(None), J.callback != PASSED_ON)
    for row in connection.execute(select(JOBS).where(ended)).all():
        request = read_request(row.callback)
        body = CallbackBody(
            type="job.ended",
            timestamp=timestamp(row.ended_us),
            data=_job_data(row, number, request.reference),
        )
        _add(connection, request, body, row.request_id, row.key_id, row.traceparent)
        connection.execute(update(JOBS).where(J.id == row.id).values(callback=PASSED_ON))


def _job_data(row: Any, number: str, reference: str) -> CallbackData:  # noqa: ANN401 - a row
    made = row.state == "succeeded"
    return CallbackData(
        id=row.id,
        href=job_address(row.id),
        title=row.title,
        state=row.state,
        number=number or None,
        reference=reference or None,
        kit=kit_address(row.kit_id) if made and row.kit_id is not None else None,
        result=f"{job_address(row.id)}/result" if made and row.kit_id is None else None,
    )


def announce_batch(connection: Connection, batch_id: str) -> None:
    """Add the callback of a batch if its last job has ended; the caller holds the batch's row."""
    wanted = and_(B.id == batch_id, B.callback.is_not(None), B.callback != PASSED_ON)
    row = connection.execute(select(BATCHES, NowUs().label("now")).where(wanted)).first()
    if row is None:
        return
    going = select(J.id).where(J.batch_id == batch_id, J.ended_us.is_(None)).limit(1)
    if connection.execute(going).first() is not None:
        return
    counts = select(J.state, func.count()).where(J.batch_id == batch_id).group_by(J.state)
    states = {state for state, _ in connection.execute(counts)}
    request, address = read_request(row.callback), batch_address(row.id)
    data = CallbackData(
        id=row.id,
        href=address,
        title=row.title,
        state="cancelled" if "cancelled" in states else "ended",
        number=row.number or None,
        reference=row.reference or None,
        failures=f"{address}/failures" if "failed" in states else None,
    )
    body = CallbackBody(type="batch.ended", timestamp=timestamp(row.now), data=data)
    _add(connection, request, body, row.request_id, row.key_id)
    connection.execute(update(BATCHES).where(B.id == batch_id).values(callback=PASSED_ON))


def _add(
    connection: Connection,
    request: CallbackRequest,
    body: CallbackBody,
    request_id: str,
    key_id: str,
    traceparent: str = "",
) -> None:
    values = {
        "id": callback_id(body.data.id),
        "kind": CALLBACK,
        "state": "queued",
        "created_us": NowUs(),
        # When it is due: now.
        "lease_us": NowUs() - 1,
        "title": body.data.title[:200],
        "request": message_bytes(request, body),
        "host": urlsplit(request.url).netloc.lower(),
        "request_id": request_id,
        "key_id": key_id,
        "traceparent": traceparent,
    }
    connection.execute(insert(JOBS).values(**values))
