"""The key of a sheet's pictures: a sample of each line and tint that they have, and what it is."""

from __future__ import annotations

from collections.abc import Iterator

from geometry.model.segments import Bounds
from service.documents.model import RunSheet, SheetKind, SheetLoad, SheetPiece
from service.documents.pictures.samples import HIGH, WIDE, Shown, legend
from service.documents.sketch import Sketch


def picture_key(sheet: RunSheet) -> tuple[tuple[Sketch, str], ...]:
    """Return sample and words for whatever the pictures of the sheet's loads and pieces show."""
    shown = {each for run in sheet.runs for load in run.loads for each in shown_of_load(load)}
    shown |= {each for piece in sheet.pieces for each in _of_piece(piece)}
    box = Bounds(0.0, 0.0, WIDE, HIGH)
    return tuple(
        (Sketch(box, 1.0, each.words, ground=each.shapes), each.words) for each in legend(shown)
    )


def shown_of_load(load: SheetLoad) -> Iterator[Shown]:
    """Yield what the picture of a load shows."""
    ground = load.ground
    yield from (Shown.BED, Shown.AREA)
    if ground.sheet is not None:
        yield Shown.SHEET
    if ground.marks_corner:
        yield Shown.CORNER
    if ground.area.keep_outs or ground.bed.keep_outs:
        yield Shown.KEEP_OUT
    for kind in load.kinds:
        yield from _of_kind(kind)
    if any(rest.is_drawn for rest in load.rests):
        yield Shown.REST
    if ground.motifs:
        yield Shown.MOTIF
    if load.line_up:
        yield Shown.LINE_UP
    if load.nicks:
        yield Shown.NICK
    if load.bridges:
        yield Shown.BRIDGE
    if load.pauses:
        yield Shown.PAUSE
    if load.pages:
        yield Shown.PAGE


def _of_kind(kind: SheetKind) -> Iterator[Shown]:
    yield Shown.TEMPLATE if kind.cut == "template" else Shown.PATCH
    if kind.template is not None:
        yield Shown.SEAM
    if kind.marks:
        yield Shown.MARK
    if kind.arrow:
        yield Shown.ONE_WAY if kind.is_one_way else Shown.GRAIN


def _of_piece(piece: SheetPiece) -> Iterator[Shown]:
    if piece.shows_patch:
        yield from (Shown.PATCH, Shown.SEAM)
    else:
        yield Shown.TEMPLATE
