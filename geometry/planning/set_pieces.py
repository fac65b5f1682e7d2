"""Pieces of blocks that are set: the blocks in their turns, and what lies between them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from geometry.model.outline import Outline
from geometry.model.transform import Rigid
from geometry.planning.plane import Plane, Proto

Rows = list[tuple[float, float]]


@dataclass(frozen=True)
class Sashing:
    """Strips between blocks, with a cornerstone where they cross; width in mm.

    ``is_outer``: whether they also run round the outside.
    """

    width: float
    colour: str
    cornerstone_colour: str
    is_outer: bool = False


class Pieces:
    """The prototypes of blocks in the turns that a setting needs."""

    def __init__(self, block: Plane) -> None:
        self.block = block
        self.protos: list[Proto] = []
        self._known: dict[tuple[int, int, bool], int] = {}

    def block_at(
        self, turn: int, x: float, y: float, *, mirrored: bool = False
    ) -> Iterator[tuple[int, float, float]]:
        """Yield the pieces of a block with this middle, mirrored left to right, then turned."""
        move = Rigid(turn_deg=turn, mirrored=mirrored)
        for spot in self.block.spots:
            key = (spot.proto, turn, mirrored)
            if key not in self._known:
                proto = self.block.protos[spot.proto]
                turned = replace(
                    proto,
                    outline=move.outline(proto.outline),
                    anchor=None,
                    along_deg=float(turn % 90),
                )
                self._known[key] = self.add(turned)
            here = Outline.of(
                [(spot.x - self.block.width / 2.0, spot.y - self.block.height / 2.0)] * 2
            )
            point = move.outline(here).vertices[0]
            yield self._known[key], x + point.x, y + point.y

    def add(self, proto: Proto) -> int:
        """Return the number of a further prototype."""
        self.protos.append(proto)
        return len(self.protos) - 1

    def plain(self, kind: str, values: Mapping[str, float | str], rows: Rows, colour: str) -> int:
        """Return the number of a further piece of a fixed colour."""
        return self.add(Proto(kind, values, Outline.of(rows), colour, colour=colour))

    def rectangle(self, width: float, height: float, colour: str) -> int:
        """Return the number of a rectangle about its middle."""
        x, y = width / 2.0, height / 2.0
        rows = [(-x, -y), (x, -y), (x, y), (-x, y)]
        if math.isclose(width, height, rel_tol=1e-9):
            return self.plain("square", {"side": width}, rows, colour)
        return self.plain("rectangle", {"width": width, "height": height}, rows, colour)


def turned_rows(rows: Rows, quarters: int) -> Rows:
    """Return points turned by quarters of a turn."""
    for _ in range(quarters):
        rows = [(-y, x) for x, y in rows]
    return rows
