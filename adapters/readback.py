"""Read-back: reads a written file and compares it with its plan, stroke by stroke."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from importlib import import_module
from typing import Any

from adapters import registry
from adapters.errors import BrokenPluginError, ReadBackError
from adapters.names import layer_of
from adapters.path_deviation import deviation
from adapters.readers.axes import on_bed
from adapters.readers.strokes import ReadStroke
from adapters.split import is_circle
from geometry.model.plan import CutPlan, Stroke
from geometry.units import PLOTTER_UNITS_PER_MM, UNIT_MM


@dataclass(frozen=True)
class ReadBack:
    """The reader of a file, and the largest deviation from the plan, mm."""

    reader: str
    worst_deviation: float


def read_back(
    format_name: str, data: bytes, plan: CutPlan, settings: Mapping[str, Any]
) -> ReadBack | None:
    """Return a written file's deviation from its plan; ``None`` when the format has no reader.

    Raises:
        ReadBackError: when strokes are missing, out of order, on the wrong layer, or off by more
            than the format's resolution.
        BrokenPluginError: when a plug-in's own reader fails.
    """
    try:
        read = _read(format_name, data, plan, settings)
    except BrokenPluginError:
        raise
    except (ValueError, KeyError, IndexError) as error:
        raise ReadBackError(f"{format_name}: the file cannot be read back: {error}") from error
    if read is None:
        return None
    reader, strokes = read
    return ReadBack(reader, _compared(format_name, strokes, plan, settings))


def _read(
    format_name: str, data: bytes, plan: CutPlan, settings: Mapping[str, Any]
) -> tuple[str, list[ReadStroke]] | None:
    if format_name not in registry.BUILT_IN:
        # A plug-in may have its own reader.
        own = getattr(registry.get(format_name), "read", None)
        return (f"{format_name}'s own reader", list(own(data))) if callable(own) else None
    # Imported here, so that each format loads only its own reader.
    reader = import_module(f"adapters.readers.{format_name}")
    name: str = reader.READER
    strokes = _strokes(format_name, reader, data, plan, settings)
    if any(key in settings for key in ("origin", "turn_deg", "mirror")):
        strokes = on_bed(
            strokes,
            settings.get("origin", "lower-left"),
            settings.get("turn_deg", 0),
            settings.get("mirror", "none"),
            (plan.bed_width, plan.bed_height),
        )
    return name, strokes


def _strokes(
    format_name: str,
    reader: Any,  # noqa: ANN401 - a module
    data: bytes,
    plan: CutPlan,
    settings: Mapping[str, Any],
) -> list[ReadStroke]:
    if format_name == "hpgl":
        scale = float(settings.get("units_per_mm", PLOTTER_UNITS_PER_MM))
        found = reader.read(data, scale, arcs=True)
    elif format_name == "dxf":
        found = reader.read(data, unit=UNIT_MM[settings.get("units", "mm")])
        if settings.get("entities") == "exploded":
            counts = [1 if is_circle(stroke) else len(stroke.segments) for stroke in plan.strokes]
            found = reader.regrouped(found, counts)
    else:
        found = reader.read(data)
    strokes: list[ReadStroke] = found
    return strokes


def _compared(
    format_name: str, strokes: list[ReadStroke], plan: CutPlan, settings: Mapping[str, Any]
) -> float:
    if len(strokes) != len(plan.strokes):
        raise ReadBackError(
            f"{format_name}: the plan has {len(plan.strokes)} strokes, the file has {len(strokes)}"
        )
    allowed = _allowed(format_name, settings)
    worst = 0.0
    groups: dict[str, object] = {}
    for number, (read, stroke) in enumerate(zip(strokes, plan.strokes, strict=True)):
        off = deviation(read, stroke, allowed=allowed)
        # Also true for NaN.
        if not off <= allowed:
            raise ReadBackError(
                f"{format_name}: stroke {number} is off the plan by {off:.4f} mm, "
                f"{allowed:.4f} mm is the format's resolution"
            )
        worst = max(worst, off)
        kind = _kind(format_name, stroke, settings)
        if groups.setdefault(read.group, kind) != kind:
            raise ReadBackError(f"{format_name}: stroke {number} is in group {read.group}")
    return worst


def _allowed(format_name: str, settings: Mapping[str, Any]) -> float:
    adapter = registry.get(format_name)
    of_settings = getattr(adapter, "resolution_for", None)
    return float(of_settings(settings)) if callable(of_settings) else adapter.resolution


def _kind(format_name: str, stroke: Stroke, settings: Mapping[str, Any]) -> object:
    """Return the expected group of a stroke: its pen in formats with pens, else its layer."""
    if format_name == "hpgl":
        pens = {"cut": 1, "score": 2, "mark": 3, **settings.get("pens", {})}
        return pens.get(layer_of(stroke), pens[stroke.operation])
    return stroke.operation, stroke.angle_deg
