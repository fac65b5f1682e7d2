"""The production server: gunicorn with threads, configured in code."""

from __future__ import annotations

import gc
import logging
import os
import resource
import socket
import threading
import time
import uuid
from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import orjson
from flask import Flask
from gunicorn import util
from gunicorn.app.base import BaseApplication
from gunicorn.glogging import Logger
from prometheus_client import multiprocess

from service.app import PROCESS, create_app
from service.http import shared_figures
from service.http.auth import open_door, required
from service.http.error_handlers import MEDIA_TYPE
from service.http.problem_types import BY_STATUS, TYPES
from service.http.shared_figures import FOLDER
from service.sandbox.child import warm_up
from service.serving.early_children import fork_children_here
from service.serving.http_worker import BufferingWorker
from service.serving.incoming import ArrivalLimits
from service.serving.plugin_warning import warn_of_unconfined_plugins
from service.serving.processes import Processes
from service.serving.shared_counts import ConnectionCounts
from service.settings import Settings, SettingsError
from service.tracing import json_lines, otel, spans

if TYPE_CHECKING:
    from service.jobs.worker import Worker

_SHARED_MEMORY = "/dev/shm"  # noqa: S108 - the heartbeat file must lie on a memory file system
_SWEEP_EVERY_S = 3600.0
#: The first sweep starts well after the server has begun to answer.
_FIRST_SWEEP_S = 15.0
#: How often each process checks whether a sweep is due; the one that swept last may have ended.
_SWEEP_LOOK_S = 300.0
_MAX_LINE_BYTES = 8190
_MAX_HEADERS = 60
#: Connections of one process, and the file descriptors that it needs besides them.
_MAX_CONNECTIONS = 1000
_OTHER_DESCRIPTORS = 256
#: How often the jobs' thread checks whether the server is stopping.
_LOOK_S = 0.2
#: How long a stopping process may still answer, and the part of that time for computations that
#: have begun: those that still wait then are refused.
_GRACE_S = 25
_LAST_COMPUTATIONS_S = 10
_LOG = logging.getLogger("service.serving.server")


def write_problem(sock: Any, status_int: int, reason: str, mesg: str) -> None:  # noqa: ANN401
    """Answer requests that are not valid HTTP with a problem document.

    gunicorn answers these itself, without the application, and would send HTML.
    """
    kind = TYPES[BY_STATUS.get(status_int, "bad-request")]
    problem = {
        "type": kind.uri,
        "title": kind.title,
        "status": status_int,
        "detail": mesg or reason,
        "request_id": uuid.uuid4().hex,
    }
    body = orjson.dumps(problem)
    head = (
        f"HTTP/1.1 {status_int} {reason}\r\nConnection: close\r\n"
        f"Content-Type: {MEDIA_TYPE}\r\nContent-Length: {len(body)}\r\n"
        f"X-Request-ID: {problem['request_id']}\r\nCache-Control: no-store\r\n\r\n"
    )
    util.write_nonblock(sock, head.encode("latin-1") + body)


# gunicorn allows this setting only here.
util.write_error = write_problem


def arrival_limits(settings: Settings) -> ArrivalLimits:
    """Return the limits on requests that are still arriving."""
    return ArrivalLimits(
        max_line_bytes=_MAX_LINE_BYTES,
        max_head_bytes=_MAX_HEADERS * (_MAX_LINE_BYTES + 2) + _MAX_LINE_BYTES + 6,
        max_body_bytes=settings.max_body_bytes,
        head_s=settings.header_timeout_seconds,
        body_s=settings.body_timeout_seconds,
        min_body_bytes_per_s=settings.min_body_bytes_per_second,
    )


def _max_connections() -> int:
    """Raise the limit on file descriptors; return how many connections a process may have."""
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    wanted = _MAX_CONNECTIONS + _OTHER_DESCRIPTORS
    if soft != resource.RLIM_INFINITY and soft < wanted:
        soft = wanted if hard == resource.RLIM_INFINITY else min(wanted, hard)
        resource.setrlimit(resource.RLIMIT_NOFILE, (soft, hard))
    if soft == resource.RLIM_INFINITY:
        return _MAX_CONNECTIONS
    return max(16, min(_MAX_CONNECTIONS, soft - _OTHER_DESCRIPTORS))


class JsonLogger(Logger):  # type: ignore[misc] # gunicorn has no types
    """Writes gunicorn's messages to our log."""

    def setup(self, cfg: Any) -> None:  # noqa: ANN401 - gunicorn's own
        """Set up JSON lines for this process."""
        self.loglevel = getattr(logging, cfg.loglevel.upper())
        json_lines.set_up(cfg.loglevel.upper())
        self.error_log.handlers[:] = []
        self.error_log.propagate = True
        # The application writes a log line for each answer, with details that gunicorn does not
        # have.
        self.access_log.handlers[:] = []
        self.access_log.propagate = False


