"""Links to kits' files: for browsers, which send no key when they open an address."""

from __future__ import annotations

import uuid

from flask import Blueprint, g

from service.answers.file_links import FileLinkAnswer
from service.http.auth import required
from service.http.current import settings, store
from service.http.endpoint import Answer, op
from service.http.file_links import shown_address, signed_link
from service.http.ownership import missing
from service.links import kit_address, timestamp
from service.requests.file_links import FileLinkRequest, FileLinkRequestSchema

blueprint = Blueprint("file_links", __name__, url_prefix="/v1/kits")

_SECOND = 1_000_000


@blueprint.post("/<uuid:kit_id>/links")
@op(
    id="createFileLink",
    tag="kits",
    body=FileLinkRequestSchema,
    answers={200: Answer("The link", FileLinkAnswer)},
    problems=[404],
)
def create_file_link(kit_id: uuid.UUID, body: FileLinkRequest) -> FileLinkAnswer:
    """Create a link to a file of a kit, which a browser opens without a key for some hours.

    It opens this file and nothing else, and ends before its time when the key that created it is
    revoked, expires, or gets another secret. Where the service asks for no keys, it is the file's
    address. Nothing is stored.
    """
    if not store().kits.has_file(str(kit_id), body.file):
        raise missing("kit_id")
    path = f"{kit_address(str(kit_id))}/files/{body.file}"
    if not required(settings()):
        return FileLinkAnswer(href=shown_address(path))
    made = signed_link(path, body.hours, g.key_id, g.key_hash)
    return FileLinkAnswer(href=made.href, expires_at=timestamp(made.expires * _SECOND))
