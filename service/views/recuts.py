"""Recuts: cuts pieces of a stored kit again, from its stored data."""

from __future__ import annotations

import uuid

from flask import Blueprint, Response

from service.answers.kits import KitAnswer
from service.http.callbacks import check_callback
from service.http.computations import compute
from service.http.current import store
from service.http.endpoint import Answer, op
from service.http.idempotency import HEADER
from service.requests.recuts import RecutRequest, RecutRequestSchema
from service.sandbox.admission import MAX_MODEST_OUTLINES
from service.views.kits import LINKS, ZIP, made_once, missing

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
        )
    },
    problems=[404, 409],
    takes=[HEADER],
    scope="write",
)
def recut_kit(kit_id: uuid.UUID, body: RecutRequest) -> Response:
    """Create a recut: some pieces or loads of a kit again, from its stored outlines and cutter.

    Of pieces only the layout is calculated again, so that the new template fits its neighbours
    exactly, even if the service or the cutter has changed. Loads are cut as they lay.
    """
    check_callback(body.callback)
    answer = store().kits.answer(str(kit_id))
    if answer is None:
        raise missing()
    # The cost depends on this request: a recut can have many more pieces than its kit.
    modest = not body.by_loads and sum(body.pieces.values()) <= MAX_MODEST_OUTLINES
    return made_once(
        lambda: compute("recut", answer.data, body, modest=modest),
        recut_of=str(kit_id),
        callback=body.callback,
    )
