"""The labels of the pieces in a picture of a load: their ids, or numbers where ids are written."""

from __future__ import annotations

from xml.sax.saxutils import escape

from geometry.model.outline import Chain
from geometry.model.placement import Load, Placement
from geometry.model.transform import readable_when_mirrored
from service.documents.pictures.inside import grain_arrow
from service.documents.pictures.names import DrawnKind, PlacedName, place_name, turns_of
from service.documents.pictures.path import number
from service.pieces.model import Kit
from service.requests.runs import Run

LETTERS = 'font-family="sans-serif" text-anchor="middle" fill="#1d2b2a"'
#: Largest and smallest letters, mm; smaller ones are left out because they are unreadable on paper.
_LARGEST, _SMALLEST = 7.0, 0.9
#: Of a piece's smaller side.
_OF_PIECE = 0.3
_Kind = tuple[str, bool]


class PieceLabels:
    """The labels and grain arrows of one load; where those of a kind stand is found once."""

    def __init__(self, kit: Kit, run: Run, load: Load) -> None:
        self._kit, self._run = kit, run
        of_kind: dict[_Kind, list[tuple[int, Placement]]] = {}
        for at, each in enumerate(load.placements):
            of_kind.setdefault((each.piece, each.move.mirrored), []).append((at, each))
        self._arrows = {kind: self._usual_arrow(kind[0]) for kind in of_kind}
        self._placed = {kind: self._place(kind, some) for kind, some in of_kind.items()}
        self._letters = {
            kind: f'<text y="{number(0.35 * placed.size)}" font-size="{number(placed.size)}" '
            f"{LETTERS}>"
            for kind, placed in self._placed.items()
            if placed is not None
        }

    def arrow(self, piece: str, mirrored: bool) -> tuple[Chain, ...]:  # noqa: FBT001 - a kind
        """Return the lines of a kind's grain arrow, out of its label's way."""
        placed = self._placed[piece, mirrored]
        return self._arrows[piece, mirrored] if placed is None else placed.arrow

    def drawn(self, placement: Placement, at: int) -> str:
        """Return the label of a load's placement, by its number from 0; empty without room."""
        kind = placement.piece, placement.move.mirrored
        placed = self._placed[kind]
        if placed is None:
            return ""
        x, y = placed.at(placement.move)
        return (
            f'<g transform="translate({number(x)} {number(y)}) scale(1 -1)">{self._letters[kind]}'
            f"{escape(self._text(placement.piece, at))}</text></g>"
        )

    def _text(self, piece: str, at: int) -> str:
        if self._kit.pieces[piece].is_named(self._run.cut):
            return str(at + 1)
        return f"{piece} {at + 1}" if self._run.cut == "patch" else piece

    def _place(self, kind: _Kind, some: list[tuple[int, Placement]]) -> PlacedName | None:
        piece, mirrored = kind
        each = self._kit.pieces[piece]
        outline, region = each.template.outline, each.region(self._run.cut)
        marks = readable_when_mirrored(region.marks) if mirrored else region.marks
        box = outline.bounds
        most = min(_LARGEST, _OF_PIECE * min(box.width, box.height))
        drawn = DrawnKind(
            outline,
            (*(mark.path for mark in marks), *region.holes),
            self._arrows[kind],
            each.turns == "fixed",
        )
        # All labels of a kind have room for the longest.
        text = max((self._text(piece, at) for at, _ in some), key=len)
        turns = turns_of([placement for _, placement in some])
        return place_name(drawn, text, turns, most, min(_SMALLEST, most))

    def _usual_arrow(self, piece: str) -> tuple[Chain, ...]:
        """Return the picture's own arrow; a piece that bears one needs no other."""
        each = self._kit.pieces[piece]
        region = each.region(self._run.cut)
        if each.turns == "free" or any(mark.role == "grain-arrow" for mark in region.marks):
            return ()
        lines = grain_arrow(region, each.template.outline, one_way=each.turns == "fixed")
        return tuple(Chain.of(line) for line in lines)
