"""The application factory; nothing happens at import."""

from __future__ import annotations

import hashlib
import threading
from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, Any, TypeVar

from flask import Flask
from werkzeug.middleware.proxy_fix import ProxyFix

from service import views
from service.http import auth as keys
from service.http import error_handlers as errors
from service.http import hosts, logs, metrics, ownership
from service.http import rate_limit as rates
from service.http import security_headers as headers
from service.sandbox.concurrency import ActiveRequests, ConcurrencyLimiter
from service.settings import Settings, from_environment
from service.storage.store import Store

if TYPE_CHECKING:
    from _typeshed.wsgi import StartResponse, WSGIApplication, WSGIEnvironment

    from service.jobs.queue import Sender
    from service.jobs.queue_probe import QueueProbe

T = TypeVar("T")
PROCESS = "PROCESS"
"""Name of the server process in the application's config, where a server has several."""


class Service(Flask):
    """The service as a Flask application."""

    def ensure_sync(self, func: Callable[..., Any]) -> Callable[..., Any]:
        """Return a function as it is: none here is a coroutine.

        Flask looks at each of a request's fifteen functions, every time.
        """
        return func


def create_app(settings: Settings | None = None) -> Flask:
    """Return the service as a WSGI application.

    Args:
        settings: the settings; read from the environment when ``None``.

    Raises:
        SettingsError: when the environment holds an unusable setting.
    """
    settings = from_environment() if settings is None else settings
    app = Service("service", static_folder=None)
    app.config["SETTINGS"] = settings
    # One byte more than is allowed, to distinguish a body cut off at the limit from one that ends
    # there (the server's stream ends silently).
    app.config["MAX_CONTENT_LENGTH"] = settings.max_body_bytes + 1
    if settings.trusted_proxies:
        count = settings.trusted_proxies
        app.wsgi_app = ProxyFix(app.wsgi_app, x_for=count, x_proto=count)  # type: ignore[method-assign]
    app.url_map.merge_slashes = False
    app.url_map.strict_slashes = True
    errors.register(app)
    logs.register(app)
    headers.register(app)
    metrics.register(app)
    hosts.register(app)
    keys.register(app)
    rates.register(app)
    ownership.register(app)
    views.register(app)
    app.extensions["quarterseam-limiter"] = ConcurrencyLimiter(
        settings.max_running_computations,
        settings.max_waiting_computations,
        settings.max_waiting_heavy_computations,
        settings.compute_queue_timeout_seconds,
    )
    active = app.extensions["quarterseam-active"] = ActiveRequests(settings.threads)
    app.wsgi_app = _limited(app.wsgi_app, active)  # type: ignore[assignment, method-assign]
    app.extensions["quarterseam-streams"] = threading.Semaphore(settings.streams)
    # Set when the process is about to end; streams must end then.
    app.extensions["quarterseam-closing"] = threading.Event()
    app.extensions["quarterseam-sender"] = _once(lambda: _sender(settings))
    app.extensions["quarterseam-queue-probe"] = _once(lambda: _queue_probe(settings))
    app.extensions["quarterseam-store"] = _once(
        lambda: Store(settings, owner=app.config.get(PROCESS, ""))
    )
    document = _once(lambda: _document(app))
    app.extensions["quarterseam-document"] = document
    app.extensions["quarterseam-document-etag"] = _once(lambda: _sha256(document()))
    return app


def _sha256(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def _limited(wsgi_app: WSGIApplication, active: ActiveRequests) -> WSGIApplication:
    """Return a WSGI application that works on so many requests at once."""

    def call(environ: WSGIEnvironment, start_response: StartResponse) -> Iterable[bytes]:
        # Until the response begins; what is streamed is limited by itself.
        with active.active():
            return wsgi_app(environ, start_response)

    return call


def _sender(settings: Settings) -> Sender:
    # Imported here because only jobs need a queue.
    from service.jobs.queue import Sender  # noqa: PLC0415

    return Sender(settings)


def _queue_probe(settings: Settings) -> QueueProbe:
    # Imported here as above.
    from service.jobs.queue_probe import QueueProbe  # noqa: PLC0415

    return QueueProbe(settings)


def _document(app: Flask) -> bytes:
    # Imported here because only the document needs these modules.
    from service.http import openapi  # noqa: PLC0415

    return openapi.text(app)


def _once(make: Callable[[], T]) -> Callable[[], T]:
    """Return a function that creates its value on the first call and then keeps it."""
    lock = threading.Lock()
    made: list[T] = []

    def get() -> T:
        with lock:
            if not made:
                made.append(make())
        return made[0]

    return get
