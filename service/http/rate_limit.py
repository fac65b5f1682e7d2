"""Rate limit: requests per minute allowed per caller, over all processes.

Source:
    The generic cell rate algorithm, ITU-T Recommendation I.371, Annex A (virtual scheduling):
    one number per caller, the time at which its next request is due.
"""

from __future__ import annotations

import contextlib
import fcntl
import hashlib
import ipaddress
import logging
import math
import mmap
import os
import struct
import threading
import time
from collections.abc import Iterator
from pathlib import Path

from flask import Flask, current_app, g, request

from geometry.sentences import number_of
from service.http.problems import ProblemError
from service.http.shared_figures import FOLDER
from service.settings import Settings

_LOG = logging.getLogger(__name__)
#: Number of callers that are stored, and the number of slots that are searched for each.
_PLACES = 16_384
_LOOKED_AT = 8
_ROUNDING_S = 1e-6
#: A hash of the caller and the time at which its next request is due, s.
_ENTRY = struct.Struct("=Qd")


class Rates:
    """The times at which callers' next requests are due.

    Args:
        per_minute: requests per minute allowed per caller; also the largest burst.
        shared: file that the processes of one server share; ``None`` counts in this process only.
    """

    def __init__(self, per_minute: float, shared: Path | None = None) -> None:
        self._each_s = 60.0 / per_minute
        # A burst is a minute's requests, but at least one.
        self._saved_s = max(0.0, 60.0 - self._each_s)
        size = _PLACES * _ENTRY.size
        self._file = None if shared is None else _allocated(shared, size)
        self._table = mmap.mmap(-1 if self._file is None else self._file, size)
        self._lock = threading.Lock()

    def wait_s(self, caller: str, now: float) -> float:
        """Count a caller's request; return how long the caller must wait, or 0 if it is allowed.

        Args:
            caller: identifies the caller.
            now: s, of a clock that all processes share.
        """
        digest = hashlib.blake2b(caller.encode(), digest_size=8).digest()
        mark = int.from_bytes(digest, "big") or 1
        with self._alone():
            at, due = self._place(mark)
            due = max(due, now)
            wait = due - self._saved_s - now
            if wait > _ROUNDING_S:
                return wait
            _ENTRY.pack_into(self._table, at, mark, due + self._each_s)
            return 0.0

    @contextlib.contextmanager
    def _alone(self) -> Iterator[None]:
        """Lock out other threads and processes; a killed process releases its lock."""
        with self._lock:
            if self._file is None:
                yield
                return
            fcntl.lockf(self._file, fcntl.LOCK_EX)
            try:
                yield
            finally:
                fcntl.lockf(self._file, fcntl.LOCK_UN)

    def _place(self, mark: int) -> tuple[int, float]:
        """Return a caller's slot and due time; a new caller gets the oldest slot."""
        stalest, least = 0, math.inf
        for step in range(_LOOKED_AT):
            at = (mark + step) % _PLACES * _ENTRY.size
            found, due = _ENTRY.unpack_from(self._table, at)
            if found == mark:
                return at, due
            if due < least:
                stalest, least = at, due
        return stalest, 0.0


def _allocated(path: Path, size: int) -> int | None:
    """Return a fully allocated file, or ``None`` where there is no room.

    Writing to a mapped file that its volume has no room for kills the process.
    """
    handle = os.open(path, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
    try:
        os.posix_fallocate(handle, 0, size)
    except OSError as error:
        os.close(handle)
        _LOG.warning("each process counts rates alone", extra={"cause": str(error)})
        return None
    return handle


def register(app: Flask) -> None:
    """Apply an application's rate limit, if it has one."""
    settings = app.config["SETTINGS"]
    app.extensions["quarterseam-refused-keys"] = Rates(
        settings.refused_keys_per_minute, _shared(settings, "refused-keys")
    )
    if settings.requests_per_minute:
        app.extensions["quarterseam-rates"] = Rates(
            settings.requests_per_minute, _shared(settings, "rates")
        )
        app.before_request(_check)


def _shared(settings: Settings, name: str) -> Path | None:
    """Return a file in the folder that this server's processes share."""
    folder = os.environ.get(FOLDER)
    return Path(folder) / name if folder and settings.workers > 1 else None


def take_refusal() -> None:
    """Count a request without a valid key against its address.

    Raises:
        ProblemError: 429 when there were too many.
    """
    _take("quarterseam-refused-keys", address_block(request.remote_addr or ""))


def address_block(address: str) -> str:
    """Return the network that counts as one caller: an IPv4 address, or an IPv6 site (a /64)."""
    try:
        found = ipaddress.ip_address(address)
    except ValueError:
        return address
    if isinstance(found, ipaddress.IPv4Address):
        return address
    if found.ipv4_mapped is not None:
        return str(found.ipv4_mapped)
    return str(ipaddress.ip_network((found, 64), strict=False))


def _check() -> None:
    view = current_app.view_functions.get(request.endpoint or "")
    operation = getattr(view, "operation", None)
    if operation is not None and not operation.limited:
        return
    # Each key has its own limit: behind a proxy or Docker's bridge all callers may share one
    # address.
    key_id = getattr(g, "key_id", None)
    caller = f"key {key_id}" if key_id else address_block(request.remote_addr or "")
    _take("quarterseam-rates", caller)


def _take(rates: str, caller: str) -> None:
    wait = current_app.extensions[rates].wait_s(caller, time.monotonic())
    if wait:
        seconds = math.ceil(wait)
        detail = f"Too many requests; try again in {number_of(seconds, 'second')}."
        raise ProblemError("too-many-requests", 429, detail, headers={"Retry-After": str(seconds)})
