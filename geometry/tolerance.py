"""Every tolerance of the package, with its unit, its reason and what it bounds."""

from __future__ import annotations

from typing import Final

#: Largest coordinate accepted, mm. Ten metres of roll and then some; beyond it a mistaken unit
#: is certain and double precision would no longer hold the promises below.
LARGEST_COORDINATE: Final = 1.0e5

#: Shortest edge of an outline, mm. A tenth of a micrometre is below the grid of every format
#: that is written, so a shorter edge could only confuse a cutter.
SHORTEST_EDGE: Final = 1.0e-4

#: Two values of one length computed along different ways are the same within this, mm.
#: Coordinates up to 1e5 mm carry about 1.5e-11 mm of rounding; a few hundred operations stay
#: well below.
SAME_POINT: Final = 1.0e-7

#: A corner turning less than this, rad, is a smooth joint: the tangents of one arc computed
#: from its two neighbours differ by rounding only.
SMOOTH_TURN: Final = 1.0e-7

#: Uniformity that a patch must show when measured by the second method, mm.
ALLOWANCE_ACCURACY: Final = 1.0e-3

#: Overlap, or shortfall of a gap, that is taken for rounding in a layout, mm.
LAYOUT_ACCURACY: Final = 1.0e-6

#: Chord tolerance wherever arcs must become lines and the caller stated none, mm.
CHORD: Final = 0.01
