"""Names of the public interface that the jobs read: changed here, changed everywhere."""

from __future__ import annotations

from typing import Final

#: Outlines of each piece on a load, and finished pieces of each.
OUTLINES: Final = "placed"
PIECES: Final = "counts"
#: Of a piece's total.
REQUESTED: Final = "asked"
MADE: Final = "made"
SPARE: Final = "spare"
#: Of an allowance, each with its suffix.
REQUESTED_MM: Final = "asked_mm"
MIN_MM: Final = "least_mm"
MAX_MM: Final = "most_mm"
#: Of a run.
USABLE_AREA: Final = "pieces_within"
MIN_LOADS: Final = "loads_at_least"
MIN_LENGTH_MM: Final = "length_at_least_mm"
#: Of yardage and of a plan's pieces.
QUANTITY: Final = "count"
BUY: Final = "buy_text"
#: Of a recut and of a batch's runs: the number of the first run.
FIRST_RUN: Final = 1
#: Of a request: what is printed.
DOCUMENTS: Final = "print"
#: Of a die.
EFFECTIVE_RULE_MM: Final = "counted_length_mm"
REQUIRED_RULE_DISTANCE_MM: Final = "needed_apart_mm"
MIN_RULE_DISTANCE_MM: Final = "least_apart_mm"
MAX_MISMATCH_DEG: Final = "greatest_mismatch_deg"
#: Of an inspection.
DUPLICATE_LINES: Final = "doubled"
OPEN_PATHS: Final = "open"
