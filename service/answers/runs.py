"""Answers about runs: one material on one cutter."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated

from service.answers.loads import LoadAnswer, PreviewLoadAnswer
from service.answers.motifs import MotifUseAnswer
from service.answers.places import ClothAnswer, MaterialSizeAnswer, SheetAnswer, WorkAreaAnswer
from service.answers.stock import ShortfallAnswer, StockEntryAnswer
from service.requests.runs import Cut
from service.schemas.answers import (
    Inlined,
    Mm,
)
from service.tools import KINDS


@dataclass(frozen=True, kw_only=True)
class MaterialAnswer:
    """The material of a run."""

    name: str
    kind: str


@dataclass(frozen=True, kw_only=True)
class PortionAnswer:
    """What one copy of the kit holds of one piece: cut pieces, so templates or patches."""

    needed: Annotated[int, "without spares"]
    spares: int


@dataclass(frozen=True, kw_only=True)
class PieceTotalAnswer:
    """The totals of one piece in a run, in all copies of the kit."""

    requested: Annotated[int, "without spares"]
    made: int
    spare: Annotated[int, "made beyond those requested, requested spares included"]
    mirrored: Annotated[int | None, "additional mirror images"] = None
    uses_per_template: int | None = None
    missing: int | None = None
    per_copy: Annotated[
        Mapping[str, PortionAnswer] | None,
        "what one copy holds, by piece; present for copies, spares, and pieces that are cut as "
        "one heap, which the total of the first of them counts together",
    ] = None


@dataclass(frozen=True, kw_only=True)
class RollAnswer:
    """The roll of a run."""

    width_mm: Annotated[
        float,
        "of the roll or the piece of cloth on its bed, from edge to edge: stated, or the bed's",
    ]
    length_mm: Annotated[float, "total length used of each layer, including margins"]
    min_length_mm: Annotated[float, "lower bound for any layout"]
    buy_mm: Annotated[
        float | None,
        "of cloth, with the test, and a repeat of a print whose motifs count: in whole eighths of "
        "a yard, or tenths of a metre; of pieces of stated size their whole lengths; absent for "
        "other material, and in a recut from a piece of stated size",
    ] = None
    buy: str | None = None


@dataclass(frozen=True, kw_only=True)
class TimeBasisAnswer:
    """The speeds behind a run's times; defaults where the cutter states none."""

    speed_mm_s: Annotated[
        float | None, "while cutting or drawing; not for a die, which is pressed"
    ] = None
    travel_speed_mm_s: Annotated[
        float | None, "between strokes; not for a die, which is pressed"
    ] = None
    stop_s: Annotated[float, "seconds per stop"]
    passes: Annotated[int | None, "over the same line; present for more than one"] = None
    of_tool: Annotated[object, Inlined(tuple(kind.time_answer for kind in KINDS))]


@dataclass(frozen=True, kw_only=True)
class MaterialSettingsAnswer:
    """The settings of a cutter for a material."""

    material: Annotated[str | None, "its name, if they are for it alone"] = None
    kind: Annotated[str | None, "of material, if they are for all of it"] = None
    offset_mm: Annotated[float | None, "of a drag blade"] = None
    kerf_mm: Annotated[float | None, "of a laser"] = None
    speed_mm_s: float | None = None
    passes: int | None = None
    force: str | None = None
    power: str | None = None
    test_cut: Annotated[str | None, "what the test cut showed"] = None


@dataclass(frozen=True, kw_only=True)
class PressedDieAnswer:
    """One die: its presses, and the pieces of each press."""

    load_number: Annotated[int, "the load that shows it"]
    presses: int
    outlines: Annotated[Mapping[str, int], "outlines on the die by piece"]
    pieces_per_press: Annotated[
        Mapping[str, int], "finished pieces per press by piece: outlines times layers"
    ]


@dataclass(frozen=True, kw_only=True)
class PreviewRunAnswer:
    """One material on one cutter."""

    number: Annotated[int, "of the run, from 1"]
    cut: Cut
    cutter: Annotated[str, "empty for a cutter in the request"]
    tool: str
    material: MaterialAnswer
    gap_mm: Mm
    layers: int
    time_basis: TimeBasisAnswer
    work_area: WorkAreaAnswer
    usable_area: Annotated[
        WorkAreaAnswer,
        "area for outlines: the work area minus the tool's own need at its edges, so that "
        "nothing is cut off the bed",
    ]
    sheet: Annotated[SheetAnswer | None, "present when the sheet's size is stated"] = None
    material_size: Annotated[
        MaterialSizeAnswer | None,
        "least size of each piece of material, where no sheet is stated: cloth that a frame grips, "
        "what covers a die's rules, or the work area with what is kept free at the edges of a "
        "sheet; a ruler's next mark, as on the run sheet",
    ] = None
    cloth: Annotated[
        ClothAnswer | None,
        "how much cloth its pieces of material take; present for kinds fabric and "
        "stiffened_fabric where each piece goes on the cloth's width; not of a roll, a stock, or a "
        "recut from a piece of stated size, which is there",
    ] = None
    loads: Sequence[PreviewLoadAnswer]
    min_loads: Annotated[int | None, "lower bound of loads for any layout"] = None
    loads_above_min: Annotated[int | None, "loads above that bound"] = None
    max_outlines_per_load: Annotated[
        int | None, "for a single kind: upper bound of outlines per load"
    ] = None
    roll: Annotated[RollAnswer | None, "present when the bed is a roll"] = None
    pieces_per_outline: Annotated[
        Mapping[str, Mapping[str, int]] | None,
        "for plies face to face: the finished pieces from one outline of a piece, including "
        "those of its mirror partner",
    ] = None
    dies: Annotated[Sequence[PressedDieAnswer] | None, "for a steel-rule die"] = None
    presses: Annotated[int | None, "presses of all dies together"] = None
    spare: Annotated[int | None, "surplus pieces of all presses, requested spares included"] = None
    stock_order: Annotated[
        str | None, "how the sheets of the stock were chosen; with a stock only"
    ] = None
    stock: Sequence[StockEntryAnswer] | None = None
    stock_cost: Annotated[str | None, "of all that is used, where the stock states prices"] = None
    shortfall: Annotated[
        ShortfallAnswer | None,
        "present in a preview whose stock does not hold all pieces; a kit is refused then",
    ] = None
    material_settings: Annotated[
        MaterialSettingsAnswer | None, "what the cutter is set to for this material"
    ] = None
    motif: Annotated[MotifUseAnswer | None, "for pieces on the motifs of a print"] = None
    totals: Mapping[str, PieceTotalAnswer]

    @property
    def bought(self) -> tuple[str, float] | None:
        """Return how much cloth to buy and how wide it is, mm; None where none is bought."""
        if self.cloth is not None:
            return self.cloth.buy, self.cloth.usable_width_mm
        if self.roll is not None and self.roll.buy is not None:
            return self.roll.buy, self.roll.width_mm
        return None

    @property
    def bought_mm(self) -> float | None:
        """Return how much cloth to buy, mm; None where none is bought."""
        if self.cloth is not None:
            return self.cloth.buy_mm
        return None if self.roll is None else self.roll.buy_mm


@dataclass(frozen=True, kw_only=True)
class RunAnswer(PreviewRunAnswer):
    """One material on one cutter, with files."""

    loads: Sequence[LoadAnswer]
