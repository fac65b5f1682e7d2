"""Schemas of answers about a quilt's size, edges and borders."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated, Literal

from service.schemas.answers import (
    Mm,
)


@dataclass(frozen=True, kw_only=True)
class AssembledAnswer:
    """The bounding box of the whole quilt, or of its top inside the borders."""

    width_mm: Mm
    length_mm: Mm


@dataclass(frozen=True, kw_only=True)
class NearSizeAnswer:
    """A size that the tiling makes."""

    size_mm: Mm
    difference_mm: Annotated[float, "from the size requested; negative: it is smaller"]
    count: Annotated[int, "rows or columns from edge to edge"]
    diamonds: Annotated[
        int | None, "along the edge of a star's point, where this size takes another number"
    ] = None


@dataclass(frozen=True, kw_only=True)
class NearestAxisSizesAnswer:
    """The nearest sizes of the tiled top along one axis."""

    requested_mm: Annotated[
        float, "for the tiled top: the quilt less the borders of a stated width"
    ]
    smaller: Annotated[NearSizeAnswer | None, "left out if one row or column is larger"] = None
    larger: NearSizeAnswer


@dataclass(frozen=True, kw_only=True)
class NearestTopSizesAnswer:
    """The nearest sizes of the tiled top; both are the requested one if that can be made."""

    width: NearestAxisSizesAnswer
    length: NearestAxisSizesAnswer


@dataclass(frozen=True, kw_only=True)
class BorderStripAnswer:
    """Equal strips of a border."""

    place: Literal["sides", "ends"]
    quantity: Annotated[int, "strips in one quilt"]
    width_mm: Annotated[float, "finished"]
    length_mm: Annotated[float, "finished, along the longer edge"]
    cut_width_mm: Annotated[float, "with seam allowance"]
    cut_length_mm: Annotated[float, "with seam allowance"]


@dataclass(frozen=True, kw_only=True)
class JoinedStripsAnswer:
    """Strips that are joined end to end."""

    places: Annotated[Sequence[Literal["sides", "ends"]], "edges that they are for"]
    quantity: Annotated[int, "strips in one quilt"]
    cut_width_mm: Mm
    cut_length_mm: Annotated[float, "the fabric's usable width, or a side of a pre-cut piece"]


@dataclass(frozen=True, kw_only=True)
class BorderAnswer:
    """A border of the quilt."""

    colour: Annotated[str, "of plain strips"]
    corners: Literal["butted", "mitred", "cornerstones"]
    sides_width_mm: Annotated[float, "finished, at left and right; 0 for none"]
    ends_width_mm: Annotated[float, "finished, at top and bottom; 0 for none"]
    strips: Annotated[Sequence[BorderStripAnswer], "to cut by ruler; no pieces of the kit"]
    joined_from: Annotated[Sequence[JoinedStripsAnswer], "for joined strips"]
    pieces: Annotated[int, "pieces and cornerstones, which are in the kit"]


@dataclass(frozen=True, kw_only=True)
class EdgeAnswer:
    """The result at a pair of opposite edges."""

    edge: Literal["whole", "trimmed", "filled"]
    count: Annotated[int, "rows or columns from edge to edge"]
    straight: bool
    dents_mm: Annotated[float, "maximum depth of the dents in a ragged edge"]
    fullness: Annotated[float, "share of the dented strip that is cloth; 1 for a straight edge"]


@dataclass(frozen=True, kw_only=True)
class EdgesAnswer:
    """The quilt's edges."""

    sides: EdgeAnswer
    ends: EdgeAnswer
