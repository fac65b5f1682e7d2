"""The gallery's blocks as JSON: each as a drawing, and as the block of a quilt plan."""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import cache
from typing import Any

from geometry.blocks.gallery import GALLERY, GalleryBlock
from geometry.measure import area
from geometry.model.outline import Outline

#: A usual finished width, in.
_WIDTH = 12
#: Shares of a block's area within which its pieces fill a square.
_FILLED = 1.0e-9


@cache
def gallery() -> Mapping[str, Mapping[str, Any]]:
    """Return the gallery's blocks by name, as saved blocks are stored: ``drawing`` and ``block``.

    A drawing's points are in units of its block's own grid, scaled to a width of 12 in.
    """
    return {
        name: {"drawing": _drawing(block), "block": _plan_block(block)}
        for name, block in GALLERY.items()
    }


def _drawing(block: GalleryBlock) -> dict[str, Any]:
    return {
        "title": block.title[0].upper() + block.title[1:],
        "units": "in",
        "finished_width": _WIDTH,
        "paths": [
            {
                "points": [[v.x, v.y, v.bulge] if v.bulge else [v.x, v.y] for v in path.vertices],
                "closed": True,
                "fabric": path.fabric,
            }
            for path in block.paths
        ],
    }


def _plan_block(block: GalleryBlock) -> dict[str, Any] | None:
    """Return a block for quilt plans; ``None`` unless it is a square of straight-sided pieces."""
    if any(v.bulge for path in block.paths for v in path.vertices):
        return None
    filled = math.fsum(area(Outline(path.vertices)) for path in block.paths)
    if not math.isclose(filled, block.width**2, rel_tol=_FILLED):
        return None
    unit = block.width / _WIDTH
    return {
        "units": "in",
        "size": _WIDTH,
        "pieces": [
            {"points": [[v.x / unit, v.y / unit] for v in path.vertices], "colour": path.fabric}
            for path in block.paths
        ],
    }
