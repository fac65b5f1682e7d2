"""A straight blade that the operator sets by hand to one of several angles."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Annotated, Any, Final

from marshmallow import post_load, validate

from geometry.layout import Layout
from geometry.model.cutter import IndexedBlade, WorkArea
from geometry.model.outline import Region
from geometry.model.placement import Load
from geometry.model.plan import Stop
from geometry.model.plausible import BLADE_WIDTH, STEP
from geometry.toolpath.angles import needed_angles
from geometry.toolpath.indexed import angle_order, angle_words, edge_cuts, split_by_angle
from geometry.toolpath.neighbours import depth_in_neighbours
from geometry.toolpath.options import PlanOptions
from geometry.toolpath.order import last_point, ordered
from geometry.toolpath.plan import Planned
from geometry.toolpath.reserve import ToolReach
from geometry.toolpath.steps import START, Draft, ToolSteps, change_from_pen, load_stop
from geometry.toolpath.ties import Ties
from service.schemas.errors import unusable
from service.schemas.fields import Const, Num
from service.schemas.plausible_length import PlausibleLength
from service.schemas.validation import List
from service.texts import gettext
from service.texts import gettext_noop as _
from service.tools import blades
from service.tools.blade_turns import laid_out_by_turns
from service.tools.edge_roughness import roughness_warnings
from service.tools.kind import BuiltInCutter, ToolAnswer, ToolKind, ToolSchema
from service.tools.layouts import LayoutRequest


class IndexedBladeToolSchema(ToolSchema):
    """A straight blade that is set by hand to one of several angles."""

    kind = Const(IndexedBlade.kind)
    positions_deg = List(
        Num(validate=validate.Range(-360, 360)),
        validate=validate.Length(1, 24),
        load_default=list(IndexedBlade().positions_deg),
        metadata={"description": "counter-clockwise from the bed's x axis"},
    )
    blade_width = PlausibleLength(BLADE_WIDTH, default_mm=IndexedBlade().width)
    step = PlausibleLength(
        STEP,
        default_mm=IndexedBlade().step,
        metadata={"description": "from stab to stab, less than the blade's width"},
    )

    @post_load(pass_original=True)
    def _made(
        self,
        data: dict[str, Any],
        stated: dict[str, Any],
        **_: Any,  # noqa: ANN401 - a keyword
    ) -> IndexedBlade:
        # A straight blade looks the same after half a turn.
        angles = sorted(angle % 180.0 for angle in data["positions_deg"])
        if len(set(angles)) != len(angles):
            detail = (
                "Two of these angles set the blade the same way (a blade repeats after 180 "
                "degrees); list each position once."
            )
            raise unusable(detail, "positions_deg")
        width, step = data["blade_width"], data["step"]
        blade = self.made(IndexedBlade, positions_deg=tuple(angles), width=width, step=step)
        if step >= width:
            detail = (
                f"The step between stabs must be less than the blade's width ({width:g} mm), or "
                f"uncut threads remain; it is {step:g} mm."
            )
            raise unusable(detail, "step" if "step" in stated else "blade_width")
        return blade


@dataclass(frozen=True, kw_only=True)
class BladeEdgeAnswer:
    """The cut of a hand-set blade along one kind of edge."""

    piece: Annotated[str, "empty for common lines"]
    direction_deg: Annotated[float, "of the edge on the bed"]
    angle_deg: Annotated[float, "of the blade"]
    mismatch_deg: Annotated[float, "between the two"]
    edge_roughness_mm: Annotated[
        float, "deviation of slits from the edge on either side: width / 2 x sin(mismatch)"
    ]


@dataclass(frozen=True, kw_only=True)
class BladeEdgesAnswer(ToolAnswer):
    """What a hand-set blade adds to a load."""

    edges: Annotated[Sequence[BladeEdgeAnswer] | None, "for a hand-set blade"] = None


class IndexedBladeSteps(ToolSteps):
    """All pieces are cut at one blade angle before the next."""

    def __init__(self, blade: IndexedBlade) -> None:
        self.blade = blade

    def usual_ties(self, material_kind: str) -> Ties | None:
        """Return two: the blade comes back to each piece."""
        del material_kind
        return Ties()

    def slot(self, options: PlanOptions) -> float:
        """Return the blade's width: half of it beyond each end, unless lines are common."""
        return 0.0 if options.common_line else self.blade.width

    def arrange(self, draft: Draft, entry_angle_deg: float | None, options: PlanOptions) -> None:
        """Cut angle by angle, with a stop before each but the first."""
        cuts = [stroke for stroke in draft.strokes if stroke.operation != "mark"]
        limit = options.max_mismatch_deg
        needed = needed_angles(
            self.blade,
            [part for stroke in cuts for part in stroke.segments],
            None if limit is None else math.radians(limit),
        )
        blade = replace(self.blade, positions_deg=needed)
        parts = split_by_angle(blade, draft.strokes, shared=options.common_line)
        marks = [part for part in parts if part.angle_deg is None]
        angles = angle_order(
            [part.angle_deg for part in parts if part.angle_deg is not None], entry_angle_deg
        )
        done = ordered(marks, START, search=options.search)
        # Where a pen draws first, the blade is set when it is fitted.
        first = angles[0] if angles and not marks else None
        setting = "" if first is None else f" Set the blade to {angle_words(first)}."
        draft.stops = [replace(load_stop(options, setting), station=1, angle_deg=first)]
        for station, angle in enumerate(angles, start=1):
            if station > 1:
                message = f"Stop the machine, then turn the blade to {angle_words(angle)}."
                draft.stops.append(Stop(len(done), "turn-blade", message, station, angle))
            at = last_point(done[-1]) if done else START
            group = [part for part in parts if part.angle_deg == angle]
            done.extend(
                replace(part, station=station) for part in ordered(group, at, search=options.search)
            )
        draft.strokes = done
        draft.exit_angle_deg = angles[-1] if angles else entry_angle_deg
        draft.edges = edge_cuts(blade, done)

    def compensate(self, draft: Draft, area: WorkArea) -> None:
        """Say how rough edges come out; a hand-set blade needs no compensation."""
        del area
        draft.warnings.extend(roughness_warnings(draft.edges))
        change_from_pen(draft)

    def neighbour_warnings(
        self, draft: Draft, load: Load, pieces: Mapping[str, Region], options: PlanOptions
    ) -> list[str]:
        """Return a warning where the stabs past a corner reach into the next piece."""
        if options.common_line:
            return []
        depth = depth_in_neighbours(draft.strokes, load, pieces, beyond=self.blade.width / 2.0)
        if not depth:
            return []
        warning = gettext(
            "The blade stabs past corners, up to {depth:.2f} mm into a neighbouring piece: a "
            "gap of {width:.3g} mm keeps every piece whole.",
            depth=depth,
            width=self.blade.width / 2.0,
        )
        return [warning]


