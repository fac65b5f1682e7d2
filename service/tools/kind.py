"""What the service has to know of one kind of tool."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, ClassVar, Generic, TypeVar

import marshmallow as ma

from geometry.errors import GeometryError
from geometry.layout import Layout
from geometry.model.cutter import Cutter, Tool, WorkArea
from geometry.model.plan import NOTES, CutPlan
from geometry.toolpath.plan import Planned
from geometry.toolpath.reserve import ToolReach
from geometry.toolpath.steps import ToolSteps
from geometry.toolpath.ties import Ties
from service.schemas.errors import of_geometry
from service.schemas.fields import Strict
from service.texts import gettext
from service.texts import gettext_noop as _
from service.tools.figures import long_length, speed_text, time_text
from service.tools.layouts import LayoutRequest, lay_out
from service.tools.stop_words import stop_words

T = TypeVar("T", bound=Tool)


class ToolSchema(Strict):
    """The members of a tool in a request."""

    def made(self, model: type[T], **members: Any) -> T:  # noqa: ANN401 - the model's own members
        """Return a tool; numbers that no such tool has are errors of their members."""
        try:
            return model(**members)
        except GeometryError as error:
            raise of_geometry(error) from None


@dataclass(frozen=True, kw_only=True)
class ToolAnswer:
    """The members that a tool adds to an answer: none."""


@dataclass(frozen=True)
class BuiltInCutter:
    """The cutter that comes with a kind of tool: its name and its JSON."""

    name: str
    document: Mapping[str, Any]


class ToolKind(ABC, Generic[T]):
    """One kind of tool: a module of this package states everything that it is.

    An attribute without a value has to be stated; the other attributes and the methods are those
    of a pen, and are stated where a tool differs.
    """

    #: The tool in geometry, whose ``kind`` is its name in requests, and the schema that loads it.
    model: type[T]
    schema: ClassVar[type[ToolSchema]]
    #: What the tool and its bed are called at the bench.
    words: ClassVar[str]
    bed_word: ClassVar[str]
    #: Gap between pieces when a run states none, mm. Common practice, no source, unless stated.
    default_gap_mm: ClassVar[float]
    #: From a sheet's edge to the pieces where the request states nothing, mm: about as much as
    #: between pieces, so that a sheet laid by hand still holds them. Common practice, no source.
    default_edge_clearance_mm: ClassVar[float]
    #: Texts of the run sheet: what can hurt, how to hold the material, how a test is cut and
    #: measured, what is set at the machine, checks for a wrong cut.
    cautions: ClassVar[tuple[str, ...]]
    test_words: ClassVar[str] = _("Cut one {piece} from the spare piece.")
    stack_test_words: ClassVar[str] = _("Cut one {piece} through a spare stack of {layers} layers.")
    #: Whether a test needs a file of its own: not where nothing is sent to a machine.
    is_tested_by_file: ClassVar[bool] = True
    settings: ClassVar[tuple[str, ...]] = ()
    #: What to set for lines that are not cut, where the same tool draws them; empty elsewhere.
    drawn_lines: ClassVar[str] = ""
    preparation: ClassVar[str]
    remedies: ClassVar[tuple[str, ...]]
    built_in: ClassVar[BuiltInCutter]

    #: Whether the margins are meant to hold what the tool reaches beyond the pieces.
    margins_hold_reach: ClassVar[bool] = False
    #: Whether a blade is set to angles, so that a run may limit their mismatch.
    has_angles: ClassVar[bool] = False
    #: Whether the bed holds the material by its edges, so that it must be larger than the opening.
    grips_edges: ClassVar[bool] = False
    #: Whether a load is made once and pressed as often as it repeats.
    is_pressed: ClassVar[bool] = False
    #: Whether a person cuts along what the tool drew.
    is_cut_by_hand: ClassVar[bool] = False
    #: Whether the head is a beam's: files for another head get a warning.
    is_beam: ClassVar[bool] = False
    #: The members that the tool adds to the answer of a load, and to the basis of its times.
    load_answer: ClassVar[type[ToolAnswer]] = ToolAnswer
    time_answer: ClassVar[type[ToolAnswer]] = ToolAnswer
    #: What the operator does with the material before the first cut.
    loading_words: ClassVar[str] = _("Load {what}.")
    #: Words of the picture of a load's plan: its title, and the line in its legend.
    picture_words: ClassVar[str] = _("tool path")
    line_words: ClassVar[str] = _("tool down")

    # Limits and layout

    @abstractmethod
    def reach(self, tool: T) -> ToolReach:
        """Return how far the tool reaches outside the pieces."""

    def reach_reason(self, tool: T) -> str:
        """Return why pieces stay inside the work area, to follow "because"."""
        return gettext("the tool reaches {cut:.3g} mm beyond them", cut=self.reach(tool).cut)

    def usual_gap_mm(self, tool: T) -> float:
        """Return the gap between pieces of a run that states none, mm."""
        del tool
        return self.default_gap_mm

    def min_gap_mm(self, tool: T) -> float:
        """Return the smallest gap between pieces that the tool can cut, mm."""
        del tool
        return 0.0

    def min_gap_reason(self, tool: T) -> str:
        """Return the reason for the smallest gap; empty if any gap can be cut."""
        del tool
        return ""

    def gap_words(self, tool: T, gap: float, written: Callable[[float], str]) -> str:
        """Return what the run sheet says about a gap, mm, which ``written`` puts in its units."""
        del tool
        return gettext("{length} between pieces", length=written(gap))

    def common_line_gap_mm(self, tool: T) -> float:
        """Return the gap at which the edges of neighbours are one line."""
        del tool
        return 0.0

    def material_error(self, material_kind: str) -> ma.ValidationError | None:
        """Return the error of a material unless its data sheet is stated to allow the tool."""
        del material_kind
        return None

    def lay_out(self, tool: T, wanted: LayoutRequest) -> Layout:
        """Return the loads of a run.

        Raises:
            DoesNotFit: when a piece is too large.
        """
        del tool
        return lay_out(wanted)

    def rooms_for_line_up(self, tool: T, room: WorkArea) -> Iterable[WorkArea]:
        """Return rooms that leave space for a first cut, if a load's waste has none."""
        del tool, room
        return ()

    # Tool path

    def steps(self, tool: T) -> ToolSteps:
        """Return the tool's steps from outlines to a cut plan."""
        del tool
        return ToolSteps()

    # Answer, run sheet and pictures

    def answer(self, planned: Planned) -> ToolAnswer:
        """Return the members for a load, a ``load_answer``."""
        del planned
        return ToolAnswer()

    def by_hand_s(self, tool: T, plan: CutPlan) -> float:
        """Return the part of a load's time in which the operator cuts by hand, s."""
        del tool, plan
        return 0.0

    def time_basis(self, tool: T) -> ToolAnswer:
        """Return the members for the basis of times, a ``time_answer``."""
        del tool
        return ToolAnswer()

    def time_words(self, cutter: Cutter, tool: T, units: str) -> str:
        """Return what times are calculated from."""
        del tool
        return gettext(
            "{cutting} cutting, {travel} between cuts, {seconds} s for each stop",
            cutting=speed_text(cutter.speed, units),
            travel=speed_text(cutter.travel_speed, units),
            seconds=f"{cutter.stop_s:g}",
        )

    def run_warnings(self, material_kind: str, layers: int, ties: Ties | None) -> list[str]:
        """Return warnings about what a run asks of the tool."""
        del material_kind, layers, ties
        return []

    def dangers(self, material_kind: str) -> tuple[str, ...]:
        """Return the cautions for a material that come before all others."""
        del material_kind
        return ()

    def material_cautions(self, material_kind: str) -> tuple[str, ...]:
        """Return the tool's other cautions for a material."""
        del material_kind
        return ()

    def must_read_first(self, material_kind: str) -> str | None:
        """Return what stands in place of a material's preparation where it may be dangerous."""
        del material_kind
        return None

    def first_steps(self, material_kind: str) -> tuple[str, ...]:
        """Return what comes before a material is prepared for the tool."""
        del material_kind
        return ()

    def drawn_width_mm(self, tool: T) -> float | None:
        """Return the width of the lines of a plan that is a drawing to scale; it has no travel."""
        del tool
        return None

    def picture_lines(self, planned: Planned, units: str) -> list[str]:
        """Return the text below the picture of a load's plan."""
        plan = planned.plan
        strokes = sum(stroke.part not in NOTES for stroke in plan.strokes)
        figures = gettext(
            "{strokes} strokes, cut {cut}, travel {travel}, about {time}, accelerations ignored",
            strokes=strokes,
            cut=long_length(plan.cut_length, units),
            travel=long_length(planned.travel, units),
            time=time_text(planned.estimated_s),
        )
        stops = (
            gettext("Stop {number}: {what}", number=at, what=stop_words(stop))
            for at, stop in enumerate(plan.stops, 1)
        )
        return [figures, *stops]
