"""Plausible values for tools and cloth: wide enough for all in use, but not for wrong units.

Source:
    Published ranges, each widened: offsets of swivel blades 0.175 to 1.0 mm (a blade supplier);
    slots of beams 0.08 to 0.45 mm (makers of laser cutters, a digital-fabrication course); rules
    of 2 to 6 points, 0.71 to 2.1 mm (die makers' notes). Blade widths, steps and speeds: common
    practice, no source; so are cloth and what is sewn round a quilt.
"""

from __future__ import annotations

from typing import NamedTuple

from geometry.errors import GeometryError, GeometryFaults


class Range(NamedTuple):
    """A range of plausible values: its bounds, unit and name."""

    low: float
    high: float
    unit: str
    what: str

    @property
    def words(self) -> str:
        """Return the range in words."""
        return f"{self.low:g} to {self.high:g} {self.unit}"


OFFSET = Range(0.0, 3.0, "mm", "blade offset")
KERF = Range(0.0, 3.0, "mm", "beam's slot")
RULE = Range(0.3, 3.0, "mm", "rule's thickness")
BLADE_WIDTH = Range(0.1, 20.0, "mm", "blade's width")
STEP = Range(0.02, 20.0, "mm", "step between stabs")
SPEED = Range(0.1, 5000.0, "mm/s", "speed")
HAND_SPEED = Range(0.5, 500.0, "mm/s", "speed of cutting by hand")
TIE_WIDTH = Range(0.1, 10.0, "mm", "tie's width")
#: From a wide ribbon to twice the widest backing.
CLOTH_WIDTH = Range(50.0, 6000.0, "mm", "cloth's usable width")
#: From a square for the smallest hexagons to a length of the widest cloth.
PRE_CUT = Range(10.0, 6000.0, "mm", "pre-cut piece's side")
BINDING_STRIP = Range(10.0, 300.0, "mm", "binding strip's width as cut")
#: What backing and batting have beyond a quilt, and a binding beyond the way round it.
BEYOND_A_QUILT = Range(0.0, 1000.0, "mm", "backing's or batting's extra width on each side")
BINDING_EXTRA = Range(0.0, 5000.0, "mm", "binding's extra length")
JOIN_SEAM = Range(0.0, 100.0, "mm", "join's seam allowance")
PIECED_SEAM = Range(0.0, 50.0, "mm", "pieced quilt's seam allowance")


def require_plausible(**given: tuple[float, Range]) -> None:
    """Raise one error for all numbers outside their ranges.

    Raises:
        GeometryError: for a single number, named in ``where``.
        GeometryFaults: for several numbers.
    """
    faults = [
        GeometryError(
            f"A {allowed.what} lies between {allowed.low:g} and {allowed.high:g} {allowed.unit}; "
            f"it is {value:g} {allowed.unit}. Was another unit meant?",
            where=(name,),
        )
        for name, (value, allowed) in given.items()
        if not allowed.low <= value <= allowed.high
    ]
    if len(faults) == 1:
        raise faults[0]
    if faults:
        raise GeometryFaults(tuple(faults))