class IndexedBladeKind(ToolKind[IndexedBlade]):
    """A blade set by hand."""

    model = IndexedBlade
    schema = IndexedBladeToolSchema
    words = _("blade set by hand")
    bed_word = _("hoop")
    loading_words = _("Hoop {what}.")
    default_gap_mm = 2.0
    default_edge_clearance_mm = 2.0
    has_angles = True
    cautions = (
        _("Turn the blade only at a stop or pause, with the head raised and still."),
        *blades.CAUTIONS,
    )
    #: Which way round a frame lies: common practice, no source.
    preparation = _(
        "Clamp it so that it cannot shift between two blade angles. The lower left corner of the "
        "pictures is the machine's zero corner, which its manual shows: mark it on frame and cloth."
    )
    remedies = (
        (
            _(
                "Cuts do not meet at the corners: the cloth moved between two angles, or the "
                "blade is not seated at its mark."
            )
        ),
    )
    settings = (_("Depth"), _("Speed"))
    grips_edges = True
    built_in = BuiltInCutter(
        "indexed-blade-hoop",
        {
            "title": _("Blade set by hand to four angles, in a hoop"),
            "tool": {
                "kind": "indexed_blade",
                "positions_deg": [0.0, 45.0, 90.0, 135.0],
                "blade_width": "0.8 mm",
                "step": "0.3 mm",
            },
            "bed": {"width": "260 mm", "height": "160 mm"},
            "margins": {"left": "10 mm", "right": "10 mm", "top": "10 mm", "bottom": "30 mm"},
            "speed": 10.0,
            "travel_speed": 100.0,
            "stop_s": 30.0,
        },
    )
    load_answer = BladeEdgesAnswer

    def usual_gap_mm(self, tool: IndexedBlade) -> float:
        """Return a gap that half the blade, which stabs past corners, does not cross."""
        return max(self.default_gap_mm, tool.width / 2.0)

    def reach(self, tool: IndexedBlade) -> ToolReach:
        """Return half the blade, which stabs past corners."""
        return ToolReach(0.0, tool.width / 2.0)

    def reach_reason(self, tool: IndexedBlade) -> str:
        """Return how far the blade stabs past corners."""
        return gettext(
            "the blade stabs up to {width:.3g} mm past their corners", width=tool.width / 2.0
        )

    def lay_out(self, tool: IndexedBlade, wanted: LayoutRequest) -> Layout:
        """Lay out at the turns that suit the blade best.

        Raises:
            DoesNotFit: when a piece is too large.
            GeometryError: when no turn keeps to the stated maximum mismatch.
        """
        return laid_out_by_turns(tool, wanted)

    def steps(self, tool: IndexedBlade) -> ToolSteps:
        """Return the cuts angle by angle."""
        return IndexedBladeSteps(tool)

    def answer(self, planned: Planned) -> ToolAnswer:
        """Return each kind of edge with the blade's angle along it."""
        rows = [
            BladeEdgeAnswer(
                piece=edge.piece,
                direction_deg=edge.direction_deg,
                angle_deg=edge.angle_deg,
                mismatch_deg=edge.mismatch_deg,
                edge_roughness_mm=edge.edge_roughness,
            )
            for edge in planned.edges
        ]
        return BladeEdgesAnswer(edges=rows or None)


KIND: Final = IndexedBladeKind()
