"""Recuts: pieces of a stored kit, cut again from what was stored."""

from __future__ import annotations

import uuid
from typing import Any

import orjson
from flask import Blueprint, Response

from service.bounded.costs import kit_is_small
from service.idempotency import HEADER
from service.op import Answer, op
from service.resources.current import compute, store
from service.resources.kits import LINKS, ZIP, made_once, missing
from service.schemas.answers import KitAnswer
from service.schemas.kits import RecutRequest

blueprint = Blueprint("recuts", __name__, url_prefix="/v1/kits")


@blueprint.post("/<uuid:kit_id>/recuts")
@op(
    id="recutKit",
    tag="kits",
    body=RecutRequest,
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
def recut_kit(kit_id: uuid.UUID, body: dict[str, Any]) -> Response:
    """Cut some pieces of a kit again, from its stored outlines and cutter.

    Nothing is computed anew but the layout: the lost template fits its neighbours to the last
    digit, whatever has changed since.
    """
    answer = store().kits.answer(str(kit_id))
    if answer is None:
        raise missing()
    told = orjson.loads(answer.data)
    stored = {"answer": told, "request": told["request"], "cutters": told["cutters"]}
    # The pieces are few and their outlines known; a request that laid them once was not refused.
    small = kit_is_small(told["request"])
    return made_once(
        lambda: compute("recut", stored, body, small=small),
        recut_of=str(kit_id),
    )
