"""Saved price lists, which kits name."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from flask import Blueprint, Response

from service.answers.price_lists import PriceListAnswer, SavedPriceLists
from service.http.current import store
from service.http.endpoint import Answer, op, respond
from service.http.problems import ProblemError
from service.requests.prices import SavedPriceList, SavedPriceListSchema
from service.schemas.fields import CUTTER_NAME
from service.storage.named_documents import VersionConflictError
from service.views.versions import ETAG, changed, expected, with_version

blueprint = Blueprint("price_lists", __name__, url_prefix="/v1/price-lists")


def _answer(name: str, body: Mapping[str, Any], version: int) -> PriceListAnswer:
    return PriceListAnswer(
        name=name, version=version, price_list=body, href=f"/v1/price-lists/{name}"
    )


@blueprint.get("")
@op(
    id="listPriceLists",
    tag="price lists",
    answers={200: Answer("All price lists", SavedPriceLists)},
)
def list_price_lists() -> SavedPriceLists:
    """List saved price lists."""
    saved = store().price_lists.all()
    return SavedPriceLists(
        price_lists=[_answer(each.name, each.body, each.version) for each in saved]
    )


@blueprint.get("/<name>")
@op(
    id="getPriceList",
    tag="price lists",
    answers={200: Answer("The price list", PriceListAnswer, headers=ETAG)},
    problems=[404],
)
def get_price_list(name: str) -> Response:
    """Get a price list."""
    saved = store().price_lists.get(name)
    if saved is None:
        raise _missing()
    return with_version(_answer(name, saved.body, saved.version), 200)


@blueprint.put("/<name>")
@op(
    id="putPriceList",
    tag="price lists",
    body=SavedPriceListSchema,
    answers={
        200: Answer("It was replaced", PriceListAnswer, headers=ETAG),
        201: Answer("It was saved", PriceListAnswer, headers=ETAG),
    },
    problems=[412],
    takes=["If-Match", "If-None-Match"],
    examples=["harbour-prices"],
    scope="write",
)
def put_price_list(name: str, body: SavedPriceList) -> Response:
    """Save a price list under a name, replacing an earlier one of that name.

    A kit that names it keeps a copy of it, so its quote does not change with the list.
    """
    if not re.fullmatch(CUTTER_NAME, name):
        detail = "A price list's name has 1 to 64 lower-case letters, digits and hyphens."
        raise ProblemError("invalid-request", 422, detail)
    try:
        saved = store().price_lists.put(name, body.document, expected=expected())
    except VersionConflictError:
        raise changed("price list") from None
    return with_version(
        _answer(name, saved.body, saved.version), 201 if saved.version == 1 else 200
    )


@blueprint.delete("/<name>")
@op(
    id="deletePriceList",
    tag="price lists",
    answers={204: Answer("It is gone")},
    problems=[404, 412],
    takes=["If-Match"],
    scope="write",
)
def delete_price_list(name: str) -> Response:
    """Delete a price list; existing kits keep their copy of it."""
    try:
        gone = store().make_way(store().price_lists.delete, name, expected=expected())
    except VersionConflictError:
        raise changed("price list") from None
    if not gone:
        raise _missing()
    return respond((None, 204, {}))


def _missing() -> ProblemError:
    detail = "There is no such price list; GET /v1/price-lists lists all."
    return ProblemError("not-found", 404, detail)
