"""Texts shared by the PDF and the HTML page."""

from __future__ import annotations

from typing import Final

from service.documents.model import RunSheet

#: With the only markup that both support: ``<b>``.
CHECK: Final = (
    "<b>Check first.</b> Print this page at 100 % (no fitting to the page). The square must "
    "measure <b>1 in (25.4 mm)</b> each way. If it does not, set printing to 100 % and print "
    "again. Then cut one piece as a test and measure it against its size below; if it is "
    "wrong, do not go on: look under the run's &quot;If the test cut is wrong&quot;."
)
LABEL_OF_CHECK: Final = "check square, 1 in or 25.4 mm each way"
#: Nobody ticks more boxes than this; above it, the number is stated instead.
_MAX_BOXES: Final = 12


def ticket_line(sheet: RunSheet) -> str:
    """Return the line by which a kit is found again."""
    return f"{sheet.ticket} (made by version {sheet.version})"


def bags_heading(sheet: RunSheet) -> str:
    """Return the heading above what each bag holds."""
    return f"Each of {sheet.copies} bags"


def times_text(repeats: int) -> str:
    """Return the text for a load's repeats."""
    return "once" if repeats == 1 else f"{repeats} times"


def most_boxes(repeats: int) -> int:
    """Return the number of boxes to tick: one per repeat, if they are few."""
    return repeats if 1 < repeats <= _MAX_BOXES else 0
