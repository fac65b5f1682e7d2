"""So many requests a minute from one caller, and no more."""

from __future__ import annotations

import math
import threading
import time
from dataclasses import dataclass

from flask import Flask, current_app, g, request

from service.problems import ProblemError

#: Callers that are remembered; the one that was quiet longest is forgotten first.
_MOST_CALLERS = 10_000


@dataclass
class _Bucket:
    left: float
    filled_at: float


class Rates:
    """Token buckets, one a caller, of this process.

    Args:
        per_minute: requests that one caller may make in a minute; as many at once.
    """

    def __init__(self, per_minute: float) -> None:
        self._per_second = per_minute / 60.0
        self._most = max(1.0, per_minute)
        self._buckets: dict[str, _Bucket] = {}
        self._lock = threading.Lock()

    def wait_s(self, caller: str, now: float) -> float:
        """Take a request of a caller; returns how long it must wait: 0 when it may go on."""
        with self._lock:
            bucket = self._buckets.pop(caller, None) or _Bucket(self._most, now)
            gained = (now - bucket.filled_at) * self._per_second
            bucket.left = min(self._most, bucket.left + gained)
            bucket.filled_at = now
            self._buckets[caller] = bucket
            if len(self._buckets) > _MOST_CALLERS:
                del self._buckets[next(iter(self._buckets))]
            if bucket.left >= 1.0:
                bucket.left -= 1.0
                return 0.0
            return (1.0 - bucket.left) / self._per_second


def register(app: Flask) -> None:
    """Hold callers of an application to its rate, if it has one."""
    settings = app.config["SETTINGS"]
    if settings.requests_per_minute:
        # Each process keeps its own count of its share.
        app.extensions["quarterseam-rates"] = Rates(settings.requests_per_minute / settings.workers)
        app.before_request(_check)


def _check() -> None:
    view = current_app.view_functions.get(request.endpoint or "")
    operation = getattr(view, "operation", None)
    if operation is not None and not operation.limited:
        return
    caller = getattr(g, "key_id", None) or request.remote_addr or ""
    wait = current_app.extensions["quarterseam-rates"].wait_s(caller, time.monotonic())
    if wait:
        seconds = str(math.ceil(wait))
        detail = f"Too many requests; go on in {seconds} seconds."
        raise ProblemError("too-many-requests", 429, detail, headers={"Retry-After": seconds})
