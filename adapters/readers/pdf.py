"""A PDF reader based on pypdf: joins the paths of all pages.

Source:
    ISO 32000-1:2008, tables 59 and 60 (path construction and painting), 14.6 (marked content),
    8.3.4 (the matrix), 8.5.4 (clipping), table 30 (Rotate, UserUnit, MediaBox).
"""

from __future__ import annotations

import io
from typing import Any

from adapters.readers.pdf_windows import Window, is_shown
from adapters.readers.strokes import ReadSegment, ReadStroke
from geometry.model.points import Point

READER = "pypdf content reader"
_MM = 25.4 / 72.0
#: Maximum difference of points shown on two pages, mm.
_ROUNDING = 1.0e-3


def read(data: bytes) -> list[ReadStroke]:
    """Return the strokes of a PDF written by this project, mm, y up.

    A stroke that several pages show must be the same on each, and every part of it must be inside
    the part of the bed that one of them prints.

    Raises:
        ValueError: when it is not such a file, its pages disagree, or do not show all of a stroke.
    """
    import pypdf  # noqa: PLC0415 - only read-back needs it
    from pypdf.generic import ContentStream  # noqa: PLC0415

    document = pypdf.PdfReader(io.BytesIO(data))
    found: dict[int, ReadStroke] = {}
    shown: dict[int, list[Window]] = {}
    for page in document.pages:
        contents = page.get_contents()
        if contents is None:
            continue
        if page.get("/Rotate", 0) or page.get("/UserUnit", 1) != 1:
            raise ValueError("a page is turned or enlarged")
        if b"/Stroke" not in contents.get_data():
            # The check page has nothing but rulers.
            continue
        reader = _Page(tuple(float(side) for side in page.mediabox))
        for operands, operator in ContentStream(contents, document).operations:
            reader.take(operator, operands)
        for number, stroke in reader.strokes.items():
            if number in found and not _same(found[number], stroke):
                raise ValueError(f"stroke {number} differs between pages")
            found[number] = stroke
            shown.setdefault(number, []).append(reader.window)
    if sorted(found) != list(range(len(found))):
        raise ValueError("strokes are missing")
    for number, stroke in found.items():
        if not is_shown(stroke, shown[number]):
            raise ValueError(f"no page shows all of stroke {number}")
    return [found[number] for number in range(len(found))]


def _same(a: ReadStroke, b: ReadStroke) -> bool:
    ends = zip(
        [a.start, *(s.end for s in a.segments)],
        [b.start, *(s.end for s in b.segments)],
        strict=False,
    )
    return len(a.segments) == len(b.segments) and all(
        abs(p.x - q.x) + abs(p.y - q.y) < _ROUNDING for p, q in ends
    )


class _Page:
    """Interprets one page's operators."""

    def __init__(self, media: tuple[float, ...]) -> None:
        self.strokes: dict[int, ReadStroke] = {}
        #: The part of the bed that the page shows, mm.
        self.window: Window = (0.0, 0.0, 0.0, 0.0)
        self._origin = (0.0, 0.0)
        self._number, self._kind = -1, ""
        self._start = self._at = Point(0.0, 0.0)
        #: The last point of the path as its content states it.
        self._last = (0.0, 0.0)
        self._moves: list[ReadSegment] = []
        self._matrix: tuple[float, ...] = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
        self._clip: Window = (media[0], media[1], media[2], media[3])
        self._saved: list[tuple[tuple[float, ...], Window]] = []
        self._frame: Window | None = None

    def take(self, operator: bytes, operands: Any) -> None:  # noqa: ANN401
        """Interpret one operator."""
        if operator == b"BDC" and str(operands[0]) == "/Part":
            self._show(operands[1])
        elif operator == b"BDC" and str(operands[0]) == "/Stroke":
            self._number = int(operands[1]["/N"])
            self._kind = str(operands[1]["/Kind"]).lstrip("/")
        elif operator in {b"q", b"Q", b"cm", b"re", b"W", b"W*"}:
            self._state(operator, operands)
        elif operator == b"m":
            self._last = (float(operands[0]), float(operands[1]))
            self._start = self._at = self._point(*self._last)
            self._moves = []
        elif operator in {b"l", b"c"}:
            self._step(operator, operands)
        elif operator in {b"h", b"S"} and self._number >= 0:
            self._paint(closing=operator == b"h")

    def _state(self, operator: bytes, operands: Any) -> None:  # noqa: ANN401
        """Follow the matrix and the clip of the graphics state."""
        if operator == b"q":
            self._saved.append((self._matrix, self._clip))
        elif operator == b"Q":
            self._matrix, self._clip = self._saved.pop()
        elif operator == b"cm":
            a, b, c, d, e, f = (float(each) for each in operands)
            m = self._matrix
            self._matrix = (
                a * m[0] + b * m[2],
                a * m[1] + b * m[3],
                c * m[0] + d * m[2],
                c * m[1] + d * m[3],
                e * m[0] + f * m[2] + m[4],
                e * m[1] + f * m[3] + m[5],
            )
        elif operator == b"re":
            x, y, width, height = (float(each) for each in operands)
            self._frame = (*self._placed(x, y), *self._placed(x + width, y + height))
        elif self._frame is not None:
            new, old = self._frame, self._clip
            low = (max(new[0], old[0]), max(new[1], old[1]))
            self._clip = (*low, min(new[2], old[2]), min(new[3], old[3]))

    def _show(self, part: Any) -> None:  # noqa: ANN401
        """Take the lower left corner of the part of the bed that the clip shows."""
        left, bottom, right, top = self._clip
        self._origin = (float(part["/Left"]) - left * _MM, float(part["/Bottom"]) - bottom * _MM)
        self.window = (
            float(part["/Left"]),
            float(part["/Bottom"]),
            right * _MM + self._origin[0],
            top * _MM + self._origin[1],
        )

    def _placed(self, x: float, y: float) -> tuple[float, float]:
        a, b, c, d, e, f = self._matrix
        return a * x + c * y + e, b * x + d * y + f

    def _point(self, x: float, y: float) -> Point:
        x, y = self._placed(x, y)
        return Point(x * _MM + self._origin[0], y * _MM + self._origin[1])

    def _step(self, operator: bytes, operands: Any) -> None:  # noqa: ANN401
        values = [float(each) for each in operands]
        x, y = values[-2:]
        end, (before_x, before_y) = self._point(x, y), self._last
        if operator == b"l":
            middle = Point((self._at.x + end.x) / 2.0, (self._at.y + end.y) / 2.0)
        else:
            one_x, one_y, two_x, two_y = values[:4]
            middle = self._point(
                (before_x + 3.0 * (one_x + two_x) + x) / 8.0,
                (before_y + 3.0 * (one_y + two_y) + y) / 8.0,
            )
        self._moves.append(ReadSegment(middle, end))
        self._at, self._last = end, (x, y)

    def _paint(self, *, closing: bool) -> None:
        if closing and self._at != self._start:
            middle = Point((self._at.x + self._start.x) / 2, (self._at.y + self._start.y) / 2)
            self._moves.append(ReadSegment(middle, self._start))
        if self._number not in self.strokes:
            self.strokes[self._number] = ReadStroke(
                self._start, tuple(self._moves), closing, self._kind
            )
        self._number = -1
