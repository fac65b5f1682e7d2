"""Materials: what is cut and, with a size, where one sheet of it lies on the bed."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from marshmallow import fields, post_load, validate

from service.schemas.fields import Bool, Length, Strict, Text

MATERIALS = ("paper", "card", "coated_paper", "fabric", "stiffened_fabric", "vinyl", "other")


@dataclass(frozen=True)
class Material:
    """What is cut; ``width`` and ``height`` of one sheet where stated, mm.

    ``laser_safe``: the caller has read in its safety data sheet that a laser may cut it.
    """

    name: str = "other"
    kind: str = "other"
    width: float | None = None
    height: float | None = None
    laser_safe: bool = False
    position: tuple[float, float] | None = None
    edge_clearance: float | None = None


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
            "description": "that its safety data sheet allows cutting it with a laser; without it "
            "a laser cuts neither vinyl nor other",
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
            "corner of what the margins leave, or of the bed where the sheet is as large"
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

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> Material:  # noqa: ANN401
        name = data.pop("name", "") or data["kind"].replace("_", " ")
        return Material(name=name, **data)
