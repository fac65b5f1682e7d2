"""What a kit's run sheet says."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from geometry import units as lengths
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.model.plan import CutPlan
from service.answers.kits import CutKitAnswer
from service.answers.loads import LoadAnswer
from service.answers.runs import RunAnswer
from service.documents.cutting_list import cutting_list_csv
from service.documents.model import (
    RunSheet,
    SheetGround,
    SheetLoad,
    SheetPiece,
    SheetRun,
    SheetStop,
)
from service.documents.preparation import preparation, remedies
from service.kits.bags import bag_items, sorting
from service.kits.by_hand import strips_by_hand
from service.kits.file_names import file_name
from service.kits.parts import PEN, parts
from service.kits.printed import Printed
from service.kits.quote_page import quote_page
from service.kits.sheet_facts import run_facts, size_words
from service.kits.sheet_warnings import SheetWarnings
from service.pieces.model import Kit, Piece
from service.requests.runs import Run
from service.runs.loads import PlannedLoad, PlannedRun
from service.runs.motifs import cloth_of, visible_box
from service.runs.plies import stacking
from service.runs.sheet_position import has_place
from service.tools import kind_of
from service.tools.figures import long_length, time_text


def with_sheets(
    kit: Kit, planned: Sequence[PlannedRun], answer: CutKitAnswer
) -> tuple[CutKitAnswer, dict[str, bytes]]:
    """Return a kit's answer with the links of what it wants printed, and those files by name.

    They are the run sheet and the quote, as PDF and as a page, the labels and the cutting list. A
    warning is added to the answer for each that could not be set in type.
    """
    if not kit.documents:
        return answer, {}
    printed = Printed(sheet_of(kit, planned, answer))
    if "run_sheet" in kit.documents:
        printed.add_run_sheet()
    if "labels" in kit.documents:
        printed.add_labels()
    if "quote" in kit.documents and answer.quote is not None:
        page = quote_page(kit, answer.quote, bag_items(kit, _pieces(kit)))
        printed.add_page("quote", "quote", "quote", page)
    if "cutting_list" in kit.documents:
        printed.files["cutting-list.csv"] = cutting_list_csv(answer)
        printed.links["cutting_list"] = "files/cutting-list.csv"
    linked = replace(
        answer,
        warnings=[*answer.warnings, *printed.warnings],
        run_sheet=printed.links.get("run_sheet"),
        run_sheet_page=printed.links.get("run_sheet_page"),
        labels=printed.links.get("labels"),
        cutting_list=printed.links.get("cutting_list"),
        quote_sheet=printed.links.get("quote_sheet"),
        quote_page=printed.links.get("quote_page"),
    )
    return linked, printed.files


def sheet_of(kit: Kit, planned: Sequence[PlannedRun], answer: CutKitAnswer) -> RunSheet:
    """Return the words and figures of a kit's run sheet."""
    totals = answer.totals
    pieces = _pieces(kit)
    warnings = SheetWarnings(answer.warnings)
    return RunSheet(
        title=kit.title,
        paper="letter" if kit.units == "in" else "a4",
        pieces=tuple(pieces.values()),
        runs=tuple(
            _run(kit, each, row, warnings) for each, row in zip(planned, answer.runs, strict=True)
        ),
        totals=(
            *([("Copies", str(kit.copies))] if kit.copies > 1 else []),
            ("Loads", str(totals.loads)),
            ("Stops", str(totals.stops)),
            ("Cut length", long_length(totals.cut_length_mm, kit.units)),
            ("Time", f"about {time_text(totals.estimated_s)}, accelerations not counted"),
        ),
        warnings=warnings.of_kit(),
        cautions=tuple(answer.cautions),
        ticket=str(kit.ticket),
        version=answer.version,
        number=kit.ticket.number,
        copies=kit.copies,
        bag=bag_items(kit, pieces) if kit.copies > 1 else (),
        labels=kit.labels,
        office=warnings.for_office(),
        units=kit.units,
    )


def _pieces(kit: Kit) -> dict[str, SheetPiece]:
    return {name: _piece(each, kit.units) for name, each in kit.pieces.items()}


