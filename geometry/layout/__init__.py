"""Pieces laid out on loads: as many as fit, never nearer than the gap, never outside."""

from __future__ import annotations

from geometry.layout.item import Item, Layout, Offcut
from geometry.layout.orders.order import lay_out

__all__ = ["Item", "Layout", "Offcut", "lay_out"]
