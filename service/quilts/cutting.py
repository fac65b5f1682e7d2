"""Cutting instructions for people who cut by hand: strips, and the pieces from them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from geometry.measure import area
from geometry.model.outline import Outline
from geometry.planning.cloth import Fabric
from geometry.planning.pre_cuts import FromPreCuts, PreCut
from geometry.planning.strips import laid_in_strip
from geometry.planning.triangles import SharedRectangle, shared_pieces
from geometry.planning.ways import Way
from geometry.shapes.words import plural_of, without_angle
from geometry.units import format_length
from service.answers.fabrics import CuttingAnswer
from service.documents.cautions import GENERAL
from service.documents.pictures.strips import DrawnStrip, strips_picture
from service.quilts.length_text import is_square, size_text
from service.quilts.shared_cuts import cut_in_rectangles
from service.quilts.slanted_cuts import slanted_cuts
from service.texts import gettext as _
from service.texts import ngettext
from service.tools.pen import PenKind


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
        from_rests: pieces that are cut from what other sizes leave of their strips.
        rests_of: what these strips of others are called.
        from_each: pieces from each of them, where that matters; else 0.
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
    from_rests: int = 0
    rests_of: str = ""
    from_each: int = 0


def strips_of_pre_cuts(
    name: str, noun: str, found: FromPreCuts, pre_cut: PreCut, fabric: Fabric, units: str
) -> Strips:
    """Return the strips from pre-cut pieces of fabric."""
    held = found.held
    across, along = pre_cut.width, pre_cut.length * (1.0 - fabric.shrinkage)
    length = along if held.lengthwise else across
    return Strips(
        name,
        noun,
        held.in_strips,
        found.cut.cut_outline,
        found.count,
        held.per_strip,
        math.ceil(found.count / held.per_strip),
        length,
        ngettext("From {n} {name} cut", "From {n} {name}s cut", found.needed, name=pre_cut.name),
        format_length(length, units),
    )


@dataclass(frozen=True)
class Cutting:
    """How the pieces of one fabric are cut by hand: sentences, drawn strips, and cautions."""

    instructions: tuple[str, ...]
    strips: tuple[DrawnStrip, ...]
    cautions: tuple[str, ...] = (*PenKind.cautions, GENERAL[0])

    def answer(self) -> CuttingAnswer:
        """Return it as the answer states it."""
        return CuttingAnswer(
            instructions=list(self.instructions),
            picture=strips_picture(self.strips),
            cautions=list(self.cautions),
        )


def cutting_of(
    strips: Sequence[Strips],
    fabric: Fabric,
    units: str,
    drawn: Iterable[DrawnStrip] | None = None,
) -> Cutting:
    """Return how the pieces of one fabric are cut.

    Args:
        strips: in the order in which they are cut.
        fabric: that they are cut from.
        units: of the sentences.
        drawn: the strips of fabric that is bought by the length; ``None`` for pre-cut fabric, of
            which a full strip of each size is drawn.
    """
    return Cutting(
        (
            *_before(fabric, units, is_by_length=drawn is not None),
            *(_sentence(each, units) for each in strips),
        ),
        tuple((_drawn(each, units) for each in strips) if drawn is None else drawn),
    )


def _before(fabric: Fabric, units: str, *, is_by_length: bool) -> Iterator[str]:
    if fabric.shrinkage > 0.0:
        yield _("Wash and press the fabric before you cut it.")
    if is_by_length:
        width = format_length(fabric.width, units)
        yield _(
            "Straighten one end of the fabric and cut off the selvedges: the width of fabric is "
            "{width}.",
            width=width,
        )
    if fabric.directional:
        yield _("Lay every piece the same way up as the print.")


def _sentence(strips: Strips, units: str) -> str:
    lead, way = (f"{strips.id}: " if strips.id else "") + _lead(strips, units), strips.way
    if way.shared is not None:
        return f"{lead} {_shared(strips, way.shared, units)}."
    lying = f"{_lying(strips, units)}{_to_a_strip(strips, 1)}"
    slanted = slanted_cuts(strips.outline, way.pattern, units)
    return f"{lead} {_counted(strips)}{lying}.{slanted}"


def _lead(strips: Strips, units: str) -> str:
    """Return a sentence up to the pieces: the strips to cut, and those that others begin."""
    rest = _("the rest of {strips}", strips=strips.rests_of)
    if not strips.strips:
        return _("From {rest} cut", rest=rest)
    height = format_length(strips.way.pattern.height, units)
    cut = f"{strips.begin} {strips_text(strips.strips)} {height} x {strips.across}"
    if strips.from_rests:
        return ngettext(
            "{cut}; from it and {rest}",
            "{cut}; from them and {rest}",
            strips.strips,
            cut=cut,
            rest=rest,
        )
    return ngettext("{cut}; from it", "{cut}; from them", strips.strips, cut=cut)


def strips_text(number: int) -> str:
    """Return a number of strips: ``1 strip``, ``7 strips``."""
    return ngettext("{n} strip", "{n} strips", number)


def _to_a_strip(strips: Strips, pieces_per_cell: int) -> str:
    """Return how many pieces, or rectangles that pieces share, one strip gives."""
    if strips.from_each:
        return _(", {count} from each", count=-(-strips.from_each // pieces_per_cell))
    count = strips.per_strip // pieces_per_cell
    return _(", {count} to a strip", count=count) if strips.strips > 1 else ""


def _lying(strips: Strips, units: str) -> str:
    """Return how pieces lie in a strip, or the size of what they are cut from."""
    pattern = strips.way.pattern
    if pattern.is_box:
        size = size_text(pattern.width, pattern.height, units)
        if _is_rectangle(strips.outline):
            return f" {size}"
        if is_square(pattern.width, pattern.height):
            return _(", each out of a square of {size}", size=size)
        return _(", each out of a rectangle of {size}", size=size)
    if min(strips.per_strip, strips.pieces) == 1:
        return ""
    return _(", turned alternately") if pattern.is_alternate else _(", side by side")


def _shared(strips: Strips, shared: SharedRectangle, units: str) -> str:
    """Return how pieces are cut from the rectangles of a strip that they share."""
    pattern = strips.way.pattern
    cells = math.ceil(strips.pieces / shared.pieces)
    left = cells * shared.pieces - strips.pieces
    size = size_text(pattern.width, pattern.height, units)
    box = (
        ngettext("{n} square {size}", "{n} squares {size}", cells, size=size)
        if is_square(pattern.width, pattern.height)
        else ngettext("{n} rectangle {size}", "{n} rectangles {size}", cells, size=size)
    )
    boxes = f"{box}{_to_a_strip(strips, shared.pieces)}"
    text = cut_in_rectangles(boxes, cells, _counted(strips), shared, pattern, units)
    return _("{text}, {count} left over", text=text, count=left) if left else text


def _counted(strips: Strips) -> str:
    """Return how many pieces are cut, and what they are called."""
    kind = _kind(strips)
    return f"{strips.pieces} {ngettext(kind, plural_of(kind), strips.pieces)}"


def _is_rectangle(outline: Outline) -> bool:
    box = outline.bounds
    return not outline.has_arcs and math.isclose(
        area(outline), box.width * box.height, rel_tol=1e-6
    )


def _kind(strips: Strips) -> str:
    """Return what one piece is called."""
    if strips.noun:
        return without_angle(strips.noun)
    if not _is_rectangle(strips.outline):
        return "piece"
    box = strips.outline.bounds
    return "square" if is_square(box.width, box.height) else "rectangle"


def _drawn(strips: Strips, units: str) -> DrawnStrip:
    """Return the drawing of a full strip."""
    pattern = strips.way.pattern
    count = min(strips.pieces - strips.from_rests, strips.per_strip)
    height = format_length(pattern.height, units)
    title = f"{strips_text(strips.strips)} {height} x {strips.across}"
    named = f"{strips.id}: {title}" if strips.id else title
    if strips.way.shared is None:
        pieces = laid_in_strip(strips.outline, pattern, strips.length, count)
    else:
        pieces = shared_pieces(
            strips.way.shared, pattern.width, pattern.height, pattern.turn_deg, count
        )
    return DrawnStrip(named, strips.length, pattern.height, pieces)
