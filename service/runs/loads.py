"""One run: laid out, checked a second time, and planned load by load."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Mapping, Sequence
from functools import partial

from geometry.layout.item import Item, Layout
from geometry.model.outline import Region
from geometry.model.placement import Load
from geometry.toolpath.plan import Planned, make_plan
from service.errors import Change, Cure
from service.pieces.model import Kit
from service.requests.runs import Run
from service.runs.in_turn import in_turn
from service.runs.layout_step import (
    LaidOutRun,
    check,
    tool_area,
    with_line_up,
)
from service.runs.notices import for_office, note, of_loads
from service.runs.past_the_bed import with_rests_past_the_bed
from service.runs.plan_options import plan_options
from service.runs.planned_run import PlannedLoad, PlannedRun
from service.runs.plies import plies_of
from service.runs.repeats import listed_once
from service.runs.rolls import cut_off, used_of
from service.runs.sheet_position import loading_of, sheet_warnings
from service.runs.side_up import lies_wrong_side_up
from service.texts import gettext as _
from service.tools import kind_of
from service.tools.known_plans import PLANS, plan_question
from service.tools.layouts import LayoutSearch

#: Whether a run's material suffices for loads, of which each has a length on a roll.
HasRoom = Callable[[Sequence[Load], Sequence[float | None]], bool]
#: The effort that searches longest.
_LONGEST = "best"


def plan_laid(
    kit: Kit,
    run: Run,
    items: Sequence[Item],
    laid: LaidOutRun,
    *,
    entry_angle_deg: float | None,
    search: LayoutSearch | None,
    has_room: HasRoom | None = None,
) -> tuple[PlannedRun, float | None]:
    """Plan every load of a run that is laid out; return it and the blade angle it ends with.

    Args:
        kit: the kit.
        run: what is cut on what.
        items: what was laid out.
        laid: how.
        entry_angle_deg: the blade angle that the machine was left at.
        search: for laying out again where a load leaves no room to line a blade up; ``None``
            where that must not be.
        has_room: whether there is material for a new layout; ``None`` where there always is.

    Raises:
        DoesNotFit: when a piece is too large.
        GeometryError: when the tool cannot do what is asked of it.
    """
    regions = {piece: kit.pieces[piece].region(run.cut) for piece in run.quantities}
    sheet, lengths = cut_off(run, laid, regions)
    loading = loading_of(sheet, kit.units, wrong_side_up=lies_wrong_side_up(kit, run))
    loads, exit_angle_deg = _plan_loads(regions, laid, lengths, sheet, entry_angle_deg, loading)
    if search is not None and not all(each.planned.lined_up for each in loads):
        again = with_line_up(laid, items, run, search)
        new_sheet, new_lengths = cut_off(run, again, regions)
        if has_room is None or has_room(again.layout.loads, new_lengths):
            laid, sheet, lengths = again, new_sheet, new_lengths
            loads, exit_angle_deg = _plan_loads(
                regions, laid, lengths, sheet, entry_angle_deg, loading
            )
    planned = PlannedRun(
        sheet,
        loads,
        laid.layout.bound,
        laid.layout.complete,
        (*sheet_warnings(sheet, kit.units), *_warnings(laid, loads, sheet.effort)),
        used_of(laid, sheet),
        plies_of(kit, run),
        laid.layout.most_on_one,
        laid.layout.length_bound,
    )
    return planned, exit_angle_deg


def _warnings(laid: LaidOutRun, loads: tuple[PlannedLoad, ...], effort: str | float) -> list[str]:
    """Return the warnings of a run's layout, then those of its loads."""
    return [
        *laid.warnings,
        *_of_layout(laid.layout, effort),
        *in_turn(loads),
        *_of_loads(loads),
    ]


