"""The numbers of strokes in a load's picture, for an operator who counts them and pauses."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from geometry.measure import centroid, flattened
from geometry.model.cutter import WorkArea
from geometry.model.outline import Chain, Outline
from geometry.model.plan import Stroke
from geometry.model.points import Point
from geometry.model.segments import Bounds
from geometry.toolpath.order import last_point
from service.documents.model import SheetLoad
from service.documents.pictures import looks
from service.documents.pictures.number_places import GroundedNumbers, placed_numbers
from service.documents.sketch import Shape, Words

#: Largest height of a number, and the radius of the mark at the end of a stroke, mm on paper.
_LETTER, _MARK = 3.4, 1.3
#: Strokes up to which all are numbered; of more, every so many, and those about a pause.
_ALL, _EVERY = 60, 10
#: Tolerance of arcs' chords, mm; it affects only where numbers stand.
_CHORD = 0.1


def pause_marks(load: SheetLoad, scale: float) -> Iterator[Shape]:
    """Yield a dot at the end of each stroke after which the machine is paused."""
    for number in load.pauses:
        yield Shape((_dot(last_point(load.strokes[number - 1]), _MARK / scale),), looks.PAUSE)


def _dot(middle: Point, radius: float) -> Outline:
    x, y = middle
    return Outline.of([(x + radius, y, 1.0), (x - radius, y, 1.0)])


def stroke_words(load: SheetLoad, scale: float, names: Sequence[Words]) -> Iterator[Words]:
    """Yield the numbers of a load's strokes, clear of its lines and of the names of pieces.

    The last one before a pause is light on dark.
    """
    strokes = load.strokes
    if not strokes:
        return
    about = {number + step for number in load.pauses for step in (-1, 0)}
    chosen = {
        at
        for at, stroke in enumerate(strokes)
        # The cut that brings a blade into line is a speck in waste.
        if stroke.part != "line-up"
        and (
            len(strokes) <= _ALL or (at + 1) % _EVERY == 0 or at in about or at == len(strokes) - 1
        )
    }
    letter = _LETTER / scale
    dots = [_closed(dot) for each in pause_marks(load, scale) for dot in each.paths]
    kept = [*_boxes(names), *dots]
    lines = [*map(_stroke_line, strokes), *_piece_lines(load), *_frames(load), *kept]
    middles = [_middle(load, at) for at in range(len(load.placements))]
    bed = load.ground.bed
    # Nobody can do without the number of a pause: it has a ground, and may hide lines.
    pauses = GroundedNumbers(
        [each - 1 for each in load.pauses], kept, Bounds(0.0, 0.0, bed.width, bed.height)
    )
    placed = placed_numbers(strokes, chosen, 1, middles, letter, lines, about, pauses)
    for at, text, where, size in placed:
        if not (0.0 < where.x < bed.width and 0.0 < where.y < bed.height):
            continue
        is_last = at + 1 in load.pauses
        yield Words(
            text,
            where,
            size,
            ground=looks.WAY if is_last else "#ffffff",
            ink="#ffffff" if is_last else looks.INK,
        )


def _middle(load: SheetLoad, at: int) -> Point:
    index, move = load.placements[at]
    return move.point(centroid(load.kinds[index].outline))


def _stroke_line(stroke: Stroke) -> list[Point]:
    path = Outline(stroke.vertices) if stroke.closed else Chain(stroke.vertices)
    points = flattened(path, _CHORD)
    return [*points, points[0]] if stroke.closed else points


def _piece_lines(load: SheetLoad) -> Iterator[list[Point]]:
    """Yield the outlines, seam lines and arrows of all placed pieces."""
    for index, move in load.placements:
        kind = load.kinds[index]
        for outline in (kind.outline, *([kind.template] if kind.template else [])):
            yield _closed(move.outline(outline))
        for arrow in kind.arrow:
            yield [vertex.point for vertex in move.chain(arrow).vertices]
        for hole in kind.holes:
            yield _closed(move.outline(hole))


def _frames(load: SheetLoad) -> Iterator[list[Point]]:
    bed = load.ground.bed
    yield _closed(bed.edge)
    yield _closed(load.ground.area.boundary)
    for each in (*load.ground.area.keep_outs, *bed.keep_outs):
        yield _closed(each)
    for rest in load.rests:
        left, bottom, right, top = rest.box
        yield _closed(WorkArea.rectangle(left, bottom, right - left, top - bottom).boundary)
    if load.ground.sheet is not None:
        yield _closed(load.ground.sheet)


def _boxes(names: Sequence[Words]) -> Iterator[list[Point]]:
    """Yield the boxes of names, and a line across each, so that no number stands inside."""
    for each in names:
        left, bottom, right, top = each.covered
        yield [
            Point(left, bottom), Point(right, bottom), Point(right, top),
            Point(left, top), Point(left, bottom), Point(right, top),
        ]  # fmt: skip


def _closed(outline: Outline | Chain) -> list[Point]:
    points = [Point(*each) for each in flattened(outline, _CHORD)]
    return [*points, points[0]]
