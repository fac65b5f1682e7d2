"""Cutters: built-in and saved ones."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from flask import Blueprint, Response

from service.answers.choices import CutterAnswer, CutterList
from service.http.current import store
from service.http.endpoint import Answer, op, respond
from service.http.problems import ProblemError
from service.requests.cutters import CutterRequest, SavedCutterSchema
from service.schemas.fields import CUTTER_NAME
from service.storage.named_documents import VersionConflictError
from service.tools.built_in import BUILT_IN
from service.views.versions import ETAG, changed, expected, with_version

blueprint = Blueprint("cutters", __name__, url_prefix="/v1/cutters")


def _answer(name: str, body: Mapping[str, Any], version: int, *, built_in: bool) -> CutterAnswer:
    return CutterAnswer(
        name=name,
        built_in=built_in,
        version=version,
        cutter=body,
        href=f"/v1/cutters/{name}",
    )


@blueprint.get("")
@op(id="listCutters", tag="cutters", answers={200: Answer("All cutters", CutterList)})
def list_cutters() -> CutterList:
    """List built-in and saved cutters."""
    built_in = [_answer(name, body, 0, built_in=True) for name, body in BUILT_IN.items()]
    saved = [
        _answer(each.name, each.body, each.version, built_in=False)
        for each in store().cutters.all()
    ]
    return CutterList(cutters=built_in + saved)


@blueprint.get("/<name>")
@op(
    id="getCutter",
    tag="cutters",
    answers={200: Answer("The cutter", CutterAnswer, headers=ETAG)},
    problems=[404],
)
def get_cutter(name: str) -> Response:
    """Get a cutter."""
    if name in BUILT_IN:
        return with_version(_answer(name, BUILT_IN[name], 0, built_in=True), 200)
    saved = store().cutters.get(name)
    if saved is None:
        raise _missing()
    return with_version(_answer(name, saved.body, saved.version, built_in=False), 200)


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
    if not re.fullmatch(CUTTER_NAME, name):
        detail = "A cutter's name has 1 to 64 lower-case letters, digits and hyphens."
        raise ProblemError("invalid-request", 422, detail)
    try:
        saved = store().cutters.put(name, body.document, expected=expected())
    except VersionConflictError:
        raise changed("cutter") from None
    answer = _answer(name, saved.body, saved.version, built_in=False)
    return with_version(answer, 201 if saved.version == 1 else 200)


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
    try:
        gone = store().make_way(store().cutters.delete, name, expected=expected())
    except VersionConflictError:
        raise changed("cutter") from None
    if not gone:
        raise _missing()
    return respond((None, 204, {}))


def _refuse_built_in(name: str) -> None:
    if name in BUILT_IN:
        detail = f'"{name}" comes with the service; save yours under another name.'
        raise ProblemError("cutter-read-only", 409, detail)


def _missing() -> ProblemError:
    return ProblemError("not-found", 404, "There is no such cutter; GET /v1/cutters lists all.")
