"""Quilt plans: a quilt of one tiling, and what it is made of."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from marshmallow import fields, post_load, validate, validates_schema

from geometry.model.plausible import PIECED_SEAM
from geometry.planning.plane import Tiling
from geometry.planning.stars import MAX_DIAMONDS
from geometry.planning.tilings import TILINGS
from geometry.units import MM_PER_INCH as INCH
from service.planning.colours import ColourPlan, Flower
from service.requests.blocks import BlockSchema, SettingSchema, wrong_blocks
from service.requests.borders import (
    EDGES,
    FITS,
    MAX_BORDERS,
    BorderSchema,
    EdgeSchema,
    borders_of,
    edges_of,
    straight_edges,
    wrong_borders,
    wrong_fit,
)
from service.requests.callbacks import callback_field, without_callback
from service.requests.colours import ColoursSchema
from service.requests.costs import PlanPrices, SpeedsSchema, wrong_prices
from service.requests.fabrics import UNNAMED, FabricSettingsSchema, SettingsField
from service.requests.finishing import FinishingSettingsSchema, settings_of
from service.requests.kits import reference_field
from service.requests.paper import PaperSettingsSchema
from service.requests.pieces import units
from service.requests.prices import PriceList
from service.requests.quilt_size import QuiltSchema
from service.requests.quilt_spec import QuiltSpec, tiling_of
from service.requests.tiling_sizes import wrong_sizes
from service.schemas.errors import together
from service.schemas.fields import CUTTER_NAME, Int, Length, Name, Num, Text
from service.schemas.plausible_length import PlausibleLength
from service.schemas.structures import Either
from service.schemas.validation import List

USUAL_CUTTER = "drag-blade-sheet"
_ALLOWANCE = "1/4 in"
#: Pieces smaller than this cannot be sewn, mm.
_MIN_SIZE = 3.0
#: Maximum size, mm: with it, the widest piece of every tiling is a size that shapes accept.
_MAX_SIZE = 3000.0


def _size() -> Length:
    return Length(min_mm=_MIN_SIZE, max_mm=_MAX_SIZE)


class QuiltPlanRequestSchema(FinishingSettingsSchema):
    """A quilt of one tiling."""

    names_price_lists = True
    names_blocks = "block"

    units = units()
    title = Text(120)
    tiling = fields.String(validate=validate.OneOf(list(TILINGS)))
    block = fields.Nested(
        BlockSchema, metadata={"description": "repeated instead of a tiling's pieces"}
    )
    setting = fields.Nested(
        SettingSchema,
        metadata={"description": "of separate blocks: your own, squares, rectangles or stars"},
    )
    direction = fields.String(
        validate=validate.OneOf(["upright", "on_side"]),
        load_default="upright",
        metadata={"description": "on_side: rows become columns"},
    )
    side = _size()
    width = _size()
    height = _size()
    length = _size()
    rounds = Int(validate=validate.Range(1, 20))
    path = Int(validate=validate.Range(0, 6))
    diamonds = Int(
        validate=validate.Range(1, MAX_DIAMONDS),
        metadata={
            "description": "small diamonds along the edge of a star's point; left out: as many as "
            "make one star of about the quilt's size"
        },
    )
    quilt = fields.Nested(QuiltSchema, required=True)
    edge = Either(
        "EdgeChoice",
        [
            ((str,), fields.String(validate=validate.OneOf(EDGES))),
            ((dict,), fields.Nested(EdgeSchema)),
        ],
        wanted='Write whole, trimmed or filled, or {"sides": ..., "ends": ...}.',
        metadata={
            "description": "left out: whole, or filled inside borders if whole pieces make no "
            "straight edge",
            "default": "whole",
        },
    )
    fit = fields.String(
        validate=validate.OneOf(FITS),
        load_default="larger",
        metadata={
            "description": "larger, smaller, nearest: the size in whole rows and columns that is "
            "at least, at most or nearest to the one requested; borders: at most, and a border "
            "makes up the rest"
        },
    )
    borders = List(
        fields.Nested(BorderSchema),
        validate=validate.Length(1, MAX_BORDERS),
        metadata={"description": "from the inside out; they count towards the quilt's size"},
    )
    colours = SettingsField(ColoursSchema)
    seam_allowance = PlausibleLength(
        PIECED_SEAM, load_default=0.25 * INCH, metadata={"default": _ALLOWANCE}
    )
    stitches_per_inch = Num(
        validate=validate.Range(1, 40),
        load_default=10.0,
        metadata={"description": "whipstitches; 6 to 16 are usual", "default": 10},
    )
    fabric = SettingsField(FabricSettingsSchema)
    grain = fields.String(
        validate=validate.OneOf(["straight", "free"]),
        load_default="straight",
        metadata={
            "description": "straight: sides along the block's edges lie on the straight grain; "
            "of a piece without any, the longest side does. free: any turn, which may take less "
            "cloth; for pieces on paper, which keeps bias edges from stretching. On a "
            "`directional` fabric all pieces lie as in the quilt"
        },
    )
    paper = SettingsField(PaperSettingsSchema)
    prices = PlanPrices()
    speeds = fields.Nested(SpeedsSchema)
    kits = Int(
        validate=validate.Range(1, 1000),
        load_default=1,
        metadata={"description": "quilts that are alike, for a class"},
    )
    cutter = Name(
        CUTTER_NAME,
        "A cutter's name has lower-case letters, digits and hyphens.",
        load_default=USUAL_CUTTER,
    )

    reference = reference_field("also of the plan's kit")
    callback = callback_field("when its job has ended")

    @validates_schema(pass_original=True, skip_on_field_errors=False)
    def _check(self, data: dict[str, Any], stated: Any, **_: Any) -> None:  # noqa: ANN401
        """Check what members say together, as far as they could be loaded."""
        errors = [
            *wrong_sizes(data.get("tiling"), stated),
            *wrong_prices(data),
            *wrong_blocks(data, stated),
            *wrong_borders(data),
            *wrong_fit(data),
        ]
        if errors:
            raise together(errors)

    @post_load(pass_original=True)
    def _made(self, data: dict[str, Any], stated: dict[str, Any], **_: Any) -> QuiltSpec:  # noqa: ANN401
        block = data.get("block")
        tiling = TILINGS[data["tiling"]] if block is None else tiling_of(block)
        borders = borders_of(data)
        sizes = {name: data[name] for name in tiling.sizes}
        is_on_side = data["direction"] == "on_side"
        usual = straight_edges(tiling, sizes, is_on_side=is_on_side) if borders else "whole"
        edges = edges_of(data.get("edge", usual))
        prices = data.get("prices")
        is_listed = isinstance(prices, PriceList)
        return QuiltSpec(
            title=data.get("title") or f"Quilt of {tiling.title}",
            units=data.get("units") or "mm",
            tiling_name=tiling.name,
            block=block,
            setting=data.get("setting"),
            sizes=sizes,
            counts={name: data[name] for name in tiling.counts if name in data},
            written={name: stated[name] for name in tiling.sizes},
            on_side=is_on_side,
            quilt=data["quilt"],
            fit=data["fit"],
            borders=borders,
            sides=edges["sides"],
            ends=edges["ends"],
            colours=_colours(data, stated),
            flower=_flower(tiling, data),
            allowance=data["seam_allowance"],
            written_allowance=stated.get("seam_allowance", _ALLOWANCE),
            stitches_per_inch=data["stitches_per_inch"],
            fabric=data["fabric"],
            is_straight=data["grain"] == "straight",
            paper=data["paper"],
            finishing=settings_of(data),
            prices=None if is_listed else prices,
            price_list=prices if is_listed else None,
            written_prices=stated["prices"] if is_listed else None,
            speeds=data.get("speeds"),
            kits=data["kits"],
            cutter=data["cutter"],
            reference=data.get("reference", ""),
            callback=data.get("callback"),
            document=without_callback(stated),
        )


def _colours(data: Mapping[str, Any], stated: Mapping[str, Any]) -> ColourPlan:
    """Return how colours are placed: a named fabric is that of all pieces without a colour."""
    name: str = data["fabric"].name
    if "colours" in stated or name in {"", UNNAMED}:
        placed: ColourPlan = data["colours"]
        return placed
    return ColourPlan("repeat", (name,))


def _flower(tiling: Tiling, data: Mapping[str, Any]) -> Flower | None:
    if "rounds" not in tiling.counts:
        return None
    usual = {name: bounds[2] for name, bounds in tiling.counts.items()}
    return Flower(**{name: data.get(name, value) for name, value in usual.items()})
