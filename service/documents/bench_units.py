"""Lengths as they are read at the bench: in the request's units, and in a second one if asked."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from geometry import units as lengths
from geometry.model.segments import Bounds
from service.texts import gettext as _

#: The finest fraction of an inch for small lengths, and how near to it they are it, mm: they may
#: be rounded to hundredths.
_RULER, _NEAR = 32, 2e-3
#: The marks of a ruler by which rests are rounded down and what must suffice is rounded up, mm.
_MARK_MM: Final = {"in": lengths.MM_PER_INCH / 16.0, "cm": 1.0, "mm": 1.0}
#: A size this little below a mark is at it: offcuts are measured in floating point, mm.
_AT_A_MARK = 1e-6
#: The finest marks of rulers at a bench: half millimetres, 1/32 in. Common practice, no source.
_TOLERANCE_MM: Final = {"in": lengths.MM_PER_INCH / 32.0}
_MM_PER_CM = lengths.UNIT_MM["cm"]


@dataclass(frozen=True)
class BenchUnits:
    """The units of a sheet; ``second`` is empty where one is enough."""

    first: str
    second: str = ""

    def length(self, mm: float) -> str:
        """Return a small length."""
        return self._both(_length(mm, self.first), lambda units: _length(mm, units))

    def size(self, box: Bounds) -> str:
        """Return a box's width and height."""
        return self._both(_size(box, self.first), lambda units: _plain_size(box, units))

    def area(self, mm2: float) -> str:
        """Return an area to three digits, in square inches or square centimetres."""
        return self._both(_area(mm2, self.first), lambda units: _area(mm2, units))

    def written(self, mm: float) -> str:
        """Return a length as a ruler shows it."""
        text = lengths.format_length(mm, self.first)
        return self._both(text, lambda units: _in_brackets(mm, units))

    def enough(self, mm: float) -> str:
        """Return a length that must suffice, up to the next mark of a ruler."""

        def shown(units: str) -> str:
            return lengths.format_length(lengths.round_up(mm, _mark(units)), units)

        return self._both(shown(self.first), shown)

    def ruler_size(self, box: Bounds) -> str:
        """Return a box's width and height at the nearest marks of a ruler."""
        return self._both(_ruler_size(box, self.first), lambda units: _ruler_size(box, units))

    def ruler_tolerance(self) -> str:
        """Return what a ruler may show between a test cut and its size: one of its marks."""
        return self.length(_TOLERANCE_MM.get(self.first, 0.5))

    def rough_size(self, width: float, height: float) -> str:
        """Return the size of a leftover, down to a ruler's mark: it is never smaller than that."""
        text = _rough_size(width, height, self.first)
        return self._both(text, lambda units: _rough_size(width, height, units))

    def _both(self, text: str, in_units: Callable[[str], str]) -> str:
        return f"{text} ({in_units(self.second)})" if self.second else text


def _length(mm: float, units: str) -> str:
    """Return a small length; less than a millimetre is no length in centimetres."""
    if not mm:
        return f"0 {units}"
    if units == "cm" and mm >= 1.0:
        return f"{lengths.format_decimal(mm / _MM_PER_CM, 3)} cm"
    if units != "in":
        return f"{lengths.format_decimal(mm, 4)} mm"
    near = lengths.format_fraction(mm, _RULER)
    if abs(lengths.parse_length(near, "in") - mm) < _NEAR:
        return f"{near} in"
    return f"{lengths.format_decimal(mm / lengths.MM_PER_INCH, 3)} in"


def _in_brackets(mm: float, units: str) -> str:
    """Return a length to the hundredth of a millimetre, without brackets of its own."""
    if units == "cm":
        return f"{lengths.format_decimal(mm / _MM_PER_CM, 3)} cm"
    if units == "in":
        return _length(mm, units)
    return lengths.format_length(mm, units).replace(" (", ", ").rstrip(")")


def _size(box: Bounds, units: str) -> str:
    if units != "in":
        return _plain_size(box, units)
    sides = (box.width, box.height)
    near = " x ".join(lengths.format_fraction(side, _RULER) for side in sides)
    if all(lengths.is_mark(side, _RULER) for side in sides):
        return f"{near} in"
    exact = " x ".join(lengths.format_decimal(side / lengths.MM_PER_INCH) for side in sides)
    return _("about {near} in, exactly {exact} in", near=near, exact=exact)


def _plain_size(box: Bounds, units: str) -> str:
    if units == "in":
        sides = (
            lengths.format_decimal(side / lengths.MM_PER_INCH, 3)
            for side in (box.width, box.height)
        )
        return f"{' x '.join(sides)} in"
    digits, mm = (3, _MM_PER_CM) if units == "cm" else (2, 1.0)
    shown = (lengths.format_decimal(side / mm, digits) for side in (box.width, box.height))
    return f"{' x '.join(shown)} {units}"


def _area(mm2: float, units: str) -> str:
    side, unit = (lengths.MM_PER_INCH, "sq in") if units == "in" else (_MM_PER_CM, "sq cm")
    shown = mm2 / side**2
    before = math.floor(math.log10(shown)) + 1 if shown >= 1.0 else 0
    return f"{lengths.format_decimal(round(shown, 3 - before), max(0, 3 - before))} {unit}"


def _ruler_size(box: Bounds, units: str) -> str:
    sides = (box.width, box.height)
    if units == "in":
        return f"{' x '.join(lengths.format_fraction(side, _RULER) for side in sides)} in"
    digits, mm = (2, _MM_PER_CM) if units == "cm" else (1, 1.0)
    halves = (math.floor(2.0 * side + 0.5) / 2.0 / mm for side in sides)
    return f"{' x '.join(lengths.format_decimal(each, digits) for each in halves)} {units}"


def _mark(units: str) -> float:
    return _MARK_MM.get(units, 1.0)


def _rough_size(width: float, height: float, units: str) -> str:
    mark = _mark(units)
    width, height = (math.floor((side + _AT_A_MARK) / mark) * mark for side in (width, height))
    if units == "in":
        return f"{lengths.format_fraction(width)} x {lengths.format_fraction(height)} in"
    digits, mm = (0, 1.0) if units == "mm" else (1, lengths.UNIT_MM[units])
    sides = (lengths.format_decimal(side / mm, digits) for side in (width, height))
    return f"{' x '.join(sides)} {units}"
