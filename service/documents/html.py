"""The run sheet as one HTML page, from the same model as the PDF, with drawings."""

from __future__ import annotations

from functools import cache

from jinja2 import Template

from service.documents.jinja import template
from service.documents.model import RunSheet, SheetPiece
from service.documents.sheet_drawings import INK, dial_drawing, load_drawing, piece_drawing
from service.documents.wording import (
    BY_HAND,
    bags_heading,
    check_side,
    check_text,
    counted,
    tally,
    ticket_line,
    times_text,
)


def run_sheet_html(sheet: RunSheet) -> str:
    """Return the sheet as a self-contained page."""
    return _template().render(sheet=sheet)


@cache
def _template() -> Template:
    return template(
        "run-sheet.html",
        ink=INK,
        check_side=check_side,
        by_hand_title=BY_HAND,
        check_text=check_text,
        counted=counted,
        tally=tally,
        times_text=times_text,
        ticket_line=ticket_line,
        bags_heading=bags_heading,
        name_of=_name_of,
        draw_load=load_drawing,
        draw_piece=piece_drawing,
        draw_dial=dial_drawing,
    )


def _name_of(piece: SheetPiece) -> str:
    return f"{piece.id}: {piece.shape}, {piece.asked}".rstrip(", ")
