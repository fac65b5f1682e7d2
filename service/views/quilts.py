"""Quilts: from a size to pieces, materials and a kit."""

from __future__ import annotations

from flask import Blueprint, Response

from geometry.planning.plane import Tiling
from geometry.planning.tilings import TILINGS
from service.answers.quilts import (
    FinishingAnswer,
    QuiltPlanAnswer,
    TilingAnswer,
    TilingList,
    YardageAnswer,
)
from service.http.callbacks import check_callback, refuse_callback
from service.http.computations import compute
from service.http.endpoint import JSON, Answer, chosen, op
from service.http.idempotency import HEADER, stated_key
from service.http.named_cutters import required_cutter
from service.links import HTML, PDF
from service.quilts.finishing import finishing
from service.requests.borders import EDGES
from service.requests.finishing import FinishingRequest, FinishingRequestSchema
from service.requests.quilt_plans import QuiltPlanRequestSchema
from service.requests.quilt_spec import QuiltSpec
from service.requests.yardage import YardageRequest, YardageRequestSchema
from service.sandbox.stored_tasks import QUILT_PLAN
from service.schemas.rounding import without_noise
from service.views.submit import JOB_ANSWER, PREFER, WantedJob, prefers_async, submitted

#: Forms of the sheet for cutting by hand.
SHEETS = (PDF, HTML)
FORMS = (JSON, *SHEETS)
#: Effort, s, of a plan's job in the queue: about that of its layouts.
_EFFORT_S = 4.0

blueprint = Blueprint("quilts", __name__, url_prefix="/v1")


@blueprint.get("/tilings")
@op(id="listTilings", tag="quilts", answers={200: Answer("The tilings", TilingList)})
def list_tilings() -> TilingList:
    """List the tilings, and for each the parameters that set its size."""
    return TilingList(tilings=[_tiling(each) for each in TILINGS.values()])


def _tiling(tiling: Tiling) -> TilingAnswer:
    # A tiling has the same kinds of pieces at every size, so any size will do.
    plane = tiling.draw(dict.fromkeys(tiling.sizes, 10.0))
    return TilingAnswer(
        name=tiling.name,
        title=tiling.title,
        description=tiling.description,
        sizes=dict(tiling.sizes),
        counts={
            name: {"minimum": least, "maximum": most, "default": usual}
            for name, (least, most, usual) in tiling.counts.items()
        },
        kinds=list(dict.fromkeys(proto.kind for proto in plane.protos)),
        edges=list(EDGES),
    )


@blueprint.post("/quilt-plans")
@op(
    id="planQuilt",
    tag="quilts",
    body=QuiltPlanRequestSchema,
    answers={200: Answer("The plan", QuiltPlanAnswer, media=SHEETS), 202: JOB_ANSWER},
    problems=[404, 409],
    takes=[HEADER, PREFER],
    examples=["harbour-quilt", "harbour-star-quilt", "harbour-sashed-blocks"],
)
def plan_quilt(body: QuiltSpec) -> QuiltPlanAnswer | Response:
    """Plan a quilt: its pieces, materials, picture, and the kit that cuts it.

    As `application/pdf` or `text/html` the answer is a sheet for cutting by hand: what to buy of
    each fabric and how to cut it, with drawings. With `Prefer: respond-async` (RFC 7240) the answer
    is a job, whose `result` is the plan as JSON.
    """
    check_callback(body.callback)
    # Otherwise the plan's own kit would be refused.
    required_cutter(body.cutter)
    form = chosen(FORMS)
    if form == JSON and prefers_async():
        return submitted(_plan_job(body))
    # A plan creates nothing, so an idempotency key has no effect; a malformed one is still refused.
    stated_key()
    refuse_callback(
        body.callback,
        "Only a job calls back: send the header `Prefer: respond-async`, or leave this out.",
    )
    if form != JSON:
        return _sheet(compute("quilt_plan_sheet", body, form), form)
    plan: QuiltPlanAnswer = compute("quilt_plan", body)
    return plan


def _plan_job(spec: QuiltSpec) -> WantedJob:
    return WantedJob(
        kind=QUILT_PLAN,
        title=spec.title,
        stored={"request": spec.document},
        effort_s=_EFFORT_S,
        makes_kit=False,
        callback=spec.callback,
        reference=spec.reference,
    )


def _sheet(data: bytes, form: str) -> Response:
    response = Response(data, content_type=form)
    response.vary.add("Accept")
    return response


@blueprint.post("/yardage")
@op(
    id="calculateYardage",
    tag="quilts",
    body=YardageRequestSchema,
    answers={200: Answer("What to buy", YardageAnswer, media=SHEETS)},
    examples=["harbour-yardage"],
)
def calculate_yardage(body: YardageRequest) -> YardageAnswer | Response:
    """Calculate the fabric for pieces: by strips cut with a ruler, and by a cutter's layout.

    As `application/pdf` or `text/html` the answer is a sheet for cutting by hand.
    """
    if (form := chosen(FORMS)) != JSON:
        return _sheet(compute("yardage_sheet", body, form), form)
    found: YardageAnswer = compute("yardage", body)
    return found


@blueprint.post("/finishing")
@op(
    id="calculateFinishing",
    tag="quilts",
    body=FinishingRequestSchema,
    answers={200: Answer("Binding, backing and batting", FinishingAnswer)},
    examples=["harbour-finishing"],
)
def calculate_finishing(body: FinishingRequest) -> FinishingAnswer:
    """Calculate binding, backing and batting for a quilt."""
    return without_noise(finishing(body))
