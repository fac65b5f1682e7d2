"""All tolerances of the package, with units and reasons."""

from __future__ import annotations

from typing import Final

#: Largest coordinate accepted, mm. Longer than ten metres of roll; beyond it the unit is certainly
#: wrong, and double precision would not be enough for the tolerances below.
LARGEST_COORDINATE: Final = 1.0e5

#: Shortest edge of an outline, mm. A tenth of a micrometre is below the grid of all formats, so
#: shorter edges could only confuse a cutter.
SHORTEST_EDGE: Final = 1.0e-4

#: Two values of one length, computed in different ways, are equal within this, mm. Coordinates up
#: to 1e5 mm carry about 1.5e-11 mm of rounding; a few hundred operations stay well below.
SAME_POINT: Final = 1.0e-7

#: A corner turning less than this, rad, is a smooth joint: tangents of one arc, computed from its
#: two neighbours, differ only by rounding.
SMOOTH_TURN: Final = 1.0e-7

#: Required uniformity of a patch's allowance, measured by the second method, mm.
ALLOWANCE_ACCURACY: Final = 1.0e-3

#: Overlap, or missing gap, that counts as rounding in a layout, mm.
LAYOUT_ACCURACY: Final = 1.0e-6

#: Default chord tolerance for converting arcs to lines, mm.
CHORD: Final = 0.01

#: Distances between outlines with arcs, which are measured by chords, may be so much too small, mm.
_BY_CHORDS: Final = 0.02


def room_for_slot(kerf: float) -> float:
    """Return how far apart outlines have to lie, as measured, for a beam's slot between them, mm.

    Args:
        kerf: width of the slot, mm.
    """
    return kerf - min(_BY_CHORDS, kerf / 2.0)
