"""Blocks: from a line drawing to pieces and the kit that cuts them."""

from __future__ import annotations

from flask import Blueprint, Response

from service.answers.blocks import BlockAnswer
from service.http.computations import compute
from service.http.endpoint import JSON, Answer, chosen, op
from service.links import PDF
from service.requests.drawn_blocks import (
    DrawnBlockFormSchema,
    DrawnBlockRequest,
    DrawnBlockRequestSchema,
)

blueprint = Blueprint("blocks", __name__, url_prefix="/v1/blocks")


@blueprint.post("")
@op(
    id="readBlock",
    tag="quilts",
    body=DrawnBlockRequestSchema,
    form=DrawnBlockFormSchema,
    answers={200: Answer("The block and its kit", BlockAnswer, media=(PDF,))},
    examples=["harbour-block"],
)
def read_block(
    body: DrawnBlockRequest | None = None,
    form: DrawnBlockRequest | None = None,
    file: bytes | None = None,
) -> BlockAnswer | Response:
    """Find a block's pieces in its line drawing, and the kit that cuts them.

    Send lines and arcs as JSON, or a drawing (SVG, DXF, HP-GL) as a form. Ends that nearly meet are
    joined and doubled lines made one; every repair is listed, and what cannot be repaired is
    refused with its place. Equal pieces share a letter and a template; mirror images are apart,
    because fabric has a right side. Pieces take the fabric of the closed, filled path about them.

    As `application/pdf` the answer is pages to print: the block with its letters, grain and match
    marks, its pieces with their allowances, the map of its sections with the order of sewing, and
    at true size the foundations (mirrored) and the templates.
    """
    if chosen((JSON, PDF)) == PDF:
        data: bytes = compute("block_document", body or form, file)
        response = Response(data, content_type=PDF)
        response.vary.add("Accept")
        return response
    # Always in a child process, because a drawing can need any amount of work.
    made: BlockAnswer = compute("block", body or form, file)
    return made
