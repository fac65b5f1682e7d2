"""Areas as the answer states them."""

from __future__ import annotations

from geometry.model.cutter import WorkArea


def box_of(room: WorkArea) -> dict[str, float]:
    """Return a work area's box as the answer states it."""
    box = room.bounds
    return {
        "x_mm": box.left,
        "y_mm": box.bottom,
        "width_mm": box.width,
        "height_mm": box.height,
    }
