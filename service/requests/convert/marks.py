"""What a piece asks to have drawn or punched beside its outline."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from geometry.marks.holes import DIAMETER, LEAST_EDGE, removal_hole
from geometry.marks.lines import grain_arrow, label, match_marks, seam_line
from geometry.model.outline import Mark, Outline, Region
from service.requests.convert.values import Piece


@dataclass(frozen=True)
class MarkWishes:
    """Marks and holes asked for; all off by default."""

    removal_hole: bool = False
    seam_line: str = ""
    match_marks: bool = False
    grain_arrow: bool = False
    label: str = ""


def wishes_of(data: Mapping[str, Any]) -> MarkWishes:
    """Return what a piece's fields ask for; ``label: true`` stands for the piece's id."""
    text = data.get("label") or ""
    return MarkWishes(
        removal_hole=bool(data.get("removal_hole")),
        seam_line=data.get("seam_line") or "",
        match_marks=bool(data.get("match_marks")),
        grain_arrow=bool(data.get("grain_arrow")),
        label=data["id"] if text is True else str(text),
    )


def marked(piece: Piece, wishes: MarkWishes) -> Piece:
    """Return the piece with its hole and marks; what found no room is warned of."""
    warnings = list(piece.warnings)
    holes: tuple[Outline, ...] = ()
    if wishes.removal_hole:
        hole = removal_hole(piece.template.outline)
        if hole is None:
            warnings.append(
                f"the removal hole ({DIAMETER:g} mm) is left out: less than {LEAST_EDGE:g} mm of "
                "paper would remain about it."
            )
        else:
            holes = (hole,)
    template = Region(
        piece.template.outline, holes, _inner(piece.template.outline, holes, wishes, warnings)
    )
    patch = Region(piece.patch.outline, (), _on_patch(piece, wishes, warnings))
    return replace(piece, template=template, patch=patch, warnings=tuple(dict.fromkeys(warnings)))


def _inner(
    outline: Outline, holes: tuple[Outline, ...], wishes: MarkWishes, warnings: list[str]
) -> tuple[Mark, ...]:
    """Return the arrow and the label of one outline."""
    marks: list[Mark] = []
    if wishes.grain_arrow:
        marks = grain_arrow(outline, holes)
        if not marks:
            warnings.append("the grain arrow is left out: there is no room for it.")
    if wishes.label:
        letters = label(outline, wishes.label, holes, marks)
        if not letters:
            warnings.append(f'the label "{wishes.label}" is left out: it does not fit inside.')
        marks = [*marks, *letters]
    return tuple(marks)


def _on_patch(piece: Piece, wishes: MarkWishes, warnings: list[str]) -> tuple[Mark, ...]:
    # Within the seam line, so that nothing of it is sewn into the seam.
    marks = list(_inner(piece.template.outline, (), wishes, warnings))
    if piece.allowance.most > 0.0:
        if wishes.seam_line:
            marks.append(seam_line(piece.template.outline, wishes.seam_line))
        if wishes.match_marks:
            marks.extend(
                match_marks(piece.template.outline, piece.allowance.edges, piece.allowance.asked)
            )
    return tuple(marks)
