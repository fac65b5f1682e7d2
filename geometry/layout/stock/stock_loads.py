"""As many loads of a layout as there are sheets."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from geometry.layout.item import Layout
from geometry.layout.task import load_count
from geometry.model.placement import Load


def repeated(full: Layout, held: int, quantity: int) -> Layout:
    """Return a full load as often as a quantity takes, the last one with what is left over."""
    repeats, rest = divmod(quantity, held)
    placements = full.loads[0].placements
    loads = [Load(placements, repeats)] if repeats else []
    if rest:
        loads.append(Load(placements[:rest]))
    return replace(
        full,
        loads=tuple(loads),
        utilisation=tuple(full.utilisation[0] * len(load.placements) / held for load in loads),
        # Less than it leaves is stated of a last load: what the full one does.
        used=full.used * len(loads),
        offcuts=tuple(
            replace(each, load=number) for number in range(len(loads)) for each in full.offcuts
        ),
    )


def first_loads(layout: Layout, count: int) -> Layout | None:
    """Return the fullest loads of a layout, at most so many; ``None`` for none."""
    if load_count(layout.loads) <= count:
        return layout if layout.loads else None
    kept: dict[int, int] = {}
    for at in sorted(range(len(layout.loads)), key=lambda at: (-layout.utilisation[at], at)):
        if count:
            kept[at] = min(count, layout.loads[at].repeats)
            count -= kept[at]
    return kept_loads(layout, kept)


def kept_loads(layout: Layout, repeats: Mapping[int, int]) -> Layout:
    """Return a layout with some of its loads, by number, each as often as is stated."""
    places = {at: place for place, at in enumerate(sorted(repeats))}
    return replace(
        layout,
        loads=tuple(replace(layout.loads[at], repeats=repeats[at]) for at in places),
        utilisation=tuple(layout.utilisation[at] for at in places),
        used=tuple(layout.used[at] for at in places) if layout.used else (),
        offcuts=tuple(
            replace(each, load=places[each.load]) for each in layout.offcuts if each.load in places
        ),
    )


def joined(layouts: Sequence[Layout]) -> Layout:
    """Return the loads of several layouts on the same kind of sheet as one."""
    first, *others = layouts
    for each in others:
        before = len(first.loads)
        first = replace(
            first,
            loads=(*first.loads, *each.loads),
            complete=first.complete and each.complete,
            warnings=tuple(dict.fromkeys((*first.warnings, *each.warnings))),
            bound=first.bound + each.bound,
            utilisation=(*first.utilisation, *each.utilisation),
            used=(*first.used, *each.used),
            offcuts=(
                *first.offcuts,
                *(replace(one, load=one.load + before) for one in each.offcuts),
            ),
        )
    return first


def placed_on(layout: Layout) -> dict[str, int]:
    """Return how many outlines of each piece a layout has, repeats counted."""
    placed: dict[str, int] = {}
    for load in layout.loads:
        for piece, count in load.outlines.items():
            placed[piece] = placed.get(piece, 0) + count * load.repeats
    return placed
