"""Read-back: reads a written file and compares it with its plan, stroke by stroke."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from importlib import import_module
from typing import Any, NamedTuple

from adapters import registry
from adapters.contract import Adapter
from adapters.errors import BrokenPluginError, ReadBackError
from adapters.names import layer_of
from adapters.path_deviation import deviation
from adapters.readers.axes import on_bed
from adapters.readers.strokes import ReadStop, ReadStroke
from adapters.readers.work import work_fault
from adapters.silent_losses import silent_loss
from adapters.split import is_circle
from adapters.steps import step
from adapters.stop_faults import stop_fault
from adapters.stroke_faults import count_fault, path_fault, stroke_name
from geometry.model.plan import CutPlan, Stroke
from geometry.units import PLOTTER_UNITS_PER_MM, UNIT_MM

#: Formats whose files state power, depth, feed or speed.
_STATING = ("gcode", "hpgl")
#: What our readers raise for a file that is not what they read.
_UNREADABLE = (ValueError, KeyError, IndexError)


@dataclass(frozen=True)
class ReadBack:
    """The reader of a file, and the largest deviation from the plan, mm."""

    reader: str
    worst_deviation: float


class FileReading(NamedTuple):
    """What a reader finds in a file.

    ``reader`` is its title. ``stops`` is ``None`` where it does not read stops.
    """

    reader: str
    strokes: list[ReadStroke]
    stops: list[ReadStop] | None


def read_back(
    format_name: str,
    data: bytes,
    plan: CutPlan,
    settings: Mapping[str, Any],
    losses: Sequence[str] = (),
) -> ReadBack | None:
    """Return a written file's deviation from its plan; ``None`` when the format has no reader.

    ``losses`` is what its writer says that the file could not hold.

    Raises:
        ReadBackError: when strokes or stops are missing, out of order, on the wrong layer, or off
            by more than the format's resolution, or a plug-in lost something without saying so.
        BrokenPluginError: when a plug-in's own reader fails.
    """
    try:
        with step("read back", format=format_name):
            read = _read(format_name, data, plan, settings)
    except (BrokenPluginError, MemoryError):
        raise
    except Exception as error:
        # Libraries raise errors of any class for a damaged file.
        said = str(error) if isinstance(error, _UNREADABLE) else f"{type(error).__name__}: {error}"
        raise ReadBackError(f"the file cannot be read back: {said}") from error
    if read is None:
        return None
    allowed = allowed_by(registry.get(format_name), settings)
    worst = _compared(format_name, read.strokes, plan, settings, allowed)
    if fault := _stop_fault(format_name, read, plan):
        raise ReadBackError(fault)
    # Our own formats state their losses in the reader's language.
    if format_name not in registry.BUILT_IN:
        supports = registry.get(format_name).supports
        if fault := silent_loss(supports, plan, losses, read.strokes, allowed=allowed):
            raise ReadBackError(f"it {fault}")
    return ReadBack(read.reader, worst)


def _stop_fault(format_name: str, read: FileReading, plan: CutPlan) -> str:
    """Return how a file's stops differ from the plan's, where its format holds stops."""
    if read.stops is None or "stops" not in registry.get(format_name).supports:
        return ""
    return stop_fault(read.stops, plan, with_words=format_name in registry.BUILT_IN)


def is_proved(format_name: str) -> bool:
    """Return whether there is a reader for a format's files."""
    return _reader_of(format_name) is not None


def _reader_of(format_name: str) -> str | None:
    """Return whose reader reads a format: a format's name, its own for a plug-in that has one."""
    adapter = registry.get(format_name)
    if format_name in registry.BUILT_IN or callable(getattr(adapter, "read", None)):
        return format_name
    return reader_for(adapter.extension)


def reader_for(extension: str) -> str | None:
    """Return the built-in format whose reader reads files of an extension."""
    known = (
        name for name in registry.BUILT_IN if registry.get(name).extension == extension.lower()
    )
    return next(known, None)


def _read(
    format_name: str, data: bytes, plan: CutPlan, settings: Mapping[str, Any]
) -> FileReading | None:
    by = _reader_of(format_name)
    if by is None:
        return None
    if by not in registry.BUILT_IN:
        own = getattr(registry.get(format_name), "read")  # noqa: B009 - the contract leaves it out
        strokes = list(own(data, plan, dict(settings)))
        return FileReading(f"{format_name}'s own reader", strokes, None)
    # A plug-in's settings are its own; a file says what is needed to read it.
    return read_by(by, data, plan, settings if by == format_name else {})


