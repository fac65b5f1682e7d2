"""What a kit's run sheet says."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from service.answers.kits import CutKitAnswer
from service.answers.runs import RunAnswer
from service.documents.bench_units import BenchUnits
from service.documents.cutting_list import cutting_list_csv
from service.documents.model import RunSheet, SheetPiece, SheetRun
from service.documents.preparation import preparation, remedies
from service.documents.shape_words import shown_shape, shown_size
from service.kits.bags import bag_items, label_portions, sorting
from service.kits.bench_steps import Halt, counting_notes, halt_of, halt_warnings, is_counted
from service.kits.by_hand import strips_by_hand
from service.kits.cutter_settings import drawn_settings, machine_settings, test_cut
from service.kits.file_settings import file_settings
from service.kits.material_needed import material_needed
from service.kits.motifs import motif_steps
from service.kits.printed import PrintedFiles
from service.kits.quote_page import quote_page
from service.kits.sheet_facts import run_facts, run_figures
from service.kits.sheet_loads import arrow_of, sheet_load
from service.kits.sheet_totals import label_notes, office_length, run_cautions, sheet_totals
from service.kits.sheet_warnings import SheetWarnings
from service.pieces.model import Allowance, Kit, Piece
from service.requests.runs import Run
from service.runs.planned_run import PlannedRun
from service.runs.plies import stacking
from service.runs.printing import is_printed
from service.runs.roll_cloth import end_words, is_drawn_off
from service.runs.side_up import lies_wrong_side_up, pen_words
from service.texts import gettext as _
from service.texts import gettext_noop, ngettext
from service.tools import kind_of


def with_sheets(
    kit: Kit, planned: Sequence[PlannedRun], answer: CutKitAnswer
) -> tuple[CutKitAnswer, dict[str, bytes]]:
    """Return a kit's answer with the links of what it wants printed, and those files by name.

    They are the run sheet and the quote, as PDF and as a page, the labels and the cutting list. A
    warning is added to the answer for each that could not be set in type.
    """
    if not kit.documents:
        return answer, {}
    printed = PrintedFiles(sheet_of(kit, planned, answer))
    if "run_sheet" in kit.documents:
        printed.add_run_sheet()
    if "labels" in kit.documents:
        printed.add_labels()
    if "quote" in kit.documents and answer.quote is not None:
        page = quote_page(kit, answer.quote, bag_items(kit, _pieces(kit)))
        printed.add_page("quote", "quote", gettext_noop("quote"), page)
    if "cutting_list" in kit.documents:
        printed.files["cutting-list.csv"] = cutting_list_csv(answer, kit.units)
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
    pieces = _pieces(kit)
    warnings = SheetWarnings(answer.warnings, units=kit.units, second=kit.second_units)
    runs = _said_once(
        [_run(kit, each, row, warnings) for each, row in zip(planned, answer.runs, strict=True)]
    )
    return RunSheet(
        title=kit.title,
        paper="letter" if kit.units == "in" else "a4",
        pieces=tuple(each for each in pieces.values() if each.cuts),
        runs=runs,
        totals=tuple(sheet_totals(kit, runs, answer)),
        figures=tuple(office_length(kit, planned, answer.totals.cut_length_mm)),
        warnings=warnings.of_kit(),
        cautions=tuple(run_cautions(kit, answer.cautions)),
        ticket=str(kit.ticket),
        version=answer.version,
        number=kit.ticket.number,
        copies=kit.copies,
        bag=bag_items(kit, pieces) if kit.copies > 1 else (),
        labels=kit.labels,
        office=(*warnings.for_office(), *_counting(planned), *label_notes(kit)),
        units=kit.units,
        language=kit.language,
    )


def _preparation(
    kit: Kit, planned: PlannedRun, row: RunAnswer, units: BenchUnits
) -> tuple[str, ...]:
    """Return how a run's material is prepared, and how much of it is laid out."""
    run = planned.run
    turns = {name: kit.pieces[name].turns for name in run.quantities}
    return preparation(
        kind_of(run.cutter.tool),
        run.material.kind,
        hold=_tool_preparation(run),
        layers=run.layers,
        stack=run.stack,
        kept_straight=[name for name, each in turns.items() if each != "free"],
        any_grain=[name for name, each in turns.items() if each == "free"],
        one_way=[name for name, each in turns.items() if each == "fixed"],
        reuse=run.reuse if run.cut == "template" else 1,
        roll=run.from_roll,
        roll_end=end_words([part.run for part in planned.parts.values()] or [run]),
        stacking=stacking(run, planned.plies),
        wrong_side_up=lies_wrong_side_up(kit, run),
        needed=(
            *motif_steps(planned, kit.units),
            *material_needed(kit, planned, row, units),
            *pen_words(kit, run),
        ),
    )


def _tool_preparation(run: Run) -> str:
    """Return how a run's material is held for its tool; paper goes through a printer.

    A lid that stands open over a roll lets the beam out: common practice, no source.
    """
    if is_printed(run):
        return _("Print at 100 %, measure, then cut on the line with rule and knife or scissors.")
    kind = kind_of(run.cutter.tool)
    hold = _(kind.preparation)
    if not (kind.is_beam and is_drawn_off(run)):
        return hold
    lid = _(
        "Feed the roll's end in only if the machine's manual shows how the lid closes over it. "
        "Otherwise first cut off what the load needs: it must lie whole on the bed. If the bed is "
        "too short for that, ask the office for shorter loads. Never hold a lid open."
    )
    return f"{lid} {hold}"


