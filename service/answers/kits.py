"""Schemas of answers about kits. They document outlines, which are dumped without them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar

from marshmallow import EXCLUDE, fields, validate

from service.answers.places import SheetAnswer, WorkAreaAnswer
from service.answers.quotes import QuoteAnswer
from service.answers.stock import ShortfallAnswer, StockEntryAnswer
from service.schemas.answers import AnswerPoints, AnswerSchema, counts_by_piece, link, mm
from service.tools import KINDS

#: How times are estimated.
ESTIMATED = "drawn length, travel and stops at the cutter's speeds, without accelerations"


class MarkAnswer(AnswerSchema):
    """A mark drawn on a piece."""

    role = fields.String(required=True)
    operation = fields.String(required=True, validate=validate.OneOf(["cut", "score", "mark"]))
    closed = fields.Boolean(required=True)
    points = AnswerPoints(required=True)


class OutlineAnswer(AnswerSchema):
    """A template or a patch with its measures."""

    outline = AnswerPoints(
        required=True,
        metadata={
            "description": "ring of [x, y, bulge] in mm, counter-clockwise, first point not "
            "repeated, bulge = tan(sweep / 4)"
        },
    )
    holes = fields.List(AnswerPoints(), required=True)
    marks = fields.List(fields.Nested(MarkAnswer), required=True)
    area_mm2 = fields.Float(required=True, metadata={"description": "holes not subtracted"})
    perimeter_mm = mm()
    width_mm = mm("of the bounding box")
    height_mm = mm("of the bounding box")
    corner_angles_deg = fields.List(fields.Float(), required=True)


class CornerAnswer(AnswerSchema):
    """The result at one corner of a patch."""

    corner = fields.Integer(
        required=True, metadata={"description": "number of the corner along the template"}
    )
    treatment = fields.String(required=True)
    tail_mm = mm("how far the patch reaches beyond the template's corner")


class AllowanceAnswer(AnswerSchema):
    """The requested seam allowance, and the one measured by a second method."""

    requested_mm = mm()
    min_mm = mm("measured at right angles to the edges")
    max_mm = mm("measured at right angles to the edges")
    method = fields.String(required=True)
    corners = fields.List(fields.Nested(CornerAnswer), required=True)
    edges_mm = fields.Dict(
        keys=fields.String(),
        values=fields.Float(),
        metadata={"description": "allowances by edge number"},
    )


class PieceAnswer(AnswerSchema):
    """One piece: template, patch and the allowance between them."""

    id = fields.String(required=True)
    shape = fields.String(required=True)
    size = fields.String(required=True, metadata={"description": "as written in the request"})
    quantity = fields.Integer(
        required=True, metadata={"description": "finished pieces wanted, in each copy of the kit"}
    )
    total_quantity = fields.Integer(
        metadata={"description": "in all copies, without spares; present for several copies"}
    )
    template = fields.Nested(OutlineAnswer, required=True)
    patch = fields.Nested(OutlineAnswer, required=True)
    allowance = fields.Nested(AllowanceAnswer, required=True)


class OutlinesAnswer(AnswerSchema):
    """Calculated pieces."""

    pieces = fields.List(fields.Nested(PieceAnswer), required=True)
    warnings = fields.List(fields.String(), required=True)


PLACED = (
    "where the outlines lie. A point (x, y) of an outline, hole or mark, as the answer's pieces "
    "state it, is first mirrored (to -x, y; only where mirrored is true), then turned about 0, 0 "
    "by turn_deg, then moved by x_mm and y_mm. Example: with mirrored, turn_deg 90, x_mm 100 and "
    "y_mm 50, the point (30, 10) is mirrored to (-30, 10), turned to (-10, -30) and moved to "
    "(90, 20). Labels are not mirrored: they stay readable in their place"
)
"""How a placement is applied."""


class PlacementAnswer(AnswerSchema):
    """The position of an outline: mirrored (if ``mirrored``), then turned, then moved."""

    piece = fields.String(required=True)
    x_mm = mm("from the bed's lower left corner")
    y_mm = mm("from the bed's lower left corner")
    turn_deg = fields.Float(required=True, metadata={"description": "counter-clockwise"})
    mirrored = fields.Boolean(
        metadata={"description": "present only when the outline is turned over"}
    )


class StopAnswer(AnswerSchema):
    """A stop for the operator."""

    before_stroke = fields.Integer(required=True)
    reason = fields.String(required=True)
    message = fields.String(required=True)
    station = fields.Integer()
    angle_deg = fields.Float()


class ReadBackAnswer(AnswerSchema):
    """The result of an independent reader of the file."""

    reader = fields.String(required=True)
    worst_deviation_mm = mm()


class FileAnswer(AnswerSchema):
    """One file for a cutter."""

    name = fields.String(required=True)
    format = fields.String(required=True)
    media_type = fields.String(required=True)
    bytes = fields.Integer(required=True)
    sha256 = fields.String(required=True)
    href = link("address of the file")
    read_back = fields.Nested(ReadBackAnswer)
    unproved = fields.Boolean(
        metadata={"description": "present only where no reader checks the format's files"}
    )


class OffcutAnswer(AnswerSchema):
    """A rectangle of the sheet that remains whole."""

    name = fields.String(required=True)
    x_mm = mm()
    y_mm = mm()
    width_mm = mm()
    height_mm = mm()


class RectangleAnswer(AnswerSchema):
    """A rectangle parallel to the bed's edges, in its coordinates."""

    x_mm = mm()
    y_mm = mm()
    width_mm = mm()
    height_mm = mm()


