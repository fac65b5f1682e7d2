"""How pieces are turned under a blade that is set by hand: the layouts of all good turns compared.

Turns that need equally few angles, with edges equally smooth, can differ in how many pieces a load
holds, so each of them is laid out. Turns with rougher edges are taken where they save a load.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import NamedTuple

from geometry.errors import GeometryError
from geometry.layout import Item, Layout
from geometry.layout.effort import NORMAL, Effort
from geometry.layout.fitting.fit import DoesNotFit
from geometry.layout.objective import Score, is_better
from geometry.layout.orders.order import cut_short_warning, laid_out_text
from geometry.layout.task import Task, load_count
from geometry.model.cutter import IndexedBlade
from geometry.toolpath.angles import Chosen, TurnChoices, min_mismatch_deg, turn_choices
from service.tools.layouts import LayoutRequest, lay_out


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
    goes_on = wanted.effort.steps > NORMAL.steps
    effort = NORMAL if goes_on else wanted.effort
    best = _Best(wanted, len(choices.smoothest) + len(choices.rougher) + goes_on)
    for choice in choices.smoothest:
        best.lay_out(choice, effort)
    for choice in choices.rougher:
        if best.has_fewest_loads:
            break
        best.lay_out(choice, effort, is_rougher=True)
    if best.kept is None:
        if wanted.max_mismatch_deg is not None and best.refusal is not None:
            raise best.refusal
        return lay_out(wanted)
    if goes_on:
        best.lay_out(best.kept.choice, wanted.effort)
    best.report(1.0)
    return best.kept.layout


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


class _Kept(NamedTuple):
    """A layout, the turns it has, and what it is judged by."""

    layout: Layout
    choice: Chosen
    score: Score


@dataclass
class _Best:
    """The best layout so far, and the nearest refusal of the turns that hold none.

    ``tasks`` is the number of layouts that there may be.
    """

    wanted: LayoutRequest
    tasks: int
    kept: _Kept | None = None
    refusal: DoesNotFit | None = None
    _done: int = 0

    def lay_out(self, choice: Chosen, effort: Effort, *, is_rougher: bool = False) -> None:
        """Lay out at some turns and keep what is better, if rougher only with fewer loads."""
        try:
            found = self._laid_out(choice, effort, is_rougher=is_rougher)
        except DoesNotFit as error:
            if self.refusal is None or error.largest_scale > self.refusal.largest_scale:
                self.refusal = error
        else:
            self._keep(_Kept(found, choice, self._score(found)), is_rougher=is_rougher)
        self._done += 1
        self.report(self._done / (self.tasks + 1))

    def _laid_out(self, choice: Chosen, effort: Effort, *, is_rougher: bool) -> Layout:
        """Return the layout at some turns, without care for its material if it is of no use."""
        max_loads, has_stages = self._max_loads(is_rougher=is_rougher), effort.steps > 0.0
        if max_loads is None or (has_stages and not is_rougher):
            return self._layout(choice, effort)
        found = self._layout(choice, effort, max_loads)
        if has_stages and load_count(found.loads) <= max_loads:
            # A later stage may have saved the load: the earlier ones took no care of the material.
            again = self._layout(choice, effort)
            if load_count(again.loads) <= max_loads:
                return again
        return found

    def _layout(self, choice: Chosen, effort: Effort, max_loads: int | None = None) -> Layout:
        wanted = self.wanted
        return lay_out(
            replace(
                wanted,
                items=[
                    replace(item, turns=_with_half_turns(item, choice)) for item in wanted.items
                ],
                effort=effort,
                search=replace(wanted.search, progress=None),
                max_loads=max_loads,
            )
        )

    def _max_loads(self, *, is_rougher: bool) -> int | None:
        """Return the loads above which no layout is kept, ``None`` where that is not known."""
        if self.kept is None or len(self.wanted.items) > 1:
            return None
        missing, loads, *_ = self.kept.score
        return None if missing else loads - is_rougher

    def _score(self, found: Layout) -> Score:
        wanted = self.wanted
        task = Task(wanted.items, wanted.room, wanted.gap, wanted.seed, wanted.common_line)
        return task.score(found.loads)

    def _keep(self, new: _Kept, *, is_rougher: bool) -> None:
        old = self.kept
        if old is None:
            self.kept = new
            return
        saves_load = new.score[:2] < old.score[:2]
        is_kept = saves_load if is_rougher else is_better(new.score, old.score)
        kept, other = (new, old) if is_kept else (old, new)
        if not other.layout.complete and kept.layout.complete:
            # More time for the other turns might have changed which of them are taken. What it may
            # save is less than what is kept, not less than what the others came to.
            bound = min(kept.layout.bound, other.layout.bound)
            warning = cut_short_warning(load_count(kept.layout.loads), bound, self.wanted.room)
            warnings = (*kept.layout.warnings, warning)
            layout = replace(kept.layout, complete=False, warnings=warnings)
            kept = kept._replace(layout=layout)
        self.kept = kept

    @property
    def has_fewest_loads(self) -> bool:
        """Whether every piece is placed and no layout could take fewer loads."""
        if self.kept is None:
            return False
        missing, loads, *_ = self.kept.score
        return missing == 0 and loads <= max(1, self.kept.layout.bound)

    def report(self, share: float) -> None:
        """Tell the caller the share done and the best so far."""
        progress = self.wanted.search.progress
        if progress is not None and self.kept is not None:
            progress(share, laid_out_text(self.kept.layout.loads))


def _with_half_turns(item: Item, choice: Chosen) -> tuple[float, ...]:
    """Return an item's turns, half a turn round too where any turn is allowed."""
    turns = choice.turns_deg[item.piece]
    if item.stated_turns_deg is None:
        turns = tuple(sorted({(turn + half) % 360.0 for turn in turns for half in (0.0, 180.0)}))
    return turns
