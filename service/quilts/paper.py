"""Paper or card for the templates of a planned quilt."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Literal

from geometry.errors import GeometryError, GeometryFaults
from geometry.layout.fitting.fit import DoesNotFit
from geometry.model.outline import Outline
from geometry.planning.pieces import Need, signature
from geometry.planning.sheets import PaperSheet, sheets_of, templates_needed
from geometry.shapes.catalogue import CATALOGUE
from geometry.shapes.words import CUSTOM
from geometry.units import MM_PER_INCH, format_decimal
from service.answers.quilts import PaperAnswer, SheetRowAnswer
from service.documents.shape_words import shown_shape
from service.quilts.kit_body import TEMPLATE_MATERIAL
from service.requests.quilt_spec import QuiltSpec
from service.schemas.units_in_text import in_units
from service.texts import gettext as _

#: Steps in which a larger sheet is stated, mm.
_STEP = {"in": MM_PER_INCH / 4.0}
_METRIC_STEP = 5.0
#: Shapes that are laid out with a run's usual effort, 0.1 to 3 s each; all others quickly.
_MAX_USUAL_KINDS = 12


def _by_template(spec: QuiltSpec, found: Sequence[Need]) -> list[tuple[Need, int]]:
    """Return a piece of each template's shape, with how many are cut for all kits.

    As in the plan's kit: each kit has templates of its own, and each of its pieces too.
    """
    # Pieces that only lie otherwise on a print with a top have one template.
    shapes: dict[object, tuple[Need, int]] = {}
    for need in found:
        key = signature(need.shape.outline)
        first, count = shapes.get(key, (need, 0))
        shapes[key] = (first, count + templates_needed(need.count, spec.paper.reuse) * spec.kits)
    return list(shapes.values())


def paper_answer(spec: QuiltSpec, found: Sequence[Need]) -> tuple[PaperAnswer, list[str]]:
    """Return the sheets for templates, and warnings of shapes that need a larger sheet.

    Raises:
        geometry.errors.GeometryFaults: with each shape that does not fit on the sheet stated.
    """
    rows: list[SheetRowAnswer] = []
    warnings: list[str] = []
    errors: list[GeometryError] = []
    for number, (need, templates) in enumerate(_by_template(spec, found)):
        effort: Literal["normal", "quick"] = "normal" if number < _MAX_USUAL_KINDS else "quick"
        larger: PaperSheet | None = None
        try:
            took = sheets_of(need.shape.outline, templates, spec.paper.sheet, effort=effort)
        except DoesNotFit:
            larger = _larger(spec, need.shape.outline)
            if spec.paper.stated or _is_priced(spec):
                errors.append(_error(spec, need, larger))
                continue
            took = sheets_of(need.shape.outline, templates, larger, effort=effort)
            warnings.append(in_units(_warning(spec, need, larger), spec.units, at_the_bench=True))
        rows.append(
            SheetRowAnswer(
                shape=need.shape.kind,
                templates=templates,
                sheet_width_mm=None if larger is None else larger.width,
                sheet_height_mm=None if larger is None else larger.height,
                per_sheet=took.per_sheet,
                sheets=took.sheets,
                effort=effort,
            )
        )
    if errors:
        raise GeometryFaults(tuple(errors))
    sheet = spec.paper.sheet
    answer = PaperAnswer(
        sheet=sheet.name,
        width_mm=sheet.width,
        height_mm=sheet.height,
        reuse=spec.paper.reuse,
        templates=sum(row.templates for row in rows),
        sheets=sum(row.sheets for row in rows),
        rows=rows,
    )
    return answer, warnings


def _is_priced(spec: QuiltSpec) -> bool:
    if spec.price_list is not None:
        return any(
            each.name == TEMPLATE_MATERIAL and each.per_sheet is not None
            for each in spec.price_list.materials
        )
    return spec.prices is not None and spec.prices.sheet is not None


def _larger(spec: QuiltSpec, outline: Outline) -> PaperSheet:
    """Return a sheet that holds one template as it stands."""
    step = _STEP.get(spec.units, _METRIC_STEP)
    sheet, box = spec.paper.sheet, outline.bounds

    def up(size: float) -> float:
        return math.ceil((size + 2.0 * sheet.margin) / step - 1e-6) * step

    return replace(sheet, name="larger sheet", width=up(box.width), height=up(box.height))


def _size(sheet: PaperSheet) -> str:
    return _(
        "{width} by {height} mm",
        width=format_decimal(sheet.width),
        height=format_decimal(sheet.height),
    )


def _noun(need: Need) -> str:
    kind = need.shape.kind
    return CATALOGUE[kind].title if kind in CATALOGUE else CUSTOM


def _error(spec: QuiltSpec, need: Need, larger: PaperSheet) -> GeometryError:
    detail = (
        f"A template of the {_noun(need)} does not fit on this sheet of "
        f"{_size(spec.paper.sheet)}; one of {_size(larger)} holds it."
    )
    if spec.paper.stated:
        return GeometryError(
            f"{detail} State a larger sheet, or leave it out: then each shape that is too large "
            "gets a sheet that holds it.",
            where=("paper", spec.paper.stated),
        )
    detail += " The price of a sheet is stated, so state the size of the sheet too."
    return GeometryError(detail, where=("prices", "sheet"))


def _warning(spec: QuiltSpec, need: Need, larger: PaperSheet) -> str:
    return _(
        "A template of the {shape} does not fit on a sheet of {usual}: sheets of {larger} are "
        "counted for it. Large pieces can also be cut by ruler.",
        shape=shown_shape(_noun(need)),
        usual=_size(spec.paper.sheet),
        larger=_size(larger),
    )
