"""The first page of a printed plan: what it says, and that its measures are true and legible.

Points are 1/72 in. A canvas notes what is drawn, and letters are as wide as the
library that sets them says.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import combinations, pairwise, product

import pytest
from reportlab.pdfbase.pdfmetrics import stringWidth

from adapters.pdf_check import SIZE, check_page, join_words

MM = 72.0 / 25.4
#: Left, bottom, right, top.
Box = tuple[float, float, float, float]


@dataclass
class Noted:
    """A canvas that notes what is drawn, in points."""

    size: tuple[float, float] = (0.0, 0.0)
    font: tuple[str, float] = ("", 0.0)
    words: list[tuple[str, Box, tuple[str, float]]] = field(default_factory=list)
    lines: list[Box] = field(default_factory=list)
    squares: list[Box] = field(default_factory=list)
    pages: int = 0

    def setPageSize(self, size: tuple[float, float]) -> None:  # noqa: N802 - the library's name
        self.size = size

    def setFont(self, name: str, size: float) -> None:  # noqa: N802 - as above
        self.font = (name, size)

    def setLineWidth(self, width: float) -> None:  # noqa: N802 - as above
        assert 0.0 < width <= 1.0

    def drawString(self, x: float, y: float, text: str) -> None:  # noqa: N802 - as above
        box = (x, y, x + stringWidth(text, *self.font), y + 0.7 * self.font[1])
        self.words.append((text, box, self.font))

    def line(self, x: float, y: float, to_x: float, to_y: float) -> None:
        self.lines.append((x, y, to_x, to_y))

    def rect(self, x: float, y: float, width: float, height: float) -> None:
        self.squares.append((x, y, x + width, y + height))

    def showPage(self) -> None:  # noqa: N802 - as above
        self.pages += 1

    def box_of(self, text: str) -> Box:
        (box,) = [box for words, box, _ in self.words if words == text]
        return box

    def upright(self) -> dict[float, list[Box]]:
        """Return the upright lines by their lower end."""
        found: dict[float, list[Box]] = {}
        for line in self.lines:
            if line[0] == line[2]:
                found.setdefault(min(line[1], line[3]), []).append(line)
        return found


def drawn(
    units: str = "both", *, pages: int = 1, joined: str = "", large: tuple[str, ...] = ()
) -> Noted:
    canvas = Noted()
    check_page(canvas, SIZE, pages, joined, large, units)
    return canvas


HEAD = [
    "Check this page before you cut",
    "Print at 100 % (actual size), never fitted to the page.",
    "The square must measure 30 mm each way, the bar 100 mm.",
    "If they do not, set printing to 100 % and print again; do not cut.",
]
HOW = "against a window, lay one on the other so that crosses of the same name meet; tape them."
KINDS = "Full lines are cut; dashed lines are creased; dotted lines are drawn only."
CROSSES = "Crosses with a ring only join pages: they are not cut."
CARE = [
    "Cut away from the body, free hand out of the path, blade closed after every cut.",
    "The tool's own manual and the rules of your workplace come first.",
]
ONE = ("Sail",)
THREE = ("Sail", "Oar", "Keel")


@pytest.mark.parametrize(
    ("pages", "joined", "large", "words"),
    [
        (1, "", (), ["1 page follows.", KINDS]),
        (2, "", (), ["2 pages follow. Every piece lies whole on one of them: join none.", KINDS]),
        (4, "1 to 4", (), ["4 pages follow. Neighbouring pages overlap:", HOW, KINDS, CROSSES]),
        (
            5,
            "1 and 2",
            ONE,
            [
                "5 pages follow. Join pages 1 and 2 (larger than a page: Sail):",
                HOW,
                KINDS,
                CROSSES,
            ],
        ),
        (
            5,
            "1 to 4",
            THREE[:2],
            [
                "5 pages follow. Join pages 1 to 4 (larger than a page: Sail, Oar):",
                HOW,
                KINDS,
                CROSSES,
            ],
        ),
        (
            9,
            "1 to 4",
            THREE,
            [
                "9 pages follow. Join pages 1 to 4 (larger than a page: Sail, Oar, ...):",
                HOW,
                KINDS,
                CROSSES,
            ],
        ),
    ],
)
def test_what_the_page_says(
    pages: int, joined: str, large: tuple[str, ...], words: list[str]
) -> None:
    canvas = drawn("mm", pages=pages, joined=joined, large=large)
    wanted = [*HEAD, *words, *CARE]
    said = canvas.words[: len(wanted)]
    assert [text for text, _, _ in said] == wanted
    # One below the other, 20 mm from the left and upper edges; the first in larger bold letters.
    assert {box[0] for _, box, _ in said} == {20.0 * MM}
    assert said[0][1][1] == pytest.approx((SIZE[1] - 20.0) * MM)
    assert said[0][2] == ("Helvetica-Bold", 16)
    assert {font for _, _, font in said[1:]} == {("Helvetica", 11)}
    assert all(14.0 < a[1][1] - b[1][1] < 23.0 for a, b in pairwise(said))


@pytest.mark.parametrize(
    ("units", "side", "square", "bar", "length"),
    [
        ("both", 25.4, "1 in = 25.4 mm each way", "100 mm", 100.0),
        ("in", 25.4, "1 in each way", "4 in", 101.6),
        ("cm", 30.0, "3 cm each way", "10 cm", 100.0),
        ("mm", 30.0, "30 mm each way", "100 mm", 100.0),
    ],
)
def test_the_square_and_the_bar(
    units: str, side: float, square: str, bar: str, length: float
) -> None:
    canvas = drawn(units)
    ((left, bottom, right, top),) = canvas.squares
    assert (right - left, top - bottom) == pytest.approx((side * MM, side * MM))
    beside = canvas.box_of(square)
    assert right < beside[0] < right + 12.0
    assert bottom < beside[1] < beside[3] < top
    # The bar has an end mark half above it and half below.
    ((x, y, end, height),) = [line for line in canvas.lines if line[0] != line[2]]
    assert (end - x, height) == pytest.approx((length * MM, y))
    ends = [line for line in canvas.lines if min(line[1], line[3]) < y < max(line[1], line[3])]
    assert sorted(line[0] for line in ends) == [x, end]
    for line in ends:
        assert (line[2], line[1] + line[3]) == pytest.approx((line[0], 2.0 * y))
    named = canvas.box_of(bar)
    assert end < named[0] < end + 12.0
    assert named[1] < y < named[3]


@pytest.mark.parametrize(
    ("units", "rulers"), [("both", ("in", "cm")), ("in", ("in",)), ("cm", ("cm",)), ("mm", ("cm",))]
)
def test_rulers_with_numbers_at_whole_inches_and_centimetres(
    units: str, rulers: tuple[str, ...]
) -> None:
    """6 in by eighths, and 15 cm by millimetres; marks of wholes and halves stand out."""
    canvas = drawn(units)
    rows = sorted(((y, row) for y, row in canvas.upright().items() if len(row) > 2), reverse=True)
    assert len(rows) == len(rulers)
    for (y, row), unit in zip(rows, rulers, strict=True):
        parts, wholes, step = (8, 6, 9.0) if unit == "in" else (10, 15, MM)
        left = 20.0 * MM
        assert [line[0] for line in row] == pytest.approx(
            [left + step * at for at in range(parts * wholes + 1)]
        )
        tall = [line[3] - line[1] for line in row]
        assert tall[0] > tall[parts // 2] > tall[1] > 0.0
        pattern = [
            tall[0]
            if at % parts == 0
            else tall[parts // 2]
            if at % parts == parts // 2
            else tall[1]
            for at in range(len(tall))
        ]
        assert tall == pattern
        # Each number begins just right of its mark and above it.
        above = [
            (text, box)
            for text, box, _ in canvas.words
            if y + tall[0] < box[1] < y + tall[0] + 3.0 and text.isdigit()
        ]
        assert [text for text, _ in above] == [str(at) for at in range(wholes + 1)]
        for at, (_, box) in enumerate(above):
            assert 0.0 < box[0] - row[at * parts][0] < 3.0
        names = [
            (text, box)
            for text, box, _ in canvas.words
            if y <= box[1] < y + tall[0] and text == unit
        ]
        ((_, box),) = names
        assert row[-1][0] < box[0] < row[-1][0] + 12.0


@pytest.mark.parametrize("units", ["both", "in", "cm", "mm"])
@pytest.mark.parametrize(
    ("pages", "joined", "large"), [(1, "", ()), (400, "100 to 400", ("Square 1", "Square 2", "3"))]
)
def test_nothing_lies_over_anything_or_off_the_page(
    units: str, pages: int, joined: str, large: tuple[str, ...]
) -> None:
    canvas = drawn(units, pages=pages, joined=joined, large=large)
    assert canvas.size == pytest.approx((SIZE[0] * MM, SIZE[1] * MM))
    assert canvas.pages == 1
    words = [box for _, box, _ in canvas.words]
    for box in (*words, *canvas.squares, *canvas.lines):
        # 6.35 mm is the margin that printers leave blank.
        assert min(box[0], box[2]) >= 6.35 * MM
        assert min(box[1], box[3]) >= 6.35 * MM
        assert max(box[0], box[2]) <= (SIZE[0] - 6.35) * MM
        assert max(box[1], box[3]) <= (SIZE[1] - 6.35) * MM
    rows = [(x, min(y, top), right, max(y, top)) for x, y, right, top in canvas.lines]
    pairs = [*combinations(words, 2), *product(words, [*rows, *canvas.squares])]
    assert not [(a, b) for a, b in pairs if meet(a, b)]
    assert not [(a, b) for a, b in product(canvas.squares, rows) if meet(a, b)]


def meet(a: Box, b: Box) -> bool:
    return a[0] <= b[2] and b[0] <= a[2] and a[1] <= b[3] and b[1] <= a[3]


def test_larger_paper_has_the_same_page_in_its_upper_left_corner() -> None:
    small, large = drawn(), Noted()
    check_page(large, (SIZE[0] + 100.0, SIZE[1] + 50.0), 1, "", ())
    assert large.size == pytest.approx(((SIZE[0] + 100.0) * MM, (SIZE[1] + 50.0) * MM))
    up = 50.0 * MM
    for (_, a, _), (_, b, _) in zip(small.words, large.words, strict=True):
        assert b == pytest.approx((a[0], a[1] + up, a[2], a[3] + up))


def test_pieces_that_are_joined_in_the_words_of_the_run_sheet() -> None:
    assert join_words("1 to 4", ("Sail", "Oar", "Keel")) == (
        "Join pages 1 to 4 for Sail, Oar, Keel, larger than a page. Against a window, lay one on "
        "the other so that crosses of the same name meet; tape them, then cut. The crosses "
        "themselves are not cut."
    )
