"""A laser: a beam that burns a slot, and what it must not burn."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

import marshmallow as ma
from marshmallow import post_load

from geometry.model.cutter import Laser, WorkArea
from geometry.model.outline import Region
from geometry.model.placement import Load
from geometry.model.plan import Stroke, box_of
from geometry.model.plausible import KERF
from geometry.tolerance import room_for_slot
from geometry.toolpath.apart import min_rule_distance
from geometry.toolpath.kerf import widened, with_holes_at_size
from geometry.toolpath.lead import with_leads
from geometry.toolpath.neighbours import depth_in_neighbours
from geometry.toolpath.options import PlanOptions
from geometry.toolpath.reserve import ToolReach
from geometry.toolpath.steps import Draft, ToolSteps
from geometry.toolpath.strokes import nominal_strokes
from geometry.toolpath.ties import Ties
from service.schemas.errors import unusable
from service.schemas.fields import Const
from service.schemas.plausible_length import PlausibleLength
from service.texts import gettext
from service.texts import gettext_noop as _
from service.tools.cloth import CLOTH
from service.tools.kind import BuiltInCutter, ToolKind, ToolSchema
from service.tools.laser_materials import DOUBTFUL, FIBRE, MATERIALS, NEVER_VINYL, VOUCH

#: Tolerance at the work area's edge, mm.
_ROUNDING = 1.0e-6


class LaserToolSchema(ToolSchema):
    """A beam that burns a slot."""

    kind = Const(Laser.kind)
    kerf = PlausibleLength(KERF, default_mm=Laser().kerf, metadata={"description": "slot's width"})

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> Laser:  # noqa: ANN401 - marshmallow's own
        return self.made(Laser, kerf=data["kerf"])


class LaserSteps(ToolSteps):
    """The path runs half the kerf outside each piece, with a lead in the waste."""

    def __init__(self, beam: Laser) -> None:
        self.kerf = beam.kerf

    def at_size(
        self, load: Load, pieces: Mapping[str, Region], options: PlanOptions
    ) -> tuple[Mapping[str, Region], list[str]]:
        """Return the outlines moved out by half the kerf, where there is room for that."""
        # Edge to edge only holes have room for the slot.
        warnings = self._too_near(load, pieces, options)
        at_size = with_holes_at_size if warnings else widened
        wide = {piece: at_size(pieces[piece], self.kerf) for piece in dict(load.outlines)}
        warnings += [
            gettext("Piece {piece} {what}.", piece=piece, what=w)
            for piece in wide
            for w in wide[piece][1]
        ]
        return {piece: region for piece, (region, _) in wide.items()}, warnings

    def _too_near(
        self, load: Load, pieces: Mapping[str, Region], options: PlanOptions
    ) -> list[str]:
        """Return a warning where common lines leave no room for kerf compensation."""
        if not options.common_line or not self.kerf:
            return []
        outlines = [each for each in nominal_strokes(load, pieces) if each.part == "outline"]
        apart = min_rule_distance(outlines)
        if apart is None or apart >= room_for_slot(self.kerf):
            return []
        warning = gettext(
            "Pieces lie {apart:.3g} mm apart, nearer than the beam's {kerf:g} mm: they are cut "
            "on their lines and come out {half:g} mm short on every side; a gap of {kerf:g} mm "
            "gives common lines at full size.",
            apart=apart,
            kerf=self.kerf,
            half=self.kerf / 2.0,
        )
        return [warning]

    def usual_ties(self, material_kind: str) -> Ties | None:
        """Return two for cloth, which is stretched in a frame."""
        return Ties() if material_kind in CLOTH else None

    def slot(self, options: PlanOptions) -> float:
        """Return the kerf: half of it at each end."""
        del options
        return self.kerf

    def compensate(self, draft: Draft, area: WorkArea) -> None:
        """Start every closed cut in the waste."""
        draft.strokes = with_leads(draft.strokes, self.kerf, area)
        draft.warnings.extend(_beyond(draft.strokes, area))

    def neighbour_warnings(
        self, draft: Draft, load: Load, pieces: Mapping[str, Region], options: PlanOptions
    ) -> list[str]:
        """Return a warning where the gap is narrower than the slot, which takes the difference."""
        # Neighbours share the slot of a common line.
        if options.common_line:
            return []
        depth = depth_in_neighbours(draft.strokes, load, pieces, slot=self.kerf)
        if not depth:
            return []
        warning = gettext(
            "The beam's slot reaches up to {depth:.2f} mm into a neighbouring piece, which "
            "comes out short there: widen the gap by {depth:.2f} mm or more.",
            depth=depth,
        )
        return [warning]


def _beyond(strokes: Sequence[Stroke], area: WorkArea) -> list[str]:
    """Return a warning if the beam's middle leaves the work area because of its kerf."""
    cuts = [stroke for stroke in strokes if stroke.operation == "cut"]
    if not cuts:
        return []
    room, box = area.bounds, box_of(cuts)
    right = 0.0 if area.open_right else box.right - room.right
    most = max(room.left - box.left, room.bottom - box.bottom, right, box.top - room.top)
    if most <= _ROUNDING:
        return []
    return [
        (
            gettext(
                "Half the beam's width is added round each piece, so the beam's middle runs up "
                "to {most:.2f} mm beyond the work area; the pieces themselves lie inside.",
                most=most,
            )
        )
    ]


