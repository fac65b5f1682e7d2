"""Files of one load: written by an adapter, read back by independent code, named and hashed."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from typing import Any, Literal, TypeAlias

from adapters import registry
from adapters.contract import Written
from adapters.errors import BrokenPluginError, CannotHoldError, ReadBackError, SettingError
from adapters.pdf_pages import pages_of_plan
from adapters.readback import is_proved, read_back
from geometry.errors import InternalError
from geometry.model.plan import CutPlan
from service.answers.loads import FileAnswer, ReadBackAnswer
from service.errors import (
    Fault,
    FormatCannotHoldError,
    FormatSettingsError,
    PluginFailedError,
)
from service.kits.file_names import file_name
from service.kits.parts import parts
from service.kits.proof import require_all_strokes
from service.pieces.model import Kit
from service.requests.runs import Run
from service.runs.notices import Notice, for_office, note, of_loads
from service.runs.planned_run import PlannedLoad, PlannedRun
from service.runs.printing import print_settings
from service.texts import gettext as _
from service.tools import kind_of

#: Whether written files are read back: all, none, or those of each run's first load.
Checked: TypeAlias = bool | Literal["sampled"]


def load_files(
    run: Run,
    index: int,
    load: PlannedLoad,
    *,
    kit: Kit,
    layers: tuple[str, ...] = (),
    check: bool = True,
) -> tuple[list[FileAnswer], dict[str, bytes], list[str]]:
    """Write one load in every format of its run.

    Args:
        run: what is cut on what.
        index: the run's place in the request.
        load: the load.
        kit: files state its title, number and material where their format has a place for them.
        layers: the run's kinds of work in order of first use.
        check: whether each file is read back.

    Returns:
        The entry of each file in the answer, the files' bytes by name, and the warnings.

    Raises:
        FormatSettingsError: when a setting is missing.
        FormatCannotHoldError: when a format cannot hold the plan.
        PluginFailedError: when a plug-in is broken.
        adapters.readback.ReadBackError: when a file does not say what its plan says.
    """
    entries: list[FileAnswer] = []
    files: dict[str, bytes] = {}
    losses: list[str] = []
    for name in run.formats:
        settings = _settings(run, name, kit)
        losses.extend(_head_warnings(run, name, settings))
        # The kit's title comes last: where a format has little room, it is cut off first.
        words = _title(run, load)
        of_load = list(parts(run, load.planned.plan, name))
        require_all_strokes(load.planned.plan, [each for _part, each in of_load])
        for part, strokes in of_load:
            which = f", {part.replace('-', ' ')}" if part else ""
            plan = _headed(strokes, f"{words}{which}, {kit.title}", run, kit, layers)
            written = _written(index, name, plan, settings)
            files[own := file_name(run, load.number, name, part)] = written.data
            found = _read_back((words, own), name, written, plan, settings) if check else None
            entries.append(_file_answer(own, name, written, found))
            said = (*written.losses, *_unproved(name))
            losses += [for_office(each) for each in said if each not in losses]
            losses += _for_bench(load, written)
    return entries, files, losses


def _title(run: Run, load: PlannedLoad) -> str:
    """Return the title of a file, which a printed page shows and the head of a file states."""
    what = {"number": run.number, "material": run.material.name, "load": load.number}
    if run.cut == "template":
        return _("Run {number}, template, {material}, load {load}", **what)
    return _("Run {number}, patch, {material}, load {load}", **what)


def _for_bench(load: PlannedLoad, written: Written) -> Iterator[Notice]:
    for each in written.bench:
        yield of_loads(each, (load.number,))


def _headed(strokes: CutPlan, title: str, run: Run, kit: Kit, layers: tuple[str, ...]) -> CutPlan:
    """Return a plan with the texts for the head of a file."""
    return replace(
        strokes,
        title=title,
        layers=layers,
        material=run.material.name,
        kit_number=kit.ticket.number,
    )


def _unproved(format_name: str) -> list[str]:
    """Return the warning about a format whose files cannot be read back."""
    if is_proved(format_name):
        return []
    return [_("{format_name} has no reader: its files are not read back.", format_name=format_name)]


def _file_answer(
    own: str, format_name: str, written: Written, found: ReadBackAnswer | None
) -> FileAnswer:
    return FileAnswer(
        name=own,
        format=format_name,
        media_type=registry.get(format_name).media_type,
        bytes=len(written.data),
        sha256=hashlib.sha256(written.data).hexdigest(),
        href=f"files/{own}",
        pages=written.pages,
        read_back=found,
        unproved=None if is_proved(format_name) else True,
    )


def sampled_notice(others: int) -> Notice:
    """Return the warning that only the files of a run's first load were read back."""
    text = _(
        "the files of its first load were read back; those of the other {count} were not, as this "
        "service is set to read back a sample.",
        count=others,
    )
    return note(text)


