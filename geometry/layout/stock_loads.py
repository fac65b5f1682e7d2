"""As many loads of a layout as there are sheets."""

from __future__ import annotations

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
    kept: list[tuple[int, Load]] = []
    order = sorted(range(len(layout.loads)), key=lambda at: (-layout.utilisation[at], at))
    for at in order:
        if count:
            repeats = min(count, layout.loads[at].repeats)
            kept.append((at, replace(layout.loads[at], repeats=repeats)))
            count -= repeats
    kept.sort(key=lambda each: each[0])
    places = {at: place for place, (at, _) in enumerate(kept)}
    return replace(
        layout,
        loads=tuple(load for _, load in kept),
        utilisation=tuple(layout.utilisation[at] for at in places),
        used=tuple(layout.used[at] for at in places) if layout.used else (),
        offcuts=tuple(
            replace(each, load=places[each.load]) for each in layout.offcuts if each.load in places
        ),
    )
