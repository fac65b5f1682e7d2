"""How large the pictures of a sheet's loads are, and which loads share a row."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

#: Largest heights of a load's picture, points, of which the largest is used that does not add a
#: page.
HEIGHTS = (330.0, 270.0, 225.0, 200.0, 180.0, 170.0, 160.0, 150.0, 135.0)
#: Pages of a usual kit, and the scale of one that would otherwise take more.
_USUAL_PAGES, _SMALLER = 2, 0.9


@dataclass(frozen=True)
class LoadArrangement:
    """How loads are set: the largest height of a picture, points, and where loads share a row.

    Loads share rows from the run with the index ``shared_from`` on. The page is drawn at ``scale``.
    """

    high: float
    shared_from: int = 0
    scale: float = 1.0


def best_arrangement(
    froms: Sequence[int],
    count: Callable[[LoadArrangement], int],
    known: dict[LoadArrangement, int],
) -> LoadArrangement:
    """Return the arrangement of the fewest pages with the largest pictures.

    Args:
        froms: indices of runs from which on loads may share a row.
        count: returns the pages of an arrangement.
        known: pages of arrangements that need not be counted; takes in the others.
    """

    def pages(look: LoadArrangement) -> int:
        if look not in known:
            known[look] = count(look)
        return known[look]

    best = _with_large_pictures(froms, pages, 1.0)
    if pages(best) > _USUAL_PAGES:
        smaller = _with_large_pictures(froms, pages, _SMALLER)
        if pages(smaller) < pages(best):
            return smaller
    return best


def _with_large_pictures(
    froms: Sequence[int], pages: Callable[[LoadArrangement], int], scale: float
) -> LoadArrangement:
    """Return the arrangement with the largest pictures that add no page."""
    smallest = [LoadArrangement(HEIGHTS[-1], at, scale) for at in froms]
    fewest = min(pages(look) for look in smallest)
    fitting = [look.shared_from for look in smallest if pages(look) == fewest]
    best = LoadArrangement(0.0)
    for at in fitting:
        best = _largest([LoadArrangement(high, at, scale) for high in HEIGHTS], pages, fewest, best)
    return best


def _largest(
    looks: Sequence[LoadArrangement],
    pages: Callable[[LoadArrangement], int],
    fewest: int,
    best: LoadArrangement,
) -> LoadArrangement:
    """Return the arrangement with the largest pictures that takes no more pages than the smallest.

    A smaller height takes no more pages than a larger one, so that halving finds it. ``best`` is
    returned, and the search for others ends, where none of them can have larger pictures.
    """
    # Mostly the largest fits.
    if looks[0].high <= best.high or pages(looks[0]) <= fewest:
        return max(best, looks[0], key=lambda look: look.high)
    too_high, fits = 0, len(looks) - 1
    while fits - too_high > 1 and looks[too_high + 1].high > best.high:
        at = (fits + too_high) // 2
        if pages(looks[at]) <= fewest:
            fits = at
        else:
            too_high = at
    return max(best, looks[fits], key=lambda look: look.high)
