"""The cut plan of a load: combines all steps, with warnings for the operator."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from geometry.model.cutter import Cutter, WorkArea
from geometry.model.outline import Region
from geometry.model.placement import Load
from geometry.model.plan import CutPlan, Stop, Stroke
from geometry.sentences import said, said_of
from geometry.toolpath.die import DieReport
from geometry.toolpath.indexed import EdgeCut
from geometry.toolpath.one_cut import cut_once
from geometry.toolpath.options import PlanOptions
from geometry.toolpath.order import travel
from geometry.toolpath.steps import START, Draft, ToolSteps
from geometry.toolpath.strokes import nominal_strokes
from geometry.toolpath.ties import Ties, with_ties

_SNIP = "Snip the ties, then lift the pieces out."


@dataclass(frozen=True)
class Planned:
    """A load's plan; ``travel`` in mm, ``exit_angle_deg`` is the last angle of a hand-set blade.

    ``edges`` holds the cuts of a hand-set blade by kind of edge, ``die`` the report of a die.
    ``lined_up`` is false if a drag blade should be aligned first and the load has no waste for it.
    """

    plan: CutPlan
    warnings: tuple[str, ...]
    travel: float
    estimated_s: float
    exit_angle_deg: float | None
    edges: tuple[EdgeCut, ...] = ()
    die: DieReport | None = None
    lined_up: bool = True


def make_plan(  # noqa: PLR0913 - the whole question of a tool path, by keywords
    load: Load,
    pieces: Mapping[str, Region],
    cutter: Cutter,
    area: WorkArea,
    *,
    steps: ToolSteps,
    title: str,
    entry_angle_deg: float | None,
    options: PlanOptions,
    reach: WorkArea,
) -> Planned:
    """Return the plan of one load.

    Args:
        load: the placements.
        pieces: each piece's outline, holes and marks.
        cutter: the machine.
        area: the work area that the plan states.
        steps: what the cutter's tool changes.
        title: title for the file's header.
        entry_angle_deg: the current angle of a hand-set blade, ``None`` if unknown.
        options: see :class:`PlanOptions`.
        reach: area for the tool's axis.

    Raises:
        GeometryError: for options that the tool cannot follow.
    """
    steps.check(options)
    ties = steps.ties(options)
    draft = _draft(load, pieces, steps, ties, options)
    steps.arrange(draft, entry_angle_deg, options)
    steps.compensate(draft, reach)
    draft.warnings.extend(steps.neighbour_warnings(draft, load, pieces, options))
    if ties:
        draft.stops.append(Stop(len(draft.strokes), "snip-ties", _SNIP))
    way = travel(draft.strokes, START)
    plan = CutPlan(
        title=title,
        bed_width=cutter.bed.width,
        bed_height=cutter.bed.height,
        work_area=area,
        strokes=(*draft.strokes, *steps.notes(draft)),
        stops=tuple(draft.stops),
        tool_kind=cutter.tool.kind,
        passes=cutter.passes,
    )
    seconds = steps.seconds(plan, way, cutter)
    found = (draft.exit_angle_deg, draft.edges, draft.die, draft.lined_up)
    return Planned(plan, tuple(draft.warnings), way, seconds, *found)


def _draft(
    load: Load,
    pieces: Mapping[str, Region],
    steps: ToolSteps,
    ties: Ties | None,
    options: PlanOptions,
) -> Draft:
    """Return the strokes at size: with kerf compensation, common lines once, ties uncut."""
    pieces, warnings = steps.at_size(load, pieces, options)
    strokes = nominal_strokes(load, pieces)
    outlines = [stroke for stroke in strokes if stroke.part == "outline"]
    others = [stroke for stroke in strokes if stroke.part != "outline"]
    cut, more = _outlines(outlines, steps.slot(options), ties, options)
    if others and options.common_line:
        more.append(said("Holes and marks are strokes of their own, before the common lines."))
    closed = tuple(stroke for stroke in strokes if stroke.operation == "cut")
    return Draft([*others, *cut], [*warnings, *more], closed)


def _outlines(
    outlines: Sequence[Stroke], slot: float, ties: Ties | None, options: PlanOptions
) -> tuple[list[Stroke], list[str]]:
    if options.common_line:
        cut, more = cut_once(outlines, ties, slot)
        if ties and any(not stroke.closed for stroke in cut):
            return cut, [*more, _tie_words(ties, ties.count)]
        return cut, [*more]
    if not ties:
        return list(outlines), []
    parted = [with_ties(stroke, ties, slot) for stroke in outlines]
    cut = [part for parts in parted for part in parts]
    return cut, _tie_warnings(ties, parted)


def _tie_warnings(ties: Ties, parted: Sequence[Sequence[Stroke]]) -> list[str]:
    """Return how many ties hold the pieces, and which pieces have room for fewer or for none.

    Args:
        ties: as requested.
        parted: the strokes of each outline; it has as many ties as strokes, or is closed.
    """
    held: dict[str, int] = {}
    for parts in parted:
        piece = parts[0].piece
        count = 0 if parts[0].closed else len(parts)
        held[piece] = min(count, held.get(piece, count))
    most = max(held.values(), default=0)
    warnings = [_tie_words(ties, most)] if most else []
    for piece, count in sorted(held.items()):
        if not count:
            warnings.append(said("Piece {piece} has no edge long enough for a tie.", piece=piece))
        elif count < ties.count:
            warnings.append(
                said(
                    "Piece {piece} has room for {count} of the {wanted} ties.",
                    piece=piece,
                    count=count,
                    wanted=ties.count,
                )
            )
    return warnings


def _tie_words(ties: Ties, count: int) -> str:
    return said_of(
        "Ties hold each piece: 1 place of {width:g} mm per outline stays uncut, away from "
        "its corners. Snip them afterwards.",
        "Ties hold each piece: {n} places of {width:g} mm per outline stay uncut, away "
        "from its corners. Snip them afterwards.",
        count,
        width=ties.width,
    )
