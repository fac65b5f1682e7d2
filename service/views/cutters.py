"""Cutters: built-in and saved ones."""

from __future__ import annotations

from flask import Blueprint, Response

from service.answers.choices import CutterAnswer, CutterList
from service.http.endpoint import Answer, op
from service.http.problems import ProblemError
from service.requests.cutters import CutterRequest, SavedCutterSchema
from service.storage.named_documents import NamedDocument
from service.tools.built_in import BUILT_IN
from service.views.saved_documents import SavedDocuments
from service.views.versions import ETAG, with_version

blueprint = Blueprint("cutters", __name__, url_prefix="/v1/cutters")


def _answer(saved: NamedDocument, *, built_in: bool = False) -> CutterAnswer:
    return CutterAnswer(
        name=saved.name,
        built_in=built_in,
        version=saved.version,
        cutter=saved.body,
        href=f"/v1/cutters/{saved.name}",
    )


_SAVED = SavedDocuments("cutter", "/v1/cutters", lambda store: store.cutters, _answer)
_BUILT_IN = {
    name: _answer(NamedDocument(name, 0, body), built_in=True) for name, body in BUILT_IN.items()
}


@blueprint.get("")
@op(id="listCutters", tag="cutters", answers={200: Answer("All cutters", CutterList)})
def list_cutters() -> CutterList:
    """List built-in and saved cutters."""
    return CutterList(cutters=[*_BUILT_IN.values(), *_SAVED.all()])


@blueprint.get("/<name>")
@op(
    id="getCutter",
    tag="cutters",
    answers={200: Answer("The cutter", CutterAnswer, headers=ETAG)},
    problems=[404],
)
def get_cutter(name: str) -> Response:
    """Get a cutter."""
    built_in = _BUILT_IN.get(name)
    return _SAVED.get(name) if built_in is None else with_version(built_in, 200)


@blueprint.put("/<name>")
@op(
    id="putCutter",
    tag="cutters",
    body=SavedCutterSchema,
    answers={
        200: Answer("It was replaced", CutterAnswer, headers=ETAG),
        201: Answer("It was saved", CutterAnswer, headers=ETAG),
    },
    problems=[409, 412],
    takes=["If-Match", "If-None-Match"],
    examples=["hoop-with-a-wide-bottom-margin"],
    scope="write",
)
def put_cutter(name: str, body: CutterRequest) -> Response:
    """Save a cutter under a name, replacing an earlier one of that name."""
    _refuse_built_in(name)
    return _SAVED.put(name, body.document)


@blueprint.delete("/<name>")
@op(
    id="deleteCutter",
    tag="cutters",
    answers={204: Answer("It is gone")},
    problems=[404, 409, 412],
    takes=["If-Match"],
    scope="write",
)
def delete_cutter(name: str) -> Response:
    """Delete a saved cutter; existing kits keep their copy of it."""
    _refuse_built_in(name)
    return _SAVED.delete(name)


def _refuse_built_in(name: str) -> None:
    if name in BUILT_IN:
        detail = f'"{name}" comes with the service; save yours under another name.'
        raise ProblemError("cutter-read-only", 409, detail)
