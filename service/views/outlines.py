"""Outlines and layouts: computed and returned, but not stored."""

from __future__ import annotations

from typing import Any

from flask import Blueprint, Response

from service.answers.kits import LayoutsAnswer
from service.answers.pieces import OutlinesAnswer
from service.http.callbacks import check_callback, refuse_callback
from service.http.computations import compute
from service.http.endpoint import Answer, op
from service.http.idempotency import HEADER, stated_key
from service.kits import Bundle
from service.links import with_pictures
from service.requests.kits import KitRequest, KitRequestSchema
from service.requests.pieces import OutlinesRequest, OutlinesRequestSchema
from service.sandbox.admission import kit_is_modest, outlines_are_small
from service.schemas.codec import dump_rounded
from service.views.submit import JOB_ANSWER, PREFER, kit_job, prefers_async, submitted

blueprint = Blueprint("outlines", __name__, url_prefix="/v1")


@blueprint.post("/outlines")
@op(
    id="computeOutlines",
    tag="outlines",
    body=OutlinesRequestSchema,
    answers={200: Answer("Templates and patches", OutlinesAnswer)},
    examples=["harbour-outlines"],
)
def compute_outlines(body: OutlinesRequest) -> dict[str, Any]:
    """Calculate templates and patches, and measure the allowance between them."""
    made: OutlinesAnswer = compute("outlines", body, small=outlines_are_small(body.pieces))
    return dump_rounded(made)


@blueprint.post("/layouts")
@op(
    id="previewLayouts",
    tag="layouts",
    body=KitRequestSchema,
    answers={200: Answer("Loads and pictures", LayoutsAnswer), 202: JOB_ANSWER},
    problems=[404, 409],
    takes=[HEADER, PREFER],
    examples=["harbour-class-set", "harbour-roll"],
)
def preview_layouts(body: KitRequest) -> LayoutsAnswer | Response:
    """Calculate a kit's layouts without files: whether it fits, the loads, the time.

    Pictures are in the answer as `data:` URLs, because nothing is stored. With `Prefer:
    respond-async` (RFC 7240) the answer is a job, whose `result` is this answer; with an
    `Idempotency-Key`, repeating the request returns the same job for 24 hours. Without that
    preference nothing is created, and the key has no effect.
    """
    check_callback(body.callback)
    if prefers_async():
        return submitted(kit_job("layouts", body, makes_kit=False))
    # Nothing is created that it could name; a malformed one is refused all the same.
    stated_key()
    refuse_callback(
        body.callback,
        "Only a job calls back: send the header `Prefer: respond-async`, or leave this out.",
    )
    bundle: Bundle = compute("layouts", body, modest=kit_is_modest(body))
    return with_pictures(bundle.answer, bundle.files)
