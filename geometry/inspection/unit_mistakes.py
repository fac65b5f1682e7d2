"""Sizes that come out plain when a usual mistake of units is corrected."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from geometry.inspection.likeness import Nearest
from geometry.model.segments import Bounds

#: Usual fractions of an inch, and the tolerance for sizes: in mm, and relative for files with few
#: digits.
_PART_MM = 25.4 / 8.0
_NEAR, _NEAR_SHARE = 3.0e-3, 2.0e-5
#: Number of different sizes needed to report a small mistake of units.
_SUBTLE_FROM = 2
#: Usual pieces are 5 mm to half a metre in size.
_PIECES = (5.0, 500.0)
#: Mistakes of units, and the factors that correct them.
_MISTAKES = {
    25.4: "inches that were read as millimetres",
    1.0 / 25.4: "millimetres that were read as inches",
    96.0 / 72.0: "points (72 per inch) that were read as pixels (96)",
    72.0 / 96.0: "pixels (96 per inch) that were read as points (72)",
    96.0 / 90.0: "an older drawing of 90 pixels to the inch read at 96",
    90.0 / 96.0: "a drawing of 96 pixels to the inch read at 90",
    1016.0 / 1000.0: "plotter units of 1016 per inch read at 1000",
    1000.0 / 1016.0: "plotter units of 1000 per inch read at 1016",
}


def find_unit_mistakes(known: Sequence[Nearest], boxes: Sequence[Bounds]) -> Iterator[str]:
    """Yield a note if only the same mistake of units explains all known sizes.

    Args:
        known: the catalogue shapes found.
        boxes: their boxes.
    """
    sizes = [each.size for each in known]
    across = [length for box in boxes for length in (box.width, box.height)]
    if not sizes or any(
        _is_plain(size) and _PIECES[0] <= size <= _PIECES[1] for size in (*sizes, *across)
    ):
        # One plain size is enough, because a mistake of units affects all of them.
        return
    distinct = len({round(size, 2) for size in sizes})
    for factor, mistake in _MISTAKES.items():
        gross = not 0.5 < factor < 2.0  # noqa: PLR2004 - inches for millimetres
        if gross and all(_PIECES[0] <= size <= _PIECES[1] for size in sizes):
            # Usual sizes are not 25 times too large or too small.
            continue
        if not gross and distinct < _SUBTLE_FROM:
            # A single size is plain by chance too often.
            continue
        if all(
            _is_plain(size * factor) and _PIECES[0] <= size * factor <= _PIECES[1] for size in sizes
        ):
            yield (
                f"These sizes come out plain when multiplied by {factor:.4g}: "
                f"they may be {mistake}."
            )
            return


def _is_plain(size: float) -> bool:
    """Return whether a size is close to whole eighths of an inch or whole millimetres."""
    for part in (_PART_MM, 1.0):
        count = round(size / part)
        if count and abs(size - count * part) <= _NEAR + _NEAR_SHARE * size:
            return True
    return False
