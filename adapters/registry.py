"""The registry of installed formats: built-in ones and plug-ins.

Each entry point of the group ``quarterseam.adapters`` names an object. A checkout that was never
installed has no entry points, so the built-in formats are listed here as well; if both are found,
the first counts. Plug-ins run in child processes.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from importlib import import_module
from typing import Any

from adapters import plugins
from adapters.contract import Adapter, Written
from adapters.errors import BrokenPluginError, UnknownFormatError
from adapters.steps import step
from geometry.model.plan import CutPlan

GROUP = plugins.GROUP
#: Maximum bytes of one file.
MAX_BYTES = plugins.MAX_BYTES

#: The built-in formats; their modules are imported at first use.
BUILT_IN: Mapping[str, str] = {
    "svg": "adapters.svg",
    "dxf": "adapters.dxf",
    "hpgl": "adapters.hpgl",
    "gcode": "adapters.gcode",
    "pdf": "adapters.pdf",
    "plan": "adapters.plan",
}


def installed(name: str) -> bool:
    """Return whether there is a format of that name, usable or not; runs no plug-in."""
    return name in BUILT_IN or name in plugins.found()


def installed_names() -> tuple[str, ...]:
    """Return the names of all formats, usable or not; no plug-in is asked."""
    return (*BUILT_IN, *plugin_names())


def names() -> tuple[str, ...]:
    """Return the names of all formats, built-in ones first."""
    return (*BUILT_IN, *(name for name in plugin_names() if not fault_of(name)))


def plugin_names() -> list[str]:
    """Return the names of all plug-ins, usable or not; none is asked."""
    return [name for name in plugins.found() if name not in BUILT_IN]


@cache
def _built_in(name: str) -> Adapter:
    adapter: Adapter = import_module(BUILT_IN[name]).ADAPTER
    return adapter


def get(name: str) -> Adapter:
    """Return an adapter by name.

    Raises:
        UnknownFormatError: when no format has that name.
        BrokenPluginError: when the plug-in of that name cannot be used; the message says why.
    """
    if name in BUILT_IN:
        return _built_in(name)
    if name not in plugins.found():
        detail = f'There is no format "{name[:40]}"; there are: {", ".join(names())}.'
        raise UnknownFormatError(detail, format_name=name)
    plugin = plugins.described(name)
    if isinstance(plugin, str):
        raise BrokenPluginError(plugin, format_name=name)
    return plugin


def write(name: str, plan: CutPlan, settings: Mapping[str, Any]) -> Written:
    """Return a plan as a file of a format; all errors of a plug-in are reported as its fault.

    Raises:
        UnknownFormatError: when no format has that name.
        SettingError, CannotHoldError: raised by the adapter.
        BrokenPluginError: when a plug-in raises anything else, gives no answer in time, ends its
            process, or returns something other than a file of up to ``MAX_BYTES``.
    """
    with step("write", format=name):
        return get(name).write(plan, settings)


def fault_of(name: str) -> str:
    """Return why a plug-in cannot be used, or an empty text."""
    if name in BUILT_IN or name not in plugins.found():
        return ""
    plugin = plugins.described(name)
    return plugin if isinstance(plugin, str) else ""


def faults() -> Mapping[str, str]:
    """Return the unusable plug-ins with the reasons."""
    found = {name: fault for name in plugin_names() if (fault := fault_of(name))}
    for name, module in BUILT_IN.items():
        others = [p.value for p in plugins.found().get(name, ()) if p.value != f"{module}:ADAPTER"]
        if others:
            found[name] = (
                f"Plug-in {name} ({', '.join(others)}) takes a built-in format's name; it is not "
                "used, and the built-in format is."
            )
    return dict(sorted(found.items()))
