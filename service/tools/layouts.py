"""What a run asks of a layout."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from geometry.layout import Item, Layout
from geometry.layout import lay_out as lay_out_loads
from geometry.layout.effort import Effort, Nester
from geometry.layout.one_kind.fullest import fullest
from geometry.layout.orders.order import laid_out_text
from geometry.model.cutter import WorkArea
from geometry.planning.strip_layout import strip_layouts
from service.texts import chosen_catalogue
from service.tools import known_layouts

ShouldStop = Callable[[], bool] | None
#: Called with the share done, 0 to 1, and in words with what is being done.
Progress = Callable[[float, str], None] | None


@dataclass(frozen=True)
class LayoutSearch:
    """What a search for layouts is given besides its question.

    Attributes:
        nester: the library that is asked for fuller loads; ``None`` where it is not installed.
        should_stop: says that the caller wants the best so far.
        progress: receives the share done and the best so far in words.
    """

    nester: Nester | None
    should_stop: ShouldStop = None
    progress: Progress = None


@dataclass(frozen=True)
class LayoutRequest:
    """The pieces of a run, the room for them, and how they may lie.

    ``per_set`` are the outlines of one set where each press of a die is to give whole sets;
    ``max_mismatch_deg`` is the run's limit for a hand-set blade, ``None`` if it states none.
    ``fullest`` asks for one load with as many as it holds of the only item, at most its quantity;
    ``max_loads`` are the loads above which a layout of one kind is of no use.
    """

    items: Sequence[Item]
    room: WorkArea
    gap: float
    effort: Effort
    seed: int
    sets: bool
    common_line: bool
    search: LayoutSearch
    per_set: Mapping[str, int] | None = None
    max_mismatch_deg: float | None = None
    fullest: bool = False
    max_loads: int | None = None


def lay_out(wanted: LayoutRequest) -> Layout:
    """Return the loads of a run, as full as the effort finds them.

    A roll is never longer than strips that are cut by hand.

    Raises:
        DoesNotFit: when a piece is too large.
    """
    if wanted.fullest:
        return _fullest(wanted)
    search = wanted.search
    question = (
        tuple(wanted.items),
        wanted.room,
        wanted.gap,
        wanted.effort,
        wanted.seed,
        wanted.sets,
        wanted.common_line,
        wanted.max_loads,
        search.nester,
        # A layout's warnings are in a language.
        chosen_catalogue(),
    )
    layout = known_layouts.known(question)
    if layout is not None:
        if search.progress is not None:
            search.progress(1.0, laid_out_text(layout.loads))
        return layout
    layout = lay_out_loads(
        wanted.items,
        wanted.room,
        gap=wanted.gap,
        effort=wanted.effort,
        seed=wanted.seed,
        should_stop=search.should_stop,
        sets=wanted.sets,
        common_line=wanted.common_line,
        progress=search.progress,
        nester=search.nester,
        known=strip_layouts(wanted.items, wanted.room, wanted.gap, one_load=wanted.sets),
        max_loads=wanted.max_loads,
    )
    known_layouts.keep(question, layout)
    return layout


def _fullest(wanted: LayoutRequest) -> Layout:
    (item,) = wanted.items
    return fullest(
        item,
        wanted.room,
        gap=wanted.gap,
        effort=wanted.effort.edge_to_edge if wanted.common_line else wanted.effort,
        seed=wanted.seed,
        should_stop=wanted.search.should_stop,
        nester=wanted.search.nester,
    )
