"""What answers look like. Long outlines are dumped as they are; these schemas document them."""

from __future__ import annotations

from marshmallow import EXCLUDE, Schema, fields, validate

from service.requests.fields import Points

#: How times come about.
ESTIMATED = "drawn length, travel and stops at the cutter's speeds; accelerations are ignored"


def _mm(description: str = "", *, required: bool = True) -> fields.Float:
    return fields.Float(required=required, metadata={"description": description or "mm"})


def _counts(description: str, *, required: bool = True) -> fields.Dict:
    return fields.Dict(
        keys=fields.String(),
        values=fields.Integer(),
        required=required,
        metadata={"description": description},
    )


def link(description: str, *, required: bool = True) -> fields.String:
    """Return a member that is an address."""
    return fields.String(
        required=required, metadata={"description": description, "format": "uri-reference"}
    )


class Told(Schema):
    """An answer: later versions may tell more, so readers must expect members they do not know."""

    class Meta:
        """The document leaves answers open."""

        unknown = EXCLUDE


class AnswerPoints(Points):
    """Points without the bounds that requests have."""


class MarkAnswer(Told):
    """A mark drawn on a piece."""

    role = fields.String(required=True)
    operation = fields.String(required=True, validate=validate.OneOf(["cut", "score", "mark"]))
    closed = fields.Boolean(required=True)
    points = AnswerPoints(required=True)


class OutlineAnswer(Told):
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
    area_mm2 = fields.Float(required=True, metadata={"description": "without holes taken off"})
    perimeter_mm = _mm()
    width_mm = _mm("of the upright box")
    height_mm = _mm("of the upright box")
    corner_angles_deg = fields.List(fields.Float(), required=True)


class CornerAnswer(Told):
    """How one corner of a patch came out."""

    corner = fields.Integer(required=True, metadata={"description": "number along the template"})
    treatment = fields.String(required=True)
    tail_mm = _mm("how far the patch reaches beyond the template's corner")


class AllowanceAnswer(Told):
    """The seam allowance asked for, and what a second method measured."""

    requested_mm = _mm()
    min_mm = _mm("measured square to the edges")
    max_mm = _mm("measured square to the edges")
    method = fields.String(required=True)
    corners = fields.List(fields.Nested(CornerAnswer), required=True)
    edges_mm = fields.Dict(
        keys=fields.String(), values=fields.Float(), metadata={"description": "by edge number"}
    )


class PieceAnswer(Told):
    """One piece: template, patch and the allowance between them."""

    id = fields.String(required=True)
    shape = fields.String(required=True)
    size = fields.String(required=True, metadata={"description": "as the request wrote it"})
    quantity = fields.Integer(required=True)
    template = fields.Nested(OutlineAnswer, required=True)
    patch = fields.Nested(OutlineAnswer, required=True)
    allowance = fields.Nested(AllowanceAnswer, required=True)


class OutlinesAnswer(Told):
    """Pieces, computed."""

    pieces = fields.List(fields.Nested(PieceAnswer), required=True)
    warnings = fields.List(fields.String(), required=True)


class PlacementAnswer(Told):
    """Where one outline lies: turned about its origin, then moved."""

    piece = fields.String(required=True)
    x_mm = _mm("from the bed's lower left corner")
    y_mm = _mm("from the bed's lower left corner")
    turn_deg = fields.Float(required=True, metadata={"description": "counter-clockwise"})
    mirrored = fields.Boolean(metadata={"description": "only where it is turned over"})


class StopAnswer(Told):
    """A moment when the operator must act."""

    before_stroke = fields.Integer(required=True)
    reason = fields.String(required=True)
    message = fields.String(required=True)
    station = fields.Integer()
    angle_deg = fields.Float()


class ReadBackAnswer(Told):
    """What an independent reader found in the written file."""

    reader = fields.String(required=True)
    worst_deviation_mm = _mm()


class FileAnswer(Told):
    """One file for a cutter."""

    name = fields.String(required=True)
    format = fields.String(required=True)
    media_type = fields.String(required=True)
    bytes = fields.Integer(required=True)
    sha256 = fields.String(required=True)
    href = link("where to fetch it")
    read_back = fields.Nested(ReadBackAnswer)