def read_by(name: str, data: bytes, plan: CutPlan, settings: Mapping[str, Any]) -> FileReading:
    """Return what the reader of a built-in format finds, with strokes on the bed.

    Raises:
        ValueError, KeyError, IndexError: for a file that is not what it reads.
    """
    if b"<!ENTITY" in data:
        raise ValueError("it declares entities")
    # Imported here, so that each format loads only its own reader.
    reader = import_module(f"adapters.readers.{name}")
    strokes, stops = _found(name, reader, data, plan, settings)
    if any(key in settings for key in ("origin", "turn_deg", "mirror")):
        strokes = on_bed(
            strokes,
            settings.get("origin", "lower-left"),
            settings.get("turn_deg", 0),
            settings.get("mirror", "none"),
            (plan.bed_width, plan.bed_height),
        )
    return FileReading(reader.READER, strokes, stops)


def _found(
    format_name: str,
    reader: Any,  # noqa: ANN401 - a module
    data: bytes,
    plan: CutPlan,
    settings: Mapping[str, Any],
) -> tuple[list[ReadStroke], list[ReadStop] | None]:
    stops: list[ReadStop] | None = None
    if format_name == "hpgl":
        scale = float(settings.get("units_per_mm", PLOTTER_UNITS_PER_MM))
        found = reader.read(data, scale, arcs=True)
    elif format_name == "dxf":
        found = reader.read(data, unit=UNIT_MM[settings.get("units", "mm")])
        if settings.get("entities") == "exploded":
            counts = [1 if is_circle(stroke) else len(stroke.segments) for stroke in plan.strokes]
            found = reader.regrouped(found, counts)
    elif "stops" in registry.get(format_name).supports:
        found, stops = reader.read(data)
    else:
        found = reader.read(data)
    return found, stops


def _compared(
    format_name: str,
    strokes: list[ReadStroke],
    plan: CutPlan,
    settings: Mapping[str, Any],
    allowed: float,
) -> float:
    if fault := count_fault(strokes, plan):
        raise ReadBackError(fault)
    worst = 0.0
    groups: dict[str, object] = {}
    for number, (read, stroke) in enumerate(zip(strokes, plan.strokes, strict=True)):
        off = deviation(read, stroke, allowed=allowed)
        # Also true for NaN.
        if not off <= allowed:
            fault = path_fault(read, stroke, off, allowed)
            raise ReadBackError(f"{stroke_name(number, plan)} {fault}")
        worst = max(worst, off)
        if format_name in _STATING and (fault := work_fault(format_name, read, stroke, settings)):
            raise ReadBackError(f"{stroke_name(number, plan)} {fault}")
        kind = _kind(format_name, stroke, settings)
        if format_name == "hpgl" and read.group != f"{kind:.0f}":
            name = stroke_name(number, plan)
            raise ReadBackError(f"{name} is cut by pen {read.group}, not {kind:.0f}")
        if kind is not None and groups.setdefault(read.group, kind) != kind:
            raise ReadBackError(
                f"{stroke_name(number, plan)} has the group {read.group[:40]!r} of earlier strokes "
                "with another operation or blade angle"
            )
    return worst


def allowed_by(adapter: Adapter, settings: Mapping[str, Any]) -> float:
    """Return the deviation that settings allow, mm."""
    of_settings = getattr(adapter, "resolution_for", None)
    return float(of_settings(settings)) if callable(of_settings) else adapter.resolution


def _kind(format_name: str, stroke: Stroke, settings: Mapping[str, Any]) -> object:
    """Return what a stroke's group stands for: a pen, or a layer; ``None`` where it may be any."""
    if format_name == "hpgl":
        pens = {"cut": 1, "score": 2, "mark": 3, **settings.get("pens", {})}
        return pens.get(layer_of(stroke), pens[stroke.operation])
    if format_name in registry.BUILT_IN:
        return stroke.operation, stroke.angle_deg
    # A plug-in's groups need to say no more than it supports.
    supports = registry.get(format_name).supports
    if "operations" not in supports:
        return None
    return stroke.operation, stroke.angle_deg if "stations" in supports else None
