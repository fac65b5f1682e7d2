"""Texts shared by the PDF and the HTML page."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import Final

from service.documents.model import RunSheet, SheetLoad

#: With the only markup that both support: ``<b>``.
_CHECK: Final = (
    "<b>Check first.</b> Print this page at 100 % (no fitting to the page). The square must "
    "measure <b>{side}</b> each way. If it does not, set printing to 100 % and print "
    "again. Then cut one piece as a test and measure it against its size below; if it is "
    "wrong, do not go on: look under the run's &quot;If the test cut is wrong&quot;."
)
#: More boxes than this would fill a page of their own; above it, the number is stated instead.
_MAX_BOXES: Final = 500
_GROUP: Final = 5


def ticket_line(sheet: RunSheet) -> str:
    """Return the line by which a kit is found again."""
    return f"{sheet.ticket} (made by version {sheet.version})"


def check_side(sheet: RunSheet) -> tuple[float, str]:
    """Return the side of the square by which a print is checked, mm, and as a ruler shows it."""
    return (25.4, "1 in") if sheet.units == "in" else (30.0, "30 mm")


#: Heading of how to cut a run's pieces in strips, with a ruler instead of along drawn lines.
BY_HAND: Final = "Or cut strips with a ruler"


def check_text(sheet: RunSheet) -> str:
    """Return what is said beside the check square, with ``<b>`` about what counts."""
    return _CHECK.format(side=check_side(sheet)[1])


def bags_heading(sheet: RunSheet) -> str:
    """Return the heading above what each bag holds."""
    return f"Each of {sheet.copies} bags"


def times_text(repeats: int) -> str:
    """Return the text for a load's repeats."""
    return "once" if repeats == 1 else f"{repeats} times"


def tally(repeats: int) -> tuple[int, ...]:
    """Return the boxes to tick, one per repeat, as the sizes of groups of five; none for one."""
    if not 1 < repeats <= _MAX_BOXES:
        return ()
    whole, rest = divmod(repeats, _GROUP)
    return (_GROUP,) * whole + ((rest,) if rest else ())


def counted(load: SheetLoad, layers: int) -> Iterator[tuple[str, str]]:
    """Yield what one cutting of a load gives: a piece, and how many of it as it was counted."""
    on_top = Counter(piece for piece, _ in load.placed)
    for piece, count in load.counts:
        outlines = on_top[piece]
        text = f"{count} of {piece}"
        if layers > 1 and 0 < outlines * layers == count:
            text += f": {outlines} outline{'s' if outlines > 1 else ''} x {layers} layers"
        yield piece, text
