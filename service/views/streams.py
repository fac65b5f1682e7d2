"""Streamed answers: limited in number, so that threads stay free for other requests."""

from __future__ import annotations

import threading
from collections.abc import Iterator, Mapping
from typing import cast

from flask import Response, current_app

from service.http.current import settings
from service.http.problems import ProblemError


def streamed(
    parts: Iterator[bytes], media_type: str, headers: Mapping[str, str] | None = None
) -> Response:
    """Return a streamed answer.

    Raises:
        ProblemError: 503 ``too-many-streams`` when this process has reached its limit.
    """
    places = cast("threading.Semaphore", current_app.extensions["quarterseam-streams"])
    if not places.acquire(blocking=False):
        most = settings().streams
        detail = (
            f"This server process has reached its limit of {most} streams. Poll the resource "
            "instead, or try again later."
        )
        raise ProblemError(
            "too-many-streams", 503, detail, headers={"Retry-After": "10"}, most=most
        )
    response = Response(parts, content_type=media_type)
    response.headers.update(headers or {})
    response.call_on_close(places.release)
    return response


def closing() -> threading.Event:
    """Return the event that is set when this process is about to end."""
    return cast("threading.Event", current_app.extensions["quarterseam-closing"])
