"""The crosses that join printed pages: their size, and where their names stand."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import pytest
from reportlab.pdfbase.pdfmetrics import stringWidth

from adapters.pages import JoinMark
from adapters.pdf_marks import draw_marks, mark_boxes
from geometry.model.points import Point
from geometry.model.segments import Bounds

MM = 72.0 / 25.4
#: Height of a name, mm, and the width of one.
HIGH = 7.0 / MM
WIDE = stringWidth("A1", "Helvetica", 7.0) / MM
#: The part of the bed that the page shows; its lower left corner is printed 5 mm from the paper's.
PART, MARGIN = Bounds(100.0, 200.0, 300.0, 400.0), 5.0


@dataclass
class Noted:
    """A canvas that notes what is drawn, in mm of the paper."""

    frames: list[tuple[float, ...]] = field(default_factory=list)
    clips: list[tuple[object, int, int]] = field(default_factory=list)
    lines: list[tuple[float, ...]] = field(default_factory=list)
    circles: list[tuple[float, ...]] = field(default_factory=list)
    words: list[tuple[float, float, str]] = field(default_factory=list)
    font: tuple[str, float] = ("", 0.0)
    depth: int = 0

    def saveState(self) -> None:  # noqa: N802 - the library's name
        self.depth += 1

    def restoreState(self) -> None:  # noqa: N802 - as above
        self.depth -= 1

    def beginPath(self) -> Noted:  # noqa: N802 - as above
        return self

    def rect(self, *numbers: float) -> None:
        self.frames.append(tuple(each / MM for each in numbers))

    def clipPath(self, path: object, stroke: int, fill: int) -> None:  # noqa: N802 - as above
        self.clips.append((path, stroke, fill))

    def setLineWidth(self, width: float) -> None:  # noqa: N802 - as above
        assert 0.0 < width < 1.0

    def line(self, *numbers: float) -> None:
        self.lines.append(tuple(each / MM for each in numbers))

    def circle(self, *numbers: float) -> None:
        self.circles.append(tuple(each / MM for each in numbers))

    def setFont(self, name: str, size: float) -> None:  # noqa: N802 - as above
        self.font = (name, size)

    def stringWidth(self, text: str, name: str, size: float) -> float:  # noqa: N802 - as above
        return float(stringWidth(text, name, size))

    def drawString(self, x: float, y: float, text: str) -> None:  # noqa: N802 - as above
        assert self.font == ("Helvetica", 7.0)
        assert self.depth == 1
        self.words.append((x / MM, y / MM, text))


def mark(x: float, y: float, name: str = "A1") -> JoinMark:
    return JoinMark(Point(x, y), name)


def drawn(*joins: JoinMark, is_free: Callable[[Bounds], bool] = lambda _: True) -> Noted:
    canvas = Noted()
    draw_marks(canvas, PART, MARGIN, joins, is_free)
    assert canvas.depth == 0
    return canvas


def test_a_cross_with_a_ring_where_the_mark_lies() -> None:
    """Of 3 mm each way, with a ring of half of that; (150, 250) is printed at (55, 55)."""
    canvas = drawn(mark(150.0, 250.0))
    assert canvas.lines == [
        pytest.approx((52.0, 55.0, 58.0, 55.0)),
        pytest.approx((55.0, 52.0, 55.0, 58.0)),
    ]
    assert canvas.circles == [pytest.approx((55.0, 55.0, 1.5))]


def test_nothing_is_drawn_that_the_printer_cannot_print() -> None:
    canvas = drawn(mark(150.0, 250.0), mark(99.0, 250.0, "B1"), mark(300.0, 400.0, "C1"))
    assert [name for _, _, name in canvas.words] == ["A1", "C1"]
    assert canvas.frames == [pytest.approx((5.0, 5.0, 200.0, 200.0))]
    assert canvas.clips == [(canvas, 0, 0)]


#: Where a name begins: right of the cross or left, above or below, 1.5 mm from its middle.
RIGHT, LEFT, ABOVE, BELOW = 1.5, -1.5 - WIDE, 1.5, -1.5 - HIGH


@pytest.mark.parametrize(
    ("x", "y", "place"),
    [
        (150.0, 250.0, (RIGHT, ABOVE)),
        # At the page's right edge, at its upper edge, and in the corner of both.
        (300.0, 250.0, (LEFT, ABOVE)),
        (300.0 - 1.5 - WIDE - 0.01, 250.0, (RIGHT, ABOVE)),
        (300.0 - 1.5 - WIDE + 0.01, 250.0, (LEFT, ABOVE)),
        (150.0, 400.0, (RIGHT, BELOW)),
        (150.0, 400.0 - 1.5 - HIGH - 0.01, (RIGHT, ABOVE)),
        (150.0, 400.0 - 1.5 - HIGH + 0.01, (RIGHT, BELOW)),
        (300.0, 400.0, (LEFT, BELOW)),
        (100.0, 200.0, (RIGHT, ABOVE)),
    ],
)
def test_a_name_stands_on_the_page(x: float, y: float, place: tuple[float, float]) -> None:
    ((left, foot, _),) = drawn(mark(x, y)).words
    assert (left, foot) == pytest.approx((x - 95.0 + place[0], y - 195.0 + place[1]))


def test_a_name_stands_clear_of_lines_if_it_can() -> None:
    order = [(RIGHT, ABOVE), (LEFT, ABOVE), (RIGHT, BELOW), (LEFT, BELOW)]
    asked: list[Bounds] = []
    for free in range(5):
        asked.clear()

        def is_free(box: Bounds, free: int = free) -> bool:
            asked.append(box)
            return len(asked) > free

        ((left, foot, _),) = drawn(mark(150.0, 250.0), is_free=is_free).words
        # Where all are crossed, it is the first.
        place = order[free % 4]
        assert (left, foot) == pytest.approx((55.0 + place[0], 55.0 + place[1]))
    assert [tuple(each) for each in asked] == [
        pytest.approx((150 + x, 250 + y, 150 + x + WIDE, 250 + y + HIGH)) for x, y in order
    ]


@pytest.mark.parametrize(("x", "y"), [(100.0, 400.0), (300.0, 200.0)])
def test_other_corners_leave_one_place(x: float, y: float) -> None:
    place = (RIGHT, BELOW) if x < 200.0 else (LEFT, ABOVE)
    ((left, foot, _),) = drawn(mark(x, y), is_free=lambda _: False).words
    assert (left, foot) == pytest.approx((x - 95.0 + place[0], y - 195.0 + place[1]))


def test_on_a_page_that_is_too_small_for_a_name_it_stands_at_the_usual_place() -> None:
    canvas = Noted()
    draw_marks(canvas, Bounds(0.0, 0.0, 2.0, 2.0), 0.0, [mark(1.0, 1.0)], lambda _: True)
    ((left, foot, _),) = canvas.words
    assert (left, foot) == pytest.approx((1.0 + RIGHT, 1.0 + ABOVE))


def test_what_a_mark_takes_up() -> None:
    """3 mm each way, and the height of its name."""
    reach = 3.0 + HIGH
    assert list(mark_boxes([mark(10.0, 20.0), mark(30.0, 40.0)])) == [
        pytest.approx((10.0 - reach, 20.0 - reach, 10.0 + reach, 20.0 + reach)),
        pytest.approx((30.0 - reach, 40.0 - reach, 30.0 + reach, 40.0 + reach)),
    ]
