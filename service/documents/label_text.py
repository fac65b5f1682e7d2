"""Text on labels: broken into lines, made smaller where it must be, never cut off."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas

from service.documents.plain import on_one_line
from service.texts import gettext as _

_SCALES = tuple(step / 20 for step in range(20, 9, -1))
_LEADING = 1.2


@dataclass(frozen=True)
class LabelText:
    """A text in one font and size, points: as long as it may be, or one line of a label."""

    text: str
    font: str
    size: float

    @property
    def height(self) -> float:
        """Return the room that one line of it takes, points."""
        return self.size * _LEADING


def lines_of(
    words: Iterable[LabelText], width: float, scale: float = 1.0, smallest: float = 0.0
) -> list[LabelText]:
    """Return texts as lines no wider than ``width`` points, at a share of their size.

    No letter is made smaller than ``smallest`` points.
    """
    return [
        LabelText(each, one.font, size)
        for one in words
        for size in (max(min(smallest, one.size), scale * one.size),)
        for line in _broken(on_one_line(one.text), one.font, size, width)
        for each in (line.replace("\u00a0", " "),)
    ]


def _fitted(
    words: Sequence[LabelText], width: float, height: float, smallest: float
) -> list[LabelText] | None:
    """Return texts as lines that fit a box, as large as possible; ``None`` if none do."""
    for scale in _SCALES:
        found = lines_of(words, width, scale, smallest)
        if sum(line.height for line in found) <= height:
            return found
    return None


def spread(
    head: LabelText, words: Sequence[LabelText], room: tuple[float, float], smallest: float
) -> list[list[LabelText]]:
    """Return the lines of one label, or of as many as its text takes at its smallest.

    Args:
        head: stands first on every label, with the label's number where there are several.
        words: what follows, in order.
        room: width and height that text may take on a label, points.
        smallest: letters, points.
    """
    width, height = room
    whole = _fitted([head, *words], width, height, smallest)
    if whole is not None:
        return [whole]

    def headed(which: str) -> list[LabelText]:
        numbered = LabelText(
            _("{label}, label {which}", label=head.text, which=which), head.font, head.size
        )
        return lines_of([numbered], width, _SCALES[-1], smallest)

    # As long as any of the heads will be.
    left = height - sum(line.height for line in headed(_("{number} of {all}", number=99, all=99)))
    parts: list[list[LabelText]] = [[]]
    for line in lines_of(words, width, _SCALES[-1], smallest):
        if parts[-1] and sum(each.height for each in parts[-1]) + line.height > left:
            parts.append([])
        parts[-1].append(line)
    return [
        [*headed(_("{number} of {all}", number=at, all=len(parts))), *part]
        for at, part in enumerate(parts, start=1)
    ]


def draw_lines(canvas: Canvas, lines: Iterable[LabelText], x: float, top: float) -> None:
    """Draw lines below each other from ``top`` on, points."""
    for line in lines:
        top -= line.height
        canvas.setFont(line.font, line.size)
        canvas.drawString(x, top + 0.25 * line.size, line.text)


def _broken(text: str, font: str, size: float, width: float) -> Iterator[str]:
    line = ""
    # Only at spaces that may break.
    for word in text.split(" "):
        longer = f"{line} {word}" if line else word
        if stringWidth(longer, font, size) <= width:
            line = longer
            continue
        if line:
            yield line
        line = word
        while stringWidth(line, font, size) > width and len(line) > 1:
            count = len(line) - 1
            while count > 1 and stringWidth(line[:count], font, size) > width:
                count -= 1
            yield line[:count]
            line = line[count:]
    if line:
        yield line
