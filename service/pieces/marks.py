"""What a piece asks to have drawn or punched beside its outline."""

from __future__ import annotations

from dataclasses import replace

from geometry.marks.holes import DIAMETER, MIN_EDGE, removal_hole
from geometry.marks.lines import grain_arrow, label, match_marks, seam_line
from geometry.model.outline import Mark, Outline, Region
from service.pieces.model import Piece
from service.requests.pieces import MarkChoice
from service.texts import gettext as _


def marked(piece: Piece, choice: MarkChoice) -> Piece:
    """Return the piece with its hole and marks; what found no room is warned of."""
    warnings = list(piece.warnings)
    holes: tuple[Outline, ...] = ()
    if choice.removal_hole:
        hole = removal_hole(piece.template.outline)
        if hole is None:
            warnings.append(
                _(
                    "the removal hole ({diameter:g} mm) is left out: less than {min_edge:g} mm "
                    "of paper would remain about it.",
                    diameter=DIAMETER,
                    min_edge=MIN_EDGE,
                )
            )
        else:
            holes = (hole,)
    template = Region(piece.template.outline, holes, _inner(piece, holes, choice, warnings))
    patch = Region(piece.patch.outline, (), _on_patch(piece, choice, warnings))
    return replace(piece, template=template, patch=patch, warnings=tuple(dict.fromkeys(warnings)))


def _inner(
    piece: Piece, holes: tuple[Outline, ...], choice: MarkChoice, warnings: list[str]
) -> tuple[Mark, ...]:
    """Return the arrow and the label inside a piece's template."""
    outline = piece.template.outline
    marks: list[Mark] = []
    if choice.grain_arrow:
        marks = grain_arrow(outline, holes, one_way=piece.turns == "fixed")
        if not marks:
            warnings.append(_("the grain arrow is left out: there is no room for it."))
    if choice.label:
        letters = label(outline, choice.label, holes, marks)
        if not letters:
            warnings.append(
                _('the label "{label}" is left out: it does not fit inside.', label=choice.label)
            )
        marks = [*marks, *letters]
    return tuple(marks)


def _on_patch(piece: Piece, choice: MarkChoice, warnings: list[str]) -> tuple[Mark, ...]:
    # Within the seam line, so that nothing of it is sewn into the seam.
    marks = list(_inner(piece, (), choice, warnings))
    if piece.allowance.max_mm > 0.0:
        if choice.seam_line:
            marks.append(seam_line(piece.template.outline, choice.seam_line))
        if choice.match_marks:
            marks.extend(
                match_marks(
                    piece.template.outline, piece.allowance.edges, piece.allowance.requested_mm
                )
            )
    return tuple(marks)
