"""Ties: short uncut bridges that hold a piece."""

from __future__ import annotations

from typing import Any

from marshmallow import post_load, validate

from geometry.errors import GeometryError
from geometry.model.plausible import TIE_WIDTH
from geometry.toolpath.ties import Ties
from service.schemas.errors import of_geometry
from service.schemas.fields import Int, Strict
from service.schemas.plausible_length import PlausibleLength


class TiesSchema(Strict):
    """Short uncut bridges that hold a piece until the operator snips them."""

    count = Int(
        required=True,
        validate=validate.Range(0, 48),
        metadata={"description": "on each outline, away from its corners; 0 for none"},
    )
    width = PlausibleLength(
        TIE_WIDTH, default_mm=Ties().width, metadata={"description": "left uncut at each"}
    )

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> Ties:  # noqa: ANN401 - marshmallow's own
        try:
            return Ties(data["count"], data["width"])
        except GeometryError as error:
            raise of_geometry(error) from None
