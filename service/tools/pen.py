"""A pen: it draws, and the operator cuts by hand along its lines."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any, Final

from marshmallow import post_load, validate

from geometry.model.cutter import Cutter, Pen
from geometry.model.plan import CutPlan
from geometry.model.plausible import HAND_SPEED
from geometry.toolpath.reserve import ToolReach
from geometry.toolpath.steps import ToolSteps
from geometry.toolpath.timing import moving_s
from service.schemas.fields import Const, Num
from service.texts import gettext
from service.texts import gettext_noop as _
from service.tools.cloth import CLOTH, CLOTH_PEN
from service.tools.figures import speed_text
from service.tools.kind import BuiltInCutter, ToolAnswer, ToolKind, ToolSchema


class PenToolSchema(ToolSchema):
    """A pen: marks only, cut by hand."""

    kind = Const(Pen.kind)
    hand_speed = Num(
        validate=validate.Range(HAND_SPEED.low, HAND_SPEED.high),
        load_default=Pen().hand_speed,
        metadata={
            "description": "mm/s at which the operator cuts along the lines, handling included",
            "default": 10,
        },
    )

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> Pen:  # noqa: ANN401 - marshmallow's own
        return self.made(Pen, hand_speed=data["hand_speed"])


@dataclass(frozen=True, kw_only=True)
class HandSpeedAnswer(ToolAnswer):
    """What a pen adds to the basis of times."""

    hand_speed_mm_s: Annotated[float | None, "for a pen: speed of cutting its lines by hand"] = None


class PenSteps(ToolSteps):
    """The lines as they are; most of the time is the operator's cutting by hand."""

    def __init__(self, pen: Pen) -> None:
        self.pen = pen

    def seconds(self, plan: CutPlan, travel: float, cutter: Cutter) -> float:
        """Return the time of drawing, and of cutting along what was drawn, s."""
        return moving_s(plan, travel, cutter) + _by_hand_s(self.pen, plan)


def _by_hand_s(pen: Pen, plan: CutPlan) -> float:
    """Return the time of cutting by hand along what was drawn, s."""
    drawn = sum(each.length for each in plan.strokes if each.operation == "cut")
    return drawn / pen.hand_speed


class PenKind(ToolKind[Pen]):
    """A pen."""

    model = Pen
    schema = PenToolSchema
    words = _("pen: it draws; then cut by hand")
    is_cut_by_hand = True
    bed_word = _("bed")
    default_gap_mm = 0.0
    default_edge_clearance_mm = 1.0
    #: Rotary hand cutters: University of Kentucky 4-H guides and teachers' pages on guards.
    cautions = (
        (
            _(
                "Cutting by hand: cut away from the body, free hand out of the path; "
                "close a rotary cutter's guard after each cut and keep it from "
                "children."
            )
        ),
    )
    preparation = _(
        "Hold it flat so that it cannot shift while the pen draws; then cut along the outer lines "
        "with rule and knife or scissors."
    )
    test_words = _("Draw one {piece} on the spare piece.")
    stack_test_words = _("Draw one {piece} on a spare stack of {layers} layers and cut it out.")
    remedies = ()
    built_in = BuiltInCutter(
        "pen-sheet",
        {
            "title": _("Pen on a sheet, cut by hand"),
            "tool": {"kind": "pen"},
            "bed": {"width": "210 mm", "height": "297 mm"},
            "margins": {"left": "10 mm", "right": "10 mm", "top": "10 mm", "bottom": "10 mm"},
            "speed": 80.0,
            "travel_speed": 200.0,
        },
    )
    time_answer = HandSpeedAnswer

    def reach(self, tool: Pen) -> ToolReach:
        """Return none: a pen stays on its lines."""
        del tool
        return ToolReach()

    def steps(self, tool: Pen) -> ToolSteps:
        """Return the lines as they are."""
        return PenSteps(tool)

    def first_steps(self, material_kind: str) -> tuple[str, ...]:
        """Return which pen draws on cloth. Common practice, no source."""
        return (CLOTH_PEN,) if material_kind in CLOTH else ()

    def by_hand_s(self, tool: Pen, plan: CutPlan) -> float:
        """Return the time of cutting along the lines."""
        return _by_hand_s(tool, plan)

    def time_basis(self, tool: Pen) -> ToolAnswer:
        """Return the speed of cutting by hand."""
        return HandSpeedAnswer(hand_speed_mm_s=tool.hand_speed)

    def time_words(self, cutter: Cutter, tool: Pen, units: str) -> str:
        """Return the speeds of hand and pen."""
        return gettext(
            "{cutting} cutting by hand, {drawing} drawing, {seconds} s for each stop",
            cutting=speed_text(tool.hand_speed, units),
            drawing=speed_text(cutter.speed, units),
            seconds=f"{cutter.stop_s:g}",
        )


KIND: Final = PenKind()
