"""The loads of a run sheet: what is drawn of them, what they are cut from, what is left."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache

from geometry.model.cutter import WorkArea
from geometry.model.outline import Chain, Outline, Region
from geometry.model.plan import CutPlan
from geometry.model.transform import readable_when_mirrored
from service.answers.loads import LoadAnswer
from service.documents.bench_units import BenchUnits
from service.documents.model import SheetGround, SheetKind, SheetLoad, SheetRest
from service.documents.page_edges import page_note
from service.documents.pictures.inside import grain_arrow
from service.documents.wording import choice
from service.kits.bags import alike_notes
from service.kits.bench_steps import (
    Halt,
    halt_notes,
    halt_of,
    inside_stops,
    is_counted,
    load_steps,
    read_formats,
)
from service.kits.file_names import file_name
from service.kits.parts import PEN, parts
from service.kits.printed_edges import shown_pages
from service.pieces.model import Kit, Piece
from service.requests.runs import Run
from service.runs.in_turn import partners
from service.runs.motifs import cloth_of, visible_box
from service.runs.past_the_bed import on_the_bed
from service.runs.planned_run import PlannedLoad, PlannedRun
from service.runs.printing import is_printed
from service.runs.roll_cloth import is_drawn_off
from service.runs.sheet_position import has_corner
from service.runs.worth_keeping import rests_of
from service.texts import gettext as _
from service.texts import ngettext
from service.tools import kind_of
from service.tools.figures import bench_time


def sheet_load(
    kit: Kit,
    planned: PlannedRun,
    load: PlannedLoad,
    row: LoadAnswer,
    warnings: tuple[str, ...],
) -> SheetLoad:
    """Return a load as the sheet shows it."""
    on = planned.part_of(load).run
    kinds = list(dict.fromkeys((each.piece, each.move.mirrored) for each in load.load.placements))
    files = tuple(_files(on, load, row))
    leaves_rest = not is_printed(on)
    halt = halt_of(on, load)
    counts = is_counted([halt])
    pages = tuple(shown_pages(on, load))
    return SheetLoad(
        number=load.number,
        repeats=load.load.repeats,
        pieces=tuple(row.pieces.items()),
        stops=tuple(load_steps(on, load, halt)),
        time=_time(on, row),
        files=files,
        ground=_ground(on),
        kinds=tuple(_kind(kit, planned.run.cut, *each) for each in kinds),
        placements=tuple(
            (kinds.index((each.piece, each.move.mirrored)), each.move)
            for each in load.load.placements
        ),
        line_up=_lines(load, ("line-up",)),
        nicks=_lines(load, ("nick",)),
        bridges=_lines(load, ("bridge",)),
        # Between pages of paper there is nothing.
        rests=tuple(_rests(kit, on, load)) if leaves_rest else (),
        layers=on.layers,
        # Of a piece on a roll's bed only the used length is searched for rests.
        leaves_rest=leaves_rest and is_drawn_off(on) == on.from_roll,
        warnings=warnings,
        is_choice=len(read_formats(on)) > 1,
        given_by=tuple(_given_by(planned, load, row)),
        notes=(
            *page_note(pages),
            *alike_notes(kit, planned.run, row.pieces),
            *_notes(halt, on, load),
        ),
        strokes=load.planned.plan.strokes if counts else (),
        pauses=tuple(each.before_stroke for each in inside_stops(load)) if counts else (),
        turn_with=partners(planned.loads).get(load.number),
        pages=pages,
    )


def _time(on: Run, row: LoadAnswer) -> str:
    time = bench_time(row.estimated_s)
    if kind_of(on.cutter.tool).is_cut_by_hand:
        return _("{time}, cutting by hand included", time=time)
    return time


def _lines(load: PlannedLoad, parts: Sequence[str]) -> tuple[Chain, ...]:
    """Return the strokes of a load that belong to no piece's outline."""
    strokes = load.planned.plan.strokes
    return tuple(Chain(each.vertices) for each in strokes if each.part in parts)


def _notes(halt: Halt, on: Run, load: PlannedLoad) -> Iterator[str]:
    if is_printed(on):
        yield _(
            "Print the file at 100 %; print its check page once, first, and measure the square."
        )
    yield from halt_notes(halt, on, load)


def _given_by(planned: PlannedRun, load: PlannedLoad, row: LoadAnswer) -> Iterator[tuple[str, str]]:
    """Yield pieces that come from the face-down layers of others, and which those are."""
    placed = {each.piece for each in load.load.placements}
    for piece in row.pieces:
        givers = [one for one in placed if piece in planned.plies[one].gives]
        if piece not in placed and givers:
            yield piece, ", ".join(sorted(givers))


