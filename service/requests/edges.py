"""Edges of a patch: its seam allowance, and how its corners are made."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from marshmallow import fields, post_load, validate

from geometry.offset.allowance import Corners
from service.schemas.fields import Length, Num, Strict
from service.schemas.structures import Either, Keyed

_MAX_EDGES = 5000
_EDGE = r"^(0|[1-9][0-9]{0,4})$"
_EDGE_MEANING = "Name an edge or corner by its number, counted from 0 along the outline."
#: Where a piece states none: mitre, blunt past four times the allowance.
USUAL_CORNERS = Corners()


@dataclass(frozen=True)
class SeamAllowance:
    """The allowance all round and those of single edges by their number, mm."""

    default: float = 0.0
    edges: Mapping[int, float] = field(default_factory=dict)

    @property
    def is_none(self) -> bool:
        """Return whether the patch equals the template."""
        return self.default == 0.0 and not any(self.edges.values())


@dataclass(frozen=True)
class CornerChoice:
    """The treatment of a patch's corners, and of single ones by their number."""

    usual: Corners = USUAL_CORNERS
    overrides: Mapping[int, Corners] = field(default_factory=dict)

    @property
    def kinds(self) -> set[str]:
        """Return the kinds of treatments that corners may have."""
        return {self.usual.kind, *(each.kind for each in self.overrides.values())}


class CornerTreatmentSchema(Strict):
    """How one corner of the patch is made."""

    kind = fields.String(
        validate=validate.OneOf(["mitre", "blunt", "round"]),
        load_default=USUAL_CORNERS.kind,
    )
    limit = Num(
        validate=validate.Range(1, 100),
        load_default=USUAL_CORNERS.limit,
        metadata={"description": "longest mitre, times the allowance", "default": 4},
    )

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> Any:  # noqa: ANN401 - marshmallow's own
        return Corners(kind=data["kind"], limit=data["limit"])


class CornersSchema(CornerTreatmentSchema):
    """How the patch's corners are made, and which single ones otherwise."""

    overrides = Keyed(
        fields.Nested(CornerTreatmentSchema),
        keys=_EDGE,
        meaning=_EDGE_MEANING,
        most=_MAX_EDGES,
        metadata={"description": "by corner number, counted from 0 along the template"},
    )

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> Any:  # noqa: ANN401 - marshmallow's own
        usual = Corners(kind=data["kind"], limit=data["limit"])
        return CornerChoice(usual, _by_number(data.get("overrides", {})))


class EdgeAllowancesSchema(Strict):
    """An allowance that differs between edges."""

    default = Length(default_mm=0.0, metadata={"description": "for every edge not named"})
    edges = Keyed(
        Length(),
        keys=_EDGE,
        meaning=_EDGE_MEANING,
        most=_MAX_EDGES,
        metadata={"description": "by edge number, counted from 0 along the template"},
    )

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> SeamAllowance:  # noqa: ANN401
        return SeamAllowance(data["default"], _by_number(data.get("edges", {})))


def _by_number(values: Mapping[str, Any]) -> dict[int, Any]:
    return {int(number): values[number] for number in sorted(values, key=int)}


def allowance_of(seam_allowance: float | SeamAllowance) -> SeamAllowance:
    """Return what a field of a seam allowance loads as an allowance of every edge."""
    if isinstance(seam_allowance, SeamAllowance):
        return seam_allowance
    return SeamAllowance(seam_allowance)


def seam_allowance() -> Either:
    """Return the field of a seam allowance."""
    return Either(
        "SeamAllowance",
        [((str, int, float), Length()), ((dict,), fields.Nested(EdgeAllowancesSchema))],
        wanted='Write a length such as "1/4 in", or {"default": ..., "edges": {...}}.',
        load_default=0.0,
        metadata={
            "description": "measured square to the edge; none when left out",
            # With its unit, so that leaving it out needs no units either.
            "default": "0 mm",
        },
    )
