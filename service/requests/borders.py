"""Edges and borders of a quilt, and how it keeps to the size requested."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Literal, TypeAlias

from marshmallow import ValidationError, fields, post_load, validate

from geometry.errors import GeometryError
from geometry.planning.borders import BorderSpec
from geometry.planning.frames import Edge
from geometry.planning.plane import Tiling
from service.schemas.errors import together, unusable
from service.schemas.fields import Bool, Length, Strict, Text
from service.schemas.validation import List

Fitting: TypeAlias = Literal["larger", "smaller", "nearest", "borders"]
EDGES = ("whole", "trimmed", "filled")
FITS = ("larger", "smaller", "nearest", "borders")
CORNERS = ("butted", "mitred", "cornerstones")
MAX_BORDERS = 10
_COLOUR = "border"
_CORNERSTONE = "cornerstone"
_MIN_WIDTH, _MAX_WIDTH = 3.0, 2000.0
_MAX_COLOURS = 12


class EdgeSchema(Strict):
    """How a quilt's edges are made: of whole pieces, trimmed to size, or filled with halves."""

    sides = fields.String(
        validate=validate.OneOf(EDGES),
        load_default="whole",
        metadata={"description": "left and right"},
    )
    ends = fields.String(
        validate=validate.OneOf(EDGES),
        load_default="whole",
        metadata={"description": "top and bottom"},
    )


class BorderSchema(Strict):
    """A border round a quilt top: plain strips, or pieces in a row."""

    width = Length(
        min_mm=_MIN_WIDTH,
        max_mm=_MAX_WIDTH,
        metadata={
            "description": "finished; left out of one border when the quilt's fit is borders: "
            "that one makes up the rest"
        },
    )
    colour = Text(40, least=1, load_default=_COLOUR)
    corners = fields.String(
        validate=validate.OneOf(CORNERS),
        metadata={
            "description": "butted: the ends run across the sides; mitred; or a cornerstone in "
            "each; butted when left out, cornerstones in a pieced border"
        },
    )
    cornerstone_colour = Text(40, least=1)
    piece_colours = List(
        Text(40, least=1),
        validate=validate.Length(1, _MAX_COLOURS),
        metadata={
            "description": "makes the border of pieces, as nearly square as whole numbers allow, "
            "in these colours in turn"
        },
    )
    joined = Bool(
        metadata={
            "description": "strips are cut across the fabric and joined end to end, unless each "
            "of their width fits across it and joining saves none; left out, each is cut in one "
            "length. On a `directional` fabric the print stands upright on every side: ends are "
            "cut across it, and joined where it is too narrow; sides along",
            "default": False,
        },
    )

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> BorderSpec:  # noqa: ANN401
        if errors := list(_faults(data)):
            raise together(errors)
        pieces = tuple(data.get("piece_colours", ()))
        return BorderSpec(
            width=data.get("width"),
            colour=data["colour"],
            corners=data.get("corners", "cornerstones" if pieces else "butted"),
            cornerstone_colour=data.get("cornerstone_colour", _CORNERSTONE),
            piece_colours=pieces,
            joined=data.get("joined", False),
        )


def _faults(data: Mapping[str, Any]) -> Iterator[ValidationError]:
    is_pieced = "piece_colours" in data
    corners = data.get("corners", "cornerstones" if is_pieced else "butted")
    if is_pieced and corners != "cornerstones":
        yield unusable("A border of pieces has cornerstones; leave this out.", "corners")
    if is_pieced and "joined" in data:
        yield unusable("Only plain strips are joined end to end; leave this out.", "joined")
    if "cornerstone_colour" in data and corners != "cornerstones":
        detail = (
            'This border has no cornerstones: leave this out, or set corners to "cornerstones".'
        )
        yield unusable(detail, "cornerstone_colour")


def borders_of(data: Mapping[str, Any]) -> tuple[BorderSpec, ...]:
    """Return the borders of a quilt; one that makes up the rest is there unless others are."""
    stated = data.get("borders")
    if stated is None:
        return (BorderSpec(None, _COLOUR, is_optional=True),) if data["fit"] == "borders" else ()
    return tuple(stated)


def wrong_borders(data: Mapping[str, Any]) -> Iterator[ValidationError]:
    """Yield an error for each border whose width is missing, or one too many."""
    fit, borders = data.get("fit"), data.get("borders")
    if fit is None or not isinstance(borders, Sequence):
        return
    open_ones = [index for index, each in enumerate(borders) if each.width is None]
    if fit != "borders":
        for index in open_ones:
            detail = 'State its width, or let it make up the rest: set fit to "borders".'
            yield unusable(detail, "borders", index)
        return
    if not open_ones:
        detail = (
            "Every border has a width, so none makes up the rest: leave one width out, or choose "
            'another fit, such as "smaller".'
        )
        yield unusable(detail, "borders")
    for index in open_ones[1:]:
        yield unusable("Only one border can make up the rest: state its width.", "borders", index)


def edges_of(edge: str | Mapping[str, Edge]) -> Mapping[str, Any]:
    """Return the method of both pairs of edges."""
    return edge if isinstance(edge, Mapping) else {"sides": edge, "ends": edge}


def straight_edges(
    tiling: Tiling, sizes: Mapping[str, float], *, is_on_side: bool
) -> Mapping[str, Edge]:
    """Return edges to which a border can be sewn: filled where whole pieces leave dents."""
    try:
        plane = tiling.draw(sizes)
    except GeometryError:
        # Reported where the quilt is planned.
        return edges_of("whole")
    names = ("ends", "sides") if is_on_side else ("sides", "ends")
    return {
        name: "filled" if axis.teeth > 0.0 else "whole"
        for name, axis in zip(names, (plane.across, plane.along), strict=True)
    }


def wrong_fit(data: Mapping[str, Any]) -> Iterator[ValidationError]:
    """Yield an error if a border is to make up a rest that trimmed edges never leave."""
    edge, fit = data.get("edge"), data.get("fit")
    if edge is None or fit != "borders" or set(edges_of(edge).values()) != {"trimmed"}:
        return
    detail = (
        "Trimmed edges leave nothing for a border to make up: give the borders widths, or fill "
        "the edges."
    )
    yield unusable(detail, "fit")
