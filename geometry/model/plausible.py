"""Plausible values for tools: wide enough for all tools in use, narrow enough to catch wrong units.

Source:
    Published ranges, each widened: offsets of swivel blades 0.175 to 1.0 mm (a blade supplier);
    slots of beams 0.08 to 0.45 mm (makers of laser cutters, a digital-fabrication course); rules
    of 2 to 6 points, 0.71 to 2.1 mm (die makers' notes). Blade widths, steps and speeds: common
    practice, no source.
"""

from __future__ import annotations

from typing import NamedTuple

from geometry.errors import GeometryError, GeometryFaults


class Span(NamedTuple):
    """A range of plausible values: its bounds, unit and name."""

    least: float
    most: float
    unit: str
    what: str

    @property
    def words(self) -> str:
        """Return the range in words."""
        return f"{self.least:g} to {self.most:g} {self.unit}"


OFFSET = Span(0.0, 3.0, "mm", "blade offset")
KERF = Span(0.0, 3.0, "mm", "beam's slot")
RULE = Span(0.3, 3.0, "mm", "rule's thickness")
BLADE_WIDTH = Span(0.1, 20.0, "mm", "blade's width")
STEP = Span(0.02, 20.0, "mm", "step between stabs")
SPEED = Span(0.1, 5000.0, "mm/s", "speed")
HAND_SPEED = Span(0.5, 500.0, "mm/s", "speed of cutting by hand")
TIE_WIDTH = Span(0.1, 10.0, "mm", "tie's width")


def require_plausible(**given: tuple[float, Span]) -> None:
    """Raise one error for all numbers outside their ranges.

    Raises:
        GeometryError: for a single number, named in ``where``.
        GeometryFaults: for several numbers.
    """
    faults = [
        GeometryError(
            f"A {span.what} lies between {span.least:g} and {span.most:g} {span.unit}; it is "
            f"{value:g} {span.unit}. Was another unit meant?",
            where=(name,),
        )
        for name, (value, span) in given.items()
        if not span.least <= value <= span.most
    ]
    if len(faults) == 1:
        raise faults[0]
    if faults:
        raise GeometryFaults(tuple(faults))
