"""A PDF reader based on pypdf: joins the paths of all pages.

Source:
    ISO 32000-1:2008, tables 59 and 60 (path construction and painting), 14.6 (marked content).
"""

from __future__ import annotations

import io
from typing import Any

from adapters.readers.strokes import ReadSegment, ReadStroke
from geometry.model.points import Point

READER = "pypdf content reader"
_MM = 25.4 / 72.0
#: Maximum difference of points shown on two pages, mm.
_ROUNDING = 1.0e-3


def read(data: bytes) -> list[ReadStroke]:
    """Return the strokes of a PDF written by this project, mm, y up.

    A stroke that several pages show must be the same on each.

    Raises:
        ValueError: when it is not such a file, or its pages disagree.
    """
    import pypdf  # noqa: PLC0415 - only read-back needs it
    from pypdf.generic import ContentStream  # noqa: PLC0415

    document = pypdf.PdfReader(io.BytesIO(data))
    found: dict[int, ReadStroke] = {}
    for page in document.pages:
        margin = None
        reader = _Page()
        contents = page.get_contents()
        if contents is None:
            continue
        for operands, operator in ContentStream(contents, document).operations:
            if operator == b"re" and margin is None:
                margin = (float(operands[0]), float(operands[1]))
            reader.take(operator, operands, margin)
        for number, stroke in reader.strokes.items():
            if number in found and not _same(found[number], stroke):
                raise ValueError(f"stroke {number} differs between pages")
            found[number] = stroke
    if sorted(found) != list(range(len(found))):
        raise ValueError("strokes are missing")
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

    def __init__(self) -> None:
        self.strokes: dict[int, ReadStroke] = {}
        self._origin = (0.0, 0.0)
        self._number, self._kind = -1, ""
        self._start = self._at = Point(0.0, 0.0)
        self._moves: list[ReadSegment] = []

    def take(self, operator: bytes, operands: Any, margin: tuple[float, float] | None) -> None:  # noqa: ANN401
        """Interpret one operator."""
        if operator == b"BDC" and str(operands[0]) == "/Part" and margin is not None:
            part = operands[1]
            self._origin = (
                float(part["/Left"]) - margin[0] * _MM,
                float(part["/Bottom"]) - margin[1] * _MM,
            )
        elif operator == b"BDC" and str(operands[0]) == "/Stroke":
            self._number = int(operands[1]["/N"])
            self._kind = str(operands[1]["/Kind"]).lstrip("/")
        elif operator == b"m":
            self._start = self._at = self._point(operands, 0)
            self._moves = []
        elif operator in {b"l", b"c"}:
            self._step(operator, operands)
        elif operator in {b"h", b"S"} and self._number >= 0:
            self._paint(closing=operator == b"h")

    def _point(self, operands: Any, at: int) -> Point:  # noqa: ANN401
        return Point(
            float(operands[at]) * _MM + self._origin[0],
            float(operands[at + 1]) * _MM + self._origin[1],
        )

    def _step(self, operator: bytes, operands: Any) -> None:  # noqa: ANN401
        if operator == b"l":
            end = self._point(operands, 0)
            middle = Point((self._at.x + end.x) / 2.0, (self._at.y + end.y) / 2.0)
        else:
            one, two, end = (self._point(operands, at) for at in (0, 2, 4))
            middle = Point(
                (self._at.x + 3.0 * (one.x + two.x) + end.x) / 8.0,
                (self._at.y + 3.0 * (one.y + two.y) + end.y) / 8.0,
            )
        self._moves.append(ReadSegment(middle, end))
        self._at = end

    def _paint(self, *, closing: bool) -> None:
        if closing and self._at != self._start:
            middle = Point((self._at.x + self._start.x) / 2, (self._at.y + self._start.y) / 2)
            self._moves.append(ReadSegment(middle, self._start))
        if self._number not in self.strokes:
            self.strokes[self._number] = ReadStroke(
                self._start, tuple(self._moves), closing, self._kind
            )
        self._number = -1
