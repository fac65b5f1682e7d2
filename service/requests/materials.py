"""Materials: what is cut and, with a size, where one sheet of it lies on the bed."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from marshmallow import ValidationError, fields, post_load, validate, validates_schema

from geometry.model.plausible import CLOTH_WIDTH
from service.requests.motifs import Print, PrintSchema
from service.requests.stock import (
    MAX_STOCK,
    STOCK_ORDERS,
    StockEntry,
    StockEntrySchema,
    wrong_stock,
)
from service.schemas.errors import raise_together, unusable
from service.schemas.fields import Bool, Length, Strict, Text
from service.schemas.plausible_length import PlausibleLength
from service.schemas.validation import List
from service.tools.cloth import CLOTH

MATERIALS = ("paper", "card", "coated_paper", "fabric", "stiffened_fabric", "vinyl", "other")


@dataclass(frozen=True)
class Material:
    """What is cut; ``width`` and ``height`` of one sheet where stated, mm.

    ``laser_safe``: the caller has read in its safety data sheet that a laser may cut it. ``stock``
    lists the sheets that it may be cut from, and ``stock_order`` says which are taken first.
    ``fabric_width`` is that of the cloth that its pieces are cut from, between the selvedges.
    """

    name: str = "other"
    kind: str = "other"
    width: float | None = None
    height: float | None = None
    laser_safe: bool = False
    position: tuple[float, float] | None = None
    edge_clearance: float | None = None
    fabric_width: float | None = None
    motif: Print | None = None
    stock: tuple[StockEntry, ...] = ()
    stock_order: str = STOCK_ORDERS[0]

    @property
    def is_named(self) -> bool:
        """Return whether a request names it; without a name it is called ``other``."""
        return self.name not in {"", "other"}


class SheetPositionSchema(Strict):
    """Where a sheet's lower left corner lies on the bed."""

    x = Length(
        min_mm=-math.inf,
        required=True,
        metadata={"description": "from the bed's left edge; negative: the sheet reaches past it"},
    )
    y = Length(
        min_mm=-math.inf,
        required=True,
        metadata={"description": "from the bed's lower edge"},
    )

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> tuple[float, float]:  # noqa: ANN401
        return data["x"], data["y"]


class MaterialSchema(Strict):
    """What is cut; with a size, one sheet of it."""

    name = Text(80)
    kind = fields.String(validate=validate.OneOf(MATERIALS), load_default=Material.kind)
    laser_safe = Bool(
        load_default=False,
        metadata={
            "description": "whether its safety data sheet allows cutting it with a laser; if not "
            "stated, a laser cuts neither vinyl nor other",
        },
    )
    width = Length(positive=True, metadata={"description": "of one sheet; on a roll: across it"})
    height = Length(
        positive=True, metadata={"description": "of one sheet; on a roll: how long it is"}
    )
    position = fields.Nested(
        SheetPositionSchema,
        metadata={
            "description": "of the sheet's lower left corner on the bed; left out: the lower left "
            "corner of what the margins leave, or of the bed where the sheet is as large; centred "
            "over a frame that grips it, each way in which it reaches past the opening"
        },
    )
    edge_clearance = Length(
        metadata={
            "description": "from the sheet's edges to the pieces' outlines, within the margins and "
            "not on top of them. Left out: by tool (1 mm; a blade set by hand or a die 2 mm), or "
            "more where the tool needs more to stay on the sheet. A stated one holds: 0 lets "
            "pieces lie on the sheet's edge and the tool run past it"
        },
    )

    fabric_width = PlausibleLength(
        CLOTH_WIDTH,
        metadata={
            "description": "usable width, between selvedges, of the cloth that its pieces are cut "
            "from: the answer's `cloth` says how much to buy; 40 in when left out",
            "default": "40 in",
        },
    )
    motif = fields.Nested(
        PrintSchema,
        metadata={"description": "the repeat of a print, for pieces that ask for a motif"},
    )
    stock = List(
        fields.Nested(StockEntrySchema),
        validate=validate.Length(1, MAX_STOCK),
        metadata={
            "description": "instead of one sheet's size: all sheets, rolls and leftovers that it "
            "may be cut from"
        },
    )
    stock_order = fields.String(
        validate=validate.OneOf(STOCK_ORDERS),
        metadata={
            "description": "lowest_cost (the default): the lowest total cost, and at equal cost "
            "the least material. oldest_first: one entry after the other, by `since`; those "
            "without a date come last, in the order listed"
        },
    )

    @validates_schema(pass_original=True, skip_on_field_errors=False)
    def _stock_alone(self, data: dict[str, Any], original: Mapping[str, Any], **_: Any) -> None:  # noqa: ANN401
        raise_together([*_beside_stock(data, original), *_not_cloth(data, original)])

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> Material:  # noqa: ANN401
        name = data.pop("name", "") or data["kind"].replace("_", " ")
        stock = tuple(data.pop("stock", ()))
        return Material(name=name, stock=stock, **data)


def _beside_stock(
    data: Mapping[str, Any], original: Mapping[str, Any]
) -> Iterator[ValidationError]:
    """Yield the errors of a stock, and of members that it excludes."""
    stock = data.get("stock")
    if stock is None:
        # `stock` may be missing from `data` only because it has errors, which are reported.
        if "stock_order" in data and "stock" not in original:
            yield unusable("State the `stock` too, or leave this out.", "stock_order")
        return
    if "motif" in data:
        detail = (
            "Where the print lies on each sheet of a stock is not known. State one sheet, or leave "
            "this out."
        )
        yield unusable(detail, "motif")
    for name in ("width", "height", "position", "fabric_width"):
        if name in data:
            yield unusable("The sheets of a stock say this; leave it out.", name)
    for error in wrong_stock(stock):
        yield ValidationError({"stock": error.messages})


def _not_cloth(data: dict[str, Any], original: Mapping[str, Any]) -> Iterator[ValidationError]:
    """Yield an error where a width of cloth is stated for what is no cloth."""
    if "fabric_width" not in data:
        return
    # A kind with an error of its own is stated all the same.
    is_known = "kind" in data or "kind" not in original
    if is_known and data.get("kind") not in CLOTH:
        detail = "Only the kinds fabric and stiffened_fabric are cut from cloth; leave this out."
        yield unusable(detail, "fabric_width")
