"""The largest size of a piece that fits: found by building it smaller, told in its own terms."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from geometry import units as lengths
from geometry.layout import Item
from geometry.layout.fit import DoesNotFit, fitting_turn
from geometry.model.cutter import WorkArea
from geometry.shapes.catalogue import CATALOGUE
from service.kits.rolls import turns_on
from service.requests.convert.collector import Collector, Unread
from service.requests.convert.pieces import piece_of
from service.requests.convert.values import Piece, Run

#: Halvings of the range of scales: finer than a sixty-fourth of an inch on any bed.
_HALVINGS = 16
#: What sizes are rounded down to: a sixteenth of an inch, a tenth of a millimetre.
_STEPS = {"in": 25.4 / 16.0, "mm": 0.1, "cm": 0.1}


def largest_sizes(
    piece: Piece, run: Run, available: tuple[float, float], units: str
) -> dict[str, float]:
    """Return the lengths, mm by parameter, of the largest piece that fits; empty when unclear.

    Allowances and corners stay as asked: only the shape's own lengths shrink, all alike.

    Args:
        piece: what is too large.
        run: what it is cut for.
        available: width and height that outlines may have, mm.
        units: of the request; sizes are rounded down to what is measured in them.
    """
    given = _lengths(piece, units)
    if not given or not run.area.is_rectangle:
        return {}
    room = WorkArea.rectangle(0.0, 0.0, *available)
    low, high = 0.0, 1.0
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        if _fits({name: mm * middle for name, mm in given.items()}, piece, run, room):
            low = middle
        else:
            high = middle
    step = _STEPS.get(units, 0.1)
    sizes = {
        name: round(math.floor(mm * low / step + 1e-9) * step, 6) for name, mm in given.items()
    }
    # Rounding down changes the proportions a little: what is told has been tried.
    return sizes if min(sizes.values()) > 0.0 and _fits(sizes, piece, run, room) else {}


def largest_sentence(sizes: Mapping[str, float], units: str) -> str:
    """Return the largest size in words, such as "At most 2 3/8 in across flats fits."."""
    told = [
        f"{lengths.format_length(mm, units)} {name.replace('_', ' ')}" for name, mm in sizes.items()
    ]
    if not told:
        return ""
    verb = "fits" if len(told) == 1 else "fit"
    return f"At most {' and '.join(told)} {verb}."


def _lengths(piece: Piece, units: str) -> dict[str, float]:
    shape = piece.source.get("shape", {})
    if not shape or shape["kind"] == "custom":
        return {}
    return {
        each.name: lengths.parse_length(shape[each.name], units)
        for each in CATALOGUE[shape["kind"]].parameters
        if each.what == "length" and shape.get(each.name) is not None
    }


def _fits(sizes: Mapping[str, float], piece: Piece, run: Run, room: WorkArea) -> bool:
    shape: dict[str, Any] = {**piece.source["shape"]}
    shape |= {name: f"{mm:.6f} mm" for name, mm in sizes.items()}
    try:
        smaller = piece_of(Collector(piece.source["units"]), {**piece.source, "shape": shape}, ())
        turns = turns_on(piece.turns, roll=run.area.open_right)
        outline = smaller.region(run.cut).outline
        fitting_turn(Item(piece.id, outline, 1, turns=turns, mirror=piece.mirror), room)
    except (DoesNotFit, Unread):
        return False
    return True
