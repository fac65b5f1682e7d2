"""The trace and the log fields of a job that is being done."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator

from service.storage.job_states import HeldJob
from service.tracing import log_fields, spans
from service.tracing.trace_context import parse


@contextlib.contextmanager
def traced(work: HeldJob) -> Iterator[spans.Span]:
    """Trace what a block does as an attempt at a job, in the trace of the job's request."""
    values: dict[str, str | int] = {
        "quarterseam.job.id": work.id,
        "quarterseam.job.attempts": work.attempts,
        "quarterseam.request_id": work.request_id,
    }
    if work.batch_id is not None:
        values["quarterseam.batch.id"] = work.batch_id
    parent = parse(work.traceparent)
    # Its thread's last job is no parent of this one.
    spans.enter(None)
    with (
        spans.span(f"job {work.kind}", parent=parent, kind="consumer", values=values) as span,
        log_fields.about(
            request_id=work.request_id, job_id=work.id, trace_id=span.context.trace_id
        ),
    ):
        yield span
