"""Checks of host names and origins, against attacks through browsers.

A page of any site can send requests to this machine through the browser of someone who works here.
With DNS rebinding, its own host name leads to 127.0.0.1 and it can read the answers. The header
``Host`` reveals this, because the browser sends the name that the page came from.
"""

from __future__ import annotations

import re
from urllib.parse import urlsplit

from flask import Flask, current_app, request

from service.http.auth import required
from service.http.problems import ProblemError
from service.settings import Settings

#: Names that lead to this machine everywhere.
LOOPBACK = ("localhost", "127.0.0.1", "[::1]")
_HOST = re.compile(r"(\[[0-9A-Fa-f:.]+\]|[A-Za-z0-9_-][A-Za-z0-9._-]*)(?::[0-9]{0,5})?")
_READING = {"GET", "HEAD", "OPTIONS"}
_OWN_PAGES = {"none", "same-origin"}
_USUAL_PORTS = {"http": ":80", "https": ":443"}


def register(app: Flask) -> None:
    """Check the host and the origin of every request."""
    app.config["ALLOWED_HOSTS"] = allowed_hosts(app.config["SETTINGS"])
    app.before_request(_check_host)
    app.before_request(_check_origin)


def allowed_hosts(settings: Settings) -> frozenset[str] | None:
    """Return the allowed host names; ``None`` for any.

    Names are not checked where requests need a key and no names are configured: a rebound page has
    no key.
    """
    if required(settings) and not settings.trusted_hosts:
        return None
    own = f"[{settings.host}]" if ":" in settings.host else settings.host
    here = {own} if settings.on_loopback else set()
    return frozenset(name.lower() for name in {*LOOPBACK, *here, *settings.trusted_hosts})


def _check_host() -> None:
    """Reject a request for another host.

    Raises:
        ProblemError: 400 for a missing or malformed host; 421 for another host.
    """
    allowed: frozenset[str] | None = current_app.config["ALLOWED_HOSTS"]
    if allowed is None:
        return
    stated = request.environ.get("HTTP_HOST", "")
    found = _HOST.fullmatch(stated)
    if found is None:
        detail = "State the host that the request is for, in one Host header (RFC 9110, 7.2)."
        raise ProblemError("bad-request", 400, detail)
    name = found[1].lower().removesuffix(".")
    if name not in allowed and not _is_below(name, allowed):
        detail = (
            f"This service does not answer for {name[:80]}, only for localhost, 127.0.0.1 "
            "and [::1]. The operator can list other names in QUARTERSEAM_TRUSTED_HOSTS."
        )
        raise ProblemError("misdirected-request", 421, detail)


def _is_below(name: str, allowed: frozenset[str]) -> bool:
    """Return whether an allowed name that begins with a dot covers this one."""
    return any(each.startswith(".") and name.endswith(each) for each in allowed)


def _check_origin() -> None:
    """Reject requests that another site's page sends through a user's browser.

    Browsers send forms to any site. With a request that changes something they send the page's
    origin, in a header that pages cannot set. ``Sec-Fetch-Site`` is missing where a host name is
    reached over plain HTTP.

    Raises:
        ProblemError: 403.
    """
    if request.method in _READING:
        return
    settings: Settings = current_app.config["SETTINGS"]
    origin = request.headers.get("Origin")
    if origin is not None and origin in settings.cors_origins:
        return
    site = request.headers.get("Sec-Fetch-Site", "none")
    if site in _OWN_PAGES and (origin is None or _is_own(origin)):
        return
    detail = (
        "A page of another site sent this request; list its origin in QUARTERSEAM_CORS_ORIGINS."
    )
    raise ProblemError("other-origin", 403, detail)


def _is_own(origin: str) -> bool:
    """Return whether an origin is this service itself."""
    scheme, _, _ = origin.partition("://")
    port = _USUAL_PORTS.get(scheme.lower())
    if port is None:
        return False
    stated = request.environ.get("HTTP_HOST", "").lower().removesuffix(port)
    try:
        return bool(stated) and urlsplit(origin).netloc.lower().removesuffix(port) == stated
    except ValueError:
        return False