def arrow_of(piece: Piece, cut: str) -> tuple[Chain, ...]:
    """Return the lines of a piece's grain arrow: one head where its top must point one way."""
    region = piece.region(cut)
    if piece.turns == "free" or any(mark.role == "grain-arrow" for mark in region.marks):
        return ()
    return _arrow(region, piece.template.outline, one_way=piece.turns == "fixed")


@lru_cache(maxsize=256)
def _arrow(region: Region, template: Outline, *, one_way: bool) -> tuple[Chain, ...]:
    lines = grain_arrow(region, template, one_way=one_way)
    return tuple(Chain.of(line) for line in lines)


def _kind(kit: Kit, cut: str, name: str, mirrored: bool) -> SheetKind:  # noqa: FBT001
    piece = kit.pieces[name]
    region = piece.region(cut)
    marks = readable_when_mirrored(region.marks) if mirrored else region.marks
    return SheetKind(
        piece=name,
        cut=cut,
        outline=region.outline,
        holes=region.holes,
        marks=tuple(mark.path for mark in marks),
        template=piece.template.outline if cut == "patch" and piece.allowance.max_mm else None,
        arrow=arrow_of(piece, cut),
        is_named=piece.is_named(cut),
        is_one_way=piece.turns == "fixed",
    )


def _ground(on: Run) -> SheetGround:
    box = None if on.sheet is None else on.sheet.box
    sheet = _drawn_sheet(on)
    is_seen = box is not None and box.left >= 0.0 and box.bottom >= 0.0
    return SheetGround(
        on.cutter.bed,
        on.area,
        sheet,
        _motifs(on),
        marks_corner=on.from_roll
        or (sheet is not None and is_seen and on.sheet is not None and not on.sheet.outline),
    )


def _motifs(run: Run) -> tuple[tuple[float, float], ...]:
    """Return where the middles of a print's motifs lie on the bed."""
    if not run.anchors:
        return ()
    return tuple((each.x, each.y) for each in cloth_of(run).motifs(visible_box(run)))


def _drawn_sheet(run: Run) -> Outline | None:
    """Return the outline of a run's sheet where it has a place on the bed."""
    if run.sheet is None or not has_corner(run):
        return None
    box = run.sheet.box
    return (
        run.sheet.outline
        or WorkArea.rectangle(box.left, box.bottom, box.width, box.height).boundary
    )


def _rests(kit: Kit, on: Run, load: PlannedLoad) -> Iterator[SheetRest]:
    """Yield the rectangles that are left, and whether a piece of the kit fits into each."""
    units = BenchUnits(kit.units, kit.second_units)
    for box, fits in rests_of(kit, on, load):
        shown = on_the_bed(box, on.cutter.bed)
        yield SheetRest(shown, units.rough_size(box.width, box.height), fits)


def _files(run: Run, load: PlannedLoad, row: LoadAnswer) -> Iterator[str]:
    """Yield the names of a load's files, with the pen or blade angle each is for.

    Files of several formats that are for the same stand together.
    """
    read = read_formats(run)
    found = {name: list(parts(run, load.planned.plan, name)) for name in read}
    words = {
        file_name(run, load.number, name, part): _tool(part, plan)
        for name in read
        for part, plan in found[name]
        if part
    }
    has_notes = any(each.unproved or each.pages is not None for each in row.files)
    if len(read) > 1 and not has_notes and all(len(each) > 1 for each in found.values()):
        for part, plan in found[read[0]]:
            names = choice([file_name(run, load.number, name, part) for name in read])
            yield f"{names} ({_tool(part, plan)})"
        return
    for each in row.files:
        if each.format not in read:
            continue
        notes = [words.get(each.name, "")]
        if each.pages is not None:
            notes.append(_pages(each.pages))
        if each.unproved:
            notes.append(_("not checked: draw it with a pen first"))
        yield " ".join([each.name, *(f"({note})" for note in notes if note)])


def _pages(count: int) -> str:
    """Return what is printed for a load: sheets of paper are laid in before printing starts."""
    return ngettext("check page and {n} page", "check page and {n} pages", count)


def _tool(part: str, plan: CutPlan) -> str:
    angle = plan.strokes[0].angle_deg
    if part == PEN:
        return _("pen")
    return _("blade") if angle is None else _("blade at {angle} degrees", angle=f"{angle:g}")
