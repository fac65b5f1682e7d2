"""Jobs and batches, as answers state them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated, Literal, TypeAlias, get_args

from service.answers.problems import Problem
from service.schemas.answers import (
    FromSchema,
    Json,
    Link,
    Timestamp,
    Uuid,
)

JobState: TypeAlias = Literal["queued", "running", "succeeded", "failed", "cancelled"]
BatchState: TypeAlias = Literal["queued", "running", "ended", "cancelled"]
STATES: tuple[JobState, ...] = get_args(JobState)
"""States of a job, and of each kit of a batch."""


@dataclass(frozen=True, kw_only=True)
class JobAnswer:
    """A job: work that is done in the background."""

    id: Uuid
    kind: Annotated[str, "what it makes: kit, recut, layouts, quilt_plan; or callback"]
    title: str
    state: JobState
    progress: Annotated[float, "from 0 to 1, a guess while it runs"]
    phase: Annotated[str, "what is being done, in words"]
    attempts: Annotated[int, "how often it was started"]
    created_at: Timestamp
    href: Annotated[Link, "this job"]
    events: Annotated[Link, "its progress as server-sent events"]
    started_at: Timestamp | None = None
    ended_at: Timestamp | None = None
    kit: Annotated[Link | None, "the kit that it made, until it is deleted"] = None
    result: Annotated[Link | None, "what it answered, where that is no kit"] = None
    batch: Annotated[Link | None, "the batch that it belongs to"] = None
    problem: Annotated[Json | None, FromSchema(Problem), "why it failed"] = None
    callback: Annotated[Link | None, "the delivery of its callback, as a job"] = None


@dataclass(frozen=True, kw_only=True)
class JobList:
    """A page of jobs, newest first; those of batches are listed with their batch."""

    jobs: Sequence[JobAnswer]
    next: Annotated[Link | None, "the next page, where there is one"] = None


@dataclass(frozen=True, kw_only=True)
class CountsAnswer:
    """Kits by state."""

    queued: int
    running: int
    succeeded: int
    failed: int
    cancelled: int


@dataclass(frozen=True, kw_only=True)
class BatchSummary:
    """A batch, without its kits."""

    id: Uuid
    title: str
    state: BatchState
    created_at: Timestamp
    total: Annotated[int, "kits that were asked for"]
    counts: CountsAnswer
    progress: Annotated[float, "share that has ended"]
    href: Annotated[Link, "this batch"]
    failures: Annotated[Link, "kits that could not be made, and why"]
    reference: Annotated[str | None, "the request's"] = None
    callback: Annotated[Link | None, "the delivery of its callback, as a job"] = None
    number: Annotated[str | None, "by which to find it; equal batches share it"] = None


@dataclass(frozen=True, kw_only=True)
class BatchKit:
    """A kit of a batch that was made."""

    number: Annotated[int, "in the batch, from 1"]
    title: str
    ended_at: Timestamp
    kit: Annotated[Link, "the kit"]
    job: Annotated[Link, "the job that made it"]


@dataclass(frozen=True, kw_only=True)
class BatchAnswer(BatchSummary):
    """A batch with a page of its kits, in the order in which they were made."""

    kits: Sequence[BatchKit]
    next: Annotated[Link | None, "the kits made after these, once there are any"] = None


@dataclass(frozen=True, kw_only=True)
class BatchList:
    """A page of batches, newest first."""

    batches: Sequence[BatchSummary]
    next: Annotated[Link | None, "the next page, where there is one"] = None


@dataclass(frozen=True, kw_only=True)
class FailureAnswer:
    """A kit of a batch that could not be made."""

    number: Annotated[int, "in the batch, from 1"]
    title: str
    ended_at: Timestamp
    job: Annotated[Link, "the job that failed"]
    problem: Annotated[Json, FromSchema(Problem)]


@dataclass(frozen=True, kw_only=True)
class FailureList:
    """A page of a batch's failures, in the order in which they came."""

    failures: Sequence[FailureAnswer]
    next: Annotated[Link | None, "the failures after these, where there are any"] = None