class LaserKind(ToolKind[Laser]):
    """A laser."""

    model = Laser
    schema = LaserToolSchema
    words = _("laser")
    bed_word = _("bed")
    default_gap_mm = 0.5
    default_edge_clearance_mm = 1.0
    is_beam = True
    #: University of Wisconsin EHS, "Laser cutter safety"; University of the Arts London,
    #: laboratory wiki; University of Texas at Austin, "Prohibited laser cutter materials".
    cautions = (
        (
            _(
                "Never leave a running laser; follow the laser safety officer, if there is one. "
                "Keep an extinguisher at hand and know how to use it. At a flame that stays: "
                "emergency stop, then what the machine's manual and your fire rules say; if it is "
                "not out at once, leave and call for help."
            )
        ),
        (
            _(
                "Never defeat an interlock: the beam inside can injure eye and skin. Exhaust to "
                "the outside; open the lid only with the beam off, nothing glowing and the fumes "
                "drawn off, as the machine's manual says."
            )
        ),
        (
            _(
                "Never cut vinyl (PVC), imitation leather, anything with chlorine, or an unknown "
                "material: the fumes harm lungs and machine."
            )
        ),
        _(
            "Keep the bed and the crumb tray clean: scraps, lint and what falls out of holes "
            "catch fire."
        ),
    )
    #: Common practice, no source: the head strikes what stands up, and a weight that slides is cut
    #: or shines the beam back. Plies under a laser: see the cautions.
    preparation = _(
        "Lay it flat with the air assist on. Hold down what curls at its edges, with the bed's own "
        "clamps or vacuum and clear of the head: never lay loose weights under a laser."
    )
    #: A university laboratory's notes on measuring hole and part.
    remedies = (
        (
            _(
                "All sides off by the same amount: measure the test piece (part) and the opening "
                "that it leaves (hole); kerf = (hole - part) / 2, the width of the beam's cut. Do "
                "not cut the loads with these files: write the kerf down here ______ and have the "
                "files made again with it."
            )
        ),
    )
    settings = (_("Power"), _("Speed"), _("Passes"))
    #: Common practice, no source.
    drawn_lines = _(
        "lines, letters and arrows on the layers mark and score: a power of their own, so low that "
        "they only colour the surface. At cutting power letters fall out. Power __________"
    )
    built_in = BuiltInCutter(
        "laser-bed",
        {
            "title": _("Laser over a bed"),
            "tool": {"kind": "laser", "kerf": "0.2 mm"},
            "bed": {"width": "600 mm", "height": "400 mm"},
            "margins": {"left": "5 mm", "right": "5 mm", "top": "5 mm", "bottom": "5 mm"},
            "speed": 20.0,
            "travel_speed": 300.0,
        },
    )

    def reach(self, tool: Laser) -> ToolReach:
        """Return the beam's middle, half the kerf outside, and the slot."""
        return ToolReach(tool.kerf / 2.0, tool.kerf, grows_at_corners=True)

    def reach_reason(self, tool: Laser) -> str:
        """Return where the beam's middle runs."""
        return gettext(
            "the beam's middle runs {kerf:.3g} mm outside them, farther at sharp corners, and "
            "keeps to the margins",
            kerf=tool.kerf / 2.0,
        )

    def usual_gap_mm(self, tool: Laser) -> float:
        """Return a gap in which the slot stays clear of neighbours, at corners of 30 degrees too.

        There it reaches 2.43 kerfs beyond the corner: see :mod:`geometry.toolpath.neighbours`.
        """
        return max(self.default_gap_mm, 2.5 * tool.kerf)

    def common_line_gap_mm(self, tool: Laser) -> float:
        """Return the beam's width: neighbours share its slot."""
        return tool.kerf

    def material_error(self, material_kind: str) -> ma.ValidationError | None:
        """Return the error of a material that nobody has said a laser may cut.

        Fumes can harm lungs and machine.
        """
        if material_kind not in DOUBTFUL:
            return None
        if material_kind == "vinyl":
            detail = (
                "Vinyl (PVC) under a laser gives off hydrogen chloride, which harms lungs and "
                f"machine: cut it with a blade. {VOUCH}"
            )
        else:
            detail = (
                "A laser cuts only a material that is known: state the material's kind (paper, "
                f"card, coated_paper, fabric or stiffened_fabric). {VOUCH}"
            )
        return unusable(detail, "material", "kind", slug="material-not-for-laser")

    def steps(self, tool: Laser) -> ToolSteps:
        """Return kerf compensation and leads."""
        return LaserSteps(tool)

    def dangers(self, material_kind: str) -> tuple[str, ...]:
        """Return the danger of poisoning, for what only the caller says a laser may cut."""
        doubtful = material_kind in DOUBTFUL or material_kind not in MATERIALS
        return MATERIALS.get(material_kind, MATERIALS["other"]) if doubtful else ()

    def material_cautions(self, material_kind: str) -> tuple[str, ...]:
        """Return what a beam does to a known material."""
        return () if self.dangers(material_kind) else MATERIALS[material_kind]

    def must_read_first(self, material_kind: str) -> str | None:
        """Return the warning in place of preparing vinyl."""
        return NEVER_VINYL if material_kind == "vinyl" else None

    def first_steps(self, material_kind: str) -> tuple[str, ...]:
        """Return the line for the fibre of cloth."""
        return (FIBRE,) if material_kind in CLOTH else ()

    def run_warnings(self, material_kind: str, layers: int, ties: Ties | None) -> list[str]:
        """Return a warning about stacks. Common practice, no source."""
        del material_kind, ties
        if layers == 1:
            return []
        warning = gettext(
            "A stack of {layers} layers under a laser can smoulder between the layers and stick "
            "together at its edges, and comes out browned, most of all below. Cut a stack only "
            "where the machine's manual and your workplace allow it, after a test through "
            "{layers} layers; otherwise cut one layer at a time.",
            layers=layers,
        )
        return [warning]


KIND: Final = LaserKind()
