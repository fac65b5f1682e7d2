"""Kits, previews and recuts: what is asked."""

from __future__ import annotations

from typing import Any

from marshmallow import fields, validate

from geometry.model.plausible import TIE_WIDTH
from service.requests.fields import (
    CUTTER_NAME,
    IDENTIFIER,
    Bool,
    Either,
    Int,
    Keyed,
    Length,
    Name,
    Num,
    Strict,
    Text,
    piece_id,
)
from service.requests.schemas.cutters import InlineCutter
from service.requests.schemas.pieces import MOST_PIECES, MOST_QUANTITY, OutlinesRequest
from service.requests.validation import List

MOST_RUNS = 50
"""Runs of one kit."""
MATERIALS = ("paper", "card", "coated_paper", "fabric", "stiffened_fabric", "vinyl", "other")


class SheetPosition(Strict):
    """Where a sheet's lower left corner lies on the bed."""

    x = Length(
        required=True,
        metadata={"description": "from the bed's left edge; negative: the sheet reaches past it"},
    )
    y = Length(required=True, metadata={"description": "from the bed's lower edge"})


class Material(Strict):
    """What is cut; with a size, one sheet of it."""

    name = Text(80)
    kind = fields.String(validate=validate.OneOf(MATERIALS), metadata={"default": "other"})
    laser_safe = Bool(
        metadata={
            "description": "that its safety data sheet allows cutting it with a laser; without it "
            "a laser cuts neither vinyl nor other",
            "default": False,
        }
    )
    width = Length(metadata={"description": "of one sheet; on a roll: across it"})
    height = Length(metadata={"description": "of one sheet; on a roll: how long it is"})
    position = fields.Nested(
        SheetPosition,
        metadata={
            "description": "of the sheet's lower left corner on the bed; left out: the lower left "
            "corner of what the margins leave, or of the bed where the sheet is as large"
        },
    )
    edge_clearance = Length(
        metadata={
            "description": "from the sheet's edges to the pieces' outlines, within the margins and "
            "not on top of them. Left out: by tool (1 mm; a blade set by hand or a die 2 mm), or "
            "more where the tool needs more to stay on the sheet. A stated one holds: 0 lets "
            "pieces lie on the sheet's edge and the tool run past it"
        },
    )


class PieceChoice(Strict):
    """A piece of the request and how many of it a run makes."""

    id = piece_id(required=True)
    quantity = Int(validate=validate.Range(1, MOST_QUANTITY))


class Ties(Strict):
    """Short uncut bridges that hold a piece until the operator snips them."""

    count = Int(
        required=True,
        validate=validate.Range(0, 48),
        metadata={"description": "on each outline, away from its corners; 0 for none"},
    )
    width = Length(
        metadata={"description": f"left uncut at each, {TIE_WIDTH.words}", "default": "0.5 mm"}
    )


def cutter_choice(**kwargs: Any) -> Either:  # noqa: ANN401 - handed on to the field
    """Return the field of a cutter: by name, or described in place."""
    return Either(
        "CutterChoice",
        [
            (
                (str,),
                Name(CUTTER_NAME, "A cutter's name has lower-case letters, digits and hyphens."),
            ),
            ((dict,), fields.Nested(InlineCutter)),
        ],
        wanted="Name a saved or built-in cutter, or describe one.",
        **kwargs,
    )


class Run(Strict):
    """One material through one cutter."""

    cut = fields.String(required=True, validate=validate.OneOf(["template", "patch"]))
    cutter = cutter_choice(required=True)
    pieces = List(
        fields.Nested(PieceChoice),
        validate=validate.Length(1, MOST_PIECES),
        metadata={"description": "which pieces, and how many; left out: all of them"},
    )
    material = fields.Nested(Material)
    formats = List(
        fields.String(validate=validate.Length(1, 40)),
        validate=validate.Length(1, 20),
        metadata={"description": "names from GET /v1/formats; svg when left out"},
    )
    gap = Length(metadata={"description": "between pieces; by tool when left out"})
    common_line = Bool(metadata={"description": "edges of touching pieces are cut once"})
    layers = Int(validate=validate.Range(1, 100), metadata={"description": "plies cut at once"})
    stack = fields.String(
        validate=validate.OneOf(["face_up", "face_to_face"]),
        metadata={
            "description": "face_to_face: every second layer comes out as the "
            "mirror image, which is a piece of the run or counted apart",
            "default": "face_up",
        },
    )
    reuse = Int(
        validate=validate.Range(1, 1000),
        metadata={"description": "uses of one template; patches are used once"},
    )
    effort = Either(
        "Effort",
        [
            ((str,), fields.String(validate=validate.OneOf(["quick", "normal", "best"]))),
            ((int, float), Num(validate=validate.Range(0.1, 600))),
        ],
        wanted="Write quick, normal, best, or seconds.",
        metadata={
            "description": "how far to search for full loads and short ways, in counted steps: "
            "the same request gives the same layout on a busy machine. Seconds are converted to "
            "1000 steps each. No effort is worse than quick, and best no worse than normal",
            "default": "normal",
        },
    )
    seed = Int(
        validate=validate.Range(0, 2**31 - 1),
        metadata={
            "description": "of the random numbers of a search: the same seed gives the same "
            "layout, unless complete is false",
            "default": 0,
        },
    )
    one_file_per = fields.String(validate=validate.OneOf(["load", "station"]))
    ties = fields.Nested(Ties)
    max_mismatch_deg = Num(
        validate=validate.Range(0, 90),
        metadata={
            "description": "between a blade set by hand and an edge; left out: 15, or the least "
            "that the pieces can have"
        },
    )
    sets = Bool(metadata={"description": "whether each load holds whole sets of the pieces"})


class KitRequest(OutlinesRequest):
    """A whole kit: pieces, and the runs that cut them."""

    title = Text(120)
    runs = List(fields.Nested(Run), required=True, validate=validate.Length(1, MOST_RUNS))
    print = List(
        fields.String(validate=validate.OneOf(["run_sheet", "labels"])),
        validate=validate.Length(0, 2),
        metadata={
            "description": "what is set in type for the bench; all when left out, nothing for []"
        },
    )


class RecutRequest(Strict):
    """Pieces of a stored kit's run that are cut again."""

    run = Int(
        required=True,
        validate=validate.Range(
            1, MOST_RUNS, error="Runs are numbered from 1, as in the kit's answer and run sheet."
        ),
        metadata={"description": "number of the stored kit's run, from 1"},
    )
    pieces = Keyed(
        Int(validate=validate.Range(1, MOST_QUANTITY)),
        keys=IDENTIFIER,
        meaning="Not a piece's id.",
        most=MOST_PIECES,
        required=True,
        metadata={"description": "how many of which piece"},
    )
    layers = Int(
        validate=validate.Range(1, 100),
        metadata={"description": "plies cut at once; the stored run's when left out"},
    )
    laser_safe = Bool(
        metadata={
            "description": "as a material's, for a run whose stored request does not say so",
            "default": False,
        }
    )
