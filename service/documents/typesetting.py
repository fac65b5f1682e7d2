"""What all printed pages share: papers, styles, tables, footer, and the typesetter itself."""

from __future__ import annotations

import io
from collections.abc import Callable, Hashable, Iterable, Iterator, MutableMapping
from functools import lru_cache, partial
from typing import Any, Protocol

from reportlab.lib.colors import black, getAllNamedColors, white
from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import (
    BaseDocTemplate,
    Flowable,
    Frame,
    PageTemplate,
    TableStyle,
)

from service.documents.measured_table import MeasuredTable
from service.documents.page_frames import (
    MeasuringFrame,
    PlainFrame,
    UndrawnFrame,
    draw_nothing,
)
from service.documents.plain import paragraph
from service.documents.type_face import BOLD, REGULAR, shown
from service.texts import gettext as _

# The library fills its table of named colours at the first use, and another thread that looks a
# colour up at that moment does not find it: fill it before there are threads.
getAllNamedColors()

PAPERS = {"letter": LETTER, "a4": A4}
MARGIN = 40.0
#: Room for the footer above the lower margin, and between its title and its page number, points.
_FOOTER, _APART = 14.0, 12.0

#: The font's small letters are 0.55 of its size: 5.5 points high here, as high as those of a
#: book's serif font at 12 points.
BODY = ParagraphStyle("body", fontName=REGULAR, fontSize=10, leading=12.2)
_ITEM = ParagraphStyle(
    "item", parent=BODY, leftIndent=10, bulletIndent=1, spaceAfter=1, bulletFontName=REGULAR
)
BOLD_BODY = ParagraphStyle("bold", parent=BODY, fontName=BOLD)
BIG = ParagraphStyle("big", parent=BOLD_BODY, fontSize=15, leading=18)
TITLE = ParagraphStyle("title", parent=BOLD_BODY, fontSize=18, leading=22, spaceAfter=2)
HEAD = ParagraphStyle(
    "head", parent=BOLD_BODY, fontSize=13, leading=16, spaceBefore=9, spaceAfter=3, keepWithNext=1
)
#: Above a part of a section, and above a load.
SUBHEAD = ParagraphStyle(
    "subhead", parent=HEAD, fontSize=11, leading=13, spaceBefore=5, spaceAfter=1
)
PLAIN = TableStyle(
    [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("FONTNAME", (0, 0), (-1, -1), REGULAR),
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ("RIGHTPADDING", (0, 0), (-1, -1), 6),
        ("TOPPADDING", (0, 0), (-1, -1), 2),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 3),
    ]
)


#: The same with less air between rows.
TIGHT = TableStyle(
    [
        *PLAIN.getCommands(),
        ("TOPPADDING", (0, 0), (-1, -1), 1),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 1),
    ]
)


class Titled(Protocol):
    """What is typeset: its title, its paper, the number of its kit, and its language."""

    @property
    def title(self) -> str:
        """Return its title."""

    @property
    def paper(self) -> str:
        """Return ``letter`` or ``a4``."""

    @property
    def number(self) -> str:
        """Return the number of its kit."""

    @property
    def language(self) -> str:
        """Return its language's code."""


class Noted(Flowable):  # type: ignore[misc]
    """Takes no room; the page of what follows is noted under its key.

    It stands below a heading: a group of flowables takes the space above it from its first one.
    """

    keepWithNext = 1  # noqa: N815 - the library's name
    _ZEROSIZE = 1

    def __init__(self, key: Hashable, *, keep: bool = True) -> None:
        super().__init__()
        self.key = key
        if not keep:
            self.keepWithNext = 0

    def wrap(self, *_: float) -> tuple[float, float]:
        """Return no size."""
        return 0.0, 0.0

    def draw(self) -> None:
        """Draw nothing."""


class _Document(BaseDocTemplate):  # type: ignore[misc]
    """A document of pages with one frame each, which notes on which pages things are."""

    def __init__(
        self,
        target: io.BytesIO,
        sheet: Titled,
        frame: Frame,
        begun: Callable[[Canvas, BaseDocTemplate], None],
    ) -> None:
        super().__init__(
            target,
            pagesize=PAPERS[sheet.paper],
            title=sheet.title,
            author="quarterseam",
            lang=sheet.language,
            initialFontName=REGULAR,
            invariant=1,
        )
        self.addPageTemplates([PageTemplate(frames=[frame], onPage=begun)])
        self.noted: dict[Any, int] = {}
        self.least: dict[Any, int] = {}

    def set_all(self, flowables: Iterable[Flowable]) -> None:
        """Set flowables in pages."""
        # PrintScaling came with PDF 1.6.
        self.build(list(flowables), canvasmaker=partial(Canvas, pdfVersion=(1, 6)))

    def afterFlowable(self, flowable: Flowable) -> None:  # noqa: N802 - the library's name
        """Note the page of what was just set."""
        if isinstance(flowable, Noted):
            self.noted[flowable.key] = self.page
            if isinstance(self.frame, MeasuringFrame):
                self.least[flowable.key] = self.frame.min_pages()


