"""Texts shared by the PDF, the HTML page and the plain text of the run sheet."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from html import escape
from typing import Final

from service.documents.model import RunSheet, SheetLoad, SheetPiece, SheetRun
from service.documents.on_the_bed import shown_part
from service.texts import gettext as _
from service.texts import ngettext

#: More boxes than this would fill a page of their own; above it, the number is stated instead.
_MAX_BOXES: Final = 500
_GROUP: Final = 5
#: Layers of a stack face to face that is a single pair.
_PAIR: Final = 2
#: Loads from which on a sheet has a table of contents.
_MANY_LOADS: Final = 10


def ticket_line(sheet: RunSheet) -> str:
    """Return the line by which a kit is found again."""
    return _("{ticket} (made by version {version})", ticket=sheet.ticket, version=sheet.version)


def check_side(sheet: RunSheet) -> tuple[float, str]:
    """Return the side of the square by which a print is checked, mm, and as a ruler shows it."""
    return {"in": (25.4, "1 in"), "cm": (30.0, "3 cm")}.get(sheet.units, (30.0, "30 mm"))


def check_text(sheet: RunSheet) -> str:
    """Return what is said beside the check square, with ``<b>`` about what counts."""
    first = escape(_("Check this print first."), quote=False)
    rest = _(
        "Print this page at 100 % (no fitting to the page). The square must measure {side} each "
        "way. If it does not, set printing to 100 % and print again."
    )
    side = f"<b>{check_side(sheet)[1]}</b>"
    return f"<b>{first}</b> {escape(rest, quote=False).format(side=side)}"


def bags_heading(sheet: RunSheet) -> str:
    """Return the heading above what each bag holds."""
    total = sum(item.total for item in sheet.bag)
    return _("Each of {bags} bags holds {total}", bags=sheet.copies, total=total)


def by_hand_heading() -> str:
    """Return the heading of how to cut in strips, with a ruler instead of along drawn lines."""
    return _("Instead of this run's loads: cut strips with a ruler")


def settings_heading(run: SheetRun) -> str:
    """Return the heading of what is set at the machine, and where its first values come from."""
    if run.is_pressed:
        return _("Set the press as its manual says")
    return _("Set the machine, at first as its manual says")


def times_text(repeats: int) -> str:
    """Return the text for a load's repeats."""
    return _("once") if repeats == 1 else _("{times} times", times=repeats)


def how_often(run: SheetRun, load: SheetLoad) -> str:
    """Return what is done with a load, and how often."""
    times = times_text(load.repeats)
    if run.is_printed:
        return _("Print it {times}", times=times)
    if run.is_pressed:
        return _("Press it {times}", times=times)
    if run.is_drawn:
        return _("Draw it {times}, then cut by hand", times=times)
    if load.turn_with is not None:
        return _("Cut it {times}, in turn with load {other}", times=times, other=load.turn_with)
    return _("Cut it {times}", times=times)


def load_heading(run: SheetRun, load: SheetLoad) -> str:
    """Return the heading of a load."""
    return _("{run}, load {number}", run=run.title, number=load.number)


def file_lines(run: SheetRun, load: SheetLoad) -> Iterator[str]:
    """Yield which files a load is cut from, any one of several formats, and how long it takes."""
    time = (
        _("About {time}.", time=load.time)
        if load.repeats == 1
        else _("About {time} each time.", time=load.time)
    )
    if run.is_pressed:
        time = _("About {time} for each press, without laying and snipping.", time=load.time)
        names = ", ".join(load.files)
        yield _("The die is made from {names}. {time}", names=names, time=time) if names else time
        return
    if load.files and load.is_choice:
        if _has_parts(load.files):
            # One alone would cut a part of the load.
            yield _(
                "Files, all of the one format that your machine reads, one after the other as the "
                "steps say: {files}. {time}",
                files=", ".join(load.files),
                time=time,
            )
        else:
            yield _(
                "One file, whichever your machine reads: {files}. {time}",
                files=choice(load.files),
                time=time,
            )
        return
    if len(load.files) == 1:
        yield _("File: {name}. {time}", name=load.files[0], time=time)
        return
    if load.files:
        yield _(
            "Files, one after the other as the steps say: {files}. {time}",
            files=", ".join(load.files),
            time=time,
        )
    else:
        yield time


def _has_parts(files: tuple[str, ...]) -> bool:
    """Return whether a format has several files for a load, one for each tool or blade angle."""
    # Behind a name stands what it is for, in brackets.
    endings = [each.split()[0].rpartition(".")[2] for each in files]
    return len(set(endings)) < len(endings)


