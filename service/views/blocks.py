"""Blocks: from a line drawing to pieces and the kit that cuts them."""

from __future__ import annotations

import orjson
from flask import Blueprint, Response

from geometry.blocks.gallery import GALLERY
from service.answers.blocks import BlockAnswer
from service.answers.saved_blocks import BlockEntry, BlockList, SavedBlockAnswer
from service.http.computations import compute
from service.http.endpoint import JSON, Answer, chosen, op
from service.http.named_cutters import required_cutter
from service.links import PDF
from service.requests.drawn_blocks import (
    UNTITLED,
    DrawnBlockFormSchema,
    DrawnBlockRequest,
    DrawnBlockRequestSchema,
    SavedBlock,
    SavedBlockSchema,
)
from service.requests.gallery_blocks import gallery
from service.requests.pages import ListPage, ListQuerySchema
from service.sandbox.unloaded import UnloadedBody
from service.storage.named_documents import NamedDocument
from service.views.pages import linked
from service.views.saved_documents import (
    DELETE_HEADERS,
    PUT_HEADERS,
    SavedDocuments,
    get_answers,
    put_answers,
)

blueprint = Blueprint("blocks", __name__, url_prefix="/v1/blocks")


def _answer(saved: NamedDocument, *, built_in: bool = False) -> SavedBlockAnswer:
    drawing = saved.body["drawing"]
    return SavedBlockAnswer(
        name=saved.name,
        title=drawing.get("title") or UNTITLED,
        built_in=built_in,
        version=saved.version,
        drawing=drawing,
        block=saved.body["block"],
        href=f"/v1/blocks/{saved.name}",
    )


def _of_gallery(name: str) -> SavedBlockAnswer | None:
    found = gallery().get(name)
    return None if found is None else _answer(NamedDocument(name, 0, found), built_in=True)


_SAVED = SavedDocuments(
    "block",
    "/v1/blocks",
    lambda store: store.blocks,
    _answer,
    _of_gallery,
    "is a block of the gallery",
    tuple(GALLERY),
)


@blueprint.get("")
@op(
    id="listBlocks",
    tag="quilts",
    query=ListQuerySchema,
    answers={
        200: Answer("Blocks by name", BlockList, headers={"Link": "rel=next, if any"}),
    },
)
def list_blocks(query: ListPage) -> tuple[BlockList, int, dict[str, str]]:
    """List the gallery of traditional blocks, then saved blocks by name.

    Where their drawings are large a page has fewer.
    """
    blocks, following = _SAVED.page(query, _entry)
    return linked(BlockList(blocks=blocks, next=following))


def _entry(each: SavedBlockAnswer) -> BlockEntry:
    return BlockEntry(
        name=each.name,
        title=each.title,
        built_in=each.built_in,
        version=each.version,
        in_quilt_plans=each.block is not None,
        href=each.href,
    )


@blueprint.get("/<name>")
@op(
    id="getBlock",
    tag="quilts",
    answers=get_answers("The block", SavedBlockAnswer),
    problems=[404],
)
def get_block(name: str) -> Response:
    """Get a block's drawing, and the block that a quilt plan takes."""
    return _SAVED.get(name)


@blueprint.put("/<name>")
@op(
    id="putBlock",
    tag="quilts",
    body=SavedBlockSchema,
    answers=put_answers(SavedBlockAnswer),
    problems=[409, 412],
    takes=PUT_HEADERS,
    examples=["harbour-block"],
    scope="write",
)
def put_block(name: str, body: SavedBlock) -> Response:
    """Save a block's drawing under a name, replacing an earlier one of that name.

    The drawing is read first, and refused if it cannot be repaired. `POST /v1/blocks` and quilt
    plans take the name in place of the drawing.
    """
    _SAVED.require_own(name)
    required_cutter(body.request.cutter)
    # Always in a child process, because a drawing can need any amount of work.
    _, block = compute("block", body.request, None)
    return _SAVED.put(name, {"drawing": body.document, "block": block})


@blueprint.delete("/<name>")
@op(
    id="deleteBlock",
    tag="quilts",
    answers={204: Answer("It is gone")},
    problems=[404, 409, 412],
    takes=DELETE_HEADERS,
    scope="write",
)
def delete_block(name: str) -> Response:
    """Delete a saved block; kits and quilts made from it stay as they are."""
    return _SAVED.delete(name)


@blueprint.post("")
@op(
    id="readBlock",
    tag="quilts",
    body=DrawnBlockRequestSchema,
    form=DrawnBlockFormSchema,
    answers={200: Answer("The block and its kit", BlockAnswer, media=(PDF,))},
    examples=["harbour-block"],
    loads_in_child=True,
)
def read_block(
    body: DrawnBlockRequest | UnloadedBody | None = None,
    form: DrawnBlockRequest | None = None,
    file: bytes | None = None,
) -> Response:
    """Find a block's pieces in its line drawing, and the kit that cuts them.

    Send lines and arcs as JSON, or a drawing (SVG, DXF, HP-GL) as a form. Ends that nearly meet are
    joined and doubled lines made one; every repair is listed, and what cannot be repaired is
    refused with its place. Equal pieces share a letter and a template; mirror images are apart,
    because fabric has a right side. Pieces take the fabric of the closed, filled path about them.

    As `application/pdf` the answer is pages to print: the block with its letters, grain and match
    marks, its pieces with their allowances, the map of its sections with the order of sewing, and
    at true size the foundations (mirrored) and the templates.
    """
    sent = body or form
    if isinstance(sent, DrawnBlockRequest):
        required_cutter(sent.cutter)
    if chosen((JSON, PDF)) == PDF:
        data: bytes = compute("block_document", sent, file)
        response = Response(data, content_type=PDF)
        response.vary.add("Accept")
        return response
    # Always in a child process, because a drawing can need any amount of work.
    answer, _ = compute("block", sent, file)
    if isinstance(sent, UnloadedBody):
        # What it names is known only now.
        required_cutter(orjson.loads(answer)["kit"]["runs"][0]["cutter"])
    return Response(answer, content_type=JSON)
