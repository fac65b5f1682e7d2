"""Short sections of a sheet in two columns, in which no line stands without its heading."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import chain

from reportlab.platypus import Flowable, KeepTogether

from service.documents.measured_table import MeasuredTable
from service.documents.plain import paragraph
from service.documents.typesetting import PLAIN, SUBHEAD
from service.texts import gettext as _

#: Heights, points, that every paper has room for between its margins; air between the columns.
_PAGE, _APART = 600.0, 16.0
#: A list goes on in the second column where this share of the height is saved by that.
_SAVED = 0.06


@dataclass(frozen=True)
class ColumnSection:
    """A heading, which may be missing, and what stands below it."""

    title: str
    lines: tuple[Flowable, ...]

    @property
    def head(self) -> list[Flowable]:
        """Return the heading, if there is one."""
        return [paragraph(self.title, SUBHEAD)] if self.title else []

    @property
    def flowables(self) -> list[Flowable]:
        """Return the heading and what stands below it."""
        return [*self.head, *self.lines]


class _Heights:
    """Heights of columns of a width, points; every line is measured once.

    A part of a section is as high as its lines.
    """

    def __init__(self, width: float) -> None:
        self._width = width
        self._known: dict[int, float] = {}
        self._heads: dict[str, float] = {}

    def of(self, column: Sequence[ColumnSection]) -> float:
        """Return the height of sections below each other."""
        return sum(chain.from_iterable(map(self._parts, column)))

    def _parts(self, section: ColumnSection) -> Iterator[float]:
        """Yield the heights of a section's heading and lines."""
        if section.title:
            if section.title not in self._heads:
                self._heads[section.title] = self._height(*section.head)
            yield self._heads[section.title]
        for line in section.lines:
            # The sections keep their lines, so that an id stays that of one line.
            if id(line) not in self._known:
                self._known[id(line)] = self._height(line)
            yield self._known[id(line)]

    def _height(self, each: Flowable) -> float:
        return float(each.wrap(self._width, 1e6)[1] + each.getSpaceBefore())


def in_columns(sections: Sequence[ColumnSection], width: float) -> Flowable:
    """Return sections in two columns of about the same height.

    A column begins with a section; with the rest of a list, below its heading again, only where
    that makes the columns much lower.
    """
    sections = [each for each in sections if each.lines]
    half = (width - _APART) / 2.0
    whole = [(list(sections[:at]), list(sections[at:])) for at in range(1, len(sections) + 1)]
    torn = [
        (
            [*sections[:at], ColumnSection(each.title, each.lines[:line])],
            [_continued(each, line), *sections[at + 1 :]],
        )
        for at, each in enumerate(sections)
        for line in range(1, len(each.lines))
    ]
    heights = _Heights(half)

    def high(columns: tuple[list[ColumnSection], list[ColumnSection]]) -> float:
        return max(heights.of(column) for column in columns)

    best = min(whole, key=high)
    if torn:
        lower = min(torn, key=high)
        if high(lower) < (1.0 - _SAVED) * high(best):
            best = lower
    cells = [[_flowables(best[0]), "", _flowables(best[1])]]
    return MeasuredTable(cells, colWidths=[half, _APART, half], style=PLAIN, splitInRow=1)


def kept_with(head: Sequence[Flowable], columns: Flowable, width: float) -> list[Flowable]:
    """Return columns below what belongs to them, on the same page if one holds them."""
    parts = [*head, columns]
    tall = sum(float(each.wrap(width, 1e6)[1] + each.getSpaceBefore()) for each in parts)
    return [KeepTogether(parts)] if tall < _PAGE else parts


def _continued(section: ColumnSection, line: int) -> ColumnSection:
    title = _("{title} (continued)", title=section.title) if section.title else ""
    return ColumnSection(title, section.lines[line:])


def _flowables(column: Sequence[ColumnSection]) -> list[Flowable]:
    return list(chain.from_iterable(each.flowables for each in column))
