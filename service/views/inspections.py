"""Inspections: reads and measures a drawing, without storing it."""

from __future__ import annotations

from flask import Blueprint

from service.answers.inspections import InspectionAnswer
from service.http.computations import compute
from service.http.endpoint import Answer, op
from service.http.named_cutters import required_cutter
from service.requests.inspections import InspectionFormSchema, InspectionRequest

blueprint = Blueprint("inspections", __name__, url_prefix="/v1/inspections")


@blueprint.post("")
@op(
    id="inspectDrawing",
    tag="outlines",
    form=InspectionFormSchema,
    answers={200: Answer("What the drawing holds", InspectionAnswer)},
)
def inspect_drawing(form: InspectionRequest, file: bytes) -> InspectionAnswer:
    """Measure an SVG, DXF, HP-GL, G-code or plan file.

    Closed outlines with their sizes, angles and nearest catalogue shapes; congruent groups; the
    seam allowance between nested or paired outlines; overlaps, open ends, lines drawn twice, what
    was skipped; and a warning when the numbers suggest a wrong unit. You can use the points of an
    outline for a `custom` shape in millimetres.
    """
    saved = required_cutter(form.cutter) if form.cutter else None
    # Always in a child process, because the file is untrusted.
    made: InspectionAnswer = compute("inspect", file, form, saved)
    return made
