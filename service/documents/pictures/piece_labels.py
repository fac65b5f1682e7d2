"""The labels of the pieces in a picture of a load: their ids, or numbers where ids are written."""

from __future__ import annotations

from xml.sax.saxutils import escape

from geometry.model.outline import Outline
from geometry.model.placement import Placement
from geometry.model.points import Point
from geometry.model.transform import Rigid
from service.documents.pictures.inside import free_spot, grain_arrow, label_size, roomy_middle
from service.documents.pictures.letters import width_of
from service.documents.pictures.path import number
from service.pieces.model import Kit
from service.requests.runs import Run

LETTERS = 'font-family="sans-serif" text-anchor="middle" fill="#1d2b2a"'
#: Labels smaller than this, mm, are left out because they are unreadable on paper.
_SMALLEST = 0.9


class PieceLabels:
    """Draws the labels of one load; where a kind's labels stand is found once."""

    def __init__(self, kit: Kit, run: Run, fill: str) -> None:
        self._kit, self._run, self._fill = kit, run, fill
        self._spots: dict[tuple[str, int], tuple[Point, float]] = {}

    def drawn(self, placement: Placement, at: int) -> str:
        """Return the label of a load's placement, by its number from 0; empty if too small."""
        each = self._kit.pieces[placement.piece]
        region = each.region(self._run.cut)
        is_named = each.is_named(self._run.cut)
        text = f"{placement.piece} {at + 1}" if self._run.cut == "patch" else placement.piece
        text = str(at + 1) if is_named else text
        key = (placement.piece, len(text))
        if key not in self._spots:
            self._spots[key] = self._spot(placement.piece, text, is_named=is_named)
        middle, size = self._spots[key]
        if size < _SMALLEST:
            return ""
        x, y = placed_point(placement.move, middle)
        ground = self._ground(text, size) if each.turns != "free" or region.marks else ""
        return (
            f'<g transform="translate({number(x)} {number(y)}) scale(1 -1)">{ground}'
            f'<text y="{number(0.35 * size)}" font-size="{number(size)}" {LETTERS}>'
            f"{escape(text)}</text></g>"
        )

    def _spot(self, piece: str, text: str, *, is_named: bool) -> tuple[Point, float]:
        """Return where on a piece a label of this length stands, and its letter height, mm."""
        each = self._kit.pieces[piece]
        outline, region = each.template.outline, each.region(self._run.cut)
        box = outline.bounds
        middle, _ = roomy_middle(outline)
        size = label_size(outline, text, min(7.0, 0.3 * min(box.width, box.height)))
        if not region.marks and not region.holes:
            return middle, size
        # The piece has something in its middle: use smaller letters below it, clear of its lines.
        size = min(0.6 * size, 0.09 * box.height)
        wanted = Point(middle.x, middle.y - (0.36 if region.marks else 0.24) * box.height)
        marks = [*(mark.path for mark in region.marks), *region.holes]
        own = any(mark.role == "grain-arrow" for mark in region.marks)
        # An arrow of the picture's own; a head more than it has does no harm.
        arrow = [] if own or each.turns == "free" else grain_arrow(region, outline, one_way=False)
        found = free_spot(outline, marks, text, wanted, size, lines=arrow)
        # Without room, an id stands on the lines; a number beside a written id is left out.
        return found or (middle, 0.0 if is_named else size)

    def _ground(self, text: str, size: float) -> str:
        """Draw the piece's colour behind a label, so that no line crosses its letters."""
        wide, high = (width_of(text) + 0.3) * size, 1.1 * size
        return (
            f'<rect x="{number(-wide / 2)}" y="{number(-high / 2)}" width="{number(wide)}" '
            f'height="{number(high)}" fill="{self._fill}"/>'
        )


def placed_point(move: Rigid, point: Point) -> Point:
    """Return the position on the bed of a point of a placed piece."""
    moved = move.outline(Outline.of([point, point]))
    return moved.vertices[0].point
