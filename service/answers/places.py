"""Answers about where material and pieces lie on a bed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from service.schemas.answers import Mm


@dataclass(frozen=True, kw_only=True)
class WorkAreaAnswer:
    """The bed's area inside margins and sheet."""

    x_mm: Mm
    y_mm: Mm
    width_mm: Mm
    height_mm: Mm


@dataclass(frozen=True, kw_only=True)
class MaterialSizeAnswer:
    """The size to which each piece of a run's material is cut, or larger."""

    width_mm: Mm
    height_mm: Mm


@dataclass(frozen=True)
class TurnedRowsAnswer:
    """Rows of pieces of material that lie a quarter turn on, after the others."""

    per_row: Annotated[int, "pieces side by side"]
    rows: int


@dataclass(frozen=True, kw_only=True)
class ClothAnswer:
    """The cloth for a run's pieces of material, in rows across its width."""

    usable_width_mm: Annotated[float, "between selvedges; 40 in where the material states none"]
    pieces: Annotated[
        int,
        "pieces of material: one for each layer of each load, and of those that a frame grips or "
        "a die cuts one for each layer of the test",
    ]
    piece_width_mm: Annotated[float, "of each, across the cloth"]
    piece_length_mm: Annotated[float, "of each, along the cloth"]
    per_row: Annotated[int, "pieces side by side"]
    rows: int
    turned: Annotated[
        TurnedRowsAnswer | None,
        "rows after these, whose pieces lie a quarter turn on; where grain and print allow it and "
        "less is bought for it",
    ] = None
    length_mm: Annotated[float, "as it is cut, without shrinkage"]
    buy_mm: Annotated[
        float,
        "in whole eighths of a yard, or tenths of a metre: with an inch to straighten the end, the "
        "test's pieces where they have no room beside the others, and a repeat of a print",
    ]
    buy: str


@dataclass(frozen=True, kw_only=True)
class SheetAnswer:
    """The position of a sheet of stated size on the bed, and the clearance at its edges.

    A roll narrower than its bed has a position too, and a height across the bed, but no width.
    """

    edge_clearance_mm: Annotated[float, "clearance between the sheet's edges and the outlines"]
    x_mm: Annotated[float | None, "of its lower left corner, from the bed's left edge"] = None
    y_mm: Annotated[float | None, "from the bed's lower edge"] = None
    width_mm: Annotated[float | None, "of the box around a leftover that has an outline"] = None
    height_mm: float | None = None
    position: Annotated[str | None, "the same in words, in the request's units"] = None
