"""Cutters: built-in and saved ones."""

from __future__ import annotations

from flask import Blueprint, Response

from service.answers.choices import CutterAnswer, CutterList
from service.http.endpoint import Answer, op
from service.requests.cutters import CutterRequest, SavedCutterSchema
from service.requests.pages import ListPage, ListQuerySchema
from service.storage.named_documents import NamedDocument
from service.tools.built_in import BUILT_IN
from service.views.pages import linked
from service.views.saved_documents import (
    DELETE_HEADERS,
    PUT_HEADERS,
    SavedDocuments,
    get_answers,
    put_answers,
)

blueprint = Blueprint("cutters", __name__, url_prefix="/v1/cutters")


def _answer(saved: NamedDocument, *, built_in: bool = False) -> CutterAnswer:
    return CutterAnswer(
        name=saved.name,
        built_in=built_in,
        version=saved.version,
        cutter=saved.body,
        href=f"/v1/cutters/{saved.name}",
    )


_BUILT_IN = {
    name: _answer(NamedDocument(name, 0, body), built_in=True) for name, body in BUILT_IN.items()
}
_SAVED = SavedDocuments(
    "cutter",
    "/v1/cutters",
    lambda store: store.cutters,
    _answer,
    _BUILT_IN.get,
    "comes with the service",
    tuple(_BUILT_IN),
)


@blueprint.get("")
@op(
    id="listCutters",
    tag="cutters",
    query=ListQuerySchema,
    answers={
        200: Answer("Cutters by name", CutterList, headers={"Link": "rel=next, if any"}),
    },
)
def list_cutters(query: ListPage) -> tuple[CutterList, int, dict[str, str]]:
    """List built-in cutters, then saved ones by name. Where they are large a page has fewer."""
    cutters, following = _SAVED.page(query, lambda each: each)
    return linked(CutterList(cutters=cutters, next=following))


@blueprint.get("/<name>")
@op(
    id="getCutter",
    tag="cutters",
    answers=get_answers("The cutter", CutterAnswer),
    problems=[404],
)
def get_cutter(name: str) -> Response:
    """Get a cutter."""
    return _SAVED.get(name)


@blueprint.put("/<name>")
@op(
    id="putCutter",
    tag="cutters",
    body=SavedCutterSchema,
    answers=put_answers(CutterAnswer),
    problems=[409, 412],
    takes=PUT_HEADERS,
    examples=["hoop-with-a-wide-bottom-margin"],
    scope="write",
)
def put_cutter(name: str, body: CutterRequest) -> Response:
    """Save a cutter under a name, replacing an earlier one of that name."""
    return _SAVED.put(name, body.document)


@blueprint.delete("/<name>")
@op(
    id="deleteCutter",
    tag="cutters",
    answers={204: Answer("It is gone")},
    problems=[404, 409, 412],
    takes=DELETE_HEADERS,
    scope="write",
)
def delete_cutter(name: str) -> Response:
    """Delete a saved cutter; existing kits keep their copy of it."""
    return _SAVED.delete(name)