def typeset(
    sheet: Titled,
    flowables: Iterable[Flowable],
    *,
    scale: float = 1.0,
) -> bytes:
    """Typeset flowables on the sheet's paper and return the PDF.

    Args:
        sheet: whose paper, title and number are used.
        flowables: what is set.
        scale: at which everything between the margins is drawn, for a sheet of fewer pages.
    """

    def begun(canvas: Canvas, page: BaseDocTemplate) -> None:
        # Asks viewers not to shrink the page; the check square shows whether they did.
        canvas.setViewerPreference("PrintScaling", "None")
        canvas.setCatalogEntry("Lang", sheet.language)
        _foot(canvas, sheet, page.page)
        canvas.scale(scale, scale)

    target = io.BytesIO()
    frame = _frame(PlainFrame, sheet, scale)
    document = _Document(target, sheet, frame, begun)
    document.set_all(flowables)
    return target.getvalue()


def noted_pages(
    sheet: Titled,
    flowables: Iterable[Flowable],
    *,
    scale: float = 1.0,
    least: MutableMapping[Any, int] | None = None,
) -> dict[Any, int]:
    """Return on which page each noted thing is when flowables are typeset, without drawing them.

    Args:
        sheet: whose paper is used.
        flowables: what is set.
        scale: as in ``typeset``.
        least: takes in how many pages there are at least up to each noted thing, however low the
            flowables become that can shrink.
    """
    frame = _frame(UndrawnFrame if least is None else MeasuringFrame, sheet, scale)
    document = _Document(io.BytesIO(), sheet, frame, draw_nothing)
    # Nobody reads its file.
    document._doSave = 0  # noqa: SLF001 - the library has no other way
    # What setting changes in flowables is undone, as the library does before it sets them again.
    undo: list[tuple[Any, ...]] = []
    document._multiBuildEdits = undo.append  # noqa: SLF001 - likewise
    document.set_all(flowables)
    for change, *given in undo:
        change(*given)
    if least is not None:
        least.update(document.least)
    return document.noted


def _frame(kind: type[Frame], sheet: Titled, scale: float) -> Frame:
    """Return the frame between the margins and the foot of a page."""
    width, height = PAPERS[sheet.paper]
    free = (MARGIN, MARGIN + _FOOTER, width - 2 * MARGIN, height - 2 * MARGIN - _FOOTER)
    return kind(
        *(each / scale for each in free),
        leftPadding=0,
        rightPadding=0,
        topPadding=0,
        bottomPadding=0,
    )


def _foot(canvas: Canvas, sheet: Titled, page: int) -> None:
    """Draw title, number and page at the foot of a page."""
    width = PAPERS[sheet.paper][0]
    canvas.setFont(REGULAR, 10)
    number = shown(_("page {number}", number=page))
    room = width - 2 * MARGIN - stringWidth(number, REGULAR, 10) - _APART
    canvas.drawString(MARGIN, MARGIN - 6, foot_title(sheet.title, sheet.number, room))
    canvas.drawRightString(width - MARGIN, MARGIN - 6, number)


def foot_title(title: str, number: str, room: float) -> str:
    """Return a kit's title and number in one line of so many points.

    A title that is too long ends at a word, with an ellipsis; the number is always whole.
    """
    words = shown(title).split()
    for count in range(len(words), -1, -1):
        kept = " ".join(words[:count]) + ("" if count == len(words) else "\u2026")
        text = f"{kept} {shown(number)}"
        if stringWidth(text, REGULAR, 10) <= room:
            return text
    return shown(number)


def listed(title: str, lines: tuple[str, ...], style: ParagraphStyle = HEAD) -> Iterator[Flowable]:
    """Yield a heading, if it has one, in a style, and a list of sentences."""
    if lines and title:
        yield paragraph(title, style)
    for line in lines:
        yield paragraph(line, _ITEM, "\u2022")


def facts_table(
    facts: tuple[tuple[str, str], ...], width: float, style: ParagraphStyle = BODY
) -> Flowable:
    """Return labels and texts in two columns."""
    rows = [[paragraph(label, BOLD_BODY), paragraph(text, style)] for label, text in facts]
    return MeasuredTable(rows, colWidths=[120, width - 120], style=PLAIN, splitInRow=1)


@lru_cache(maxsize=64)
def ruled(rows: int) -> TableStyle:
    """Return the style of a table of so many rows with a heading."""
    return TableStyle(
        [
            *PLAIN.getCommands(),
            # The heading goes to the next page with the first row.
            ("NOSPLIT", (0, 0), (-1, 1)),
            ("LINEBELOW", (0, 0), (-1, 0), 0.8, black),
            ("LINEBELOW", (0, 1), (-1, rows - 1), 0.3, black),
            ("BACKGROUND", (0, 0), (-1, -1), white),
        ]
    )
