"""The production server: gunicorn with threads, set up in code so that nothing else is needed."""

from __future__ import annotations

import logging
import os
import threading
from typing import Any

from flask import Flask
from gunicorn.app.base import BaseApplication
from gunicorn.glogging import Logger

from service import logs
from service.app import create_app
from service.bounded.child import warm_up
from service.settings import Settings

_SHARED_MEMORY = "/dev/shm"  # noqa: S108 - the heartbeat file must lie on a memory file system


class JsonLogger(Logger):  # type: ignore[misc] # gunicorn has no types
    """Sends the server's own messages the way of all others."""

    def setup(self, cfg: Any) -> None:  # noqa: ANN401 - gunicorn's own
        """Set up JSON lines for this process."""
        self.loglevel = getattr(logging, cfg.loglevel.upper())
        logs.set_up(cfg.loglevel.upper())
        self.error_log.handlers[:] = []
        self.error_log.propagate = True
        # The application writes a line for each answer, with what gunicorn cannot know.
        self.access_log.handlers[:] = []
        self.access_log.propagate = False


class Server(BaseApplication):  # type: ignore[misc] # gunicorn has no types
    """gunicorn, serving the application.

    Args:
        settings: how it runs.
    """

    def __init__(self, settings: Settings) -> None:
        self._settings = settings
        super().__init__()

    def load_config(self) -> None:
        """Hand our settings to gunicorn."""
        for name, value in self.options().items():
            self.cfg.set(name, value)

    def options(self) -> dict[str, Any]:
        """Return gunicorn's settings."""
        settings = self._settings
        host = f"[{settings.host}]" if ":" in settings.host else settings.host
        return {
            "bind": f"{host}:{settings.port}",
            "workers": settings.workers,
            "threads": settings.threads,
            "worker_class": "gthread",
            "timeout": 60,
            "graceful_timeout": 25,
            "keepalive": 5,
            "max_requests": 20_000,
            "max_requests_jitter": 2_000,
            "worker_tmp_dir": _SHARED_MEMORY if os.access(_SHARED_MEMORY, os.W_OK) else None,
            "control_socket_disable": True,
            "limit_request_line": 4094,
            "limit_request_fields": 60,
            "limit_request_field_size": 8190,
            "loglevel": settings.log_level.lower(),
            "logger_class": JsonLogger,
            "post_worker_init": lambda _: threading.Thread(target=warm_up, daemon=True).start(),
            "on_starting": lambda _: _prepare(settings),
        }

    def load(self) -> Flask:
        """Return the application; called in each worker."""
        return create_app(self._settings)


def _prepare(settings: Settings) -> None:
    """Open the store once before any worker, so that tables are made by one process only."""
    from service.storage.store import Store  # noqa: PLC0415 - not at import

    store = Store(settings)
    store.sweep()
    store.close()
