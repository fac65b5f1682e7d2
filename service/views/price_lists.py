"""Saved price lists, which kits name."""

from __future__ import annotations

from flask import Blueprint, Response

from service.answers.price_lists import PriceListAnswer, SavedPriceLists
from service.http.endpoint import Answer, op
from service.requests.pages import ListPage, ListQuerySchema
from service.requests.prices import SavedPriceList, SavedPriceListSchema
from service.storage.named_documents import NamedDocument
from service.views.pages import linked
from service.views.saved_documents import (
    DELETE_HEADERS,
    PUT_HEADERS,
    SavedDocuments,
    get_answers,
    put_answers,
)

blueprint = Blueprint("price_lists", __name__, url_prefix="/v1/price-lists")


def _answer(saved: NamedDocument) -> PriceListAnswer:
    return PriceListAnswer(
        name=saved.name,
        version=saved.version,
        price_list=saved.body,
        href=f"/v1/price-lists/{saved.name}",
    )


_SAVED = SavedDocuments("price list", "/v1/price-lists", lambda store: store.price_lists, _answer)


@blueprint.get("")
@op(
    id="listPriceLists",
    tag="price lists",
    query=ListQuerySchema,
    answers={
        200: Answer("Price lists by name", SavedPriceLists, headers={"Link": "rel=next, if any"}),
    },
)
def list_price_lists(query: ListPage) -> tuple[SavedPriceLists, int, dict[str, str]]:
    """List saved price lists, by name. Where they are large a page has fewer."""
    price_lists, following = _SAVED.page(query, lambda each: each)
    return linked(SavedPriceLists(price_lists=price_lists, next=following))


@blueprint.get("/<name>")
@op(
    id="getPriceList",
    tag="price lists",
    answers=get_answers("The price list", PriceListAnswer),
    problems=[404],
)
def get_price_list(name: str) -> Response:
    """Get a price list."""
    return _SAVED.get(name)


@blueprint.put("/<name>")
@op(
    id="putPriceList",
    tag="price lists",
    body=SavedPriceListSchema,
    answers=put_answers(PriceListAnswer),
    problems=[409, 412],
    takes=PUT_HEADERS,
    examples=["harbour-prices"],
    scope="write",
)
def put_price_list(name: str, body: SavedPriceList) -> Response:
    """Save a price list under a name, replacing an earlier one of that name.

    A kit that names it keeps a copy of it, so its quote does not change with the list.
    """
    return _SAVED.put(name, body.document)


@blueprint.delete("/<name>")
@op(
    id="deletePriceList",
    tag="price lists",
    answers={204: Answer("It is gone")},
    problems=[404, 412],
    takes=DELETE_HEADERS,
    scope="write",
)
def delete_price_list(name: str) -> Response:
    """Delete a price list; existing kits keep their copy of it."""
    return _SAVED.delete(name)
