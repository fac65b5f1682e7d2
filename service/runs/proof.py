"""The proof of a run's plans: what the tool will cut is simulated before a file is written."""

from __future__ import annotations

import math
from collections.abc import Iterable

from geometry.errors import InternalError
from geometry.model.cutter import IndexedBlade
from geometry.proof.cut_plan import CutOptions, PlanProof
from geometry.proof.piece_cuts import TiesLeft
from geometry.toolpath.angles import USUAL_MISMATCH, worst_mismatch
from service.errors import PlanNotProvedError
from service.pieces.model import Kit
from service.runs.plan_options import plan_options
from service.runs.planned_run import PlannedLoad, PlannedRun
from service.tools import kind_of


def prove_plans(kit: Kit, planned: PlannedRun, loads: Iterable[PlannedLoad]) -> None:
    """Simulate the cuts of loads and compare them with their pieces.

    Raises:
        PlanNotProvedError: when a plan does not cut what its load holds; no file is written then.
    """
    run = planned.run
    regions = {piece: kit.pieces[piece].region(run.cut) for piece in run.quantities}
    proof = PlanProof(regions, run.cutter.tool, _options(planned))
    for load in loads:
        if faults := proof.faults(load.load.placements, load.planned.plan):
            raise PlanNotProvedError(
                f"Run {run.number}, load {load.number} would not be cut to size: "
                f"{'; '.join(faults)}. Nothing was written or stored. This is an error in the "
                "service; another seed, effort or gap makes another plan.",
                run=run.number,
                load=load.number,
                faults=faults,
            )


def prove_counts(planned: PlannedRun) -> None:
    """Count what the loads of a run hold against what is wanted.

    Raises:
        InternalError: when outlines are missing.
    """
    if planned.shortfall is not None or planned.run.fills:
        # What a stock has no room for is stated, and a filled sheet holds what it can.
        return
    outlines: dict[str, int] = {}
    for load in planned.loads:
        for piece, count in load.load.outlines.items():
            outlines[piece] = outlines.get(piece, 0) + count * load.load.repeats
    for piece, plies in planned.plies.items():
        if outlines.get(piece, 0) < plies.outlines:
            raise InternalError(
                f"The loads of run {planned.run.number} hold {outlines.get(piece, 0)} outlines of "
                f"piece {piece}; {plies.outlines} are wanted"
            )


def _options(planned: PlannedRun) -> CutOptions:
    run = planned.run
    tool, steps = run.cutter.tool, kind_of(run.cutter.tool).steps(run.cutter.tool)
    wanted = plan_options(run)
    ties, mismatch, wider = steps.ties(wanted), math.pi / 2.0, 0.0
    if isinstance(tool, IndexedBlade):
        stated = run.max_mismatch_deg
        usual = USUAL_MISMATCH if stated is None else math.radians(stated)
        # An edge that no angle suits better may be off by as much as the blade's angles force.
        mismatch = min(max(usual, worst_mismatch(tool)), math.pi / 2.0)
        wider = tool.width * (1.0 - math.cos(mismatch))
    held = (
        TiesLeft() if ties is None else TiesLeft(ties.count, ties.width, steps.slot(wanted), wider)
    )
    return CutOptions(held, run.common_line, math.degrees(mismatch))
