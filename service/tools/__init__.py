"""The kinds of tools, one module each, in one list."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any, Final

from geometry.model.cutter import Tool
from service.tools.drag_blade import DragBladeKind
from service.tools.indexed_blade import IndexedBladeKind
from service.tools.kind import ToolKind
from service.tools.laser import LaserKind
from service.tools.pen import PenKind
from service.tools.steel_rule_die import SteelRuleDieKind

#: In the order of the document.
KINDS: Final[tuple[ToolKind[Any], ...]] = (
    DragBladeKind(),
    IndexedBladeKind(),
    LaserKind(),
    SteelRuleDieKind(),
    PenKind(),
)
BY_NAME: Final[Mapping[str, ToolKind[Any]]] = MappingProxyType(
    {each.model.kind: each for each in KINDS}
)


def kind_of(tool: Tool) -> ToolKind[Any]:
    """Return the kind of a tool."""
    return BY_NAME[tool.kind]