def _head_warnings(run: Run, name: str, settings: Mapping[str, Any]) -> list[str]:
    """Warn where G-code is stated for another kind of head than the cutter has."""
    if name != "gcode" or (settings.get("head") == "laser") == kind_of(run.cutter.tool).is_beam:
        return []
    tool = run.cutter.tool.kind.replace("_", " ")
    text = _(
        "gcode is stated for a {get} head, and the cutter's tool is a {tool}: the file drives "
        "that head, whatever is fitted. Make sure before the machine moves.",
        get=settings.get("head"),
        tool=tool,
    )
    return [text]


def check_plugins(runs: Iterable[Run]) -> None:
    """Try the plug-ins that runs ask for. Others are not tried, because one may hang.

    Raises:
        PluginFailedError: for one that cannot be used.
    """
    for name in dict.fromkeys(name for run in runs for name in run.formats):
        if fault := registry.fault_of(name):
            raise PluginFailedError(fault)


def check_formats(kit: Kit, run: Run, index: int, load: PlannedLoad) -> None:
    """Write one load and discard it, so that a preview is refused where the kit would be.

    Raises:
        RequestError: as :func:`load_files`.
    """
    for name in run.formats:
        settings = _settings(run, name, kit)
        for _part, plan in parts(run, load.planned.plan, name):
            _written(index, name, plan, settings)


def printed_sheets(planned: PlannedRun) -> int:
    """Return how many sheets a run's PDF takes, with the check page of each file once.

    Raises:
        FormatCannotHoldError: for a load of too many pages.
    """
    sheets, index = 0, planned.run.number - 1
    for load in planned.loads:
        run = planned.part_of(load).run
        for _part, plan in parts(run, load.planned.plan, "pdf"):
            with _refusals(index, "pdf"):
                pages = pages_of_plan(plan, print_settings(run))
            sheets += 1 + load.load.repeats * len(pages)
    return sheets


def _settings(run: Run, name: str, kit: Kit) -> Mapping[str, Any]:
    """Return the settings of a format; a printed check page has the kit's units by default."""
    stated = run.cutter.formats.get(name, {})
    if name != "pdf":
        return stated
    return {"units": "both" if kit.second_units else kit.units, **stated}


def _written(index: int, name: str, plan: CutPlan, settings: Mapping[str, Any]) -> Written:
    """Write a plan."""
    with _refusals(index, name):
        return registry.write(name, plan, settings)


@contextmanager
def _refusals(index: int, name: str) -> Iterator[None]:
    """Make a format's refusal a problem that points into the request."""
    try:
        yield
    except SettingError as error:
        where = f"#/runs/{index}/cutter/formats/{name}/{error.setting}"
        fault = Fault(where, error.message)
        raise FormatSettingsError(error.message, [fault]) from None
    except CannotHoldError as error:
        fault = Fault(f"#/runs/{index}/formats", error.message)
        raise FormatCannotHoldError(error.message, [fault]) from None
    except BrokenPluginError as error:
        raise PluginFailedError(error.message) from error


def _read_back(
    where: tuple[str, str],
    name: str,
    written: Written,
    plan: CutPlan,
    settings: Mapping[str, Any],
) -> ReadBackAnswer | None:
    """Return what a reader found; for a plug-in's wrong file, the problem names the plug-in."""
    if not is_proved(name):
        return None
    try:
        found = read_back(name, written.data, plan, settings, written.losses)
    except BrokenPluginError as error:
        raise PluginFailedError(error.message) from error
    except ReadBackError as error:
        if name in registry.BUILT_IN:
            raise ReadBackError(f"{name} ({', '.join(where)}): {error}") from error
        text = f"Plug-in {name} wrote a wrong file ({', '.join(where)}): {error}."
        raise PluginFailedError(text) from error
    if found is None:
        raise InternalError(f"{name} has a reader that was not used")
    return ReadBackAnswer(reader=found.reader, worst_deviation_mm=found.worst_deviation)
