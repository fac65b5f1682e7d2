"""Pictures as drawings, or as pixels for print where the request asks for those."""

from __future__ import annotations

from flask import Response

from service.http.computations import compute
from service.http.endpoint import check_accept, chosen
from service.links import PNG, SVG
from service.views.files import file_response

#: How the names of a kit's pictures end.
PICTURE_FILE = "-picture.svg"
TYPES = [SVG, PNG]


def picture_response(svg: bytes, sha256: str, name: str | None = None) -> Response:
    """Return a picture in the media type that the request prefers.

    Args:
        svg: the drawing.
        sha256: of the drawing.
        name: file name for saving; shown in the browser when ``None``.
    """
    check_accept(TYPES)
    if chosen(TYPES) == PNG:
        pixels = compute("printed_picture", svg)
        saved = name and name.removesuffix(".svg") + ".png"
        response = file_response(pixels, PNG, etag=f"{sha256}-png", name=saved)
    else:
        kind = SVG if name else f"{SVG}; charset=utf-8"
        response = file_response(svg, kind, etag=sha256, name=name)
    response.vary.add("Accept")
    return response
