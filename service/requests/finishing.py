"""Finishing a quilt: binding, backing and batting."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

from marshmallow import fields, post_load, validate

from geometry.model.plausible import (
    BEYOND_A_QUILT,
    BINDING_EXTRA,
    BINDING_STRIP,
    CLOTH_WIDTH,
    JOIN_SEAM,
)
from geometry.units import MM_PER_INCH as INCH
from service.requests.fabrics import USUAL_WIDTH, LengthStep, RoundingStep, SettingsField
from service.requests.pieces import units
from service.requests.quilt_size import QuiltSchema, QuiltSize
from service.schemas.fields import Strict
from service.schemas.plausible_length import PlausibleLength

_EXTRA_EACH_SIDE = 4.0 * INCH
_STRIP, _EXTRA = 2.5 * INCH, 10.0 * INCH


@dataclass(frozen=True)
class BindingSettings:
    """Strips round a quilt, mm: their width as cut, their usable length, and extra."""

    strip: float
    usable_width: float
    extra: float
    step: LengthStep


@dataclass(frozen=True)
class BackingSettings:
    """Fabric behind a quilt, joined of panels; lengths in mm."""

    extra_each_side: float
    usable_width: float
    join_seam: float
    seams: Literal["lengthwise", "crosswise", "least"]
    step: LengthStep


@dataclass(frozen=True)
class BattingSettings:
    """Wadding between top and backing, mm."""

    extra_each_side: float


@dataclass(frozen=True)
class FinishingSettings:
    """How a quilt is finished."""

    binding: BindingSettings
    backing: BackingSettings
    batting: BattingSettings


@dataclass(frozen=True)
class FinishingRequest:
    """A quilt that is to be finished, by its size; lengths are reported in ``units``."""

    units: str | None
    quilt: QuiltSize
    settings: FinishingSettings


def _usable_width(description: str) -> PlausibleLength:
    return PlausibleLength(
        CLOTH_WIDTH,
        load_default=USUAL_WIDTH,
        metadata={"description": description, "default": "40 in"},
    )


def _extra_each_side() -> PlausibleLength:
    return PlausibleLength(
        BEYOND_A_QUILT, load_default=_EXTRA_EACH_SIDE, metadata={"default": "4 in"}
    )


class BindingSettingsSchema(Strict):
    """Strips round a quilt."""

    strip = PlausibleLength(
        BINDING_STRIP,
        load_default=_STRIP,
        metadata={"description": "width as cut", "default": "2 1/2 in"},
    )
    usable_width = _usable_width("length of a strip")
    extra = PlausibleLength(
        BINDING_EXTRA,
        load_default=_EXTRA,
        metadata={"description": "for corners and joins", "default": "10 in"},
    )
    step = RoundingStep(metadata={"description": "to which fabric is rounded up"})

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> BindingSettings:  # noqa: ANN401
        return BindingSettings(**data)


class BackingSettingsSchema(Strict):
    """Fabric behind a quilt, joined of panels."""

    extra_each_side = _extra_each_side()
    usable_width = _usable_width("of the fabric")
    join_seam = PlausibleLength(
        JOIN_SEAM, default_mm=0.0, metadata={"description": "allowance of the joins"}
    )
    seams = fields.String(
        validate=validate.OneOf(["lengthwise", "crosswise", "least"]),
        load_default="lengthwise",
        metadata={"description": "which way the joins run"},
    )
    step = RoundingStep(metadata={"description": "to which fabric is rounded up"})

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> BackingSettings:  # noqa: ANN401
        return BackingSettings(**data)


class BattingSettingsSchema(Strict):
    """Wadding between top and backing."""

    extra_each_side = _extra_each_side()

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> BattingSettings:  # noqa: ANN401
        return BattingSettings(**data)


class FinishingSettingsSchema(Strict):
    """How a quilt is finished."""

    binding = SettingsField(BindingSettingsSchema)
    backing = SettingsField(BackingSettingsSchema)
    batting = SettingsField(BattingSettingsSchema)


class FinishingRequestSchema(FinishingSettingsSchema):
    """What a quilt of a size takes to be finished."""

    units = units()
    quilt = fields.Nested(QuiltSchema, required=True)

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> FinishingRequest:  # noqa: ANN401
        return FinishingRequest(data.get("units"), data["quilt"], settings_of(data))


def settings_of(data: dict[str, Any]) -> FinishingSettings:
    """Return the settings that a loaded request holds."""
    return FinishingSettings(data["binding"], data["backing"], data["batting"])
