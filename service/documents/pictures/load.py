"""The picture of a load: bed, margins, sheet, work area and all pieces in place."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from xml.sax.saxutils import escape, quoteattr

from adapters.readback import is_proved
from geometry import units as lengths
from geometry.model.outline import Chain, Region
from geometry.model.segments import Bounds
from geometry.model.transform import readable_when_mirrored
from service.documents.bench_units import BenchUnits
from service.documents.pictures import looks
from service.documents.pictures.frame import framed
from service.documents.pictures.grounds import grounds, marks_corner
from service.documents.pictures.legend import ROW, Legend, sample_entries
from service.documents.pictures.motifs import motif_marks
from service.documents.pictures.path import number, path_data, placed
from service.documents.pictures.piece_labels import LETTERS, PieceLabels
from service.documents.pictures.samples import Shown
from service.documents.wording import times_text
from service.pieces.model import Kit
from service.requests.runs import Run
from service.runs.cutter_words import short_cutter_words
from service.runs.least_material import work_box
from service.runs.planned_run import PlannedLoad
from service.runs.printing import is_printed
from service.runs.sheet_position import corner_words, has_corner, position_words
from service.runs.worth_keeping import kept_rests
from service.texts import gettext as _
from service.texts import gettext_noop as _later
from service.tools import kind_of

#: A length this near to whole sixteenths of an inch is one, mm.
_EXACT = 1e-6
#: What is drawn for parts of a plan that are no piece's lines.
_PARTS = {"line-up": Shown.LINE_UP, "nick": Shown.NICK, "bridge": Shown.BRIDGE}
#: The bar for checking a print's size, mm, and its label.
_BAR = (20.0, "20 mm")


def load_picture(kit: Kit, run: Run, load: PlannedLoad) -> str:
    """Return one load as an SVG picture at true size, with a caption and a scale."""
    bed = run.cutter.bed
    letter = letter_size(run)
    pad = 2.0 * letter
    head, foot = 3.2 * letter, 5.4 * letter
    width = bed.width + 2.0 * pad
    rests = kept_rests(kit, run, load)
    shown = {*_shown(kit, run, load), *([Shown.REST] if rests else [])}
    legend = Legend(sample_entries(shown, letter), (width - 2.0 * pad) / letter)
    height = bed.height + head + foot + (legend.rows + 0.5) * ROW * letter
    heading = title_text(kit, run, load)
    body = [
        title(heading, width, letter),
        # One flip for the whole drawing: inside this group y points up, as on the bed.
        f'<g transform="translate({number(pad)} {number(head + bed.height)}) scale(1 -1)">',
        grounds(run),
        *_kept(rests, kit.units),
        *_pieces(kit, run, load),
        *_beside_pieces(load),
        *motif_marks(run),
        "</g>",
        _caption(kit, run, width, head + bed.height, letter),
        _scale(pad, head + bed.height + 4.2 * letter, letter, kit.units),
        *legend.drawn(pad, head + bed.height + foot + 0.7 * letter, letter),
    ]
    return framed(width, height, body, heading)


def letter_size(run: Run) -> float:
    """Return a letter height that suits the bed, mm."""
    return max(3.0, min(7.0, max(run.cutter.bed.width, run.cutter.bed.height) / 55.0))


def title_text(kit: Kit, run: Run, load: PlannedLoad, what: str = "") -> str:
    """Return the heading of a picture of a load; ``what`` says what else it shows."""
    times = times_text(load.load.repeats)
    material = run.material.name if run.material.is_named else _("material not stated")
    which = (
        _("run {number}: template, {material}", number=run.number, material=material)
        if run.cut == "template"
        else _("run {number}: patch, {material}", number=run.number, material=material)
    )
    how = _(_how(run, load)).format(times=times)
    parts = [which, _("load {number}", number=load.number), *([what] if what else []), how]
    if run.layers > 1:
        parts.append(_("{layers} layers", layers=run.layers))
    found_by = f" ({kit.ticket.number})" if kit.ticket.number else ""
    unproved = ", ".join(name for name in run.formats if not is_proved(name))
    if unproved:
        doubt = _("{formats} not checked: draw it with a pen first", formats=unproved)
        parts[-1] = f"{parts[-1]}; {doubt}"
    return f"{kit.title}{found_by}: {', '.join(parts)}"


def _how(run: Run, load: PlannedLoad) -> str:
    """Return what is done with a load, to be looked up in the catalogue."""
    if load.planned.die is not None:
        return _later("pressed {times}")
    if is_printed(run):
        return _later("printed {times}")
    if kind_of(run.cutter.tool).is_cut_by_hand:
        return _later("drawn {times}")
    return _later("cut {times}")


def title(text: str, width: float, letter: float) -> str:
    """Return a picture's heading, in letters that fit its width."""
    size = min(1.4 * letter, 1.7 * width / max(1, len(text)))
    return (
        f'<text x="{number(width / 2)}" y="{number(1.9 * letter)}" font-size="{number(size)}" '
        f'font-weight="bold" {LETTERS}>{escape(text)}</text>'
    )


