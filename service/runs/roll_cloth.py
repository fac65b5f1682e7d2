"""What lies on a bed for rolls: a roll, whole or narrower than the bed, or a piece of cloth."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from geometry import units as lengths
from service.requests.runs import Run
from service.texts import gettext as _
from service.texts import gettext_noop as _later

#: A difference of lengths that is rounding, mm.
_ROUNDING: Final = 1.0e-6
#: Of a roll as wide as the bed the margins along its edges hold the selvedges; on narrower cloth
#: pieces come as near to its edges as on any sheet.
_WHOLE_END: Final = _later(
    "Leave the selvedges on. Straighten the roll's end: it lies at the left of the picture, and "
    "the roll feeds from the right."
)
_NARROW_END: Final = _later(
    "Cut the selvedges off. Straighten the roll's end: it lies at the left of the picture, and "
    "the roll feeds from the right."
)
_EITHER_END: Final = _later(
    "Cut the selvedges off cloth that is narrower than the bed, and leave them on other cloth. "
    "Straighten a roll's end: it lies at the left of the picture, and the roll feeds from the "
    "right."
)


def is_drawn_off(run: Run) -> bool:
    """Return whether a run's material is drawn off a roll, also once that is a sheet."""
    return run.from_roll and (run.sheet is None or run.sheet.is_drawn_off)


def is_narrow(run: Run) -> bool:
    """Return whether what lies on a bed for rolls is narrower than the bed."""
    tall = run.cutter.bed.height
    return run.from_roll and run.sheet is not None and run.sheet.height < tall - _ROUNDING


def cloth_width(run: Run) -> float:
    """Return how wide what lies on a bed for rolls is, from edge to edge, mm."""
    if run.sheet is None or math.isinf(run.sheet.height):
        return run.cutter.bed.height
    return run.sheet.height


def edge_distance(run: Run) -> float:
    """Return how far all pieces stay from the long edges of what lies on a bed for rolls, mm."""
    bottom = 0.0 if run.sheet is None else run.sheet.y
    area = run.area.bounds
    return min(area.bottom - bottom, bottom + cloth_width(run) - area.top)


def zero_words(run: Run, units: str) -> str:
    """Return where the lower left corner of what lies on a bed for rolls is put."""
    up = 0.0 if run.sheet is None else run.sheet.y
    if up < _ROUNDING:
        return _("at the machine's zero corner")
    length = lengths.format_length(up, units)
    return _("{length} above the machine's zero corner", length=length)


def end_words(runs: Sequence[Run]) -> str:
    """Return how a roll's end and selvedges are readied; empty where nothing is drawn off.

    Args:
        runs: a run, or the parts of one that has a stock.
    """
    if not any(is_drawn_off(each) for each in runs):
        return ""
    narrow = {is_narrow(each) for each in runs}
    return _(_EITHER_END if len(narrow) > 1 else _NARROW_END if True in narrow else _WHOLE_END)