class UsedAnswer(AnswerSchema):
    """The used strip of a load's sheet, along the side that leaves the largest rest."""

    strip = fields.Nested(RectangleAnswer, required=True)
    area_mm2 = fields.Float(required=True)
    share = fields.Float(
        required=True, metadata={"description": "of the work area; for a roll, of the length used"}
    )
    largest_rest = fields.Nested(
        RectangleAnswer,
        required=True,
        allow_none=True,
        metadata={
            "description": "the largest rectangle that remains whole; null if none is usable"
        },
    )


class PreviewLoadAnswer(AnswerSchema):
    """One load of the work area; identical loads are listed once."""

    class Meta:
        """Open in the document, with what each tool adds."""

        unknown = EXCLUDE
        include: ClassVar[Mapping[str, Any]] = {
            name: field for kind in KINDS for name, field in kind.answer_fields.items()
        }

    number = fields.Integer(required=True)
    repeats = fields.Integer(required=True)
    placed = counts_by_piece("outlines by piece")
    counts = counts_by_piece("finished pieces by piece: placed times layers, mirror images apart")
    mirrored = counts_by_piece(
        "additional mirror images, of chiral pieces cut face to face", required=False
    )
    utilisation = fields.Float(
        required=True,
        metadata={
            "description": "share of the work area (of a roll: of the length used) in pieces"
        },
    )
    used = fields.Nested(UsedAnswer)
    length_mm = fields.Float(
        metadata={"description": "length of the roll used for this load, including margins"}
    )
    offcuts = fields.List(
        fields.Nested(OffcutAnswer),
        metadata={
            "description": "usable rectangles left over (25 mm wide and 2500 mm2 at least), "
            "the largest first, "
            "in the bed's coordinates"
        },
    )
    placements = fields.List(
        fields.Nested(PlacementAnswer), required=True, metadata={"description": PLACED}
    )
    cut_length_mm = mm("length of all strokes that touch the material")
    travel_mm = mm()
    stops = fields.List(fields.Nested(StopAnswer), required=True)
    estimated_s = fields.Float(required=True, metadata={"description": ESTIMATED})
    stock = fields.String(
        metadata={
            "description": "the entry of the run's stock that it is cut from; its areas and "
            "sheet then stand here, and each ply takes one sheet"
        }
    )
    work_area = fields.Nested(WorkAreaAnswer)
    usable_area = fields.Nested(WorkAreaAnswer)
    sheet = fields.Nested(SheetAnswer)
    picture = link("picture of the load, for viewing only, never for cutting")
    path_picture = link("picture of the tool path: order, starts, travel and stops", required=False)


class LoadAnswer(PreviewLoadAnswer):
    """One load of the work area with its files."""

    files = fields.List(fields.Nested(FileAnswer), required=True)


class MaterialAnswer(AnswerSchema):
    """The material of a run."""

    name = fields.String(required=True)
    kind = fields.String(required=True)


class PortionAnswer(AnswerSchema):
    """What one copy of the kit holds of one piece: cut pieces, so templates or patches."""

    needed = fields.Integer(required=True, metadata={"description": "without spares"})
    spares = fields.Integer(required=True)


class PieceTotalAnswer(AnswerSchema):
    """The totals of one piece in a run, in all copies of the kit."""

    asked = fields.Integer(required=True, metadata={"description": "without spares"})
    made = fields.Integer(required=True)
    spare = fields.Integer(
        required=True, metadata={"description": "made beyond asked, requested spares included"}
    )
    per_copy = fields.Dict(
        keys=fields.String(),
        values=fields.Nested(PortionAnswer),
        metadata={
            "description": "what one copy holds, by piece; present for copies, spares, and pieces "
            "that are cut as one heap, which the total of the first of them counts together"
        },
    )
    mirrored = fields.Integer(metadata={"description": "additional mirror images"})
    uses_per_template = fields.Integer()
    missing = fields.Integer()


