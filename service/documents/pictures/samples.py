"""The one legend of all pictures of loads: a sample of what a picture shows, and its words."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from enum import Enum, auto

from geometry.model.cutter import WorkArea
from geometry.model.outline import Chain, Outline
from geometry.model.points import Point
from service.documents.pictures import looks
from service.documents.pictures.looks import Look
from service.documents.sketch import Shape
from service.texts import gettext as _
from service.texts import gettext_noop as _later

#: Size of a sample, mm on paper.
WIDE, HIGH = 7.0, 3.2


class Shown(Enum):
    """What a picture of a load may show, in the order of its legend."""

    BED = auto()
    SHEET = auto()
    CORNER = auto()
    REACH = auto()
    AREA = auto()
    KEEP_OUT = auto()
    TEMPLATE = auto()
    PATCH = auto()
    SEAM = auto()
    MARK = auto()
    GRAIN = auto()
    ONE_WAY = auto()
    REST = auto()
    MOTIF = auto()
    LINE_UP = auto()
    NICK = auto()
    BRIDGE = auto()
    PAUSE = auto()
    PAGE = auto()


@dataclass(frozen=True)
class Sample:
    """Shapes of a sample, y up from its lower left corner, and what they stand for."""

    shapes: tuple[Shape, ...]
    words: str


_ENTRIES = {
    Shown.BED: (looks.BED, _later("what the material lies on")),
    Shown.SHEET: (looks.SHEET, _later("your sheet of material")),
    Shown.CORNER: (looks.CORNER, _later("the material's lower left corner")),
    Shown.REACH: (looks.REACH, _later("the tool stays inside this line")),
    Shown.AREA: (looks.AREA.outline, _later("pieces stay inside this line")),
    Shown.KEEP_OUT: (looks.KEEP_OUT, _later("keep clear")),
    Shown.TEMPLATE: (looks.TEMPLATE, _later("template")),
    Shown.PATCH: (looks.PATCH, _later("patch")),
    Shown.SEAM: (looks.SEAM, _later("seam line, not cut")),
    Shown.MARK: (looks.MARK, _later("drawn on the piece, not cut")),
    Shown.GRAIN: (looks.ARROW, _later("lengthwise grain")),
    Shown.ONE_WAY: (looks.ARROW, _later("grain, the head at the piece's top")),
    Shown.REST: (looks.REST, _later("left over, worth keeping")),
    Shown.MOTIF: (looks.MOTIF, _later("middle of a motif")),
    Shown.LINE_UP: (looks.LINE_UP, _later("short first cut, aligns the blade")),
    Shown.NICK: (looks.NICK, _later("nick: a tie to snip")),
    Shown.BRIDGE: (looks.BRIDGE, _later("bridge in the die's back: no tie")),
    Shown.PAUSE: (looks.PAUSE, _later("pause when this stroke is done")),
    Shown.PAGE: (looks.PAGE, _later("edge of a printed page")),
}


def legend(shown: Collection[Shown]) -> Iterator[Sample]:
    """Yield a sample of each thing that is shown, always in the same order."""
    for each, (look, words) in _ENTRIES.items():
        if each in shown:
            yield Sample(tuple(_shapes(each, look)), _(words))


def _shapes(what: Shown, look: Look) -> Iterator[Shape]:
    middle = HIGH / 2.0
    if what is Shown.PAUSE:
        yield Shape((_circle(Point(WIDE / 2.0, middle), 1.3),), look)
    elif look.fill is not None:
        yield Shape((WorkArea.rectangle(0.0, 0.0, WIDE, HIGH).boundary,), look)
    elif what is Shown.CORNER:
        yield Shape((Chain.of([(0.5, HIGH), (0.5, 0.4), (HIGH, 0.4)]),), look)
    elif what is Shown.MOTIF:
        yield Shape((_circle(Point(WIDE / 2.0, middle), 1.0),), look)
    elif what in {Shown.GRAIN, Shown.ONE_WAY}:
        heads = [_head(WIDE, -1.2), *([_head(0.0, 1.2)] if what is Shown.GRAIN else [])]
        yield Shape((Chain.of([(0.0, middle), (WIDE, middle)]), *heads), look)
    else:
        yield Shape((Chain.of([(0.0, middle), (WIDE, middle)]),), look)


def _head(tip: float, back: float) -> Chain:
    """Return an arrow's head with its tip at a place along the sample."""
    low, high = (HIGH / 2.0 + side * abs(back) * 0.8 for side in (-1.0, 1.0))
    return Chain.of([(tip + back, low), (tip, HIGH / 2.0), (tip + back, high)])


def _circle(middle: Point, radius: float) -> Outline:
    x, y = middle
    return Outline.of([(x + radius, y, 1.0), (x - radius, y, 1.0)])
