"""The one legend of fabrics: a swatch of each, and its words, beside a quilt or a block."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.model.points import Point
from geometry.model.segments import Bounds
from service.documents.pictures.colours import Tint
from service.documents.pictures.letters import width_of
from service.documents.pictures.looks import FABRIC, Look, hatch_look
from service.documents.sketch import Hatching, Shape, Words

#: Letters of a legend, and distance between the lines of hatchings, mm on paper.
LETTER: Final = 3.2
APART: Final = 1.4
#: Shares of a legend's letters: the height of a row, from swatch to text, and free beside it.
_SPACING, _BESIDE, _FREE = 1.9, 1.7, 2.0


@dataclass(frozen=True)
class LegendRow:
    """A line of the legend; the first one of a fabric has its swatch."""

    text: str
    fabric: str = ""


@dataclass(frozen=True)
class FabricLegend:
    """A legend whose upper left corner stands at a point, with letters of a height there."""

    rows: Sequence[LegendRow]
    at: Point
    letter: float

    @property
    def bottom(self) -> float:
        """Return where it ends, y up."""
        return self.at.y - _SPACING * self.letter * len(self.rows)

    @property
    def swatches(self) -> dict[str, Outline]:
        """Return the square of each fabric."""
        return {row.fabric: self._square(at) for at, row in enumerate(self.rows) if row.fabric}

    def _square(self, at: int) -> Outline:
        left, top = self.at.x + self.letter, self.at.y - _SPACING * self.letter * at
        box = Bounds(left, top - self.letter, left + self.letter, top)
        return WorkArea.rectangle(box.left, box.bottom, box.width, box.height).boundary

    def shapes(self, tints: Mapping[str, Tint]) -> Iterator[Shape]:
        """Yield the swatches in their colours."""
        for fabric, outline in self.swatches.items():
            yield Shape((outline,), fabric_look(tints[fabric]))

    def words(self) -> Iterator[Words]:
        """Yield the texts of the rows."""
        for at, row in enumerate(self.rows):
            box = self._square(at).bounds
            middle = Point(box.left + _BESIDE * self.letter, (box.bottom + box.top) / 2.0)
            yield Words(row.text, middle, self.letter, begins=True)


def legend_width(rows: Iterable[LegendRow]) -> float:
    """Return the width of a legend, mm on paper."""
    return (max(width_of(row.text) for row in rows) + _BESIDE + _FREE) * LETTER


def fabric_look(tint: Tint) -> Look:
    """Return how a piece of a fabric looks."""
    return replace(FABRIC, fill=tint.fill)


def fabric_hatchings(
    outlines: Mapping[str, Sequence[Outline]],
    tints: Mapping[str, Tint],
    scale: float,
    *,
    trimmed: bool = False,
) -> Iterator[Hatching]:
    """Yield the hatching of fabrics that print alike in grey, over the outlines of each."""
    for fabric, tint in tints.items():
        if tint.hatching_deg is not None and outlines.get(fabric):
            yield Hatching(
                tuple(outlines[fabric]),
                tint.hatching_deg,
                APART / scale,
                hatch_look(tint.fill),
                is_trimmed=trimmed,
            )