class OffcutAnswer(Told):
    """A rectangle of the sheet that is left whole."""

    name = fields.String(required=True)
    x_mm = _mm()
    y_mm = _mm()
    width_mm = _mm()
    height_mm = _mm()


class RectangleAnswer(Told):
    """An upright rectangle in the bed's coordinates."""

    x_mm = _mm()
    y_mm = _mm()
    width_mm = _mm()
    height_mm = _mm()


class UsedAnswer(Told):
    """The strip of a load's sheet that is used, along the side that leaves the largest rest."""

    strip = fields.Nested(RectangleAnswer, required=True)
    area_mm2 = fields.Float(required=True)
    share = fields.Float(
        required=True, metadata={"description": "of the work area; of a roll, of what is drawn off"}
    )
    largest_rest = fields.Nested(
        RectangleAnswer,
        required=True,
        allow_none=True,
        metadata={
            "description": "the largest rectangle that stays whole; null where none is usable"
        },
    )


class BladeEdgeAnswer(Told):
    """How a blade set by hand cuts one kind of edge."""

    piece = fields.String(required=True, metadata={"description": "empty for common lines"})
    direction_deg = fields.Float(required=True, metadata={"description": "of the edge on the bed"})
    angle_deg = fields.Float(required=True, metadata={"description": "of the blade"})
    mismatch_deg = fields.Float(required=True, metadata={"description": "between the two"})
    edge_roughness_mm = _mm(
        "how far slits reach off the edge to either side: width / 2 x sin(mismatch)"
    )


class DieAnswer(Told):
    """What the maker of a steel-rule die and the owner of the press must know."""

    rule_mm = _mm("thickness of the rule")
    rule_length_mm = _mm()
    effective_rule_length_mm = _mm(
        "that the press feels: small holes and rules side by side count more"
    )
    force_lbf = fields.Float(
        required=True, metadata={"description": "of the press, ejection included"}
    )
    force_kn = fields.Float(required=True)
    min_rule_distance_mm = fields.Float(
        allow_none=True,
        metadata={"description": "between rules that do not touch; null beyond an inch"},
    )
    required_rule_distance_mm = _mm("least distance between rules, for ejection rubber")
    dimension = fields.String(required=True, metadata={"description": "what the paths are"})
    inside_offset_mm = _mm("by how much the inside dimension, clear between rules, is less")
    outside_offset_mm = _mm("by how much the outside dimension, over the rules, is more")
    side = fields.String(required=True, metadata={"description": "from which the die is drawn"})
    nick_width_mm = _mm()
    nicks = AnswerPoints(required=True, metadata={"description": "middles, in the edge"})
    bridge_width_mm = _mm()
    bridges = AnswerPoints(required=True, metadata={"description": "middles, in the back"})


class PreviewLoadAnswer(Told):
    """One filling of the work area; identical ones are listed once."""

    number = fields.Integer(required=True)
    repeats = fields.Integer(required=True)
    placed = _counts("outlines by piece")
    counts = _counts("finished pieces by piece: placed times layers, mirror images apart")
    mirrored = _counts(
        "mirror images that come out besides, of handed pieces cut face to face", required=False
    )
    utilisation = fields.Float(
        required=True,
        metadata={"description": "share of the work area (of a roll: the length used) in pieces"},
    )
    used = fields.Nested(UsedAnswer)
    length_mm = fields.Float(
        metadata={"description": "drawn off a roll for this load, margins included"}
    )
    offcuts = fields.List(
        fields.Nested(OffcutAnswer),
        metadata={
            "description": "usable rectangles left over (25 mm wide and 2500 mm2 at least), "
            "the largest first, "
            "in the bed's coordinates"
        },
    )
    placements = fields.List(fields.Nested(PlacementAnswer), required=True)
    cut_length_mm = _mm("drawn length of all strokes that touch the material")
    travel_mm = _mm()
    stops = fields.List(fields.Nested(StopAnswer), required=True)
    estimated_s = fields.Float(required=True, metadata={"description": ESTIMATED})
    edges = fields.List(
        fields.Nested(BladeEdgeAnswer), metadata={"description": "of a blade set by hand"}
    )
    die = fields.Nested(DieAnswer)
    picture = link("picture of the load, for people, never to cut from")
    path_picture = link(
        "picture of the tool's path: order, starts, ways between and stops", required=False
    )