def _of_layout(layout: Layout, effort: str | float) -> Iterator[str]:
    """Yield the warnings of a layout; the last of one that was cut short says what may be saved."""
    *others, last = layout.warnings or ("",)
    yield from map(for_office, others)
    if not last:
        return
    if layout.complete:
        yield for_office(last)
    elif effort == _LONGEST:
        yield note(last)
    else:
        change = Change("/effort", _LONGEST)
        yield note(last, Cure(_("Search longer for a better layout"), (change,)))


def _of_loads(loads: tuple[PlannedLoad, ...]) -> list[str]:
    """Return the loads' warnings, each once; those that are not of all loads name theirs."""
    by_text: dict[str, list[int]] = {}
    for load in loads:
        for text in load.planned.warnings:
            by_text.setdefault(text, []).append(load.number)
    # What a die's maker has to know; the first line is the force, for the bench.
    dies = [load.planned.die for load in loads if load.planned.die is not None]
    office = {text for die in dies for text in die.warnings[1:]}
    warnings = []
    for text, numbers in by_text.items():
        named = text if len(numbers) == len(loads) else of_loads(text, numbers)
        warnings.append(for_office(named) if text in office else named)
    return warnings


def _plan_loads(
    regions: Mapping[str, Region],
    laid: LaidOutRun,
    lengths: Sequence[float | None],
    run: Run,
    entry_angle_deg: float | None,
    loading: str,
) -> tuple[tuple[PlannedLoad, ...], float | None]:
    """Plan every load; repeats whose cut order differs become loads of their own.

    A blade that is turned by hand starts each load at the angle the last one left, so a
    repeated load is cut forwards and backwards in turn: two plans, each with its own repeats.
    """
    layout = with_rests_past_the_bed(run, laid, regions)
    check(regions, laid, run)
    reach, steps = tool_area(run), kind_of(run.cutter.tool).steps(run.cutter.tool)
    angle = entry_angle_deg
    planned: list[PlannedLoad] = []
    options = plan_options(run, loading)
    for index, load in listed_once(layout.loads, lengths):
        once = Load(load.placements)
        make = partial(
            make_plan,
            once,
            regions,
            run.cutter,
            run.area,
            steps=steps,
            title="",
            options=options,
            reach=reach,
        )
        question = plan_question(once, regions, run.cutter, run.area, reach, options)
        distinct, angle = _plan_repeats(make, question, load.repeats, angle)
        before = len(planned)
        offcuts = tuple(each for each in layout.offcuts if each.load == index)
        planned.extend(
            PlannedLoad(
                before + 1 + place,
                Load(load.placements, count),
                made,
                layout.utilisation[index],
                offcuts,
                lengths[index],
                layout.used[index] if layout.used else None,
            )
            for place, (made, count) in enumerate(distinct)
        )
    return tuple(planned), angle


def _plan_repeats(
    make: Callable[..., Planned], question: Hashable, repeats: int, angle: float | None
) -> tuple[list[tuple[Planned, int]], float | None]:
    """Plan the repeats of a load.

    Args:
        make: plans the load for an ``entry_angle_deg``.
        question: all else that its plan depends on.
        repeats: number of times that the load is cut.
        angle: the blade angle that the machine was left at.

    Returns:
        Each plan with the number of times that it is cut, and the last blade angle.
    """
    distinct: list[tuple[Planned, int]] = []
    known: dict[float | None, int] = {}
    for _time in range(repeats):
        if angle not in known:
            made = PLANS.known_or_made((question, angle), partial(make, entry_angle_deg=angle))
            known[angle] = _place_of(made, distinct)
        at = known[angle]
        made, count = distinct[at]
        distinct[at] = (made, count + 1)
        if made.exit_angle_deg == angle:
            # The machine is left as it was found: every further repeat is the same.
            left = repeats - sum(count for _, count in distinct)
            distinct[at] = (made, count + 1 + left)
            break
        angle = made.exit_angle_deg
    return distinct, angle


def _place_of(made: Planned, distinct: list[tuple[Planned, int]]) -> int:
    for at, (other, _count) in enumerate(distinct):
        if other.plan == made.plan:
            return at
    distinct.append((made, 0))
    return len(distinct) - 1
