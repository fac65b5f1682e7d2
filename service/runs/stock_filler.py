"""Pieces laid out on single sheets of a run's stock."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from geometry.layout import Item, Layout
from geometry.model.cutter import WorkArea
from service.requests.runs import Run
from service.runs.layout_step import lay, room_of
from service.tools.layouts import LayoutSearch

#: Outlines that the fullest load is looked for with.
MANY = 20_000


def part_of(run: Run, number: int) -> Run:
    """Return a run as it is cut from one kind of sheet of its stock."""
    entry, lying = run.material.stock[number], run.stock[number]
    material = replace(
        run.material,
        name=f"{run.material.name} ({entry.name})",
        width=entry.width,
        height=entry.height or entry.roll,
        stock=(),
    )
    return replace(
        run,
        material=material,
        area=lying.area,
        reach=lying.reach,
        sheet=lying.sheet,
        notes=(),
        stock=(),
    )


@dataclass
class StockFiller:
    """Lays pieces out on one kind of sheet of a run's stock.

    Attributes:
        parts: the run on each kind of sheet.
        items: of the run.
        search: what a search is given.
    """

    parts: Sequence[Run]
    items: Sequence[Item]
    search: LayoutSearch
    _known: dict[tuple[object, ...], Layout] = field(default_factory=dict)

    def room(self, sheet: int, length: float | None = None) -> WorkArea:
        """Return where outlines may lie on a kind of sheet, or on a length of a roll."""
        part = self.parts[sheet]
        if length is not None and part.sheet is not None:
            part = replace(part, sheet=replace(part.sheet, width=length))
        return room_of(part, self.items)

    def lay(
        self, items: Sequence[Item], sheet: int, *, quick: bool, length: float | None = None
    ) -> Layout:
        """Return the loads of an order on as many such sheets as it takes.

        Args:
            items: what to place.
            sheet: number of the kind of sheet.
            quick: whether little effort is enough.
            length: the most that a load draws off a roll, mm.

        Raises:
            DoesNotFit: when a piece is too large.
        """
        return self._laid(items, sheet, length, quick=quick, fullest=False)

    def fullest(
        self, item: Item, sheet: int, *, quick: bool, length: float | None = None
    ) -> Layout:
        """Return one load with as many of an item as it holds, or as the whole run asks for.

        The arguments are those of ``lay``.

        Raises:
            DoesNotFit: when not even one fits.
        """
        # What is still to be placed differs from sheet to sheet; the same answer does for all.
        asked = {each.piece: each.quantity for each in self.items}
        many = MANY if self.parts[sheet].fills else asked[item.piece]
        wanted = [replace(item, quantity=many)]
        return self._laid(wanted, sheet, length, quick=quick, fullest=True)

    def _laid(
        self,
        items: Sequence[Item],
        sheet: int,
        length: float | None,
        *,
        quick: bool,
        fullest: bool,
    ) -> Layout:
        wanted = tuple((each.piece, each.quantity) for each in items)
        key = (wanted, sheet, length, quick, fullest)
        if key not in self._known:
            run = self.parts[sheet]
            run = replace(run, effort="quick") if quick else self._shared(run)
            # How far one sheet is says little about the whole stock.
            search = replace(self.search, progress=None)
            self._known[key] = lay(items, run, self.room(sheet, length), search, fullest=fullest)
        return self._known[key]

    def _shared(self, run: Run) -> Run:
        """Return a run whose steps leave as many for every other sheet: each is filled twice."""
        if run.max_steps is None:
            return run
        return replace(run, max_steps=run.max_steps / (2 * len(self.parts)))
