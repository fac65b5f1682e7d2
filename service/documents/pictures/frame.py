"""The frame of every picture: an SVG document at true size with a white background."""

from __future__ import annotations

from collections.abc import Iterable
from xml.sax.saxutils import escape, quoteattr

from service.documents.pictures.path import number


def framed(width: float, height: float, body: Iterable[str], title: str) -> str:
    """Return an SVG document of this size in mm, y down, around the lines of ``body``.

    Args:
        width: in mm.
        height: in mm.
        body: lines of SVG.
        title: what it shows, for those who cannot see it.
    """
    wide, high = number(width), number(height)
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide}mm" height="{high}mm" '
        f'viewBox="0 0 {wide} {high}" role="img" aria-label={quoteattr(title)}>\n'
        f"<title>{escape(title)}</title>\n"
        f'<rect width="{wide}" height="{high}" fill="#fff"/>\n' + "\n".join(body) + "\n</svg>\n"
    )
