"""Names of version 0.1.0 in stored requests and stored answers.

Stored kits keep their bytes, so what they hold is renamed where it is read.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

_REQUEST = {"print": "documents"}
_RUN = {"greatest_mismatch_deg": "max_mismatch_deg"}
_LOAD = {"placed": "outlines", "counts": "pieces"}
_ALLOWANCE = {"asked_mm": "requested_mm", "least_mm": "min_mm", "most_mm": "max_mm"}


def current_request(stored: Mapping[str, Any]) -> dict[str, Any]:
    """Return a stored kit's request with the names that the schemas know."""
    request = _renamed(stored, _REQUEST)
    runs = request.get("runs")
    if isinstance(runs, list):
        request["runs"] = [_renamed(run, _RUN) if isinstance(run, Mapping) else run for run in runs]
    return request


def current_allowance(stored: Mapping[str, Any]) -> dict[str, Any]:
    """Return the allowance of a piece in a stored answer with today's names."""
    return _renamed(stored, _ALLOWANCE)


def current_load(stored: Mapping[str, Any]) -> dict[str, Any]:
    """Return a load in a stored answer with today's names."""
    return _renamed(stored, _LOAD)


def _renamed(stored: Mapping[str, Any], names: Mapping[str, str]) -> dict[str, Any]:
    return {names.get(name, name): value for name, value in stored.items()}