def _said_once(runs: Sequence[SheetRun]) -> tuple[SheetRun, ...]:
    """Return runs of which each refers to an earlier one for checks that are the same."""
    first: dict[tuple[str, ...], str] = {}
    found = []
    for run in runs:
        if run.remedies in first:
            same = _('The same as under "{run}".', run=first[run.remedies])
            found.append(replace(run, remedies=(same,)))
        else:
            first[run.remedies] = run.title
            found.append(run)
    return tuple(found)


def _pieces(kit: Kit) -> dict[str, SheetPiece]:
    units = BenchUnits(kit.units, kit.second_units)
    cuts: dict[str, dict[str, None]] = {name: {} for name in kit.pieces}
    for run in kit.runs:
        for name in run.portions:
            cuts[name][run.cut] = None
    return {name: _piece(each, tuple(cuts[name]), units) for name, each in kit.pieces.items()}


def _piece(piece: Piece, cuts: tuple[str, ...], units: BenchUnits) -> SheetPiece:
    template, patch = piece.template.outline, piece.patch.outline
    has_allowance = piece.allowance.max_mm > 0.0
    # What is inside the seam of a patch, where nobody cuts a template.
    inner = _("Finished") if has_allowance else _("Patch")
    label = _("Template") if "template" in cuts else inner
    sizes = [(label, units.size(template.bounds))]
    sizes += [(_("Hole"), units.size(each.bounds)) for each in piece.template.holes]
    allowance = ""
    if has_allowance:
        text = _allowance_words(piece.allowance, units)
        if "patch" in cuts:
            sizes.append((_("Patch"), units.size(patch.bounds)))
            sizes.append((_("Seam allowance"), text))
        allowance = (
            _("allowance {lengths}", lengths=text)
            if _differs(piece.allowance)
            else _("{length} allowance", length=text)
        )
    return SheetPiece(
        piece.id,
        shown_shape(piece.title),
        shown_size(piece.size),
        tuple(sizes),
        template,
        patch,
        allowance,
        arrow_of(piece, "patch"),
        tuple(piece.allowance.edges) if _differs(piece.allowance) else (),
        cuts,
        piece.template.holes,
    )


def _differs(allowance: Allowance) -> bool:
    return allowance.max_mm - allowance.min_mm > 0.001  # noqa: PLR2004 - the accuracy that is promised


def _allowance_words(allowance: Allowance, units: BenchUnits) -> str:
    """Return how wide an allowance is, edge by edge where edges differ."""
    if not _differs(allowance):
        return units.written(allowance.min_mm)
    if not allowance.edges:
        least, most = units.written(allowance.min_mm), units.written(allowance.max_mm)
        return _("{least} to {most}", least=least, most=most)
    widths: dict[str, list[str]] = {}
    for edge, width in sorted(allowance.edges.items()):
        widths.setdefault(units.written(width), []).append(str(edge))
    rows = [
        ngettext(
            "{width} at edge {edges}",
            "{width} at edges {edges}",
            len(edges),
            width=width,
            edges=", ".join(edges),
        )
        for width, edges in widths.items()
    ]
    return "; ".join(rows)


def _run(kit: Kit, planned: PlannedRun, row: RunAnswer, warnings: SheetWarnings) -> SheetRun:
    run, kind = planned.run, kind_of(planned.run.cutter.tool)
    kit = kit.on_material_of(run)
    units = BenchUnits(kit.units, kit.second_units)
    is_template = run.cut == "template"
    material = run.material.name if run.material.is_named else _("material not stated")
    by_hand = strips_by_hand(kit, run)
    halts = list(_halts(planned))
    title = (
        _("Run {number}: template, {material}")
        if is_template
        else _("Run {number}: patch, {material}")
    )
    return SheetRun(
        title=title.format(number=run.number, material=material),
        cut=run.cut,
        material=material,
        facts=tuple(run_facts(kit, planned, row, units)),
        settings=(
            *machine_settings(run, kit.units, units),
            *file_settings(planned),
            *drawn_settings(planned),
        ),
        test=tuple(test_cut(kit, planned, units, is_counted=is_counted(halts))),
        figures=tuple(run_figures(kit, planned, units)),
        is_pressed=kind.is_pressed,
        is_printed=is_printed(run),
        is_drawn=kind.is_cut_by_hand and not is_printed(run),
        loads=tuple(
            sheet_load(kit, planned, load, each, warnings.of_load(run.number, load.number))
            for load, each in zip(planned.loads, row.loads, strict=True)
        ),
        totals=tuple(
            (piece, each.requested, each.made, each.spare) for piece, each in row.totals.items()
        ),
        preparation=_preparation(kit, planned, row, units),
        remedies=remedies(kind, file_units=_file_units(run), printed=is_printed(run)),
        by_hand=by_hand.instructions,
        strips=by_hand.strips,
        sorting=sorting(kit, run, row.totals),
        portions=tuple(label_portions(run, row.totals)),
        layers=run.layers,
        warnings=(*halt_warnings(halts), *warnings.of_run(run.number)),
    )


def _counting(planned: Sequence[PlannedRun]) -> Iterator[str]:
    """Yield how long counting is avoided, run by run."""
    for each in planned:
        yield from counting_notes(each.run, zip(each.loads, _halts(each), strict=True))


def _halts(planned: PlannedRun) -> Iterator[Halt]:
    """Yield what stops the machine inside each load of a run."""
    for load in planned.loads:
        yield halt_of(planned.part_of(load).run, load)


def _file_units(run: Run) -> str:
    """Return the units of a run's files: millimetres, unless a drawing is asked for in inches."""
    in_inches = run.cutter.formats.get("dxf", {}).get("units") == "in"
    return "in" if in_inches and tuple(run.formats) == ("dxf",) else "mm"
