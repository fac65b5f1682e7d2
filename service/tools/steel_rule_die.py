"""A steel rule die: bent rule in a board, pressed through the material."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated, Any, Final

from marshmallow import post_load

from geometry.layout import Layout
from geometry.layout.dies.dies import lay_out_dies
from geometry.model.cutter import Cutter, SteelRuleDie, WorkArea
from geometry.model.plan import CutPlan, Stroke
from geometry.model.plausible import RULE
from geometry.toolpath.die import MIN_APART, DieReport, die_report, force_words
from geometry.toolpath.notches import BRIDGE, NICK_WIDTH, Notch, drawn
from geometry.toolpath.options import PlanOptions
from geometry.toolpath.plan import Planned
from geometry.toolpath.reserve import ToolReach
from geometry.toolpath.steps import Draft, ToolSteps
from geometry.toolpath.ties import Ties
from geometry.toolpath.timing import stops_s
from service.schemas.answers import Mm, Points
from service.schemas.fields import Const
from service.schemas.plausible_length import PlausibleLength
from service.texts import gettext
from service.texts import gettext_noop as _
from service.tools.figures import long_length
from service.tools.kind import BuiltInCutter, ToolAnswer, ToolKind, ToolSchema
from service.tools.layouts import LayoutRequest


class SteelRuleDieToolSchema(ToolSchema):
    """A bent steel rule in a board."""

    kind = Const(SteelRuleDie.kind)
    rule = PlausibleLength(
        RULE,
        default_mm=SteelRuleDie().rule,
        metadata={"description": "thickness of the rule"},
    )

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> SteelRuleDie:  # noqa: ANN401
        return self.made(SteelRuleDie, rule=data["rule"])


@dataclass(frozen=True, kw_only=True)
class DieAnswer:
    """Data of a steel-rule die for its maker and the owner of the press."""

    rule_mm: Annotated[float, "thickness of the rule"]
    rule_length_mm: Mm
    effective_rule_length_mm: Annotated[
        float, "length for the force: small holes and close rules count more"
    ]
    force_lbf: Annotated[float, "of the press, including ejection"]
    force_kn: float
    min_rule_distance_mm: Annotated[
        float | None,
        "clear width between the faces of rules that do not touch, a rule's thickness less than "
        "between cut lines; null above one inch",
    ]
    required_rule_distance_mm: Annotated[
        float, "minimum clear width between rules, for ejection rubber"
    ]
    dimension: Annotated[str, "which dimension the paths show"]
    inside_offset_mm: Annotated[
        float, "difference of the inside dimension, the clear width between rules"
    ]
    outside_offset_mm: Annotated[
        float, "difference of the outside dimension, measured over the rules"
    ]
    side: Annotated[str, "side from which the die is drawn"]
    nick_width_mm: Mm
    nicks: Annotated[Points, "their middles, in the cutting edge"]
    bridge_width_mm: Mm
    bridges: Annotated[Points, "their middles, in the back"]


@dataclass(frozen=True, kw_only=True)
class DieLoadAnswer(ToolAnswer):
    """What a steel rule die adds to a load."""

    die: DieAnswer | None = None


class SteelRuleDieSteps(ToolSteps):
    """Rules along all lines, with proposals for nicks and bridges; nothing moves along them."""

    def __init__(self, die: SteelRuleDie) -> None:
        self.rule = die.rule

    def ties(self, options: PlanOptions) -> Ties | None:
        """Return none: a die's ties are nicks ground into its rule; the rule is continuous."""
        del options
        return None

    def compensate(self, draft: Draft, area: WorkArea) -> None:
        """Measure the die; a rule stands on its line."""
        del area
        draft.die = die_report(draft.strokes, draft.outlines, self.rule)
        draft.warnings.extend(draft.die.warnings)

    def notes(self, draft: Draft) -> list[Stroke]:
        """Return nicks and bridges as lines."""
        if draft.die is None:
            return []
        return list(drawn((*draft.die.nicks, *draft.die.bridges), draft.outlines))

    def seconds(self, plan: CutPlan, travel: float, cutter: Cutter) -> float:
        """Return the time of one press, s: it closes on all rules at once."""
        del travel
        return stops_s(plan, cutter)


def _die_answer(die: DieReport) -> DieAnswer:
    return DieAnswer(
        rule_mm=die.rule,
        rule_length_mm=die.rule_length,
        effective_rule_length_mm=die.effective_rule_length,
        force_lbf=die.force_lbf,
        force_kn=die.force_kn,
        min_rule_distance_mm=die.min_rule_distance,
        required_rule_distance_mm=MIN_APART,
        dimension="centre line of the cutting edge",
        inside_offset_mm=die.rule,
        outside_offset_mm=die.rule,
        side="cutting side",
        nick_width_mm=NICK_WIDTH,
        nicks=[_place(notch) for notch in die.nicks],
        bridge_width_mm=BRIDGE,
        bridges=[_place(notch) for notch in die.bridges],
    )


def _place(notch: Notch) -> list[float]:
    return [notch.at.x, notch.at.y]


