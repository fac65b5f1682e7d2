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

from adapters.contract import CONTRACT, Adapter
from adapters.errors import BrokenPluginError, UnknownFormatError

GROUP = "quarterseam.adapters"

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
