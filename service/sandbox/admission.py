"""Admission control: judges from a request alone whether a computation is short."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

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


def beds_are_few(document: Any, cutters: Mapping[str, Any]) -> bool:  # noqa: ANN401 - JSON values
    """Return whether loading a body measures no more than one bed that is not a plain rectangle.

    To keep a tool's head inside an ellipse takes a fifth of a second.

    Args:
        document: JSON values.
        cutters: those that it names, by name.
    """
    if not isinstance(document, dict):
        return True
    kits = [document, document.get("request"), *_listed(document, "requests")]
    runs = [run for kit in kits if isinstance(kit, dict) for run in _listed(kit, "runs")]
    chosen = [run.get("cutter") for run in runs if isinstance(run, dict)]
    chosen += _listed(document, "cutters")
    return sum(_is_shaped(each, cutters) for each in chosen) <= 1


def _is_shaped(cutter: object, cutters: Mapping[str, Any]) -> bool:
    described = cutters.get(cutter) if isinstance(cutter, str) else cutter
    bed = described.get("bed") if isinstance(described, Mapping) else None
    if not isinstance(bed, Mapping):
        return False
    return bed.get("shape", "rectangle") not in {"rectangle", "roll"} or "keep_out" in bed


def _listed(document: dict[str, Any], member: str) -> list[Any]:
    found = document.get(member)
    return found if isinstance(found, list) else []


def kit_is_modest(request: KitRequest) -> bool:
    """Return whether making this kit is work of a second or so, as most kits are."""
    outlines = sum(sum(run.quantities.values()) for run in request.runs)
    return (
        len(request.runs) <= MAX_MODEST_RUNS
        and len(request.pieces) <= MAX_KINDS
        and outlines <= MAX_MODEST_OUTLINES
        and all(run.effort in {"quick", "normal"} for run in request.runs)
    )
