"""What stands about every picture at true size: the document and its white ground."""

from __future__ import annotations

from collections.abc import Iterable

from service.documents.pictures.path import number


def framed(width: float, height: float, body: Iterable[str]) -> str:
    """Return an SVG document of that size in mm, y down, that holds the lines of ``body``."""
    wide, high = number(width), number(height)
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide}mm" height="{high}mm" '
        f'viewBox="0 0 {wide} {high}">\n'
        f'<rect width="{wide}" height="{high}" fill="#fff"/>\n' + "\n".join(body) + "\n</svg>\n"
    )
