"""One run: laid out, checked a second time, and planned load by load."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from itertools import pairwise

from geometry.errors import GeometryError, InternalError
from geometry.layout import Item, Layout, lay_out
from geometry.layout.fit import DoesNotFit
from geometry.layout.item import Offcut
from geometry.measure import area
from geometry.model.cutter import IndexedBlade
from geometry.model.outline import Region
from geometry.model.placement import Load
from geometry.proof.overlap import check_load
from geometry.toolpath.angles import best_turns
from geometry.toolpath.plan import Planned, PlanOptions, make_plan
from geometry.toolpath.route import KICKS
from service.convert.values import Kit, Run
from service.pipeline.refusals import cannot_plan, does_not_fit, too_many

#: Outlines on one load, at the most: keeps a plan and its files within a second or two.
MOST_PLACED = 20_000


@dataclass(frozen=True)
class PlannedLoad:
    """One distinct filling of the work area with its cut plan."""

    number: int
    load: Load
    planned: Planned
    utilisation: float
    offcuts: tuple[Offcut, ...]


@dataclass(frozen=True)
class PlannedRun:
    """Everything a run cuts; ``bound`` is a number of loads that no layout could go below."""

    run: Run
    loads: tuple[PlannedLoad, ...]
    bound: int
    complete: bool
    warnings: tuple[str, ...]


def outlines_wanted(run: Run, piece: str) -> int:
    """Return how many outlines a run must place to make enough of a piece."""
    per_outline = run.layers * (run.reuse if run.cut == "template" else 1)
    return math.ceil(run.quantities[piece] / per_outline)


def plan_run(
    kit: Kit,
    index: int,
    *,
    entry_angle_deg: float | None,
    out_of_time: Callable[[], bool] | None,
    progress: Callable[[float, str], None] | None = None,
) -> tuple[PlannedRun, float | None]:
    """Lay out and plan one run; returns it and the blade angle it leaves the machine at.

    ``progress`` is told the share of the layout that is done, 0 to 1, and the best so far.

    Raises:
        ProblemError: 422 ``does-not-fit`` when a piece is larger than the work area,
            ``too-many-pieces`` when a load would hold more outlines than are supported.
        InternalError: when the second check finds an overlap; nothing is written then.
    """
    run = kit.runs[index]
    regions = {piece: kit.pieces[piece].region(run.cut) for piece in run.quantities}
    room = area(run.area.boundary) / min(area(region.outline) for region in regions.values())
    wanted = sum(outlines_wanted(run, piece) for piece in run.quantities)
    if min(room, wanted) > MOST_PLACED:
        raise too_many(index, MOST_PLACED)
    items = [
        Item(
            piece=piece,
            outline=regions[piece].outline,
            quantity=outlines_wanted(run, piece),
            turns=kit.pieces[piece].turns,
            mirror=kit.pieces[piece].mirror,
        )
        for piece in run.quantities
    ]
    try:
        layout = _laid_out(items, run, out_of_time, progress)
    except DoesNotFit as error:
        raise does_not_fit(kit, index, error) from None
    _check(regions, layout.loads, run)
    try:
        loads, exit_angle_deg = _plan_loads(regions, layout, run, entry_angle_deg)
    except GeometryError as error:
        # What the run asks of its tool cannot be done, such as common lines with a drag blade.
        raise cannot_plan(index, error) from None
    warnings = [*layout.warnings, *_in_turn(loads)]
    for each in loads:
        warnings.extend(w for w in each.planned.warnings if w not in warnings)
    planned = PlannedRun(run, loads, layout.bound, layout.complete, tuple(warnings))
    return planned, exit_angle_deg


def _laid_out(
    items: list[Item],
    run: Run,
    out_of_time: Callable[[], bool] | None,
    progress: Callable[[float, str], None] | None,
) -> Layout:
    """Lay a run out, for a blade set by hand at the turns that suit its angles best.

    Where the pieces fit at none of those, any allowed turn will do.
    """

    def lay(each: list[Item]) -> Layout:
        return lay_out(
            each,
            run.area,
            gap=run.gap,
            effort=run.effort,
            seed=run.seed,
            deadline=out_of_time,
            sets=run.sets,
            progress=progress,
        )

    tool = run.cutter.tool
    if not isinstance(tool, IndexedBlade):
        return lay(items)
    outlines = {item.piece: item.outline for item in items}
    allowed = {item.piece: item.stated_turns_deg for item in items}
    best = best_turns(outlines, tool, allowed).turns_deg
    try:
        return lay([replace(item, turns=_with_half_turns(item, best)) for item in items])
    except DoesNotFit:
        return lay(items)


def _with_half_turns(item: Item, best: Mapping[str, tuple[float, ...]]) -> tuple[float, ...]:
    """Return an item's best turns, half a turn round too where any turn is allowed."""
    turns = best[item.piece]
    if item.stated_turns_deg is None:
        turns = tuple(sorted({(turn + half) % 360.0 for turn in turns for half in (0.0, 180.0)}))
    return turns