def _kept(rests: Sequence[tuple[Bounds, Bounds]], units: str) -> list[str]:
    """Draw what is left and holds a piece of the kit, with its size, as the run sheet does."""
    parts = []
    for rest, each in rests:
        size = BenchUnits(units).rough_size(rest.width, rest.height)
        text = _("left over, worth keeping: {size}", size=size)
        upright = each.height > each.width
        along, across = max(each.width, each.height), min(each.width, each.height)
        letter = min(5.0, 0.3 * across, 1.6 * along / len(text))
        middle = number(each.left + each.width / 2.0), number(each.bottom + each.height / 2.0)
        turn = " rotate(-90)" if upright else ""
        parts.append(
            f'<rect x="{number(each.left)}" y="{number(each.bottom)}" width="{number(each.width)}" '
            f'height="{number(each.height)}" {looks.REST.svg()}/>'
            f'<text transform="translate({middle[0]} {middle[1]}) scale(1 -1){turn}" '
            f'font-size="{number(letter)}" {LETTERS}>{escape(text)}</text>'
        )
    return parts


def _pieces(kit: Kit, run: Run, load: PlannedLoad) -> list[str]:
    """Draw each kind once, mirrored ones apart, and reuse it at every placement."""
    kinds = list(dict.fromkeys((p.piece, p.move.mirrored) for p in load.load.placements))
    labels = PieceLabels(kit, run, load.load)
    drawn = (_kind(kit, run, kind, index, labels.arrow(*kind)) for index, kind in enumerate(kinds))
    parts = ["<defs>", *drawn, "</defs>"]
    for at, placement in enumerate(load.load.placements):
        index = kinds.index((placement.piece, placement.move.mirrored))
        parts.append(f'<use href="#kind-{index}" transform="{placed(placement.move)}"/>')
        parts.append(labels.drawn(placement, at))
    return parts


def _beside_pieces(load: PlannedLoad) -> Iterator[str]:
    """Draw a die's nicks and bridges, and the short cut that brings a blade into line."""
    for part, look in (
        ("bridge", looks.BRIDGE),
        ("nick", looks.NICK),
        ("line-up", looks.LINE_UP),
    ):
        lines = [Chain(s.vertices) for s in load.planned.plan.strokes if s.part == part]
        if lines:
            yield f'<path d="{"".join(map(path_data, lines))}" {look.svg()}/>'


def _kind(kit: Kit, run: Run, kind: tuple[str, bool], index: int, arrow: Sequence[Chain]) -> str:
    piece, mirrored = kind
    each = kit.pieces[piece]
    region: Region = each.region(run.cut)
    data = path_data(region.outline) + "".join(path_data(hole) for hole in region.holes)
    parts = [
        f'<g id="kind-{index}">',
        (f'<path d="{data}" {looks.piece_look(run.cut).svg()} fill-rule="evenodd"/>'),
    ]
    if run.cut == "patch":
        parts.append(f'<path d="{path_data(each.template.outline)}" {looks.SEAM.svg()}/>')
    parts.extend(
        f'<path d="{path_data(mark.path)}" {looks.MARK.svg()}/>'
        for mark in (readable_when_mirrored(region.marks) if mirrored else region.marks)
    )
    if arrow:
        data = "".join(
            "M" + "L".join(f"{number(v.x)} {number(v.y)}" for v in line.vertices) for line in arrow
        )
        parts.append(f'<path d="{data}" {looks.ARROW.svg()}/>')
    return "".join([*parts, "</g>"])


