"""The loads of a run sheet as a PDF: each stays with its picture on one page.

Loads with few words stand side by side, the words below the picture; others have their words beside
the picture.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from reportlab.platypus import Flowable, KeepTogether, TableStyle

from service.documents.free_room import KeptPair
from service.documents.load_arrangement import HEIGHTS
from service.documents.measured_table import MeasuredTable
from service.documents.model import SheetLoad, SheetRun, SheetStop
from service.documents.page_frames import can_shrink_to
from service.documents.plain import paragraph
from service.documents.sketch_pdf import MM, LoadDrawing, SketchDrawing
from service.documents.sketches import LoadSketch, dial_sketch, load_sketch
from service.documents.tick_boxes import TickBox, TickBoxGroups
from service.documents.typesetting import BIG, BODY, BOLD_BODY, PLAIN, SUBHEAD, TIGHT, Noted
from service.documents.wording import (
    counted,
    file_lines,
    how_often,
    load_heading,
    rest_lines,
    tally,
    warning_lines,
)
from service.texts import gettext as _

#: On a tall bed pieces would be too small to be named in a picture as high as the others.
_TALL, _TALLER = 0.6, 1.5
#: Maximum counts, or files, of a load beside its picture; more go below it.
_MAX_BESIDE = 7
#: Likewise of groups of five boxes.
_MAX_GROUPS_BESIDE = 10
#: Maximum height of the words of a load that shares a row, points.
_MAX_SHARED = 260.0
#: So few groups of boxes stand behind the words, which take so many points.
_FEW_GROUPS, _OFTEN = 2, 130.0
#: Maximum share of the width for the picture of a load that has a row for itself.
_PICTURE = 0.55
#: Air between two columns, points.
_AIR = 12.0
#: The letters that stand for ids without room in a drawing, by id.
Keys = Mapping[str, str]


def drawn_loads(
    index: int, run: SheetRun, width: float, high: float, *, share: bool
) -> Iterator[Flowable]:
    """Yield a run's loads.

    Args:
        index: of the run, from 0.
        run: what is cut.
        width: of the page between its margins, points.
        high: largest height of a picture, points.
        share: whether two loads with few words share a row.
    """
    waiting: list[SheetLoad] = []
    share = share and len(run.loads) > 1
    for load in run.loads:
        if load.turn_with is not None:
            yield from (_wide(index, run, each, width, high) for each in waiting)
            waiting = []
            if load.turn_with > load.number:
                both = (load, next(each for each in run.loads if each.number == load.turn_with))
                yield _in_turn(index, run, both, width, high, share=share)
        elif not share or not _is_short(run, load, width / 2 - _AIR):
            yield from (_wide(index, run, each, width, high) for each in waiting)
            waiting = []
            yield _wide(index, run, load, width, high)
        elif waiting:
            yield _pair(index, run, (waiting.pop(), load), width, high)
        else:
            waiting.append(load)
    yield from (_wide(index, run, each, width, high) for each in waiting)


def _in_turn(
    index: int,
    run: SheetRun,
    loads: tuple[SheetLoad, SheetLoad],
    width: float,
    high: float,
    *,
    share: bool,
) -> Flowable:
    """Return two loads that are cut in turn, on one page where that has room for both."""
    if share and all(_is_short(run, each, width / 2 - _AIR) for each in loads):
        return _pair(index, run, loads, width, high)
    return KeptPair(*(_wide(index, run, each, width, high) for each in loads))


def _is_short(run: SheetRun, load: SheetLoad, width: float) -> bool:
    """Return whether the words of a load leave room for a picture above them in half a page."""
    if len(load.stops) + len(load.pieces) + len(load.files) > 3 * _MAX_BESIDE:
        return False
    words = [*_steps(run, load, {}, width), *_after(load, width)]
    return float(sum(each.wrap(width, 1e6)[1] for each in words)) <= _MAX_SHARED


def _drawn(run: SheetRun, load: SheetLoad, room: tuple[float, float]) -> LoadSketch:
    bed = load.ground.bed
    taller = _TALLER if bed.width < _TALL * bed.height else 1.0
    return load_sketch(load, load_heading(run, load), (room[0], room[1] * taller))


def _pair(
    index: int, run: SheetRun, loads: tuple[SheetLoad, SheetLoad], width: float, high: float
) -> Flowable:
    """Return two loads side by side, each below its heading and picture."""
    half = width / 2 - _AIR / 2
    cells = []
    for load in loads:
        drawn = _drawn(run, load, ((half - _AIR) / MM, high / MM))
        cells.append(
            [
                paragraph(load_heading(run, load), SUBHEAD),
                LoadDrawing(drawn),
                *_steps(run, load, drawn.keys, half - _AIR),
                *_after(load, half - _AIR),
            ]
        )
    noted = [Noted((index, load.number)) for load in loads]
    columns = [half, _AIR, half]
    row = MeasuredTable([[cells[0], "", cells[1]]], colWidths=columns, style=PLAIN, hAlign="LEFT")
    return KeepTogether([*noted, row])


def _wide(index: int, run: SheetRun, load: SheetLoad, width: float, high: float) -> Flowable:
    """Return a load with its words beside the picture, as many of them as have room there."""
    drawn = _drawn(run, load, ((_PICTURE * width - _AIR) / MM, high / MM))
    picture = LoadDrawing(drawn)
    across, tall = picture.wrap()
    across += _AIR
    free = width - across
    steps, after = list(_steps(run, load, drawn.keys, free)), list(_after(load, free))
    taken = sum(each.wrap(free, 1e6)[1] for each in (*steps, *after))
    below: list[Flowable] = []
    if taken > max(high, tall):
        below = list(_after(load, width))
        after = []
    if not _has_few_words(load):
        # A table row cannot break across pages, so long parts go below the picture.
        steps = [paragraph(how_often(run, load), BIG)]
        below = [*_many(run, load, drawn.keys, width), *_after(load, width)]
        after = []
    top = MeasuredTable(
        [[picture, [*steps, *after]]], colWidths=[across, free], style=PLAIN, hAlign="LEFT"
    )
    can_shrink_to(top, min(tall, HEIGHTS[-1]))
    for each in below:
        # Beside a smaller picture there is room for more words.
        can_shrink_to(each, 0.0)
    noted = Noted((index, load.number))
    return KeepTogether([paragraph(load_heading(run, load), SUBHEAD), noted, top, *below])


def _has_few_words(load: SheetLoad) -> bool:
    return (
        len(load.pieces) <= _MAX_BESIDE
        and len(load.files) <= _MAX_BESIDE
        and len(tally(load.repeats)) <= _MAX_GROUPS_BESIDE
    )


def _steps(run: SheetRun, load: SheetLoad, keys: Keys, width: float) -> Iterator[Flowable]:
    """Yield how often a load is cut, what it gives, and its files."""
    boxes = tally(load.repeats)
    if 0 < len(boxes) < _FEW_GROUPS:
        often = [paragraph(how_often(run, load), BIG), TickBoxGroups(boxes, width - _OFTEN)]
        yield MeasuredTable([often], colWidths=[_OFTEN, width - _OFTEN], style=TIGHT, hAlign="LEFT")
    else:
        yield paragraph(how_often(run, load), BIG)
        if boxes:
            yield TickBoxGroups(boxes, width)
    yield MeasuredTable(
        _counts(run, load, keys), colWidths=[20, width - 20], style=TIGHT, hAlign="LEFT"
    )
    for line in file_lines(run, load):
        yield paragraph(line, BODY)


def _counts(run: SheetRun, load: SheetLoad, keys: Keys) -> list[list[Flowable]]:
    return [
        [_box(load), paragraph(f"{text}{_marked(keys, piece)}", BIG)]
        for piece, text in counted(load, run.layers)
    ]


def _many(run: SheetRun, load: SheetLoad, keys: Keys, width: float) -> Iterator[Flowable]:
    """Yield the boxes, counts and files of a load that has too many of them for half a page."""
    boxes = tally(load.repeats)
    if boxes:
        yield TickBoxGroups(boxes, width)
    yield in_two_columns(_counts(run, load, keys), (20, width / 2 - 20))
    for line in file_lines(run, load):
        yield paragraph(line, BODY)


def _after(load: SheetLoad, width: float) -> Iterator[Flowable]:
    """Yield what is to be known of a load, its stops, and what to do with the rest."""
    for line in warning_lines(load):
        yield paragraph(line, BODY)
    if load.stops:
        yield _stops(load, width)
    for line in rest_lines(load):
        yield paragraph(line, BODY)


def _stops(load: SheetLoad, width: float) -> Flowable:
    spans = [
        ("SPAN", (1, row), (2, row))
        for row, each in enumerate(load.stops)
        if each.angle_deg is None
    ]
    return MeasuredTable(
        [
            [_box(load, number), *_stop(each, width - 20)]
            for number, each in enumerate(load.stops, start=1)
        ],
        colWidths=[20, 40, width - 60],
        style=TableStyle([*PLAIN.getCommands(), *spans]),
        hAlign="LEFT",
    )


def _box(load: SheetLoad, step: int = 0) -> Flowable:
    """Return a box to tick; of what is done several times its number: its boxes are above."""
    if load.repeats == 1:
        return TickBox()
    return paragraph(f"{step}." if step else "", BOLD_BODY)


def _stop(stop: SheetStop, width: float) -> list[Flowable | list[Flowable] | str]:
    if boxes := tally(stop.times):
        return [[paragraph(stop.message, BODY), TickBoxGroups(boxes, width)], ""]
    if stop.angle_deg is None:
        return [paragraph(stop.message, BIG if stop.is_inside else BODY), ""]
    return [SketchDrawing(dial_sketch(stop.angle_deg)), paragraph(stop.message, BIG)]


def _marked(keys: Keys, piece: str) -> str:
    """Return which letter stands for a piece in a load's drawing, if its id has no room there."""
    key = keys.get(piece)
    return f" ({_('marked {letter}', letter=key)})" if key else ""


def in_two_columns(cells: Sequence[list[Flowable]], columns: tuple[float, float]) -> Flowable:
    """Return pairs of a small cell and a wide one, two pairs to a row."""
    rows: list[list[Flowable | str]] = []
    for index in range(0, len(cells), 2):
        pair = cells[index : index + 2]
        rows.append([*pair[0], *(pair[1] if len(pair) > 1 else ["", ""])])
    return MeasuredTable(rows, colWidths=columns * 2, style=PLAIN, hAlign="LEFT")
