"""Layouts as the service makes them: with the nester."""

from __future__ import annotations

from typing import Any

from geometry import layout
from geometry.layout import Layout, dies
from service.sandbox.nester import installed


def lay_out(*what: Any, **how: Any) -> Layout:
    """Return the loads that cut an order."""
    return layout.lay_out(*what, **({"nester": installed()} | how))


def lay_out_dies(*what: Any, **how: Any) -> Layout:
    """Return one load for each die."""
    return dies.lay_out_dies(*what, **({"nester": installed()} | how))
