"""Fabric as it is bought: its width, the step of its length, and pre-cut pieces."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import marshmallow as ma
from marshmallow import fields, post_load, validate

from geometry.model.plausible import CLOTH_WIDTH, PRE_CUT
from geometry.planning.cloth import Fabric
from geometry.planning.pre_cuts import PreCut
from geometry.units import MM_PER_INCH as INCH
from service.schemas.context import current
from service.schemas.fields import Bool, Length, Num, Strict, Text
from service.schemas.plausible_length import PlausibleLength
from service.schemas.structures import Either

#: In metric requests, cloth is sold by the tenth of a metre.
_METRIC_STEP = 100.0
_YARD_STEP = 4.5 * INCH
_METRIC = frozenset({"mm", "cm"})
_STRIP = 2.5 * INCH
#: The finest marks of usual rulers: a sixteenth of an inch, a millimetre.
_RULER_STEP, _METRIC_RULER_STEP = INCH / 16.0, 1.0
_PRE_CUTS = {
    "fat_quarter": ("fat quarter", 18 * INCH, 22 * INCH),
    "fat_quarter_metric": ("metric fat quarter", 500.0, 550.0),
    "fat_eighth": ("fat eighth", 9 * INCH, 22 * INCH),
    "square_5": ("5 in square", 5 * INCH, 5 * INCH),
    "square_10": ("10 in square", 10 * INCH, 10 * INCH),
}
PRE_CUTS = ("fat_quarter", "fat_quarter_metric", "fat_eighth", "strip", "square_5", "square_10")
USUAL_WIDTH = Fabric.width
QUOTED_METHODS = ("larger", "rows", "layout")
_MAX_GAP = 50.0


@dataclass(frozen=True)
class LengthStep:
    """The step in which fabric is sold, mm, and the unit in which its length is shown."""

    mm: float
    unit: str


@dataclass(frozen=True)
class Bought:
    """A fabric as it is bought and calculated.

    Args:
        name: of the fabric.
        fabric: its measures.
        unit: in which its length is shown.
        pre_cut: the pre-cut piece it comes in.
        gap: between pieces where a cutter cuts them, mm.
        quoted_method: ``rows``, ``layout``, or the ``larger`` of the two.
    """

    name: str
    fabric: Fabric
    unit: str
    pre_cut: PreCut | None = None
    gap: float = 0.0
    quoted_method: str = "larger"


#: What a fabric without a name is called.
UNNAMED = "fabric"


class RoundingStep(Length):
    """The step to which a length of fabric is rounded up; it says in which unit people count."""

    def __init__(self, **kwargs: Any) -> None:  # noqa: ANN401 - passed on to the field
        super().__init__(positive=True, load_default=_usual_step, **kwargs)

    def _deserialize(
        self,
        value: Any,  # noqa: ANN401 - any JSON value
        attr: str | None,
        data: Mapping[str, Any] | None,
        **kwargs: Any,  # noqa: ANN401 - marshmallow's own
    ) -> Any:  # noqa: ANN401 - a step in place of a length
        mm = super()._deserialize(value, attr, data, **kwargs)
        return LengthStep(mm, _unit_of(str(value).lower()))


def usual_step(units: str | None) -> LengthStep:
    """Return the step in which cloth is sold where people count in these units."""
    if units in _METRIC:
        return LengthStep(_METRIC_STEP, "m")
    return LengthStep(_YARD_STEP, "yd")


def _usual_step() -> LengthStep:
    return usual_step(current().units)


def _usual_ruler_step() -> float:
    return _METRIC_RULER_STEP if _is_metric() else _RULER_STEP


def _is_metric() -> bool:
    return current().units in _METRIC


def _unit_of(text: str) -> str:
    if "yd" in text or "yard" in text:
        return "yd"
    bare = not any(letter.isalpha() for letter in text)
    return "m" if "m" in text or (bare and _is_metric()) else "in"


class SettingsField(fields.Nested):
    """An object of settings; left out, each of them has its usual value."""

    def __init__(self, schema: type[ma.Schema], **kwargs: Any) -> None:  # noqa: ANN401
        super().__init__(schema, load_default=lambda: self.schema.load({}), **kwargs)


def _percent(description: str, most: float) -> Num:
    return Num(
        validate=validate.Range(0, most),
        load_default=0.0,
        metadata={"description": description, "default": 0},
    )


class PreCutSizeSchema(Strict):
    """A pre-cut piece of fabric of any size."""

    width = PlausibleLength(PRE_CUT, required=True)
    length = PlausibleLength(PRE_CUT, required=True)

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> PreCut:  # noqa: ANN401
        return PreCut("pre-cut piece", data["width"], data["length"])


class FabricSettingsSchema(Strict):
    """Fabric as it is bought."""

    name = Text(
        80,
        load_default=UNNAMED,
        metadata={"description": "of pieces that name no fabric; of a plan, that have no colour"},
    )
    width = PlausibleLength(
        CLOTH_WIDTH,
        load_default=USUAL_WIDTH,
        metadata={"description": "usable, between selvedges", "default": "40 in"},
    )
    step = RoundingStep(metadata={"description": "to which length is rounded up; 1/8 yd or 0.1 m"})
    shrinkage_percent = _percent("of its length, lost in the wash before it is cut", 50)
    spoilage_percent = _percent("pieces cut beyond those needed", 100)
    directional = Bool(
        load_default=False,
        metadata={"description": "its print has an upper end: no piece is turned"},
    )
    ruler_step = Length(
        load_default=_usual_ruler_step,
        max_mm=INCH,
        metadata={
            "description": "to which strips, and rectangles cut from them, are rounded up for a "
            "ruler: 1/16 in or 1 mm; 0 for sizes as they are"
        },
    )
    gap = Length(
        load_default=0.0,
        max_mm=_MAX_GAP,
        metadata={
            "description": "between pieces in a cutter's layout, as in its run; edge to edge when "
            "left out",
            "default": 0,
        },
    )
    quoted_method = fields.String(
        validate=validate.OneOf(QUOTED_METHODS),
        load_default="larger",
        metadata={
            "description": "what to buy follows from it: rows, strips that a person cuts with a "
            "ruler; layout, what a cutter's layout on a roll takes; or the larger of the two"
        },
    )
    pre_cut = Either(
        "PreCut",
        [
            ((str,), fields.String(validate=validate.OneOf(PRE_CUTS))),
            ((dict,), fields.Nested(PreCutSizeSchema)),
        ],
        wanted=f"Name one of {', '.join(PRE_CUTS)}, or give its width and length.",
        metadata={"description": "bought cut to size instead of by the length"},
    )

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> Bought:  # noqa: ANN401
        fabric = Fabric(
            width=data["width"],
            step=data["step"].mm,
            shrinkage=data["shrinkage_percent"] / 100.0,
            spoilage=data["spoilage_percent"] / 100.0,
            directional=data["directional"],
            ruler_step=data["ruler_step"],
        )
        pre_cut = _pre_cut(data.get("pre_cut"), fabric.width)
        return Bought(
            data["name"],
            fabric,
            data["step"].unit,
            pre_cut,
            gap=data["gap"],
            quoted_method=data["quoted_method"],
        )


def _pre_cut(chosen: str | PreCut | None, width: float) -> PreCut | None:
    if chosen == "strip":
        return PreCut("2 1/2 in strip", width, _STRIP)
    return PreCut(*_PRE_CUTS[chosen]) if isinstance(chosen, str) else chosen
