"""Equal loads, listed as one load with repeats."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from geometry.model.placement import Load


def listed_once(
    loads: Sequence[Load], lengths: Sequence[float | None]
) -> Iterator[tuple[int, Load]]:
    """Yield the loads with their indices; equal loads in a row are one load with repeats.

    Args:
        loads: as they are laid out.
        lengths: what each takes of a roll, mm; ``None`` on sheets.
    """
    index = 0
    while index < len(loads):
        first, repeats, after = loads[index], loads[index].repeats, index + 1
        while (
            after < len(loads)
            and loads[after].placements == first.placements
            and lengths[after] == lengths[index]
        ):
            repeats += loads[after].repeats
            after += 1
        yield index, Load(first.placements, repeats)
        index = after