def choice(files: Sequence[str]) -> str:
    """Return files of which one will do; the second and further ones by their endings alone."""
    if len(files) == 1:
        return files[0]
    stems = {name.rpartition(".")[0] for name in files}
    if len(stems) == 1 and "" not in stems:
        files = (files[0], *(f".{name.rpartition('.')[2]}" for name in files[1:]))
    return _("{files} or {last}", files=", ".join(files[:-1]), last=files[-1])


def warning_lines(load: SheetLoad) -> Iterator[str]:
    """Yield what is to be known before the steps of a load."""
    yield from load.warnings
    yield from load.notes


def rest_lines(load: SheetLoad) -> Iterator[str]:
    """Yield what to do with what is left of a sheet, if anything is said of it."""
    kept, small = (
        ", ".join(each.words for each in load.rests if each.is_for_kit == fits)
        for fits in (True, False)
    )
    if kept and load.layers == 1:
        yield _("Keep what is left, marked with its material: {pieces}.", pieces=kept)
    elif kept:
        yield _(
            "Keep what is left of each of the {layers} layers, marked with its material: {pieces}.",
            layers=load.layers,
            pieces=kept,
        )
    elif small:
        yield _("Left over, too small for any piece of this kit: {pieces}.", pieces=small)
    elif load.leaves_rest:
        yield _("No piece of this kit fits into what is left.")


def contents(sheet: RunSheet) -> bool:
    """Return whether a sheet has a table of contents."""
    return sum(len(run.loads) for run in sheet.runs) >= _MANY_LOADS


def picture_heading(sheet: RunSheet) -> str:
    """Return the heading of the pictures' key."""
    grounds = [load.ground for run in sheet.runs for load in run.loads]
    if any(shown_part(each.bed, each.sheet) is not None for each in grounds):
        return _('In the pictures (the part where the sheet lies; never cut "...picture.svg"):')
    return _('In the pictures (only to look at; never cut "...picture.svg"):')


def piece_heading(piece: SheetPiece) -> str:
    """Return a piece's name, shape and size."""
    return f"{piece.id}: {piece.shape}, {piece.requested_size}".rstrip(", ")


def office_facts(sheet: RunSheet) -> tuple[tuple[str, str], ...]:
    """Return the figures that nobody needs at the bench, run by run where there are several."""
    one = len(sheet.runs) == 1
    return (
        tuple(
            (label if one else _("Run {run}: {label}", run=number, label=label), text)
            for number, run in enumerate(sheet.runs, start=1)
            for label, text in run.figures
        )
        + sheet.figures
    )


def finished_size(piece: SheetPiece) -> str:
    """Return the size that a patch has once it is sewn; empty where none was asked for."""
    return _("finished {size}", size=piece.requested_size) if piece.requested_size else ""


def number_text(needed: int, spares: int) -> str:
    """Return how many pieces, and how many of them more than needed."""
    if not spares:
        return str(needed)
    return _("{needed} + {spares} spare", needed=needed, spares=spares)


def pieces_text(cut: str, needed: int, spares: int) -> str:
    """Return how many templates or patches, and how many of them more than needed."""
    number = number_text(needed, spares)
    if cut == "patch":
        return ngettext("{number} patch", "{number} patches", needed + spares, number=number)
    return ngettext("{number} template", "{number} templates", needed + spares, number=number)


def tally(repeats: int) -> tuple[int, ...]:
    """Return the boxes to tick, one per repeat, as the sizes of groups of five; none for one."""
    if not 1 < repeats <= _MAX_BOXES:
        return ()
    whole, rest = divmod(repeats, _GROUP)
    return (_GROUP,) * whole + ((rest,) if rest else ())


def counted(load: SheetLoad, layers: int) -> Iterator[tuple[str, str]]:
    """Yield what one cutting of a load gives: a piece, and how many of it as it was counted."""
    on_top, givers = load.on_top, dict(load.given_by)
    for piece, count in load.pieces:
        outlines = on_top[piece]
        text = _("{count} of {piece}", count=count, piece=piece)
        if layers > 1 and 0 < outlines * layers == count:
            text = ngettext(
                "{count} of {piece}: {n} outline x {layers} layers",
                "{count} of {piece}: {n} outlines x {layers} layers",
                outlines,
                count=count,
                piece=piece,
                layers=layers,
            )
        if piece in givers:
            # Nothing in the picture bears its name.
            words = (
                _("{count} of {piece}: the upper layer of each {givers}")
                if layers == _PAIR
                else _("{count} of {piece}: the layers of {givers} that lie face down")
            )
            text = words.format(count=count, piece=piece, givers=givers[piece])
        if load.repeats > 1:
            text = _("{counted} each time", counted=text)
        yield piece, text
