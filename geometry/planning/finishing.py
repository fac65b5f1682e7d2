"""Backing, batting and binding, by the usual formulae.

Source:
    Binding: 2 (width + length) and 8 to 24 in more for corners and joins, strips = ceil(length /
    usable width); backing and batting: 3 to 6 in more on each side; panels = ceil(width / usable
    width), each as long as the backing. Published in many quilters' guides.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, TypeAlias

from geometry.errors import GeometryError
from geometry.planning.cloth import Fabric
from geometry.units import MM_PER_INCH, round_up

Seams: TypeAlias = Literal["lengthwise", "crosswise", "least"]
_NEAR = 1e-9


@dataclass(frozen=True)
class Binding:
    """Binding strips round a quilt, mm."""

    length: float
    strips: int
    strip: float
    fabric_length: float
    buy: float
    unused: float


@dataclass(frozen=True)
class Panels:
    """A backing joined from panels, each as wide as the fabric; mm.

    ``seams`` is the direction of the joins, along the quilt's length or across it.
    """

    seams: Literal["lengthwise", "crosswise"]
    panels: int
    panel_length: float
    fabric_length: float
    buy: float
    unused: float
    to_spare: float


@dataclass(frozen=True)
class Backing:
    """A backing's size and panels; ``alternative`` has the joins in the other direction."""

    width: float
    length: float
    chosen: Panels
    alternative: Panels


def binding(
    width: float,
    length: float,
    *,
    strip: float,
    usable: float,
    extra: float,
    fabric: Fabric,
    outside: float | None = None,
) -> Binding:
    """Return the binding of a quilt.

    Units:
        mm.

    Args:
        width: of the quilt.
        length: of the quilt.
        strip: width cut width of a strip.
        usable: length of a strip, the fabric's usable width.
        extra: for corners and joins.
        fabric: only its step and shrinkage are used.
        outside: length round the quilt, where that is no rectangle.
    """
    total = (2.0 * (width + length) if outside is None else outside) + extra
    strips = math.ceil(total / usable - _NEAR)
    needed = strips * strip / (1.0 - fabric.shrinkage)
    buy = round_up(needed, fabric.step)
    return Binding(total, strips, strip, strips * strip, buy, max(0.0, buy - needed))


def backing(
    width: float,
    length: float,
    *,
    extra_each_side: float,
    usable: float,
    join: float,
    seams: Seams,
    fabric: Fabric,
) -> Backing:
    """Return the backing of a quilt.

    Units:
        mm.

    Args:
        width: of the quilt.
        length: of the quilt.
        extra_each_side: extra width of the backing on each side.
        usable: the fabric's usable width.
        join: seam allowance of the joins; the usual formula leaves it out (0).
        seams: direction of the joins; ``least`` is the one that needs less fabric.
        fabric: its step and shrinkage are used.

    Raises:
        GeometryError: when the joins use up the fabric's whole width.
    """
    if usable <= 2.0 * join:
        raise GeometryError("The joins' seam allowances take up the fabric's whole width.")
    wide, long = width + 2.0 * extra_each_side, length + 2.0 * extra_each_side
    lengthwise = _panels("lengthwise", wide, long, usable, join, fabric)
    crosswise = _panels("crosswise", long, wide, usable, join, fabric)
    ways = {"lengthwise": lengthwise, "crosswise": crosswise}
    chosen = seams if seams != "least" else min(ways, key=lambda way: ways[way].fabric_length)
    other = crosswise if chosen == "lengthwise" else lengthwise
    return Backing(wide, long, ways[chosen], other)


def _panels(
    seams: Literal["lengthwise", "crosswise"],
    across: float,
    along: float,
    usable: float,
    join: float,
    fabric: Fabric,
) -> Panels:
    # Every panel loses two allowances, except at the two outer edges.
    panels = max(1, math.ceil((across - 2.0 * join) / (usable - 2.0 * join) - _NEAR))
    total = panels * along
    needed = total / (1.0 - fabric.shrinkage)
    buy = round_up(needed, fabric.step)
    spare = panels * usable - 2.0 * join * (panels - 1) - across
    return Panels(seams, panels, along, total, buy, max(0.0, buy - needed), spare)


def batting(width: float, length: float, *, extra_each_side: float) -> tuple[float, float]:
    """Return a batting's width and length, mm."""
    return width + 2.0 * extra_each_side, length + 2.0 * extra_each_side


#: Sheets of US basis weights, 500 per ream: (width, height) in.
BASIS_SHEETS_IN = {
    "bond": (17.0, 22.0),
    "cover": (20.0, 26.0),
    "bristol": (22.5, 28.5),
    "index": (25.5, 30.5),
}
_GRAMS_PER_POUND = 453.59237


def grammage(pounds: float, grade: str) -> float:
    """Return a paper's weight in g/m2 from its US basis weight.

    Source:
        g/m2 = lb x 453.592 / (500 x sheet area in m2); ISO 536 defines grammage. Derived.
    """
    width, height = BASIS_SHEETS_IN[grade]
    area_m2 = width * height * (MM_PER_INCH / 1000.0) ** 2
    return pounds * _GRAMS_PER_POUND / (500.0 * area_m2)
