"""Areas as the answer states them."""

from __future__ import annotations

from geometry.model.cutter import WorkArea
from service.answers.places import WorkAreaAnswer


def box_of(room: WorkArea) -> WorkAreaAnswer:
    """Return a work area's box as the answer states it."""
    box = room.bounds
    return WorkAreaAnswer(x_mm=box.left, y_mm=box.bottom, width_mm=box.width, height_mm=box.height)
