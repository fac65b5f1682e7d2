"""Cutters that come with the service: one of each kind of tool, to start from.

Sizes are round numbers of ordinary sheets, hoops and boards, not those of any machine; a shop
saves its own cutter with its machine's numbers.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any, Final

from geometry.model.cutter import Cutter
from service.texts import gettext as _
from service.tools import KINDS

BUILT_IN: Final[Mapping[str, Mapping[str, Any]]] = MappingProxyType(
    {each.built_in.name: each.built_in.document for each in KINDS}
)


def title_of(cutter: Cutter) -> str:
    """Return a cutter's title, of a cutter that comes with the service in the chosen language."""
    return _(cutter.title) if cutter.title and cutter.name in BUILT_IN else cutter.title
