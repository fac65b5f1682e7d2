"""Authentication: keys in the Authorization header, stored as hashes; signed links to files."""

from __future__ import annotations

from typing import Any, cast

from flask import Flask, current_app, g, request

from service.http import file_links
from service.http import rate_limit as rates
from service.http.problems import ProblemError
from service.settings import Settings
from service.storage.api_keys import SCOPES, secret_hash

_MOST = 200


def register(app: Flask) -> None:
    """Check the key before every operation that needs one."""
    app.before_request(_check)


def required(settings: Settings) -> bool:
    """Return whether requests need a key.

    This depends on the listening address, never on a request's apparent origin: behind a proxy or
    in a container all callers look the same.
    """
    # "off" never opens the service beyond this machine, however the application is created.
    return settings.auth == "on" or not settings.on_loopback


def open_door(address: str) -> str:
    """Return why a service without keys must not listen on an address."""
    return (
        f"the service listens on {address}, where other machines can reach it. A port that Docker "
        "publishes on loopback is no exception: the container itself can be reached over its "
        "network. Leave QUARTERSEAM_AUTH out (the first start creates a key and prints it), or "
        "listen on 127.0.0.1."
    )


def _check() -> None:
    if request.endpoint is None or request.method == "OPTIONS":
        return
    operation = getattr(current_app.view_functions[request.endpoint], "operation", None)
    scope = getattr(operation, "scope", "admin")
    if not scope or not required(current_app.config["SETTINGS"]):
        return
    if getattr(operation, "takes_links", False) and file_links.is_link():
        found = file_links.key_of_link()
        g.key_id, g.key_scope = found.id, found.scope
        return
    scheme, _, stated = request.headers.get("Authorization", "").partition(" ")
    if scheme.lower() != "bearer" or not stated or len(stated) > _MOST:
        raise _unknown("Send a key: Authorization: Bearer KEY.")
    found = cast("Any", current_app.extensions["quarterseam-store"]()).keys.check(stated.strip())
    if found is None:
        raise _unknown("The key is unknown, has expired or was revoked.")
    g.key_id, g.key_scope = found.id, found.scope
    g.key_hash = secret_hash(stated.strip())
    if SCOPES.index(found.scope) < SCOPES.index(scope):
        raise insufficient_scope(scope)


def may_write() -> bool:
    """Return whether the request's key allows writing; without keys all requests may write."""
    return getattr(g, "key_scope", "admin") != "read"


def insufficient_scope(scope: str) -> ProblemError:
    """Return the problem for a key whose scope is too small."""
    detail = f"This needs a key with scope {scope}; yours has scope {g.key_scope}."
    header = f'Bearer error="insufficient_scope", scope="{scope}"'
    return ProblemError("scope-too-small", 403, detail, headers={"WWW-Authenticate": header})


def _unknown(detail: str) -> ProblemError:
    # Counted separately from callers with keys, so that nobody can use up their requests.
    rates.take_refusal()
    return ProblemError(
        "key-required", 401, detail, headers={"WWW-Authenticate": 'Bearer realm="quarterseam"'}
    )
