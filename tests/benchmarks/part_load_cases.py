"""Part-filled loads, and rows of them worked by hand."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from typing import TypeAlias

from geometry.layout import Item
from geometry.shapes.catalogue import build
from geometry.units import MM_PER_INCH as INCH

#: Of whole numbers.
_ROUNDING = 1e-6
#: Of one kind: its name, its size in inches, and how many.
Kind: TypeAlias = tuple[str, float, int]
#: Kinds, with their sizes in inches, and the numbers of pieces that fill part of a sheet.
CASES: tuple[tuple[str, float, tuple[int, ...]], ...] = (
    ("triangle", 1.5, (9, 23, 40, 64)),
    ("triangle", 3.0, (5, 9, 14, 20)),
    ("square", 2.0, (4, 13, 20, 31)),
    ("hexagon", 1.0, (7, 15, 28, 40)),
    ("hexagon", 1.5, (3, 8, 13, 20)),
    ("diamond_60", 1.5, (10, 24, 40, 60)),
    ("diamond_60", 2.0, (7, 15, 22, 33)),
    ("diamond_45", 2.0, (6, 15, 25, 38)),
    ("diamond_45", 1.5, (12, 28, 44, 60)),
    ("octagon", 1.0, (3, 7, 12, 18)),
    ("circle", 2.0, (5, 11, 19, 30)),
)
#: Loads of several kinds.
MIXED: tuple[tuple[Kind, ...], ...] = (
    (("square", 1.5, 12), ("triangle", 1.5, 24)),
    (("square", 2.0, 9), ("triangle", 2.0, 17)),
    (("hexagon", 1.0, 9), ("triangle", 1.0, 20)),
    (("hexagon", 1.0, 7), ("square", 1.0, 18)),
    (("hexagon", 1.5, 4), ("triangle", 1.5, 3)),
    (("hexagon", 1.0, 12), ("diamond_60", 1.0, 18)),
    (("diamond_60", 2.0, 11), ("triangle", 2.0, 13)),
    (("diamond_60", 1.5, 23), ("rectangle", 2.0, 12)),
    (("octagon", 1.0, 8), ("square", 1.0, 15)),
    (("octagon", 1.0, 5), ("half_square_triangle", 1.0, 14)),
    (("half_square_triangle", 2.0, 14), ("square", 2.0, 9)),
    (("half_square_triangle", 1.5, 21), ("diamond_45", 1.5, 10)),
    (("rectangle", 2.0, 16), ("triangle", 2.0, 9)),
    (("square", 2.0, 14), ("rectangle", 2.0, 9)),
    (("hexagon", 1.0, 10), ("square", 1.5, 9), ("triangle", 1.0, 12)),
    (("octagon", 1.0, 4), ("square", 2.0, 6), ("half_square_triangle", 2.0, 8)),
)
SHEET = (12.0, 18.0)


def item_of(kind: str, size: float, count: int) -> Item:
    """Return an item of a kind; sizes are sides, of a circle the diameter.

    A rectangle is half as wide as it is long.
    """
    name = {"circle": "diameter", "rectangle": "width"}.get(kind, "side")
    sizes = {name: size * INCH}
    if kind == "rectangle":
        sizes["height"] = size * INCH / 2.0
    return Item(kind, build(kind, sizes), count)


def by_hand(kinds: Sequence[Kind], width: float, height: float) -> float:
    """Return the least share of a sheet, inches, that rows worked by hand take.

    Along each side of the sheet: rows across the strip hold so many pieces each; enough rows are
    laid for all. Each of several kinds has a strip of its own. Worked with the textbook sizes of
    the shapes:

    - triangle, side s: alternately turned, n in a row are (n + 1) s / 2 long and s sqrt(3)/2 high
    - square, side s: n in a row are n s long, rows s apart
    - hexagon, side s, on a corner: n in a row are n s sqrt(3) long; interlocked rows are 1.5 s
      apart, every other row half a piece along; the first is 2 s high
    - the same on an edge: rows of n are (1.5 n + 0.5) s long, columns half a height apart, and
      rows s sqrt(3) apart, half a height more for the raised columns
    - diamonds of angle a, side s: sheared rows: n in a row are (n + cos a) s long, rows s sin a
      apart and, turned to one side and the other, no longer
    - a single row of hexagons lies on an edge: n are 2 n s long and s sqrt(3) high
    - octagon, side s: a square of s (1 + sqrt 2); half square triangles: two to a square
    - rectangle, s by s / 2: rows of either side
    - circle, diameter d: n in a row are n d long, interlocked rows d sqrt(3)/2 apart
    """
    best = math.inf
    for across, along in ((width, height), (height, width)):
        length = sum(min(_rows(*kind, across)) for kind in kinds)
        best = min(best, length / along)
    return best


def _whole(value: float) -> int:
    return max(0, math.floor(value + _ROUNDING))


def _rows(kind: str, s: float, count: int, across: float) -> Iterator[float]:
    """Yield lengths of strips of a width, one for each way to lay rows."""
    root = math.sqrt(3.0)
    if kind == "triangle":
        yield _even(count, _whole(2.0 * across / s - 1.0), s * root / 2.0, 0.0)
        # Rows along the strip: as many as the width holds, each so long.
        yield _along(count, _whole(across / (s * root / 2.0)), lambda n: (n + 1) * s / 2.0)
    elif kind in {"square", "octagon"}:
        side = s * (1.0 + math.sqrt(2.0)) if kind == "octagon" else s
        yield _even(count, _whole(across / side), side, 0.0)
    elif kind == "hexagon":
        n = _whole(across / (s * root))
        m = n if across + _ROUNDING >= (n + 0.5) * s * root else n - 1
        yield _alternating(count, n, m, 2.0 * s, 1.5 * s)
        columns = _whole((across / s - 0.5) / 1.5)
        # Columns stand half a height higher in turn: the strip ends with the raised ones.
        for rows in range(1, count + 1):
            if rows * columns >= count:
                yield (rows + (0.5 if columns > 1 else 0.0)) * s * root
                break
            if rows * columns + math.ceil(columns / 2) >= count:
                yield (rows + 1.0) * s * root
                break
        yield _even(count, _whole(across / (2.0 * s)), s * root, 0.0)
    elif kind == "half_square_triangle":
        yield _even(math.ceil(count / 2), _whole(across / s), s, 0.0)
    elif kind == "rectangle":
        yield _even(count, _whole(across / s), s / 2.0, 0.0)
        yield _even(count, _whole(2.0 * across / s), s, 0.0)
    elif kind.startswith("diamond"):
        angle = math.radians(float(kind.rsplit("_", maxsplit=1)[1]))
        n = _whole(across / s - math.cos(angle))
        yield _even(count, n, s * math.sin(angle), 0.0)
        rows = _whole(across / (s * math.sin(angle)))
        # Sheared to one side and back each row starts where the one below it ends.
        yield _along(count, rows, lambda n: (n + math.cos(angle)) * s)
    elif kind == "circle":
        n = _whole(across / s)
        m = n if across + _ROUNDING >= (n + 0.5) * s else n - 1
        yield _alternating(count, n, m, s, s * root / 2.0)
        yield _even(count, n, s, 0.0)


def _even(count: int, per_row: int, step: float, more: float) -> float:
    return math.inf if per_row < 1 else math.ceil(count / per_row) * step + more


def _along(count: int, rows: int, length: Callable[[int], float]) -> float:
    return math.inf if rows < 1 else float(length(math.ceil(count / rows)))


def _alternating(count: int, n: int, m: int, first: float, step: float) -> float:
    if n < 1:
        return math.inf
    rows, placed = 0, 0
    while placed < count:
        placed += m if rows % 2 else n
        rows += 1
        if m < 1 and placed < count:
            return math.inf
    return first + (rows - 1) * step
