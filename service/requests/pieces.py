"""Pieces: a shape at a size, with its seam allowance, corners, grain and marks."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Literal, TypeAlias

from marshmallow import fields, post_load, validate, validates_schema

from service.requests.edges import (
    CornerChoice,
    CornersSchema,
    SeamAllowance,
    allowance_of,
    seam_allowance,
)
from service.requests.motifs import Anchor, anchor_field
from service.requests.shapes import Shape, shape
from service.schemas.context import current, reading
from service.schemas.errors import together, unusable
from service.schemas.fields import IDENTIFIER, Bool, Int, Num, Strict, Text, piece_id
from service.schemas.structures import Either
from service.schemas.validation import List, Partial

UNITS = ("in", "mm", "cm")
MAX_PIECES = 200
"""Kinds of pieces in one request."""
MAX_QUANTITY = 1_000_000
"""Finished pieces of one kind; a studio's year has fewer."""
MOST = "max"
"""The quantity of a piece of which as many are cut as fit."""
_QUANTITY = "This is a whole number, written without quotation marks, or max."
Turns: TypeAlias = str | tuple[float, ...]


@dataclass(frozen=True)
class MarkChoice:
    """Marks and holes that a piece asks for; ``label`` is the text, empty for none."""

    removal_hole: bool = False
    seam_line: Literal["", "score", "mark"] = ""
    match_marks: bool = False
    grain_arrow: bool = False
    label: str = ""


@dataclass(frozen=True)
class PieceRequest:
    """One piece as it is asked for, in mm: not yet drawn.

    ``fills``: as many as fit are wanted, not ``quantity``.
    """

    id: str
    shape: Shape
    quantity: int = 1
    seam_allowance: SeamAllowance = field(default_factory=SeamAllowance)
    corners: CornerChoice = field(default_factory=CornerChoice)
    marks: MarkChoice = MarkChoice()
    turns: Turns = "free"
    mirror: bool = False
    mirror_of: str | None = None
    fills: bool = False
    motif: Anchor = False


@dataclass(frozen=True)
class OutlinesRequest:
    """Pieces whose outlines are wanted."""

    units: str | None
    pieces: tuple[PieceRequest, ...]


def units(*, required: bool = False) -> fields.String:
    """Return the field of the units in which bare numbers are read."""
    return fields.String(
        required=required,
        validate=validate.OneOf(UNITS),
        metadata={"description": "in which bare lengths are read; without it each needs its own"},
    )


def grain() -> Either:
    """Return the field of how a piece may be turned."""
    return Either(
        "Grain",
        [
            ((str,), fields.String(validate=validate.OneOf(["free", "half-turn", "fixed"]))),
            (
                (list,),
                List(Num(validate=validate.Range(-360, 360)), validate=validate.Length(1, 360)),
            ),
        ],
        wanted="Write free, half-turn, fixed, or a list of angles in degrees.",
        metadata={"description": "how the piece may be turned on the material"},
    )


def turns_of(value: str | list[float]) -> Turns:
    """Return the turns that a piece's grain allows, degrees."""
    return value if isinstance(value, str) else tuple(angle % 360.0 for angle in value)


