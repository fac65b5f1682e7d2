"""Cutters by name: those that come with the service, and those saved in its store."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from service.errors import Fault, InvalidRequestError, pointer
from service.http.current import store
from service.http.ownership import viewer
from service.requests.cutters import no_cutter
from service.tools.built_in import BUILT_IN


def cutter(name: str) -> Mapping[str, Any] | None:
    """Return a built-in or saved cutter's JSON by name, with its version, or ``None``."""
    if name in BUILT_IN:
        return BUILT_IN[name]
    return store().cutters.document(name, viewer())


def required_cutter(name: str) -> Mapping[str, Any]:
    """Return the JSON of the cutter that the member or part ``cutter`` of a request names.

    Raises:
        InvalidRequestError: when there is none.
    """
    found = cutter(name)
    if found is None:
        detail = no_cutter(name)
        raise InvalidRequestError(detail, [Fault(pointer("cutter"), detail)])
    return found


def cutters_named_in(document: Any) -> list[str]:  # noqa: ANN401 - JSON values
    """Return the names of the cutters of a kit's runs, each as often as it stands there."""
    runs = document.get("runs") if isinstance(document, dict) else None
    if not isinstance(runs, list):
        return []
    named = (run.get("cutter") for run in runs if isinstance(run, dict))
    return [name for name in named if isinstance(name, str)]


def all_cutters() -> dict[str, Mapping[str, Any]]:
    """Return every built-in and saved cutter's JSON by name, read at once."""
    found = store().cutters.all(viewer())
    saved = {each.name: {**each.body, "version": each.version} for each in found}
    return saved | dict(BUILT_IN)
