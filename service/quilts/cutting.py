"""Cutting instructions for people who cut by hand: strips, and the pieces from them."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from geometry.measure import area
from geometry.model.outline import Outline
from geometry.planning.pre_cuts import FromPreCuts, PreCut
from geometry.planning.strips import laid_in_strip
from geometry.planning.triangles import SharedRectangle, shared_triangles
from geometry.planning.yardage import Fabric, Rows, Way
from geometry.units import format_length
from service.documents.cautions import GENERAL
from service.documents.pictures.strips import DrawnStrip, strips_picture
from service.quilts.length_text import is_square, size_text
from service.tools.pen import PenKind

_SAME = 1e-6


@dataclass(frozen=True)
class Strips:
    """The strips for one size of piece.

    Args:
        id: of the piece, empty where it needs no name.
        noun: what one piece is called; empty for a rectangle or a piece without a name.
        way: how pieces are cut from strips.
        outline: of the piece, turned a quarter where strips run along the fabric.
        pieces: how many are cut.
        per_strip: of them.
        strips: number of strips.
        length: of a strip, mm.
        begin: how the sentence begins, up to the number of strips.
        across: what a strip's length is called.
    """

    id: str
    noun: str
    way: Way
    outline: Outline
    pieces: int
    per_strip: int
    strips: int
    length: float
    begin: str
    across: str


def strips_of_rows(name: str, noun: str, rows: Rows, fabric: Fabric) -> Strips:
    """Return the strips across a fabric that is bought by the length."""
    return Strips(
        name,
        noun,
        rows.way,
        rows.cut.cut_outline,
        rows.count,
        rows.per_row,
        rows.rows,
        fabric.width,
        "Cut",
        "width of fabric",
    )


def strips_of_pre_cuts(
    name: str, noun: str, found: FromPreCuts, pre_cut: PreCut, fabric: Fabric, units: str
) -> Strips:
    """Return the strips from pre-cut pieces of fabric."""
    held = found.held
    across, along = pre_cut.width, pre_cut.length * (1.0 - fabric.shrinkage)
    length = along if held.lengthwise else across
    plural = "s" if found.needed > 1 else ""
    return Strips(
        name,
        noun,
        held.in_strips,
        found.cut.cut_outline,
        found.count,
        held.per_strip,
        math.ceil(found.count / held.per_strip),
        length,
        f"From {found.needed} {pre_cut.name}{plural} cut",
        format_length(length, units),
    )


def cutting_answer(
    strips: Sequence[Strips], fabric: Fabric, units: str, *, is_by_length: bool
) -> dict[str, Any]:
    """Return the instructions for one fabric, their drawing, and cautions."""
    return {
        "instructions": [
            *_before(fabric, units, is_by_length=is_by_length),
            *(_sentence(each, units) for each in strips),
        ],
        "picture": strips_picture([_drawn(each, units) for each in strips]),
        "cautions": [*PenKind.cautions, GENERAL[0]],
    }


def _before(fabric: Fabric, units: str, *, is_by_length: bool) -> Iterator[str]:
    if fabric.shrinkage > 0.0:
        yield "Wash and press the fabric before you cut it."
    if is_by_length:
        width = format_length(fabric.width, units)
        yield (
            "Straighten one end of the fabric and cut off the selvedges: the width of fabric is "
            f"{width}."
        )
    if fabric.directional:
        yield "Lay every piece the same way up as the print."


def _sentence(strips: Strips, units: str) -> str:
    plural = "s" if strips.strips > 1 else ""
    height = format_length(strips.way.pattern.height, units)
    name = f"{strips.id}: " if strips.id else ""
    cut = f"{strips.begin} {strips.strips} strip{plural} {height} x {strips.across}"
    if strips.way.shared is not None:
        return f"{name}{cut}; {_shared(strips, strips.way.shared, units)}."
    kind = _kind(strips)
    what = f"{_from(strips)} {strips.pieces} {plural_of(kind) if strips.pieces > 1 else kind}"
    return f"{name}{cut}; {what}{_lying(strips, units)}{_to_a_strip(strips, strips.per_strip)}."


def _from(strips: Strips) -> str:
    return "from them" if strips.strips > 1 else "from it"


def _to_a_strip(strips: Strips, count: int) -> str:
    return f", {count} to a strip" if strips.strips > 1 else ""


def _lying(strips: Strips, units: str) -> str:
    """Return how pieces lie in a strip, or the size of what they are cut from."""
    pattern = strips.way.pattern
    if pattern.is_box:
        size = size_text(pattern.width, pattern.height, units)
        if _is_rectangle(strips.outline):
            return f" {size}"
        what = "square" if is_square(pattern.width, pattern.height) else "rectangle"
        return f", each out of a {what} of {size}"
    if pattern.is_alternate:
        return ", turned alternately"
    return ", side by side" if strips.pieces > 1 else ""


def _shared(strips: Strips, shared: SharedRectangle, units: str) -> str:
    """Return how triangles are cut from the rectangles of a strip."""
    pattern = strips.way.pattern
    cells = math.ceil(strips.pieces / shared.pieces)
    left = cells * shared.pieces - strips.pieces
    what = "square" if is_square(pattern.width, pattern.height) else "rectangle"
    size = size_text(pattern.width, pattern.height, units)
    along = "both diagonals" if shared.needs_quarter_turn else "a diagonal"
    kind = _kind(strips)
    text = (
        f"{_from(strips)} {cells} {what}{'s' if cells > 1 else ''} {size}"
        f"{_to_a_strip(strips, strips.per_strip // shared.pieces)}; "
        f"cut {'each' if cells > 1 else 'it'} along {along}: "
        f"{strips.pieces} {plural_of(kind) if strips.pieces > 1 else kind}"
    )
    return f"{text}, {left} left over" if left else text


def _is_rectangle(outline: Outline) -> bool:
    box = outline.bounds
    return not outline.has_arcs and math.isclose(
        area(outline), box.width * box.height, rel_tol=_SAME
    )


def _kind(strips: Strips) -> str:
    """Return what one piece is called."""
    if strips.noun:
        return re.sub(r"^\d+-degree ", "", strips.noun)
    if not _is_rectangle(strips.outline):
        return "piece"
    box = strips.outline.bounds
    return "square" if is_square(box.width, box.height) else "rectangle"


def plural_of(noun: str) -> str:
    """Return the plural of what a piece is called: ``kites of the hexagon``."""
    head, *rest = re.split(r"(?=,| of )", noun, maxsplit=1)
    return f"{head}s{''.join(rest)}"


def _drawn(strips: Strips, units: str) -> DrawnStrip:
    """Return the drawing of a full strip."""
    pattern, count = strips.way.pattern, min(strips.pieces, strips.per_strip)
    height = format_length(pattern.height, units)
    title = f"{strips.strips} strip{'s' if strips.strips > 1 else ''} {height} x {strips.across}"
    named = f"{strips.id}: {title}" if strips.id else title
    if strips.way.shared is None:
        pieces = laid_in_strip(strips.outline, pattern, strips.length, count)
    else:
        pieces = shared_triangles(strips.way.shared, pattern.width, pattern.height, count)
    return DrawnStrip(named, strips.length, pattern.height, pieces)
