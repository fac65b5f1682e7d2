"""Jobs and batches, as answers state them."""

from __future__ import annotations

from marshmallow import fields, validate

from service.answers.kits import Problem
from service.schemas.answers import AnswerSchema

STATES = ("queued", "running", "succeeded", "failed", "cancelled")


def _link(description: str, *, required: bool = False) -> fields.String:
    return fields.String(
        required=required, metadata={"description": description, "format": "uri-reference"}
    )


class JobAnswer(AnswerSchema):
    """A job: something that is done while nobody waits for the answer."""

    id = fields.UUID(required=True)
    kind = fields.String(required=True, metadata={"description": "what it makes: kit, layouts"})
    title = fields.String(required=True)
    state = fields.String(required=True, validate=validate.OneOf(STATES))
    progress = fields.Float(
        required=True, metadata={"description": "from 0 to 1, a guess while it runs"}
    )
    phase = fields.String(required=True, metadata={"description": "what is being done, in words"})
    attempts = fields.Integer(required=True, metadata={"description": "how often it was started"})
    created_at = fields.DateTime(required=True)
    started_at = fields.DateTime()
    ended_at = fields.DateTime()
    href = _link("this job", required=True)
    events = _link("its progress as server-sent events", required=True)
    kit = _link("the kit that it made")
    result = _link("what it answered, where that is no kit")
    batch = _link("the batch that it belongs to")
    problem = fields.Nested(Problem, metadata={"description": "why it failed"})


class JobList(AnswerSchema):
    """A page of jobs, newest first; those of batches are listed with their batch."""

    jobs = fields.List(fields.Nested(JobAnswer), required=True)
    next = _link("the next page, where there is one")


class CountsAnswer(AnswerSchema):
    """Kits by state."""

    queued = fields.Integer(required=True)
    running = fields.Integer(required=True)
    succeeded = fields.Integer(required=True)
    failed = fields.Integer(required=True)
    cancelled = fields.Integer(required=True)


class BatchSummary(AnswerSchema):
    """A batch, without its kits."""

    id = fields.UUID(required=True)
    title = fields.String(required=True)
    state = fields.String(
        required=True, validate=validate.OneOf(["queued", "running", "ended", "cancelled"])
    )
    reference = fields.String(metadata={"description": "the request's"})
    created_at = fields.DateTime(required=True)
    total = fields.Integer(required=True, metadata={"description": "kits that were asked for"})
    counts = fields.Nested(CountsAnswer, required=True)
    progress = fields.Float(required=True, metadata={"description": "share that has ended"})
    href = _link("this batch", required=True)
    failures = _link("kits that could not be made, and why", required=True)


class BatchKit(AnswerSchema):
    """A kit of a batch that was made."""

    number = fields.Integer(required=True, metadata={"description": "in the batch, from 1"})
    title = fields.String(required=True)
    ended_at = fields.DateTime(required=True)
    kit = _link("the kit", required=True)
    job = _link("the job that made it", required=True)


class BatchAnswer(BatchSummary):
    """A batch with a page of its kits, in the order in which they were made."""

    kits = fields.List(fields.Nested(BatchKit), required=True)
    next = _link("the kits made after these, once there are any")


class BatchList(AnswerSchema):
    """A page of batches, newest first."""

    batches = fields.List(fields.Nested(BatchSummary), required=True)
    next = _link("the next page, where there is one")


class FailureAnswer(AnswerSchema):
    """A kit of a batch that could not be made."""

    number = fields.Integer(required=True, metadata={"description": "in the batch, from 1"})
    title = fields.String(required=True)
    ended_at = fields.DateTime(required=True)
    job = _link("the job that failed", required=True)
    problem = fields.Nested(Problem, required=True)


class FailureList(AnswerSchema):
    """A page of a batch's failures, in the order in which they came."""

    failures = fields.List(fields.Nested(FailureAnswer), required=True)
    next = _link("the failures after these, where there are any")
