"""Inspections: the text fields beside the drawing that is sent."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from marshmallow import fields, post_load, validate

from geometry.shapes.curves import TOLERANCE
from service.requests.pieces import UNITS
from service.schemas.fields import Strict

#: Formats of drawings.
FORMATS = ("svg", "dxf", "hpgl", "gcode", "plan")


@dataclass(frozen=True)
class InspectionRequest:
    """How a drawing is read.

    Args:
        format: of the file; ``None`` to tell it from its beginning.
        units: of a drawing that states none.
        group: a layer, group or id; empty for everything.
        tolerance_mm: how far lines and arcs may stand off curves.
        cutter: name of the cutter whose work area outlines should fit; empty for none.
    """

    format: str | None
    units: str | None
    group: str
    tolerance_mm: float
    cutter: str


class InspectionFormSchema(Strict):
    """The text fields beside the file."""

    format = fields.String(
        validate=validate.OneOf(FORMATS),
        metadata={"description": "what the file is; recognised by its beginning when left out"},
    )
    units = fields.String(
        validate=validate.OneOf([*UNITS, "px"]),
        metadata={
            "description": "of a drawing that states no unit; one that states another is read in "
            "its own, with a warning. px: 96 per inch"
        },
    )
    group = fields.String(
        validate=validate.Length(1, 100),
        metadata={"description": "a layer, group or id; everything when left out"},
    )
    tolerance_mm = fields.Float(
        validate=validate.Range(0.001, 1.0),
        load_default=TOLERANCE,
        metadata={"description": "how far lines and arcs may stand off curves"},
    )
    cutter = fields.String(
        validate=validate.Length(1, 60),
        metadata={"description": "a cutter's name: does each outline fit its work area?"},
    )

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> InspectionRequest:  # noqa: ANN401
        return InspectionRequest(
            format=data.get("format"),
            units=data.get("units"),
            group=data.get("group", ""),
            tolerance_mm=data["tolerance_mm"],
            cutter=data.get("cutter", ""),
        )