class Server(BaseApplication):  # type: ignore[misc] # gunicorn has no types
    """gunicorn, serving the application.

    Args:
        settings: how it runs.
    """

    def __init__(self, settings: Settings) -> None:
        self._settings = settings
        self._processes = Processes()
        self._counts = ConnectionCounts(settings.workers)
        super().__init__()

    def load_config(self) -> None:
        """Pass our settings to gunicorn."""
        BufferingWorker.limits = arrival_limits(self._settings)
        BufferingWorker.counts = self._counts
        for name, value in self.options().items():
            self.cfg.set(name, value)

    def options(self) -> dict[str, Any]:
        """Return gunicorn's settings."""
        settings = self._settings
        host = f"[{settings.host}]" if ":" in settings.host else settings.host
        return {
            "bind": f"{host}:{settings.port}",
            "workers": settings.workers,
            "threads": settings.response_threads,
            "worker_class": BufferingWorker,
            "worker_connections": _max_connections(),
            "timeout": 60,
            "graceful_timeout": _GRACE_S,
            "keepalive": 5,
            # Workers are not restarted after a number of requests: that would cut kept connections.
            # Work that needs much memory runs in child processes, which end.
            "max_requests": 0,
            "worker_tmp_dir": _SHARED_MEMORY if os.access(_SHARED_MEMORY, os.W_OK) else None,
            "control_socket_disable": True,
            "limit_request_line": _MAX_LINE_BYTES,
            "limit_request_fields": _MAX_HEADERS,
            "limit_request_field_size": _MAX_LINE_BYTES,
            "loglevel": settings.log_level.lower(),
            "logger_class": JsonLogger,
            "post_worker_init": lambda worker: _begin_worker(settings, worker, self._processes),
            "worker_exit": lambda _, __: _end_worker(),
            "post_fork": lambda _, __: fork_children_here(settings),
            "pre_fork": lambda _, worker: _give_place(worker, self._counts),
            "child_exit": lambda _, worker: _forget(worker, self._processes, self._counts),
            "on_starting": lambda _: _prepare(settings),
            "when_ready": lambda arbiter: check_sockets(
                settings, [each.sock for each in arbiter.LISTENERS]
            ),
        }

    def load(self) -> Flask:
        """Create the application; called in each worker."""
        shared_figures.allocate()
        otel.set_up()
        return create_app(self._settings)


def check_sockets(settings: Settings, sockets: Iterable[socket.socket]) -> None:
    """Raise an error if keys are off and others can reach a socket.

    An init system may pass sockets that the settings do not name.

    Raises:
        SettingsError: when there is one.
    """
    if required(settings):
        return
    for each in sockets:
        address = each.getsockname()
        host = str(address[0]) if isinstance(address, tuple) else str(address)
        if not replace(settings, host=host).on_loopback:
            raise SettingsError((f"Keys are off, but {open_door(host)}",))


def _give_place(worker: Any, counts: ConnectionCounts) -> None:  # noqa: ANN401 - as below
    """Give a worker that is about to be forked its place among the counts of connections."""
    worker.place = counts.take_place(worker.age)


def _forget(worker: Any, processes: Processes, counts: ConnectionCounts) -> None:  # noqa: ANN401 - gunicorn has no types
    """Delete the gauges of a worker that has ended; its counters stay in the sums."""
    processes.end(worker)
    counts.end(worker.age)
    if FOLDER not in os.environ:
        return
    shared_figures.shrink(worker.pid)
    multiprocess.mark_process_dead(worker.pid)  # type: ignore[no-untyped-call]


def _prepare(settings: Settings) -> None:
    """Open the store once before any worker starts: creates tables, and fails for a wrong store."""
    from service.storage.store import Store  # noqa: PLC0415 - not at import

    store = Store(settings, reads_files=False)
    store.begin()
    store.close()
    warn_of_unconfined_plugins()
    if settings.job_slots:
        # Once here rather than in each process that is forked from this one.
        import service.jobs.worker  # noqa: F401, PLC0415
    # Workers share pages that are not written to, and garbage collection writes to all objects.
    gc.collect()
    gc.freeze()


#: The job worker of this process; stopped before the process ends.
_JOBS: list[Worker] = []


def _begin_worker(settings: Settings, worker: Any, processes: Processes) -> None:  # noqa: ANN401
    """Start a worker's background threads."""
    worker.wsgi.config[PROCESS] = processes.name(worker)
    threading.Thread(target=processes.release, args=(settings,), daemon=True).start()
    threading.Thread(target=_warm, daemon=True).start()
    threading.Thread(target=_mind, args=(settings, worker), daemon=True).start()
    threading.Thread(target=_tidy, args=(settings,), daemon=True).start()


def _mind(settings: Settings, worker: Any) -> None:  # noqa: ANN401 - as above
    """Run jobs until the server stops."""
    if settings.job_slots:
        from service.jobs.worker import Worker  # noqa: PLC0415 - not at import

        jobs = Worker(settings)
        _JOBS.append(jobs)
        jobs.start()
    while worker.alive:
        time.sleep(_LOOK_S)
    worker.wsgi.extensions["quarterseam-closing"].set()
    worker.wsgi.extensions["quarterseam-limiter"].close(_GRACE_S - _LAST_COMPUTATIONS_S)
    for jobs in _JOBS:
        jobs.stop()


def _end_worker() -> None:
    """Wait until running jobs are released, and the last spans are sent."""
    for jobs in _JOBS:
        jobs.stop()
        jobs.join()
    spans.end()


def _warm() -> None:
    """Start the fork server unless it runs, and exclude all modules from garbage collection.

    Collecting them again and again takes a tenth of the time of creating a kit.
    """
    warm_up()
    gc.collect()
    gc.freeze()


def _tidy(settings: Settings) -> None:
    """Sweep the store regularly, unless another process does."""
    from service.storage.store import Store  # noqa: PLC0415 - not at import

    wait = _FIRST_SWEEP_S
    while True:
        time.sleep(wait)
        wait = _SWEEP_LOOK_S
        try:
            store = Store(settings)
            store.sweep(every_s=_SWEEP_EVERY_S)
            store.close()
        except Exception:  # noqa: BLE001 - logged, and tried again later
            _LOG.exception("the store could not be swept")
