"""The key of a sheet's pictures: a sample of each line and tint that they have, and what it is."""

from __future__ import annotations

from collections.abc import Iterator

from geometry.model.cutter import WorkArea
from geometry.model.outline import Chain
from geometry.model.segments import Bounds
from service.documents.model import RunSheet, SheetLoad
from service.documents.pictures import looks
from service.documents.pictures.looks import Look
from service.documents.sketch import Shape, Sketch
from service.texts import gettext as _

#: Size of a sample, mm.
_WIDE, _HIGH = 7.0, 3.2


def picture_key(sheet: RunSheet) -> tuple[tuple[Sketch, str], ...]:
    """Return sample and words for whatever the pictures of the sheet's loads show."""
    loads = [load for run in sheet.runs for load in run.loads]
    return tuple((_sample(look, words), words) for look, words in _entries(loads))


def _entries(loads: list[SheetLoad]) -> Iterator[tuple[Look, str]]:
    grounds = [load.ground for load in loads]
    kinds = [kind for load in loads for kind in load.kinds]
    yield looks.BED, _("what the material lies on")
    if any(each.sheet is not None for each in grounds):
        yield looks.SHEET, _("your sheet of material")
    if any(each.marks_corner for each in grounds):
        yield looks.CORNER, _("lower left corner of the sheet")
    yield looks.AREA, _("pieces stay inside this line")
    if any(each.area.keep_outs or each.bed.keep_outs for each in grounds):
        yield looks.KEEP_OUT, _("keep clear")
    if any(kind.template is not None for kind in kinds):
        yield looks.SEAM, _("seam line, not cut")
    if any(kind.arrow for kind in kinds):
        yield looks.ARROW, _("grain; a single head: top")
    if any(load.rests for load in loads):
        yield looks.REST, _("left over, worth keeping")
    if any(each.motifs for each in grounds):
        yield looks.MOTIF, _("middle of a motif")
    if any(load.line_up for load in loads):
        yield looks.LINE_UP, _("short first cut, aligns the blade")


def _sample(look: Look, words: str) -> Sketch:
    box = Bounds(0.0, 0.0, _WIDE, _HIGH)
    line = Chain.of([(0.0, _HIGH / 2.0), (_WIDE, _HIGH / 2.0)])
    frame = WorkArea.rectangle(0.0, 0.0, _WIDE, _HIGH).boundary
    is_filled = look.fill is not None and look.fill != looks.AREA.fill
    return Sketch(box, 1.0, words, ground=(Shape((frame if is_filled else line,), look),))
