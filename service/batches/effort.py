"""The seconds of search that a request, or all kits of a batch, ask for."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from service.batches.expand import BatchSource

#: Seconds for efforts given in words.
SECONDS = {"quick": 0.5, "normal": 2.0, "best": 60.0}


def request_effort(body: Mapping[str, Any]) -> float:
    """Return the total seconds of search for one kit's runs."""
    return sum(_run_effort(run) for run in body.get("runs", ()))


def batch_effort(source: BatchSource) -> float:
    """Return the total seconds of search for all kits of a batch."""
    if source.requests:
        return sum(map(request_effort, source.requests))
    return source.count * request_effort(source.base)


def _run_effort(run: Mapping[str, Any]) -> float:
    """Return a run's seconds; none for an effort that is wrong, which validation reports."""
    effort = run.get("effort", "normal")
    if isinstance(effort, str):
        return SECONDS.get(effort, 0.0)
    return float(effort) if isinstance(effort, int | float) else 0.0
