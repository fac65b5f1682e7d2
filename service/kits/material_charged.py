"""What of a run's material a quote charges: as much as the run sheet says to get."""

from __future__ import annotations

from dataclasses import dataclass

from service.answers.runs import PreviewRunAnswer
from service.kits.files import printed_sheets
from service.kits.spare_piece import length_with_test, takes_whole_pieces
from service.kits.stock import taken_length
from service.pieces.model import Kit
from service.runs.planned_run import PlannedRun
from service.runs.printing import goes_through_printer
from service.runs.roll_cloth import is_drawn_off


@dataclass(frozen=True)
class Charged:
    """How much is charged, in sheets or mm, and in words what that counts."""

    quantity: float
    basis: str | None = None


def sheets_charged(planned: PlannedRun) -> Charged | None:
    """Return how many sheets or pieces of a run's material are got; ``None`` of a roll.

    Those of the test count where it takes whole ones; of a stock only what the loads take does.
    """
    run = planned.run
    if is_drawn_off(run):
        return None
    loads = run.layers * sum(load.load.repeats for load in planned.loads)
    if run.stock:
        return Charged(loads)
    if goes_through_printer(run):
        return Charged(printed_sheets(planned), "printed pages, with the check page of each file")
    if takes_whole_pieces(run):
        return Charged(
            loads + run.layers, f"{loads} for the loads and {run.layers} more for the test"
        )
    return Charged(loads, "one for each layer of each load")


def length_charged(
    kit: Kit, planned: PlannedRun, row: PreviewRunAnswer, step: float
) -> Charged | None:
    """Return which length of a run's material is got, mm; ``None`` where none is known.

    Of cloth it is what the sheet says to buy, also of cloth that is cut to pieces first.

    Args:
        kit: what is quoted.
        planned: the run.
        row: as the answer states it.
        step: in whole multiples of which the material is sold, mm; 0 for any length.
    """
    run, steps = planned.run, ", in whole steps of the price list" if step else ""
    if run.stock:
        return Charged(taken_length(planned)) if run.from_roll else None
    if row.bought is not None and row.bought_mm is not None:
        return Charged(row.bought_mm, f"cloth to buy, {row.bought[0]} with the test{steps}")
    if run.from_roll:
        length = length_with_test(kit.on_material_of(run), planned)
        return Charged(length, f"length of the loads and the test{steps}")
    return None
