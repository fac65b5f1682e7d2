"""Cloth with a printed repeat: where its motifs lie."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

from geometry.model.segments import Bounds


class Motif(NamedTuple):
    """One motif on the bed: its middle, its turn, and its place among the others.

    Units:
        mm, degrees counter-clockwise. ``column`` and ``row`` count repeats, ``number`` the motifs
        within one.
    """

    x: float
    y: float
    turn_deg: float
    column: int
    row: int
    number: int


@dataclass(frozen=True, slots=True)
class MotifPosition:
    """A motif within the repeat, from its lower left corner, and how it is turned there."""

    x: float
    y: float
    turn_deg: float = 0.0


@dataclass(frozen=True)
class Repeat:
    """The repeat of a print: its size, its motifs, and how far each next column is moved up."""

    width: float
    height: float
    drop: float
    positions: tuple[MotifPosition, ...]

    def place(self, column: int, row: int, number: int) -> tuple[float, float]:
        """Return where a motif lies on cloth as it was printed, mm."""
        each = self.positions[number]
        return column * self.width + each.x, row * self.height + column * self.drop + each.y


@dataclass(frozen=True, slots=True)
class Affine:
    """A map of the plane: x' = xx x + xy y + x0, y' = yx x + yy y + y0."""

    xx: float
    xy: float
    x0: float
    yx: float
    yy: float
    y0: float

    @classmethod
    def turned(cls, turn_deg: float, x: float, y: float) -> Affine:
        """Return a turn about 0, 0 that is followed by a move."""
        cos, sin = math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))
        if turn_deg % 90.0 == 0.0:
            cos, sin = float(round(cos)), float(round(sin))
        return cls(cos, -sin, x, sin, cos, y)

    @property
    def determinant(self) -> float:
        """Return by how much areas grow; negative where the plane is turned over."""
        return self.xx * self.yy - self.xy * self.yx

    @property
    def turn_deg(self) -> float:
        """Return the turn nearest to the map: that of its polar decomposition, degrees."""
        return math.degrees(math.atan2(self.yx - self.xy, self.xx + self.yy))

    def __call__(self, x: float, y: float) -> tuple[float, float]:
        """Return the image of a point."""
        return self.xx * x + self.xy * y + self.x0, self.yx * x + self.yy * y + self.y0

    def back(self, x: float, y: float) -> tuple[float, float]:
        """Return the point whose image this is."""
        dx, dy, size = x - self.x0, y - self.y0, self.determinant
        return (self.yy * dx - self.xy * dy) / size, (self.xx * dy - self.yx * dx) / size


@dataclass(frozen=True)
class PrintedCloth:
    """A repeat and how the cloth lies on the bed.

    ``base_deg`` is the turn of the cloth's own axes on such a bed, before it lies any more askew.
    """

    repeat: Repeat
    lies: Affine
    base_deg: float = 0.0

    def at(self, column: int, row: int, number: int) -> Motif:
        """Return one motif on the bed."""
        x, y = self.lies(*self.repeat.place(column, row, number))
        turn = self.lies.turn_deg + self.repeat.positions[number].turn_deg
        return Motif(x, y, round(turn, 9) % 360.0, column, row, number)

    def motifs(self, box: Bounds) -> Iterator[Motif]:
        """Yield the motifs whose middles lie in a box, column by column."""
        corners = [
            self.lies.back(x, y) for x in (box.left, box.right) for y in (box.bottom, box.top)
        ]
        repeat = self.repeat
        left, right = min(c[0] for c in corners), max(c[0] for c in corners)
        low, high = min(c[1] for c in corners), max(c[1] for c in corners)
        for column in range(
            math.floor(left / repeat.width) - 1, math.floor(right / repeat.width) + 1
        ):
            up = column * repeat.drop
            for row in range(
                math.floor((low - up) / repeat.height) - 1,
                math.floor((high - up) / repeat.height) + 1,
            ):
                for number in range(len(repeat.positions)):
                    found = self.at(column, row, number)
                    if box.left <= found.x <= box.right and box.bottom <= found.y <= box.top:
                        yield found

    def motifs_in(self, box: Bounds) -> float:
        """Return about how many motifs lie in a box."""
        area = self.repeat.width * self.repeat.height * abs(self.lies.determinant)
        return box.width * box.height / area * len(self.repeat.positions)
