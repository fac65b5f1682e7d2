"""What is found in a drawing, as the answer to an inspection states it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from service.schemas.answers import (
    Points,
)


@dataclass(frozen=True, kw_only=True)
class NearestAnswer:
    """The catalogue shape that an outline is."""

    kind: str
    parameter: str
    size_mm: float
    difference: Annotated[float, "0 is exactly alike"]


@dataclass(frozen=True, kw_only=True)
class InspectedOutline:
    """One closed outline of the drawing, largest first."""

    group: Annotated[str, "its layer or group"]
    name: Annotated[str, "its own id"]
    points: Annotated[Points, "[x, y, bulge] in mm, y up: ready for a custom shape"]
    width_mm: float
    height_mm: float
    area_mm2: float
    perimeter_mm: float
    corner_angles_deg: Sequence[float]
    inside: Annotated[int | None, "index of the smallest outline about it"]
    fits: Annotated[bool | None, "the named cutter's work area; null when none is named"]
    nearest: NearestAnswer | None


@dataclass(frozen=True, kw_only=True)
class FoundAllowance:
    """The seam allowance between two outlines, by their indices."""

    template: int
    patch: int
    nested: bool
    min_mm: float
    max_mm: float


@dataclass(frozen=True, kw_only=True)
class DuplicateLine:
    """A stretch that two lines both draw, which a machine would cut twice."""

    outlines: Annotated[Sequence[int], "indices of closed outlines"]
    open_paths: Annotated[Sequence[int], "indices of open paths"]
    length_mm: float


@dataclass(frozen=True, kw_only=True)
class OpenLine:
    """A run of lines that does not close."""

    group: str
    name: str
    start: Sequence[float]
    end: Sequence[float]


@dataclass(frozen=True, kw_only=True)
class SkippedElement:
    """A kind of element that was not read."""

    element: Annotated[str, "as the format calls it"]
    count: int


@dataclass(frozen=True, kw_only=True)
class InspectionAnswer:
    """What a drawing holds."""

    format: str
    tolerance_mm: float
    join_tolerance_mm: float
    outlines: Sequence[InspectedOutline]
    groups: Annotated[Sequence[Sequence[int]], "indices of congruent outlines, mirror images too"]
    allowances: Sequence[FoundAllowance]
    overlaps: Sequence[Sequence[int]]
    duplicate_lines: Sequence[DuplicateLine]
    open_paths: Sequence[OpenLine]
    skipped: Annotated[Sequence[SkippedElement], "what draws no outline: text, images, metadata"]
    warnings: Sequence[str]