class LoadAnswer(PreviewLoadAnswer):
    """One filling of the work area with its files."""

    files = fields.List(fields.Nested(FileAnswer), required=True)


class MaterialAnswer(Told):
    """What is cut."""

    name = fields.String(required=True)
    kind = fields.String(required=True)


class WorkAreaAnswer(Told):
    """Box of what is left of the bed after margins and sheet."""

    x_mm = _mm()
    y_mm = _mm()
    width_mm = _mm()
    height_mm = _mm()


class SheetAnswer(Told):
    """Where a sheet of stated size lies on the bed, and what is kept free at its edges."""

    edge_clearance_mm = _mm("from the sheet's edges to the pieces' outlines")
    x_mm = fields.Float(
        metadata={"description": "of its lower left corner, from the bed's left edge"}
    )
    y_mm = fields.Float(metadata={"description": "from the bed's lower edge"})
    width_mm = fields.Float()
    height_mm = fields.Float()
    position = fields.String(metadata={"description": "the same in words, in the request's units"})


class PieceTotalAnswer(Told):
    """What a run makes of one piece."""

    asked = fields.Integer(required=True)
    made = fields.Integer(required=True)
    spare = fields.Integer(required=True)
    mirrored = fields.Integer(metadata={"description": "mirror images that come out besides"})
    uses_per_template = fields.Integer()
    missing = fields.Integer()


class RollAnswer(Told):
    """What a run takes of a roll."""

    width_mm = _mm("from edge to edge")
    length_mm = _mm("drawn off in all, margins included")
    min_length_mm = _mm("no layout, however good, could do with less")


class TimeBasisAnswer(Told):
    """What a run's times are made from; what a cutter does not state is what is usual."""

    speed_mm_s = fields.Float(required=True, metadata={"description": "while cutting or drawing"})
    travel_speed_mm_s = fields.Float(required=True, metadata={"description": "between strokes"})
    stop_s = fields.Float(required=True, metadata={"description": "for each stop, s"})
    hand_speed_mm_s = fields.Float(
        metadata={"description": "of a pen: at which its lines are cut by hand"}
    )


class PressedDieAnswer(Told):
    """One die: how often it is pressed, and what each press gives."""

    load_number = fields.Integer(required=True, metadata={"description": "the load that shows it"})
    presses = fields.Integer(required=True)
    outlines = _counts("outlines on the die by piece")
    pieces_per_press = _counts("finished pieces of one press by piece: outlines times layers")


class PreviewRunAnswer(Told):
    """One material through one cutter."""

    number = fields.Integer(required=True, metadata={"description": "of the run, from 1"})
    cut = fields.String(required=True, validate=validate.OneOf(["template", "patch"]))
    cutter = fields.String(required=True, metadata={"description": "empty for an inline one"})
    tool = fields.String(required=True)
    material = fields.Nested(MaterialAnswer, required=True)
    gap_mm = _mm()
    layers = fields.Integer(required=True)
    time_basis = fields.Nested(TimeBasisAnswer, required=True)
    work_area = fields.Nested(WorkAreaAnswer, required=True)
    usable_area = fields.Nested(
        WorkAreaAnswer,
        required=True,
        metadata={
            "description": "where outlines may lie: the work area less what the tool itself "
            "needs at its edges, so that nothing is cut off the bed"
        },
    )
    sheet = fields.Nested(SheetAnswer, metadata={"description": "where the sheet's size is stated"})
    # marshmallow takes fields out of the class, so its own method of that name stays.
    loads = fields.List(  # type: ignore[assignment]
        fields.Nested(PreviewLoadAnswer), required=True
    )
    min_loads = fields.Integer(
        metadata={"description": "no layout, however good, could do with fewer loads"}
    )
    loads_above_min = fields.Integer(metadata={"description": "loads taken above that bound"})
    max_outlines_per_load = fields.Integer(
        metadata={"description": "of a single kind: no layout could place more on one load"}
    )
    roll = fields.Nested(RollAnswer, metadata={"description": "where the bed is a roll"})
    dies = fields.List(
        fields.Nested(PressedDieAnswer), metadata={"description": "of a steel-rule die's run"}
    )
    presses = fields.Integer(metadata={"description": "of all dies together"})
    spare = fields.Integer(metadata={"description": "pieces that all presses make too many"})
    pieces_per_outline = fields.Dict(
        keys=fields.String(),
        values=fields.Dict(keys=fields.String(), values=fields.Integer()),
        metadata={
            "description": "of plies face to face: the finished pieces that one outline of a "
            "placed piece gives, a mirror partner's among them"
        },
    )
    totals = fields.Dict(
        keys=fields.String(), values=fields.Nested(PieceTotalAnswer), required=True
    )


