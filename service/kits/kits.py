"""A whole kit: pieces, runs, loads, files and the sheet for the bench."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from adapters.names import layer_of
from adapters.steps import step
from geometry.layout.effort import Nester
from service import __version__
from service.answers.kits import CutKitAnswer, LayoutsAnswer
from service.answers.loads import LoadAnswer, PreviewLoadAnswer
from service.answers.runs import PreviewRunAnswer, RunAnswer
from service.documents.cautions import cautions
from service.documents.pictures.load import load_picture
from service.kits.bundle import Bundle
from service.kits.cloth_needed import cloth_warnings
from service.kits.file_names import path_picture_name, picture_name
from service.kits.files import Checked, check_formats, check_plugins, load_files, sampled_notice
from service.kits.known_pictures import path_picture_bytes
from service.kits.limits import TimeLimit, with_steps
from service.kits.outlines import piece_answer, piece_warnings
from service.kits.progress import Progress
from service.kits.proof import require_all_files
from service.kits.quote import quote
from service.kits.recut_warnings import scrap_warnings
from service.kits.run_answers import kit_totals, load_answer, run_answer
from service.kits.run_search import run_search
from service.kits.run_warnings import RunWarnings, cures_of, notes_of, places_of
from service.kits.sheet import with_sheets
from service.kits.stock import not_enough_stock
from service.pieces.draw import draw_pieces
from service.pieces.model import Kit, Ticket
from service.requests.kit_number import kit_number
from service.requests.kits import KitRequest
from service.runs.heaps import with_heaps
from service.runs.notices import noted
from service.runs.plan import plan_run
from service.runs.planned_run import PlannedRun
from service.runs.proof import prove_counts, prove_plans
from service.schemas.rounding import without_noise
from service.schemas.units_in_text import in_units
from service.texts import speaking
from service.tools import kind_of


def layouts(
    request: KitRequest,
    *,
    nester: Nester | None,
    limit: TimeLimit | None = None,
    progress: Progress | None = None,
) -> Bundle:
    """Return the preview of a kit: loads and pictures, no files.

    Args:
        request: what is asked for.
        nester: the library that is asked for fuller loads, if it is installed.
        limit: of the search for layouts.
        progress: is called with how far the work is; what it raises ends the work.

    Raises:
        RequestError: when the request cannot be used or a piece does not fit.
    """
    return make(request, nester=nester, with_files=False, limit=limit, progress=progress)


def kit(
    request: KitRequest,
    *,
    nester: Nester | None,
    read_back: Checked = True,
    limit: TimeLimit | None = None,
    progress: Progress | None = None,
) -> Bundle:
    """Return a kit with every file.

    Args:
        request: what is asked for.
        nester: the library that is asked for fuller loads, if it is installed.
        read_back: whether written files are read back; ``sampled``: those of each run's first
            load.
        limit: of the search for layouts.
        progress: is called with how far it is.

    Raises:
        RequestError: when the request cannot be used or a piece does not fit.
        geometry.errors.InternalError: when a second check fails; nothing is handed out then.
    """
    return make(
        request,
        nester=nester,
        with_files=True,
        read_back=read_back,
        limit=limit,
        progress=progress,
    )


def make(
    request: KitRequest,
    *,
    nester: Nester | None,
    with_files: bool,
    read_back: Checked = True,
    limit: TimeLimit | None = None,
    progress: Progress | None = None,
) -> Bundle:
    """Draw a request's pieces and cut them."""
    check_plugins(request.runs)
    with speaking(request.language), step("outlines"):
        pieces = draw_pieces(request.pieces, request.units)
    drawn = Kit(
        title=request.title,
        units=request.units,
        pieces=pieces,
        runs=tuple(with_heaps(run, pieces) for run in request.runs),
        documents=request.documents,
        ticket=Ticket(
            kit_number(request.document, request.cutters, __version__),
            request.reference,
            request.date,
        ),
        copies=request.copies,
        prices=request.prices,
        labels=request.labels,
        second_units=request.second_units,
        language=request.language,
    )
    with speaking(request.language):
        bundle = cut(
            drawn,
            nester=nester,
            with_files=with_files,
            read_back=read_back,
            limit=limit,
            progress=progress,
        )
    return Bundle(without_noise(bundle.answer), bundle.files, request.cutters, request.document)


@dataclass
class _Made:
    """What has been made so far."""

    files: dict[str, bytes] = field(default_factory=dict)
    warnings: RunWarnings = field(default_factory=RunWarnings)
    runs: list[PreviewRunAnswer] = field(default_factory=list)
    planned: list[PlannedRun] = field(default_factory=list)
    #: Runs whose stock is too short, by their index.
    short: list[tuple[int, PlannedRun]] = field(default_factory=list)
    complete: bool = True


