"""Cutters: tool, bed, margins, speeds, and settings of single formats."""

from __future__ import annotations

import marshmallow as ma
from marshmallow import fields, validate

from geometry.model.plausible import BLADE_WIDTH, HAND_SPEED, KERF, OFFSET, RULE, SPEED, STEP
from service.requests.fields import (
    Bool,
    Const,
    Either,
    Keyed,
    Length,
    Num,
    Strict,
    Text,
    Union,
)
from service.requests.schemas.pieces import units
from service.requests.validation import List


class DragBladeTool(Strict):
    """A blade that swivels and trails behind its axis."""

    kind = Const("drag_blade")
    offset = Length(
        metadata={
            "description": f"blade tip behind its axis, {OFFSET.words}",
            "default": "0.25 mm",
        }
    )
    machine_compensates = Bool(
        metadata={"description": "whether the machine itself makes up for the offset"}
    )


class IndexedBladeTool(Strict):
    """A straight blade that is set by hand to one of several angles."""

    kind = Const("indexed_blade")
    positions_deg = List(
        Num(validate=validate.Range(-360, 360)),
        validate=validate.Length(1, 24),
        metadata={"description": "counter-clockwise from the bed's x axis"},
    )
    blade_width = Length(metadata={"description": BLADE_WIDTH.words, "default": "0.8 mm"})
    step = Length(
        metadata={
            "description": f"from stab to stab, {STEP.words}, less than the blade's width",
            "default": "0.3 mm",
        }
    )


class LaserTool(Strict):
    """A beam that burns a slot."""

    kind = Const("laser")
    kerf = Length(metadata={"description": f"width of the slot, {KERF.words}", "default": "0.2 mm"})


class SteelRuleDieTool(Strict):
    """A bent steel rule in a board."""

    kind = Const("steel_rule_die")
    rule = Length(
        metadata={"description": f"thickness of the rule, {RULE.words}", "default": "0.71 mm"}
    )


class PenTool(Strict):
    """A pen: marks only, cut by hand."""

    kind = Const("pen")
    hand_speed = Num(
        validate=validate.Range(HAND_SPEED.least, HAND_SPEED.most),
        metadata={
            "description": "mm/s at which the operator cuts along the lines, handling included",
            "default": 10,
        },
    )


TOOLS: dict[str, type[ma.Schema]] = {
    "drag_blade": DragBladeTool,
    "indexed_blade": IndexedBladeTool,
    "laser": LaserTool,
    "steel_rule_die": SteelRuleDieTool,
    "pen": PenTool,
}


class Bed(Strict):
    """Opening of bed, hoop or mat: a rectangle, another shape within it, or a roll."""

    width = Length(
        required=True, metadata={"description": "of the opening; of a roll: from edge to edge"}
    )
    height = Length(metadata={"description": "of the opening; a roll has none, all others need it"})
    length = Length(
        metadata={
            "description": "of a roll only: the most that is drawn off at once; left out: no limit"
        }
    )
    shape = fields.String(
        validate=validate.OneOf(["rectangle", "rounded", "ellipse", "polygon", "roll"]),
        metadata={
            "description": "of the opening; a roll lies along the x axis, its width across",
            "default": "rectangle",
        },
    )
    radius = Length(metadata={"description": "of a rounded opening's corners"})
    points = List(
        List(Num(), validate=validate.Length(2, 2)),
        validate=validate.Length(3, 500),
        metadata={"description": "of a polygon, [x, y] in the units, lower left corner 0, 0"},
    )
    keep_out = List(
        List(List(Num(), validate=validate.Length(2, 2)), validate=validate.Length(3, 100)),
        validate=validate.Length(0, 20),
        metadata={"description": "polygons inside that the tool must not enter, as points"},
    )


class Margins(Strict):
    """How far the tool's head reaches past the needle or beam; in any bed it stays inside."""

    left = Length(metadata={"description": "reach of the head to the left of the tool's axis"})
    right = Length()
    top = Length()
    bottom = Length()


def _setting() -> Either:
    """Return the field of one setting of a format: a word, a number, a switch or numbers."""
    return Either(
        "FormatSetting",
        [
            ((str,), Text(200)),
            ((int, float), Num(validate=validate.Range(-1.0e6, 1.0e6))),
            ((bool,), Bool()),
            ((list,), List(Num(), validate=validate.Length(0, 64))),
            (
                (dict,),
                Keyed(
                    Either(
                        "OperationSetting",
                        [
                            ((str,), Text(20)),
                            ((int, float), Num(validate=validate.Range(-1.0e6, 1.0e6))),
                        ],
                        wanted="A number, or a colour such as #ff0000.",
                    ),
                    keys=r"^[a-z]{1,20}(-[a-z0-9]{1,20})?$",
                    meaning="Not the name of an operation or layer.",
                    most=40,
                ),
            ),
        ],
        wanted="A setting is text, a number, true, false, a list of numbers, or values by name.",
    )


class InlineCutter(Strict):
    """A cutter described in the request itself, lengths in the request's units."""

    tool = Union("Tool", TOOLS, required=True)
    bed = fields.Nested(Bed, required=True)
    margins = fields.Nested(Margins)
    head = fields.String(
        validate=validate.OneOf(["round", "rectangle"]),
        metadata={
            "description": "shape of the tool's head between its four margins: quarter ellipses "
            "(a disc where all are equal), or their box; it stays inside an opening of any shape "
            "and off every keep-out. A rectangular opening loses its margins either way",
            "default": "round",
        },
    )
    speed = Num(
        validate=validate.Range(SPEED.least, SPEED.most),
        metadata={"description": "mm/s while cutting; a pen's while drawing", "default": 50},
    )
    travel_speed = Num(
        validate=validate.Range(SPEED.least, SPEED.most),
        metadata={"description": "mm/s between cuts", "default": 150},
    )
    stop_s = Num(
        validate=validate.Range(0, 3600),
        metadata={"description": "seconds that one stop takes", "default": 20},
    )
    formats = Keyed(
        Keyed(
            _setting(),
            keys=r"^[a-z][a-z0-9_]{0,39}$",
            meaning="Not the name of a setting.",
            most=40,
        ),
        keys=r"^[a-z][a-z0-9_\-]{0,39}$",
        meaning="Not the name of a format; GET /v1/formats lists them.",
        most=20,
        metadata={"description": "settings of single formats, by the format's name"},
    )


class SavedCutter(InlineCutter):
    """A cutter to be saved under a name, lengths in its own units."""

    units = units()
    title = Text(80)
