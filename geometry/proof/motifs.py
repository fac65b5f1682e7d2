"""Checks that pieces lie on the motifs of a print.

The point of each piece is placed again and taken back to the cloth as it was printed, where it has
to be on a motif: no list of motifs of the layout is used.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from geometry.model.motif import PrintedCloth
from geometry.model.placement import Load
from geometry.model.points import Point
from geometry.tolerance import LAYOUT_ACCURACY

#: Maximum number of reported faults, and the accuracy of turns, degrees.
_MAX_TOLD, _TURN = 10, 1e-4


def check_on_motifs(
    load: Load,
    anchors: Mapping[str, Point],
    symmetries_deg: Mapping[str, float],
    cloth: PrintedCloth,
) -> list[str]:
    """Return which pieces of a load are not on a motif; empty if all are.

    Args:
        load: the placements.
        anchors: by piece, the point that lies on the middle of a motif.
        symmetries_deg: by piece, the least turn about that point at which its outline looks the
            same; 360 where there is none.
        cloth: the print and how it lies.

    Tolerance:
        Distances up to ten times ``LAYOUT_ACCURACY`` mm are rounding of the cloth's own map.
    """
    faults = []
    for number, placement in enumerate(load.placements):
        anchor = anchors.get(placement.piece)
        if anchor is None:
            continue
        turn = math.radians(placement.move.turn_deg)
        x = placement.move.x + anchor.x * math.cos(turn) - anchor.y * math.sin(turn)
        y = placement.move.y + anchor.x * math.sin(turn) + anchor.y * math.cos(turn)
        if not _is_on_one(x, y, placement.move.turn_deg, symmetries_deg[placement.piece], cloth):
            faults.append(f"placement {number} ({placement.piece}) is not on a motif")
    return faults[:_MAX_TOLD]


def _is_on_one(
    x: float, y: float, turn_deg: float, symmetry_deg: float, cloth: PrintedCloth
) -> bool:
    across, along = cloth.lies.back(x, y)
    repeat = cloth.repeat
    for each in repeat.positions:
        column = round((across - each.x) / repeat.width)
        row = round((along - each.y - column * repeat.drop) / repeat.height)
        printed = (
            column * repeat.width + each.x,
            row * repeat.height + column * repeat.drop + each.y,
        )
        there = cloth.lies(*printed)
        off = math.hypot(there[0] - x, there[1] - y)
        turned = turn_deg - cloth.lies.turn_deg - each.turn_deg
        apart = abs((turned + symmetry_deg / 2.0) % symmetry_deg - symmetry_deg / 2.0)
        if off <= 10.0 * LAYOUT_ACCURACY and apart <= _TURN:
            return True
    return False
