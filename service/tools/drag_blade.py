"""A drag blade: it swivels, and its tip trails behind its axis."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, Final

from marshmallow import post_load

from geometry.errors import GeometryError
from geometry.model.cutter import DragBlade, WorkArea
from geometry.model.plan import Stroke
from geometry.model.plausible import OFFSET
from geometry.toolpath import drag
from geometry.toolpath.options import PlanOptions
from geometry.toolpath.reserve import ToolReach, kept_free
from geometry.toolpath.steps import Draft, ToolSteps, change_from_pen
from geometry.toolpath.ties import Ties
from geometry.toolpath.waste import line_up_stroke
from service.schemas.fields import Bool, Const
from service.schemas.plausible_length import PlausibleLength
from service.texts import gettext
from service.texts import gettext_noop as _
from service.tools import blades
from service.tools.kind import BuiltInCutter, ToolKind, ToolSchema


class DragBladeToolSchema(ToolSchema):
    """A blade that swivels and trails behind its axis."""

    kind = Const(DragBlade.kind)
    offset = PlausibleLength(
        OFFSET,
        default_mm=DragBlade().offset,
        metadata={"description": "blade tip behind its axis"},
    )
    machine_compensates = Bool(
        load_default=False,
        metadata={"description": "whether the machine itself makes up for the offset"},
    )

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> DragBlade:  # noqa: ANN401 - marshmallow's own
        offset, compensates = data["offset"], data["machine_compensates"]
        return self.made(DragBlade, offset=offset, machine_compensates=compensates)


class DragBladeSteps(ToolSteps):
    """The axis leads the tip; the blade is brought into line in waste first."""

    def __init__(self, blade: DragBlade) -> None:
        self.blade = blade

    def check(self, options: PlanOptions) -> None:
        """Raise an error for common lines.

        Raises:
            GeometryError: at ``common_line``.
        """
        if options.common_line and (self.blade.offset or self.blade.machine_compensates):
            raise GeometryError(
                "A drag blade cannot cut touching pieces along common lines: at every corner it "
                "swings into, and overcuts, the neighbour. Leave common_line out and give the run "
                "a gap of 1 mm or more, or choose another tool.",
                where=("common_line",),
            )

    def compensate(self, draft: Draft, area: WorkArea) -> None:
        """Let the axis lead the tip, after a short first cut in waste."""
        draft.warnings.extend(drag.warnings(self.blade, draft.strokes))
        if self.blade.offset and not self.blade.machine_compensates:
            self._lead(draft, area)
        change_from_pen(draft)

    def _lead(self, draft: Draft, area: WorkArea) -> None:
        blade = self.blade
        first = next((i for i, each in enumerate(draft.strokes) if each.operation != "mark"), None)
        if first is None:
            return
        taken: Sequence[Stroke] = draft.strokes
        if any(stroke.part == "outline" and not stroke.closed for stroke in taken):
            # Ties leave open strokes, but what they enclose is a piece, no waste.
            taken = [*draft.outlines, *(each for each in taken if each.operation != "cut")]
        line_up = line_up_stroke(taken, area, blade.offset)
        if line_up is None:
            draft.lined_up = False
            draft.warnings.append(
                gettext(
                    "No waste of the load has room for the {offset:.3g} mm that bring the "
                    "blade into line: the first cut may start up to {offset_2:.3g} mm off.",
                    offset=6 * blade.offset,
                    offset_2=2 * blade.offset,
                )
            )
            begun, heading = [], None
        else:
            begun, heading = [line_up], line_up.segments[-1].end_heading
        cut, _ = drag.compensated(blade, draft.strokes[first:], heading)
        draft.strokes = [*draft.strokes[:first], *begun, *cut]


class DragBladeKind(ToolKind[DragBlade]):
    """A drag blade."""

    model = DragBlade
    schema = DragBladeToolSchema
    words = _("drag blade")
    bed_word = _("mat")
    default_gap_mm = 1.0
    default_edge_clearance_mm = 1.0
    # An axis a hair ahead of its tip within margins that are there for it is no news.
    margins_hold_reach = True
    cautions = blades.CAUTIONS
    preparation = _(
        "Hold it flat on a sticky mat. Find the blade's depth in the test cut: it goes through all "
        "that is to be cut, and only scores what lies below."
    )
    #: Published by a supplier of blades.
    remedies = (
        _(
            "Rounded corners: the blade's offset is set too small. Spikes at the corners: it is "
            "set too large."
        ),
    )
    settings = (_("Force"), _("Speed"), _("Passes"))
    built_in = BuiltInCutter(
        "drag-blade-sheet",
        {
            "title": _("Drag blade, sheet on a mat"),
            "tool": {"kind": "drag_blade", "offset": "0.25 mm", "machine_compensates": False},
            "bed": {"width": "12 in", "height": "12 in"},
            "margins": {"left": "1/4 in", "right": "1/4 in", "top": "1/4 in", "bottom": "1/4 in"},
            "speed": 50.0,
            "travel_speed": 150.0,
        },
    )

    def reach(self, tool: DragBlade) -> ToolReach:
        """Return the axis ahead of the tip, whether the file or the machine compensates."""
        return ToolReach(tool.offset, tool.offset)

    def reach_reason(self, tool: DragBlade) -> str:
        """Return how far the axis leads."""
        return gettext("the blade's axis runs {offset:.3g} mm ahead of its tip", offset=tool.offset)

    def rooms_for_line_up(self, tool: DragBlade, room: WorkArea) -> Iterable[WorkArea]:
        """Return rooms with a small rectangle kept free."""
        return kept_free(room, tool)

    def steps(self, tool: DragBlade) -> ToolSteps:
        """Return the blade's compensation."""
        return DragBladeSteps(tool)

    def run_warnings(self, material_kind: str, layers: int, ties: Ties | None) -> list[str]:
        """Return a warning about stacks of soft cloth, and of a material that may be cloth."""
        del ties
        starts = {
            "fabric": gettext("A drag blade"),
            "other": gettext("If this material is cloth that is not stiffened, a drag blade"),
        }
        if material_kind not in starts or layers == 1:
            return []
        warning = gettext(
            "{value} pulls {layers} layers of unstiffened cloth out of place: pieces come out "
            "distorted and uneven. Stiffen the cloth or bond it to a carrier, and cut one "
            "layer at a time; for stacks use a die or a hand cutter.",
            value=starts[material_kind],
            layers=layers,
        )
        return [warning]


KIND: Final = DragBladeKind()
