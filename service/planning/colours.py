"""Colours of pieces: by role, by rounds, by rows, repeating, or from a list."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

from geometry.errors import GeometryError
from geometry.planning.assembly import Assembly, PlacedPiece
from geometry.planning.flowers import axial_distance, round_of
from geometry.sentences import number_of

By: TypeAlias = Literal["pieces", "rounds", "rows", "repeat", "list"]


@dataclass(frozen=True)
class ColourPlan:
    """The placement of colours.

    Args:
        by: ``pieces``: one for each role in the tiling; ``rounds``: about the middle (in
            flowers: about each centre, the path last); ``rows``: from the lower end up; ``repeat``:
            repeating along each row; ``list``: one name for every piece.
        names: of the colours, repeated from the first if there are more rounds or rows.
        shift: number of names by which each further row of a ``repeat`` is shifted.
    """

    by: By = "pieces"
    names: tuple[str, ...] = ()
    shift: int = 0


@dataclass(frozen=True)
class Flower:
    """A hexagon flower: rounds about each centre, and hexagons of path between two flowers."""

    rounds: int
    path: int

    @property
    def names(self) -> tuple[str, ...]:
        """Return the names of a flower's parts."""
        rounds = tuple(f"round {number}" for number in range(1, self.rounds + 1))
        return ("centre", *rounds, *(("path",) if self.path else ()))


def colours_of(
    assembly: Assembly, plan: ColourPlan, *, flower: Flower | None = None, on_side: bool = False
) -> tuple[str, ...]:
    """Return the colour of every placed piece.

    A piece of the tiling that has its own colour keeps it, unless ``plan`` is a list.

    Args:
        assembly: the quilt.
        plan: the placement of colours.
        flower: the flower, for a tiling of hexagon flowers.
        on_side: whether the tiling was rotated, so that columns are staggered.

    Raises:
        GeometryError: when the names do not fit the quilt.
    """
    found = _placed(assembly, plan, flower, on_side=on_side)
    if plan.by == "list":
        return found
    protos = assembly.plane.protos
    return tuple(
        protos[piece.proto].colour or name
        for piece, name in zip(assembly.placed, found, strict=True)
    )


def _placed(
    assembly: Assembly, plan: ColourPlan, flower: Flower | None, *, on_side: bool
) -> tuple[str, ...]:
    if flower is not None and plan.by in {"pieces", "rounds"}:
        return _flowers(assembly, plan, flower, on_side=on_side)
    if plan.by == "pieces":
        return _by_role(assembly, plan.names)
    if not plan.names:
        raise GeometryError("Colours placed this way need names.", where=("names",))
    if plan.by == "list":
        return _listed(assembly, plan.names)
    if plan.by == "rows":
        least = min(piece.row for piece in assembly.placed)
        return tuple(plan.names[(piece.row - least) % len(plan.names)] for piece in assembly.placed)
    if plan.by == "repeat":
        return _in_turn(assembly, plan)
    middle = _middle(assembly)
    return tuple(
        plan.names[_steps(assembly, piece, middle, on_side=on_side) % len(plan.names)]
        for piece in assembly.placed
    )


def _by_role(assembly: Assembly, names: Sequence[str]) -> tuple[str, ...]:
    protos = assembly.plane.protos
    roles = list(dict.fromkeys(proto.role for proto in protos if not proto.colour))
    if len(names) > len(roles):
        listed = ", ".join(roles)
        detail = (
            f"This tiling has {number_of(len(roles), 'kind')} of place: {listed}. Name at most as "
            "many."
        )
        raise GeometryError(detail, where=("names",))
    if not names:
        return tuple(protos[piece.proto].role for piece in assembly.placed)
    of_role = {role: names[min(index, len(names) - 1)] for index, role in enumerate(roles)}
    return tuple(of_role.get(protos[piece.proto].role, "") for piece in assembly.placed)


def _listed(assembly: Assembly, names: Sequence[str]) -> tuple[str, ...]:
    if len(names) != len(assembly.placed):
        raise GeometryError(
            f"This quilt has {number_of(len(assembly.placed), 'piece')}, counted row by row from "
            f"the lower left; the list names {len(names)}.",
            where=("names",),
        )
    return tuple(names)


def _in_turn(assembly: Assembly, plan: ColourPlan) -> tuple[str, ...]:
    found: list[str] = []
    row, place, least = None, 0, assembly.placed[0].row if assembly.placed else 0
    for piece in assembly.placed:
        place = place + 1 if piece.row == row else 0
        row = piece.row
        found.append(plan.names[(place + plan.shift * (row - least)) % len(plan.names)])
    return tuple(found)


def _cell(piece: PlacedPiece, *, on_side: bool) -> tuple[int, int]:
    """Return axial coordinates of a piece of a staggered tiling."""
    row, column = (piece.column, piece.row) if on_side else (piece.row, piece.column)
    return column - row // 2, row


def _steps(assembly: Assembly, piece: PlacedPiece, middle: PlacedPiece, *, on_side: bool) -> int:
    if assembly.plane.staggered:
        q, r = _cell(piece, on_side=on_side)
        q0, r0 = _cell(middle, on_side=on_side)
        return axial_distance(q - q0, r - r0)
    return max(abs(piece.row - middle.row), abs(piece.column - middle.column))


def _middle(assembly: Assembly) -> PlacedPiece:
    """Return the piece nearest the quilt's middle."""
    x = (assembly.across.low + assembly.across.high) / 2.0
    y = (assembly.along.low + assembly.along.high) / 2.0

    def away(piece: PlacedPiece) -> tuple[float, int, int]:
        return (round((piece.x - x) ** 2 + (piece.y - y) ** 2, 3), piece.row, piece.column)

    return min(assembly.placed, key=away)


def _flowers(
    assembly: Assembly, plan: ColourPlan, flower: Flower, *, on_side: bool
) -> tuple[str, ...]:
    parts = flower.names
    names = plan.names or parts
    if len(names) != len(parts):
        listed = ", ".join(parts)
        detail = f"These flowers have {len(parts)} parts: {listed}. Name one colour for each."
        raise GeometryError(detail, where=("names",))
    q0, r0 = _cell(_middle(assembly), on_side=on_side)
    found: list[str] = []
    for piece in assembly.placed:
        q, r = _cell(piece, on_side=on_side)
        number = round_of(q - q0, r - r0, flower.rounds, flower.path)
        found.append(names[-1] if number is None else names[number])
    return tuple(found)
