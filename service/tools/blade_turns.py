"""How pieces are turned under a blade that is set by hand: the layouts of all good turns compared.

Turns that need equally few angles, with edges equally smooth, can differ in how many pieces a load
holds, so each of them is laid out. Turns with rougher edges are taken where they save a load.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from geometry.errors import GeometryError
from geometry.layout import Item, Layout
from geometry.layout.effort import NORMAL
from geometry.layout.fit import DoesNotFit
from geometry.layout.objective import Score, is_better, score
from geometry.layout.order import laid_out_text
from geometry.model.cutter import IndexedBlade
from geometry.toolpath.angles import Chosen, TurnChoices, min_mismatch_deg, turn_choices
from service.tools.layouts import LayoutRequest, LayoutSearch, lay_out


def laid_out_by_turns(blade: IndexedBlade, wanted: LayoutRequest) -> Layout:
    """Lay out at the turns that suit a hand-set blade best.

    Up to the effort ``normal`` all turns are laid out equally well; only the best of them is
    searched further, so no effort finds a worse layout than one below it. Where the pieces fit at
    none of the turns, any allowed one will do, unless the run states a maximum mismatch.

    Raises:
        DoesNotFit: when a piece is too large.
        GeometryError: when no turn keeps to the stated maximum mismatch.
    """
    choices = _choices(blade, wanted)
    every = [*choices.smoothest, *choices.rougher]
    longer = wanted.effort.steps > NORMAL.steps
    best = _Best(replace(wanted, effort=NORMAL) if longer else wanted, len(every) + longer)
    for number, choice in enumerate(every):
        rougher = number >= len(choices.smoothest)
        if rougher and best.has_fewest_loads:
            break
        best.lay_out(choice, rougher=rougher)
    if best.choice is not None and best.layout is not None:
        if longer:
            best.request = wanted
            best.lay_out(best.choice)
        best.report(1.0)
        return best.layout
    if wanted.max_mismatch_deg is not None and best.refusal is not None:
        raise best.refusal
    return lay_out(wanted)


def _choices(blade: IndexedBlade, wanted: LayoutRequest) -> TurnChoices:
    """Return the turns to lay out.

    Raises:
        GeometryError: when no turn keeps to the stated maximum mismatch.
    """
    outlines = {item.piece: item.outline for item in wanted.items}
    allowed = {item.piece: item.stated_turns_deg for item in wanted.items}
    stated = wanted.max_mismatch_deg
    limit = None if stated is None else math.radians(stated)
    choices = turn_choices(outlines, blade, allowed, limit)
    if stated is not None and math.isinf(choices.smoothest[0].roughness):
        least = min_mismatch_deg(outlines, blade, allowed)
        raise GeometryError(
            f"However the pieces are turned, some edge lies more than {stated:g} degrees off "
            f"every angle of the blade; {least} degrees can be kept.",
            where=("max_mismatch_deg",),
        )
    return choices


@dataclass
class _Best:
    """The best layout so far, the turns it has, and the nearest refusal of those that hold none.

    ``request`` is what is laid out next, ``tasks`` the number of layouts that there may be.
    """

    request: LayoutRequest
    tasks: int
    layout: Layout | None = None
    choice: Chosen | None = None
    refusal: DoesNotFit | None = None
    _score: Score | None = None
    _done: int = 0

    def lay_out(self, choice: Chosen, *, rougher: bool = False) -> None:
        """Lay the request out at some turns; keep it if better, if rougher with fewer loads."""
        asked = self.request
        items = [replace(item, turns=_with_half_turns(item, choice)) for item in asked.items]
        search = LayoutSearch(asked.search.nester, asked.search.should_stop)
        try:
            found = lay_out(replace(asked, items=items, search=search))
        except DoesNotFit as error:
            if self.refusal is None or error.largest_scale > self.refusal.largest_scale:
                self.refusal = error
        else:
            self._keep(choice, found, rougher=rougher)
        self._done += 1
        self.report(self._done / (self.tasks + 1))

    def _keep(self, choice: Chosen, found: Layout, *, rougher: bool) -> None:
        asked = self.request
        outlines = {item.piece: item.outline for item in asked.items}
        quantity = sum(item.quantity for item in asked.items)
        new = score(found.loads, outlines, asked.room, quantity, common_line=asked.common_line)
        if self.layout is None or self._score is None:
            better = True
        elif rougher:
            better = new[:2] < self._score[:2]
        else:
            better = is_better(new, self._score)
        complete = found.complete and (self.layout is None or self.layout.complete)
        if better:
            self.layout, self.choice, self._score = found, choice, new
        elif self.layout is not None and not complete:
            self.layout = replace(self.layout, complete=False)

    @property
    def has_fewest_loads(self) -> bool:
        """Whether every piece is placed and no layout could take fewer loads."""
        if self.layout is None or self._score is None:
            return False
        missing, loads, *_ = self._score
        return missing == 0 and loads <= max(1, self.layout.bound)

    def report(self, share: float) -> None:
        """Tell the caller the share done and the best so far."""
        progress = self.request.search.progress
        if progress is not None and self.layout is not None:
            progress(share, laid_out_text(self.layout.loads))


def _with_half_turns(item: Item, choice: Chosen) -> tuple[float, ...]:
    """Return an item's turns, half a turn round too where any turn is allowed."""
    turns = choice.turns_deg[item.piece]
    if item.stated_turns_deg is None:
        turns = tuple(sorted({(turn + half) % 360.0 for turn in turns for half in (0.0, 180.0)}))
    return turns
