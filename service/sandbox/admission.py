"""Admission control: judges from a request alone whether a computation is short."""

from __future__ import annotations

from collections.abc import Sequence

from service.requests.kits import KitRequest
from service.requests.pieces import PieceRequest
from service.sandbox.outline_corners import template_corners

#: Limits below which outlines take well under a second; tests count it.
MAX_KINDS = 20
MAX_OUTLINE_CORNERS = 200
#: Corners by which each corner of an outline with a letter or an arrow counts: room for it is
#: searched for within the outline.
_MARKED = 12.0
#: Limits under which a kit in a child takes a second or so.
MAX_MODEST_RUNS = 4
MAX_MODEST_OUTLINES = 1_000


def outlines_are_small(pieces: Sequence[PieceRequest]) -> bool:
    """Return whether computing these outlines is cheap."""
    return len(pieces) <= MAX_KINDS and sum(map(_corners, pieces)) <= MAX_OUTLINE_CORNERS


def _corners(piece: PieceRequest) -> float:
    is_searched = piece.marks.label or piece.marks.grain_arrow
    return template_corners(piece) * (_MARKED if is_searched else 1.0)


def kit_is_modest(request: KitRequest) -> bool:
    """Return whether making this kit is work of a second or so, as most kits are."""
    outlines = sum(sum(run.quantities.values()) for run in request.runs)
    return (
        len(request.runs) <= MAX_MODEST_RUNS
        and len(request.pieces) <= MAX_KINDS
        and outlines <= MAX_MODEST_OUTLINES
        and all(run.effort in {"quick", "normal"} for run in request.runs)
    )
