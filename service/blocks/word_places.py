"""Where a piece's number and name stand on pages, where they lie in no overlap and are not cut."""

from __future__ import annotations

from collections.abc import Sequence

from geometry import polygons
from geometry.measure import flattened
from geometry.model.outline import Outline
from geometry.model.points import Point
from service.blocks.pieces import label_place_in
from service.documents.true_size import Tiles

Place = tuple[Point, float]
"""A point, and the radius that is free about it, mm."""
#: Arcs become lines within this, mm.
_CHORD = 0.2
#: Radius for words, mm: of any page that has as much, and of the best page if none has.
_ENOUGH, _LEAST = 4.0, 2.5


def word_places(
    outline: Outline, holes: Sequence[Outline], whole: Place, tiles: Tiles
) -> list[Place]:
    """Return where a piece's words stand: once on each page that shows enough of it.

    Args:
        outline: of the piece, as it is drawn.
        holes: in it.
        whole: the place for words if all of the piece were on one page.
        tiles: the pages.

    Returns:
        Places in parts that no other page shows; ``whole`` where all those are too small.
    """
    if len(tiles.tiles) == 1:
        return [whole]
    polygon = polygons.Polygon(
        flattened(outline, _CHORD), [flattened(hole, _CHORD) for hole in holes]
    )
    if not polygon.is_valid:
        return [whole]
    found: list[Place] = []
    for box in map(tiles.alone, tiles.tiles):
        parts = polygons.get_parts(polygons.intersection(polygon, polygons.box(*box))).tolist()
        areas = [part for part in parts if part.area > 0.0]
        if areas:
            largest = max(areas, key=lambda part: float(part.area))
            found.append(label_place_in(largest, _CHORD))
    kept = [place for place in found if place[1] >= _ENOUGH]
    if kept:
        return kept
    best = max(found, key=lambda place: place[1], default=whole)
    return [best] if best[1] >= _LEAST else [whole]
