"""Which formats are installed: the built-in ones and plug-ins, all by the same door.

Entry points of the group ``quarterseam.adapters`` name an object each. A checkout that was
never installed has no entry points of its own, so the built-in ones are listed here as well;
where both are found the first stands.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from importlib import import_module
from importlib.metadata import EntryPoint, entry_points
from typing import Any

from adapters.contract import CONTRACT, Adapter, Written
from adapters.errors import AdapterError, BrokenPluginError, UnknownFormatError
from geometry.model.plan import CutPlan

GROUP = "quarterseam.adapters"
#: Bytes of one file, at the most; a load of 20,000 outlines takes a fraction of it.
MOST_BYTES = 64_000_000

#: The formats that come with the project; no module is imported before it is asked for.
BUILT_IN: Mapping[str, str] = {
    "svg": "adapters.svg",
    "dxf": "adapters.dxf",
    "hpgl": "adapters.hpgl",
    "gcode": "adapters.gcode",
    "pdf": "adapters.pdf",
    "plan": "adapters.plan",
}


@cache
def _plugins() -> Mapping[str, tuple[EntryPoint, ...]]:
    found: dict[str, list[EntryPoint]] = {}
    for point in sorted(entry_points(group=GROUP), key=lambda point: (point.name, point.value)):
        if point.name not in BUILT_IN and point not in found.get(point.name, []):
            found.setdefault(point.name, []).append(point)
    return {name: tuple(points) for name, points in found.items()}


def names() -> tuple[str, ...]:
    """Return the names of every format that can be asked for, built-in ones first."""
    return (*BUILT_IN, *(name for name in _plugins() if not fault_of(name)))


@cache
def get(name: str) -> Adapter:
    """Return an adapter by name.

    Raises:
        UnknownFormatError: when none has that name.
        BrokenPluginError: when a plug-in of that name cannot be used; the message says why.
    """
    if name in BUILT_IN:
        adapter: Adapter = import_module(BUILT_IN[name]).ADAPTER
        return adapter
    if name not in _plugins():
        detail = f'There is no format "{name[:40]}"; there are: {", ".join(names())}.'
        raise UnknownFormatError(detail, format_name=name)
    return _loaded(name, _plugins()[name])


def _loaded(name: str, points: tuple[EntryPoint, ...]) -> Adapter:
    if len(points) > 1:
        where = ", ".join(point.value for point in points)
        raise BrokenPluginError(f"Several plug-ins call themselves {name}: {where}.")
    try:
        adapter = points[0].load()
    except Exception as error:
        detail = f"Plug-in {name} ({points[0].value}) could not be loaded: {error}"
        raise BrokenPluginError(detail, format_name=name) from error
    if not isinstance(adapter, Adapter):
        raise BrokenPluginError(f"Plug-in {name} is not an adapter.", format_name=name)
    if adapter.contract != CONTRACT:
        raise BrokenPluginError(
            f"Plug-in {name} was written for contract {adapter.contract}; this is {CONTRACT}.",
            format_name=name,
        )
    if adapter.name != name:
        raise BrokenPluginError(
            f"Plug-in {name} calls itself {adapter.name}; both names must agree.",
            format_name=name,
        )
    return adapter


def write(name: str, plan: CutPlan, settings: Mapping[str, Any]) -> Written:
    """Return a plan as a file of a format; whatever a plug-in does wrong is told as its fault.

    Raises:
        UnknownFormatError: when no format has that name.
        SettingError, CannotHoldError: as the adapter refuses.
        BrokenPluginError: when a plug-in raises anything else, hands back what is no file, or
            one of more than ``MOST_BYTES``.
    """
    adapter = get(name)
    if name in BUILT_IN:
        return adapter.write(plan, settings)
    try:
        written = adapter.write(plan, settings)
    except AdapterError:
        raise
    except Exception as error:
        detail = f"Plug-in {name} failed while writing: {type(error).__name__}: {error}"
        raise BrokenPluginError(detail[:300], format_name=name) from error
    if not isinstance(written, Written) or not isinstance(written.data, bytes):
        detail = f"Plug-in {name} handed back {type(written).__name__} and no written file."
        raise BrokenPluginError(detail, format_name=name)
    if len(written.data) > MOST_BYTES:
        detail = f"Plug-in {name} wrote {len(written.data)} bytes; {MOST_BYTES} is the most."
        raise BrokenPluginError(detail, format_name=name)
    if not all(isinstance(loss, str) for loss in written.losses):
        raise BrokenPluginError(f"Plug-in {name} lists losses that are no text.", format_name=name)
    return written


def fault_of(name: str) -> str:
    """Return why a plug-in cannot be used, nothing when it can."""
    try:
        get(name)
    except BrokenPluginError as error:
        return error.message
    return ""


def faults() -> Mapping[str, str]:
    """Return the plug-ins that cannot be used, each with the reason."""
    return {name: fault for name in _plugins() if (fault := fault_of(name))}
