"""Tables for the PDF that measure their cells once, and whose cells share one style.

reportlab measures every cell again each time a page asks for a table's height, and gives each cell
a style of its own. Our columns have fixed widths, and our styles are the same for all cells.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Any

from reportlab.platypus import Table, TableStyle
from reportlab.platypus.tables import CellStyle

_ALL = ((0, 0), (-1, -1))
#: What is said of cells, not of lines, backgrounds and rows.
_OF_CELLS = frozenset(
    {"VALIGN", "FONTNAME", "LEFTPADDING", "RIGHTPADDING", "TOPPADDING", "BOTTOMPADDING"}
)
#: Maximum styles whose cells' style is kept.
_KEPT = 64


class MeasuredTable(Table):  # type: ignore[misc]
    """A table of columns of fixed widths.

    A style states paddings, font and place of text for all cells alike.
    """

    #: The width for which all rows are measured.
    _measured_width: float | None = None

    def __init__(
        self,
        data: Sequence[Sequence[Any]],
        style: TableStyle | None = None,
        cellStyles: list[list[CellStyle]] | None = None,  # noqa: N803 - the library's name
        **named: Any,  # noqa: ANN401 - likewise
    ) -> None:
        # Parts of a table that is split bring the styles of their cells along.
        cells = cellStyles
        if style is not None:
            cell, style = _shared(style)
            cells = [[cell] * len(row) for row in data]
        super().__init__(data, style=style, cellStyles=cells, **named)

    def _calc(self, availWidth: float, availHeight: float) -> None:  # noqa: N803 - its names
        """Find the heights of rows and the places of cells."""
        # Of a table that is too high, the library leaves the last rows unmeasured.
        if self._measured_width == availWidth and self._height <= availHeight:
            return
        super()._calc(availWidth, availHeight)
        self._measured_width = availWidth if self._hmax == self._nrows else None


@lru_cache(maxsize=_KEPT)
def _shared(style: TableStyle) -> tuple[CellStyle, TableStyle]:
    """Return the style of all cells, which nobody changes, and what else a style says."""
    commands = style.getCommands()
    of_cells = [each for each in commands if each[0] in _OF_CELLS]
    if any(each[1:3] != _ALL for each in of_cells):
        raise ValueError("a style of single cells")
    one = Table([[""]], style=TableStyle(of_cells))
    return one._cellStyles[0][0], TableStyle([each for each in commands if each not in of_cells])  # noqa: SLF001
