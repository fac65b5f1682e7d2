"""A quilt that is to be planned, as its request is loaded."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from geometry.planning.blocks import Block
from geometry.planning.borders import BorderSpec
from geometry.planning.frames import Edge
from geometry.planning.grain import Grain
from geometry.planning.plane import Tiling
from geometry.planning.settings import BlockSetting
from geometry.planning.tilings import TILINGS
from service.planning import cost
from service.planning.colours import ColourPlan, Flower
from service.requests.borders import Fitting
from service.requests.callbacks import Callback
from service.requests.fabrics import Bought
from service.requests.finishing import FinishingSettings
from service.requests.paper import PaperSettings
from service.requests.prices import PriceList
from service.requests.quilt_size import QuiltSize


@dataclass(frozen=True)
class QuiltSpec:
    """A quilt that is to be planned, lengths in mm.

    Args:
        title: of the quilt.
        units: in which lengths are shown.
        tiling_name: how its pieces are arranged.
        block: that is repeated instead of a tiling.
        setting: of its blocks.
        sizes: that size the tiling.
        counts: its whole numbers, as far as they are stated.
        written: the same as the request wrote them.
        on_side: whether rows become columns.
        quilt: its size.
        fit: how it keeps to that size.
        borders: round it, from the inside out.
        sides: how its left and right edges are made.
        ends: how its top and bottom edges are made.
        colours: how colours are placed.
        flower: its rounds and path, where the tiling has any.
        allowance: of every piece.
        written_allowance: the same as the request wrote it.
        stitches_per_inch: of the seams.
        fabric: of the patches.
        is_straight: whether pieces lie with their sides along the block's edges on the straight
            grain, where the fabric's print has no top.
        paper: of the templates.
        finishing: binding, backing and batting.
        prices: as far as they are stated.
        price_list: that is used instead of those.
        written_prices: the JSON of that list.
        speeds: as far as they are stated.
        kits: how many alike.
        cutter: name of the cutter that the kit is made for.
        reference: the caller's own; may be empty.
        callback: who is called back at the end of its job; not part of ``document``.
        document: the JSON that says all of it, to be kept.
    """

    title: str
    units: str
    tiling_name: str
    block: Block | None
    setting: BlockSetting | None
    sizes: Mapping[str, float]
    counts: Mapping[str, int]
    written: Mapping[str, str | float]
    on_side: bool
    quilt: QuiltSize
    fit: Fitting
    borders: tuple[BorderSpec, ...]
    sides: Edge
    ends: Edge
    colours: ColourPlan
    flower: Flower | None
    allowance: float
    written_allowance: str | float
    stitches_per_inch: float
    fabric: Bought
    is_straight: bool
    paper: PaperSettings
    finishing: FinishingSettings
    prices: cost.Prices | None
    price_list: PriceList | None
    written_prices: Mapping[str, Any] | None
    speeds: cost.Speeds | None
    kits: int
    cutter: str
    reference: str
    callback: Callback | None
    document: Mapping[str, Any]

    @property
    def grain(self) -> Grain:
        """Return how the pieces lie on the cloth."""
        if self.fabric.fabric.directional:
            return "as-set"
        return "straight" if self.is_straight else "free"

    @property
    def tiling(self) -> Tiling:
        """The tiling of that name, or of its block."""
        return TILINGS[self.tiling_name] if self.block is None else tiling_of(self.block)


def tiling_of(block: Block) -> Tiling:
    """Return the tiling that repeats a block."""
    return Tiling("block", "blocks", "a block of one's own", {}, lambda _: block.plane())
