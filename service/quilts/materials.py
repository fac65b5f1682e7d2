"""Materials of a planned quilt: fabric, paper, cost and working time."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from geometry.errors import GeometryError, GeometryFaults
from geometry.model.outline import Outline
from geometry.offset.allowance import make_patch
from geometry.planning.pieces import Need
from geometry.shapes.catalogue import CATALOGUE
from service.answers.fabrics import FabricAnswer, LengthAnswer, PreCutsAnswer
from service.answers.finishing import FinishAnswer
from service.answers.quilts import (
    CostAnswer,
    MaterialsAnswer,
    PaperAnswer,
    TimeAnswer,
)
from service.planning import cost
from service.quilts.cut_pieces import Wanted, patch_cut
from service.quilts.fabric import FoundFabric, fabric_answers
from service.quilts.finishing import finished_for_all
from service.quilts.kit_body import piece_ids
from service.quilts.paper import paper_answer
from service.quilts.progress import PlanProgress, report_templates
from service.quilts.straightening import finishing_warnings
from service.requests.fabrics import UNNAMED
from service.requests.quilt_spec import QuiltSpec
from service.texts import gettext as _


@dataclass(frozen=True)
class Materials:
    """Materials as the answer states them, how each fabric is cut, and warnings."""

    answer: MaterialsAnswer
    fabrics: Sequence[FoundFabric]
    warnings: Sequence[str]


def materials_answer(
    spec: QuiltSpec,
    found: Sequence[Need],
    finish: FinishAnswer | None,
    strips: Iterable[tuple[str, Wanted]] = (),
    progress: PlanProgress | None = None,
) -> Materials | None:
    """Return fabrics, paper and finishing for all kits, and warnings.

    Args:
        spec: the quilt.
        found: its pieces.
        finish: its finishing; ``None`` where that failed, which is reported already.
        strips: further cuts, each with its colour.
        progress: receives how far the plan is.

    Raises:
        geometry.errors.GeometryFaults: with each piece that cannot be made or does not fit.
    """
    fabrics, errors = _sizes_by_fabric(spec, found)
    for colour, want in strips:
        fabrics.setdefault(colour, []).append(want)
    found_fabrics: list[FoundFabric] = []
    try:
        found_fabrics = fabric_answers(fabrics, spec.fabric, spec.units, progress)
    except GeometryError as error:
        errors += error.faults if isinstance(error, GeometryFaults) else [error]
    paper: PaperAnswer | None = None
    report_templates(progress)
    warnings: list[str] = []
    try:
        paper, warnings = paper_answer(spec, found)
    except GeometryFaults as error:
        errors += error.faults
    if errors:
        raise GeometryFaults(tuple(errors))
    if finish is None or paper is None:
        return None
    stated = [each.answer for each in found_fabrics]
    every = None if spec.kits == 1 else finished_for_all(finish, spec.finishing, spec.kits)
    ends = finishing_warnings(finish, spec.finishing, spec.units, every)
    warnings = [*_unused_name(spec, stated), *warnings, *ends]
    answer = MaterialsAnswer(
        fabrics=stated,
        paper=paper,
        finish=finish,
        finishing_for_all=every,
    )
    return Materials(answer, found_fabrics, warnings)


def _unused_name(spec: QuiltSpec, stated: Sequence[FabricAnswer]) -> Iterator[str]:
    """Yield what to know of a fabric's name that no fabric of the plan has."""
    name = spec.fabric.name
    if name not in {"", UNNAMED} and name not in {each.fabric for each in stated}:
        yield _(
            'No piece is cut from the fabric "{name}": every piece has a colour of its own, which '
            "names its fabric.",
            name=name,
        )


def _sizes_by_fabric(
    spec: QuiltSpec, found: Sequence[Need]
) -> tuple[dict[str, list[Wanted]], list[GeometryError]]:
    """Return the sizes of pieces to cut by fabric, and the errors of pieces that have no patch."""
    errors: list[GeometryError] = []
    fabrics: dict[str, list[Wanted]] = {}
    for name, need in zip(piece_ids(len(found)), found, strict=True):
        outline = need.shape.outline
        patch: Outline = outline
        warnings: tuple[str, ...] = ()
        try:
            if spec.allowance > 0.0:
                made = make_patch(outline, spec.allowance)
                patch, warnings = made.outline, made.warnings
        except GeometryError as error:
            error.where = ("seam_allowance", *error.where)
            errors.append(error)
            continue
        # As in the plan's kit.
        turns = "free" if need.turns_deg is None else need.turns_deg
        cut = patch_cut(outline, patch, spec.allowance, need.count * spec.kits, turns)
        noun = CATALOGUE[need.shape.kind].title if need.shape.kind in CATALOGUE else ""
        fabrics.setdefault(need.colour, []).append(Wanted(name, cut, ("fabric",), noun, warnings))
    return fabrics, errors


def time_answer(spec: QuiltSpec, pieces: int, stitches: int) -> TimeAnswer | None:
    """Return working times per kit and in all; ``None`` without speeds."""
    speed = spec.speeds
    if speed is None or speed == cost.Speeds():
        return None
    basting, sewing = cost.basting_s(pieces, speed), cost.sewing_s(stitches, speed)
    total = sum(each for each in (basting, sewing) if each is not None)
    return TimeAnswer(
        basting_s=basting, sewing_s=sewing, per_kit_s=total, total_s=total * spec.kits
    )


def cost_answer(spec: QuiltSpec, materials: MaterialsAnswer) -> CostAnswer | None:
    """Return the cost per kit and in all; ``None`` without prices."""
    prices = spec.prices
    if prices is None or prices == cost.Prices():
        return None
    patches = sum(each.buy_mm for each in _quoted(materials) if isinstance(each, LengthAnswer))
    finish = materials.finishing_for_all or materials.finish
    found = cost.bill(
        prices,
        length=patches + finish.binding.buy_mm + finish.backing.chosen.buy_mm,
        step=spec.fabric.fabric.step,
        pre_cuts=sum(
            each.pre_cuts for each in _quoted(materials) if isinstance(each, PreCutsAnswer)
        ),
        sheets=materials.paper.sheets,
    )
    return CostAnswer(
        fabric=_cents(found.fabric),
        pre_cuts=_cents(found.pre_cuts),
        paper=_cents(found.sheets),
        total=round(found.total, 2),
        per_kit=round(found.total / spec.kits, 2),
    )


def _quoted(materials: MaterialsAnswer) -> Iterator[LengthAnswer | PreCutsAnswer]:
    """Yield what is bought of each fabric."""
    for fabric in materials.fabrics:
        yield fabric.bought.quoted.amount


def _cents(amount: float | None) -> float | None:
    return None if amount is None else round(amount, 2)
