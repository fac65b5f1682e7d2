"""Kits: create, list, get and delete them."""

from __future__ import annotations

import hashlib
import time
import uuid
from collections.abc import Callable
from functools import partial
from urllib.parse import urlencode

from flask import Blueprint, Response, g
from sqlalchemy import Connection

from service.answers.kits import KitAnswer, KitList, KitSummary
from service.http.callbacks import check_callback
from service.http.computations import compute
from service.http.current import store
from service.http.endpoint import JSON, Answer, check_accept, chosen, op, respond
from service.http.idempotency import HEADER, claimed
from service.http.ownership import maker, viewer
from service.http.ownership import missing as missing_thing
from service.http.problems import ProblemError
from service.kits import Bundle
from service.links import kit_address, timestamp
from service.requests.callbacks import Callback
from service.requests.file_links import KitFileQuerySchema
from service.requests.kit_search import KitQuery, KitQuerySchema
from service.requests.kits import KitRequest, KitRequestSchema
from service.sandbox.admission import kit_is_modest
from service.storage.announcements import announce_kit
from service.storage.idempotency_keys import Claim, ClaimLostError, complete
from service.storage.kit_lists import KitSearch, ListedKit
from service.storage.kit_rows import StoredFile
from service.storage.new_kits import new_kit
from service.views.conditions import CONDITIONS, require_condition
from service.views.files import file_response, kit_file_types
from service.views.pages import cursor, linked, opaque
from service.views.printed_pictures import PICTURE_FILE, picture_response
from service.views.submit import (
    JOB_ANSWER,
    PREFER,
    kit_job,
    prefers_async,
    still_running,
    submitted,
)

blueprint = Blueprint("kits", __name__, url_prefix="/v1/kits")

ZIP = "application/zip"
FORMS = (JSON, ZIP)
LINKS = ("getKit", "deleteKit", "createRecut")
_MADE = {"Location": "the kit's address", "ETag": "of this form of the kit"}
_FETCHED = {"ETag": "of this form of the kit"}


@blueprint.post("")
@op(
    id="createKit",
    tag="kits",
    body=KitRequestSchema,
    answers={
        201: Answer("The kit, saved", KitAnswer, media=[ZIP], headers=_MADE, links=LINKS),
        202: JOB_ANSWER,
    },
    problems=[404, 409],
    takes=[HEADER, PREFER],
    examples=["harbour-class-set", "lighthouse-laser-kit", "breakwater-die-order", "harbour-roll"],
    scope="write",
)
def make_kit(body: KitRequest) -> Response:
    """Create a kit: pieces, layouts, files, run sheet. It is stored until it is deleted.

    With an `Idempotency-Key`, repeating the request returns the same kit for 24 hours, or as long
    as the operator has set. With `Prefer: respond-async` (RFC 7240) the answer is a job, which
    creates the kit in the background.
    """
    check_callback(body.callback)
    if prefers_async():
        return submitted(kit_job("kit", body, makes_kit=True))
    make = partial(compute, "kit", body, modest=kit_is_modest(body))
    return made_once(make, callback=body.callback)


def made_once(
    make: Callable[[], Bundle], *, recut_of: str | None = None, callback: Callback | None = None
) -> Response:
    """Create and save a kit, or return the one that this request created before."""
    with claimed() as claim:
        if isinstance(claim, str):
            return _made_before(claim)
        try:
            return _kept(make(), recut_of, claim, callback)
        except ClaimLostError:
            raise still_running() from None


def _made_before(kit_id: str) -> Response:
    answer, archive = store().kits.answer(kit_id), store().kits.archive(kit_id)
    if answer is None or archive is None:
        detail = "The kit created with this Idempotency-Key has been deleted."
        raise ProblemError("not-found", 404, detail)
    return _created(kit_id, answer.data, archive.data, store().kits.number(kit_id))


def _kept(
    bundle: Bundle, recut_of: str | None, claim: Claim | None, callback: Callback | None
) -> Response:
    """Save a computed kit and return the answer."""
    now_us = time.time_ns() // 1000
    kit = new_kit(bundle, str(uuid.uuid4()), now_us, recut_of=recut_of, key_id=maker())
    kit_id, request_id = kit.row.id, g.request_id

    def also(connection: Connection) -> None:
        if claim is not None:
            complete(connection, claim, kit_id)
        if callback is not None:
            announce_kit(connection, kit.row, callback, request_id)

    archive = store().kits.save(kit, also=also)
    return _created(kit_id, kit.answer, archive, kit.row.number)


def _created(kit_id: str, answer: bytes, archive: bytes, number: str) -> Response:
    """Return the answer to a request that created a kit, in the form that it prefers."""
    form = chosen(FORMS)
    response = respond((None, 201, {"Location": kit_address(kit_id)}))
    response.set_data(archive if form == ZIP else answer)
    response.content_type = form
    response.vary.add("Accept")
    if form == ZIP:
        response.headers["Content-Disposition"] = (
            f'attachment; filename="{_zip_name(kit_id, number)}"'
        )
    # That of the same form of the kit when it is fetched: RFC 9110, 8.8.3, of a 201's validators.
    response.set_etag(hashlib.sha256(response.get_data()).hexdigest())
    return response


