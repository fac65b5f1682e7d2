"""The run sheet as a PDF, with type large enough to read while standing at a bench.

Counts and angles are set in 15 point, everything else in 10.5 or more.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from reportlab.platypus import (
    Flowable,
    KeepTogether,
    PageBreak,
    Paragraph,
    Spacer,
    Table,
    TableStyle,
)

from service.documents.model import RunSheet, SheetLoad, SheetPiece, SheetRun, SheetStop
from service.documents.picture_key import picture_key
from service.documents.plain import headed, paragraph
from service.documents.sketch import Sketch
from service.documents.sketch_pdf import MM, CheckSquare, SketchDrawing
from service.documents.sketches import LoadSketch, dial_sketch, load_sketch, piece_sketch
from service.documents.strips_pdf import drawn_strips
from service.documents.tick_boxes import TickBox, TickBoxGroups
from service.documents.typesetting import (
    BIG,
    BODY,
    BOLD_BODY,
    HEAD,
    MARGIN,
    PAPERS,
    PLAIN,
    TITLE,
    Noted,
    facts_table,
    listed,
    ruled,
    typeset,
)
from service.documents.wording import (
    bags_heading,
    by_hand_heading,
    check_side,
    check_text,
    contents,
    counted,
    how_often,
    load_heading,
    note_lines,
    office_facts,
    picture_heading,
    piece_heading,
    tally,
    ticket_line,
    times_text,
    warning_lines,
)
from service.texts import gettext as _

#: Largest drawing of a load, points: two loads on square beds share a page. On a tall bed pieces
#: would be too small to be named.
_DRAWING, _TALL_DRAWING = 235.0, 360.0
_TALL = 0.6
#: Maximum counts, or files, of a load beside its drawing; more go below it.
_MAX_BESIDE = 7
#: Likewise of groups of five boxes.
_MAX_GROUPS_BESIDE = 10
#: Largest drawing of a piece, points.
_PIECE = (84.0, 66.0)
_PAGE_COLUMN = 60.0
Pages = Mapping[tuple[int, int], int]


def run_sheet_pdf(sheet: RunSheet) -> bytes:
    """Return the sheet as a PDF; the same sheet gives the same bytes."""
    pages: dict[tuple[int, int], int] = {}
    data = typeset(sheet, story(sheet, {}), pages)
    # The pages of loads are known once they are set; their numbers take no more room then.
    return typeset(sheet, story(sheet, pages), {}) if contents(sheet) else data


def story(sheet: RunSheet, pages: Pages | None = None) -> Iterator[Flowable]:
    """Yield the sheet's flowables from top to bottom; none is larger than a page.

    Args:
        sheet: what they say.
        pages: of loads, by the numbers of run and load from 0; for the table of contents.
    """
    width = PAPERS[sheet.paper][0] - 2 * MARGIN
    yield paragraph(sheet.title, TITLE)
    yield paragraph(ticket_line(sheet), BODY)
    # Before anything to be done: people work from the top.
    yield from listed(_("Cautions"), sheet.cautions)
    yield from listed(_("Warnings"), sheet.warnings)
    yield _check(sheet, width)
    if contents(sheet):
        yield from _contents(sheet, width, pages or {})
    for index, run in enumerate(sheet.runs):
        yield from _run(index, run, width)
    yield from listed(
        bags_heading(sheet), tuple(f"{item.count}: {item.about}" for item in sheet.bag)
    )
    for index in range(0, len(sheet.pieces), 2):
        # Keep the heading on the same page as the first pieces.
        head = [paragraph(_("Pieces"), HEAD)] if index == 0 else []
        yield KeepTogether([*head, _pieces(sheet.pieces[index : index + 2], width)])
    yield KeepTogether([paragraph(_("In all"), HEAD), _facts_in_pairs(sheet.totals, width)])
    # Nobody at the bench needs these: they have a page that can be taken off.
    yield PageBreak()
    yield paragraph(_("For the office"), HEAD)
    yield facts_table(office_facts(sheet), width)
    yield from listed("", sheet.office)


def _facts_in_pairs(facts: Sequence[tuple[str, str]], width: float) -> Flowable:
    """Return short labels and texts, two of them to a row."""
    cells = [[paragraph(label, BOLD_BODY), paragraph(text, BODY)] for label, text in facts]
    return _in_two_columns(cells, (80, width / 2 - 80))


def _check(sheet: RunSheet, width: float) -> Flowable:
    square = CheckSquare(check_side(sheet)[0])
    beside = square.wrap()[0] + 16
    words = [
        Paragraph(check_text(sheet), BODY),
        Spacer(1, 4),
        paragraph(picture_heading(), BOLD_BODY),
        _key(picture_key(sheet), width - beside),
    ]
    return Table([[square, words]], colWidths=[beside, width - beside], style=PLAIN)


def _key(entries: Sequence[tuple[Sketch, str]], width: float) -> Flowable:
    """Return the key of the pictures, two entries to a row."""
    cells = [[SketchDrawing(sample), paragraph(text, BODY)] for sample, text in entries]
    return _in_two_columns(cells, (28, width / 2 - 31))


def _contents(sheet: RunSheet, width: float, pages: Pages) -> Iterator[Flowable]:
    """Yield a table of all loads with their pages."""
    yield paragraph(_("Contents"), HEAD)
    rows = [[paragraph(each, BOLD_BODY) for each in (_("Load"), _("How often"), _("Page"))]]
    for index, run in enumerate(sheet.runs):
        for load in run.loads:
            page = str(pages.get((index, load.number), ""))
            cells = (load_heading(run, load), times_text(load.repeats), page)
            rows.append([paragraph(cell, BODY) for cell in cells])
    columns = [width - 2 * _PAGE_COLUMN - 30, _PAGE_COLUMN + 30, _PAGE_COLUMN]
    yield Table(rows, colWidths=columns, style=ruled(len(rows)), repeatRows=1)


def _run(index: int, run: SheetRun, width: float) -> Iterator[Flowable]:
    yield paragraph(run.title, HEAD)
    yield facts_table(run.facts, width)
    yield from listed(_("Warnings"), run.warnings)
    yield from listed(_("Prepare"), run.preparation)
    yield from listed(by_hand_heading(), run.by_hand)
    yield from drawn_strips(run.strips, width)
    yield _first_cut(run, width)
    for load in run.loads:
        yield _load(index, run, load, width)
    yield from _totals(run, width)
    yield from listed(_("Sort"), run.sorting)


def _first_cut(run: SheetRun, width: float) -> Flowable:
    """Return how to set the machine and cut a test, beside what to do if it is wrong."""
    half = width / 2 - 8
    steps: list[Flowable] = []
    if run.settings:
        steps.append(paragraph(_("Set the machine"), HEAD))
        steps.extend(headed(label, text, BODY, BOLD_BODY) for label, text in run.settings)
    steps.extend(listed(_("Test cut"), run.test))
    checks = list(listed(_("If the test cut is wrong"), run.remedies))
    table = Table([[steps, "", checks]], colWidths=[half, 16, half], style=PLAIN, splitInRow=1)
    # A short one is read at one glance; what is longer than a page has to break.
    return KeepTogether([table])


def _totals(run: SheetRun, width: float) -> Iterator[Flowable]:
    """Yield what a run has to make; a short table stays on one page."""
    words = (_("Piece"), _("Needed"), _("Made"), _("Spare"))
    rows = [[paragraph(word, BOLD_BODY) for word in words]]
    rows.extend([paragraph(str(cell), BIG) for cell in total] for total in run.totals)
    table = Table(rows, colWidths=[width - 270, 90, 90, 90], style=ruled(len(rows)), repeatRows=1)
    if len(rows) <= _MAX_BESIDE:
        yield KeepTogether([Spacer(1, 8), table])
    else:
        yield Spacer(1, 8)
        yield table


def _load(index: int, run: SheetRun, load: SheetLoad, width: float) -> Flowable:
    half = width / 2
    bed = load.ground.bed
    high = _TALL_DRAWING if bed.width < _TALL * bed.height else _DRAWING
    room = (half - 12) / MM, high / MM
    heading = load_heading(run, load)
    drawn = load_sketch(load, heading, room)
    beside: list[Flowable] = [paragraph(how_often(run, load), BIG)]
    boxes = tally(load.repeats)
    if 0 < len(boxes) <= _MAX_GROUPS_BESIDE:
        beside.append(TickBoxGroups(boxes, half))
    counts: list[list[Flowable]] = [
        [TickBox(), paragraph(f"{text}{_marked(drawn, piece)}", BIG)]
        for piece, text in counted(load, run.layers)
    ]
    notes: list[Flowable] = [paragraph(line, BODY) for line in note_lines(load)]
    below: list[Flowable] = []
    if len(boxes) > _MAX_GROUPS_BESIDE:
        below.append(TickBoxGroups(boxes, width))
    # A table row cannot break across pages, so long parts go below the drawing.
    if len(counts) <= _MAX_BESIDE and len(notes) <= _MAX_BESIDE + 2:
        beside.append(Table(counts, colWidths=[22, half - 22], style=PLAIN, hAlign="LEFT"))
        beside.extend(notes)
    else:
        below.append(_in_two_columns(counts, (22, half - 22)))
        below.extend(notes)
    top = Table(
        [[SketchDrawing(drawn.sketch), beside]], colWidths=[half, half], style=PLAIN, hAlign="LEFT"
    )
    below.extend(paragraph(line, BODY) for line in warning_lines(load))
    noted = Noted((index, load.number))
    parts: list[Flowable] = [paragraph(heading, HEAD), noted, top, *below]
    if load.stops:
        parts.append(_stops(load.stops, width))
    return KeepTogether(parts)


def _stops(stops: tuple[SheetStop, ...], width: float) -> Flowable:
    spans = [
        ("SPAN", (1, row), (2, row)) for row, each in enumerate(stops) if each.angle_deg is None
    ]
    return Table(
        [_stop(each) for each in stops],
        colWidths=[22, 44, width - 66],
        style=TableStyle([*PLAIN.getCommands(), *spans]),
    )


def _marked(drawn: LoadSketch, piece: str) -> str:
    """Return which letter stands for a piece in a load's drawing, if its id has no room there."""
    key = drawn.keys.get(piece)
    return f" ({_('marked {letter}', letter=key)})" if key else ""