class RollAnswer(AnswerSchema):
    """The roll of a run."""

    width_mm = mm("from edge to edge")
    length_mm = mm("total length used, including margins")
    min_length_mm = mm("lower bound for any layout")


class TimeBasisAnswer(AnswerSchema):
    """The speeds behind a run's times; defaults where the cutter states none."""

    class Meta:
        """Open in the document, with what each tool adds."""

        unknown = EXCLUDE
        include: ClassVar[Mapping[str, Any]] = {
            name: field for kind in KINDS for name, field in kind.time_fields.items()
        }

    speed_mm_s = fields.Float(
        metadata={"description": "while cutting or drawing; not for a die, which is pressed"}
    )
    travel_speed_mm_s = fields.Float(
        metadata={"description": "between strokes; not for a die, which is pressed"}
    )
    stop_s = fields.Float(required=True, metadata={"description": "seconds per stop"})


class PressedDieAnswer(AnswerSchema):
    """One die: its presses, and the pieces of each press."""

    load_number = fields.Integer(required=True, metadata={"description": "the load that shows it"})
    presses = fields.Integer(required=True)
    outlines = counts_by_piece("outlines on the die by piece")
    pieces_per_press = counts_by_piece("finished pieces per press by piece: outlines times layers")


class PreviewRunAnswer(AnswerSchema):
    """One material on one cutter."""

    number = fields.Integer(required=True, metadata={"description": "of the run, from 1"})
    cut = fields.String(required=True, validate=validate.OneOf(["template", "patch"]))
    cutter = fields.String(
        required=True, metadata={"description": "empty for a cutter in the request"}
    )
    tool = fields.String(required=True)
    material = fields.Nested(MaterialAnswer, required=True)
    gap_mm = mm()
    layers = fields.Integer(required=True)
    time_basis = fields.Nested(TimeBasisAnswer, required=True)
    work_area = fields.Nested(WorkAreaAnswer, required=True)
    usable_area = fields.Nested(
        WorkAreaAnswer,
        required=True,
        metadata={
            "description": "area for outlines: the work area minus the tool's own need "
            "at its edges, so that nothing is cut off the bed"
        },
    )
    sheet = fields.Nested(
        SheetAnswer, metadata={"description": "present when the sheet's size is stated"}
    )
    # marshmallow moves fields out of the class, so its own method of that name stays.
    loads = fields.List(  # type: ignore[assignment]
        fields.Nested(PreviewLoadAnswer), required=True
    )
    min_loads = fields.Integer(metadata={"description": "lower bound of loads for any layout"})
    loads_above_min = fields.Integer(metadata={"description": "loads above that bound"})
    max_outlines_per_load = fields.Integer(
        metadata={"description": "for a single kind: upper bound of outlines per load"}
    )
    roll = fields.Nested(RollAnswer, metadata={"description": "present when the bed is a roll"})
    dies = fields.List(
        fields.Nested(PressedDieAnswer), metadata={"description": "for a steel-rule die"}
    )
    presses = fields.Integer(metadata={"description": "presses of all dies together"})
    spare = fields.Integer(
        metadata={"description": "surplus pieces of all presses, requested spares included"}
    )
    pieces_per_outline = fields.Dict(
        keys=fields.String(),
        values=fields.Dict(keys=fields.String(), values=fields.Integer()),
        metadata={
            "description": "for plies face to face: the finished pieces from one outline of a "
            "piece, including those of its mirror partner"
        },
    )
    stock_order = fields.String(
        metadata={"description": "how the sheets of the stock were chosen; with a stock only"}
    )
    stock = fields.List(fields.Nested(StockEntryAnswer))
    stock_cost = fields.String(
        metadata={"description": "of all that is used, where the stock states prices"}
    )
    shortfall = fields.Nested(
        ShortfallAnswer,
        metadata={
            "description": "present in a preview whose stock does not hold all pieces; a kit is "
            "refused then"
        },
    )
    totals = fields.Dict(
        keys=fields.String(), values=fields.Nested(PieceTotalAnswer), required=True
    )


class RunAnswer(PreviewRunAnswer):
    """One material on one cutter, with files."""

    loads = fields.List(fields.Nested(LoadAnswer), required=True)


