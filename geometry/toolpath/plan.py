"""The cut plan of a load: combines all steps, with warnings for the operator."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from geometry.model.cutter import Cutter, DragBlade, IndexedBlade, Laser, SteelRuleDie, WorkArea
from geometry.model.outline import Region
from geometry.model.placement import Load
from geometry.model.plan import CutPlan, Stop, Stroke
from geometry.model.points import Point
from geometry.toolpath import drag
from geometry.toolpath.angles import needed_angles
from geometry.toolpath.apart import min_rule_distance
from geometry.toolpath.die import DieReport, die_report
from geometry.toolpath.indexed import (
    EdgeCut,
    angle_order,
    angle_words,
    edge_cuts,
    split_by_angle,
)
from geometry.toolpath.kerf import widened
from geometry.toolpath.lead import with_leads
from geometry.toolpath.notches import drawn
from geometry.toolpath.one_cut import cut_once, require_common_line
from geometry.toolpath.order import last_point, ordered, travel
from geometry.toolpath.reserve import inwards
from geometry.toolpath.route import BEST, Search
from geometry.toolpath.strokes import nominal_strokes
from geometry.toolpath.ties import Ties, wanted_ties, with_ties
from geometry.toolpath.timing import estimated_s
from geometry.toolpath.waste import line_up_stroke

_START = Point(0.0, 0.0)
#: Gaps up to this, mm, equal the kerf.
_SAME_GAP = 1.0e-3
#: Tolerance at the work area's edge, mm.
_ROUNDING = 1.0e-6


@dataclass(frozen=True)
class PlanOptions:
    """The options of a run's tool paths.

    ``ties`` are those of each outline, with a count of 0 for none and ``None`` for the default.
    ``max_mismatch_deg`` limits the angle between a hand-set blade and an edge; ``None`` for the
    smallest that the blade's positions guarantee. ``search`` is the effort for short travel.
    ``loading`` is the operator's instruction for loading the material.
    """

    common_line: bool = False
    ties: Ties | None = None
    material: str = ""
    material_kind: str = ""
    loading: str = ""
    max_mismatch_deg: float | None = None
    search: Search = BEST


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


@dataclass
class _Made:
    """An unfinished plan."""

    strokes: list[Stroke]
    stops: list[Stop]
    warnings: list[str]
    held: bool = False
    exit_angle: float | None = None
    edges: tuple[EdgeCut, ...] = ()
    die: DieReport | None = None
    lined_up: bool = True
    outlines: tuple[Stroke, ...] = ()


def make_plan(
    load: Load,
    pieces: Mapping[str, Region],
    cutter: Cutter,
    area: WorkArea,
    *,
    title: str,
    entry_angle_deg: float | None,
    options: PlanOptions,
    reach: WorkArea | None = None,
) -> Planned:
    """Return the plan of one load.

    Args:
        load: the placements.
        pieces: each piece's outline, holes and marks.
        cutter: the machine.
        area: the work area that the plan states.
        title: title for the file's header.
        entry_angle_deg: the current angle of a hand-set blade, ``None`` if unknown.
        options: see :class:`PlanOptions`.
        reach: area for the tool's axis; the work area by default.

    Raises:
        GeometryError: for common lines with a drag blade.
    """
    if options.common_line:
        require_common_line(cutter.tool)
    made = _nominal(load, pieces, cutter, options)
    reach = inwards(area, cutter.bed, cutter.tool) if reach is None else reach
    _suit(made, cutter, reach, entry_angle_deg, options)
    way = travel(made.strokes, _START)
    if made.die is not None:
        notes = (*made.die.nicks, *made.die.bridges)
        made.strokes.extend(drawn(notes, made.outlines))
    plan = CutPlan(
        title=title,
        bed_width=cutter.bed.width,
        bed_height=cutter.bed.height,
        work_area=area,
        strokes=tuple(made.strokes),
        stops=tuple(made.stops),
        tool_kind=cutter.tool.kind,
    )
    return Planned(
        plan,
        tuple(made.warnings),
        way,
        estimated_s(plan, way, cutter),
        made.exit_angle,
        made.edges,
        made.die,
        made.lined_up,
    )


def _suit(
    made: _Made, cutter: Cutter, area: WorkArea, entry: float | None, options: PlanOptions
) -> None:
    """Order the strokes and adapt them to the tool, with its stops and warnings."""
    tool = cutter.tool
    if isinstance(tool, IndexedBlade):
        _indexed(made, tool, entry, options)
    else:
        made.strokes = ordered(made.strokes, _START, search=options.search)
        made.stops = [_load_stop(options, "")]
    if isinstance(tool, Laser):
        made.strokes = with_leads(made.strokes, tool.kerf, area)
        made.warnings.extend(_beyond(made.strokes, area))
    elif isinstance(tool, DragBlade):
        _drag(made, tool, area)
    elif isinstance(tool, SteelRuleDie):
        made.die = die_report(made.strokes, made.outlines, tool.rule)
        made.warnings.extend(made.die.warnings)
    if isinstance(tool, DragBlade | IndexedBlade):
        _change_tool(made)
    if made.held:
        message = "Snip the ties, then lift the pieces out."
        made.stops.append(Stop(len(made.strokes), "snip-ties", message))


def _nominal(
    load: Load, pieces: Mapping[str, Region], cutter: Cutter, options: PlanOptions
) -> _Made:
    """Return the strokes at size: with kerf compensation, common lines once, ties uncut."""
    tool = cutter.tool
    warnings: list[str] = []
    if isinstance(tool, Laser) and _room_for_kerf(load, pieces, tool, options, warnings):
        wide = {piece: widened(pieces[piece], tool.kerf) for piece in dict(load.placed)}
        warnings.extend(f"Piece {piece} {w}." for piece in wide for w in wide[piece][1])
        pieces = {piece: region for piece, (region, _) in wide.items()}
    strokes = nominal_strokes(load, pieces)
    ties = wanted_ties(options.ties, tool, options.material_kind)
    if isinstance(tool, SteelRuleDie):
        # A die's ties are nicks ground into its rule; the rule is continuous.
        ties = None
    outlines = [stroke for stroke in strokes if stroke.part == "outline"]
    others = [stroke for stroke in strokes if stroke.part != "outline"]
    cut, more = _outlines(outlines, tool, ties, options)
    if others and options.common_line:
        more.append("Holes and marks are strokes of their own, before the common lines.")
    closed = tuple(stroke for stroke in strokes if stroke.operation == "cut")
    return _Made([*others, *cut], [], [*warnings, *more], held=bool(ties), outlines=closed)


def _room_for_kerf(
    load: Load,
    pieces: Mapping[str, Region],
    beam: Laser,
    options: PlanOptions,
    warnings: list[str],
) -> bool:
    """Return whether kerf compensation is possible: common lines leave no room for it."""
    if not options.common_line or not beam.kerf:
        return True
    outlines = [each for each in nominal_strokes(load, pieces) if each.part == "outline"]
    apart = min_rule_distance(outlines)
    if apart is None or apart >= beam.kerf - _SAME_GAP:
        return True
    warnings.append(
        f"Pieces lie {apart:.3g} mm apart, nearer than the beam's {beam.kerf:g} mm: they are cut "
        f"on their lines and come out {beam.kerf / 2.0:g} mm short on every side; a gap of "
        f"{beam.kerf:g} mm gives common lines at full size."
    )
    return False


def _outlines(
    outlines: Sequence[Stroke], tool: object, ties: Ties | None, options: PlanOptions
) -> tuple[list[Stroke], list[str]]:
    slot = tool.kerf if isinstance(tool, Laser) else 0.0
    if isinstance(tool, IndexedBlade) and not options.common_line:
        slot = tool.width
    warnings: list[str] = []
    if options.common_line:
        cut, more = cut_once(outlines, ties, slot)
        warnings.extend(more)
    elif ties:
        cut = [part for stroke in outlines for part in with_ties(stroke, ties, slot)]
    else:
        cut = list(outlines)
    if ties and any(not stroke.closed for stroke in cut):
        bridges = "1 bridge" if ties.count == 1 else f"{ties.count} bridges"
        warnings.append(
            f"Ties hold each piece: leave {bridges} of {ties.width:g} mm per outline uncut, away "
            "from its corners, and snip them afterwards."
        )
    if ties and not options.common_line:
        whole = sorted({stroke.piece for stroke in cut if stroke.closed})
        warnings.extend(f"Piece {piece} has no edge long enough for a tie." for piece in whole)
    return cut, warnings


def _load_stop(options: PlanOptions, setting: str) -> Stop:
    # "other" stands for an unstated material.
    material = options.material if options.material not in {"", "other"} else "the material"
    return Stop(0, "load-material", f"{options.loading or f'Load {material}.'}{setting}")


def _indexed(made: _Made, blade: IndexedBlade, entry: float | None, options: PlanOptions) -> None:
    """Cut all pieces at one blade angle before the next."""
    cuts = [stroke for stroke in made.strokes if stroke.operation != "mark"]
    limit = options.max_mismatch_deg
    needed = needed_angles(
        blade,
        [part for stroke in cuts for part in stroke.segments],
        None if limit is None else math.radians(limit),
    )
    blade = replace(blade, positions_deg=needed)
    parts = split_by_angle(blade, made.strokes, shared=options.common_line)
    marks = [part for part in parts if part.angle_deg is None]
    angles = angle_order([part.angle_deg for part in parts if part.angle_deg is not None], entry)
    done = ordered(marks, _START, search=options.search)
    first = f" Set the blade to {angle_words(angles[0])}." if angles else ""
    load = _load_stop(options, first)
    made.stops = [replace(load, station=1, angle_deg=angles[0] if angles else None)]
    for station, angle in enumerate(angles, start=1):
        if station > 1:
            message = f"Stop the machine, then turn the blade to {angle_words(angle)}."
            made.stops.append(Stop(len(done), "turn-blade", message, station, angle))
        at = last_point(done[-1]) if done else _START
        group = [part for part in parts if part.angle_deg == angle]
        done.extend(
            replace(part, station=station) for part in ordered(group, at, search=options.search)
        )
    made.strokes = done
    made.exit_angle = angles[-1] if angles else entry
    made.edges = edge_cuts(blade, done)
    made.warnings.extend(_roughness_warnings(made.edges))


def _roughness_warnings(edges: Sequence[EdgeCut]) -> list[str]:
    """Return a warning for each piece with its largest mismatch."""
    worst: dict[str, EdgeCut] = {}
    for edge in edges:
        if edge.piece not in worst or edge.mismatch_deg > worst[edge.piece].mismatch_deg:
            worst[edge.piece] = edge
    return [
        f"{f'Piece {piece}' if piece else 'Common lines'}: edges up to {edge.mismatch_deg:g} "
        f"degrees off the blade are cut by slanted stabs and come out rough by up to "
        f"{edge.edge_roughness:.2f} mm."
        for piece, edge in sorted(worst.items())
        if edge.mismatch_deg > 0.0
    ]


def _drag(made: _Made, blade: DragBlade, area: WorkArea) -> None:
    """Compensate the drag blade; align it in waste first."""
    made.warnings.extend(drag.warnings(blade, made.strokes))
    if not blade.offset or blade.machine_compensates:
        return
    first = next((i for i, each in enumerate(made.strokes) if each.operation != "mark"), None)
    if first is None:
        return
    line_up = line_up_stroke(made.strokes, area, blade.offset)
    if line_up is None:
        made.lined_up = False
        made.warnings.append(
            f"No waste of the load has room for the {6 * blade.offset:.3g} mm that bring the blade "
            f"into line: the first cut may start up to {2 * blade.offset:.3g} mm off."
        )
        begun, heading = [], None
    else:
        begun, heading = [line_up], line_up.segments[-1].end_heading
    cut, _ = drag.compensated(blade, made.strokes[first:], heading)
    made.strokes = [*made.strokes[:first], *begun, *cut]


def _change_tool(made: _Made) -> None:
    """Add a stop for changing from pen to blade if a load has both."""
    cuts = [i for i, stroke in enumerate(made.strokes) if stroke.operation != "mark"]
    if not cuts or not cuts[0]:
        return
    load = made.stops[0]
    made.stops[0] = replace(load, message=f"{load.message} Fit the pen first.")
    message = "Take the pen out and fit the blade."
    made.stops.insert(1, Stop(cuts[0], "change-tool", message, 1, load.angle_deg))


def _beyond(strokes: Sequence[Stroke], area: WorkArea) -> list[str]:
    """Return a warning if the beam's middle leaves the work area because of its kerf."""
    room, most = area.bounds, 0.0
    for stroke in strokes:
        for part in stroke.segments if stroke.operation == "cut" else ():
            box = part.bounds()
            right = 0.0 if area.open_right else box.right - room.right
            over = (room.left - box.left, room.bottom - box.bottom, right, box.top - room.top)
            most = max(most, *over)
    if most <= _ROUNDING:
        return []
    return [
        (
            "Half the beam's width is added round each piece, so the beam's middle runs up to "
            f"{most:.2f} mm beyond the work area; the pieces themselves lie inside."
        )
    ]
