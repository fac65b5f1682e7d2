"""The largest size of a piece that fits: found by building it smaller, stated in its own terms."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import replace

from geometry import units as lengths
from geometry.errors import GeometryError
from geometry.layout import Item
from geometry.layout.fitting.bottom_left import variants
from geometry.layout.fitting.fit import DoesNotFit, fitting_turn
from geometry.layout.fitting.inner_fit import inner_fit
from geometry.model.cutter import WorkArea
from service.pieces.draw import draw_piece
from service.pieces.model import Piece
from service.requests.runs import Run
from service.requests.shapes import CatalogueShape, CustomShape, Shape
from service.runs.rolls import turns_on

#: Halvings of the range of scales: finer than a sixty-fourth of an inch on any bed.
_HALVINGS = 16
#: Turns tried in a bed that is no rectangle.
_TURNS = 24
#: What sizes are rounded down to: a sixteenth of an inch, a tenth of a millimetre.
_STEPS = {"in": 25.4 / 16.0, "mm": 0.1, "cm": 0.1}


_NO_TEMPLATE = "No size of it fits."
#: A patch keeps its allowance however small it is.
_NO_PATCH = "With its seam allowance no size of it fits."


def largest_sizes(piece: Piece, run: Run, room: WorkArea, units: str) -> dict[str, float]:
    """Return the lengths, mm by parameter, of the largest piece that fits; empty when unclear.

    Allowances and corners stay as asked: only the shape's own lengths shrink, all alike.

    Args:
        piece: what is too large.
        run: what it is cut for.
        room: where pieces may lie.
        units: of the request; sizes are rounded down to what is measured in them.
    """
    given = _lengths(piece)
    if not given:
        return {}
    low = _largest(
        lambda share: _fits({name: mm * share for name, mm in given.items()}, piece, run, room)
    )
    step = _STEPS.get(units, 0.1)
    # The largest lies between the last that fitted and the next step of the search, perhaps on a
    # whole sixteenth. Rounding down changes the proportions a little, so the stated size is tried.
    for share in (low + 0.5**_HALVINGS, low):
        sizes = {
            name: round(math.floor(mm * share / step + 1e-9) * step, 6)
            for name, mm in given.items()
        }
        if min(sizes.values()) > 0.0 and _fits(sizes, piece, run, room):
            return sizes
    return {}


def largest_sentence(sizes: Mapping[str, float], units: str) -> str:
    """Return the largest size in words, such as "At most 2 3/8 in across flats fits."."""
    words = [
        f"{lengths.format_length(mm, units)} {name.replace('_', ' ')}" for name, mm in sizes.items()
    ]
    if not words:
        return ""
    verb = "fits" if len(words) == 1 else "fit"
    return f"At most {' and '.join(words)} {verb}."


def largest_percent(piece: Piece, run: Run, room: WorkArea, error: DoesNotFit) -> int:
    """Return the share of its size at which an outline without sizes of its own fits; 0 for none.

    A drawn piece keeps its allowance; a stored outline shrinks as a whole.
    """
    shape = None if piece.request is None else piece.request.shape
    custom = shape if isinstance(shape, CustomShape) else None
    if shape is not None and custom is None:
        return 0
    if custom is not None:
        share = _largest(lambda share: _goes(custom.scaled(share), piece, run, room))
    else:
        share = error.largest_scale
    # The stated percentage is tried, too: a whole one may fit exactly.
    percent = math.floor(100.0 * share + 0.01)
    if custom is not None and not _goes(custom.scaled(percent / 100.0), piece, run, room):
        percent -= 1
    return max(percent, 0)


def largest_share_sentence(piece: Piece, run: Run, percent: int, units: str) -> str:
    """Return in words how far an outline without sizes of its own must shrink to fit."""
    if percent < 1:
        return _NO_TEMPLATE if run.cut == "template" else _NO_PATCH
    custom = None if piece.request is None else piece.request.shape
    outline = piece.template.outline if custom is not None else piece.region(run.cut).outline
    wide, high = (
        lengths.format_length(mm * percent / 100.0, units)
        for mm in (outline.bounds.width, outline.bounds.height)
    )
    what = "its drawn size" if custom is not None else "the size of its stored outline"
    return f"At most {percent} % of {what} fits: {wide} wide and {high} high."


def _largest(fits: Callable[[float], bool]) -> float:
    """Return the largest share of a size, 0 to 1, at which a piece fits."""
    low, high = 0.0, 1.0
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        if fits(middle):
            low = middle
        else:
            high = middle
    return low


def _lengths(piece: Piece) -> Mapping[str, float]:
    shape = None if piece.request is None else piece.request.shape
    return shape.lengths if isinstance(shape, CatalogueShape) else {}


def _fits(sizes: Mapping[str, float], piece: Piece, run: Run, room: WorkArea) -> bool:
    shape = None if piece.request is None else piece.request.shape
    return isinstance(shape, CatalogueShape) and _goes(shape.resized(sizes), piece, run, room)


def _goes(shape: Shape, piece: Piece, run: Run, room: WorkArea) -> bool:
    """Return whether the piece would fit into the room if it had another shape."""
    if piece.request is None:
        return False
    try:
        smaller = draw_piece(replace(piece.request, shape=shape))
        turns = turns_on(piece.turns, roll=run.area.open_right)
        item = Item(piece.id, smaller.region(run.cut).outline, 1, turns=turns, mirror=piece.mirror)
        if room.is_rectangle:
            fitting_turn(item, room)
            return True
        return any(not inner_fit(room, way.outline).is_empty for way in variants(item, _TURNS))
    except (DoesNotFit, GeometryError):
        return False