def _in_two_columns(cells: list[list[Flowable]], columns: tuple[float, float]) -> Flowable:
    """Return pairs of a small cell and a wide one, two pairs to a row."""
    rows: list[list[Flowable | str]] = []
    for index in range(0, len(cells), 2):
        pair = cells[index : index + 2]
        rows.append([*pair[0], *(pair[1] if len(pair) > 1 else ["", ""])])
    return Table(rows, colWidths=columns * 2, style=PLAIN, hAlign="LEFT")


def _stop(stop: SheetStop) -> list[Flowable | str]:
    if stop.angle_deg is None:
        return [TickBox(), paragraph(stop.message, BODY), ""]
    return [TickBox(), SketchDrawing(dial_sketch(stop.angle_deg)), paragraph(stop.message, BIG)]


def _pieces(pieces: Sequence[SheetPiece], width: float) -> Flowable:
    """Return two pieces side by side: drawing, name and sizes of each."""
    half = width / 2
    cells: list[Flowable | list[Flowable] | str] = []
    for piece in pieces:
        lines: list[Flowable] = [paragraph(piece_heading(piece), BOLD_BODY)]
        lines.extend(headed(label, text, BODY, BOLD_BODY) for label, text in piece.sizes)
        room = ((_PIECE[0] - 8) / MM, _PIECE[1] / MM)
        cells += [SketchDrawing(piece_sketch(piece, room)), lines]
    cells += [""] * (4 - len(cells))
    return Table([cells], colWidths=[_PIECE[0], half - _PIECE[0]] * 2, style=PLAIN)