class TotalsAnswer(AnswerSchema):
    """Sums over all loads, including repeats."""

    loads = fields.Integer(required=True)  # type: ignore[assignment] # as above
    cut_length_mm = mm()
    travel_mm = mm()
    stops = fields.Integer(required=True)
    estimated_s = fields.Float(required=True, metadata={"description": ESTIMATED})
    estimate_basis = fields.String(
        required=True, metadata={"description": "what the times include, and what they leave out"}
    )


class LayoutsAnswer(AnswerSchema):
    """The preview of a kit."""

    title = fields.String(required=True)
    version = fields.String(required=True, metadata={"description": "of the service"})
    number = fields.String(
        required=True,
        metadata={
            "description": "short, for people; on the sheet, labels and pictures. Equal requests "
            "to the same version have the same number, whatever their reference, date, documents "
            "and prices"
        },
    )
    reference = fields.String(metadata={"description": "the request's"})
    date = fields.Date(metadata={"description": "the request's"})
    copies = fields.Integer(
        metadata={"description": "copies of the kit that the runs cut; absent in old kits"}
    )
    pieces = fields.List(fields.Nested(PieceAnswer), required=True)
    runs = fields.List(fields.Nested(PreviewRunAnswer), required=True)
    totals = fields.Nested(TotalsAnswer, required=True)
    quote = fields.Nested(QuoteAnswer, metadata={"description": "present if prices are stated"})
    warnings = fields.List(fields.String(), required=True)
    cautions = fields.List(fields.String(), required=True)
    complete = fields.Boolean(
        required=True,
        metadata={
            "description": "false when time ran out: pieces are placed in the best layout so far"
        },
    )


class KitAnswer(LayoutsAnswer):
    """A saved kit."""

    id = fields.UUID(required=True)
    created_at = fields.DateTime(required=True)
    recut_of = fields.UUID(metadata={"description": "the kit that this is a recut of"})
    runs = fields.List(fields.Nested(RunAnswer), required=True)
    run_sheet = link(
        "the printed page for the bench, a PDF; plain text where a warning says so", required=False
    )
    run_sheet_page = link("the run sheet as HTML", required=False)
    labels = link(
        "labels for bagging the pieces, a PDF; plain text where a warning says so", required=False
    )
    cutting_list = link(
        "what each load gives, as comma-separated values (RFC 4180) for a spreadsheet",
        required=False,
    )
    quote_sheet = link(
        "the price for a customer, without costs and margin, a PDF; plain text where a warning "
        "says so",
        required=False,
    )
    quote_page = link("the same as HTML", required=False)
    request = fields.Dict(
        keys=fields.String(), required=True, metadata={"description": "the request"}
    )
    cutters = fields.Dict(
        keys=fields.String(),
        values=fields.Dict(keys=fields.String()),
        required=True,
        metadata={
            "description": "the named cutters as they were when the kit was created, saved "
            "ones with their versions"
        },
    )


class KitSummary(AnswerSchema):
    """A saved kit in a list."""

    id = fields.UUID(required=True)
    title = fields.String(required=True)
    version = fields.String(required=True)
    created_at = fields.DateTime(required=True)
    number = fields.String(metadata={"description": "short, for people"})
    reference = fields.String(metadata={"description": "the request's"})
    date = fields.Date(metadata={"description": "the request's"})
    recut_of = fields.UUID()
    href = link("the kit")


class KitList(AnswerSchema):
    """A page of saved kits, newest first."""

    kits = fields.List(fields.Nested(KitSummary), required=True)
    next = link("the next page, if there is one", required=False)


class Health(AnswerSchema):
    """The health of the process."""

    status = fields.String(required=True, validate=validate.OneOf(["ok"]))
    version = fields.String(required=True)


class Readiness(Health):
    """Whether kits can be stored."""

    warnings = fields.List(
        fields.String(),
        required=True,
        metadata={"description": "what the operator should look at soon; empty when all is well"},
    )


class FaultAnswer(AnswerSchema):
    """One error of a request."""

    pointer = fields.String(metadata={"description": "JSON pointer into the body, as a fragment"})
    parameter = fields.String(metadata={"description": "name of a query parameter"})
    detail = fields.String(required=True)


class Problem(AnswerSchema):
    """A problem document (RFC 9457); further members depend on its type."""

    type = link("the problem type, described at that address")
    title = fields.String(required=True)
    status = fields.Integer(required=True)
    detail = fields.String(required=True)
    instance = link("the request's path", required=False)
    request_id = fields.String(required=True)
    errors = fields.List(fields.Nested(FaultAnswer))
