"""What a frame grips of the material that lies over its opening."""

from __future__ import annotations

from collections.abc import Sequence

from geometry import units as lengths
from geometry.model.cutter import Bed
from geometry.model.segments import Bounds
from geometry.units import MM_PER_INCH, round_up
from service.requests.runs import Run
from service.requests.sheets import Sheet
from service.texts import gettext as _
from service.texts import gettext_noop as _later
from service.tools import kind_of

#: Marks of a ruler to which sizes that must cover something are rounded up, mm.
_MARK_IN, _MARK_MM = MM_PER_INCH / 8.0, 1.0
#: What a frame that grips cloth takes of it on each side: 1 in or 25 mm. Common practice, no
#: source.
_GRIP_IN, _GRIP_MM = MM_PER_INCH, 25.0
#: A difference of lengths that is rounding, mm.
_ROUNDING = 1.0e-6
_SIDES = (_later("left"), _later("right"), _later("top"), _later("bottom"))


def ruler_mark_mm(units: str) -> float:
    """Return the step to which sizes are rounded up, mm."""
    return _MARK_IN if units == "in" else _MARK_MM


def laid_to_mm(units: str) -> float:
    """Return the marks of a ruler to which a sheet is laid, mm. Common practice, no source."""
    return MM_PER_INCH / 16.0 if units == "in" else 1.0


def grip_mm(units: str) -> float:
    """Return what a frame grips on each side of its opening, mm."""
    return _GRIP_IN if units == "in" else _GRIP_MM


def gripped_box(bed: Bed, units: str) -> Bounds:
    """Return the least size of material that a frame grips on every side, up to a mark, mm."""
    mark, grip = ruler_mark_mm(units), grip_mm(units)
    wide, high = (round_up(side + 2.0 * grip, mark) for side in (bed.width, bed.height))
    return Bounds(0.0, 0.0, wide, high)


def past_sides(bed: Bed, sheet: Sheet) -> tuple[float, float, float, float]:
    """Return how far a sheet reaches past a bed's left, right, top and bottom, mm."""
    right, top = sheet.x + sheet.width, sheet.y + sheet.height
    return -sheet.x, right - bed.width, top - bed.height, -sheet.y


def is_centred(run: Run) -> bool:
    """Return whether a run's sheet reaches past its frame's opening, as far on opposite sides."""
    if run.sheet is None or not kind_of(run.cutter.tool).grips_edges:
        return False
    left, right, top, bottom = past_sides(run.cutter.bed, run.sheet)
    even = max(abs(left - right), abs(top - bottom)) < _ROUNDING
    return even and min(left, bottom) > _ROUNDING


def grip_warnings(run: Run, sheet: Sheet, units: str) -> list[str]:
    """Say on which sides a frame does not grip a sheet, and what would be right.

    Args:
        run: on a cutter whose bed grips the material by its edges.
        sheet: both of its sides are known.
        units: of the request.
    """
    bed, grip = run.cutter.bed, grip_mm(units)
    past = past_sides(bed, sheet)
    short = [_(name) for name, by in zip(_SIDES, past, strict=True) if by < grip - _ROUNDING]
    if not short:
        return []
    if _is_large_enough(past, grip):
        text = _(
            "The {bed} does not grip the material well: it reaches less than {grip} past the "
            "opening on these sides: {sides}. Without a stated position it lies centred over the "
            "opening.",
        )
    else:
        text = _(
            "The {bed} does not grip the material well: it reaches less than {grip} past the "
            "opening on these sides: {sides}. Take at least {size}, centred over the opening, or "
            "bond it to a backing of that size that the {bed} grips.",
        )
    least = gripped_box(bed, units)
    return [
        _(
            text,
            bed=_(kind_of(run.cutter.tool).bed_word),
            grip=lengths.format_length(grip, units),
            sides=", ".join(short),
            size=" x ".join(
                lengths.format_length(side, units) for side in (least.right, least.top)
            ),
        )
    ]


def _is_large_enough(past: Sequence[float], grip: float) -> bool:
    left, right, top, bottom = past
    return min(left + right, top + bottom) >= 2.0 * grip - _ROUNDING
