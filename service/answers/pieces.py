"""Answers about pieces: template, patch and the allowance between them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Literal

from service.schemas.answers import (
    Mm,
    Points,
)


@dataclass(frozen=True, kw_only=True)
class MarkAnswer:
    """A mark drawn on a piece."""

    role: str
    operation: Literal["cut", "score", "mark"]
    closed: bool
    points: Points


@dataclass(frozen=True, kw_only=True)
class OutlineAnswer:
    """A template or a patch with its measures."""

    outline: Annotated[
        Points,
        "ring of [x, y, bulge] in mm, counter-clockwise, first point not repeated, bulge = "
        "tan(sweep / 4)",
    ]
    holes: Sequence[Points]
    marks: Sequence[MarkAnswer]
    area_mm2: Annotated[float, "holes not subtracted"]
    perimeter_mm: Mm
    width_mm: Annotated[float, "of the bounding box"]
    height_mm: Annotated[float, "of the bounding box"]
    corner_angles_deg: Sequence[float]


@dataclass(frozen=True, kw_only=True)
class CornerAnswer:
    """The result at one corner of a patch."""

    corner: Annotated[int, "number of the corner along the template"]
    treatment: str
    tail_mm: Annotated[float, "how far the patch reaches beyond the template's corner"]


@dataclass(frozen=True, kw_only=True)
class AllowanceAnswer:
    """The requested seam allowance, and the one measured by a second method."""

    requested_mm: Mm
    min_mm: Annotated[float, "measured at right angles to the edges"]
    max_mm: Annotated[float, "measured at right angles to the edges"]
    method: str
    corners: Sequence[CornerAnswer]
    edges_mm: Annotated[Mapping[str, float] | None, "allowances by edge number"] = None


@dataclass(frozen=True, kw_only=True)
class PieceAnswer:
    """One piece: template, patch and the allowance between them."""

    id: str
    shape: str
    size: Annotated[str, "as written in the request"]
    quantity: Annotated[int, "finished pieces wanted, in each copy of the kit"]
    total_quantity: Annotated[
        int | None, "in all copies, without spares; present for several copies"
    ] = None
    template: OutlineAnswer
    patch: OutlineAnswer
    allowance: AllowanceAnswer


@dataclass(frozen=True, kw_only=True)
class OutlinesAnswer:
    """Calculated pieces."""

    pieces: Sequence[PieceAnswer]
    warnings: Sequence[str]
