"""So many requests a minute from one caller, whichever process answers, and no more.

Source:
    The generic cell rate algorithm, ITU-T Recommendation I.371, Annex A (virtual scheduling): one
    number a caller, the time at which its next request is due.
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

from service.http.problems import ProblemError
from service.serving.shared_figures import FOLDER
from service.settings import Settings

_LOG = logging.getLogger(__name__)
#: Callers that are remembered at once, and the places that each is looked for in.
_PLACES = 16_384
_LOOKED_AT = 8
_ROUNDING_S = 1e-6
#: A caller's print and the time at which its next request is due, s.
_ENTRY = struct.Struct("=Qd")


class Rates:
    """The times at which callers' next requests are due.

    Args:
        per_minute: requests that one caller may make in a minute; as many at once.
        shared: file in which the processes of one server keep this together; ``None`` keeps it
            in this process alone.
    """

    def __init__(self, per_minute: float, shared: Path | None = None) -> None:
        self._each_s = 60.0 / per_minute
        # What is saved up is a minute's requests, one at the least.
        self._saved_s = max(0.0, 60.0 - self._each_s)
        size = _PLACES * _ENTRY.size
        self._file = None if shared is None else _allocated(shared, size)
        self._table = mmap.mmap(-1 if self._file is None else self._file, size)
        self._lock = threading.Lock()

    def wait_s(self, caller: str, now: float) -> float:
        """Take a request of a caller; returns how long it must wait: 0 when it may go on.

        Args:
            caller: who asks.
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
        """Keep other threads out, and other processes: their lock ends with a killed one."""
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
        """Return where a caller stands and what is due; a new one takes the stalest place."""
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
    """Return a file of a size that is really there, or ``None`` where there is no room for it.

    Writing to a mapped file that is longer than its volume lets it be kills the process.
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
    """Hold callers of an application to its rate, if it has one."""
    settings = app.config["SETTINGS"]
    app.extensions["quarterseam-refusals"] = Rates(
        settings.refused_keys_per_minute, _shared(settings, "refusals")
    )
    if settings.requests_per_minute:
        app.extensions["quarterseam-rates"] = Rates(
            settings.requests_per_minute, _shared(settings, "rates")
        )
        app.before_request(_check)


def _shared(settings: Settings, name: str) -> Path | None:
    """Return a file in the folder that this server's processes share while they run."""
    folder = os.environ.get(FOLDER)
    return Path(folder) / name if folder and settings.workers > 1 else None


def take_refusal() -> None:
    """Count a request without a valid key against the address that it came from.

    Raises:
        ProblemError: 429 when there were too many.
    """
    _take("quarterseam-refusals", address_block(request.remote_addr or ""))


def address_block(address: str) -> str:
    """Return what counts as one caller: an IPv4 address, or what IPv6 gives one site (a /64)."""
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
    # A key has a rate of its own wherever it is used from: behind a proxy or Docker's bridge all
    # callers may have one address.
    key_id = getattr(g, "key_id", None)
    caller = f"key {key_id}" if key_id else address_block(request.remote_addr or "")
    _take("quarterseam-rates", caller)


def _take(rates: str, caller: str) -> None:
    wait = current_app.extensions[rates].wait_s(caller, time.monotonic())
    if wait:
        seconds = str(math.ceil(wait))
        detail = f"Too many requests; go on in {seconds} seconds."
        raise ProblemError("too-many-requests", 429, detail, headers={"Retry-After": seconds})
