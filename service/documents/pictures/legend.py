"""Line styles and signs of the tool path's picture, and its legend."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator
from xml.sax.saxutils import escape

from geometry.model.cutter import Tool
from geometry.model.plan import NOTES
from geometry.model.points import Point, ahead
from service.documents.pictures import looks
from service.documents.pictures.looks import INK, WAY
from service.documents.pictures.path import number
from service.documents.pictures.piece_labels import LETTERS
from service.documents.pictures.samples import HIGH, WIDE, Shown, legend
from service.documents.sketch import shape_svg
from service.runs.planned_run import PlannedLoad
from service.texts import gettext as _
from service.tools import kind_of

LEFT = LETTERS.replace("middle", "start")
#: Line widths relative to the letter height: cuts, travel, marks and the rings at starts.
THICK, DASHED, THIN = 0.12, 0.09, 0.07
#: Line width of a die's nicks and bridges, mm; they are one or two mm long.
_NOTE = 0.6
#: Width of a sample, relative to the letter height.
_SAMPLE = 1.9
#: Line spacing, relative to the letter height.
ROW = 1.35


class Legend:
    """The legend, in rows as wide as the picture."""

    def __init__(self, entries: Iterable[tuple[str, str]], letters: float) -> None:
        self._placed: list[tuple[float, int, str, str]] = []
        x, row = 0.0, 0
        for drawing, text in entries:
            wide = 2.4 + 0.5 * len(text)
            if x and x + wide > letters:
                x, row = 0.0, row + 1
            self._placed.append((x, row, drawing, text))
            x += wide + 1.2
        self.rows = row + 1

    def drawn(self, left: float, top: float, letter: float) -> Iterator[str]:
        """Return the rows as SVG, starting at a corner, mm."""
        for x, row, drawing, text in self._placed:
            yield (
                f'<g transform="translate({number(left + x * letter)} '
                f'{number(top + row * ROW * letter)})">{drawing}<text '
                f'x="{number(2.4 * letter)}" y="{number(0.3 * letter)}" '
                f'font-size="{number(0.9 * letter)}" {LEFT}>{escape(text)}</text></g>'
            )


def entries(load: PlannedLoad, tool: Tool, letter: float) -> Iterator[tuple[str, str]]:
    """Yield the legend's entries for a load: sample and text."""
    strokes = load.planned.plan.strokes
    parts = {stroke.part for stroke in strokes}
    operations = {stroke.operation for stroke in strokes if stroke.part not in NOTES}
    thin = f'fill="none" stroke="{INK}" stroke-width="{number(THIN * letter)}"'
    kind = kind_of(tool)
    width = kind.drawn_width_mm(tool)
    yield _sample(INK, THICK * letter if width is None else width, letter), _(kind.line_words)
    if "score" in operations:
        yield (
            _sample(INK, THICK * letter, letter, ' stroke-dasharray="2 1"'),
            _("scored, for a crease"),
        )
    if "mark" in operations:
        yield f'<path d="M0 0h{number(1.2 * letter)}" {thin}/>', _("mark on the piece")
    if width is None:
        dashes = f' stroke-dasharray="{number(0.4 * letter)} {number(0.25 * letter)}"'
        yield _sample(WAY, DASHED * letter, letter, dashes), _("way between, tool lifted")
        start = f'<circle cx="{number(0.9 * letter)}" r="{number(0.18 * letter)}" {thin}/>'
        yield start, _("start, numbered in order")
        yield octagon(Point(0.9 * letter, 0.0), 0.6 * letter, letter), _("stop, listed below")
    if "nick" in parts:
        nick = f"M{number(0.9 * letter)} {number(0.3 * letter)}v-2"
        yield note_lines(nick, looks.NICK), _("nick in the edge: a tie to snip")
    if "bridge" in parts:
        data = f"M0 {number(0.3 * letter)}v-1h6v1"
        yield note_lines(data, looks.BRIDGE), _("bridge in the back: no tie")


def sample_entries(shown: Collection[Shown], letter: float) -> Iterator[tuple[str, str]]:
    """Yield drawing and text of what a picture of a load shows, as on the run sheet."""
    scale = _SAMPLE * letter / WIDE
    for each in legend(shown):
        drawn = "".join(shape_svg(shape, scale) for shape in each.shapes)
        place = f"scale({number(scale, 4)} {number(-scale, 4)}) translate(0 {number(-HIGH / 2.0)})"
        yield f'<g transform="{place}">{drawn}</g>', each.words


def note_lines(data: str, look: looks.Look) -> str:
    """Return the lines of a die's nicks or bridges, which differ in weight."""
    return f'<path d="{data}" {look.svg()}/>'


def _sample(colour: str, wide: float, letter: float, more: str = "") -> str:
    return (
        f'<path d="M0 0h{number(1.9 * letter)}" fill="none" stroke="{colour}" '
        f'stroke-width="{number(wide)}"{more}/>'
    )


def octagon_corners(middle: Point, radius: float) -> list[Point]:
    """Return the corners of the octagon of a stop."""
    return [ahead(middle, (k + 0.5) * math.pi / 4.0, radius) for k in range(8)]


def octagon(middle: Point, radius: float, letter: float) -> str:
    """Return the octagon of a stop."""
    corners = octagon_corners(middle, radius)
    data = "L".join(f"{number(c.x)} {number(c.y)}" for c in corners)
    style = f'fill="#fff" stroke="{WAY}" stroke-width="{number(0.15 * letter)}"'
    return f'<path d="M{data}Z" {style}/>'
