"""What the answer states of a run and its loads, files apart."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace

from geometry.layout.item import Used
from geometry.model.plan import Stop
from service.answers.kits import TotalsAnswer
from service.answers.loads import (
    OffcutAnswer,
    PlacementAnswer,
    PreviewLoadAnswer,
    RectangleAnswer,
    StopAnswer,
    UsedAnswer,
)
from service.answers.places import MaterialSizeAnswer
from service.answers.runs import (
    MaterialAnswer,
    PieceTotalAnswer,
    PortionAnswer,
    PressedDieAnswer,
    PreviewRunAnswer,
    RollAnswer,
)
from service.kits.bench_steps import halt_notes, halt_of, load_steps
from service.kits.boxes import box_of
from service.kits.cloth_needed import cloth_answer, to_buy
from service.kits.cutter_settings import settings_answer
from service.kits.material_needed import material_box
from service.kits.motifs import motif_answer
from service.kits.spare_piece import length_with_test
from service.kits.stock import shortfall_answer, stock_cost, stock_entries, stock_of_load
from service.pieces.model import Kit
from service.requests.portions import uses_of
from service.runs.planned_run import PlannedLoad, PlannedRun
from service.runs.plies import Plies, finished
from service.runs.roll_cloth import cloth_width
from service.runs.sheet_position import sheet_answer
from service.runs.times import TIME_NOTE, time_basis
from service.tools import kind_of
from service.tools.cloth import CLOTH
from service.tools.figures import bench_s, bench_time


def run_answer(
    model: type[PreviewRunAnswer],
    planned: PlannedRun,
    loads: Sequence[PreviewLoadAnswer],
    kit: Kit,
) -> PreviewRunAnswer:
    """Return a run as the answer states it, in the class of a preview or of a kit."""
    units = kit.units
    run, totals = planned.run, piece_totals(planned)
    stock = stock_entries(planned)
    pressed = kind_of(run.cutter.tool).is_pressed
    cuts = sum(load.load.repeats for load in planned.loads)
    return model(
        number=run.number,
        cut=run.cut,
        cutter=run.cutter.name,
        tool=run.cutter.tool.kind,
        material=MaterialAnswer(name=run.material.name, kind=run.material.kind),
        gap_mm=run.gap,
        layers=run.layers,
        time_basis=time_basis(run.cutter),
        work_area=box_of(run.area),
        usable_area=box_of(planned.room),
        sheet=sheet_answer(run, units),
        material_size=_material_size(planned, units),
        cloth=cloth_answer(kit, planned),
        loads=loads,
        min_loads=planned.bound,
        loads_above_min=cuts - planned.bound,
        max_outlines_per_load=planned.most_on_one,
        roll=_roll(kit, planned),
        pieces_per_outline=_per_outline(planned),
        dies=_dies(planned) if pressed else None,
        presses=cuts if pressed else None,
        spare=sum(each.spare for each in totals.values()) if pressed else None,
        stock_order=run.material.stock_order if run.stock else None,
        stock=stock or None,
        stock_cost=stock_cost(run, stock),
        shortfall=shortfall_answer(run, planned.shortfall),
        material_settings=settings_answer(run),
        motif=motif_answer(planned),
        totals=totals,
    )


def _material_size(planned: PlannedRun, units: str) -> MaterialSizeAnswer | None:
    box = material_box(planned, units)
    return None if box is None else MaterialSizeAnswer(width_mm=box.width, height_mm=box.height)


def _roll(kit: Kit, planned: PlannedRun) -> RollAnswer | None:
    """Return how much of a roll is used, and what no layout can use less than."""
    lengths = [load.length * load.load.repeats for load in planned.loads if load.length is not None]
    if not lengths or planned.length_bound is None:
        return None
    run, keep = planned.run, planned.run.cutter.margins
    answer = RollAnswer(
        width_mm=cloth_width(run),
        length_mm=sum(lengths),
        min_length_mm=planned.length_bound + keep.left + keep.right,
    )
    if run.material.kind not in CLOTH or run.is_at_hand:
        return answer
    # Where in a print's repeat the roll ends is not known: up to one is cut off first.
    motif = run.material.motif
    repeat = 0.0 if motif is None else motif.repeat.height
    buy, text = to_buy(length_with_test(kit, planned) + repeat, kit.units)
    return replace(answer, buy_mm=buy, buy=text)


def _per_outline(planned: PlannedRun) -> Mapping[str, Mapping[str, int]] | None:
    """Return what one outline of each placed piece gives, where plies lie face to face."""
    if planned.run.stack != "face_to_face":
        return None
    return {piece: dict(each.gives) for piece, each in planned.plies.items() if each.outlines}


def _dies(planned: PlannedRun) -> list[PressedDieAnswer]:
    """Return how often each die of a run is pressed and what a press gives."""
    return [
        PressedDieAnswer(
            load_number=load.number,
            presses=load.load.repeats,
            outlines=dict(load.load.outlines),
            pieces_per_press=finished(planned.plies, load.load.outlines),
        )
        for load in planned.loads
    ]


def load_answer(
    planned: PlannedRun, load: PlannedLoad, units: str, *, picture: str, path_picture: str
) -> PreviewLoadAnswer:
    """Return one load as the answer states it, without its files.

    Args:
        planned: the load's run.
        load: the load.
        units: of the request.
        picture: where its picture is.
        path_picture: where the picture of its tool path is.
    """
    outlines, plies, plan = dict(load.load.outlines), planned.plies, load.planned.plan
    on = planned.part_of(load).run
    halt = halt_of(on, load)
    return PreviewLoadAnswer(
        number=load.number,
        repeats=load.load.repeats,
        outlines=outlines,
        pieces=finished(plies, outlines),
        mirrored=_mirrored(plies, outlines) or None,
        utilisation=load.utilisation,
        length_mm=load.length,
        used=None if load.used is None else _used(load.used),
        offcuts=[
            OffcutAnswer(
                name=each.name,
                x_mm=each.x,
                y_mm=each.y,
                width_mm=each.width,
                height_mm=each.height,
            )
            for each in load.offcuts
        ],
        placements=_placements(load),
        cut_length_mm=plan.cut_length,
        travel_mm=load.planned.travel,
        stops=[_stop(stop) for stop in plan.stops],
        steps=[each.message for each in load_steps(on, load, halt)],
        halt=halt.value,
        step_notes=list(halt_notes(halt, on, load)) or None,
        estimated_s=load.planned.estimated_s,
        estimated=bench_time(load.planned.estimated_s),
        of_tool=kind_of(planned.run.cutter.tool).answer(load.planned),
        of_stock=stock_of_load(planned, load, units) if planned.parts else None,
        picture=picture,
        path_picture=path_picture,
    )


def _mirrored(plies: Mapping[str, Plies], outlines: Mapping[str, int]) -> dict[str, int]:
    """Return the additional mirror images of chiral pieces cut face to face."""
    return {
        piece: count * plies[piece].mirrored
        for piece, count in outlines.items()
        if plies[piece].mirrored
    }


def _stop(stop: Stop) -> StopAnswer:
    return StopAnswer(
        before_stroke=stop.before_stroke,
        reason=stop.reason,
        message=stop.message,
        station=stop.station,
        angle_deg=stop.angle_deg,
    )


def _placements(load: PlannedLoad) -> list[PlacementAnswer]:
    return [
        PlacementAnswer(
            piece=each.piece,
            x_mm=each.move.x,
            y_mm=each.move.y,
            turn_deg=each.move.turn_deg,
            mirrored=each.move.mirrored or None,
        )
        for each in load.load.placements
    ]


def _used(used: Used) -> UsedAnswer:
    width, height = used.right - used.left, used.top - used.bottom
    return UsedAnswer(
        strip=_rectangle(used.left, used.bottom, width, height),
        area_mm2=used.area,
        share=used.share,
        largest_rest=None if used.rest is None else _rectangle(*used.rest),
    )


def _rectangle(x: float, y: float, width: float, height: float) -> RectangleAnswer:
    return RectangleAnswer(x_mm=x, y_mm=y, width_mm=width, height_mm=height)


def piece_totals(planned: PlannedRun) -> dict[str, PieceTotalAnswer]:
    """Return what a run makes of each piece, beside what was asked."""
    outlines = Counter[str]()
    for load in planned.loads:
        for piece, count in load.load.outlines.items():
            outlines[piece] += count * load.load.repeats
    made = Counter(finished(planned.plies, outlines))
    return {
        piece: _piece_total(planned, piece, made=made[piece], outlines=outlines[piece])
        for piece in planned.run.quantities
    }


def _piece_total(planned: PlannedRun, piece: str, *, made: int, outlines: int) -> PieceTotalAnswer:
    run, uses = planned.run, uses_of(planned.run)
    portions = {name: run.portions[name] for name in run.heaps.get(piece, (piece,))}
    needed = run.copies * sum(each.needed for each in portions.values())
    wanted = run.copies * sum(each.total for each in portions.values())
    per_copy = {
        name: PortionAnswer(needed=each.needed, spares=each.spares)
        for name, each in portions.items()
    }
    is_split = run.copies > 1 or len(portions) > 1 or wanted > needed
    mirrored = planned.plies[piece].mirrored
    return PieceTotalAnswer(
        requested=needed,
        made=made,
        spare=max(0, made - needed),
        mirrored=mirrored * outlines if mirrored else None,
        uses_per_template=uses if uses > 1 else None,
        missing=wanted - made if made < wanted else None,
        per_copy=per_copy if is_split else None,
    )


def kit_totals(runs: Sequence[PreviewRunAnswer]) -> TotalsAnswer:
    """Return the sums over all loads of a kit's runs."""
    loads = [load for run in runs for load in run.loads]
    return TotalsAnswer(
        loads=sum(load.repeats for load in loads),
        cut_length_mm=sum(load.cut_length_mm * load.repeats for load in loads),
        travel_mm=sum(load.travel_mm * load.repeats for load in loads),
        stops=sum(len(load.stops) * load.repeats for load in loads),
        estimated_s=sum(load.estimated_s * load.repeats for load in loads),
        estimated=bench_time(sum(bench_s(load.estimated_s) * load.repeats for load in loads)),
        estimate_basis=TIME_NOTE,
    )
