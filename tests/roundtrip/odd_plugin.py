"""Installs plug-ins for tests: a package of one module beside its entry point."""

from __future__ import annotations

import textwrap
from collections.abc import Callable
from pathlib import Path

from adapters import plugins, registry
from adapters.contract import CONTRACT
from service.sandbox.child import end_idle_children

HEAD = f"""
import os, signal, sys, time
from adapters.contract import Setting
from adapters.contract import Written as Whole
from adapters.errors import CannotHoldError, SettingError
from adapters.readers.strokes import straight
from geometry.model.points import Point

def Written(data, losses=("odd holds no stops.",)):
    return Whole(data, losses)

class Odd:
    contract, name, title = {CONTRACT}, "odd", "odd"
    media_type, extension = "text/x-odd", "odd"
    supports, resolution, settings = frozenset({{"arcs"}}), 0.1, ()

    def write(self, plan, settings):
        return Written(b"odd")

class ADAPTER(Odd):
"""
Plug = Callable[..., None]


def install(
    folder: Path, body: str = "pass", *, name: str = "odd", top: str = "", module: str = ""
) -> None:
    """Install a plug-in in a folder of the import path.

    Args:
        folder: the folder.
        body: the body of its class.
        name: of its entry point.
        top: what its module starts with.
        module: the module's name; a new one when left out.
    """
    module = module or f"odd_{len(list(folder.glob('*.py')))}"
    text = f"{top}\n{HEAD}{textwrap.indent(textwrap.dedent(body), '    ')}\nADAPTER = ADAPTER()"
    (folder / f"{module}.py").write_text(text)
    info = folder / f"{module}-1.0.dist-info"
    info.mkdir()
    (info / "METADATA").write_text(f"Metadata-Version: 2.1\nName: {module}\nVersion: 1.0\n")
    (info / "entry_points.txt").write_text(f"[{registry.GROUP}]\n{name} = {module}:ADAPTER\n")
    forget()


def forget() -> None:
    """Look for plug-ins again."""
    plugins.found.cache_clear()
    plugins.described.cache_clear()
    # Children that wait for their next task have looked already.
    end_idle_children()