class RunAnswer(PreviewRunAnswer):
    """One material through one cutter, with files."""

    loads = fields.List(fields.Nested(LoadAnswer), required=True)


class TotalsAnswer(Told):
    """Sums over all loads, repeats counted."""

    loads = fields.Integer(required=True)  # type: ignore[assignment] # as above
    cut_length_mm = _mm()
    travel_mm = _mm()
    stops = fields.Integer(required=True)
    estimated_s = fields.Float(required=True, metadata={"description": ESTIMATED})
    estimate_basis = fields.String(
        required=True, metadata={"description": "what times count, and what they leave out"}
    )


class LayoutsAnswer(Told):
    """The preview of a kit."""

    title = fields.String(required=True)
    version = fields.String(required=True, metadata={"description": "of the service"})
    pieces = fields.List(fields.Nested(PieceAnswer), required=True)
    runs = fields.List(fields.Nested(PreviewRunAnswer), required=True)
    totals = fields.Nested(TotalsAnswer, required=True)
    warnings = fields.List(fields.String(), required=True)
    cautions = fields.List(fields.String(), required=True)
    complete = fields.Boolean(
        required=True,
        metadata={
            "description": "false when time ran out: every piece lies, as well as was found by then"
        },
    )


class KitAnswer(LayoutsAnswer):
    """A saved kit."""

    id = fields.UUID(required=True)
    created_at = fields.DateTime(required=True)
    recut_of = fields.UUID(metadata={"description": "the kit whose outlines were cut again"})
    runs = fields.List(fields.Nested(RunAnswer), required=True)
    run_sheet = link(
        "the printed page for the bench, a PDF; plain text where a warning says so", required=False
    )
    run_sheet_page = link("the same as a page of HTML", required=False)
    labels = link(
        "labels for bagging the pieces, a PDF; plain text where a warning says so", required=False
    )
    request = fields.Dict(
        keys=fields.String(), required=True, metadata={"description": "what was asked"}
    )
    cutters = fields.Dict(
        keys=fields.String(),
        values=fields.Dict(keys=fields.String()),
        required=True,
        metadata={
            "description": "the named cutters as they were when the kit was made, a saved one "
            "with its version"
        },
    )


class KitSummary(Told):
    """A saved kit in a list."""

    id = fields.UUID(required=True)
    title = fields.String(required=True)
    version = fields.String(required=True)
    created_at = fields.DateTime(required=True)
    recut_of = fields.UUID()
    href = link("the kit")


class KitList(Told):
    """A page of saved kits, newest first."""

    kits = fields.List(fields.Nested(KitSummary), required=True)
    next = link("the next page, where there is one", required=False)


class Health(Told):
    """A sign of life."""

    status = fields.String(required=True, validate=validate.OneOf(["ok"]))
    version = fields.String(required=True)


class Readiness(Health):
    """Whether kits can be kept."""

    warnings = fields.List(
        fields.String(),
        required=True,
        metadata={"description": "what needs a person soon; empty when all is well"},
    )


class FaultAnswer(Told):
    """One fault of a request."""

    pointer = fields.String(metadata={"description": "JSON pointer into the body, as a fragment"})
    parameter = fields.String(metadata={"description": "name of a query parameter"})
    detail = fields.String(required=True)


class Problem(Told):
    """A refusal, as RFC 9457 has it; further members depend on its type."""

    type = link("the kind of problem; its text is at that address")
    title = fields.String(required=True)
    status = fields.Integer(required=True)
    detail = fields.String(required=True)
    instance = link("the request's path", required=False)
    request_id = fields.String(required=True)
    errors = fields.List(fields.Nested(FaultAnswer))