def _shown(kit: Kit, run: Run, load: PlannedLoad) -> Iterator[Shown]:
    """Yield what the picture shows beside rests, for its legend."""
    yield from (Shown.BED, Shown.AREA)
    if run.sheet is not None:
        yield Shown.SHEET
        if marks_corner(run.sheet):
            yield Shown.CORNER
    if run.reach is not None and run.reach.boundary != run.area.boundary:
        yield Shown.REACH
    if run.area.keep_outs or run.cutter.bed.keep_outs:
        yield Shown.KEEP_OUT
    yield from (Shown.PATCH, Shown.SEAM) if run.cut == "patch" else (Shown.TEMPLATE,)
    pieces = [kit.pieces[name] for name in load.load.outlines]
    if any(each.region(run.cut).marks for each in pieces):
        yield Shown.MARK
    for each in pieces:
        if each.turns != "free":
            yield Shown.ONE_WAY if each.turns == "fixed" else Shown.GRAIN
    if run.anchors:
        yield Shown.MOTIF
    parts = {stroke.part for stroke in load.planned.plan.strokes}
    yield from (shown for part, shown in _PARTS.items() if part in parts)


def _caption(kit: Kit, run: Run, width: float, top: float, letter: float) -> str:
    box = work_box(run)
    material = run.material.name if run.material.is_named else _("Material not stated")
    area = " x ".join(_length(side, kit.units) for side in (box.width, box.height))
    lies = f", {corner_words(run)} {position_words(run, kit.units)}" if has_corner(run) else ""
    gap = _length(run.gap, kit.units)
    lines = (
        _("Work area {area}, gap {gap}", area=area, gap=gap)
        if run.area.is_rectangle
        else _("Work area within {area}, gap {gap}", area=area, gap=gap),
        _("{material} on {cutter}", material=material, cutter=short_cutter_words(run)) + lies,
    )
    size = min(0.9 * letter, 1.7 * width / max(map(len, lines)))
    return "".join(
        f'<text x="{number(width / 2)}" y="{number(top + (1.5 + 1.2 * row) * letter)}" '
        f'font-size="{number(size)}" {LETTERS}>{escape(line)}</text>'
        for row, line in enumerate(lines)
    )


def _length(mm: float, units: str) -> str:
    """Return a length in the request's units: inches as a fraction where that is exact."""
    if units != "in":
        return f"{number(mm / lengths.UNIT_MM[units], 2)} {units}"
    fraction = lengths.format_fraction(mm)
    is_exact = abs(lengths.parse_length(fraction, "in") - mm) < _EXACT
    return f"{fraction if is_exact else number(mm / lengths.MM_PER_INCH, 3)} in"


def _scale(left: float, y: float, letter: float, units: str) -> str:
    """Draw a bar of an inch or of 20 mm, for checking a print with the request's ruler."""
    bar, text = {"in": (lengths.MM_PER_INCH, "1 in"), "cm": (20.0, "2 cm")}.get(units, _BAR)
    drawn = f"M{number(left)} {number(y - 1.5)}v3m0 -1.5h{number(bar)}m0 -1.5v3"
    anchor = quoteattr("start")
    return (
        f'<path d="{drawn}" {looks.ARROW.svg()}/>'
        f'<text x="{number(left + bar + 1.6)}" y="{number(y + 0.3 * letter)}" '
        f'font-size="{number(0.8 * letter)}" font-family="sans-serif" '
        f"text-anchor={anchor}>{text}</text>"
    )
