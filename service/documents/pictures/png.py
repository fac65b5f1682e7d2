"""Converts pictures to PNG without system fonts, so that they look the same everywhere."""

from __future__ import annotations

import re
import struct
import zlib
from typing import Final

from geometry.units import MM_PER_INCH
from service.documents.fonts import BOLD_FILE, FAMILY, REGULAR_FILE

#: Pixels along the longer side of a picture for a screen.
_LONGER_SIDE = 1600
#: Of a picture for print: pixels per inch, and the most pixels, which take 160 MB to draw.
PRINT_DPI: Final = 300.0
MAX_PIXELS: Final = 40_000_000
_SIZE: Final = re.compile(r'<svg [^>]*?width="([\d.]+)mm" height="([\d.]+)mm"')
_PER_SVG_INCH: Final = 96.0
#: Signature and header (PNG 3, 5.2 and 11.2.2): 8 bytes, and 25 of a chunk of 13.
_HEADER: Final = 33
_METRE: Final = 1000.0


def png(svg: str) -> bytes:
    """Return an SVG picture as PNG bytes on a white background, for a screen.

    Raises:
        ValueError: when the text is not an SVG picture.
    """
    return _drawn(svg, width=_LONGER_SIDE)


def printed_png(svg: str) -> bytes:
    """Return an SVG picture as PNG bytes at true size, 300 dpi.

    A picture of more than 40 million pixels has fewer per inch. The file states how many
    (pHYs, PNG 3, 11.3.4.3), so that programs print it at true size.

    Raises:
        ValueError: when the text is not an SVG picture with a size in mm.
    """
    found = _SIZE.search(svg)
    if found is None:
        raise ValueError("The picture states no size in mm.")
    width, height = (float(each) / MM_PER_INCH for each in found.groups())
    dpi = min(PRINT_DPI, (MAX_PIXELS / (width * height)) ** 0.5)
    data = _drawn(svg, zoom=dpi / _PER_SVG_INCH)
    per_metre = round(dpi * _METRE / MM_PER_INCH)
    return (
        data[:_HEADER]
        + _chunk(b"pHYs", struct.pack(">IIB", per_metre, per_metre, 1))
        + (data[_HEADER:])
    )


def _drawn(svg: str, *, width: int | None = None, zoom: float | None = None) -> bytes:
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
            dpi=_PER_SVG_INCH,
            width=width,
            zoom=zoom,
        )
    )


def _chunk(kind: bytes, data: bytes) -> bytes:
    """Return a chunk: length, type, data and CRC (PNG 3, 5.3)."""
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
