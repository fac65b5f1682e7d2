"""Outlines of a stored answer."""

from __future__ import annotations

from geometry.model.outline import Chain, Mark, Outline, Region
from service.answers.pieces import OutlineAnswer


def stored_region(row: OutlineAnswer) -> Region:
    """Return an outline with its holes and marks, as it was stored."""
    return Region(
        Outline.of(row.outline),
        tuple(Outline.of(hole) for hole in row.holes),
        tuple(
            Mark(
                mark.role,
                mark.operation,
                Outline.of(mark.points) if mark.closed else Chain.of(mark.points),
            )
            for mark in row.marks
        ),
    )
