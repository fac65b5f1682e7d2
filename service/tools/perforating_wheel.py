"""A perforating wheel: it rolls along the lines, and pieces are torn out."""

from __future__ import annotations

from typing import Any, Final

from marshmallow import post_load

from geometry.model.cutter import PerforatingWheel, WorkArea
from geometry.model.plausible import STEP
from geometry.toolpath.reserve import ToolReach
from geometry.toolpath.steps import Draft, ToolSteps
from service.schemas.fields import Const, Length
from service.texts import gettext_noop as _
from service.tools.kind import BuiltInCutter, ToolKind, ToolSchema


class PerforatingWheelToolSchema(ToolSchema):
    """A toothed wheel: pieces are torn out along its holes."""

    kind = Const(PerforatingWheel.kind)
    step = Length(
        default_mm=PerforatingWheel().step,
        metadata={"description": f"from hole to hole, {STEP.words}"},
    )

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> PerforatingWheel:  # noqa: ANN401
        return self.made(PerforatingWheel, step=data["step"])


class PerforatingWheelSteps(ToolSteps):
    """The lines as they are, with a warning about edges shorter than the wheel's step."""

    def __init__(self, wheel: PerforatingWheel) -> None:
        self.wheel = wheel

    def compensate(self, draft: Draft, area: WorkArea) -> None:
        """Warn about edges that may get no hole."""
        del area
        short = {
            stroke.piece
            for stroke in draft.strokes
            if any(part.length < self.wheel.step for part in stroke.segments)
        }
        draft.warnings.extend(
            f"Piece {piece} has edges shorter than the {self.wheel.step:g} mm between two holes."
            for piece in sorted(short)
        )


class PerforatingWheelKind(ToolKind[PerforatingWheel]):
    """A perforating wheel."""

    model = PerforatingWheel
    schema = PerforatingWheelToolSchema
    words = _("perforating wheel")
    bed_word = _("mat")
    default_gap_mm = 2.0
    default_edge_clearance_mm = 2.0
    path_cost = 1.0
    cautions = (_("Keep fingers away from the wheel's teeth; carry it with its guard on."),)
    preparation = _("Lay it on a soft mat; set the pressure so that every tooth comes through.")
    remedies = (_("Pieces tear beside the line: more pressure, or a smaller step between holes."),)
    built_in = BuiltInCutter(
        "perforating-wheel-mat",
        {
            "title": "Perforating wheel over a mat",
            "tool": {"kind": "perforating_wheel", "step": "1.5 mm"},
            "bed": {"width": "300 mm", "height": "300 mm"},
            "margins": {"left": "5 mm", "right": "5 mm", "top": "5 mm", "bottom": "5 mm"},
        },
    )

    def reach(self, tool: PerforatingWheel) -> ToolReach:
        """Return half a step: the last hole may lie past a corner."""
        return ToolReach(0.0, tool.step / 2.0)

    def reach_reason(self, tool: PerforatingWheel) -> str:
        """Return where the last hole may lie."""
        return f"the last hole may lie {tool.step / 2.0:.3g} mm past their corners"

    def steps(self, tool: PerforatingWheel) -> ToolSteps:
        """Return the lines as they are."""
        return PerforatingWheelSteps(tool)


KIND: Final = PerforatingWheelKind()
