"""The door to the polygon library for outlines of straight edges."""

from __future__ import annotations

import shapely

from geometry.model.outline import Outline


def is_simple_polygon(outline: Outline) -> bool:
    """Tell whether a ring of straight edges neither crosses nor touches itself.

    Args:
        outline: without arcs.

    Source:
        Validity of the OGC Simple Features polygon, as GEOS decides it.
    """
    return bool(shapely.is_valid(shapely.Polygon([vertex[:2] for vertex in outline.vertices])))
