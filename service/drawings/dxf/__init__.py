"""DXF drawings: what is visible in model space, with its blocks."""

from __future__ import annotations

from service.drawings.dxf.reader import read_dxf

__all__ = ["read_dxf"]
