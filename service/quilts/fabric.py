"""The fabric to buy for pieces, by the length or in pre-cut pieces."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from geometry.errors import GeometryError, GeometryFaults
from geometry.measure import area
from geometry.planning import cloth_layout
from geometry.planning import yardage as rows
from geometry.planning.cloth import Cut, Fabric, with_spoilage
from geometry.planning.pre_cuts import PreCut, from_pre_cuts
from geometry.planning.yardage import Purchase
from service.answers.fabrics import (
    ByLengthAnswer,
    FabricAnswer,
    FromPreCutsAnswer,
    InPreCutsAnswer,
    InStripsAnswer,
    LengthAnswer,
    Method,
    MethodAnswer,
    MethodsAnswer,
    PreCutsAnswer,
    QuotedAnswer,
    RowsAnswer,
)
from service.pieces.named_warnings import named_warnings
from service.quilts.cut_pieces import Wanted, piece_answer
from service.quilts.cut_strips import cutting_by_length
from service.quilts.cutting import Cutting, cutting_of, strips_of_pre_cuts
from service.quilts.length_text import length_text
from service.quilts.progress import PlanProgress, fabrics_reported
from service.quilts.straightening import end_warnings
from service.requests.fabrics import Bought, LengthStep
from service.schemas.units_in_text import in_units

#: Decimals of areas and of bounds by them, so that rounding does not put one above what it bounds.
_DECIMALS = 6

_TOO_MANY = "So many pieces are not laid out for a cutter; this is quoted by rows."


@dataclass(frozen=True)
class FoundFabric:
    """One fabric as the answer states it, and how its pieces are cut by hand."""

    answer: FabricAnswer
    cutting: Cutting


def fabric_answers(
    fabrics: Mapping[str, Sequence[Wanted]],
    bought: Bought,
    units: str | None,
    progress: PlanProgress | None = None,
) -> list[FoundFabric]:
    """Return the amount to buy of each fabric, and how it is cut, in these units.

    Raises:
        geometry.errors.GeometryError: for pieces that do not fit on it, where the request states
            them, or when a layout is to be quoted that would take too long.
    """
    faults = [fault for wants in fabrics.values() for fault in _not_fitting(wants, bought)]
    # A plan's pieces have no place in the request: equal ones of several colours are one fault.
    if errors := tuple({(fault.where, fault.message): fault for fault in faults}.values()):
        raise errors[0] if len(errors) == 1 else GeometryFaults(errors)
    cloths = ([want.cut for want in wants] for wants in fabrics.values())
    cost = cloth_layout.cost_of_all(cloths, bought.fabric)
    is_laid_out = cost <= cloth_layout.MAX_COST
    if not is_laid_out and bought.quoted_method == "layout":
        raise GeometryError(
            "A layout of so many pieces takes too long. Ask for fewer kinds or pieces at a time, "
            "or quote by rows.",
            where=("fabric", "quoted_method"),
        )
    return [
        _fabric_answer(name, wants, bought, units, is_laid_out=is_laid_out)
        for name, wants in fabrics_reported(fabrics.items(), len(fabrics), progress)
    ]


def _not_fitting(wants: Sequence[Wanted], bought: Bought) -> Iterator[GeometryError]:
    for want in wants:
        try:
            if bought.pre_cut is None:
                rows.check_fits(want.cut, bought.fabric)
            else:
                from_pre_cuts(want.cut, bought.pre_cut, bought.fabric)
        except GeometryError as error:
            # The path is the piece's in the request, not its index among this fabric's pieces.
            yield GeometryError(error.message, where=want.where)


def _fabric_answer(
    name: str, wants: Sequence[Wanted], bought: Bought, units: str | None, *, is_laid_out: bool
) -> FoundFabric:
    shown = units or ("mm" if bought.unit == "m" else "in")
    found: ByLengthAnswer | InPreCutsAnswer
    if bought.pre_cut is None:
        found, cutting, pieces = _by_length(wants, bought, shown, is_laid_out=is_laid_out)
    else:
        found, cutting, pieces = _in_pre_cuts(
            wants, bought, bought.pre_cut, shown, is_laid_out=is_laid_out
        )
    warnings = [
        in_units(each, units, at_the_bench=True)
        for each in named_warnings((want.id, want.warnings) for want in wants)
    ]
    if not is_laid_out:
        warnings.append(_TOO_MANY)
    warnings += _for_straightening(found, bought, shown)
    answer = FabricAnswer(
        fabric=name,
        area_mm2=_area(wants, bought.fabric),
        bought=found,
        cutting=cutting.answer(),
        pieces=pieces,
        warnings=warnings or None,
    )
    return FoundFabric(answer, cutting)


def _for_straightening(
    found: ByLengthAnswer | InPreCutsAnswer, bought: Bought, units: str
) -> Iterator[str]:
    """Yield a warning of what is quoted by the length."""
    amount = found.quoted.amount
    if isinstance(amount, LengthAnswer):
        step = LengthStep(bought.fabric.step, bought.unit)
        yield from end_warnings(amount.buy_mm, amount.unused_mm, step, units)


def _area(wants: Sequence[Wanted], fabric: Fabric) -> float:
    """Return the area of all pieces as cut, mm2."""
    areas = (
        area(want.cut.cut_outline) * with_spoilage(want.cut.count, fabric.spoilage)
        for want in wants
    )
    return round(math.fsum(areas), _DECIMALS)


def _by_length(
    wants: Sequence[Wanted], bought: Bought, units: str, *, is_laid_out: bool
) -> tuple[ByLengthAnswer, Cutting, list[RowsAnswer]]:
    fabric = bought.fabric
    cuts = [want.cut for want in wants]
    found = rows.yardage(cuts, fabric)
    methods: dict[Method, Purchase] = {"rows": found}
    if is_laid_out:
        length = cloth_layout.roll_length(tuple(cuts), fabric, bought.gap)
        methods["layout"] = rows.purchase(length, fabric)
    quoted = _quoted({name: each.length for name, each in methods.items()}, bought)
    only = found.rows[0] if len(found.rows) == 1 else None
    names = [_name(want, wants) for want in wants]
    nouns = [want.noun for want in wants]
    answer = ByLengthAnswer(
        per_row=None if only is None else only.per_row,
        rows=sum(each.rows for each in found.rows),
        quoted=_quoted_answer(quoted, {n: _purchase(each, bought) for n, each in methods.items()}),
        min_length_mm=round(_area(wants, fabric) / fabric.width, _DECIMALS),
        usable_width_mm=fabric.width,
    )
    pieces = [
        piece_answer(
            wants[each.index],
            each.count,
            each.way,
            units,
            InStripsAnswer(
                per_row=each.per_row,
                rows=each.rows,
                from_rests=each.from_rests,
                length_of_rows_mm=each.length,
            ),
            needed=needed,
        )
        for each, needed in zip(found.rows, _needed(found, cuts), strict=True)
    ]
    return answer, cutting_by_length(found, names, nouns, fabric, units), pieces


def _needed(found: rows.Yardage, cuts: Sequence[Cut]) -> Iterator[int]:
    """Yield how many of the pieces that are needed each of the rows holds."""
    left = [cut.count for cut in cuts]
    for each in found.rows:
        held = min(each.count, left[each.index])
        left[each.index] -= held
        yield held


def _quoted_answer(
    quoted: Method, amounts: Mapping[Method, LengthAnswer | PreCutsAnswer]
) -> QuotedAnswer:
    laid_out = amounts.get("layout")
    return QuotedAnswer(
        quoted_method=quoted,
        methods=MethodsAnswer(
            rows=MethodAnswer(amount=amounts["rows"]),
            layout=None if laid_out is None else MethodAnswer(amount=laid_out),
        ),
        amount=amounts[quoted],
    )


def _name(want: Wanted, wants: Sequence[Wanted]) -> str:
    """Return what instructions call a piece: nothing where there is but one."""
    return want.id if len(wants) > 1 else ""


def _quoted(amounts: Mapping[Method, float], bought: Bought) -> Method:
    """Return the method that is quoted; of equal amounts that of the rows."""
    if bought.quoted_method == "larger":
        return max(amounts, key=lambda name: (round(amounts[name], 3), name))
    return "layout" if bought.quoted_method == "layout" else "rows"


def _purchase(found: Purchase, bought: Bought) -> LengthAnswer:
    return LengthAnswer(
        length_mm=found.length,
        length_before_wash_mm=found.length_before_wash,
        buy_mm=found.buy,
        buy=length_text(found.buy, bought.unit),
        unused_mm=found.unused,
    )


def _in_pre_cuts(
    wants: Sequence[Wanted], bought: Bought, pre_cut: PreCut, units: str, *, is_laid_out: bool
) -> tuple[InPreCutsAnswer, Cutting, list[RowsAnswer]]:
    fabric = bought.fabric
    found = [from_pre_cuts(want.cut, pre_cut, fabric) for want in wants]
    amounts: dict[Method, int] = {"rows": sum(each.needed for each in found)}
    if is_laid_out:
        amounts["layout"] = _laid_out(wants, pre_cut, bought)
    quoted = _quoted(amounts, bought)
    strips = [
        strips_of_pre_cuts(_name(want, wants), want.noun, each, pre_cut, fabric, units)
        for want, each in zip(wants, found, strict=True)
    ]
    methods = {name: _pre_cuts(number, pre_cut) for name, number in amounts.items()}
    answer = InPreCutsAnswer(
        pre_cut=pre_cut.name,
        pre_cut_width_mm=pre_cut.width,
        pre_cut_length_mm=pre_cut.length,
        quoted=_quoted_answer(quoted, methods),
    )
    pieces = [
        piece_answer(
            want,
            each.count,
            each.held.way,
            units,
            FromPreCutsAnswer(
                pieces_per_pre_cut=each.per_cut, pre_cuts=each.needed, spare=each.spare
            ),
        )
        for want, each in zip(wants, found, strict=True)
    ]
    return answer, cutting_of(strips, fabric, units), pieces


def _laid_out(wants: Sequence[Wanted], pre_cut: PreCut, bought: Bought) -> int:
    fabric = bought.fabric
    length = pre_cut.length * (1.0 - fabric.shrinkage)
    cuts = tuple(want.cut for want in wants)
    return cloth_layout.pre_cuts_laid(cuts, pre_cut.width, length, fabric, bought.gap)


def _pre_cuts(number: int, pre_cut: PreCut) -> PreCutsAnswer:
    buy = f"{number} {pre_cut.name}{'s' if number > 1 else ''}"
    return PreCutsAnswer(pre_cuts=number, buy=buy)