def _zip_name(kit_id: str, number: str) -> str:
    return f"kit-{number}-{kit_id}.zip" if number else f"kit-{kit_id}.zip"


@blueprint.get("")
@op(
    id="listKits",
    tag="kits",
    query=KitQuerySchema,
    answers={
        200: Answer("Saved kits, newest first", KitList, headers={"Link": "rel=next, if any"})
    },
)
def list_kits(query: KitQuery) -> tuple[KitList, int, dict[str, str]]:
    """List saved kits, newest first: all, or those that fit everything that is asked for."""
    limit = query.limit
    after = cursor(query.after) if query.after else None
    search = KitSearch(**query.search, key_id=viewer())
    rows = store().kits.page(limit + 1, after=after, search=search)
    following = None
    if len(rows) > limit:
        last = rows[limit - 1]
        mark = {"limit": limit, "after": opaque(last.created_us, last.id)}
        following = f"/v1/kits?{urlencode({**query.stated, **mark})}"
    return linked(KitList(kits=[_summary(row) for row in rows[:limit]], next=following))


def _summary(row: ListedKit) -> KitSummary:
    return KitSummary(
        id=row.id,
        title=row.title,
        version=row.version,
        created_at=timestamp(row.created_us),
        href=kit_address(row.id),
        number=row.number or None,
        reference=row.reference or None,
        date=row.date or None,
        recut_of=row.recut_of or None,
        pinned=row.is_pinned,
    )


@blueprint.get("/<uuid:kit_id>")
@op(
    id="getKit",
    tag="kits",
    answers={200: Answer("The kit", KitAnswer, media=[ZIP], headers=_FETCHED)},
    problems=[404],
)
def get_kit(kit_id: uuid.UUID) -> Response:
    """Get a kit, always byte for byte the same: its description, or a zip of everything."""
    form = chosen(FORMS)
    if form == ZIP:
        archive = _found(store().kits.archive(str(kit_id)))
        name = _zip_name(str(kit_id), store().kits.number(str(kit_id)))
        response = file_response(archive.data, ZIP, etag=archive.sha256, name=name)
    else:
        answer = store().kits.answer(str(kit_id))
        if answer is None:
            raise missing()
        response = file_response(answer.data, JSON, etag=answer.sha256)
    response.vary.add("Accept")
    return response


@blueprint.get("/<uuid:kit_id>/files/<name>")
@op(
    id="getKitFile",
    tag="kits",
    query=KitFileQuerySchema,
    answers={200: Answer("The file", media=kit_file_types, headers={"ETag": "of the file"})},
    problems=[403, 404],
    takes_links=True,
)
def get_kit_file(kit_id: uuid.UUID, name: str, query: str) -> Response:
    """Get one file of a kit, always byte for byte the same.

    A load's picture is an SVG drawing. With `Accept: image/png` it comes as pixels at true size,
    300 dpi; fewer where that would be more than 40 million. The file states how many. A browser
    saves it, or shows it with `disposition=inline`. A signed link (`createFileLink`) needs no key.
    """
    file = _found(store().kits.file(str(kit_id), name))
    if name.endswith(PICTURE_FILE):
        return picture_response(file.data, file.sha256, name)
    check_accept([file.media_type])
    return file_response(
        file.data, file.media_type, etag=file.sha256, name=file.name, disposition=query
    )


@blueprint.delete("/<uuid:kit_id>")
@op(
    id="deleteKit",
    tag="kits",
    answers={204: Answer("It is gone")},
    problems=[404],
    takes=CONDITIONS,
    scope="write",
)
def delete_kit(kit_id: uuid.UUID) -> Response:
    """Delete a kit and all of its files permanently."""
    require_condition("kit", lambda: _tags(str(kit_id)), weak=False)
    if not store().make_way(store().kits.delete, str(kit_id)):
        raise missing()
    return respond((None, 204, {}))


@blueprint.put("/<uuid:kit_id>/pin")
@op(
    id="pinKit",
    tag="kits",
    answers={204: Answer("It is pinned")},
    problems=[404],
    scope="write",
)
def pin_kit(kit_id: uuid.UUID) -> Response:
    """Pin a kit, so that no retention deletes it: neither by age nor beyond a quota."""
    if not store().retention.pin(str(kit_id)):
        raise missing()
    return respond((None, 204, {}))


@blueprint.delete("/<uuid:kit_id>/pin")
@op(
    id="unpinKit",
    tag="kits",
    answers={204: Answer("It is not pinned")},
    problems=[404],
    scope="write",
)
def unpin_kit(kit_id: uuid.UUID) -> Response:
    """Unpin a kit; a retention may delete it again."""
    if not store().make_way(store().retention.unpin, str(kit_id)):
        raise missing()
    return respond((None, 204, {}))


def _tags(kit_id: str) -> tuple[str, str]:
    """Return the entity tags of both forms of a kit."""
    answer = store().kits.answer(kit_id)
    if answer is None:
        raise missing()
    return answer.sha256, _found(store().kits.archive(kit_id)).sha256


def _found(file: StoredFile | None) -> StoredFile:
    if file is None:
        raise missing()
    return file


def missing() -> ProblemError:
    """Return the problem for a missing kit or file."""
    return missing_thing("kit_id")