class PieceSchema(Strict):
    """One piece of a request."""

    id = piece_id(required=True)
    shape = shape(required=True)
    quantity = Either(
        "Quantity",
        [
            ((int, float), Int(validate=validate.Range(1, MAX_QUANTITY))),
            ((str,), fields.String(validate=validate.OneOf([MOST], error=_QUANTITY))),
        ],
        wanted=_QUANTITY,
        load_default=1,
        metadata={
            "description": "finished pieces wanted; max: as many as fit on one load of its run, "
            "or on the run's whole stock"
        },
    )
    seam_allowance = seam_allowance()
    corners = fields.Nested(CornersSchema)
    removal_hole = Bool(metadata={"description": "a hole to pull the template out by"})
    seam_line = fields.String(
        validate=validate.OneOf(["mark", "score"]),
        metadata={"description": "the template's outline on the patch, drawn or creased"},
    )
    match_marks = Bool(
        metadata={"description": "short marks at the middle of every edge of the patch"}
    )
    grain_arrow = Bool(
        metadata={
            "description": "an arrow along the lengthwise grain: with a head at both ends, or at "
            "the top alone if the grain is fixed"
        }
    )
    label = Either(
        "Label",
        [
            ((bool,), Bool()),
            ((str,), Text(12, least=1)),
        ],
        wanted="Write true for the piece's id, or a text of up to 12 characters.",
        metadata={"description": "a short text in single-stroke letters, where it fits"},
    )
    grain = grain()
    motif = anchor_field()
    mirror = Bool(metadata={"description": "whether the layout may turn it over"})
    mirror_of = piece_id(
        metadata={
            "description": "the piece whose mirror image this is: cut face to face, one outline "
            "gives both; found by the outlines when left out"
        }
    )

    @validates_schema(skip_on_field_errors=False)
    def _has_another_as_partner(self, data: dict[str, Any], **_: Any) -> None:  # noqa: ANN401
        other, known = data.get("mirror_of"), current().quantities
        if other is None or not known:
            return
        if other == data.get("id"):
            detail = "A piece cannot be its own mirror partner; leave this out."
            raise unusable(detail, "mirror_of")
        if other not in known:
            detail = f'There is no piece "{other}"; name one of this request.'
            raise unusable(detail, "mirror_of")

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> PieceRequest:  # noqa: ANN401
        label = data.get("label", "")
        marks = MarkChoice(
            removal_hole=data.get("removal_hole", False),
            seam_line=data.get("seam_line", ""),
            match_marks=data.get("match_marks", False),
            grain_arrow=data.get("grain_arrow", False),
            label=(data["id"] if label else "") if isinstance(label, bool) else label,
        )
        return PieceRequest(
            id=data["id"],
            shape=data["shape"],
            quantity=1 if data["quantity"] == MOST else data["quantity"],
            fills=data["quantity"] == MOST,
            seam_allowance=allowance_of(data["seam_allowance"]),
            corners=data.get("corners", CornerChoice()),
            marks=marks,
            turns=turns_of(data.get("grain", "free")),
            mirror=data.get("mirror", False),
            mirror_of=data.get("mirror_of"),
            motif=data.get("motif", False),
        )


class OutlinesRequestSchema(Strict):
    """Pieces whose outlines are wanted."""

    units = units()
    pieces = Partial(
        fields.Nested(PieceSchema), required=True, validate=validate.Length(1, MAX_PIECES)
    )

    def load(self, data: Any, **kwargs: Any) -> Any:  # noqa: ANN401 - as marshmallow has it
        """Return what a JSON object says; which pieces it has is known before any is loaded."""
        known = current()
        with reading(replace(known, quantities=_quantities(data))):
            return super().load(data, **kwargs)

    @validates_schema(pass_original=True, skip_on_field_errors=False)
    def _ids_are_unique(
        self,
        data: dict[str, Any],
        original: dict[str, Any],
        **_: Any,  # noqa: ANN401
    ) -> None:
        del data
        seen: set[str] = set()
        found = []
        for index, name in enumerate(map(_id, _rows(original))):
            if name is not None and name in seen:
                detail = f'Another piece is called "{name}" too; ids are unique.'
                found.append(unusable(detail, "pieces", index, "id"))
            elif name is not None:
                seen.add(name)
        if found:
            raise together(found)

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> Any:  # noqa: ANN401 - or a request with more
        return OutlinesRequest(data.get("units"), tuple(data["pieces"]))


def _rows(data: object) -> list[Any]:
    rows = data.get("pieces") if isinstance(data, Mapping) else None
    return rows if isinstance(rows, list) and len(rows) <= MAX_PIECES else []


def _id(row: object) -> str | None:
    found = row.get("id") if isinstance(row, Mapping) else None
    is_id = isinstance(found, str) and re.fullmatch(IDENTIFIER, found) is not None
    return found if is_id else None


def _quantities(data: object) -> dict[str, int]:
    """Return how many of each piece a request asks for, as far as it can be read.

    Its own rows are read, so that a piece with an error does not look unknown elsewhere too.
    """
    found: dict[str, int] = {}
    for row in _rows(data):
        name, quantity = _id(row), row.get("quantity", 1) if isinstance(row, Mapping) else 1
        if name is not None:
            found.setdefault(name, int(quantity) if _is_quantity(quantity) else 1)
    return found


def _is_quantity(value: object) -> bool:
    return type(value) in {int, float} and 1 <= float(value) <= MAX_QUANTITY  # type: ignore[arg-type]