def cut(
    converted: Kit,
    *,
    nester: Nester | None,
    with_files: bool,
    read_back: Checked = True,
    limit: TimeLimit | None = None,
    progress: Progress | None = None,
    warnings: Sequence[str] = (),
) -> Bundle:
    """Lay out, plan and write a converted kit; ``warnings`` come before its own."""
    converted = with_steps(converted, limit)
    made = _Made()
    angles: dict[str, float | None] = {}
    for index, run in enumerate(converted.runs):
        # Runs on the same cutter follow each other, so the blade stays where it was left.
        lying = converted.on_material_of(run)
        with step("layout", run=run.number):
            entry = angles.get(run.cutter.name)
            search = run_search(index, len(converted.runs), nester, limit, progress)
            planned, angles[run.cutter.name] = plan_run(
                lying, index, entry_angle_deg=entry, search=search
            )
        made.complete = made.complete and planned.complete
        if with_files and planned.shortfall is not None:
            made.short.append((index, planned))
        for load in () if with_files else planned.loads[:1]:
            check_formats(converted, run, index, load)
        made.planned.append(planned)
        if made.short:
            continue
        made.warnings.extend(run.number, (*planned.warnings, *cloth_warnings(lying, planned)))
        with step("files", run=run.number):
            done = _run(lying, index, planned, made, with_files=with_files, read_back=read_back)
        made.runs.append(done)
        if progress is not None:
            what = "written and read back" if with_files else "laid out"
            progress((index + 1) / (len(converted.runs) + 1), f"Run {index + 1} {what}")
    if made.short:
        # Half a kit is of no use to anyone: nothing is cut until the rest is bought.
        raise not_enough_stock(made.short, converted.units)
    converted = _counted(converted, made.planned)
    answer = _answer(converted, made, warnings, CutKitAnswer if with_files else LayoutsAnswer)
    if isinstance(answer, CutKitAnswer):
        with step("documents"):
            answer, printed = with_sheets(converted, made.planned, answer)
        made.files.update(printed)
    if progress is not None:
        progress(1.0, "Done")
    return Bundle(answer, made.files)


def _answer(
    converted: Kit, made: _Made, warnings: Sequence[str], model: type[LayoutsAnswer]
) -> LayoutsAnswer:
    """Return the answer of a kit whose runs are made; ``warnings`` come before its own."""
    totals, ticket = kit_totals(made.runs), converted.ticket
    units = (converted.units, converted.second_units)
    scraps = scrap_warnings(made.planned, converted.units)
    found = (*scraps, *warnings, *piece_warnings(converted.pieces), *made.warnings.lines())
    worded = [
        noted(each).worded(lambda text: in_units(text, *units, at_the_bench=True)) for each in found
    ]
    return model(
        title=converted.title,
        version=__version__,
        number=ticket.number,
        reference=ticket.reference or None,
        date=ticket.date or None,
        copies=converted.copies,
        pieces=[piece_answer(each, converted.copies) for each in converted.pieces.values()],
        runs=made.runs,
        totals=totals,
        quote=quote(converted, made.planned, made.runs, totals),
        warnings=worded,
        notes=notes_of(worded) or None,
        cautions=_cautions(converted),
        complete=made.complete,
        cures=cures_of(worded) or None,
        warning_places=places_of(worded) or None,
    )


def _counted(converted: Kit, planned: Sequence[PlannedRun]) -> Kit:
    """Return a kit whose pieces of which as many were cut as fit have that quantity."""
    found = {
        piece: count
        for each in planned
        if each.run.fills
        for piece, count in each.run.quantities.items()
    }
    if not found:
        return converted
    pieces = {
        name: replace(piece, quantity=found.get(name, piece.quantity))
        for name, piece in converted.pieces.items()
    }
    return replace(converted, pieces=pieces)


def _cautions(converted: Kit) -> list[str]:
    every = (cautions(kind_of(run.cutter.tool), run.material.kind) for run in converted.runs)
    return list(dict.fromkeys(text for some in every for text in some))


def _run(
    converted: Kit,
    index: int,
    planned: PlannedRun,
    made: _Made,
    *,
    with_files: bool,
    read_back: Checked,
) -> PreviewRunAnswer:
    """Draw and write the loads of a run and return its answer."""
    run = planned.run
    loads: list[PreviewLoadAnswer] = []
    prove_counts(planned)
    if with_files and read_back:
        prove_plans(converted, planned, planned.loads[: 1 if read_back == "sampled" else None])
    strokes = (stroke for load in planned.loads for stroke in load.planned.plan.strokes)
    layers = tuple(dict.fromkeys(layer_of(stroke) for stroke in strokes))
    for load in planned.loads:
        on = planned.part_of(load).run
        picture, path = picture_name(on, load.number), path_picture_name(on, load.number)
        made.files[picture] = load_picture(converted, on, load).encode()
        made.files[path] = path_picture_bytes(converted, on, load)
        found = load_answer(
            planned, load, converted.units, picture=f"files/{picture}", path_picture=f"files/{path}"
        )
        if with_files:
            check = read_back is True or (read_back == "sampled" and load is planned.loads[0])
            entries, files, losses = load_files(
                on, index, load, kit=converted, layers=layers, check=check
            )
            made.files.update(files)
            made.warnings.extend(run.number, losses)
            found = LoadAnswer(**vars(found), files=entries)
        loads.append(found)
    if with_files:
        require_all_files(planned, loads, made.files)
    if with_files and read_back == "sampled" and len(loads) > 1:
        made.warnings.extend(run.number, [sampled_notice(len(loads) - 1)])
    return run_answer(RunAnswer if with_files else PreviewRunAnswer, planned, loads, converted)
