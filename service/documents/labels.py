"""Labels for bags: one for each piece of each run."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.model.outline import Outline
from service.documents.label_sheet import LabelDrawing, box_of, grid_of, label_sheet_pdf
from service.documents.label_text import LabelText, spread
from service.documents.model import RunSheet
from service.documents.type_face import BOLD, REGULAR
from service.documents.wording import finished_size, pieces_text

_ROWS = 5
_NAME, _COUNT, _SMALL = 22.0, 15.0, 10.5


@dataclass(frozen=True)
class Label:
    """The text of one label: ``about`` the piece, and what it was ``cut_from``."""

    title: str
    piece: str
    count: str
    about: str
    cut_from: str
    ticket: str
    outline: Outline
    cut: str


def labels_of(sheet: RunSheet) -> tuple[Label, ...]:
    """Return the labels of a kit, run by run."""
    pieces = {piece.id: piece for piece in sheet.pieces}
    found = []
    for run in sheet.runs:
        patch = run.cut == "patch"
        for name, needed, spares in run.portions:
            piece = pieces[name]
            # A shape's size is that of its template: a patch is larger.
            size = finished_size(piece) if patch else piece.requested_size
            about = ", ".join(part for part in (piece.shape, size) if part)
            outline = piece.patch if patch else piece.template
            count = pieces_text(run.cut, needed, spares)
            # The run's title starts with its number and names its material.
            from_run = (run.title, sheet.ticket, outline, run.cut)
            found.append(Label(sheet.title, name, count, about, *from_run))
    return tuple(found)


def labels_pdf(sheet: RunSheet) -> bytes:
    """Return the labels as a PDF, ten per page of plain paper; the same sheet, the same bytes."""
    grid = grid_of(sheet, _ROWS)
    box = box_of(sheet, grid, picture=True)
    printed: list[LabelDrawing] = []
    for label in labels_of(sheet):
        words = (
            LabelText(label.count, BOLD, _COUNT),
            LabelText(label.about, REGULAR, _SMALL),
            LabelText(label.cut_from, REGULAR, _SMALL),
            LabelText(label.title, REGULAR, _SMALL),
            LabelText(label.ticket, REGULAR, _SMALL),
        )
        head = LabelText(label.piece, BOLD, _NAME)
        parts = spread(head, words, box.room, grid.smallest)
        printed.extend(LabelDrawing(tuple(lines), label.outline, label.cut) for lines in parts)
    return label_sheet_pdf(sheet, grid, box, printed)
