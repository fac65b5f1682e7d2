"""Answers about a stock: what is used, left and missing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated

from service.answers.places import SheetAnswer, WorkAreaAnswer


@dataclass(frozen=True, kw_only=True)
class StockPlaceAnswer:
    """The entry of a stock that a load is cut from, and where its sheet lies."""

    stock: Annotated[
        str,
        "the entry of the run's stock that the load is cut from. The areas and the sheet are then "
        "those stated here, and each layer takes a sheet of its own, or a length of a roll",
    ]
    work_area: WorkAreaAnswer
    usable_area: WorkAreaAnswer
    sheet: SheetAnswer | None = None


@dataclass(frozen=True, kw_only=True)
class LeftoverOutlineAnswer:
    """A leftover that is no rectangle, by what a person recognises."""

    corners: Annotated[int, "without points along an edge that is straight to within 5 degrees"]
    area_mm2: float
    width_mm: Annotated[float, "of the box around it, as it was stated"]
    height_mm: float


@dataclass(frozen=True, kw_only=True)
class StockEntryAnswer:
    """One entry of a run's stock: what is used and what is left."""

    name: str
    count: Annotated[int, "in stock"]
    used: int
    unused: int
    loads: Annotated[
        Sequence[int],
        "numbers of the loads that are cut from it; the `offcuts` of a load list what it leaves",
    ]
    used_length_mm: Annotated[float | None, "of a roll: drawn off it, margins included"] = None
    left_length_mm: Annotated[float | None, "of a roll: what stays on it"] = None
    cost: Annotated[str | None, "of what is used, by its price"] = None
    outline: Annotated[LeftoverOutlineAnswer | None, "of a leftover that has one"] = None


@dataclass(frozen=True, kw_only=True)
class PurchaseAnswer:
    """What to buy more of."""

    name: Annotated[str, "of the entry of the stock"]
    count: Annotated[int | None, "sheets"] = None
    length_mm: Annotated[
        float | None, "of a roll, rounded up to the next mark of a ruler in the request's units"
    ] = None
    cost: Annotated[str | None, "by its price"] = None


@dataclass(frozen=True, kw_only=True)
class ShortfallAnswer:
    """The pieces that the stock of a run does not hold, and what to buy for them."""

    run: Annotated[int, "number of the run"]
    missing: Annotated[Mapping[str, int], "finished pieces that are missing, by piece"]
    buy: Annotated[
        Sequence[PurchaseAnswer],
        "any one of these is enough for all missing pieces: the same request with so much more "
        "finds room for them; the cheapest first. Leftovers with an outline cannot be bought",
    ]