def _piece(piece: Piece, units: str) -> SheetPiece:
    template, patch = piece.template.outline, piece.patch.outline
    sizes = [("Template", size_words(template.bounds, units))]
    allowance = ""
    if piece.allowance.most > 0.0:
        sizes.append(("Patch", size_words(patch.bounds, units)))
        least, most = piece.allowance.least, piece.allowance.most
        text = lengths.format_length(least, units)
        if most - least > 0.001:  # noqa: PLR2004 - the accuracy that is promised
            text += f" to {lengths.format_length(most, units)}"
        sizes.append(("Seam allowance", f"{text}, measured square to the edges"))
        allowance = f"{text} allowance"
    return SheetPiece(piece.id, piece.title, piece.size, tuple(sizes), template, patch, allowance)


def _run(kit: Kit, planned: PlannedRun, row: RunAnswer, warnings: SheetWarnings) -> SheetRun:
    run, kind = planned.run, kind_of(planned.run.cutter.tool)
    return SheetRun(
        title=f"Run {run.number}: {run.cut}, {run.material.name}",
        cut=run.cut,
        material=run.material.name,
        facts=tuple(run_facts(kit, planned, row)),
        verb="Press" if kind.is_pressed else "Cut",
        loads=tuple(
            _load(kit, planned, load, each, warnings.of_load(run.number, load.number))
            for load, each in zip(planned.loads, row.loads, strict=True)
        ),
        totals=tuple(
            (piece, each.asked, each.made, each.spare) for piece, each in row.totals.items()
        ),
        preparation=preparation(
            kind,
            run.material.kind,
            layers=run.layers,
            stack=run.stack,
            kept_straight=[name for name in run.quantities if kit.pieces[name].turns != "free"],
            one_way=[name for name in run.quantities if kit.pieces[name].turns == "fixed"],
            reuse=run.reuse if run.cut == "template" else 1,
            roll=run.from_roll,
            stacking=stacking(run, planned.plies),
        ),
        remedies=remedies(kind),
        by_hand=strips_by_hand(kit, run),
        sorting=sorting(run, row.totals),
        portions=tuple((name, each.needed, each.spares) for name, each in run.portions.items()),
        layers=run.layers,
        warnings=warnings.of_run(run.number),
    )


def _motifs(run: Run) -> tuple[tuple[float, float], ...]:
    """Return where the middles of a print's motifs lie on the bed."""
    if not run.anchors:
        return ()
    return tuple((each.x, each.y) for each in cloth_of(run).motifs(visible_box(run)))


def _drawn_sheet(run: Run) -> Outline | None:
    """Return the outline of a run's sheet where it has a place on the bed."""
    if run.sheet is None or not has_place(run):
        return None
    box = run.sheet.box
    return (
        run.sheet.outline
        or WorkArea.rectangle(box.left, box.bottom, box.width, box.height).boundary
    )


def _files(run: Run, load: PlannedLoad, row: LoadAnswer) -> Iterator[str]:
    """Yield the names of a load's files, each with the pen or blade angle that it is for."""
    words = {
        file_name(run, load.number, name, part): _tool(part, plan)
        for part, plan in parts(run, load.planned.plan)
        for name in run.formats
        if part
    }
    for each in row.files:
        unproved = " (not checked: draw it with a pen first)" if each.unproved else ""
        pages = "" if each.pages is None else _pages(each.pages)
        yield f"{each.name}{words.get(each.name, '')}{pages}{unproved}"


def _pages(count: int) -> str:
    """Return what is printed for a load: sheets of paper are laid in before printing starts."""
    return " (check page and 1 page)" if count == 1 else f" (check page and {count} pages to join)"


def _tool(part: str, plan: CutPlan) -> str:
    angle = plan.strokes[0].angle_deg
    if part == PEN:
        return " (pen)"
    return " (blade)" if angle is None else f" (blade at {angle:g} degrees)"


def _load(
    kit: Kit,
    planned: PlannedRun,
    load: PlannedLoad,
    row: LoadAnswer,
    warnings: tuple[str, ...],
) -> SheetLoad:
    outlines: dict[str, Outline] = {
        piece: kit.pieces[piece].region(planned.run.cut).outline for piece in load.load.placed
    }
    on = planned.part_of(load).run
    return SheetLoad(
        number=load.number,
        ground=SheetGround(on.cutter.bed, on.area, _drawn_sheet(on), _motifs(on)),
        repeats=load.load.repeats,
        counts=tuple(row.counts.items()),
        stops=tuple(
            SheetStop(stop.reason, stop.message, stop.angle_deg) for stop in load.planned.plan.stops
        ),
        time=time_text(row.estimated_s),
        files=tuple(_files(on, load, row)),
        placed=tuple(
            (each.piece, each.move.outline(outlines[each.piece])) for each in load.load.placements
        ),
        warnings=warnings,
    )
