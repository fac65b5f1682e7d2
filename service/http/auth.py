"""Who may ask: keys in the Authorization header, hashed where they are kept."""

from __future__ import annotations

from typing import Any, cast

from flask import Flask, current_app, g, request

from service.http import rate_limit as rates
from service.http.problems import ProblemError
from service.settings import Settings
from service.storage.api_keys import SCOPES

_MOST = 200


def register(app: Flask) -> None:
    """Ask for a key before every operation that needs one."""
    app.before_request(_check)


def required(settings: Settings) -> bool:
    """Return whether requests need a key.

    Told by the address that is listened on, never by where a request seems to come from: behind
    a proxy or in a container every caller seems to be the same.
    """
    # "off" opens nothing beyond this machine, whoever makes the application.
    return settings.auth == "on" or not settings.on_loopback


def open_door(address: str) -> str:
    """Return why a service that asks for no key must not listen on an address."""
    return (
        f"the service listens on {address}, where other machines can reach it. A port that Docker "
        "publishes on loopback is no exception: the container itself can be reached over its "
        "network. Leave QUARTERSEAM_AUTH out (the first start makes a key and prints it), or "
        "listen on 127.0.0.1."
    )


def _check() -> None:
    if request.endpoint is None or request.method == "OPTIONS":
        return
    operation = getattr(current_app.view_functions[request.endpoint], "operation", None)
    scope = getattr(operation, "scope", "admin")
    if not scope or not required(current_app.config["SETTINGS"]):
        return
    scheme, _, stated = request.headers.get("Authorization", "").partition(" ")
    if scheme.lower() != "bearer" or not stated or len(stated) > _MOST:
        raise _unknown("Send a key: Authorization: Bearer KEY.")
    found = cast("Any", current_app.extensions["quarterseam-store"]()).keys.check(stated.strip())
    if found is None:
        raise _unknown("There is no such key, or it was revoked.")
    g.key_id, g.key_scope = found.id, found.scope
    if SCOPES.index(found.scope) < SCOPES.index(scope):
        raise too_small(scope)


def may_write() -> bool:
    """Return whether the request's key is for writing; without keys everybody's is."""
    return getattr(g, "key_scope", "admin") != "read"


def too_small(scope: str) -> ProblemError:
    """Return the problem of a key that is for less than is asked."""
    detail = f"This needs a key for {scope}; yours is for {g.key_scope}."
    header = f'Bearer error="insufficient_scope", scope="{scope}"'
    return ProblemError("scope-too-small", 403, detail, headers={"WWW-Authenticate": header})


def _unknown(detail: str) -> ProblemError:
    # Counted apart from what callers with keys ask: nobody can use up what is theirs.
    rates.take_refusal()
    return ProblemError(
        "key-required", 401, detail, headers={"WWW-Authenticate": 'Bearer realm="quarterseam"'}
    )
