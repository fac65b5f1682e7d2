"""The pieces of a run sheet as a PDF: what they look like, their sizes, and how many of them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from reportlab.platypus import Flowable, KeepTogether, Spacer

from service.documents.measured_table import MeasuredTable
from service.documents.model import SheetPiece, SheetRun
from service.documents.plain import headed, paragraph
from service.documents.sketch_pdf import MM, SketchDrawing
from service.documents.sketches import piece_sketch
from service.documents.typesetting import BODY, BOLD_BODY, HEAD, PLAIN, SUBHEAD, listed, ruled
from service.documents.wording import piece_heading
from service.texts import gettext as _

#: Largest drawing of a piece, its column, and that of a number, points.
_PIECE, _DRAWING, _NUMBER = (62.0, 50.0), 72.0, 52.0
#: Maximum rows that are kept together.
_FEW = 12


def pieces_drawn(pieces: Sequence[SheetPiece], width: float) -> Iterator[Flowable]:
    """Yield all pieces, two to a row: drawing, name and sizes of each."""
    for index in range(0, len(pieces), 2):
        # Keep the heading on the same page as the first pieces.
        head = [paragraph(_("Pieces"), HEAD)] if index == 0 else []
        yield KeepTogether([*head, _row(pieces[index : index + 2], width / 2)])


def _row(pieces: Sequence[SheetPiece], half: float) -> Flowable:
    cells: list[Flowable | list[Flowable] | str] = []
    for piece in pieces:
        lines: list[Flowable] = [paragraph(piece_heading(piece), BOLD_BODY)]
        lines.extend(headed(label, text, BODY, BOLD_BODY) for label, text in piece.sizes)
        room = (_PIECE[0] / MM, _PIECE[1] / MM)
        cells += [SketchDrawing(piece_sketch(piece, room)), lines]
    cells += [""] * (4 - len(cells))
    return MeasuredTable([cells], colWidths=[_DRAWING, half - _DRAWING] * 2, style=PLAIN)


def totals(run: SheetRun, width: float) -> Iterator[Flowable]:
    """Yield what a run has to make and how it is sorted, beside each other where both are short."""
    half = width / 2 - 8
    words = (run.title, _("Needed"), _("Made"), _("Spare"))
    rows = [[paragraph(word, BODY) for word in words]]
    rows.extend([paragraph(str(cell), BOLD_BODY) for cell in total] for total in run.totals)
    columns = [half - 3 * _NUMBER, *[_NUMBER] * 3]
    table = MeasuredTable(
        rows, colWidths=columns, style=ruled(len(rows)), repeatRows=1, hAlign="LEFT"
    )
    sorting = list(listed(_("Sort"), run.sorting, SUBHEAD))
    if len(rows) + len(run.sorting) > _FEW:
        yield from (Spacer(1, 6), table, *sorting)
    else:
        row = [[[Spacer(1, 4), table], "", sorting]]
        yield KeepTogether([MeasuredTable(row, colWidths=[half, 16, half], style=PLAIN)])
