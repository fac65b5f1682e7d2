"""The kinds of tools, one module each, in one list.

``geometry.model.cutter.Tool`` lists them; a tool's module has the name of its kind.
"""

from __future__ import annotations

from collections.abc import Mapping
from importlib import import_module
from types import MappingProxyType
from typing import Any, Final, get_args

from geometry.model.cutter import Tool
from service.tools.kind import ToolKind

#: In the order of the document.
KINDS: Final[tuple[ToolKind[Any], ...]] = tuple(
    import_module(f"{__name__}.{tool.kind}").KIND for tool in get_args(Tool)
)
BY_NAME: Final[Mapping[str, ToolKind[Any]]] = MappingProxyType(
    {each.model.kind: each for each in KINDS}
)


def kind_of(tool: Tool) -> ToolKind[Any]:
    """Return the kind of a tool."""
    return BY_NAME[tool.kind]
