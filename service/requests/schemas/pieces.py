"""Pieces: a shape at a size, with its seam allowance, corners, grain and marks."""

from __future__ import annotations

from marshmallow import fields, validate

from service.requests.fields import (
    Bool,
    Either,
    Int,
    Keyed,
    Length,
    Num,
    Strict,
    Text,
    piece_id,
)
from service.requests.schemas.shapes import shape
from service.requests.validation import List

UNITS = ("in", "mm", "cm")
MOST_PIECES = 200
"""Kinds of pieces in one request."""
MOST_QUANTITY = 1_000_000
"""Finished pieces of one kind; a studio's year has fewer."""
_MOST_EDGES = 5000
_EDGE = r"^(0|[1-9][0-9]{0,4})$"
_EDGE_MEANING = "Name an edge or corner by its number, counted from 0 along the outline."


def units(*, required: bool = False) -> fields.String:
    """Return the field of the units in which bare numbers are read."""
    return fields.String(
        required=required,
        validate=validate.OneOf(UNITS),
        metadata={"description": "in which bare lengths are read; without it each needs its own"},
    )


class CornerTreatment(Strict):
    """How one corner of the patch is made."""

    kind = fields.String(
        validate=validate.OneOf(["mitre", "blunt", "round"]), metadata={"default": "mitre"}
    )
    limit = Num(
        validate=validate.Range(1, 100),
        metadata={"description": "longest mitre, times the allowance", "default": 4},
    )


class Corners(CornerTreatment):
    """How the patch's corners are made, and which single ones otherwise."""

    overrides = Keyed(
        fields.Nested(CornerTreatment),
        keys=_EDGE,
        meaning=_EDGE_MEANING,
        most=_MOST_EDGES,
        metadata={"description": "by corner number, counted from 0 along the template"},
    )


class EdgeAllowances(Strict):
    """An allowance that differs between edges."""

    default = Length(load_default="0 mm", metadata={"description": "for every edge not named"})
    edges = Keyed(
        Length(),
        keys=_EDGE,
        meaning=_EDGE_MEANING,
        most=_MOST_EDGES,
        metadata={"description": "by edge number, counted from 0 along the template"},
    )


class Piece(Strict):
    """One piece of a request."""

    id = piece_id(required=True)
    shape = shape(required=True)
    quantity = Int(
        validate=validate.Range(1, MOST_QUANTITY),
        metadata={"description": "finished pieces wanted", "default": 1},
    )
    seam_allowance = Either(
        "SeamAllowance",
        [((str, int, float), Length()), ((dict,), fields.Nested(EdgeAllowances))],
        wanted='Write a length such as "1/4 in", or {"default": ..., "edges": {...}}.',
        # Stated with a unit, so that leaving it out needs no units either.
        load_default="0 mm",
        metadata={"description": "measured square to the edge; none when left out"},
    )
    corners = fields.Nested(Corners)
    removal_hole = Bool(metadata={"description": "a hole to pull the template out by"})
    seam_line = fields.String(
        validate=validate.OneOf(["mark", "score"]),
        metadata={"description": "the template's outline on the patch, drawn or creased"},
    )
    match_marks = Bool(
        metadata={"description": "short marks at the middle of every edge of the patch"}
    )
    grain_arrow = Bool(metadata={"description": "an arrow along the lengthwise grain"})
    label = Either(
        "Label",
        [
            ((bool,), Bool()),
            ((str,), Text(12, least=1)),
        ],
        wanted="Write true for the piece's id, or a text of up to 12 characters.",
        metadata={"description": "a short text in single-stroke letters, where it fits"},
    )
    grain = Either(
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
    mirror = Bool(metadata={"description": "whether the layout may turn it over"})
    mirror_of = piece_id(
        metadata={
            "description": "the piece whose mirror image this is: cut face to face, one outline "
            "gives both; found by the outlines when left out"
        }
    )


class OutlinesRequest(Strict):
    """Pieces whose outlines are wanted."""

    units = units()
    pieces = List(fields.Nested(Piece), required=True, validate=validate.Length(1, MOST_PIECES))
