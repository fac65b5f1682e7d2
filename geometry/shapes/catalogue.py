"""All kinds of shapes by name."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from functools import cache
from types import MappingProxyType
from typing import Final

from geometry.errors import ShapeError
from geometry.model.outline import Outline
from geometry.shapes import curved, of_hexagons, quadrilaterals, regular, round_sets, triangles
from geometry.shapes.kinds import ShapeKind, Values

#: All kinds, in listing order.
CATALOGUE: Final[Mapping[str, ShapeKind]] = MappingProxyType(
    {
        kind.kind: kind
        for family in (regular, quadrilaterals, of_hexagons, triangles, round_sets, curved)
        for kind in family.KINDS
    }
)


def build(kind: str, values: Values) -> Outline:
    """Return the outline of a kind at a size.

    Units:
        lengths in mm, angles in degrees (names ending ``_deg``).

    Raises:
        ShapeError: when there is no such kind, or its values are not possible.
    """
    if kind not in CATALOGUE:
        near = difflib.get_close_matches(kind, CATALOGUE, n=1)
        hint = f' Did you mean "{near[0]}"?' if near else ""
        raise ShapeError(f'There is no shape "{kind[:40]}".{hint}', where=("kind",))
    return CATALOGUE[kind].build(values)


@cache
def _edges_at_unit(kind: str) -> frozenset[tuple[float, float]]:
    """Return the edges of a kind at its unit size, as length and unsigned sweep."""
    outline = CATALOGUE[kind].build(CATALOGUE[kind].unit)
    return frozenset(
        # Nine decimals: far coarser than rounding, far finer than any real difference.
        (round(edge.length, 9), round(abs(getattr(edge, "sweep", 0.0)), 9))
        for edge in outline.segments
    )


def shares_edge_with(kind: str) -> tuple[str, ...]:
    """Return the other kinds that share an edge of the same length and curve at the same size."""
    return tuple(
        other
        for other in CATALOGUE
        if other != kind and _edges_at_unit(kind) & _edges_at_unit(other)
    )