class SteelRuleDieKind(ToolKind[SteelRuleDie]):
    """A steel rule die."""

    model = SteelRuleDie
    schema = SteelRuleDieToolSchema
    words = _("steel rule die")
    bed_word = _("board")
    #: Clear width between rules: 3/32 in leaves room for ejection rubber (die makers' public
    #: notes). Half of each rule stands in the gap between two pieces: see ``min_gap_mm``.
    default_gap_mm = MIN_APART
    default_edge_clearance_mm = 2.0
    is_pressed = True
    #: OSHA interpretation of 13 June 1978 on platen presses; 29 CFR 1910.217(d)(1).
    cautions = (
        (
            _(
                "Keep fingers out of the press while it can close; use its guard and "
                "two-hand trip, and hand tools to free stuck work."
            )
        ),
        _(
            "The rule's edge is a razor: carry a die by its board and store it edge "
            "down or covered."
        ),
    )
    #: Laying cloth and the press's pad on a die with its edges up: common practice, no source.
    preparation = _(
        "Lay the die down with its edges up and the ejection foam in place, as the press's manual "
        "says. Hold the cloth by its edges and lower it on the die, over every rule and past the "
        "outer ones on all sides: no hand between cloth and rules. On it lay the cutting pad that "
        "the press's manual names: bare metal never meets the rules."
    )
    remedies = (
        (
            _(
                "All sides off by the same amount: ask the die's maker whether the "
                "inside, the outside or the middle of the rule was used."
            )
        ),
    )
    settings = (_("Pressure (with its unit)"), _("Our press is rated for"))
    test_words = _(
        "Press the spare piece and take one {piece} of it. This press is extra: do not count it, "
        "and keep its pieces apart."
    )
    stack_test_words = _(
        "Press a spare stack of {layers} layers and take one {piece} of it. This press is extra: "
        "do not count it, and keep its pieces apart."
    )
    is_tested_by_file = False
    built_in = BuiltInCutter(
        "die-board",
        {
            "title": _("Steel rule in a die board"),
            "tool": {"kind": "steel_rule_die", "rule": "0.71 mm"},
            "bed": {"width": "300 mm", "height": "300 mm"},
            "margins": {"left": "15 mm", "right": "15 mm", "top": "15 mm", "bottom": "15 mm"},
        },
    )
    load_answer = DieLoadAnswer
    picture_words = _("die")
    line_words = _("rule, from the cutting side")

    def reach(self, tool: SteelRuleDie) -> ToolReach:
        """Return half the rule, which stands on its line."""
        return ToolReach(0.0, tool.rule / 2.0, grows_at_corners=True)

    def reach_reason(self, tool: SteelRuleDie) -> str:
        """Return how far the rule stands outside."""
        return gettext("half the rule, {rule:.3g} mm, stands outside them", rule=tool.rule / 2.0)

    def usual_gap_mm(self, tool: SteelRuleDie) -> float:
        """Return the least gap: a die maker leaves no more room than the rubber needs."""
        return self.min_gap_mm(tool)

    def min_gap_mm(self, tool: SteelRuleDie) -> float:
        """Return the room for rubber and half of each rule beside it, between cut lines, mm."""
        return MIN_APART + tool.rule

    def min_gap_reason(self, tool: SteelRuleDie) -> str:
        """Return the two parts of the least gap."""
        return gettext(
            "ejection rubber needs {min_apart:.2f} mm clear between two rules, and half of "
            "each rule, together {rule:g} mm, stands in the gap",
            min_apart=MIN_APART,
            rule=tool.rule,
        )

    def gap_words(self, tool: SteelRuleDie, gap: float, written: Callable[[float], str]) -> str:
        """Return the gap from cutting edge to cutting edge, and what is clear between rules."""
        if gap < tool.rule:  # common lines: one rule for both pieces
            return gettext("{length} between pieces", length=written(gap))
        edges, clear = (written(round(each, 2)) for each in (gap, gap - tool.rule))
        return gettext(
            "{edges} between pieces (cutting edges); {clear} clear between the rules",
            edges=edges,
            clear=clear,
        )

    def lay_out(self, tool: SteelRuleDie, wanted: LayoutRequest) -> Layout:
        """Lay out few dies that are pressed often; a roll of them is laid out like any other."""
        if wanted.room.open_right:
            return super().lay_out(tool, wanted)
        return lay_out_dies(
            wanted.items,
            wanted.room,
            gap=wanted.gap,
            effort=wanted.effort,
            seed=wanted.seed,
            should_stop=wanted.search.should_stop,
            per_set=wanted.per_set,
            nester=wanted.search.nester,
        )

    def steps(self, tool: SteelRuleDie) -> ToolSteps:
        """Return the rules and what their maker needs."""
        return SteelRuleDieSteps(tool)

    def answer(self, planned: Planned) -> ToolAnswer:
        """Return what the die's maker needs to know."""
        return DieLoadAnswer(die=None if planned.die is None else _die_answer(planned.die))

    def time_words(self, cutter: Cutter, tool: SteelRuleDie, units: str) -> str:
        """Return the time of a press."""
        del tool, units
        return gettext("{seconds} s for each press", seconds=f"{cutter.stop_s:g}")

    def run_warnings(self, material_kind: str, layers: int, ties: Ties | None) -> list[str]:
        """Return a warning about ties, which a die does not have."""
        del material_kind, layers
        if ties is None:
            return []
        warning = gettext(
            "ties are not used here: a die has nicks and bridges in its rule instead, to be "
            "agreed on with its maker."
        )
        return [warning]

    def drawn_width_mm(self, tool: SteelRuleDie) -> float | None:
        """Return the rule's thickness."""
        return tool.rule

    def picture_lines(self, planned: Planned, units: str) -> list[str]:
        """Return the rules' length and the press's force."""
        die, rules = planned.die, sum(each.operation == "cut" for each in planned.plan.strokes)
        if die is None:
            return []
        figures = gettext(
            "{rules} rules, {length}; press about {force}, ejection included",
            rules=rules,
            length=long_length(die.rule_length, units),
            force=force_words(die.force_lbf),
        )
        advice = gettext("Nicks and bridges are proposals: agree on them with the die's maker.")
        return [figures, advice]


KIND: Final = SteelRuleDieKind()
