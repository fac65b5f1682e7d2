"""The steps of a load at the machine: what is done at its stops, and what stops it there."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from enum import Enum

from adapters import registry
from geometry.model.plan import Stop
from service.documents.model import SheetStop
from service.documents.wording import choice
from service.kits.file_names import file_name, stem
from service.kits.parts import part_at, parts
from service.requests.runs import Run
from service.runs.planned_run import PlannedLoad
from service.runs.printing import is_printed
from service.texts import gettext as _
from service.texts import gettext_noop as _later
from service.tools import kind_of
from service.tools.stop_words import spoken_angle, stop_words

#: Formats for programs, which no machine reads.
FOR_PROGRAMS = frozenset({"plan"})
#: Where there is something to be done between two strokes of a load.
_INSIDE = frozenset({"turn-blade", "change-tool"})
#: Strokes of a load, and pauses in it, that a person still counts by eye: common practice, no
#: source.
_MANY_STROKES, _MANY_PAUSES = 60, 3


class Halt(Enum):
    """What stops the machine inside a load."""

    NONE = "none"
    BY_ITSELF = "by_itself"
    BY_HAND = "by_hand"
    BY_FORMAT = "by_format"
    AT_ENDS = "at_ends"
    BY_ENDS = "by_ends"


_HALTS = {
    Halt.BY_ITSELF: _later("The machine stops by itself."),
    Halt.BY_HAND: _later("Pause the machine after stroke {n} of {all}."),
    Halt.BY_FORMAT: _later("After stroke {n} of {all} the machine stops, or you pause it."),
    Halt.AT_ENDS: _later("The file ends."),
    Halt.BY_ENDS: _later("The machine stops by itself, or the file ends."),
}


def inside_stops(load: PlannedLoad) -> Sequence[Stop]:
    """Return the stops between two strokes of a load."""
    last, stops = len(load.planned.plan.strokes), load.planned.plan.stops
    return [each for each in stops if 0 < each.before_stroke < last and each.reason in _INSIDE]


def runs_on(run: Run, load: PlannedLoad) -> frozenset[str]:
    """Return the formats whose files do not stop the machine where the operator has to act.

    Empty if no file has such a place, because each blade angle or pen has a file of its own.
    """
    if not any(
        0 < stop.before_stroke < len(plan.strokes)
        for name in read_formats(run)
        for _part, plan in parts(run, load.planned.plan, name)
        for stop in plan.stops
    ):
        return frozenset()
    return frozenset(
        each for each in read_formats(run) if "stops" not in registry.get(each).supports
    )


def read_formats(run: Run) -> Sequence[str]:
    """Return the formats of a run that machines read; without any, those of programs."""
    return [each for each in run.formats if each not in FOR_PROGRAMS] or list(run.formats)


def files_apart(run: Run, load: PlannedLoad) -> Sequence[str]:
    """Return the formats in which the stations of a load have files of their own."""
    plan = load.planned.plan
    return [each for each in read_formats(run) if len(list(parts(run, plan, each))) > 1]


def halt_of(run: Run, load: PlannedLoad) -> Halt:
    """Return what stops the machine inside a load."""
    if not inside_stops(load):
        return Halt.NONE
    read = set(read_formats(run))
    if apart := set(files_apart(run, load)):
        return Halt.AT_ENDS if apart == read else Halt.BY_ENDS
    running = runs_on(run, load)
    if not running or read <= FOR_PROGRAMS:
        return Halt.BY_ITSELF
    return Halt.BY_HAND if running == read else Halt.BY_FORMAT


def load_steps(run: Run, load: PlannedLoad, halt: Halt) -> Iterator[SheetStop]:
    """Yield the steps of a load in order, each with a box to tick on the sheet."""
    plan, inside = load.planned.plan, inside_stops(load)
    apart = files_apart(run, load) if inside else ()
    if run.layers > 1 and kind_of(run.cutter.tool).is_beam:
        yield SheetStop("check", _stack_leave(run), None, load.load.repeats * run.layers)
    for stop in plan.stops:
        if stop in inside:
            files = _file_words(run, load, stop.before_stroke, apart) if apart else ""
            message = _inside(stop, halt, len(plan.strokes), files)
        elif stop.reason == "snip-ties":
            message = _snip(run)
        else:
            message = stop_words(stop)
        if apart and stop.reason == "load-material":
            files = _file_words(run, load, 0, apart)
            message = f"{message} {_first_start(halt, files)}"
        yield SheetStop(stop.reason, message, stop.angle_deg)
    yield from _by_hand(run)
    if not any(stop.reason == "snip-ties" for stop in plan.stops) and _is_machine(run):
        yield SheetStop("unload", _unload(run), None)
    if any(stroke.part == "nick" for stroke in plan.strokes):
        # How pieces are freed that a die's nicks hold: common practice, no source.
        yield SheetStop(
            "cut-nicks",
            _(
                "Nicks hold each piece by small ties: with the press open and at rest, lift the "
                "stack out whole, then snip the ties through all layers with pointed scissors; do "
                "not tear them."
            ),
            None,
        )


def _by_hand(run: Run) -> Iterator[SheetStop]:
    """Yield how a load is drawn and then cut by hand, if it is."""
    if kind_of(run.cutter.tool).is_cut_by_hand and not is_printed(run):
        yield SheetStop("draw", _("Fit the pen and start the file."), None)
        words = _("Pen stopped, head clear: then cut by hand, along the outer lines.")
        yield SheetStop("cut-by-hand", words, None)


def _file_words(run: Run, load: PlannedLoad, at: int, apart: Sequence[str]) -> str:
    """Return how the names of the files end that begin with a stroke, one of each format."""
    part, start = part_at(load.planned.plan, at), stem(run)
    names = [file_name(run, load.number, each, part).removeprefix(start) for each in apart]
    return f'"...{choice(names)}"'


def _first_start(halt: Halt, files: str) -> str:
    """Return with which file the work on a load begins."""
    if halt is Halt.AT_ENDS:
        return _("Then start {files}.", files=files)
    return _("Then start the one file that stops the machine, or {files}.", files=files)


def _inside(stop: Stop, halt: Halt, strokes: int, files: str) -> str:
    """Return what is done between two strokes, as the machine's manual allows it.

    Args:
        stop: between the two.
        halt: what stops the machine there.
        strokes: number of the load's.
        files: those that begin there, if any.
    """
    begin = _(_HALTS[halt]).format(n=stop.before_stroke, all=strokes)
    angle = "" if stop.angle_deg is None else spoken_angle(stop.angle_deg)
    if stop.reason == "turn-blade":
        what = _("With the head raised, turn the blade to {angle}.", angle=angle)
    elif angle:
        what = _(
            "With the head raised, take the pen out, fit the blade and turn the blade to {angle}.",
            angle=angle,
        )
    else:
        what = _("With the head raised, take the pen out and fit the blade.")
    then = _("Then start it again.")
    if halt is Halt.AT_ENDS:
        then = _("Then start {files}.", files=files)
    elif halt is Halt.BY_ENDS:
        then = _("Then start it again, or {files}.", files=files)
    return f"{begin} {what} {then}"


def _is_machine(run: Run) -> bool:
    """Return whether a machine cuts the pieces out, so that hands have to wait for its end."""
    kind = kind_of(run.cutter.tool)
    return not kind.is_pressed and not kind.is_cut_by_hand


def _stack_leave(run: Run) -> str:
    """Return who answers for a stack under a beam, and what is done without leave."""
    return _(
        "A stack is allowed here by: ______________. Without that, test on one layer, load one "
        "layer at a time, and cut this load {layers} times as often.",
        layers=run.layers,
    )


def _unload(run: Run) -> str:
    if kind_of(run.cutter.tool).is_beam:
        return _(
            "Beam off, nothing glowing, fumes drawn off: open the lid, then lift the pieces out."
        )
    return _("Machine stopped, head clear: lift the pieces out.")


def _snip(run: Run) -> str:
    if kind_of(run.cutter.tool).is_beam:
        return _(
            "Beam off, nothing glowing, fumes drawn off: open the lid, snip the ties, then lift "
            "the pieces out."
        )
    return _("Machine stopped, head out of the way: snip the ties, then lift the pieces out.")


def halt_notes(halt: Halt, run: Run, load: PlannedLoad) -> Iterator[str]:
    """Yield what is to be known before the steps of a load whose file does not stop a machine."""
    strokes = len(load.planned.plan.strokes)
    if halt is Halt.BY_HAND:
        yield _(
            "The file does not stop the machine. Count its {strokes} strokes, and pause it where "
            "the steps say.",
            strokes=strokes,
        )
    elif halt is Halt.BY_FORMAT:
        running, read = runs_on(run, load), read_formats(run)
        yield _(
            "{stopping} stops the machine by itself. {running} does not: count its {strokes} "
            "strokes, and pause it where the steps say.",
            strokes=strokes,
            stopping=_endings(each for each in read if each not in running),
            running=_endings(each for each in read if each in running),
        )
    elif halt in {Halt.AT_ENDS, Halt.BY_ENDS}:
        # Common practice, no source.
        yield _("Between two files neither the material nor the machine's zero point may be moved.")


def is_counted(halts: Iterable[Halt]) -> bool:
    """Return whether somebody counts the strokes of some load."""
    return not {Halt.BY_HAND, Halt.BY_FORMAT}.isdisjoint(halts)


def halt_warnings(halts: Iterable[Halt]) -> Iterator[str]:
    """Yield how counting is avoided, for the head of a run: before anything is loaded."""
    if is_counted(halts):
        yield _(
            "Before you begin: a file of this run does not stop the machine where you have to work "
            "on it. Better than counting strokes is one file per blade angle, pen and blade apart, "
            "or a format that stops your machine: ask the office. Count only if the machine's "
            "manual lets you work on the head while it is paused; a machine that is switched off "
            "or cancelled loses its place. A stroke is one line from its start to its end, however "
            "many stabs it takes: its number stands beside its start in the picture, where there "
            "is room. The number of the last one before a pause is white on dark, beside the large "
            "dot where that stroke ends."
        )


def counting_notes(run: Run, loads: Iterable[tuple[PlannedLoad, Halt]]) -> Iterator[str]:
    """Yield which setting of a request saves long counting at the bench, for the office."""
    counted = [load for load, halt in loads if is_counted([halt])]
    strokes = max((len(each.planned.plan.strokes) for each in counted), default=0)
    pauses = max((len(inside_stops(each)) for each in counted), default=0)
    if strokes > _MANY_STROKES or pauses > _MANY_PAUSES:
        yield _(
            "Run {run}: at the bench up to {strokes} strokes of a load are counted by eye, with up "
            "to {pauses} pauses. Without {setting} in the run, each blade angle and the pen have a "
            "file of their own, and nobody counts.",
            run=run.number,
            strokes=strokes,
            pauses=pauses,
            setting='"one_file_per": "load"',
        )


def _endings(formats: Iterable[str]) -> str:
    """Return the endings of formats' files in words, such as ``.dxf or .plt``."""
    return choice(list(dict.fromkeys(f".{registry.get(each).extension}" for each in formats)))
