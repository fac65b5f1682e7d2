"""An HP-GL interpreter: pens, pen up and down, absolute plotter units, arcs by centre.

Source:
    "The HP-GL/2 and HP RTL Reference Guide", Addison-Wesley 1996, ISBN 0-201-63325-6: AA takes
    the centre, a sweep in degrees (positive counter-clockwise), and an optional chord angle; the
    radius is the distance from the pen to the centre.
"""

from __future__ import annotations

import cmath
import math

from adapters.readers.strokes import ReadSegment, ReadStroke
from geometry.model.points import Point

READER = "HP-GL interpreter"
#: Ignored instructions.
_IGNORED = {"IN", ""}
#: Maximum deviation, mm, of the chords of an AA instruction from their arc; the smallest chord
#: angle that our files ask of a machine, degrees; the chord angle where none is stated.
_CHORD, _FINEST, _USUAL = 0.0052, 0.5, 5.0


def read(data: bytes, units_per_mm: float, *, arcs: bool = False) -> list[ReadStroke]:
    """Return the strokes of an HP-GL file, mm, y up.

    Args:
        data: the file.
        units_per_mm: plotter units per millimetre.
        arcs: whether AA is supported; callers that use only the ends of moves must switch it off.

    Raises:
        ValueError: for an instruction that is not part of the common core.
    """
    plotter = _Plotter(units_per_mm)
    for instruction in "".join(data.decode("ascii").splitlines()).split(";"):
        word, rest = instruction[:2], instruction[2:]
        if word in _IGNORED:
            continue
        if word == "AA" and not arcs:
            raise ValueError("unexpected instruction AA")
        plotter.carry_out(word, rest.split(",") if rest else [])
    plotter.lift()
    return plotter.strokes


class _Plotter:
    def __init__(self, units_per_mm: float) -> None:
        self.strokes: list[ReadStroke] = []
        self._scale, self._pen = units_per_mm, 0
        self._speed: float | None = None
        self._at = self._start = Point(0.0, 0.0)
        self._moves: list[ReadSegment] = []

    def carry_out(self, word: str, values: list[str]) -> None:
        """Execute one instruction.

        Raises:
            ValueError: for an instruction that our files never hold.
        """
        if word == "AA":
            self._arc(values)
            return
        if word == "VS":
            self._speed = float(values[0])
            return
        numbers = [int(value) for value in values]
        if word == "SP":
            # A speed belongs to the pen that is selected.
            self._pen, self._speed = numbers[0], None
        elif word == "PD":
            for point in self._points(numbers):
                self._line(point)
        elif word == "PU":
            self.lift()
            points = self._points(numbers)
            self._at = self._start = points[-1] if points else self._at
        else:
            raise ValueError(f"unexpected instruction {word}")

    def _points(self, numbers: list[int]) -> list[Point]:
        pairs = zip(numbers[::2], numbers[1::2], strict=True)
        return [Point(x / self._scale, y / self._scale) for x, y in pairs]

    def _line(self, end: Point) -> None:
        middle = Point((self._at.x + end.x) / 2.0, (self._at.y + end.y) / 2.0)
        self._moves.append(ReadSegment(middle, end))
        self._at = end

    def _arc(self, values: list[str]) -> None:
        (centre,) = self._points([int(value) for value in values[:2]])
        middle = complex(centre.x, centre.y)
        arm = complex(self._at.x, self._at.y) - middle
        sweep = math.radians(float(values[2]))
        chord = float(values[3]) if len(values) > 3 else _USUAL  # noqa: PLR2004 - its fourth
        off = abs(arm) * (1.0 - math.cos(math.radians(chord) / 2.0))
        if chord > _FINEST and off > _CHORD:
            raise ValueError(f"an arc is drawn by chords of {chord:g} degrees, {off:.4f} mm off")
        half, end = (middle + arm * cmath.rect(1.0, sweep * share) for share in (0.5, 1.0))
        self._at = Point(end.real, end.imag)
        self._moves.append(ReadSegment(Point(half.real, half.imag), self._at))

    def lift(self) -> None:
        """End the current stroke."""
        if self._moves:
            closed = self._moves[-1].end == self._start
            work = () if self._speed is None else (("speed_cm_s", self._speed),)
            self.strokes.append(
                ReadStroke(self._start, tuple(self._moves), closed, str(self._pen), work)
            )
        self._moves, self._start = [], self._at
