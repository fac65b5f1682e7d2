"""Converts pictures to PNG without system fonts, so that they look the same everywhere."""

from __future__ import annotations

from service.documents.fonts import BOLD_FILE, FAMILY, REGULAR_FILE

#: Pixels along the longer side.
_LONGER_SIDE = 1600


def png(svg: str) -> bytes:
    """Return an SVG picture as PNG bytes on a white background.

    Raises:
        ValueError: when the text is not an SVG picture.
    """
    # Imported here because most answers need no PNG.
    import resvg_py  # noqa: PLC0415

    return bytes(
        resvg_py.svg_to_bytes(
            svg_string=svg,
            background="#ffffff",
            skip_system_fonts=True,
            font_files=[str(REGULAR_FILE), str(BOLD_FILE)],
            sans_serif_family=FAMILY,
            font_family=FAMILY,
            dpi=96.0,
            width=_LONGER_SIDE,
        )
    )
