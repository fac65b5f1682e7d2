"""What a cutter is set to for a run's material: in the answer, and in words for the bench."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from collections.abc import Set as AbstractSet

from geometry.model.plan import Stop
from service.answers.runs import MaterialSettingsAnswer
from service.documents.bench_units import BenchUnits
from service.kits.file_settings import are_in_file, set_at_machine
from service.kits.one_piece import test_file
from service.pieces.model import Kit
from service.requests.material_settings import MaterialSettings, TunedCutter
from service.requests.runs import Run
from service.runs.planned_run import PlannedLoad, PlannedRun
from service.runs.printing import is_printed
from service.texts import gettext as _
from service.texts import ngettext
from service.tools import kind_of
from service.tools.figures import speed_text

#: Why somebody works on the machine inside a load.
_INSIDE = frozenset({"turn-blade", "change-tool"})
#: Room to write a setting by hand.
_BLANK = "______"


def settings_answer(run: Run) -> MaterialSettingsAnswer | None:
    """Return the settings for a run's material as the answer states them, if there are any."""
    row = run.settings
    if row is None:
        return None
    return MaterialSettingsAnswer(
        material=row.material or None,
        kind=row.kind or None,
        offset_mm=row.offset,
        kerf_mm=row.kerf,
        speed_mm_s=row.speed,
        passes=row.passes,
        force=row.force or None,
        power=row.power or None,
        test_cut=row.test_cut or None,
    )


def machine_settings(run: Run, units: str, bench: BenchUnits) -> Iterator[tuple[str, str]]:
    """Yield what to set at the machine, stated or to be filled in after the test cut."""
    names = set_at_machine(run, kind_of(run.cutter.tool).settings)
    blanks = "   ".join(f"{_(each)} {_BLANK}" for each in names)
    row = run.settings
    if row is not None:
        yield _("Set"), ", ".join(_settings(row, units, bench)) or _("as for any material")
        if row.test_cut:
            yield _("Test cut"), row.test_cut
    elif isinstance(run.cutter, TunedCutter):
        name = run.material.name
        yield (
            _("Set"),
            _("no settings are saved for {material}: make a test cut first", material=name),
        )
    if names and (row is None or not (row.force or row.power)):
        yield _("Write down"), blanks


def drawn_settings(planned: PlannedRun) -> Iterator[tuple[str, str]]:
    """Yield what to set for lines that the tool draws instead of cutting them, if there are any."""
    words = kind_of(planned.run.cutter.tool).drawn_lines
    strokes = (stroke for load in planned.loads for stroke in load.planned.plan.strokes)
    if (
        words
        and not are_in_file(planned.run)
        and any(stroke.operation != "cut" for stroke in strokes)
    ):
        yield _("Not cut"), _(words)


def test_cut(
    kit: Kit, planned: PlannedRun, bench: BenchUnits, *, is_counted: bool
) -> Iterator[str]:
    """Yield how to cut a test and what it must measure.

    Args:
        kit: what is cut.
        planned: the run.
        bench: units.
        is_counted: whether somebody counts the strokes of a load, to pause the machine.
    """
    run, kind = planned.run, kind_of(planned.run.cutter.tool)
    names = set_at_machine(run, kind.settings)
    if is_printed(run):
        yield _(
            "Print the check page alone, and measure its square and its bar: both must be as long "
            "as stands beside them."
        )
        yield _("Go on only if a ruler shows no difference.")
        return
    first = next(iter(run.quantities))
    words = kind.test_words if run.layers == 1 else kind.stack_test_words
    text = _(words).format(piece=first, layers=run.layers)
    yield f"{text} {test_file(kit, planned, first)}" if kind.is_tested_by_file else text
    size = bench.ruler_size(kit.pieces[first].region(run.cut).outline.bounds)
    yield (
        _(
            "Then measure it, turned as it is drawn under Pieces: {size}.",
            size=size,
        )
        if run.layers == 1
        else _(
            "Then measure its top and its bottom layer, turned as it is drawn under Pieces: "
            "{size}.",
            size=size,
        )
    )
    yield from _stopped(planned, is_counted=is_counted)
    go_on = _(
        "Go on only if it is within {tolerance} of that by the ruler.",
        tolerance=bench.ruler_tolerance(),
    )
    then = _("Then write the settings down and cut the loads.") if names else ""
    yield f"{go_on} {then}".rstrip()


def _stopped(planned: PlannedRun, *, is_counted: bool) -> Iterator[str]:
    """Yield where a test is interrupted, and what is then to be seen."""
    reasons = {stop.reason for load in planned.loads for stop in _stops(load)}
    if is_counted and reasons & _INSIDE:
        yield _(
            "Its strokes are not those of the load: pause where all that the pen draws, or all "
            "that is cut at one blade angle, is done."
        )
    elif reasons & _INSIDE:
        yield _follow(reasons)
    if "change-tool" in reasons:
        yield (
            _("What the pen drew must lie inside the cut as the picture shows it.")
            if planned.run.layers == 1
            else _(
                "What the pen drew on the top layer must lie inside the cut as the picture shows "
                "it."
            )
        )


def _follow(reasons: AbstractSet[str]) -> str:
    """Return what follows one another in a test: pen and blade, blade angles, or both."""
    if reasons >= _INSIDE:
        return _("Pen and blade, and blade angles, follow one another as in the load's steps.")
    if "change-tool" in reasons:
        return _("Pen and blade follow one another as in the load's steps.")
    return _("The blade angles follow one another as in the load's steps.")


def _stops(load: PlannedLoad) -> Sequence[Stop]:
    return load.planned.plan.stops


def _settings(row: MaterialSettings, units: str, bench: BenchUnits) -> Iterator[str]:
    if row.force:
        yield _("force {value}", value=row.force)
    if row.power:
        yield _("power {value}", value=row.power)
    if row.speed is not None:
        yield _("speed {value}", value=speed_text(row.speed, units))
    if row.passes is not None:
        yield ngettext("{n} pass", "{n} passes", row.passes)
    if row.offset is not None:
        yield _("blade offset {value}", value=bench.length(row.offset))
    if row.kerf is not None:
        yield _("kerf {value}", value=bench.length(row.kerf))
