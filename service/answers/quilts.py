"""Schemas of answers about quilts, yardage and finishing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Literal

from service.answers.fabrics import FabricAnswer
from service.answers.finishing import FinishAnswer, FinishForAllAnswer
from service.answers.quilt_sizes import (
    AssembledAnswer,
    BorderAnswer,
    EdgesAnswer,
    NearestTopSizesAnswer,
)
from service.answers.quotes import MaterialsQuoteAnswer
from service.requests.kits import KitRequestSchema
from service.requests.shapes import shape
from service.schemas.answers import (
    FromSchema,
    Inlined,
    Json,
    Mm,
)


@dataclass(frozen=True, kw_only=True)
class TilingAnswer:
    """A way to tile a quilt."""

    name: str
    title: str
    description: str
    sizes: Annotated[Mapping[str, str], "the lengths that size it, with descriptions"]
    counts: Annotated[
        Mapping[str, Mapping[str, int]], "its whole numbers, with minimum, maximum and default"
    ]
    kinds: Annotated[Sequence[str], "kinds of its whole pieces"]
    edges: Sequence[str]


@dataclass(frozen=True, kw_only=True)
class TilingList:
    """All tilings."""

    tilings: Sequence[TilingAnswer]


@dataclass(frozen=True, kw_only=True)
class BedAnswer:
    """The bed that a quilt's size was calculated from."""

    name: str
    mattress_width_mm: Mm
    mattress_length_mm: Mm
    drop_mm: Mm
    tuck_mm: Mm


@dataclass(frozen=True, kw_only=True)
class QuiltSizeAnswer:
    """The requested size."""

    width_mm: Mm
    length_mm: Mm
    bed: BedAnswer | None = None


@dataclass(frozen=True, kw_only=True)
class FinishingAnswer:
    """Binding, backing and batting for a quilt."""

    quilt: QuiltSizeAnswer
    finish: Annotated[FinishAnswer, Inlined()]
    warnings: Annotated[Sequence[str], "too little left to straighten the cloth's end"]


@dataclass(frozen=True, kw_only=True)
class YardageAnswer:
    """The fabrics for pieces."""

    fabrics: Sequence[FabricAnswer]


@dataclass(frozen=True, kw_only=True)
class SheetRowAnswer:
    """Sheets of paper or card for one shape."""

    shape: str
    templates: Annotated[int, "to cut"]
    sheet_width_mm: Annotated[
        float | None, "of a larger sheet, for a shape that the usual one does not hold"
    ] = None
    sheet_height_mm: Mm | None = None
    per_sheet: Annotated[int, "on a full sheet, laid out as in a kit's run"]
    sheets: Annotated[int, "sheets to buy; a run on this sheet takes no more"]
    effort: Annotated[
        Literal["normal", "quick"],
        "of the layout; from the 13th shape on it is quick, and a run may take fewer sheets",
    ]


@dataclass(frozen=True, kw_only=True)
class PaperAnswer:
    """Paper or card for the templates."""

    sheet: str
    width_mm: Mm
    height_mm: Mm
    reuse: Annotated[int, "uses of one template"]
    templates: Annotated[int, "in all"]
    sheets: Annotated[int, "in all, larger ones included"]
    rows: Sequence[SheetRowAnswer]


@dataclass(frozen=True, kw_only=True)
class MaterialsAnswer:
    """The materials for a planned quilt."""

    fabrics: Sequence[FabricAnswer]
    paper: PaperAnswer
    finish: Annotated[FinishAnswer, Inlined()]
    finishing_for_all: Annotated[
        FinishForAllAnswer | None, "present for more than one kit; binding, backing are of one"
    ] = None


@dataclass(frozen=True, kw_only=True)
class PlannedPieceAnswer:
    """Equal pieces of one colour."""

    id: str
    shape: Annotated[Json, shape]
    quantity: Annotated[int, "pieces in one quilt"]
    part: Annotated[
        Literal["whole", "half", "trimmed", "border"],
        "half: drafted to fill the edge; trimmed: sewn whole, then cut to size; border: a piece "
        "or cornerstone of a border",
    ]
    colour: str
    share: Annotated[float, "share of the whole piece's area"]
    mirror_of: Annotated[str | None, "the piece of this colour whose mirror image it is"] = None


@dataclass(frozen=True, kw_only=True)
class QuiltTotalsAnswer:
    """How many pieces a quilt has."""

    pieces: Annotated[int, "in all"]
    whole: Annotated[int, "whole"]
    half: Annotated[int, "drafted to fill the edge"]
    trimmed: Annotated[int, "sewn whole, then cut to size"]
    border: Annotated[int, "strips, pieces and cornerstones of borders"]


@dataclass(frozen=True, kw_only=True)
class SeamsAnswer:
    """The amount of sewing."""

    length_mm: Annotated[float, "of all seams"]
    count: Annotated[int, "edges shared by two pieces"]
    outside_mm: Annotated[float, "total length of outer edges"]
    stitches: Annotated[int, "whipstitches in all seams"]


@dataclass(frozen=True, kw_only=True)
class CostAnswer:
    """The cost of materials, in the currency of the prices; for all kits unless stated."""

    fabric: Annotated[float | None, "by the length: patches, binding, backing"] = None
    pre_cuts: Annotated[float | None, "pre-cut pieces"] = None
    paper: Annotated[float | None, "sheets of paper or card"] = None
    total: Annotated[float, "all kits"]
    per_kit: Annotated[float, "one kit's share"]


@dataclass(frozen=True, kw_only=True)
class TimeAnswer:
    """Estimated working times."""

    basting_s: Annotated[float | None, "of one kit"] = None
    sewing_s: Annotated[float | None, "of one kit"] = None
    per_kit_s: Annotated[float, "total of the known times for one kit"]
    total_s: Annotated[float, "of all kits"]


@dataclass(frozen=True, kw_only=True)
class FlowerAnswer:
    """One flower of hexagons."""

    pieces: Annotated[int, "of its centre and rounds"]
    pieces_with_path: Annotated[int, "the same with its share of the path"]


@dataclass(frozen=True, kw_only=True)
class QuiltPlanAnswer:
    """A quilt: its pieces, materials, picture, and the kit that cuts it."""

    title: str
    tiling: str
    counts: Annotated[Mapping[str, int], "the tiling's whole numbers, stated or chosen"]
    flower: Annotated[FlowerAnswer | None, "present for a tiling of flowers"] = None
    quilt: QuiltSizeAnswer
    assembled: AssembledAnswer
    top: Annotated[AssembledAnswer, "inside the borders"]
    nearest_sizes: NearestTopSizesAnswer
    edge: EdgesAnswer
    pieces: Sequence[PlannedPieceAnswer]
    borders: Annotated[Sequence[BorderAnswer], "from the inside out"]
    totals: QuiltTotalsAnswer
    colours: Annotated[Mapping[str, int], "pieces of each colour"]
    seams: SeamsAnswer
    materials: MaterialsAnswer
    cost: Annotated[CostAnswer | None, "present when prices are stated"] = None
    quote: Annotated[MaterialsQuoteAnswer | None, "present when prices are a price list"] = None
    time: Annotated[TimeAnswer | None, "present when speeds are stated"] = None
    kits: Annotated[int, "number of equal kits; fabrics and paper are for all of them"]
    kit: Annotated[Json, FromSchema(KitRequestSchema), "a body for POST /v1/kits"]
    picture: Annotated[str, "SVG of the quilt"]
    warnings: Annotated[
        Sequence[str],
        "a size that differs by more than 2 % from the one requested, templates that need a "
        "larger sheet, too little left to straighten the end of binding or backing",
    ]
