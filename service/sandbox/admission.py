"""Admission control: judges from a request alone whether a computation is short."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from service.errors import RequestError
from service.kits.recuts import narrowed
from service.requests.kits import KitRequest, kit_request
from service.requests.pieces import PieceRequest
from service.requests.recuts import RecutRequest
from service.sandbox.kit_cost import kit_cost
from service.sandbox.outline_corners import template_corners

#: Limits below which a computation takes well under a second; tests measure this.
MAX_KINDS = 20
MAX_OUTLINE_CORNERS = 200
#: Calls of functions: a machine of 2020 makes about a million in a second.
MAX_COST = 700_000.0
#: Limits under which a kit in a child takes a second or so.
MAX_MODEST_RUNS = 4
MAX_MODEST_OUTLINES = 1_000


def outlines_are_small(pieces: Sequence[PieceRequest]) -> bool:
    """Return whether computing these outlines is cheap."""
    corners = sum(map(template_corners, pieces))
    return len(pieces) <= MAX_KINDS and corners <= MAX_OUTLINE_CORNERS


def kit_is_small(request: KitRequest) -> bool:
    """Return whether creating this kit is cheap."""
    return outlines_are_small(request.pieces) and kit_cost(request) <= MAX_COST


def kit_is_modest(request: KitRequest) -> bool:
    """Return whether making this kit is work of a second or so, as most kits are."""
    outlines = sum(sum(run.quantities.values()) for run in request.runs)
    return (
        len(request.runs) <= MAX_MODEST_RUNS
        and len(request.pieces) <= MAX_KINDS
        and outlines <= MAX_MODEST_OUTLINES
        and all(run.effort in {"quick", "normal"} for run in request.runs)
    )


def recut_is_small(
    stored: Mapping[str, Any], request: RecutRequest, cutters: Mapping[str, Mapping[str, Any]]
) -> bool:
    """Return whether a recut of a stored kit's pieces is cheap.

    Args:
        stored: the stored kit's request.
        request: what is cut again.
        cutters: the stored kit's cutters.
    """
    try:
        document = narrowed(stored, request)
    except RequestError:
        # It is refused before anything is computed.
        return True
    try:
        return kit_is_small(kit_request(document, cutters.get))
    except RequestError:
        # An earlier version accepted it; its cost is unknown.
        return False
