"""Converts pictures to PNG without system fonts, so that they look the same everywhere."""

from __future__ import annotations

from pathlib import Path

#: Pixels along the longer side.
_LONGER_SIDE = 1600


def png(svg: str) -> bytes:
    """Return an SVG picture as PNG bytes on a white background.

    Raises:
        ValueError: when the text is not an SVG picture.
    """
    # Imported here because most answers need no PNG.
    import reportlab  # noqa: PLC0415
    import resvg_py  # noqa: PLC0415

    fonts = Path(reportlab.__file__).parent / "fonts"
    return bytes(
        resvg_py.svg_to_bytes(
            svg_string=svg,
            background="#ffffff",
            skip_system_fonts=True,
            font_files=[str(fonts / "Vera.ttf"), str(fonts / "VeraBd.ttf")],
            sans_serif_family="Bitstream Vera Sans",
            font_family="Bitstream Vera Sans",
            dpi=96.0,
            width=_LONGER_SIDE,
        )
    )
