"""Answers about the fabric to buy."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated, Literal, TypeAlias

from service.schemas.answers import Inlined, Mm

#: How an amount to buy is found.
Method: TypeAlias = Literal["rows", "layout"]


@dataclass(frozen=True, kw_only=True)
class InStripsAnswer:
    """How a size of piece is cut in strips of fabric by the length."""

    per_row: Annotated[int, "pieces in a strip"]
    rows: Annotated[int, "strips that are cut across the fabric for it"]
    from_rests: Annotated[int, "of the pieces, those cut from what others leave of their strips"]
    length_of_rows_mm: Mm


@dataclass(frozen=True, kw_only=True)
class FromPreCutsAnswer:
    """How a size of piece is cut from pre-cut pieces of fabric."""

    pieces_per_pre_cut: Annotated[int, "pieces from one pre-cut piece"]
    pre_cuts: Annotated[int, "pre-cut pieces"]
    spare: Annotated[int, "more pieces that could be cut"]


@dataclass(frozen=True, kw_only=True)
class RowsAnswer:
    """One size of piece on one fabric, listed once for each way in which it lies in strips."""

    id: str
    width_mm: Annotated[float, "as cut"]
    length_mm: Annotated[float, "as cut"]
    needed: Annotated[int, "pieces requested"]
    cut: Annotated[int, "pieces cut, including spoilage"]
    turned: Annotated[bool, "in strips it lies otherwise than as drawn or half a turn from it"]
    turned_alternately: Annotated[bool, "every other piece of a strip lies half a turn on"]
    turn_deg: Annotated[float, "turn of a strip's pieces from how they are drawn"]
    strip_mm: Annotated[float, "width of a strip as cut, by ruler"]
    method: Annotated[str | None, "how triangles that share a rectangle are cut from it"] = None
    cut_from: Annotated[InStripsAnswer | FromPreCutsAnswer, Inlined()]


@dataclass(frozen=True, kw_only=True)
class LengthAnswer:
    """The length to buy of one fabric by one method."""

    length_mm: Annotated[float, "as it is cut"]
    length_before_wash_mm: Annotated[float, "including shrinkage"]
    buy_mm: Annotated[float, "in whole steps"]
    buy: str
    unused_mm: Annotated[float, "bought but not used"]


@dataclass(frozen=True, kw_only=True)
class PreCutsAnswer:
    """The pre-cut pieces to buy of one fabric by one method."""

    pre_cuts: Annotated[int, "pre-cut pieces to buy"]
    buy: str


@dataclass(frozen=True, kw_only=True)
class MethodAnswer:
    """The amount to buy of one fabric by one method: a length, or pre-cut pieces."""

    amount: Annotated[LengthAnswer | PreCutsAnswer, Inlined()]


@dataclass(frozen=True, kw_only=True)
class MethodsAnswer:
    """The amount to buy by both methods."""

    rows: Annotated[MethodAnswer, "strips, and pieces cut from them, by a person with a ruler"]
    layout: Annotated[
        MethodAnswer | None,
        "a cutter's layout on a roll of the usable width or on the pre-cut pieces, of effort "
        "normal for up to 500 pieces of 5 kinds with straight sides and where quick takes more "
        "than rows, else quick; left out where it would take too long, with a warning",
    ] = None


@dataclass(frozen=True, kw_only=True)
class CuttingAnswer:
    """How to cut the pieces of one fabric by hand, by the method rows."""

    instructions: Annotated[Sequence[str], "one sentence for each step, in the request's units"]
    picture: Annotated[
        str,
        "SVG of every strip that is cut, equal ones once; of pre-cut fabric, of a full strip of "
        "each size",
    ]
    cautions: Sequence[str]


@dataclass(frozen=True, kw_only=True)
class QuotedAnswer:
    """What is stated of fabric by the length and of pre-cut pieces alike."""

    quoted_method: Method
    methods: MethodsAnswer
    amount: Annotated[LengthAnswer | PreCutsAnswer, Inlined()]


@dataclass(frozen=True, kw_only=True)
class ByLengthAnswer:
    """Fabric that is bought by the length."""

    per_row: Annotated[int | None, "in a strip, of the only size; null if there are several"]
    rows: Annotated[int, "strips of all sizes"]
    quoted: Annotated[QuotedAnswer, Inlined()]
    min_length_mm: Annotated[float, "the least that any method takes: area over width"]
    usable_width_mm: Mm


@dataclass(frozen=True, kw_only=True)
class InPreCutsAnswer:
    """Fabric that is bought in pre-cut pieces."""

    pre_cut: str
    pre_cut_width_mm: Mm
    pre_cut_length_mm: Mm
    quoted: Annotated[QuotedAnswer, Inlined()]


@dataclass(frozen=True, kw_only=True)
class FabricAnswer:
    """The amount to buy of one fabric by the quoted method: a length, or pre-cut pieces."""

    fabric: str
    area_mm2: Annotated[float, "of all pieces as cut"]
    bought: Annotated[ByLengthAnswer | InPreCutsAnswer, Inlined()]
    cutting: CuttingAnswer
    pieces: Sequence[RowsAnswer]
    warnings: Sequence[str] | None = None
