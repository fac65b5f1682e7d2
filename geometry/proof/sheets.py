"""Checks that a load lies on a sheet of any outline, as far from its edge as stated.

The pieces are placed again, and the distance from each to the sheet's own outline is measured: no
area that the layout was given is used.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from geometry import polygons
from geometry.model.outline import Outline
from geometry.model.placement import Load
from geometry.model.segments import Segment
from geometry.proof.overlap import lies_within
from geometry.separation import segment_distance
from geometry.tolerance import LAYOUT_ACCURACY

#: Maximum number of reported faults.
_MAX_TOLD = 10


def check_on_sheet(
    outlines: Mapping[str, Outline], load: Load, sheet: Outline, clearance: float
) -> list[str]:
    """Return which pieces of a load are off a sheet or too near its edge; empty if none is.

    Args:
        outlines: each piece's outline before placing.
        load: the placements, in the coordinates of the sheet.
        sheet: its outline.
        clearance: least distance from the sheet's edge to the outlines, mm.

    Tolerance:
        Differences up to ``LAYOUT_ACCURACY`` mm are rounding.
    """
    edges = sheet.segments
    tree = polygons.STRtree([polygons.box(*edge.bounds()) for edge in edges])
    faults = []
    for number, placement in enumerate(load.placements):
        outline = placement.move.outline(outlines[placement.piece])
        apart = _edge_distance(outline, edges, tree, clearance + 1.0)
        if not lies_within(outline, sheet):
            faults.append(f"placement {number} ({placement.piece}) is off the sheet")
        elif apart < clearance - LAYOUT_ACCURACY:
            faults.append(
                f"placement {number} ({placement.piece}) is {apart:.6f} mm from the sheet's edge, "
                f"the clearance is {clearance:g} mm"
            )
    return faults[:_MAX_TOLD]


def _edge_distance(
    outline: Outline, edges: Sequence[Segment], tree: polygons.STRtree, enough: float
) -> float:
    """Return the smallest distance from an outline to edges, mm; at most ``enough``."""
    least = enough
    for part in outline.segments:
        box = part.bounds()
        near = polygons.box(
            box.left - least, box.bottom - least, box.right + least, box.top + least
        )
        for edge in tree.query(near):
            least = min(least, segment_distance(part, edges[edge]))
    return least
