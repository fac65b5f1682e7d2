"""Names of the public interface that the jobs read: changed here, changed everywhere."""

from __future__ import annotations

from typing import Final

#: Outlines of each piece on a load, and finished pieces of each.
OUTLINES: Final = "outlines"
PIECES: Final = "pieces"
#: Of a piece's total.
REQUESTED: Final = "requested"
MADE: Final = "made"
SPARE: Final = "spare"
#: Of an allowance, each with its suffix.
REQUESTED_MM: Final = "requested_mm"
MIN_MM: Final = "min_mm"
MAX_MM: Final = "max_mm"
#: Of a run.
USABLE_AREA: Final = "usable_area"
MIN_LOADS: Final = "min_loads"
MIN_LENGTH_MM: Final = "min_length_mm"
#: Of yardage and of a plan's pieces.
QUANTITY: Final = "quantity"
BUY: Final = "buy"
#: Of a recut and of a batch's runs: the number of the first run.
FIRST_RUN: Final = 1
#: Of a request: its documents for the bench.
DOCUMENTS: Final = "documents"
#: Of a die.
EFFECTIVE_RULE_MM: Final = "effective_rule_length_mm"
REQUIRED_RULE_DISTANCE_MM: Final = "required_rule_distance_mm"
MIN_RULE_DISTANCE_MM: Final = "min_rule_distance_mm"
#: Of an inspection.
DUPLICATE_LINES: Final = "duplicate_lines"
OPEN_PATHS: Final = "open_paths"
