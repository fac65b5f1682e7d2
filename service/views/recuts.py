"""Recuts: cuts pieces of a stored kit again, from its stored data."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from typing import Any

import orjson
from flask import Blueprint, Response

from service.answers.kits import KitAnswer
from service.batches.effort import request_effort
from service.http.callbacks import check_callback
from service.http.computations import compute
from service.http.current import store
from service.http.endpoint import Answer, op
from service.http.idempotency import HEADER
from service.kits.recuts import recut_title
from service.requests.recuts import RecutRequest, RecutRequestSchema
from service.sandbox.admission import MAX_MODEST_OUTLINES
from service.sandbox.stored_tasks import RECUT
from service.views.kits import LINKS, ZIP, made_once, missing
from service.views.submit import JOB_ANSWER, PREFER, WantedJob, prefers_async, submitted

blueprint = Blueprint("recuts", __name__, url_prefix="/v1/kits")


@blueprint.post("/<uuid:kit_id>/recuts")
@op(
    id="createRecut",
    tag="kits",
    body=RecutRequestSchema,
    answers={
        201: Answer(
            "A new kit, saved",
            KitAnswer,
            media=[ZIP],
            headers={"Location": "the new kit's address", "ETag": "of this form of the kit"},
            links=LINKS,
        ),
        202: JOB_ANSWER,
    },
    problems=[404, 409],
    takes=[HEADER, PREFER],
    scope="write",
)
def recut_kit(kit_id: uuid.UUID, body: RecutRequest) -> Response:
    """Create a recut: some pieces or loads of a kit again, from its stored outlines and cutter.

    Of pieces only the layout is calculated again, so that the new template fits its neighbours
    exactly, even if the service or the cutter has changed. Loads are cut as they lay. With `Prefer:
    respond-async` (RFC 7240) the answer is a job, which creates the recut in the background.
    """
    check_callback(body.callback)
    answer = store().kits.answer(str(kit_id))
    if answer is None:
        raise missing()
    if prefers_async():
        return submitted(_recut_job(str(kit_id), orjson.loads(answer.data), body))
    # The cost depends on this request: a recut can have many more pieces than its kit.
    modest = not body.by_loads and sum(body.pieces.values()) <= MAX_MODEST_OUTLINES
    return made_once(
        lambda: compute("recut", answer.data, body, modest=modest),
        recut_of=str(kit_id),
        callback=body.callback,
    )


def _recut_job(kit_id: str, stored: Mapping[str, Any], body: RecutRequest) -> WantedJob:
    request = stored["request"]
    runs = request["runs"][body.run - 1 : body.run]
    return WantedJob(
        kind=RECUT,
        title=recut_title(request, body),
        stored={"request": body.document, "kit": kit_id},
        effort_s=request_effort({"runs": runs}),
        makes_kit=True,
        callback=body.callback,
        reference=request.get("reference", "") if body.reference is None else body.reference,
    )
