"""The frame of every picture: an SVG document at true size with a white background."""

from __future__ import annotations

from collections.abc import Iterable

from service.documents.pictures.path import number


def framed(width: float, height: float, body: Iterable[str]) -> str:
    """Return an SVG document of this size in mm, y down, around the lines of ``body``."""
    wide, high = number(width), number(height)
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide}mm" height="{high}mm" '
        f'viewBox="0 0 {wide} {high}">\n'
        f'<rect width="{wide}" height="{high}" fill="#fff"/>\n' + "\n".join(body) + "\n</svg>\n"
    )
