"""Labels for the bags of a kit in several copies: one per bag, or more where much is in it."""

from __future__ import annotations

from dataclasses import dataclass

from service.documents.label_sheet import Box, Grid, LabelDrawing, box_of, grid_of, label_sheet_pdf
from service.documents.label_text import LabelText, lines_of, spread
from service.documents.model import BagItem, RunSheet
from service.documents.type_face import BOLD, REGULAR
from service.texts import gettext as _

_MAX_ROWS, _MIN_ROWS = 5, 2
_COPY, _TITLE, _COUNT, _SMALL = 17.0, 12.0, 11.0, 10.5


@dataclass(frozen=True)
class BagLabel:
    """The text of one bag's label."""

    copy: str
    title: str
    items: tuple[BagItem, ...]
    ticket: str

    @property
    def words(self) -> tuple[LabelText, ...]:
        """Return what follows the copy's number, in order."""
        return (
            LabelText(self.title, BOLD, _TITLE),
            *(
                each
                for item in self.items
                for each in (
                    LabelText(item.count, BOLD, _COUNT),
                    LabelText(item.about, REGULAR, _SMALL),
                )
            ),
            LabelText(self.ticket, REGULAR, _SMALL),
        )


def bag_labels_of(sheet: RunSheet) -> tuple[BagLabel, ...]:
    """Return the labels of all bags."""
    return tuple(
        BagLabel(
            _("Copy {number} of {copies}", number=number, copies=sheet.copies),
            sheet.title,
            sheet.bag,
            sheet.ticket,
        )
        for number in range(1, sheet.copies + 1)
    )


def bag_labels_pdf(sheet: RunSheet) -> bytes:
    """Return the labels as a PDF; the same sheet gives the same bytes."""
    grid, box = _roomy(sheet)
    printed: list[LabelDrawing] = []
    for label in bag_labels_of(sheet):
        head = LabelText(label.copy, BOLD, _COPY)
        parts = spread(head, label.words, box.room, grid.smallest)
        printed.extend(LabelDrawing(tuple(lines), None) for lines in parts)
    return label_sheet_pdf(sheet, grid, box, printed)


def _roomy(sheet: RunSheet) -> tuple[Grid, Box]:
    """Return a page with as many labels as hold a bag's contents in letters of full size.

    A stated sheet is taken as it is.
    """
    last = bag_labels_of(sheet)[-1]
    rows = _MAX_ROWS
    while True:
        grid = grid_of(sheet, rows)
        box = box_of(sheet, grid, picture=False)
        lines = lines_of([LabelText(last.copy, BOLD, _COPY), *last.words], box.room[0])
        fits = sum(line.height for line in lines) <= box.room[1]
        if fits or rows == _MIN_ROWS or not grid.cut_lines:
            return grid, box
        rows -= 1
