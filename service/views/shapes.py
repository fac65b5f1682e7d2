"""Shapes: the catalogue and its drawings."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Mapping
from typing import Any

from flask import Blueprint, Response
from marshmallow import fields, validate

from geometry.shapes.catalogue import CATALOGUE, shares_edge_with
from geometry.shapes.kinds import Parameter, ShapeKind
from service.answers.choices import ParameterAnswer, ShapeAnswer, ShapeList
from service.documents.pictures.shape import shape_picture
from service.errors import (
    Fault,
    InvalidRequestError,
    RequestError,
    SchemaMismatchError,
    request_error,
)
from service.http.endpoint import Answer, op
from service.http.problems import ProblemError
from service.pieces.draw import draw_pieces
from service.requests.pieces import OutlinesRequest, OutlinesRequestSchema, units
from service.schemas.fields import MAX_TEXT, Strict
from service.schemas.loading import load
from service.views.printed_pictures import TYPES, picture_response

blueprint = Blueprint("shapes", __name__, url_prefix="/v1/shapes")
_OUTLINES = OutlinesRequestSchema()
_REQUIRED = re.compile("`([a-z_]+)` is required.")
_NUMBER = re.compile(r"[0-9]{1,6}(\.[0-9]{1,9})?")


def _names() -> dict[str, Parameter]:
    return {each.name: each for kind in CATALOGUE.values() for each in kind.parameters}


def _text(description: str) -> fields.String:
    return fields.String(
        validate=validate.Length(1, MAX_TEXT), metadata={"description": description}
    )


PictureQuery = type(
    "PictureQuery",
    (Strict,),
    {
        "units": units(),
        "seam_allowance": _text("measured at right angles to the edge"),
        **{name: _text(parameter.description) for name, parameter in sorted(_names().items())},
    },
)


def _kind(kind: str) -> ShapeKind:
    found = CATALOGUE.get(kind)
    if found is None:
        raise ProblemError("not-found", 404, "There is no such shape; GET /v1/shapes lists all.")
    return found


def _parameter(parameter: Parameter) -> ParameterAnswer:
    is_choice = parameter.type == "choice"
    return ParameterAnswer(
        name=parameter.name,
        type=parameter.type,
        description=parameter.description,
        minimum=None if is_choice else parameter.minimum,
        maximum=None if is_choice else parameter.maximum,
        choices=list(parameter.choices) if is_choice else None,
        default=parameter.default,
    )


def _example(kind: ShapeKind) -> dict[str, Any]:
    """Return the example in the form of a request's ``shape``: counts are numbers there."""
    types = {each.name: each.type for each in kind.parameters}
    read: Mapping[str, type] = {"count": int, "angle_deg": float}
    return {
        "kind": kind.kind,
        **{name: read.get(types[name], str)(value) for name, value in kind.example.items()},
    }


def _answer(kind: ShapeKind) -> ShapeAnswer:
    return ShapeAnswer(
        kind=kind.kind,
        title=kind.title,
        description=kind.description,
        family=kind.family,
        chiral=kind.chiral,
        parameters=[_parameter(each) for each in kind.parameters],
        required=list(kind.required),
        size_options=[list(sizing) for sizing in kind.size_options],
        example=_example(kind),
        shares_edge_with=list(shares_edge_with(kind.kind)),
        picture=f"/v1/shapes/{kind.kind}/picture.svg",
        href=f"/v1/shapes/{kind.kind}",
    )


@blueprint.get("")
@op(id="listShapes", tag="shapes", answers={200: Answer("The catalogue", ShapeList)})
def list_shapes() -> ShapeList:
    """List the shapes."""
    return ShapeList(shapes=[_answer(kind) for kind in CATALOGUE.values()])


@blueprint.get("/<kind>")
@op(
    id="getShape",
    tag="shapes",
    answers={200: Answer("One shape", ShapeAnswer)},
    problems=[404],
)
def get_shape(kind: str) -> ShapeAnswer:
    """Get a shape: its parameters and the ways to size it."""
    return _answer(_kind(kind))


@blueprint.get("/<kind>/picture.svg")
@op(
    id="drawShape",
    tag="shapes",
    query=PictureQuery,
    answers={200: Answer("The drawing", media=TYPES, headers={"ETag": "of this drawing"})},
    problems=[404],
)
def draw_shape(kind: str, query: dict[str, str]) -> Response:
    """Get a drawing of a shape with its dimensions, the template inside the patch.

    Without a size, the shape has the size of its example. With `Accept: image/png` the drawing
    comes as pixels at true size, 300 dpi; fewer where that would be more than 40 million.
    """
    found = _kind(kind)
    stated = {name: query.pop(name) for name in ("units",) if name in query}
    piece: dict[str, Any] = {"id": "A", "seam_allowance": query.pop("seam_allowance", "0 mm")}
    piece["shape"] = _shape(found, query) if query else _example(found)
    try:
        request: OutlinesRequest = load(_OUTLINES, {**stated, "pieces": [piece]})
        drawn = draw_pieces(request.pieces, request.units)
    except RequestError as error:
        raise _of_query(error) from None
    svg = shape_picture(drawn["A"], request.units).encode()
    return picture_response(svg, hashlib.sha256(svg).hexdigest())


def _shape(kind: ShapeKind, query: Mapping[str, str]) -> dict[str, Any]:
    """Return a query in the form of a request's ``shape``.

    Raises:
        InvalidRequestError: naming the parameters that do not fit.
    """
    types = {each.name: each.type for each in kind.parameters}
    shape: dict[str, Any] = {"kind": kind.kind}
    faults: list[Fault] = []
    for name, text in query.items():
        if name not in types:
            faults.append(Fault(f"?{name}", f"The {kind.title} has no {name}."))
        elif types[name] in {"length", "choice"}:
            shape[name] = text
        elif _NUMBER.fullmatch(text):
            shape[name] = float(text)
        else:
            faults.append(Fault(f"?{name}", f"{name} must be a number."))
    if faults:
        raise InvalidRequestError("The query cannot be used.", faults)
    return shape


def _of_query(error: RequestError) -> RequestError:
    """Return a piece's problem with pointers converted to names of query parameters."""
    faults = []
    for each in error.errors:
        lacks = _REQUIRED.fullmatch(each.detail)
        name = lacks[1] if lacks else each.pointer.rsplit("/", 1)[-1]
        faults.append(Fault(f"?{name}", each.detail))
    # Any text fits the query's schema; this value does not fit the shape.
    if isinstance(error, SchemaMismatchError):
        return InvalidRequestError(error.detail, faults)
    return request_error(error.slug, error.detail, faults, error.extra)
