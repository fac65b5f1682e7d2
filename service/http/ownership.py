"""Who sees what: a key sees what it made, unless it has scope admin or the studio shares all."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from flask import Flask, g, request

from service.http.current import settings, store
from service.http.problems import ProblemError
from service.storage.owners import NOBODY

#: Members of addresses that name what a key made, and the lists where it is found.
_KINDS: Final[Mapping[str, tuple[str, str]]] = MappingProxyType(
    {
        "kit_id": ("kit", "There is no such kit or file; GET /v1/kits lists the kits."),
        "job_id": ("job", "There is no such job, or it was deleted; GET /v1/jobs lists jobs."),
        "batch_id": (
            "batch",
            "There is no such batch, or it was deleted; GET /v1/batches lists batches.",
        ),
    }
)


def register(app: Flask) -> None:
    """Check every address that names a kit, a job or a batch before its operation."""
    app.before_request(_check)


def maker() -> str:
    """Return the key to which belongs what the request makes."""
    return str(getattr(g, "key_id", NOBODY))


def viewer() -> str | None:
    """Return the key to whose things the request is limited; ``None``: it sees all."""
    if getattr(g, "key_scope", "admin") == "admin" or settings().sharing == "all":
        return None
    return str(g.key_id)


def missing(member: str) -> ProblemError:
    """Return the problem of a kit, a job or a batch that is not there, or is another key's.

    Args:
        member: of the address that names it.
    """
    return ProblemError("not-found", 404, _KINDS[member][1])


def _check() -> None:
    """Raise the same error for what another key made and for what there is not."""
    key_id = viewer()
    if key_id is None:
        return
    for member, value in (request.view_args or {}).items():
        if member in _KINDS and not store().owners.made(key_id, _KINDS[member][0], str(value)):
            raise missing(member)
