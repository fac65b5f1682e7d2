"""Tools of cutters: a schema each, which loads the model's tool."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import marshmallow as ma
from marshmallow import post_load, validate

from geometry.errors import GeometryError
from geometry.model.cutter import DragBlade, IndexedBlade, Laser, Pen, SteelRuleDie, Tool
from geometry.model.plausible import BLADE_WIDTH, HAND_SPEED, KERF, OFFSET, RULE, STEP
from service.requests.errors import of_geometry, unusable
from service.requests.fields import Bool, Const, Length, Num, Strict
from service.requests.validation import List

#: Gap between pieces when a run states none, mm, by tool. Common practice, no source, but for
#: the die: 3/32 in between rules leaves room for ejection rubber (die makers' public notes).
DEFAULT_GAP = {
    "drag_blade": 1.0,
    "indexed_blade": 2.0,
    "laser": 0.5,
    "steel_rule_die": 2.4,
    "pen": 0.0,
}


def _plausible(make: Callable[[], Tool]) -> Tool:
    """Return a tool; numbers that no such tool has are errors of their members."""
    try:
        return make()
    except GeometryError as error:
        raise of_geometry(error) from None


class DragBladeToolSchema(Strict):
    """A blade that swivels and trails behind its axis."""

    kind = Const("drag_blade")
    offset = Length(
        default_mm=DragBlade().offset,
        metadata={"description": f"blade tip behind its axis, {OFFSET.words}"},
    )
    machine_compensates = Bool(
        load_default=False,
        metadata={"description": "whether the machine itself makes up for the offset"},
    )

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> Tool:  # noqa: ANN401 - marshmallow's own
        return _plausible(lambda: DragBlade(data["offset"], data["machine_compensates"]))


class IndexedBladeToolSchema(Strict):
    """A straight blade that is set by hand to one of several angles."""

    kind = Const("indexed_blade")
    positions_deg = List(
        Num(validate=validate.Range(-360, 360)),
        validate=validate.Length(1, 24),
        load_default=list(IndexedBlade().positions_deg),
        metadata={"description": "counter-clockwise from the bed's x axis"},
    )
    blade_width = Length(
        default_mm=IndexedBlade().width, metadata={"description": BLADE_WIDTH.words}
    )
    step = Length(
        default_mm=IndexedBlade().step,
        metadata={"description": f"from stab to stab, {STEP.words}, less than the blade's width"},
    )

    @post_load(pass_original=True)
    def _made(self, data: dict[str, Any], stated: dict[str, Any], **_: Any) -> Tool:  # noqa: ANN401
        # A straight blade looks the same after half a turn.
        angles = sorted(angle % 180.0 for angle in data["positions_deg"])
        if len(set(angles)) != len(angles):
            detail = (
                "Two of these angles set the blade the same way (a blade repeats after 180 "
                "degrees); list each position once."
            )
            raise unusable(detail, "positions_deg")
        width, step = data["blade_width"], data["step"]
        blade = _plausible(lambda: IndexedBlade(tuple(angles), width, step))
        if step >= width:
            detail = (
                f"The step between stabs must be less than the blade's width ({width:g} mm), or "
                f"uncut threads remain; it is {step:g} mm."
            )
            raise unusable(detail, "step" if "step" in stated else "blade_width")
        return blade


class LaserToolSchema(Strict):
    """A beam that burns a slot."""

    kind = Const("laser")
    kerf = Length(
        default_mm=Laser().kerf, metadata={"description": f"width of the slot, {KERF.words}"}
    )

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> Tool:  # noqa: ANN401 - marshmallow's own
        return _plausible(lambda: Laser(data["kerf"]))


class SteelRuleDieToolSchema(Strict):
    """A bent steel rule in a board."""

    kind = Const("steel_rule_die")
    rule = Length(
        default_mm=SteelRuleDie().rule,
        metadata={"description": f"thickness of the rule, {RULE.words}"},
    )

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> Tool:  # noqa: ANN401 - marshmallow's own
        return _plausible(lambda: SteelRuleDie(data["rule"]))


class PenToolSchema(Strict):
    """A pen: marks only, cut by hand."""

    kind = Const("pen")
    hand_speed = Num(
        validate=validate.Range(HAND_SPEED.low, HAND_SPEED.high),
        load_default=Pen().hand_speed,
        metadata={
            "description": "mm/s at which the operator cuts along the lines, handling included",
            "default": 10,
        },
    )

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> Tool:  # noqa: ANN401 - marshmallow's own
        return _plausible(lambda: Pen(data["hand_speed"]))


TOOLS: dict[str, type[ma.Schema]] = {
    "drag_blade": DragBladeToolSchema,
    "indexed_blade": IndexedBladeToolSchema,
    "laser": LaserToolSchema,
    "steel_rule_die": SteelRuleDieToolSchema,
    "pen": PenToolSchema,
}
