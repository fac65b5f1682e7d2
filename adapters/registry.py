"""Which formats are installed: the built-in ones and plug-ins, all by the same door.

Entry points of the group ``quarterseam.adapters`` name an object each. A checkout that was
never installed has no entry points of its own, so the built-in ones are listed here as well;
where both are found the first stands. Plug-ins by others run in processes of their own.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from importlib import import_module
from typing import Any

from adapters import plugins
from adapters.contract import Adapter, Written
from adapters.errors import BrokenPluginError, UnknownFormatError
from geometry.model.plan import CutPlan

GROUP = plugins.GROUP
#: Bytes of one file, at the most.
MOST_BYTES = plugins.MOST_BYTES

#: The formats that come with the project; no module is imported before it is asked for.
BUILT_IN: Mapping[str, str] = {
    "svg": "adapters.svg",
    "dxf": "adapters.dxf",
    "hpgl": "adapters.hpgl",
    "gcode": "adapters.gcode",
    "pdf": "adapters.pdf",
    "plan": "adapters.plan",
}


def installed(name: str) -> bool:
    """Tell whether there is a format of that name, usable or not; no plug-in is asked."""
    return name in BUILT_IN or name in plugins.found()


def names() -> tuple[str, ...]:
    """Return the names of every format that can be asked for, built-in ones first."""
    return (*BUILT_IN, *(name for name in _foreign() if not fault_of(name)))


def _foreign() -> list[str]:
    return [name for name in plugins.found() if name not in BUILT_IN]


@cache
def _built_in(name: str) -> Adapter:
    adapter: Adapter = import_module(BUILT_IN[name]).ADAPTER
    return adapter


def get(name: str) -> Adapter:
    """Return an adapter by name.

    Raises:
        UnknownFormatError: when none has that name.
        BrokenPluginError: when a plug-in of that name cannot be used; the message says why.
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
    """Return a plan as a file of a format; whatever a plug-in does wrong is told as its fault.

    Raises:
        UnknownFormatError: when no format has that name.
        SettingError, CannotHoldError: as the adapter refuses.
        BrokenPluginError: when a plug-in raises anything else, gives no answer in time, ends its
            process, hands back what is no file, or one of more than ``MOST_BYTES``.
    """
    return get(name).write(plan, settings)


def fault_of(name: str) -> str:
    """Return why a plug-in cannot be used, nothing when it can."""
    if name in BUILT_IN or name not in plugins.found():
        return ""
    plugin = plugins.described(name)
    return plugin if isinstance(plugin, str) else ""


def faults() -> Mapping[str, str]:
    """Return the plug-ins that cannot be used, each with the reason."""
    told = {name: fault for name in _foreign() if (fault := fault_of(name))}
    for name, module in BUILT_IN.items():
        others = [p.value for p in plugins.found().get(name, ()) if p.value != f"{module}:ADAPTER"]
        if others:
            told[name] = (
                f"Plug-in {name} ({', '.join(others)}) takes a built-in format's name; it is not "
                "used, and the built-in format is."
            )
    return dict(sorted(told.items()))
