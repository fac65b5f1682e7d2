"""Paper or card for the templates of a quilt."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from marshmallow import ValidationError, fields, post_load, validate, validates_schema

from geometry.planning.sheets import PaperSheet as Paper
from geometry.units import MM_PER_INCH as INCH
from service.requests.runs import Run
from service.schemas.context import current
from service.schemas.errors import together, unusable
from service.schemas.fields import Int, Length, Strict

_PAPERS = {"letter": (8.5 * INCH, 11.0 * INCH), "a4": (210.0, 297.0)}
_MARGIN, _GAP = 0.25 * INCH, 1.0


@dataclass(frozen=True)
class PaperSettings:
    """The sheets that templates are cut from, and how often each template is used.

    ``stated`` is the member that states the sheet; empty if the usual one was taken.
    """

    sheet: Paper
    reuse: int
    stated: str = ""


class PaperSettingsSchema(Strict):
    """Paper or card for the templates."""

    sheet = fields.String(validate=validate.OneOf(list(_PAPERS)))
    width = Length(positive=True)
    height = Length(positive=True)
    margin = Length(
        load_default=_MARGIN, metadata={"description": "kept free all round", "default": "1/4 in"}
    )
    gap = Length(default_mm=_GAP, metadata={"description": "between templates"})
    reuse = Int(
        validate=validate.Range(1, 1000),
        load_default=Run.reuse,
        metadata={"description": "uses of one template"},
    )

    @validates_schema(pass_original=True, skip_on_field_errors=False)
    def _one_of_two(self, data: dict[str, Any], stated: Any, **_: Any) -> None:  # noqa: ANN401
        del data
        if isinstance(stated, Mapping) and (errors := list(_misplaced(stated))):
            raise together(errors)

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> PaperSettings:  # noqa: ANN401
        usual = "letter" if current().units == "in" else "a4"
        name = "sheet" if "width" in data else data.get("sheet", usual)
        width, height = _PAPERS.get(name) or (data["width"], data["height"])
        if 2.0 * data["margin"] >= min(width, height):
            raise unusable("The margins leave nothing of the sheet.", "margin")
        stated = next((member for member in ("sheet", "width") if member in data), "")
        sheet = Paper(name, width, height, data["margin"], data["gap"])
        return PaperSettings(sheet, data["reuse"], stated)


def _misplaced(stated: Mapping[str, Any]) -> Iterator[ValidationError]:
    own = [name for name in ("width", "height") if name in stated]
    if own and "sheet" in stated:
        yield unusable("Give either a named sheet or its width and height.", "sheet")
    if len(own) == 1:
        yield unusable("Give the sheet's width and its height.", own[0])
