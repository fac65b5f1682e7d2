"""The run sheet as one HTML page, from the same model as the PDF, with drawings."""

from __future__ import annotations

from functools import cache

from jinja2 import Template

from service.documents import wording
from service.documents.jinja import template
from service.documents.model import RunSheet, SheetLoad, SheetPiece, SheetRun
from service.documents.picture_key import picture_key
from service.documents.pictures.looks import INK
from service.documents.pictures.strips import strips_picture
from service.documents.sketch import sketch_svg
from service.documents.sketches import LoadSketch, dial_sketch, load_sketch, piece_sketch

#: Room of the drawings of a load and of a piece, mm.
_LOAD, _PIECE = (100.0, 90.0), (40.0, 40.0)


def run_sheet_html(sheet: RunSheet) -> str:
    """Return the sheet as a self-contained page."""
    return _template().render(sheet=sheet)


@cache
def _template() -> Template:
    return template(
        "run-sheet.html",
        ink=INK,
        words=wording,
        drawn_load=_drawn_load,
        svg=sketch_svg,
        picture_key=picture_key,
        draw_piece=_draw_piece,
        draw_dial=_draw_dial,
        draw_strips=strips_picture,
    )


def _drawn_load(run: SheetRun, load: SheetLoad) -> LoadSketch:
    return load_sketch(load, wording.load_heading(run, load), _LOAD)


def _draw_piece(piece: SheetPiece) -> str:
    return sketch_svg(piece_sketch(piece, _PIECE))


def _draw_dial(angle_deg: float) -> str:
    return sketch_svg(dial_sketch(angle_deg))
