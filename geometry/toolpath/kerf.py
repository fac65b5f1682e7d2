"""Kerf compensation: outlines move out by half the kerf, holes move in.

Source:
    A drawn 2 x 4 mm part cut with a 0.2 mm slot comes out 1.8 x 3.8 mm and its opening 2.2 x 4.2 mm
    (published worked example, HANDBOOK C54); the compensation is the inverse.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from geometry.errors import AllowanceError
from geometry.model.outline import Outline, Region
from geometry.model.points import turn_between
from geometry.offset.allowance import make_patch
from geometry.offset.outline import offset_outline
from geometry.sentences import said

#: Minimum reported remainder in corners, mm.
_TOLD = 0.05
#: Half the angle of the sharpest hollow corner considered, as a cosine.
_SHARPEST = 0.02


def widened(region: Region, kerf: float) -> tuple[Region, tuple[str, ...]]:
    """Return the path of the beam's middle that cuts a region at size.

    Args:
        region: outline and holes at size; marks do not change.
        kerf: width of the slot, mm, at least 0.
    """
    if not kerf:
        return region, ()
    half = kerf / 2.0
    warnings: list[str] = []
    try:
        # Corners are mitred, so that their inside is as sharp as the piece's. Corners beyond the
        # mitre limit are cut square half a kerf beyond their tip, which is equally exact.
        outline = make_patch(region.outline, half).outline
    except AllowanceError:
        outline = region.outline
        warnings.append(
            said(
                "has a hollow too narrow for a beam of {kerf:g} mm; it is cut on its line and "
                "comes out {half:g} mm short on every side",
                kerf=kerf,
                half=half,
            )
        )
    holes, more = _narrowed(region.holes, kerf)
    left = max(_left_in_hollows(region.outline, half, 1.0), _left_in_holes(region, half))
    warnings += [*more, *_reach_warning(left, kerf)]
    return replace(region, outline=outline, holes=holes), tuple(warnings)


def with_holes_at_size(region: Region, kerf: float) -> tuple[Region, tuple[str, ...]]:
    """Return a region whose outline is cut on its line, and its holes at size.

    For outlines that lie edge to edge: the slot of their lines has no room between them.

    Args:
        region: outline and holes at size.
        kerf: width of the slot, mm, at least 0.
    """
    if not kerf or not region.holes:
        return region, ()
    holes, warnings = _narrowed(region.holes, kerf)
    warnings += _reach_warning(_left_in_holes(region, kerf / 2.0), kerf)
    return replace(region, holes=holes), tuple(warnings)


def _narrowed(holes: Sequence[Outline], kerf: float) -> tuple[tuple[Outline, ...], list[str]]:
    """Return the path of the beam's middle for each hole, and what is to be said of them."""
    half, found, warnings = kerf / 2.0, list[Outline](), list[str]()
    for hole in holes:
        inner = offset_outline(hole, -half).outlines
        if len(inner) != 1:
            warnings.append(
                said(
                    "has a hole too narrow for a beam of {kerf:g} mm; it is cut on its line "
                    "and comes out {half:g} mm large on every side",
                    kerf=kerf,
                    half=half,
                )
            )
        found.append(inner[0] if len(inner) == 1 else hole)
    return tuple(found), warnings


def _reach_warning(left: float, kerf: float) -> list[str]:
    if left <= _TOLD:
        return []
    return [
        said(
            "leaves up to {left:.2f} mm in hollow corners, which a round beam of {kerf:g} "
            "mm cannot reach",
            left=left,
            kerf=kerf,
        )
    ]


def _left_in_holes(region: Region, half: float) -> float:
    """Return what a beam leaves uncut in the sharpest corner of a region's holes, mm."""
    return max((_left_in_hollows(hole, half, -1.0) for hole in region.holes), default=0.0)


def _left_in_hollows(outline: Outline, radius: float, side: float) -> float:
    """Return what a disc leaves uncut in an outline's sharpest hollow corner, mm.

    Source:
        radius (1 / cos(turn / 2) - 1) beyond the reach of a disc that touches both edges (derived).
    """
    worst = 0.0
    parts = outline.segments
    for before, part in zip((parts[-1], *parts), parts, strict=False):
        turn = side * turn_between(before.end_heading, part.start_heading)
        if turn < 0.0:
            worst = max(worst, radius * (1.0 / max(math.cos(turn / 2.0), _SHARPEST) - 1.0))
    return worst
