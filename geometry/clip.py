"""Access to the polygon library, for outlines of straight edges."""

from __future__ import annotations

import shapely

from geometry.model.outline import Outline


def is_simple_polygon(outline: Outline) -> bool:
    """Return whether a ring of straight edges neither crosses nor touches itself.

    Args:
        outline: without arcs.

    Source:
        Validity of an OGC Simple Features polygon, as determined by GEOS.
    """
    return bool(shapely.is_valid(shapely.Polygon([vertex[:2] for vertex in outline.vertices])))
