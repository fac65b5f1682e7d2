"""Traditional blocks in the public domain, drawn from their geometry.

Coordinates are in units of each block's own grid, from its lower left corner.
"""

from __future__ import annotations

from geometry.blocks.gallery.curved import CURVED
from geometry.blocks.gallery.pieced import PIECED
from geometry.blocks.gallery.shapes import GalleryBlock
from geometry.blocks.gallery.squares import SQUARES
from geometry.blocks.gallery.stars import STARS

#: Every block by its name.
GALLERY = {each.name: each for each in (*SQUARES, *PIECED, *STARS, *CURVED)}

__all__ = ["GALLERY", "GalleryBlock"]
