"""A controller's state, line by line, and the moves of its tool in the plane."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from geometry.model.outline import Vertex
from geometry.model.points import Point, distance
from service.drawings.drawing import MAX_SEGMENTS, UNITS_MM, DrawingError, other_units

_WORD = re.compile(r"([A-Z])([-+]?(?:[0-9]+\.?[0-9]*|\.[0-9]+))")
_COMMENT = re.compile(r"\(([^()]*)\)")
_EXPONENT = re.compile(r"[0-9.][eE][-+]?[0-9]")
_UNIT_MM = {20.0: 25.4, 21.0: 1.0}
#: Codes that change nothing in the plane.
_HARMLESS = {4.0, 17.0, 40.0, 43.0, 49.0, 50.0, 54.0, 61.0, 64.0, 69.0, 80.0, 91.1, 93.0, 94.0}
_HARMLESS |= {95.0, 96.0, 97.0, 98.0, 99.0, 61.1, 43.1}
_MOTIONS = {0.0, 1.0, 2.0, 3.0}
#: Ends of an arc may differ in radius by this, mm, or by this share; never by more than the last.
_RADIUS, _RADIUS_SHARE, _MAX_RADIUS = 0.005, 0.001, 0.5
#: A radius may be shorter than half a chord by this, mm, for rounding.
_SHORT = 0.005


@dataclass(frozen=True)
class Move:
    """A move in the plane: its vertices in mm, height, and whether it is a cutting move."""

    vertices: tuple[Vertex, ...]
    z: float
    is_on: bool
    group: str
    name: str


class Machine:
    """The state of a controller; what it moves is kept for a second look."""

    def __init__(self, units: str | None) -> None:
        self.moves: list[Move | None] = []
        self.notes: list[str] = []
        self.is_over = False
        self.has_power = False
        self._stated = units
        self._unit: float | None = None
        self._at, self._z = Point(0.0, 0.0), 0.0
        self._motion: float | None = None
        self._is_relative = self._has_absolute_centres = False
        self._is_on, self._power = False, 1.0
        self._group = self._name = ""
        self._count = 0

    def line(self, text: str) -> None:
        """Execute a line.

        Raises:
            DrawingError: when it cannot be read or is not supported.
        """
        text = text.strip()
        if text.startswith(("%", "/")):
            # Lines of a tape's ends, and lines that an operator may delete, are not executed.
            return
        text, _, remark = text.partition(";")
        for comment in (*_COMMENT.findall(text), remark):
            self._name = comment.strip()[:40] or self._name
        text = _COMMENT.sub("", text)
        if _EXPONENT.search(text):
            raise DrawingError("A number has an exponent, which G-code does not have.")
        block = re.sub(r"\s+", "", text).upper()
        if not block:
            return
        if block[0] in "O#" or any(sign in block for sign in "#[]="):
            raise DrawingError("Variables, expressions and subprograms are not supported.")
        words = _WORD.findall(block)
        if "".join(letter + value for letter, value in words) != block:
            raise DrawingError(f"{text.strip()[:40]!r} cannot be read.")
        self._block([(letter, float(value)) for letter, value in words])

    def _block(self, words: list[tuple[str, float]]) -> None:
        values = dict(words)
        for letter, value in words:
            if letter == "G":
                self._general(value)
            elif letter == "M":
                self._switch(value)
            elif letter == "T":
                self._group = f"tool {value:g}"
            elif letter == "S":
                self._power = value
        codes = [value for letter, value in words if letter == "G"]
        if 92.0 in codes:  # noqa: PLR2004 - the position gets other numbers
            self._at, self._z = self._end(values, relative=False)
        elif {28.0, 30.0} & set(codes):
            self._break()
        elif 4.0 in codes:  # noqa: PLR2004 - a dwell, whose words are no places
            return
        elif any(letter in values for letter in "XYZ") or (
            self._motion in {2.0, 3.0} and any(letter in values for letter in "IJ")
        ):
            self._move(values)

    def _general(self, code: float) -> None:
        if code in _MOTIONS:
            self._motion = code
        elif code in _UNIT_MM:
            self._unit = _UNIT_MM[code]
            note = other_units(self._stated, self._unit)
            self.notes.extend(text for text in note if text not in self.notes)
        elif code in {90.0, 91.0}:
            self._is_relative = code == 91.0  # noqa: PLR2004 - incremental
        elif code == 90.1 or code == 91.1:  # noqa: PLR1714, PLR2004 - centres
            self._has_absolute_centres = code == 90.1  # noqa: PLR2004 - as above
        elif code not in _HARMLESS | {28.0, 30.0, 92.0}:
            raise DrawingError(f"G{code:g} is not supported.")

    def _switch(self, code: float) -> None:
        if code in {3.0, 4.0}:
            self._is_on = self.has_power = True
        elif code == 5.0:  # noqa: PLR2004 - off
            self._is_on = False
        elif code in {2.0, 30.0}:
            self.is_over = True
        elif code in {97.0, 98.0, 99.0}:
            raise DrawingError(f"M{code:g} calls a subprogram, which is not supported.")

    def _scale(self) -> float:
        """Return mm per unit."""
        if self._unit is not None:
            return self._unit
        if self._stated is None:
            raise DrawingError('The program states no unit (G20 or G21): state "units".')
        return UNITS_MM[self._stated]

    def _end(self, values: dict[str, float], *, relative: bool) -> tuple[Point, float]:
        scale = self._scale()

        def along(letter: str, now: float) -> float:
            value = values.get(letter)
            if value is None:
                return now
            return now + value * scale if relative else value * scale

        end = Point(along("X", self._at.x), along("Y", self._at.y)), along("Z", self._z)
        if not all(math.isfinite(value) for value in (*end[0], end[1])):
            raise DrawingError("A coordinate is not a finite number.")
        return end

    def _move(self, values: dict[str, float]) -> None:
        end, z = self._end(values, relative=self._is_relative)
        if self._motion is None:
            raise DrawingError("The program moves before it says how (G0 to G3).")
        start, start_z = self._at, self._z
        self._at, self._z = end, z
        if self._motion == 0.0:
            self._break()
            return
        is_arc = self._motion > 1.0
        if not is_arc and start == end:
            return
        vertices = self._arc(start, end, values) if is_arc else (Vertex(*start), Vertex(*end))
        self._count += len(vertices)
        if self._count > 4 * MAX_SEGMENTS:
            raise DrawingError(f"A program has at most {2 * MAX_SEGMENTS} moves.")
        is_on = self._is_on and self._power > 0.0
        self.moves.append(Move(vertices, max(z, start_z), is_on, self._group, self._name))

    def _break(self) -> None:
        """Note that the tool travels, which ends a stroke."""
        if self.moves and self.moves[-1] is not None:
            self.moves.append(None)

    def _arc(self, start: Point, end: Point, values: dict[str, float]) -> tuple[Vertex, ...]:
        """Return an arc of at most two parts; more than half a turn is halved."""
        scale = self._scale()
        hand = 1.0 if self._motion == 3.0 else -1.0  # noqa: PLR2004 - counter-clockwise
        if values.get("P", 1.0) > 1.0:
            raise DrawingError("An arc of several turns is not supported.")
        if "R" in values:
            centre = _centre_of_radius(start, end, values["R"] * scale, hand)
        else:
            if not ("I" in values or "J" in values):
                raise DrawingError("An arc needs I and J, or R.")
            base = (0.0, 0.0) if self._has_absolute_centres else start
            centre = Point(
                base[0] + values.get("I", 0.0) * scale, base[1] + values.get("J", 0.0) * scale
            )
        radius, other = distance(start, centre), distance(end, centre)
        off = abs(radius - other)
        if radius == 0.0 or off > min(max(_RADIUS, _RADIUS_SHARE * radius), _MAX_RADIUS):
            raise DrawingError(
                f"The ends of an arc are {radius:.4f} and {other:.4f} mm from its centre."
            )
        first = math.atan2(start.y - centre.y, start.x - centre.x)
        last = math.atan2(end.y - centre.y, end.x - centre.x)
        sweep = (hand * (last - first)) % math.tau
        sweep = hand * (math.tau if sweep < 1e-9 or start == end else sweep)  # noqa: PLR2004 - rounding
        if abs(sweep) <= math.pi:
            return (Vertex(start.x, start.y, math.tan(sweep / 4.0)), Vertex(*end))
        middle, bulge = first + sweep / 2.0, math.tan(sweep / 8.0)
        x, y = centre.x + radius * math.cos(middle), centre.y + radius * math.sin(middle)
        return (Vertex(start.x, start.y, bulge), Vertex(x, y, bulge), Vertex(*end))


def _centre_of_radius(start: Point, end: Point, radius: float, hand: float) -> Point:
    """Return the centre of an arc of a radius, which is below zero for more than half a turn."""
    half = distance(start, end) / 2.0
    if half == 0.0:
        raise DrawingError("An arc by its radius needs another end than its start.")
    if half > abs(radius) + _SHORT:
        raise DrawingError(f"An arc's radius of {abs(radius):.4f} mm does not reach its end.")
    height = math.sqrt(max(0.0, radius * radius - half * half))
    side = hand * math.copysign(1.0, radius) * height / (2.0 * half)
    dx, dy = end.x - start.x, end.y - start.y
    return Point((start.x + end.x) / 2.0 - dy * side, (start.y + end.y) / 2.0 + dx * side)