def _in_turn(loads: tuple[PlannedLoad, ...]) -> list[str]:
    """Say which loads are one filling cut forwards and backwards."""
    told = []
    for first, second in pairwise(loads):
        if first.load.placements == second.load.placements:
            told.append(
                f"Cut loads {first.number} and {second.number} in turn: each starts at the blade "
                "angle that the other leaves, so the blade is never turned back."
            )
    return told


def _check(regions: Mapping[str, Region], loads: tuple[Load, ...], run: Run) -> None:
    outlines = {piece: region.outline for piece, region in regions.items()}
    for number, load in enumerate(loads, start=1):
        found = check_load(outlines, load, run.area, run.gap)
        if found:
            raise InternalError(f"load {number} failed its second check: {'; '.join(found[:5])}")


def _plan_loads(
    regions: Mapping[str, Region],
    layout: Layout,
    run: Run,
    entry_angle_deg: float | None,
) -> tuple[tuple[PlannedLoad, ...], float | None]:
    """Plan every load; repeats whose cut order differs become loads of their own.

    A blade that is turned by hand starts each load at the angle the last one left, so a
    repeated load is cut forwards and backwards in turn: two plans, each with its own repeats.
    """
    angle = entry_angle_deg
    planned: list[PlannedLoad] = []
    first = True
    for index, load in enumerate(layout.loads):
        distinct: list[tuple[Planned, int]] = []
        known: dict[float | None, int] = {}
        for _ in range(load.repeats):
            if angle in known:
                at = known[angle]
            else:
                made = make_plan(
                    Load(load.placements),
                    regions,
                    run.cutter,
                    run.area,
                    title="",
                    entry_angle_deg=angle,
                    options=PlanOptions(
                        common_line=run.common_line,
                        ties=run.ties,
                        first_load=first,
                        material=run.material.name,
                        material_kind=run.material.kind,
                        kicks=_kicks(run.effort),
                    ),
                )
                at = _place_of(made, distinct)
                known[angle] = at
            made, count = distinct[at]
            distinct[at] = (made, count + 1)
            first = False
            if made.exit_angle_deg == angle:
                # The machine is left as it was found: every further repeat is the same.
                left = load.repeats - sum(count for _, count in distinct)
                distinct[at] = (made, count + 1 + left)
                break
            angle = made.exit_angle_deg
        before = len(planned)
        offcuts = tuple(each for each in layout.offcuts if each.load == index)
        planned.extend(
            PlannedLoad(
                before + 1 + place,
                Load(load.placements, count),
                made,
                layout.utilisation[index],
                offcuts,
            )
            for place, (made, count) in enumerate(distinct)
        )
    return tuple(planned), angle


def _kicks(effort: str | float) -> int:
    """Return how hard to look for short ways: hardly, unless the best is asked for."""
    if isinstance(effort, str):
        return {"quick": 0, "normal": 2}.get(effort, KICKS)
    return KICKS


def _place_of(made: Planned, distinct: list[tuple[Planned, int]]) -> int:
    for at, (other, _) in enumerate(distinct):
        if other.plan == made.plan:
            return at
    distinct.append((made, 0))
    return len(distinct) - 1
