"""Spans of a computation's steps, made where its result arrives.

Children know no tracer: they would have to send spans of their own before they are killed.
"""

from __future__ import annotations

from service.sandbox.step_clock import StepTimes
from service.tracing import spans


def record_steps(times: StepTimes, of: spans.Span) -> None:
    """Record the steps that a child timed as parts of its own span."""
    if spans.tracer() is None:
        return
    if times.process:
        of.state({"process.pid": times.process})
    made: list[spans.Span] = []
    for each in times.steps:
        parent = of if each.parent is None else made[each.parent]
        values = {f"quarterseam.{name}": value for name, value in each.about.items()}
        name = " ".join([each.name, *map(str, each.about.values())])
        made.append(spans.start(name, parent.context, "internal", values, each.began_ns))
    for each, span in zip(times.steps, made, strict=True):
        span.end(each.ended_ns)
